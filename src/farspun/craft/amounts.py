"""What a cloth asks of loom and yarn, at middle values: no odds here.

`amounts` puts the steps of farspun.craft.lengths together for one cloth, as docs/amounts.md
tells; how its ends and picks are shared out is in farspun.craft.winding. Both are offered here.
"""

from dataclasses import dataclass

from farspun.craft.lengths import (
    FRINGE_TWIST,
    ends_in_reed,
    finished,
    finished_fringe,
    fringe_cut,
    mill_contraction,
    off_loom,
    off_loom_width,
    pick_length,
    reed_width,
    rested_length,
    tape_length,
    unwoven_warp,
    warp_length,
    whole_up,
    woven_from_warp,
)
from farspun.craft.limits import above_zero, count, length
from farspun.craft.winding import (
    SPARE_LENGTHS,
    SkeinWinding,
    Winding,
    ends_by_order,
    shared_picks,
    winding,
)
from farspun.units import CM_PER_METRE

__all__ = [
    "FRINGE_TWIST",
    "SPARE_LENGTHS",
    "Amounts",
    "SkeinWinding",
    "Wanted",
    "Winding",
    "amounts",
    "ends_by_order",
    "ends_in_reed",
    "finished",
    "finished_fringe",
    "fringe_cut",
    "mill_contraction",
    "off_loom",
    "off_loom_width",
    "pick_length",
    "reed_width",
    "rested_length",
    "shared_picks",
    "tape_length",
    "unwoven_warp",
    "warp_length",
    "whole_up",
    "winding",
    "woven_from_warp",
]

# name: value            unit     source
LONGEST_CM = 1e10  # cm           judgement: 100 000 km, as farspun.units reads at most
DENSEST_PER_CM = 1e4  # per cm    judgement: finer than any thread


@dataclass(frozen=True, slots=True)
class Wanted:
    """The finished size of each piece, and what is lost on the way to it; nothing said is 0.

    Lengths are cm; losses (`draw_in`, `take_up`, `let_off`, `shrink_*`) are fractions of the
    larger thing, `weft_take_up` an addition to the reed width. `hem_cm` is per end and
    `side_hem_cm` per side of a piece, `fringe_cm` per end of a piece as cut on the loom;
    `gap_cm` lies unwoven between pieces; `header_cm` and `sample_cm` are woven once; `repeat` is
    the ends of one repeat (2 for pairs).
    """

    width_cm: float
    length_cm: float
    sett_per_cm: float
    picks_per_cm: float
    pieces: int = 1
    draw_in: float = 0.0
    take_up: float = 0.0
    weft_take_up: float = 0.0
    let_off: float = 0.0
    shrink_width: float = 0.0
    shrink_length: float = 0.0
    hem_cm: float = 0.0
    side_hem_cm: float = 0.0
    fringe_cm: float = 0.0
    gap_cm: float = 0.0
    header_cm: float = 0.0
    sample_cm: float = 0.0
    waste_cm: float = 0.0
    floating_selvedges: int = 0
    repeat: int = 1
    fringe_from_waste: bool = False


@dataclass(frozen=True, slots=True)
class Amounts:
    """The set-up, and the yarn for it.

    `off_loom_*` are one piece as asked, before ends are rounded; `ends` counts the floating
    selvedges, `reed_width_cm` does not; `woven_length_cm` is rested and `tape_length_cm` the same
    cloth tight; `warp_length_cm` is unrounded and `warp_cut_cm` a whole number of cm;
    `warp_yarn_m` and `warp_yarn_cut_m` are all ends of the one and of the other.
    """

    reed_width_cm: float
    ends: int
    off_loom_length_cm: float
    off_loom_width_cm: float
    woven_length_cm: float
    tape_length_cm: float
    warp_length_cm: float
    warp_cut_cm: int
    warp_yarn_m: float
    warp_yarn_cut_m: float
    picks: int
    pick_length_cm: float
    weft_yarn_m: float


def amounts(wanted: Wanted, ends: int | None = None, warp_cut_cm: int | None = None) -> Amounts:
    """Set-up, warp and weft for the size asked.

    `ends` (without floating selvedges) and `warp_cut_cm` given by hand replace what comes out;
    `warp_length_cm` stays as calculated. Raises ImpossibleValue for a size, sett or count not
    above 0, a loss of the whole, or a cloth of no end or no pick. Source: common practice, no
    source.

    >>> rugs = Wanted(82, 200, 3, 2, pieces=2, take_up=0.15 / 1.15, fringe_cm=10, waste_cm=60,
    ...               floating_selvedges=4)
    >>> planned = amounts(rugs)
    >>> planned.ends, planned.warp_cut_cm, planned.warp_yarn_cut_m
    (250, 560, 1400.0)
    """
    _check(wanted)
    length_cm = off_loom(wanted.length_cm, wanted.hem_cm, wanted.shrink_length)
    width_cm = off_loom(wanted.width_cm, wanted.side_hem_cm, wanted.shrink_width)
    woven_cm = wanted.pieces * length_cm + wanted.sample_cm + wanted.header_cm
    warp_cm = warp_length(woven_cm, wanted.take_up, _unwoven(wanted))
    if ends is None:
        needed_cm = reed_width(width_cm, wanted.draw_in)
        ends = ends_in_reed(needed_cm, wanted.sett_per_cm, wanted.repeat)
    if warp_cut_cm is None:
        warp_cut_cm = whole_up(warp_cm)
    picks = whole_up(woven_cm * wanted.picks_per_cm)
    for what, number in (("ends", ends), ("picks", picks), ("cm of warp", warp_cut_cm)):
        count(f"number of {what}", number)
    threads = ends + wanted.floating_selvedges
    in_reed_cm = ends / wanted.sett_per_cm
    pick_cm = pick_length(in_reed_cm, wanted.weft_take_up)
    return Amounts(
        reed_width_cm=in_reed_cm,
        ends=threads,
        off_loom_length_cm=length_cm,
        off_loom_width_cm=width_cm,
        woven_length_cm=woven_cm,
        tape_length_cm=tape_length(woven_cm, wanted.let_off),
        warp_length_cm=warp_cm,
        warp_cut_cm=warp_cut_cm,
        warp_yarn_m=threads * warp_cm / CM_PER_METRE,
        warp_yarn_cut_m=threads * warp_cut_cm / CM_PER_METRE,
        picks=picks,
        pick_length_cm=pick_cm,
        weft_yarn_m=picks * pick_cm / CM_PER_METRE,
    )


def _unwoven(wanted: Wanted) -> float:
    return unwoven_warp(
        wanted.pieces,
        wanted.gap_cm,
        wanted.waste_cm,
        wanted.fringe_cm,
        wanted.fringe_from_waste,
    )


def _check(wanted: Wanted) -> None:
    """What the formulas do not check themselves: sizes and setts above 0, whole counts."""
    above_zero("width", wanted.width_cm, "cm", below=LONGEST_CM)
    above_zero("length", wanted.length_cm, "cm", below=LONGEST_CM)
    above_zero("sett", wanted.sett_per_cm, "ends per cm", below=DENSEST_PER_CM)
    above_zero("picks", wanted.picks_per_cm, "per cm", below=DENSEST_PER_CM)
    count("number of pieces", wanted.pieces)
    length("sample", wanted.sample_cm)
    length("header", wanted.header_cm)
    count("number of floating selvedges", wanted.floating_selvedges, least=0)
