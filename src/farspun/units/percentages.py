"""Percentages that take away, that add, and that are parts of a whole.

A loss is a part of the larger thing, so going back means dividing; a leading plus says that it
was added to the smaller. All come out as fractions.
"""

import re
from dataclasses import replace

from farspun.errors import FarspunError, ImpossibleValue, UnreadableValue
from farspun.units.factors import Numbers
from farspun.units.kinds import misspelled_number
from farspun.units.number import NUMBER, Number, is_number, number, shown, tidied
from farspun.units.quantities import Quantity, halves

MOST_ADDITION = 10.0  # judgement, no source: eleven times the length is no take-up
LEAST_PROMISE, MOST_PROMISE = 0.5, 0.999  # a promise is more than even and never certain

_PART_OF_ONE = "more than 0 and at most 1 (100 %)"

_PERCENT = re.compile(rf"(\+? ?)({NUMBER}) ?(?:%|percent|per cent|pct)")
_OUT_OF = re.compile(r"([0-9.]+) (?:in|of|out of) ([0-9.]+)")


def loss(text: str, what: str) -> Quantity:
    """A loss as a fraction of the larger thing: "10%" is 0.10, "+20%" is 0.2/1.2.

    >>> loss("10%", "shrinkage")
    Quantity(value=0.1, step=0.01, sd=None, said='10 % of the larger (divide by 0.90)')
    >>> loss("+20%", "shrinkage").said
    '+20 % added, which is a loss of 16.7 %'
    """
    added, amount, spread = _percentage(text, what, "Write 10% or +10%")
    written = _written(amount, spread)
    if added:
        ratio = (amount.top, amount.bottom * 100 + amount.top)
        fraction = ratio[0] / ratio[1]
        scale = (1 - fraction) ** 2  # d/da of a/(1 + a), as 1/(1 + a) is 1 - fraction
        said = f"+{written} added, which is a loss of {fraction * 100:.1f} %"
        _below_whole(fraction, f"+{written}", what)
    else:
        fraction, scale = _fraction(amount), 1.0
        _below_whole(fraction, written, what)
        said = f"{written} of the larger (divide by {_factor(1 - fraction)})"
    sd = None if spread is None else _fraction(spread) * scale
    return Quantity(fraction, scale / (100 * amount.step_bottom), sd, said)


def addition(text: str, what: str) -> Quantity:
    """What is added, as a fraction of the smaller thing: "10%" and "+10%" are both 0.10.

    >>> addition("10%", "weft take-up")
    Quantity(value=0.1, step=0.01, sd=None, said='10 % added (multiply by 1.10)')
    """
    _, amount, spread = _percentage(text, what, "Write 10%")
    fraction, written = _fraction(amount), _written(amount, spread)
    if not fraction < MOST_ADDITION:
        raise ImpossibleValue(what, written, "at least 0 % and under 1000 %")
    sd = None if spread is None else _fraction(spread)
    said = f"{written} added (multiply by {_factor(1 + fraction)})"
    return Quantity(fraction, 1 / (100 * amount.step_bottom), sd, said)


def crimp_from_take_up(take_up: Numbers) -> Numbers:
    """Crimp c = t/(1 - t), relative to the cloth, of a take-up t, relative to the yarn.

    Fractions, scalars or arrays; raises ImpossibleValue unless 0 <= t < 1.
    Source: ISO 7211-3 defines crimp relative to the length in the cloth.

    >>> crimp_from_take_up(0.2)
    0.25
    """
    _all_true((take_up >= 0) & (take_up < 1), "take-up", take_up, "at least 0 and below 1")
    return take_up / (1 - take_up)


def take_up_from_crimp(crimp: Numbers) -> Numbers:
    """Take-up t = c/(1 + c), relative to the yarn, of a crimp c, relative to the cloth.

    Fractions, scalars or arrays; raises ImpossibleValue unless 0 <= c and c is finite.
    Source: ISO 7211-3 defines crimp relative to the length in the cloth.

    >>> take_up_from_crimp(0.25)
    0.2
    """
    _all_true((crimp >= 0) & (crimp < float("inf")), "crimp", crimp, "0 or more")
    return crimp / (1 + crimp)


def share(text: str, what: str = "share") -> Quantity:
    """A part of a whole, more than 0 and at most 1: "40%", "0.4" or "2/5".

    >>> share("2/5").value, share("40%").value, share("0.4").value
    (0.4, 0.4, 0.4)
    """
    return _part(text, tidied(text, what, "40%"), what, "Write 40%, 0.4 or 2/5.")


def promise(text: str, what: str = "promise") -> Quantity:
    """The odds asked for, more than 50 % and at most 99.9 %: "95%", "0.95", "95 in 100".

    >>> promise("95 in 100")
    Quantity(value=0.95, step=0.01, sd=None, said='95 in 100')
    """
    plain = tidied(text, what, "95%")
    found = _OUT_OF.fullmatch(plain)
    if found:
        read = _out_of(found[1], found[2], what)
    else:
        part = _part(text, plain, what, "Write 95%, 0.95 or 95 in 100.")
        read = replace(part, said=f"{part.value * 100:.10g} in 100")
    if read.value > MOST_PROMISE:
        raise ImpossibleValue(what, read.said, "nothing is sure; at most 99.9 in 100")
    if not read.value > LEAST_PROMISE:
        raise ImpossibleValue(what, read.said, "more than 50 and at most 99.9 in 100")
    return read


def _out_of(part: str, whole: str, what: str) -> Quantity:
    """So many in so many: "95 in 100"."""
    some, every = number(part, what), number(whole, what)
    said = f"{some.written} in {every.written}"
    if not 0 < some.top * every.bottom <= every.top * some.bottom:
        raise ImpossibleValue(what, said, "more than 0 and no more than all of them")
    share_of_one = every.bottom / every.top
    value = some.top * every.bottom / (some.bottom * every.top)
    return Quantity(value, share_of_one / some.step_bottom, None, said)


def _part(text: str, plain: str, what: str, hint: str) -> Quantity:
    """A part of 1, as a percentage, a decimal or a fraction."""
    found = _PERCENT.fullmatch(plain)
    if not (found and not found[1].strip()) and not is_number(plain):
        raise _refusal(text, plain, what, "it is no part of a whole", hint, _PART_OF_ONE)
    amount = number(found[2] if found else plain, what)
    per = 100 if found else 1
    said = f"{amount.written} %" if found else amount.written
    if not found and amount.top > amount.bottom:
        raise UnreadableValue(what, said, "a number above 1 needs its % sign", hint)
    if not 0 < amount.top <= amount.bottom * per:
        raise ImpossibleValue(what, said, _PART_OF_ONE, hint)
    return Quantity(amount.top / (amount.bottom * per), 1 / (per * amount.step_bottom), None, said)


def _percentage(text: str, what: str, hint: str) -> tuple[bool, Number, Number | None]:
    """Whether a plus leads, the percentage, and that behind ±."""
    plain = tidied(text, what, "10%")
    middle, spread = halves(plain)
    found = _PERCENT.fullmatch(middle)
    around = None if spread is None else _PERCENT.fullmatch(spread)
    if not found or (spread is not None and (not around or around[1].strip())):
        raise _refusal(
            text, plain, what, "it is no percentage", f"{hint}, and 10%±2% for a spread."
        )
    width = None if around is None else number(around[2], what)
    if width and not width.top < 100 * width.bottom:
        raise ImpossibleValue(f"the spread of {what}", f"{width.written} %", "below 100 %")
    return bool(found[1].strip()), number(found[2], what), width


def _refusal(
    text: str, plain: str, what: str, why: str, hint: str, allowed: str = "0 % or more"
) -> FarspunError:
    """Why a text is not a percentage, with the spelling that would do."""
    said = shown(text)
    if re.match(r"- ?\.?[0-9]", plain):
        return ImpossibleValue(what, said, allowed)
    if is_number(plain.lstrip("+ ")):
        return UnreadableValue(what, said, "a number needs its % sign", _percent_hint(plain))
    return UnreadableValue(what, said, *(misspelled_number(plain) or (why, hint)))


def _percent_hint(plain: str) -> str:
    """The number with its sign: 10 as 10%, and 0.1 as 10% too.

    >>> _percent_hint("10"), _percent_hint("+0.125")
    ('Write 10%.', 'Write +12.5%.')
    """
    sign = "+" if plain.startswith("+") else ""
    written = plain.lstrip("+ ")
    if "/" not in written and 0 < float(written) < 1:
        written = f"{float(written) * 100:g}"
    return f"Write {sign}{written}%."


def _fraction(amount: Number) -> float:
    return amount.top / (amount.bottom * 100)


def _written(amount: Number, spread: Number | None) -> str:
    around = "" if spread is None else f" ± {spread.written} %"
    return f"{amount.written} %{around}"


def _factor(factor: float) -> str:
    """What to divide or multiply by, with two decimals or up to four if it takes them.

    >>> _factor(0.9), _factor(0.875), _factor(2 / 3)
    ('0.90', '0.875', '0.6667')
    """
    if factor < 0.01:
        return f"{factor:.2g}"
    said = f"{factor:.4f}"
    return said[:-2] + said[-2:].rstrip("0")


def _below_whole(fraction: float, said: str, what: str) -> None:
    if not fraction < 1:
        raise ImpossibleValue(what, said, "at least 0 % and below 100 %")


def _all_true(good: object, what: str, said: object, allowed: str) -> None:
    """Refuse unless the comparison holds, for every element if it is an array."""
    every = getattr(good, "all", None)
    if not (every() if every else good):
        raise ImpossibleValue(what, str(said), allowed)
