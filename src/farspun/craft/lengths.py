"""The steps between a finished piece and the loom, each with its way back.

Lengths and widths are cm, losses are fractions of the larger thing (docs/amounts.md). Every
formula takes scalars, arrays or a mixture and answers in kind; a length below 0 cm or a loss of
the whole raises ImpossibleValue. Where no other source is named: common practice, no source.
"""

import math
from typing import Any, TypeVar, overload

import numpy as np
from numpy.typing import NDArray

from farspun.craft.limits import above_zero, between, count, grown, left, length
from farspun.units import CM_PER_INCH

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Number = TypeVar("Number", float, Floats)

# name: value              unit          source
ROUNDING = 1e-6  # threads or cm   judgement: far below a thread, far above a float's error
MOST_COUNTED = 1e15  # threads or cm  exact: up to here a float still tells whole numbers apart
FRINGE_TWIST = 0.15  # fraction    common practice, no source: a fringe twisted in two plies


@overload
def whole_up(x: float) -> int: ...
@overload
def whole_up(x: Floats) -> Ints: ...
def whole_up(x: float | Floats) -> int | Ints:
    """`x` rounded up to whole threads or cm, forgiving 1e-6: an int, or an array of them.

    16.5 in at 8 per inch is 132 ends, not 133 because the product came out a hair above.

    >>> whole_up(132.0000001), whole_up(132.00001), whole_up(np.array([1.2, 3.0])).tolist()
    (132, 133, [2, 3])
    """
    between("number of threads or cm", x, -MOST_COUNTED, MOST_COUNTED)
    if isinstance(x, np.ndarray):
        return np.ceil(x - ROUNDING).astype(np.int64)
    return math.ceil(x - ROUNDING)


def off_loom(finished_cm: Number | float, hem_cm: Number | float, shrink: Number | float) -> Number:
    """Rested length or width of one piece, unwashed: (finished + 2 hem)/(1 - shrinkage), cm.

    Inverse: `finished`.

    >>> round(off_loom(84, 0, 0.10), 2)
    93.33
    """
    with_hems_cm = length("finished size", finished_cm) + 2 * length("hem", hem_cm)
    rested_cm: Number = with_hems_cm / left("shrinkage", shrink)
    return rested_cm


def finished(rested_cm: Number | float, hem_cm: Number | float, shrink: Number | float) -> Number:
    """Washed length or width of a piece rested off the loom, hems turned: inverse of `off_loom`.

    Below 0 where the hems take more than there is.

    >>> round(finished(off_loom(84, 2, 0.10), 2, 0.10), 9)
    84.0
    """
    washed_cm = length("size off the loom", rested_cm) * left("shrinkage", shrink)
    finished_cm: Number = washed_cm - 2 * length("hem", hem_cm)
    return finished_cm


def reed_width(off_loom_cm: Number | float, draw_in: Number | float) -> Number:
    """Width in the reed for a rested width off the loom: Wo/(1 - draw-in), cm.

    Inverse: `off_loom_width`.

    >>> round(reed_width(off_loom(35, 0, 0.12), 0.08), 2)
    43.23
    """
    reed_cm: Number = length("width off the loom", off_loom_cm) / left("draw-in", draw_in)
    return reed_cm


def off_loom_width(reed_cm: Number | float, draw_in: Number | float) -> Number:
    """Rested width off the loom for a width in the reed, cm: inverse of `reed_width`.

    >>> off_loom_width(50, 0.08)
    46.0
    """
    rested_cm: Number = length("reed width", reed_cm) * left("draw-in", draw_in)
    return rested_cm


@overload
def ends_in_reed(
    reed_cm: float, sett_per_cm: float, repeat: int = 1, pairs: bool = False
) -> int: ...
@overload
def ends_in_reed(
    reed_cm: Floats, sett_per_cm: float | Floats, repeat: int = 1, pairs: bool = False
) -> Ints: ...
def ends_in_reed(
    reed_cm: float | Floats, sett_per_cm: float | Floats, repeat: int = 1, pairs: bool = False
) -> int | Ints:
    """Whole ends for a reed width, up to whole repeats, and to pairs for direct warping.

    Without floating selvedges.

    >>> ends_in_reed(43.23, 3), ends_in_reed(43.23, 3, repeat=7, pairs=True)
    (130, 140)
    """
    step = math.lcm(count("repeat", repeat), 2 if pairs else 1)
    above_zero("sett", sett_per_cm, "ends per cm")
    ends: int | Ints = whole_up(length("reed width", reed_cm) * sett_per_cm)
    return -(-ends // step) * step


def tape_length(woven_cm: Number | float, let_off: Number | float) -> Number:
    """What a tape along the tight cloth shows for a rested length: Lt/(1 - let-off), cm.

    Inverse: `rested_length`.

    >>> tape_length(96, 0.04)
    100.0
    """
    tight_cm: Number = length("woven length", woven_cm) / left("let-off", let_off)
    return tight_cm


def rested_length(tape_cm: Number | float, let_off: Number | float) -> Number:
    """Rested length of cloth measured tight, cm: inverse of `tape_length`.

    >>> rested_length(100, 0.04)
    96.0
    """
    rested_cm: Number = length("length on the tape", tape_cm) * left("let-off", let_off)
    return rested_cm


def unwoven_warp(
    pieces: int,
    gap_cm: Number | float,
    waste_cm: Number | float,
    fringe_cm: Number | float,
    fringe_from_waste: bool = False,
) -> Number:
    """Warp that is never woven: gaps between pieces, loom waste and cut fringes, cm.

    Where the fringe may come out of the waste, the two outer ones cost only what the waste does
    not hold.

    >>> unwoven_warp(2, 0, 60, 10), unwoven_warp(2, 0, 60, 10, fringe_from_waste=True)
    (100, 80.0)
    >>> unwoven_warp(1, 0, 15, 10, fringe_from_waste=True)
    20.0
    """
    count("number of pieces", pieces)
    waste_cm = length("loom waste", waste_cm)
    outer_cm: Any = 2 * length("fringe", fringe_cm)
    between_cm = (pieces - 1) * (length("gap", gap_cm) + outer_cm)
    if fringe_from_waste:
        lacking_cm = outer_cm - waste_cm
        outer_cm = (lacking_cm + abs(lacking_cm)) / 2  # what is above 0, scalar or array
    unwoven_cm: Number = between_cm + waste_cm + outer_cm
    return unwoven_cm


def warp_length(
    woven_cm: Number | float, take_up: Number | float, unwoven_cm: Number | float = 0.0
) -> Number:
    """Length of each end: rested cloth/(1 - take-up) + what is never woven, cm.

    Inverse: `woven_from_warp`.

    >>> round(warp_length(off_loom(84, 0, 0.10), 0.10, 65), 2)
    168.7
    """
    slack_cm = length("woven length", woven_cm) / left("take-up", take_up)
    warp_cm: Number = slack_cm + length("warp that is not woven", unwoven_cm)
    return warp_cm


def woven_from_warp(
    warp_cm: Number | float, take_up: Number | float, unwoven_cm: Number | float = 0.0
) -> Number:
    """Rested cloth a warp gives, cm: inverse of `warp_length`; below 0 where all is waste.

    >>> round(woven_from_warp(168.7037, 0.10, 65), 2)
    93.33
    """
    slack_cm = length("warp", warp_cm) - length("warp that is not woven", unwoven_cm)
    rested_cm: Number = slack_cm * left("take-up", take_up)
    return rested_cm


def pick_length(reed_cm: Number | float, weft_take_up: Number | float) -> Number:
    """Weft yarn in one pick: reed width × (1 + weft take-up), cm.

    >>> round(pick_length(43.3333, 0.10), 2)
    47.67
    """
    pick_cm: Number = length("reed width", reed_cm) * grown("weft take-up", weft_take_up)
    return pick_cm


def fringe_cut(
    wanted_cm: Number | float, shrink_length: Number | float, twist: Number | float = FRINGE_TWIST
) -> Number:
    """Fringe to leave at each end of a piece for the finished fringe wanted, cm.

    It shrinks as the cloth does, and twisting takes up `twist` of it. Inverse: `finished_fringe`.

    >>> round(fringe_cut(10, 0.10), 2)
    13.07
    """
    kept = left("twist of the fringe", twist) * left("shrinkage", shrink_length)
    cut_cm: Number = length("fringe", wanted_cm) / kept
    return cut_cm


def finished_fringe(
    cut_cm: Number | float, shrink_length: Number | float, twist: Number | float = FRINGE_TWIST
) -> Number:
    """Finished fringe that a cut one gives, cm: inverse of `fringe_cut`.

    >>> round(finished_fringe(fringe_cut(10, 0.10), 0.10), 9)
    10.0
    """
    kept = left("twist of the fringe", twist) * left("shrinkage", shrink_length)
    finished_cm: Number = length("fringe", cut_cm) * kept
    return finished_cm


def mill_contraction(
    intersections_per_cm: Number | float, weft_ne: Number | float, k: Number | float
) -> Number:
    """Contraction of fine mill cloth by the old rule k × intersections per inch / weft count, in %.

    Intersections as one end meets them (in plain cloth the picks), weft in cotton counts (Ne), k
    3 or 4 by the kind of cloth. Returns a fraction. For comparison only: handspun is far thicker.
    Source: J. T. Taylor, Cotton Weaving and Designing, 6th ed. 1909, pp. 426-429.

    >>> round(mill_contraction(60 / 2.54, 40, 3), 4)
    0.045
    """
    per_inch = above_zero("intersections", intersections_per_cm, "per cm") * CM_PER_INCH
    percent = above_zero("k", k, "") * per_inch / above_zero("weft count", weft_ne, "Ne")
    contraction: Number = percent / 100
    return contraction
