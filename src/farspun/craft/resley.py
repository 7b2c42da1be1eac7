"""A warp that is there, at another sett: its ends stay, and its width follows."""

from farspun.craft.lengths import ends_in_reed
from farspun.craft.limits import above_zero, count


def resleyed_width_cm(ends: int, ends_per_cm: float) -> float:
    """How wide so many ends stand in the reed at another sett, cm.

    Raises ImpossibleValue. Source: arithmetic.

    >>> twenty_inches_at_ten, inch = 200, 2.54
    >>> round(resleyed_width_cm(twenty_inches_at_ten, 12 / inch) / inch, 1)
    16.7
    """
    return count("number of ends", ends) / float(above_zero("sett", ends_per_cm, "ends per cm"))


def ends_to_add(ends: int, width_cm: float, ends_per_cm: float, repeat: int = 1) -> int:
    """Ends to add, in whole repeats, so that a width stays what it was; below 0 to take out.

    >>> ends_to_add(200, 20 * 2.54, 12 / 2.54), ends_to_add(200, 20 * 2.54, 8 / 2.54)
    (40, -40)
    """
    return ends_in_reed(width_cm, ends_per_cm, repeat) - count("number of ends", ends)
