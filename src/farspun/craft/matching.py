"""What speaks for or against a yarn beside the one it is to be woven with.

Each criterion gives a value and how it stands: 0 well, 1 to mind, 2 against. There is no score:
the order goes by the verdict, then by how many stand against and how many are to mind, then by
what is left over (docs/matching.md). Where no source is named: common practice, no source.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from farspun.craft.candidates import Bools, Candidates, Floats, Ints, Side
from farspun.craft.dye_notes import FASTNESS
from farspun.craft.fibres import Blend
from farspun.craft.habits import shrink_length_habit
from farspun.craft.weave import Purpose

WELL, MIND, AGAINST = 0, 1, 2
REACHES, UNCERTAIN, SHORT = 0, 1, 2  # and 3 where it cannot be told
UNTOLD = 3

# weft over warp in grist (tex): well within the first pair, to mind within the second; judgement,
# from what the trade calls balanced, and from facing yarns being the thicker and softer ones
RATIOS: dict[Purpose, tuple[tuple[float, float], tuple[float, float]]] = {
    "drape": ((0.6, 1.67), (0.4, 2.5)),
    "everyday": ((0.6, 1.67), (0.4, 2.5)),
    "firm": ((0.6, 1.67), (0.4, 2.5)),
    "weft-faced": ((0.8, 6.0), (0.4, 10.0)),
    "warp-faced": ((0.4, 3.0), (0.2, 6.0)),
}
# name: value             unit           source
# fibre fill is that of yarn wrapped snugly, of wool usually 0.17; what of it is a skein's own, and
# not the hand that wraps, is 12 or 13 % (docs/measuring.md), so that small differences tell
LOFTY_WARP = 0.14  # fibre fill          judgement: a spread and a half under the usual
FLUFFY_WARP = 0.11  # fibre fill         judgement: two spreads below that
LOFT_APART = 1.25  # times in fibre fill judgement: the loftier side fills and hides the other
PUCKER_MIND = 0.03  # of the length      judgement: half a spread of wool's own shrinkage
PUCKER_AGAINST = 0.07  # of the length   judgement: fulled wool on cotton is 8 points apart
SHEDS = dict.fromkeys(  # as warp; common practice, no source
    ("mohair", "cashmere", "alpaca", "llama", "angora", "camel", "yak"), MIND
)


@dataclass(frozen=True, slots=True)
class Words:
    """What else is said of the rows. `plies` 0 where not said; `tug` 0 untried, 1 holds, 2 drifts;
    `dye` the place of each colour note in FASTNESS; `unwashed`: counted before washing."""

    plies: Ints
    tug: Ints
    dye: Ints
    unwashed: Bools


@dataclass(frozen=True, slots=True)
class Other:
    """The yarn on the other side, to hold the candidates against; `fill` as wrapped snugly."""

    blend: Blend
    superwash: bool
    fill: float
    pale: bool


@dataclass(frozen=True, slots=True)
class Criterion:
    """One of them over all rows: its value and how each row stands."""

    name: str
    value: Any
    stands: Ints


def verdicts(odds: Floats, promise: float) -> Ints:
    """The class of the verdict: REACHES, UNCERTAIN, SHORT, UNTOLD for NaN.

    >>> verdicts(np.array([0.96, 0.6, 0.4, np.nan]), 0.95).tolist()
    [0, 1, 2, 3]
    """
    told = np.where(odds >= promise, REACHES, np.where(odds >= 0.5, UNCERTAIN, SHORT))
    return np.where(np.isnan(odds), UNTOLD, told)


def order(
    verdict: Ints,
    criteria: Sequence[Criterion],
    left_m: Floats,
    missing: Floats,
    odds: Floats,
    first: Ints,
    wishes: Sequence[Floats] = (),
) -> Ints:
    """The rows, best first: by verdict; of what falls short the least missing, to the hundredth
    part of what is needed; what was wished, the least first, to the whole number, NaN last; fewest
    against; fewest to mind; then the least left over of what reaches, the best odds of the rest;
    then as `first` says.

    >>> stands, none = [Criterion("loft", None, np.array([0, 2, 1]))], np.zeros(3)
    >>> order(np.zeros(3, int), stands, none, none, np.ones(3), np.arange(3)).tolist()
    [0, 2, 1]
    """
    against = sum((one.stands == AGAINST).astype(int) for one in criteria)
    mind = sum((one.stands == MIND).astype(int) for one in criteria)
    short = np.where(verdict >= SHORT, np.nan_to_num(missing, nan=1.0), 0.0)
    last = np.where(verdict == REACHES, np.nan_to_num(left_m), -np.nan_to_num(odds, nan=-1.0))
    wished = [np.round(np.nan_to_num(one, nan=np.inf)) for one in reversed(wishes)]
    return np.lexsort((first, last, mind, against, *wished, short, verdict))


def missing_part(have: Any, need: Any) -> Any:
    """What is missing of the need, to the hundredth part; 0 where nothing is.

    >>> missing_part(np.array([50.0, 120.0]), np.array([80.0, 100.0])).tolist()
    [0.38, 0.0]
    """
    return np.round(np.maximum(0.0, 1 - have / need), 2)


def grist(ratio: Floats, purpose: Purpose) -> Criterion:
    """Weft over warp in grist; to mind where it is not known.

    >>> grist(np.array([1.0, 2.0, 4.0, np.nan]), "everyday").stands.tolist()
    [0, 1, 2, 1]
    """
    (low, high), (lowest, highest) = RATIOS[purpose]
    stands = np.where((ratio >= low) & (ratio <= high), WELL, MIND)
    outside = (ratio < lowest) | (ratio > highest)
    return Criterion("grist", ratio, np.where(outside, AGAINST, stands))


def loft(c: Candidates, side: Side, other: Other) -> Criterion:
    """Loft (fibre fill) and elasticity. A warp that is lofty rubs and sheds in the reed, one that
    does not give shows every uneven tension; a weft is to mind where it is far loftier or leaner
    than the warp, or gives where that does not."""
    elastic = c.of_kind([one.blend.elastic for one in c.kinds])
    mill = c.of_kind([one.mill for one in c.kinds])
    if side == "warp":
        soft = np.where(c.fill < FLUFFY_WARP, AGAINST, np.where(c.fill < LOFTY_WARP, MIND, WELL))
        stands = np.where(mill, WELL, np.maximum(soft, np.where(elastic, WELL, MIND)))
    else:
        apart = np.exp(np.abs(np.log(c.fill / other.fill))) > LOFT_APART
        unlike = elastic != other.blend.elastic
        stands = np.where(apart | unlike, MIND, WELL)
    return Criterion("loft", c.fill, stands)


def fitness(c: Candidates, words: Words) -> Criterion:
    """As a warp: plies, draw, fibre and what it did when tugged, which has the last word.

    A tug that held clears a woollen draw and plies that were not noted, and makes a single one to
    mind; one that drifted stands against whatever the rest says.
    """
    mill = c.of_kind([one.mill for one in c.kinds])
    woollen = c.of_kind([one.draw == "woollen" for one in c.kinds]) & ~mill
    sheds = c.of_kind([SHEDS.get(one.blend.main, WELL) for one in c.kinds])
    held, drifted = words.tug == 1, words.tug == 2
    single = np.where(words.plies == 1, np.where(held | mill, MIND, AGAINST), WELL)
    untried = np.where(~mill & ~held, MIND, WELL)
    drawn = np.where(woollen & ~held, MIND, WELL)
    stands = np.maximum.reduce([single, untried, drawn, sheds])
    return Criterion("warp", words.plies, np.where(drifted, AGAINST, stands))


def pucker(c: Candidates, other: Other, wash: str) -> Criterion:
    """How far the yarns shrink apart in that wash, as parts of the length; the less even pucker.

    Both are read as lengthwise, so that it is the yarns that differ and not warp and weft.
    """
    own = shrink_length_habit(other.blend, other.superwash, wash).mean
    apart = c.of_kind(
        [shrink_length_habit(one.blend, one.superwash, wash).mean - own for one in c.kinds]
    )
    far = np.round(np.abs(apart), 9)
    stands = np.where(far > PUCKER_AGAINST, AGAINST, np.where(far > PUCKER_MIND, MIND, WELL))
    return Criterion("shrinkage", apart, stands)


def dye(words: Words, other: Other) -> Criterion:
    """Whether it may bleed: what the colour note says; dyed yarn that was not washed yet.

    What may bleed stands against where the other side is pale.
    """
    bleeds = words.dye == FASTNESS.index("bleeds")
    deep = words.dye == FASTNESS.index("deep")
    fresh = words.unwashed & (words.dye == FASTNESS.index("dyed"))
    stands = np.where(deep | fresh, AGAINST if other.pale else MIND, WELL)
    return Criterion("dye", words.dye, np.where(bleeds, AGAINST, stands))


def left_over(have: Floats, need: Floats) -> Criterion:
    """Mean metres that would be left; short where below 0."""
    return Criterion("left over", have - need, np.zeros(have.shape, dtype=np.int64))
