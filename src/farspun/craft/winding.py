"""Ends and picks shared between yarns, and ends between skeins, each counted exactly.

A warp end has no join: a skein gives whole ends (pairs in direct warping, where yarn goes to the
peg and back) and its tail is lost to the warp. Common practice, no source.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import accumulate

from farspun.craft.limits import above_zero, count, length
from farspun.errors import ImpossibleValue
from farspun.units import CM_PER_METRE

# name: value            unit          source
SPARE_LENGTHS = 2  # lengths           common practice, no source: kept for broken ends
SHARES_OFF = 0.01  # of the whole      judgement: three thirds said as 33 % each still add up
ROUNDING = 1e-6  # ends                judgement: as in farspun.craft.lengths.whole_up


def ends_by_order(order: Sequence[tuple[str, int]], ends: int) -> dict[str, int]:
    """Ends of each yarn when the parts of `order` are repeated over `ends` ends and cut off there.

    `order` holds (yarn, ends) as they follow one another; a yarn may come more than once. Yarns
    are listed as they first appear. Raises ImpossibleValue for an empty order or part.

    >>> ends_by_order([("grey", 4), ("red", 2), ("grey", 1)], 20)
    {'grey': 14, 'red': 6}
    """
    count("number of ends", ends)
    if not order:
        raise ImpossibleValue("order of the warp", "empty", "at least one yarn and its ends")
    for yarn, part in order:
        count(f"number of ends of “{yarn}” in the order", part)
    repeats, rest = divmod(ends, sum(part for _, part in order))
    found = {yarn: 0 for yarn, _ in order}
    for yarn, part in order:
        found[yarn] += repeats * part + min(part, rest)
        rest -= min(part, rest)
    return found


def shared_picks(picks: int, shares: Sequence[float]) -> list[int]:
    """Whole picks of each yarn of a weft in bands: their shares, adding up to `picks` exactly.

    Each band ends at the pick nearest to where its share is full: none is off by more than a pick.
    Raises ImpossibleValue where a share is not above 0 or all are not 1 (± 0.01).

    >>> shared_picks(280, [0.5, 0.25, 0.25]), shared_picks(10, [1 / 3, 1 / 3, 1 / 3])
    ([140, 70, 70], [3, 4, 3])
    """
    count("number of picks", picks, least=0)
    for share in shares:
        above_zero("share of the picks", share, "")
    whole = sum(shares)
    if not abs(whole - 1) <= SHARES_OFF + ROUNDING:
        raise ImpossibleValue("sum of the shares of the picks", f"{whole:g}", "1, or 100 %")
    edges = [round(picks * edge / whole) for edge in accumulate(shares)]
    return [end - start for start, end in zip([0, *edges], edges, strict=False)]


@dataclass(frozen=True, slots=True)
class SkeinWinding:
    """What one skein gives: ends and spare lengths, its lost tail, and what is left of it (m)."""

    ends: int
    spare_lengths: int
    tail_m: float
    left_m: float


@dataclass(frozen=True, slots=True)
class Winding:
    """A warp wound skein by skein in the order given.

    `wound_ends` may be one more than asked in pairs; `missing_ends` are those no skein holds.
    `tails_m` is lost to the warp, `spare_m` kept for repairs, `left_m` over.
    """

    skeins: tuple[SkeinWinding, ...]
    wound_ends: int
    missing_ends: int
    spare_lengths: int
    spare_m: float
    tails_m: float
    left_m: float


def winding(
    skein_lengths_m: Sequence[float], ends: int, warp_cut_cm: float, pairs: bool = False
) -> Winding:
    """Wind `ends` ends of `warp_cut_cm` from skeins of the lengths given, in that order.

    In `pairs` an odd number of ends takes a whole pair more. Once the ends are wound, two spare
    lengths are kept, from tails long enough first. A tail is lost where the skein ran out before
    the warp was full; the rest of the skein that filled it is left over.

    >>> wound = winding([100, 100], 50, 300)
    >>> [skein.ends for skein in wound.skeins], wound.tails_m, wound.spare_lengths, wound.left_m
    ([33, 17], 1.0, 2, 43.0)
    """
    cut_m = above_zero("warp", warp_cut_cm, "cm") / CM_PER_METRE
    step = 2 if pairs else 1
    wanted = -(-count("number of ends", ends) // step) * step
    skeins: list[SkeinWinding] = []
    missing, spares_missing = wanted, SPARE_LENGTHS
    for skein_m in skein_lengths_m:
        holds = _whole(length("skein", skein_m) / cut_m)
        here = min(missing, holds - holds % step)
        missing -= here
        spares = min(spares_missing, holds - here)
        spares_missing -= spares
        rest_m = max(0.0, skein_m - (here + spares) * cut_m)  # never more than 1e-6 of an end below
        lost_m = rest_m if here and missing else 0.0
        skeins.append(SkeinWinding(here, spares, lost_m, rest_m - lost_m))
    spare_lengths = SPARE_LENGTHS - spares_missing
    return Winding(
        skeins=tuple(skeins),
        wound_ends=wanted - missing,
        missing_ends=max(0, ends - (wanted - missing)),
        spare_lengths=spare_lengths,
        spare_m=spare_lengths * cut_m,
        tails_m=sum(skein.tail_m for skein in skeins),
        left_m=sum(skein.left_m for skein in skeins),
    )


def _whole(lengths: float) -> int:
    """Whole lengths in a skein, forgiving 1e-6 of one."""
    return math.floor(lengths + ROUNDING)
