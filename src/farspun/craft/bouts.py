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


def bouts(ends: int, repeat: int = 1) -> tuple[Bout, ...]:
    """The ends in bouts of 50 to 100, as alike as can be, in whole repeats where that goes.

    Fewer than 50 are one bout. Raises ImpossibleValue for no end. Source: common practice.

    >>> [bout.upto for bout in bouts(154)], [bout.ends for bout in bouts(154, 8)]
    ([77, 154], [80, 74])
    """
    count("number of ends", ends)
    many = -(-ends // MOST_BOUT)
    size = -(-ends // many)
    whole = count("repeat", repeat) * max(1, round(size / repeat))
    if LEAST_BOUT <= whole <= MOST_BOUT and ends - whole * (many - 1) in range(1, MOST_BOUT + 1):
        size = whole
    sizes = [size] * (many - 1)
    sizes.append(ends - sum(sizes))
    return tuple(Bout(*one) for one in zip(sizes, accumulate(sizes), strict=True))


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
