"""Take-up of a cloth: its level from practice, its shape from geometry.

Practice knows a figure for plain cloth and one for twill, at the sett that suits the yarn. How it
changes with sett, weave and yarn is Peirce's geometry: the crimp of this cloth over the crimp of
the one practice speaks of. Practice's figure is two to three times that of compact round threads,
for in a cloth set as usual handspun is still lofty; towards the jam, where nothing but the compact
thread is left, that surplus goes to nothing. Source of that: judgement, argued in
docs/design/take-up.md.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

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
Both = tuple[float, float]  # of warp and weft
# the weave practice speaks of, by family; cloth that covers its warp or weft has no usual sett
USUAL_WEAVES: Mapping[PracticeFamily, str] = {"plain": "plain", "twill or basket": "2/2 twill"}


@dataclass(frozen=True, slots=True)
class Side:
    """Warp or weft as its yarns are in the mean: diameter pressed in the cloth, wraps."""

    compact_mm: float
    wraps_per_cm: float


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
    it is without sides, for faced cloth, and beyond the jam. Source: `crimp_ratios`; the usual sett
    is wraps·F/(F + I), docs/sett.md.

    >>> yarn = Side(compact_mm=0.7, wraps_per_cm=8.0)
    >>> usual, close = (
    ...     crimping(weave("plain"), "everyday", (sett, sett), (yarn, yarn), 0.06)[0].mean
    ...     for sett in (4.0, 5.0))
    >>> round(usual, 4), round(close, 4)
    (0.09, 0.1124)
    """
    turned = {"weft-faced": "warp-faced", "warp-faced": "weft-faced"}.get(purpose, purpose)
    families = practice_family(drawn, purpose), practice_family(drawn.swapped(), turned)
    take_up, weft_crimp = take_up_habit(families[0]), weft_crimp_habit(families[1])
    if sides is None or not all(family in USUAL_WEAVES for family in families):
        return take_up, weft_crimp
    woven = cloth_of(drawn, threads_per_cm, *sides, draw_in)
    level = 1 / take_up.factor - 1, weft_crimp.mean
    ratios = {
        family: crimp_ratios(woven, _usual(weave(USUAL_WEAVES[family]), *sides, draw_in), level)
        for family in set(families)
    }
    first, second = (ratios[family] for family in families)
    if first is None or second is None:
        return take_up, weft_crimp
    shaped = shaped_take_up(take_up, first[0]), shaped_crimp(weft_crimp, second[1])
    take_up, weft_crimp = (replace(one, origin=f"{one.origin}, {SHAPED}") for one in shaped)
    return take_up, weft_crimp


def cloth_of(drawn: Weave, threads_per_cm: Both, warp: Side, weft: Side, draw_in: float) -> Cloth:
    """The cloth off the loom: ends stand closer there than in the reed."""
    ends, picks = threads_per_cm
    return cloth(drawn, ends / (1 - draw_in), picks, warp.compact_mm, weft.compact_mm)


def _usual(drawn: Weave, warp: Side, weft: Side, draw_in: float) -> Cloth:
    """The same yarns in the weave and at the sett that practice speaks of."""
    ends = warp.wraps_per_cm * drawn.warp_float / (drawn.warp_float + 1)
    picks = weft.wraps_per_cm * drawn.weft_float / (drawn.weft_float + 1)
    return cloth_of(drawn, (ends, picks), warp, weft, draw_in)


def crimp_ratios(cloth: Cloth, usual: Cloth, level: Both) -> Both | None:
    """(warp, weft): crimps of `cloth` over those of `usual`, which are `level` by practice.

    None where one of the two is beyond the jam, and no geometry of round threads speaks of it. Both
    wave as evenly as their setts leave room for. Source: Peirce 1937; for the surplus of practice
    over geometry, whole up to the usual sett and gone at the jam, judgement.

    >>> from farspun.craft.threads import Threads
    >>> usual = Cloth(Threads(4.0, 0.7), Threads(4.0, 0.7))
    >>> crimp_ratios(usual, usual, (0.1, 0.1))
    (1.0, 1.0)
    >>> warp, weft = crimp_ratios(usual.set_at(3.0, 3.0), usual, (0.1, 0.1))
    >>> warp == weft and 0.5 < warp < 0.6
    True
    """
    both = _beside(cloth, usual)
    close, usually = closeness(both)
    if not (close < JAM and usually < JAM):
        return None
    found = geometry(both)
    gone = max(0.0, close - usually) / (JAM - usually)
    warp, weft = (
        float(now / then * (then / practice) ** gone)
        for (now, then), practice in zip(
            (found.warp_crimp_fraction, found.weft_crimp_fraction), level, strict=True
        )
    )
    return warp, weft


def _beside(cloth: Cloth, other: Cloth) -> Cloth:
    """Both as one cloth of arrays (2,): what is asked of them is worked out in one go."""

    def threads(one: Threads, two: Threads) -> Threads:
        return Threads(
            np.array([one.per_cm, two.per_cm]),
            np.array([one.diameter_mm, two.diameter_mm]),
            np.array([one.waved, two.waved]),
        )

    face = np.array([cloth.face_share, other.face_share])
    return Cloth(threads(cloth.warp, other.warp), threads(cloth.weft, other.weft), face)


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
    moved = practice.mean * ratio
    doubt = SHAPE_DOUBT * (moved - practice.mean)
    return replace(practice, mean=moved, sd=((practice.sd * ratio) ** 2 + doubt**2) ** 0.5)
