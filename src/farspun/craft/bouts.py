"""How a warp is wound in bouts, and where its ends come to stand in the reed."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import accumulate

from farspun.craft.limits import count

# name: value       unit    source
LEAST_BOUT = 50  # ends     common practice, no source: fewer are tied and chained for nothing
MOST_BOUT = 100  # ends     common practice, no source: more pull the pegs out of line


@dataclass(frozen=True, slots=True)
class Bout:
    """One bout: its ends, and how many are wound when it is done."""

    ends: int
    upto: int


@dataclass(frozen=True, slots=True)
class Dents:
    """Where a warp stands in its reed: dents it fills, those of them to the left of the middle
    (there the first end goes), and the end that goes through the middle dent."""

    dents: int
    left_of_middle: int
    middle_end: int


@dataclass(frozen=True, slots=True)
class Bundles:
    """So many bundles side by side, of so many ends each."""

    bundles: int
    ends: int


def bouts(ends: int, repeat: int = 1) -> tuple[Bout, ...]:
    """The ends in bouts of 50 to 100, as alike as can be, in whole repeats where that goes.

    A warp is wound there and back, so a bout is even; where the ends are odd, the last is. Fewer
    than 50 are one bout. Raises ImpossibleValue for no end. Source: common practice, no source.

    >>> [bout.upto for bout in bouts(154)], [bout.ends for bout in bouts(154, 8)]
    ([78, 154], [80, 74])
    """
    count("number of ends", ends)
    many = -(-ends // MOST_BOUT)
    pairs = -(-ends // 2)
    sizes = [2 * (pairs // many + (at < pairs % many)) for at in range(many)]
    unit = count("repeat", repeat) * (1 + repeat % 2)  # of even repeats whole bouts are even
    whole = unit * max(1, round(sizes[0] / unit)) if repeat > 2 else 0
    if LEAST_BOUT <= whole <= MOST_BOUT and ends - whole * (many - 1) in range(1, MOST_BOUT + 1):
        sizes = [whole] * many
    sizes[-1] = ends - sum(sizes[:-1])
    return tuple(Bout(*one) for one in zip(sizes, accumulate(sizes), strict=True))


def bundled(ends: int, bundles: int) -> tuple[Bundles, ...]:
    """The ends in bundles as alike as can be, from the left; the smaller ones at the edges.

    Raises ImpossibleValue for no end or no bundle. Source: counting.

    >>> [(one.bundles, one.ends) for one in bundled(116, 12)]
    [(2, 9), (8, 10), (2, 9)]
    """
    each, larger = divmod(count("number of ends", ends), count("number of bundles", bundles))
    right = (bundles - larger) // 2
    left = bundles - larger - right
    runs = ((left, each), (larger, each + 1), (right, each))
    if not larger:
        return (Bundles(bundles, each),)
    return tuple(Bundles(*one) for one in runs if one[0])


def dents_filled(ends: int, per_dent: Sequence[int]) -> Dents:
    """Dents that `ends` ends fill, `per_dent` of them in turn, and which end stands in the middle.

    An odd dent stands to the right. Raises ImpossibleValue. Source: counting.

    >>> dents_filled(154, [1])
    Dents(dents=154, left_of_middle=77, middle_end=78)
    >>> dents_filled(10, [1, 1, 2])
    Dents(dents=8, left_of_middle=4, middle_end=6)
    """
    count("number of ends", ends)
    count("ends in a repeat of the sleying", sum(per_dent))
    repeats, over = divmod(ends - 1, sum(per_dent))
    upto = list(accumulate(per_dent))
    last = next(dent for dent, reached in enumerate(upto) if reached > over)
    dents = repeats * len(per_dent) + last + 1
    left = dents // 2
    before = sum(per_dent) * (left // len(per_dent)) + sum(per_dent[: left % len(per_dent)])
    return Dents(dents, left, min(ends, before + 1))
