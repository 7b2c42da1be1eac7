"""What is said at the wheel: the angle of the twist, and how many plies of which thickness."""

import re

from farspun.errors import ImpossibleValue, UnreadableValue
from farspun.units.number import NUMBER, is_number, number, shown, tidied
from farspun.units.quantities import Quantity

STEEPEST_DEG = 60.0  # judgement: long before that a yarn kinks instead of twisting on
MOST_SINGLES = 12  # judgement: a cable of more is no weaver's yarn
MOST_TIMES = 100.0  # judgement: a single so much thicker than its fellow is a core

_ANGLE = re.compile(rf"({NUMBER}) ?(?:°|deg|degs|degree|degrees)?\.?")


def angle(text: str, what: str = "twist angle") -> Quantity:
    """An angle in degrees, more than 0 and at most 60: "25", "25deg", "25°".

    >>> angle("25°")
    Quantity(value=25.0, step=1.0, sd=None, said='25°')
    """
    plain = tidied(text, what, "25deg")
    found = _ANGLE.fullmatch(plain)
    allowed = f"more than 0 and at most {STEEPEST_DEG:g} degrees: steeper, and yarn kinks"
    hint = "Soft yarn has about 15deg, firm yarn 35deg, measured from the length of the yarn."
    if not found:
        if re.match(r"- ?\.?[0-9]", plain):
            raise ImpossibleValue(what, shown(text), allowed, hint)
        raise UnreadableValue(
            what, shown(text), "it is no angle in degrees", "Write it like 25deg."
        )
    amount = number(found[1], what)
    degrees = amount.top / amount.bottom
    if not 0 < degrees <= STEEPEST_DEG:
        raise ImpossibleValue(what, f"{amount.written}°", allowed, hint)
    return Quantity(degrees, 1 / amount.step_bottom, None, f"{amount.written}°")


def plies(text: str, what: str = "plies") -> tuple[float, ...]:
    """Thickness of each single beside the others: "2" is two alike, "1:2" one twice as thick.

    Thick means heavy for its length. One to twelve singles, none a hundred times another.

    >>> plies("2"), plies("1:2")
    ((1.0, 1.0), (1.0, 2.0))
    """
    plain = tidied(text, what, "2")
    said = [part.strip() for part in plain.split(":")]
    hint = "Write how many singles it has (2), or how thick they are beside each other (1:2)."
    if not all(is_number(part) for part in said):
        if re.fullmatch(r"- ?[0-9.]+", plain):
            raise ImpossibleValue(what, shown(text), f"from 1 to {MOST_SINGLES}", hint)
        raise UnreadableValue(what, shown(text), "it is no number of singles", hint)
    if len(said) == 1:
        return (1.0,) * _singles(said[0], text, what, hint)
    amounts = [number(part, what) for part in said]
    parts = tuple(one.top / one.bottom for one in amounts)
    if not (min(parts) > 0 and max(parts) <= MOST_TIMES * min(parts)):
        allowed = f"parts above 0, none more than {MOST_TIMES:g} times another"
        raise ImpossibleValue(what, shown(text), allowed, hint)
    _check_singles(len(parts), text, what, hint)
    return parts


def _singles(written: str, text: str, what: str, hint: str) -> int:
    amount = number(written, what)
    if amount.top % amount.bottom:
        raise ImpossibleValue(what, shown(text), "a whole number", hint)
    _check_singles(amount.top // amount.bottom, text, what, hint)
    return amount.top // amount.bottom


def _check_singles(singles: int, text: str, what: str, hint: str) -> None:
    if not 1 <= singles <= MOST_SINGLES:
        raise ImpossibleValue(what, shown(text), f"from 1 to {MOST_SINGLES}", hint)
