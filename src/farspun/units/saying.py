"""Numbers as a weaver would say them: rounded, with their unit."""

import math

from farspun.errors import ImpossibleValue
from farspun.units.factors import (
    CM_PER_INCH,
    CM_PER_METRE,
    GRAMS_PER_KG,
    GRAMS_PER_OUNCE,
    METRES_PER_YARD,
    OUNCES_PER_POUND,
)

UNKNOWN = "unknown"


def _figures(amount: float, whole_from: float, trim: bool = False) -> str:
    """Whole from `whole_from` up, else one decimal, below one two; `trim` drops an idle .0.

    >>> _figures(48.94, 100), _figures(4.0, 10), _figures(4.0, 10, trim=True), _figures(99.97, 100)
    ('48.9', '4.0', '4', '100')
    """
    size = abs(amount)
    decimals = 0 if round(size, 1) >= whole_from else 1 if round(size, 2) >= 1 else 2
    said = f"{amount:.{decimals}f}"
    if float(said) == 0:
        return "0"
    return said.rstrip("0").rstrip(".") if trim and "." in said else said


def say_mass(mass_g: float) -> str:
    """A mass in g, or from 1 kg up in kg.

    >>> say_mass(112.3), say_mass(4.3), say_mass(1240.0)
    ('112 g', '4.3 g', '1.24 kg')
    """
    if not math.isfinite(mass_g):
        return UNKNOWN
    if round(abs(mass_g)) < GRAMS_PER_KG:
        return f"{_figures(mass_g, 10)} g"
    kilograms = mass_g / GRAMS_PER_KG
    return f"{kilograms:.{2 if round(abs(kilograms), 2) < 10 else 1}f} kg"


def say_mass_imperial(mass_g: float) -> str:
    """A mass in g, said in oz, or from 1 lb up in lb and oz.

    >>> say_mass_imperial(112.0), say_mass_imperial(566.99)
    ('4.0 oz', '1 lb 4 oz')
    """
    if not math.isfinite(mass_g):
        return UNKNOWN
    ounces = mass_g / GRAMS_PER_OUNCE
    if round(abs(ounces), 1) < OUNCES_PER_POUND:
        return f"{_figures(ounces, OUNCES_PER_POUND)} oz"
    pounds, rest = divmod(round(abs(ounces)), OUNCES_PER_POUND)
    sign = "-" if ounces < 0 else ""
    return f"{sign}{pounds} lb {rest} oz" if rest else f"{sign}{pounds} lb"


def say_length(length_m: float) -> str:
    """A length in m, below 1 m in cm, from 10 km up in km.

    >>> say_length(271.2), say_length(5.6), say_length(0.489)
    ('271 m', '5.6 m', '48.9 cm')
    """
    if not math.isfinite(length_m):
        return UNKNOWN
    if round(abs(length_m), 2) < 1:
        return say_cm(length_m * CM_PER_METRE)
    if round(abs(length_m)) < 10_000:
        return f"{_figures(length_m, 10)} m"
    return f"{length_m / 1000:.1f} km"


def say_length_imperial(length_m: float) -> str:
    """A length in m, said in yd above 2 yd, else in inches.

    >>> say_length_imperial(271.0), say_length_imperial(5.0), say_length_imperial(0.4)
    ('296 yd', '5.5 yd', '15.7 in')
    """
    if not math.isfinite(length_m):
        return UNKNOWN
    yards = length_m / METRES_PER_YARD
    if abs(yards) > 2:
        return f"{_figures(yards, 10)} yd"
    return say_inches(length_m * CM_PER_METRE)


def say_cm(length_cm: float) -> str:
    """A length in cm.

    >>> say_cm(48.94), say_cm(255.0), say_cm(9.0)
    ('48.9 cm', '255 cm', '9 cm')
    """
    return f"{_figures(length_cm, 100, trim=True)} cm" if math.isfinite(length_cm) else UNKNOWN


def say_inches(length_cm: float) -> str:
    """A length in cm, said in inches.

    >>> say_inches(48.94), say_inches(35.56)
    ('19.3 in', '14 in')
    """
    if not math.isfinite(length_cm):
        return UNKNOWN
    return f"{_figures(length_cm / CM_PER_INCH, 100, trim=True)} in"


def say_per_cm(per_cm: float) -> str:
    """So many per cm.

    >>> say_per_cm(3.1496)
    '3.1 per cm'
    """
    return f"{_figures(per_cm, 100)} per cm" if math.isfinite(per_cm) else UNKNOWN


def say_per_inch(per_cm: float) -> str:
    """So many per cm, said per inch.

    >>> say_per_inch(3.1496)
    '8.0 per inch'
    """
    return f"{_figures(per_cm * CM_PER_INCH, 100)} per inch" if math.isfinite(per_cm) else UNKNOWN


def say_percent(fraction: float) -> str:
    """A fraction as a percentage.

    >>> say_percent(0.1667), say_percent(0.1), say_percent(0.0002)
    ('16.7 %', '10 %', 'under 0.1 %')
    """
    if not math.isfinite(fraction):
        return UNKNOWN
    if 0 < fraction < 0.0005:
        return "under 0.1 %"
    said = f"{fraction * 100:.1f}".removesuffix(".0")
    return f"{'0' if said == '-0' else said} %"


def say_odds(odds: float, promise: float | None = None) -> str:
    """Odds as so many in 100, never 0 and never 100.

    Odds below `promise` are not rounded up to it. Raises ImpossibleValue outside 0 to 1.

    >>> say_odds(0.966), say_odds(0.004), say_odds(0.9999), say_odds(0.948, promise=0.95)
    ('97 in 100', 'under 1 in 100', 'over 99 in 100', '94 in 100')
    """
    if math.isnan(odds):
        return UNKNOWN
    if not 0 <= odds <= 1:
        raise ImpossibleValue("odds", f"{odds:g}", "from 0 to 1")
    if odds < 0.01:
        return "under 1 in 100"
    if odds > 0.99:
        return "over 99 in 100"
    said = round(odds * 100)
    if promise is not None and odds < promise <= said / 100:
        said -= 1
    return f"{said} in 100"
