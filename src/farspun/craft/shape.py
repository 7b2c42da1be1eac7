"""Take-up of a cloth: its level from practice, its shape from geometry.

Practice knows a figure for plain cloth and one for twill, at the sett that suits the yarn. How it
changes with sett, weave and yarn is Peirce's geometry: the crimp of this cloth over the crimp of
the one practice speaks of. Practice's figure is two to three times that of compact round threads,
for in a cloth set as usual handspun is still lofty; towards the jam, where nothing but the compact
thread is left, that surplus goes to nothing. Source of that: judgement, argued in
docs/design/take-up.md.
"""

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from farspun.craft.arrays import in_kind
from farspun.craft.geometry import geometry
from farspun.craft.habits import take_up_habit, weft_crimp_habit
from farspun.craft.interlacement import Weave
from farspun.craft.jam import closeness
from farspun.craft.spread import Spread, crimp_of
from farspun.craft.threads import Cloth, Threads, cloth
from farspun.craft.weave import PracticeFamily, practice_family, weave

# name: value           unit       source
SHAPE_DOUBT = 0.25  # of the shift judgement: how far geometry of round threads may be off
JAM = 1.0  # of the closest         by definition: closeness of a cloth that has no room left

SHAPED = "and geometry for this yarn, sett and weave"
Both = tuple[Any, Any]  # of warp and weft, each scalar or (...,)
# the weave practice speaks of, by family; cloth that covers its warp or weft has no usual sett
USUAL_WEAVES: Mapping[PracticeFamily, str] = {"plain": "plain", "twill or basket": "2/2 twill"}


@dataclass(frozen=True, slots=True)
class Side:
    """Warp or weft as its yarns are in the mean: diameter pressed in the cloth, wraps.

    Scalars, or (...,) of many cloths.
    """

    compact_mm: Any
    wraps_per_cm: Any


def crimping(
    drawn: Weave,
    purpose: str,
    threads_per_cm: Both,
    sides: tuple[Side, Side] | None,
    draw_in: float,
) -> tuple[Spread, Spread]:
    """Take-up of the warp (a loss) and crimp of the weft (an addition) of a cloth.

    `threads_per_cm`: ends in the reed and picks, rested; `sides`: warp and weft, None where their
    thickness is not known; `draw_in`: the part of the reed width that is lost. Practice stands as
    it is without sides, for faced cloth, and beyond the jam. Source: `shape_ratios`.

    >>> yarn = Side(compact_mm=0.7, wraps_per_cm=8.0)
    >>> usual, close = (
    ...     crimping(weave("plain"), "everyday", (sett, sett), (yarn, yarn), 0.06)[0].mean
    ...     for sett in (4.0, 5.0))
    >>> round(usual, 4), round(close, 4)
    (0.09, 0.1124)
    """
    return crimpings(drawn, purpose, [Woven(threads_per_cm, sides, draw_in)])[0]


@dataclass(frozen=True, slots=True)
class Woven:
    """How a cloth is set, its sides and its draw-in, each as in `crimping`."""

    threads_per_cm: Both
    sides: tuple[Side, Side] | None
    draw_in: float


def crimpings(drawn: Weave, purpose: str, cloths: Sequence[Woven]) -> list[tuple[Spread, Spread]]:
    """Take-up and weft crimp of several cloths of one weave, as `crimping` of each."""
    known = [one.sides for one in cloths if one.sides is not None]
    practised = practice(drawn, purpose)
    found = [practised] * len(cloths)
    if not known:
        return found
    at = [place for place, one in enumerate(cloths) if one.sides is not None]
    setts = np.array([cloths[place].threads_per_cm for place in at])
    warp, weft = (
        Side(
            np.array([sides[of].compact_mm for sides in known]),
            np.array([sides[of].wraps_per_cm for sides in known]),
        )
        for of in (0, 1)
    )
    draw_ins = np.array([cloths[place].draw_in for place in at])
    both = shape_ratios(drawn, purpose, (setts[:, 0], setts[:, 1]), (warp, weft), draw_ins)
    for place, first, second in zip(at, *both, strict=True):
        if not math.isnan(first):
            found[place] = _shaped(practised, float(first), float(second))
    return found


def _shaped(practised: tuple[Spread, Spread], first: float, second: float) -> tuple[Spread, Spread]:
    shaped = shaped_take_up(practised[0], first), shaped_crimp(practised[1], second)
    take_up, weft_crimp = (replace(one, origin=f"{one.origin}, {SHAPED}") for one in shaped)
    return take_up, weft_crimp


def practice(drawn: Weave, purpose: str) -> tuple[Spread, Spread]:
    """Take-up (a loss) and weft crimp (an addition) as practice knows them, at the usual sett."""
    first, second = _families(drawn, purpose)
    return take_up_habit(first), weft_crimp_habit(second)


def _families(drawn: Weave, purpose: str) -> tuple[PracticeFamily, PracticeFamily]:
    """What practice would call the cloth for its warp, and turned by a right angle for its weft."""
    turned = {"weft-faced": "warp-faced", "warp-faced": "weft-faced"}.get(purpose, purpose)
    return practice_family(drawn, purpose), practice_family(drawn.swapped(), turned)


def shape_ratios(
    drawn: Weave, purpose: str, threads_per_cm: Both, sides: tuple[Side, Side], draw_in: Any
) -> Both:
    """(warp, weft): crimps of these cloths over those that practice speaks of, (...,).

    Setts, sides and draw-in as in `crimping`, each scalar or (...,). NaN where practice stands as
    it is: for faced cloth, and beyond the jam. Source: `crimp_ratios`; the usual sett is
    wraps·F/(F + I), docs/sett.md.
    """
    families = _families(drawn, purpose)
    if not all(family in USUAL_WEAVES for family in families):
        nowhere = np.full(np.broadcast(*threads_per_cm).shape, np.nan)
        return nowhere, nowhere
    take_up, weft_crimp = practice(drawn, purpose)
    woven = cloth_of(drawn, threads_per_cm, *sides, draw_in)
    level = crimp_of(take_up).mean, weft_crimp.mean
    ratios = {
        family: crimp_ratios(woven, _usual(weave(USUAL_WEAVES[family]), *sides, draw_in), level)
        for family in set(families)
    }
    first, second = (ratios[family] for family in families)
    silent = np.isnan(first[0]) | np.isnan(second[0])
    return np.where(silent, np.nan, first[0]), np.where(silent, np.nan, second[1])


def cloth_of(drawn: Weave, threads_per_cm: Both, warp: Side, weft: Side, draw_in: Any) -> Cloth:
    """The cloth off the loom: ends stand closer there than in the reed."""
    ends, picks = threads_per_cm
    return cloth(drawn, ends / (1 - draw_in), picks, warp.compact_mm, weft.compact_mm)


def _usual(drawn: Weave, warp: Side, weft: Side, draw_in: Any) -> Cloth:
    """The same yarns in the weave and at the sett that practice speaks of."""
    ends = warp.wraps_per_cm * drawn.warp_float / (drawn.warp_float + 1)
    picks = weft.wraps_per_cm * drawn.weft_float / (drawn.weft_float + 1)
    return cloth_of(drawn, (ends, picks), warp, weft, draw_in)


def crimp_ratios(cloth: Cloth, usual: Cloth, level: Both) -> Both:
    """(warp, weft): crimps of `cloth` over those of `usual`, which are `level` by practice, (...,).

    NaN where one of the two is beyond the jam, and no geometry of round threads speaks of it. Both
    wave as evenly as their setts leave room for. Source: Peirce 1937; for the surplus of practice
    over geometry, whole up to the usual sett and gone at the jam, judgement.

    >>> from farspun.craft.threads import Threads
    >>> usual = Cloth(Threads(4.0, 0.7), Threads(4.0, 0.7))
    >>> crimp_ratios(usual, usual, (0.1, 0.1))
    (1.0, 1.0)
    >>> warp, weft = crimp_ratios(usual.set_at([3.0, 20.0], [3.0, 20.0]), usual, (0.1, 0.1))
    >>> round(float(warp[0]), 2), warp[0] == weft[0], bool(np.isnan(weft[1]))
    (0.55, np.True_, True)
    """
    both = _beside(cloth, usual)
    close, usually = np.asarray(closeness(both))
    woven = (close < JAM) & (usually < JAM)
    warp, weft = np.full(woven.shape, np.nan), np.full(woven.shape, np.nan)
    if woven.any():
        found = geometry(_where(both, woven))
        gone = (np.maximum(0.0, close - usually) / (JAM - usually))[woven]
        crimps = found.warp_crimp_fraction, found.weft_crimp_fraction
        for ratios, (now, then), known in zip((warp, weft), crimps, level, strict=True):
            ratios[woven] = now / then * (then / known) ** gone
    return in_kind(warp), in_kind(weft)


def _beside(cloth: Cloth, other: Cloth) -> Cloth:
    """Both as one cloth of arrays (2, ...): what is asked of them is worked out in one go."""
    one, two = cloth.as_arrays(), other.as_arrays()
    shape = np.broadcast_shapes(one.face_share.shape, two.face_share.shape)

    def stacked(first: Any, second: Any) -> Any:
        return np.stack([np.broadcast_to(first, shape), np.broadcast_to(second, shape)])

    return _of_pairs(one, two, stacked)


def _where(both: Cloth, chosen: Any) -> Cloth:
    """Those of the pairs (2, ...) that are chosen, (...,): (2, n)."""
    return _of_pairs(both, both, lambda pairs, _: pairs[:, chosen])


def _of_pairs(one: Cloth, two: Cloth, joined: Callable[[Any, Any], Any]) -> Cloth:
    def threads(first: Threads, second: Threads) -> Threads:
        return Threads(
            joined(first.per_cm, second.per_cm),
            joined(first.diameter_mm, second.diameter_mm),
            joined(first.waved, second.waved),
        )

    return Cloth(
        threads(one.warp, two.warp),
        threads(one.weft, two.weft),
        joined(one.face_share, two.face_share),
    )


def shaped_take_up(practice: Spread, ratio: float) -> Spread:
    """A take-up (a loss) of practice, its crimp times `ratio`.

    Its doubt keeps its part of the crimp, and grows by a quarter of what geometry moved it.
    Source: judgement for the doubt.

    >>> half = shaped_take_up(Spread(0.09, 0.03, "loss"), 0.5)
    >>> round(half.mean, 4), round(half.sd, 4)
    (0.0471, 0.0199)
    """
    crimp = crimp_of(practice)
    moved = shaped_crimp(crimp, ratio)
    kept = 1 + moved.mean
    return replace(practice, mean=moved.mean / kept, sd=moved.sd / kept**2)


def shaped_crimp(practice: Spread, ratio: float) -> Spread:
    """A crimp (an addition) of practice, times `ratio`; its doubt as in `shaped_take_up`.

    >>> round(shaped_crimp(Spread(0.1, 0.04, "addition"), 2.0).mean, 9)
    0.2
    """
    mean, sd = shaped_moments(practice, ratio)
    return replace(practice, mean=float(mean), sd=float(sd))


def shaped_moments(crimp: Spread, ratio: Any) -> tuple[Any, Any]:
    """Mean and sd of a crimp of practice times `ratio`, (...,), as `shaped_crimp` says."""
    moved = crimp.mean * ratio
    doubt = SHAPE_DOUBT * (moved - crimp.mean)
    return moved, np.hypot(crimp.sd * ratio, doubt)
