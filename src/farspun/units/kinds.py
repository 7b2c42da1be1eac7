"""The kinds of quantity, the spellings of their units, and why a text is refused."""

import re
from dataclasses import dataclass

from farspun.errors import FarspunError, ImpossibleValue, UnreadableValue, nearest_names
from farspun.units.factors import FOOT_M, GRAIN_G, INCH_M, OUNCE_G, POUND_G, YARD_M, Ratio
from farspun.units.number import NUMBER, is_number, shown


@dataclass(frozen=True, slots=True)
class Unit:
    """As said back, and how many canonical units it is."""

    symbol: str
    ratio: Ratio

    def after(self, written: str) -> str:
        """The number with this unit behind it: "3/cm", "8 epi"."""
        return written + ("" if self.symbol.startswith("/") else " ") + self.symbol


@dataclass(frozen=True, slots=True)
class Kind:
    """One kind of quantity: `units` by every spelling, in lower case without spaces.

    `most` is the largest that can be, in canonical units: judgement, no source, unless said.
    """

    noun: str
    units: dict[str, Unit]
    offered: str
    example: str
    most: float
    most_said: str

    def allowed(self, zero: bool = False) -> str:
        """The range in words."""
        return f"{'0 or more' if zero else 'more than 0'} and at most {self.most_said}"


def _spellings(table: dict[str, tuple[str, Ratio]]) -> dict[str, Unit]:
    """Units by spelling, from symbol: (other spellings, ratio)."""
    return {
        spelling: Unit(symbol, ratio)
        for symbol, (others, ratio) in table.items()
        for spelling in (symbol, *others.split())
    }


def _per_length(nouns: str, per_cm: Ratio, short: dict[str, tuple[str, Ratio]]) -> dict[str, Unit]:
    """Spellings of so many things per cm, per 10 cm and per inch; `per_cm` is the first."""
    top, bottom = per_cm
    lengths = {
        "/cm": ("/cm /centimetre /centimeter", (top, bottom)),
        "/10 cm": ("/10cm", (top, bottom * 10)),
        "/in": ('/in /inch /ins /inches /"', (top * 100, bottom * 254)),
    }
    units = _spellings(short)
    for noun in ("", *nouns.split()):
        for symbol, (spellings, ratio) in lengths.items():
            for spelling in spellings.split():
                units[noun + spelling] = Unit(noun + symbol, ratio)
    return units


MASS = Kind(
    "mass",
    _spellings(
        {
            "g": ("gm gms gram grams gramme grammes", (1, 1)),
            "mg": ("milligram milligrams", (1, 1000)),
            "kg": ("kgs kilo kilos kilogram kilograms", (1000, 1)),
            "oz": ("ozs ounce ounces", OUNCE_G),
            "lb": ("lbs pound pounds", POUND_G),
            "grains": ("grain", GRAIN_G),
        }
    ),
    "g, mg, kg, oz or lb",
    "112 g",
    50_000.0,
    "50 kg",
)
LENGTH = Kind(
    "length",
    _spellings(
        {
            "m": ("metre metres meter meters", (1, 1)),
            "cm": ("centimetre centimetres centimeter centimeters", (1, 100)),
            "mm": ("millimetre millimetres millimeter millimeters", (1, 1000)),
            "km": ("kilometre kilometres kilometer kilometers", (1000, 1)),
            "yd": ("yds yard yards", YARD_M),
            "ft": ("' foot feet", FOOT_M),
            "in": ('" ins inch inches', INCH_M),
        }
    ),
    "m, cm, mm, km, yd, ft or in",
    "271 m",
    1e8,  # 50 kg of half a tex, finer than any spinning
    "100 000 km",
)
WRAPS = Kind(
    "wraps",
    _per_length("wraps wrap", (1, 1), {"wpi": ("", (100, 254)), "wpc": ("", (1, 1))}),
    "wpi or wraps/cm",
    "15 wpi",
    200 / 2.54,
    "200 wpi (78.7 per cm)",
)
THREADS = Kind(
    "threads",
    _per_length(
        "ends end picks pick threads thread",
        (1, 1),
        {
            "epi": ("", (100, 254)),
            "ppi": ("", (100, 254)),
            "epc": ("", (1, 1)),
            "ppc": ("", (1, 1)),
        },
    ),
    "/cm, /10cm, /in, epi or ppi",
    "3/cm",
    1000.0,
    "1000 per cm",
)
DENTS = Kind(
    "dents",
    _per_length("dents dent", (10, 1), {"dpi": ("", (1000, 254))}),
    "/10cm, /cm, /in or dpi",
    "30/10cm",
    10_000.0,
    "1000 per cm",
)
KINDS = (MASS, LENGTH, WRAPS, THREADS, DENTS)

_THOUSANDS = re.compile(r"(?<![0-9])[0-9]{1,3}(?:,[0-9]{3})+(?![0-9])")
_SPACED_THOUSANDS = re.compile(r"(?<![0-9])[0-9]{1,3}(?: [0-9]{3})+(?![0-9/])")
_EXPONENT = re.compile(r"[0-9]\.?e[+-]?[0-9]")
_NUMBER_THEN_UNIT = re.compile(rf"(?:{NUMBER}) ?([^0-9 ±.]+)")
_NO_UNIT = "a number needs its unit"


def refusal(text: str, plain: str, what: str, kind: Kind, zero: bool = False) -> FarspunError:
    """The error that says why `text` (tidied: `plain`) is not of this kind, and what would be."""
    said = shown(text)
    if re.match(r"- ?\.?[0-9]", plain):
        return ImpossibleValue(
            what,
            said,
            kind.allowed(zero),
            f"Write it without the minus, like “{kind.example}”.",
        )
    if is_number(plain):
        return UnreadableValue(what, said, _NO_UNIT, _bare_number_hint(plain, kind, what))
    spelling = misspelled_number(plain)
    if spelling:
        return UnreadableValue(what, said, *spelling)
    given = _NUMBER_THEN_UNIT.findall(plain)
    strange = next((unit for unit in given if unit not in kind.units), None)
    if strange:
        return UnreadableValue(what, said, *_unknown_unit(strange, kind))
    if given and plain[-1].isdigit():
        return UnreadableValue(what, said, _NO_UNIT, f"Write a unit behind it: {kind.offered}.")
    if given:
        why = "it is not one number with its unit, or several from the largest unit down"
    else:
        why = "it holds no number"
    return UnreadableValue(what, said, why, f"Write it like “{kind.example}”, with {kind.offered}.")


# lengths that nobody gives in metres
SHORT = ("width", "waste", "hem", "side hem", "fringe", "gap", "header", "sample", "reed", "thrums")


def _bare_number_hint(plain: str, kind: Kind, what: str) -> str:
    if "/" in plain and kind is not MASS and kind is not LENGTH:
        return f"Write it with {kind.offered}: “{kind.example}”."
    likely = "cm" if kind is LENGTH and what in SHORT else next(iter(kind.units))
    first = kind.units[likely]
    return f"Write it with {kind.offered}: “{first.after(plain)}”."


def misspelled_number(plain: str) -> tuple[str, str] | None:
    """Why the number in it cannot be read and what to write, or None if that is not the fault."""
    if _THOUSANDS.search(plain):
        bare, point = plain.replace(",", ""), plain.replace(",", ".")
        return "a comma may mean two things", f"Write {bare} or {point}, whichever you mean."
    if re.search("[0-9],[0-9]", plain):
        point = re.sub("(?<=[0-9]),(?=[0-9])", ".", plain)
        return "the decimal mark is a point", f"Write {_spaced(point)}."
    if _SPACED_THOUSANDS.search(plain):
        close = _SPACED_THOUSANDS.sub(lambda found: found[0].replace(" ", ""), plain)
        return "there is a space inside the number", f"Write {close}."
    if _EXPONENT.search(plain):
        return "powers of ten are not read", "Write the number out in full."
    if re.search("±.*[0-9]$", plain):
        return (
            "the unit does not stand at the end",
            "Write it at the end, as in “50±8cm” or “10±2%”.",
        )
    return None


def _spaced(plain: str) -> str:
    """One space between a number and its unit.

    >>> _spaced("3.5g")
    '3.5 g'
    """
    return re.sub("(?<=[0-9])(?=[a-z])", " ", plain)


def _unknown_unit(unit: str, kind: Kind) -> tuple[str, str]:
    """Why and hint for a unit that is not one of this kind."""
    would_do = f"Units that would do: {kind.offered}."
    other = next((known.noun for known in KINDS if unit in known.units), None)
    if other:
        return f"“{shown(unit)}” is a unit of {other}, not of {kind.noun}", would_do
    near = nearest_names(unit, kind.units, most=1)
    offer = f" The nearest is “{kind.units[near[0]].symbol}”." if near else ""
    return f"“{shown(unit)}” is not a unit of {kind.noun}", would_do + offer
