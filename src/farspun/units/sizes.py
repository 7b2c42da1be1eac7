"""Sizes of cloth: width, then length."""

import re
from dataclasses import dataclass

from farspun.errors import ImpossibleValue, UnreadableValue
from farspun.units.number import is_number, number, shown, tidied
from farspun.units.quantities import length

_EXAMPLE = "40cmx160cm"
_SHAPE = "1:4"
MOST_DRAWN_OUT = 1000  # times as long as wide, or as wide as long; judgement: a band is not longer
_LAST_UNIT = re.compile(r"[a-z\"']+\.?$")


@dataclass(frozen=True, slots=True)
class Size:
    """Width and length in metres, and how they are said back."""

    width_m: float
    length_m: float
    said: str

    @property
    def is_wider_than_long(self) -> bool:
        """Whether the two may have been given in the wrong order (worth a warning).

        >>> size("160cmx40cm").is_wider_than_long
        True
        """
        return self.width_m > self.length_m


def size(text: str, what: str = "size") -> Size:
    """Width then length, each with its unit, joined by x, X or ×.

    >>> size("40cmx160cm")
    Size(width_m=0.4, length_m=1.6, said='40 cm wide, 160 cm long')
    >>> size("14in x 2yd 18in").said
    '14 in wide, 2 yd 18 in long'
    """
    plain = tidied(text, what, _EXAMPLE)
    sides = [side.strip() for side in plain.split("x")]
    if len(sides) != 2 or not all(sides):
        raise UnreadableValue(
            what,
            shown(text),
            "a width and a length are wanted, with x between",
            _one_side_hint(sides),
        )
    if any(is_number(side) for side in sides):
        raise UnreadableValue(
            what, shown(text), "each side needs its unit", f"Write {_with_units(*sides)}."
        )
    if "±" in plain:
        raise UnreadableValue(what, shown(text), "a size has no ±", f"Write it like “{_EXAMPLE}”.")
    wide, long = length(sides[0], f"{what} (width)"), length(sides[1], f"{what} (length)")
    return Size(wide.value, long.value, f"{wide.said} wide, {long.said} long")


def shape(text: str, what: str = "shape") -> float:
    """Width over length, from "1:4": four times as long as wide.

    >>> shape("1:4"), shape("2 : 3.2")
    (0.25, 0.625)
    """
    plain = tidied(text, what, _SHAPE)
    sides = [side.strip() for side in plain.split(":")]
    if len(sides) != 2 or not all(is_number(side) for side in sides):
        raise UnreadableValue(
            what,
            shown(text),
            "two numbers are wanted, width and length, with : between",
            f"Write it like “{_SHAPE}”: four times as long as wide.",
        )
    wide, long = (number(side, what) for side in sides)
    over, under = wide.top * long.bottom, long.top * wide.bottom
    if not 0 < over <= MOST_DRAWN_OUT * under or not under <= MOST_DRAWN_OUT * over:
        raise ImpossibleValue(what, plain, f"from 1:{MOST_DRAWN_OUT} to {MOST_DRAWN_OUT}:1")
    return over / under


def _one_side_hint(sides: list[str]) -> str:
    alone = len(sides) == 1 and is_number(sides[0])
    example = f"{sides[0]}cmx150cm" if alone else _EXAMPLE
    return f"Write width, then length, each with its unit: {example}."


def _with_units(wide: str, long: str) -> str:
    """The right spelling: the unit of the other side, else both usual units to choose from.

    >>> _with_units("30", "150cm"), _with_units("30", "150")
    ('30cmx150cm', '30cmx150cm, or 30inx150in if inches are meant')
    """
    found = _LAST_UNIT.search(wide) or _LAST_UNIT.search(long)
    unit = found[0] if found else "cm"
    spelled = "x".join(side + unit if is_number(side) else side for side in (wide, long))
    return spelled if found else f"{spelled}, or {wide}inx{long}in if inches are meant"
