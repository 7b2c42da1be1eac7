"""Reeds and rigid heddles: the sleying that gives a sett, and what a reed makes of it."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

from farspun.craft.limits import above_zero, count
from farspun.errors import ImpossibleValue
from farspun.units import CM_PER_INCH

Floats = NDArray[np.float64]
Numbering = Literal["stockport", "huddersfield", "silk"]

# name: value             unit        source
MOST_REPEAT = 10  # dents             judgement: longer repeats are miscounted at the reed
SHORT_REPEAT = 4  # dents             judgement: sleyed without counting aloud
STEP = 0.05  # of a sett              judgement: less is felt in no cloth
CROWDED_DENT = 4  # ends in a dent    common practice, no source: from here ends twist and stick
DENT_OPENING = 0.65  # of a dent      judgement: a third of a reed is wire
PITCH_CM, PITCH_MM = 10.0, 100.0  #   exact: reeds are counted in dents per 10 cm
# inches that the number of a reed counts its dents in: textile dictionaries
NUMBERED_OVER_IN: dict[Numbering, float] = {"stockport": 2.0, "huddersfield": 1.0, "silk": 36.0}
# ends in a beer, and the inches beers are counted in: textile dictionaries
BRADFORD_BEER_ENDS, BRADFORD_WIDTH_IN = 40, 36


@dataclass(frozen=True, slots=True)
class Sleying:
    """Ends in each dent of a repeat, the ends per cm it gives, and how far that is off the sett.

    `off_fraction` is ends per cm over the wanted sett, less 1: 0.05 is a twentieth too close.
    """

    per_dent: tuple[int, ...]
    ends_per_cm: float
    off_fraction: float

    @property
    def said(self) -> str:
        """The repeat as it is counted at the reed.

        >>> Sleying((1, 1, 2), 6.3, 0.0).said, Sleying((2,), 6.3, 0.0).said
        ('1-1-2', '2 in each dent')
        """
        if len(self.per_dent) > 1:
            return "-".join(map(str, self.per_dent))
        return f"{self.per_dent[0]} in each dent"

    @property
    def even(self) -> bool:
        """Whether every dent holds the same number of ends."""
        return len(set(self.per_dent)) == 1


def sleyings(
    sett_per_cm: float, dents_per_10cm: float, rigid_heddle: bool = False, empty: bool = False
) -> list[Sleying]:
    """Sleying repeats up to 10 dents: nearest to the wanted sett first, then shortest, most even.

    Of each number of ends in each number of dents the most even way is given, and no dent is left
    empty unless `empty`. In a rigid heddle holes and slots are the dents and take one end each.
    Source: common practice, no source.

    >>> [(one.said, round(one.off_fraction, 3)) for one in sleyings(4.0, 30)[:2]]
    [('1-1-2', 0.0), ('1-1-1-2-1-1-2-1-1-2', -0.025)]
    """
    wanted = above_zero("sett", sett_per_cm, "per cm")
    dents_per_cm = above_zero("reed", dents_per_10cm, "dents per 10 cm") / PITCH_CM
    found: dict[Fraction, Sleying] = {}
    for dents in range(1, MOST_REPEAT + 1):
        for ends in _ends_near(dents * wanted / dents_per_cm, dents, rigid_heddle, empty):
            per_cm = ends / dents * dents_per_cm
            one = Sleying(_most_even(ends, dents), per_cm, per_cm / wanted - 1)
            found.setdefault(Fraction(ends, dents), one)
    return sorted(found.values(), key=_worse)


def _ends_near(wanted: float, dents: int, rigid_heddle: bool, empty: bool) -> set[int]:
    """Whole ends for a repeat of `dents`, just below and just above what is wanted."""
    least = 1 if empty else dents
    most = dents if rigid_heddle else math.inf
    return {int(min(max(near, least), most)) for near in (math.floor(wanted), math.ceil(wanted))}


def _worse(one: Sleying) -> tuple[float, int, int]:
    """What a sleying is sorted by: distance, length of the repeat, unevenness."""
    uneven = max(one.per_dent) - min(one.per_dent)
    return round(abs(one.off_fraction), 9), len(one.per_dent), uneven


def _most_even(ends: int, dents: int) -> tuple[int, ...]:
    """`ends` in `dents` as evenly as can be, in the way it is counted at the reed.

    The commoner number begins; a single odd one out comes last (1-1-2), several stand evenly about
    the middle if they can (2-1-2-1-2); an empty dent follows a full one.
    """
    steps = [ends * dent // dents for dent in range(dents + 1)]
    row = tuple(after - before for before, after in pairwise(steps))
    turned = [row[at:] + row[:at] for at in range(dents)]
    if min(row) == 0 or min(row) == max(row):
        return max(turned)
    few, many = min(row), max(row)
    commoner = few if row.count(few) >= row.count(many) else many
    single = min(row.count(few), row.count(many)) == 1

    def awkward(way: tuple[int, ...]) -> tuple[bool, bool, bool, tuple[int, ...]]:
        crooked = not single and way != way[::-1]
        order = way if commoner == few else tuple(-number for number in way)
        return way[0] != commoner, crooked, way[-1] == commoner, order

    return min(turned, key=awkward)


def best_sleying(
    sett_per_cm: float, dents_per_10cm: float, rigid_heddle: bool = False, empty: bool = False
) -> Sleying:
    """The first of `sleyings`: nearest to the wanted sett.

    >>> best_sleying(4, 30).per_dent
    (1, 1, 2)
    """
    return sleyings(sett_per_cm, dents_per_10cm, rigid_heddle, empty)[0]


def awkwardness(one: Sleying, near_enough: float = 0.0) -> tuple[float, int, bool, float]:
    """What sleyings of several reeds are sorted by: distance by the hundredth, length of the
    repeat, unevenness, exact distance; what is `near_enough` (a fraction) is all alike.

    >>> simple, exact = Sleying((1,), 4.0, -0.02), Sleying((1, 1, 1, 2), 4.1, 0.001)
    >>> [awkwardness(simple, near) < awkwardness(exact, near) for near in (0.025, 0.0)]
    [True, False]
    """
    off = abs(one.off_fraction)
    near = 0.0 if off <= near_enough else round(off, 2)
    return near, len(one.per_dent), not one.even, off


def least_awkward_setts(
    setts_per_cm: Floats, reeds: Sequence[tuple[float, bool]], near_enough: float = 0.0
) -> Floats:
    """For each wanted sett, (n,), the ends per cm of the least awkward of all sleyings of `reeds`
    (dents per 10 cm, whether a rigid heddle), by `awkwardness`; as wanted where there is none.

    >>> least_awkward_setts(np.array([4.05, 3.0]), [(40, True), (30, False)], 0.025).tolist()
    [4.0, 3.0]
    """
    wanted: Floats = above_zero("sett", setts_per_cm, "per cm")
    if not reeds:
        return wanted
    setts, best = wanted, [np.full(wanted.shape, np.inf) for _ in range(4)]
    for dents_per_10cm, rigid_heddle in reeds:
        dents_per_cm = above_zero("reed", dents_per_10cm, "dents per 10 cm") / PITCH_CM
        for dents in range(1, MOST_REPEAT + 1):
            most = dents if rigid_heddle else math.inf
            for nearby in (np.floor, np.ceil):
                ends = np.clip(nearby(dents * wanted / dents_per_cm), dents, most)
                per_cm = ends / dents * dents_per_cm
                off = np.abs(per_cm / wanted - 1)
                near = np.where(off <= near_enough, 0.0, np.round(off, 2))
                keys = (near, np.full(near.shape, dents), ends % dents != 0, off)
                better = _before(keys, best)
                setts = np.where(better, per_cm, setts)
                best = [np.where(better, *pair) for pair in zip(keys, best, strict=True)]
    return setts


def _before(keys: Sequence[NDArray[Any]], others: Sequence[NDArray[Any]]) -> NDArray[np.bool_]:
    """Whether each is sorted before the other, by the first key in which they differ."""
    before = np.zeros(keys[0].shape, dtype=bool)
    for key, other in zip(reversed(keys), reversed(others), strict=True):
        before = (key < other) | ((key == other) & before)
    return before


def simpler_sleying(
    ways: Sequence[Sleying], low_per_cm: float, high_per_cm: float
) -> Sleying | None:
    """The shortest of `ways` with half the repeat of the first or less, if it stays in the span.

    >>> simpler_sleying(sleyings(4.1, 30), 3.8, 4.4).said
    '1-1-2'
    """
    shorter = [one for one in ways if 2 * len(one.per_dent) <= len(ways[0].per_dent)]
    fitting = [one for one in shorter if low_per_cm <= one.ends_per_cm <= high_per_cm]
    return min(fitting, key=lambda one: len(one.per_dent), default=None)


def next_sleyings(
    sett_per_cm: float, dents_per_10cm: float, rigid_heddle: bool = False
) -> tuple[Sleying | None, Sleying | None]:
    """(looser, closer): the next setts of a reed on either side, a twentieth away or more.

    Of repeats up to 4 dents, no dent empty; None where the reed has none. `off_fraction` is against
    the sett given. Source: common practice, no source.

    >>> looser, closer = next_sleyings(4.0, 40)
    >>> looser, closer.said, closer.ends_per_cm
    (None, '1-1-1-2', 5.0)
    """
    wanted = above_zero("sett", sett_per_cm, "per cm")
    dents_per_cm = above_zero("reed", dents_per_10cm, "dents per 10 cm") / PITCH_CM
    found: dict[Fraction, Sleying] = {}
    for dents in range(1, SHORT_REPEAT + 1):
        near = math.floor(2 * dents * wanted / dents_per_cm) + 1
        for ends in range(dents, (dents if rigid_heddle else max(near, 2 * dents)) + 1):
            per_cm = ends / dents * dents_per_cm
            one = Sleying(_most_even(ends, dents), per_cm, per_cm / wanted - 1)
            found.setdefault(Fraction(ends, dents), one)
    looser = [one for one in found.values() if one.off_fraction <= -STEP]
    closer = [one for one in found.values() if one.off_fraction >= STEP]
    return (
        max(looser, key=lambda one: one.ends_per_cm, default=None),
        min(closer, key=lambda one: one.ends_per_cm, default=None),
    )


def width_in_reed_cm(ends: int, sleying: Sleying) -> float:
    """How wide so many ends stand in the reed, cm.

    Metric and inch reeds are not the same: 160 ends meant for 8 dents per inch (50.8 cm) stand
    wider in 30 dents per 10 cm.

    >>> round(width_in_reed_cm(160, best_sleying(3.0, 30)), 1)
    53.3
    """
    return float(count("ends", ends) / sleying.ends_per_cm)


def sleying_warnings(
    sleying: Sleying,
    dents_per_10cm: float,
    yarn_diameter_mm: float | None = None,
    elastic: bool = True,
) -> list[str]:
    """What to beware of, a clause each: marks of the reed, crowded dents, slubs.

    `yarn_diameter_mm` is the wrapped one; `elastic` whether the yarn closes up as wool does.

    >>> sleying_warnings(Sleying((1, 1, 2), 4.0, 0.0), 30, elastic=False)
    ['1-1-2 leaves marks of the reed, and this yarn keeps them.']
    """
    warnings = []
    most = max(sleying.per_dent)
    if min(sleying.per_dent) == 0:
        warnings.append("empty dents leave lines that the washing may not close.")
    elif not sleying.even:
        end = "which washing mostly closes" if elastic else "and this yarn keeps them"
        warnings.append(f"{sleying.said} leaves marks of the reed, {end}.")
    if most >= CROWDED_DENT:
        warnings.append(f"{most} ends in a dent twist together and rub; a finer reed is kinder.")
    opening_mm = PITCH_MM / above_zero("reed", dents_per_10cm, "dents per 10 cm") * DENT_OPENING
    if yarn_diameter_mm is not None and yarn_diameter_mm > opening_mm:
        warnings.append("the yarn is as thick as the dents are open: slubs and knots will catch.")
    return warnings


def two_heddles(sett_per_cm: float, dents_per_10cm: float) -> float | None:
    """Ends per cm with two rigid heddles, or with ends doubled, where one heddle is too coarse.

    None where one heddle comes as near to the sett.

    >>> two_heddles(6.0, 30), two_heddles(3.2, 30)
    (6.0, None)
    """
    one = above_zero("reed", dents_per_10cm, "dents per 10 cm") / PITCH_CM
    wanted = above_zero("sett", sett_per_cm, "per cm")
    return 2 * one if abs(2 * one - wanted) < abs(one - wanted) else None


def dents_per_10cm_from_number(number: float, numbering: Numbering) -> float:
    """Dents per 10 cm of a reed stamped with an old number.

    Stockport counts dents in 2 inches, Huddersfield in 1, the silk trade in 36.
    Source: textile dictionaries.

    >>> round(dents_per_10cm_from_number(60, "stockport"), 1)
    118.1
    """
    if numbering not in NUMBERED_OVER_IN:
        known = ", ".join(NUMBERED_OVER_IN)
        raise ImpossibleValue("reed numbering", numbering, f"one of {known}")
    per_inch = above_zero("number of the reed", number, "") / NUMBERED_OVER_IN[numbering]
    return float(per_inch / CM_PER_INCH * PITCH_CM)


def ends_per_cm_from_bradford_sett(sett: float) -> float:
    """Ends per cm of a Bradford sett: beers of 40 ends in 36 inches.

    Source: textile dictionaries.

    >>> round(2.54 * ends_per_cm_from_bradford_sett(72), 9)
    80.0
    """
    beers = above_zero("Bradford sett", sett, "beers")
    return float(beers * BRADFORD_BEER_ENDS / BRADFORD_WIDTH_IN / CM_PER_INCH)
