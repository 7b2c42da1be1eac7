"""Quantities with their unit: masses, lengths, wraps, setts, reeds, and things counted.

Canonical units: g, m, wraps per cm, threads per cm, dents per 10 cm.
"""

import re
from dataclasses import dataclass

from farspun.errors import ImpossibleValue, UnreadableValue
from farspun.units.kinds import DENTS, LENGTH, MASS, THREADS, WRAPS, Kind, Unit, refusal
from farspun.units.number import NUMBER, Number, is_number, number, shown, tidied

HEAVY_MASS_G = 5_000.0  # warned of, not refused: judgement, no source
MOST_COUNTED = 1_000_000_000  # judgement, no source

_PART = re.compile(rf"({NUMBER}) ?([a-z]+|[\"'])\.? ?")
_PER = re.compile(r" ?\bper\b ?|(?<=[0-9])per\b ?")
_DENSITY = re.compile(r"([0-9.][0-9 ./]*?) ?([a-z]*(?:/(?:10 ?)?[a-z\"]+)?)\.?")
_WHOLE = re.compile("-?[0-9]+")
_MOST_FIGURES = 20


@dataclass(frozen=True, slots=True)
class Quantity:
    """A value in its canonical unit, how finely it was written, and how it is said back.

    `step` is one unit of the last digit written, `sd` what stood behind ±, both canonical.
    """

    value: float
    step: float
    sd: float | None
    said: str


@dataclass(frozen=True, slots=True)
class _Sum:
    """What one side of a ± comes to: exactly top/bottom canonical units."""

    top: int
    bottom: int
    step: float
    said: str


def mass(text: str, what: str = "mass", *, zero: bool = False) -> Quantity:
    """A mass in g, more than 0 (or 0 where `zero`) and at most 50 kg.

    >>> mass("3 3/4 oz")
    Quantity(value=106.31071171875, step=7.08738078125, sd=None, said='3 3/4 oz')
    >>> mass("1 lb 4 oz").value
    566.9904625
    """
    return _quantity(text, what, MASS, zero)


def length(text: str, what: str = "length", *, zero: bool = False) -> Quantity:
    """A length in m, more than 0, or 0 too where `zero`.

    >>> length("12 yd 18 in")
    Quantity(value=11.43, step=0.0254, sd=None, said='12 yd 18 in')
    >>> length("50cm±8cm").sd
    0.08
    """
    return _quantity(text, what, LENGTH, zero)


def wraps(text: str, what: str = "wraps") -> Quantity:
    """Wraps per cm, at most 200 per inch.

    >>> wraps("6 wraps/cm").value, wraps("6 wpc").value, round(wraps("15 wpi").value, 3)
    (6.0, 6.0, 5.906)
    """
    return _quantity(text, what, WRAPS)


def threads(text: str, what: str = "sett") -> Quantity:
    """Ends or picks per cm.

    >>> threads("30/10cm")
    Quantity(value=3.0, step=0.1, sd=None, said='30/10 cm')
    >>> round(threads("8 epi").value, 4)
    3.1496
    """
    return _quantity(text, what, THREADS)


def dents(text: str, what: str = "reed") -> Quantity:
    """Dents of a reed or rigid heddle per 10 cm.

    >>> dents("30/10cm").value, dents("3/cm").value, round(dents("8 dpi").value, 3)
    (30.0, 30.0, 31.496)
    """
    return _quantity(text, what, DENTS)


def whole(text: str, what: str, *, least: int = 1) -> int:
    """A number of things counted, `least` or more.

    >>> whole(" 150 ", "strands")
    150
    """
    plain = text.strip()
    allowed = f"a whole number from {least} to {MOST_COUNTED}"
    if not _WHOLE.fullmatch(plain):
        raise UnreadableValue(
            what, shown(text), "it is not a whole number in figures", "Write it like “150”."
        )
    if len(plain) > _MOST_FIGURES or not least <= int(plain) <= MOST_COUNTED:
        raise ImpossibleValue(what, shown(text), allowed)
    return int(plain)


def test_length(text: str) -> tuple[Quantity, Quantity]:
    """Length and mass of a test length, written LENGTH=MASS.

    >>> long, heavy = test_length("10m=4.3g")
    >>> long.value, heavy.value, heavy.step
    (10.0, 4.3, 0.1)
    """
    sides = text.split("=")
    if len(sides) != 2:
        raise UnreadableValue(
            "test length",
            shown(text),
            "a length and its mass are wanted, with = between",
            "Write it like “10m=4.3g”.",
        )
    return length(sides[0], "test length"), mass(sides[1], "mass of the test length")


_BARE = re.compile(NUMBER)
_LAST_UNIT = re.compile(rf"(?:{NUMBER})( ?[^0-9 ].*)")


def halves(plain: str) -> tuple[str, str | None]:
    """The middle and what stands behind ±, if anything does; a unit at the end is that of both.

    >>> halves("50cm±8cm"), halves("50 ± 8 cm"), halves("50cm")
    (('50cm', '8cm'), ('50 cm', '8 cm'), ('50cm', None))
    """
    middle, sign, spread = (part.strip() for part in plain.partition("±"))
    last = _LAST_UNIT.fullmatch(spread) if _BARE.fullmatch(middle) else None
    return middle + (last[1] if last else ""), spread if sign else None


def _quantity(text: str, what: str, kind: Kind, zero: bool = False) -> Quantity:
    """The quantity written, within what its kind can be; 0 only where `zero`."""
    plain = tidied(text, what, kind.example)
    middle, spread = halves(plain)
    read = _parts if kind is MASS or kind is LENGTH else _density
    found = read(middle, what, kind)
    around = None if spread is None else read(spread, what, kind)
    if found is None or (spread is not None and around is None):
        raise refusal(text, plain, what, kind, zero)
    value = found.top / found.bottom
    if not (value > 0 or zero) or not value <= kind.most:
        raise ImpossibleValue(what, found.said, kind.allowed(zero))
    sd = None if around is None else around.top / around.bottom
    said = found.said if around is None else f"{found.said} ± {around.said}"
    return Quantity(value, found.step, sd, said)


def _scaled(amount: Number, unit: Unit) -> _Sum:
    top, bottom = unit.ratio
    step = top / (bottom * amount.step_bottom)
    return _Sum(amount.top * top, amount.bottom * bottom, step, unit.after(amount.written))


def _parts(plain: str, what: str, kind: Kind) -> _Sum | None:
    """One number with its unit, or several from the largest unit down; None if it is neither."""
    parts: list[_Sum] = []
    smallest = float("inf")
    place = 0
    while place < len(plain):
        found = _PART.match(plain, place)
        unit = kind.units.get(found[2]) if found else None
        if not found or not unit or not unit.ratio[0] / unit.ratio[1] < smallest:
            return None
        smallest = unit.ratio[0] / unit.ratio[1]
        parts.append(_scaled(number(found[1], what), unit))
        place = found.end()
    return _added(parts) if parts else None


def _added(parts: list[_Sum]) -> _Sum:
    top, bottom = 0, 1
    for part in parts:
        top, bottom = top * part.bottom + part.top * bottom, bottom * part.bottom
    return _Sum(top, bottom, parts[-1].step, " ".join(part.said for part in parts))


def _density(plain: str, what: str, kind: Kind) -> _Sum | None:
    """So many per length: one number, then the unit with its slash; None if it is not that."""
    found = _DENSITY.fullmatch(_PER.sub("/", plain))
    unit = kind.units.get(found[2].replace(" ", "")) if found else None
    if not found or not unit or not is_number(found[1]):
        return None
    if "/" in found[1] and " " not in found[1] and found[2].startswith("/"):
        raise UnreadableValue(
            what,
            shown(plain),
            "it holds “so many in so many” twice",
            f"Write it once: “{kind.example}”.",
        )
    return _scaled(number(found[1], what), unit)
