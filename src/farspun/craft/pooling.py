"""How the shades of a yarn come to lie in a cloth: pooling, stripes that stack, flecks.

A pick takes a length of yarn that is longer than the cloth is wide, and the next one comes back
from where it turned. So what lies where hangs on the yarn's own length alone: crossing by crossing
the place along the yarn is known, and with it the shade. Warp ends are wound to and fro as well.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from farspun.craft.draws import named_generator
from farspun.craft.limits import above_zero, count
from farspun.craft.yarn_colour import Lie, YarnColour

# name: value              unit     source
FLECK_M = 0.006  # of a marl m      judgement: a ply shows for half a turn or two of ply twist
STRETCH_M = 0.4  # not told  m      judgement: a hand-dyed stretch around a skein of 1.5 m
STRIPE_M = 3.0  # not told   m      judgement: a few picks of a scarf
BLENDS = 32  # of a gradient        judgement: too many steps to be seen
FLECKS = 4096  # drawn at most      judgement: no eye finds 25 m again
STRETCH_RANGE = 0.25  # of it       judgement: dye spreads, so no two stretches are alike
FEW = 8  # runs                     measured
NO_YARN = -1  # where none is left

Shades = NDArray[np.int16]
Metres = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class Strand:
    """The shades along a yarn: `shade[i]` up to `upto_m[i]`, then from the start again.

    `mixes[k]` is how shade k is made of the colour's stretches: shares (stretches,) that sum to 1.
    """

    upto_m: Metres
    shade: Shades
    mixes: NDArray[np.float64]

    def at(self, along_m: Metres) -> Shades:
        """The shade at each place along the yarn; any shape, m from its start."""
        if len(self.shade) == 1:
            return np.full(np.shape(along_m), self.shade[0], dtype=np.int16)
        within_m = along_m % self.upto_m[-1]
        if len(self.shade) <= FEW:  # quicker than a search, and the same
            runs = sum((within_m >= upto for upto in self.upto_m[:-1]), np.zeros(1, dtype=np.intp))
        else:
            runs = np.searchsorted(self.upto_m[:-1], within_m, "right")
        return np.asarray(self.shade[runs], dtype=np.int16)


def strand(colour: YarnColour, length_m: float, seed: str) -> Strand:
    """The shades along a yarn of that colour.

    A marl changes every few mm and a variegated yarn every stretch, drawn once for each `seed` (the
    skein's name); a striping one keeps the order told; a gradient takes the whole `length_m`.
    Raises ImpossibleValue for a length not above 0. Source: judgement, see the constants.

    >>> from farspun.craft.yarn_colour import Shade, Stretch
    >>> red, blue = (Shade(name, (0.5, 0.5, 0.5), "given") for name in ("red", "blue"))
    >>> told = (Stretch(red, 0.5, 1.0), Stretch(blue, 0.5, 2.0))
    >>> striped = strand(YarnColour(Lie.STRIPING, told), 300.0, "Gorse")
    >>> striped.at(np.array([0.5, 1.5, 2.9, 3.5])).tolist()
    [0, 1, 1, 0]
    """
    above_zero("length", length_m, "m")
    parts = np.array([one.share for one in colour.stretches])
    if len(parts) < 2 or colour.lie in (Lie.SOLID, Lie.HEATHER, Lie.UNKNOWN):
        mixed = parts[None, :] / parts.sum() if len(parts) else np.zeros((1, 0))
        return Strand(np.array([length_m]), np.zeros(1, dtype=np.int16), mixed)
    pure = np.eye(len(parts))
    if colour.lie == Lie.GRADIENT:
        return _gradient(parts, length_m)
    if colour.lie == Lie.STRIPING:
        return Strand(np.cumsum(_told_m(colour)), np.arange(len(parts), dtype=np.int16), pure)
    if colour.lie == Lie.MARL:
        shade = _drawn(parts, FLECKS, seed)
        return Strand(FLECK_M * np.arange(1.0, FLECKS + 1), shade, pure)
    return _variegated(colour, parts, length_m, seed)


def _told_m(colour: YarnColour) -> Metres:
    """The stretches' lengths; where none is told, a usual whole shared out."""
    usual_m = STRIPE_M * len(colour.stretches)
    lengths = [one.length_m or one.share * usual_m for one in colour.stretches]
    return np.array(lengths, dtype=float)


def _variegated(
    colour: YarnColour, parts: NDArray[np.float64], length_m: float, seed: str
) -> Strand:
    """Stretches about as long as told, as often as keeps each shade's share, in no order."""
    long_m = np.array([one.length_m or STRETCH_M for one in colour.stretches])
    often = parts / long_m
    number = min(FLECKS, max(8, math.ceil(length_m * often.sum() / parts.sum())))
    shade = _drawn(often, number, seed)
    around = named_generator("stretches", seed).uniform(-STRETCH_RANGE, STRETCH_RANGE, number)
    return Strand(np.cumsum(long_m[shade] * (1 + around)), shade, np.eye(len(parts)))


def _drawn(parts: NDArray[np.float64], number: int, seed: str) -> Shades:
    """So many shades in a drawn order, each as often as its part says, to the nearest one."""
    upto = np.rint(np.cumsum(parts) / parts.sum() * number).astype(int)
    each = np.searchsorted(upto, np.arange(number), "right").astype(np.int16)
    return named_generator("shades", seed).permutation(each)


def _gradient(parts: NDArray[np.float64], length_m: float) -> Strand:
    """From the first shade at its start to the last at its end, without a stop; those between are
    purest as far apart as the middles of their parts."""
    middles = np.cumsum(parts) - parts / 2
    purest = (middles - middles[0]) / (middles[-1] - middles[0])
    at = np.linspace(0.0, 1.0, BLENDS)
    columns = [np.interp(at, purest, unit) for unit in np.eye(len(parts))]
    upto_m = length_m * np.arange(1, BLENDS + 1) / BLENDS
    return Strand(upto_m, np.arange(BLENDS, dtype=np.int16), np.stack(columns, axis=1))


@dataclass(frozen=True, slots=True, eq=False)
class Joined:
    """Skeins one after another, as one yarn: `strands[i]` for `lengths_m[i]`.

    Shades are numbered through: those of the second skein follow on those of the first.
    """

    strands: tuple[Strand, ...]
    lengths_m: tuple[float, ...]

    @property
    def shades(self) -> int:
        """How many shades there are in all."""
        return sum(len(one.mixes) for one in self.strands)

    def at(self, along_m: Metres) -> Shades:
        """The shade at each place along them all; NO_YARN behind the last.

        >>> plain = Strand(np.array([1.0]), np.zeros(1, dtype=np.int16), np.ones((1, 1)))
        >>> Joined((plain, plain), (100.0, 50.0)).at(np.array([20.0, 120.0, 160.0])).tolist()
        [0, 1, -1]
        """
        found = np.full(np.shape(along_m), NO_YARN, dtype=np.int16)
        first, before_m = 0, 0.0
        for one, length_m in zip(self.strands, self.lengths_m, strict=True):
            own = (along_m >= before_m) & (along_m < before_m + length_m)
            if own.all():
                return one.at(along_m - before_m) + np.int16(first)
            if own.any():
                found[own] = one.at(along_m[own] - before_m) + np.int16(first)
            first, before_m = first + len(one.mixes), before_m + length_m
        return found


def yarns_in_turn(shares: Sequence[float], passes: int) -> NDArray[np.intp]:
    """Which yarn each of `passes` picks is, the yarns in turn by their shares: (passes,).

    Each pick is of the yarn that is farthest behind its share. Raises ImpossibleValue for a share
    not above 0. Source: proportion.

    >>> yarns_in_turn([2, 1], 6).tolist()
    [0, 1, 0, 0, 1, 0]
    """
    parts = np.array([above_zero("share", one, "") for one in shares], dtype=float)
    parts /= parts.sum()
    owed, found = np.zeros_like(parts), np.zeros(passes, dtype=np.intp)
    for at in range(passes if len(parts) > 1 else 0):
        owed += parts
        found[at] = np.argmax(owed - 1e-9 * np.arange(len(parts)))  # of two alike the first
        owed[found[at]] -= 1
    return found


def passes_in_turn(yarn_of: NDArray[np.intp]) -> NDArray[np.intp]:
    """Of each pick (or end), how many of its own yarn came before it: (n,).

    >>> passes_in_turn(np.array([0, 1, 0, 0, 1])).tolist()
    [0, 0, 1, 2, 1]
    """
    found = np.zeros_like(yarn_of)
    for yarn in np.unique(yarn_of):
        own = yarn_of == yarn
        found[own] = np.arange(np.count_nonzero(own))
    return found


def places_m(
    yarn_of: NDArray[np.intp],
    pass_m: float,
    crossings: int,
    seen_m: tuple[float, float] | None = None,
) -> Metres:
    """Where along its own yarn each crossing of each pass lies: (passes, crossings), m.

    A pass is a pick or an end, `pass_m` of yarn; each yarn's own passes go to and fro, the first
    from the left (of ends: from the start). `seen_m`: from where to where of a pass the crossings
    lie, else the whole of it. Crossing c lies in the middle of its part.
    Raises ImpossibleValue for a length not above 0 or no crossings. Source: geometry.

    >>> places_m(np.array([0, 0]), 1.0, 2).tolist()
    [[0.25, 0.75], [1.75, 1.25]]
    """
    above_zero("yarn in a pick", pass_m, "m")
    count("number of crossings", crossings)
    within_m = _within_m(pass_m, crossings, seen_m)
    number = passes_in_turn(yarn_of)[:, None]
    to_and_fro = np.where(number % 2 == 0, within_m, pass_m - within_m)
    to_and_fro += number * pass_m
    return np.asarray(to_and_fro, dtype=np.float64)


def _within_m(pass_m: float, crossings: int, seen_m: tuple[float, float] | None) -> Metres:
    low_m, high_m = seen_m or (0.0, pass_m)
    found: Metres = low_m + (high_m - low_m) * (np.arange(crossings) + 0.5) / crossings
    return found


def pooled(
    yarn_of: NDArray[np.intp],
    yarns: Sequence[Joined],
    pass_m: float,
    crossings: int,
    seen_m: tuple[float, float] | None = None,
) -> Shades:
    """The shade of every crossing of every pick (or end): (passes, crossings).

    `yarn_of` (passes,) is the yarn of each, by its place in `yarns`; one shuttle carries each yarn.
    Shades are numbered through all yarns; NO_YARN where a yarn has given out. Else as `places_m`.

    >>> from farspun.craft.yarn_colour import Shade, Stretch
    >>> red, blue = (Shade(name, (0.5, 0.5, 0.5), "given") for name in ("red", "blue"))
    >>> told = (Stretch(red, 0.5, 0.5), Stretch(blue, 0.5, 0.5))
    >>> yarn = Joined((strand(YarnColour(Lie.STRIPING, told), 9.0, "Gorse"),), (9.0,))
    >>> pooled(np.zeros(3, dtype=np.intp), [yarn], 1.0, 4).tolist()
    [[0, 0, 1, 1], [1, 1, 0, 0], [0, 0, 1, 1]]
    """
    firsts = np.cumsum([0, *(yarn.shades for yarn in yarns)])
    if all(_alike(yarn) for yarn in yarns):
        return _whole_passes(yarn_of, yarns, firsts, pass_m, _within_m(pass_m, crossings, seen_m))
    places = places_m(yarn_of, pass_m, crossings, seen_m)
    if len(yarns) == 1:
        return yarns[0].at(places)
    found = np.full(places.shape, NO_YARN, dtype=np.int16)
    for number, yarn in enumerate(yarns):
        own = yarn_of == number
        shade = yarn.at(places[own])
        found[own] = np.where(shade == NO_YARN, NO_YARN, shade + np.int16(firsts[number]))
    return found


def _alike(yarn: Joined) -> bool:
    """One skein of one shade: nothing changes along it."""
    return yarn.shades == 1


def _whole_passes(
    yarn_of: NDArray[np.intp],
    yarns: Sequence[Joined],
    firsts: NDArray[np.intp],
    pass_m: float,
    within_m: Metres,
) -> Shades:
    """As `pooled` where no yarn changes along itself: a pass is whole, or as far as it goes."""
    shade = firsts[yarn_of].astype(np.int16)
    lengths_m = np.array([sum(yarn.lengths_m) for yarn in yarns])
    left_m = lengths_m[yarn_of] - passes_in_turn(yarn_of) * pass_m
    found = np.repeat(shade[:, None], len(within_m), axis=1)
    found[left_m <= 0] = NO_YARN
    for one in np.flatnonzero((left_m > 0) & (left_m < pass_m)):
        own = yarn_of[: one + 1] == yarn_of[one]
        forth = np.count_nonzero(own) % 2 == 1
        found[one, (within_m if forth else pass_m - within_m) >= left_m[one]] = NO_YARN
    return found


@dataclass(frozen=True, slots=True)
class Stacking:
    """How the stripes of a yarn lie one above another, pick by pick.

    `halves`: the nearest whole number of half periods in a pick; `drift_m`: how far the stripes
    move to the left with each pick; `picks`: in how many picks they have moved by a whole period,
    infinite where they stack.
    """

    halves: int
    drift_m: float
    picks: float


def stacking(period_m: float, pass_m: float) -> Stacking:
    """Whether the stripes of period `period_m` stack where a pick takes `pass_m` of yarn.

    A pick of a whole number of half periods ends where the yarn, on its way back, shows the same
    again two picks later. What is more or less of it moves the stripes, twice in two picks.
    Raises ImpossibleValue for lengths not above 0. Source: geometry of the yarn's way, hand
    arithmetic in tests/unit/test_pooling.py.

    >>> found = stacking(1.0, 1.52)
    >>> found.halves, round(found.drift_m, 9), round(found.picks)
    (3, 0.02, 50)
    """
    half_m = above_zero("period", period_m, "m") / 2
    halves = round(above_zero("yarn in a pick", pass_m, "m") / half_m)
    drift_m = pass_m - halves * half_m
    none = abs(drift_m) < 1e-9 * period_m
    return Stacking(halves, 0.0 if none else drift_m, math.inf if none else period_m / abs(drift_m))
