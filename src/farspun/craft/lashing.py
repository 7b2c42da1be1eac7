"""How long the cord is that lashes a warp to the bar in front of it."""

import math
from dataclasses import dataclass

from farspun.craft.amounts import whole_up
from farspun.craft.limits import above_zero, count, length

# name: value        unit   source
TAILS_CM = 90.0  # cm       common practice, no source: to tie off, and to pull tight by
NARROW_CM = 2.54  # cm      common practice, no source: bundles of an inch
NARROWER_CM = 1.27  # cm    common practice, no source: of half an inch, for fine or slippery warps


@dataclass(frozen=True, slots=True)
class Lashing:
    """The cord for one bar: through `bundles` bundles, `loop_cm` each, and `tails_cm` over."""

    bundles: int
    bundle_cm: float
    gap_cm: float
    rod_cm: float
    loop_cm: float
    tails_cm: float
    cord_cm: float


def lashing(width_cm: float, bundle_cm: float, gap_cm: float, rod_cm: float) -> Lashing:
    """Cord through bundles of a warp `width_cm` wide, cm.

    `bundle_cm` is how wide each bundle is, `gap_cm` from the bar to its knot, `rod_cm` how thick
    the bar is. The last bundle may be narrower. Raises ImpossibleValue for a width, bundle or rod
    not above 0. Source: hand geometry in `loop_cm`; the tails are common practice.

    >>> cord = lashing(50.8, 2.54, 8.0, 1.2)
    >>> cord.bundles, round(cord.cord_cm, 1)
    (20, 451.7)
    """
    above_zero("width", width_cm, "cm")
    bundles = whole_up(width_cm / above_zero("bundle", bundle_cm, "cm"))
    count("number of bundles", int(bundles))
    each_cm = loop_cm(bundle_cm, gap_cm, rod_cm)
    return Lashing(
        bundles=int(bundles),
        bundle_cm=bundle_cm,
        gap_cm=gap_cm,
        rod_cm=rod_cm,
        loop_cm=each_cm,
        tails_cm=TAILS_CM,
        cord_cm=bundles * each_cm + TAILS_CM,
    )


def loop_cm(bundle_cm: float, gap_cm: float, rod_cm: float) -> float:
    """Cord from one bundle to the next, cm: slanting to the bar, half round it, slanting back.

    Each slant runs `gap_cm` forward and half a bundle sideways. Raises ImpossibleValue.
    Source: Pythagoras, and half the circle of a round bar.

    >>> loop_cm(6.0, 4.0, 2.0) == 10 + math.pi
    True
    """
    half_cm = above_zero("bundle", bundle_cm, "cm") / 2
    slant_cm = math.hypot(length("gap", gap_cm), half_cm)
    half_round_cm: float = math.pi * above_zero("rod", rod_cm, "cm") / 2
    return 2 * slant_cm + half_round_cm
