"""How much yarn is enough, counted in draws: what to claim of it, and what to add to it."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from farspun.craft.readings import Floats

Bools = NDArray[np.bool_]


def keep_share(need_m: Floats, have_m: Floats, level: float) -> float:
    """The share of what is free to claim: the level quantile of need/have, at most all of it.

    `need_m`, `have_m`: of each draw, m, of shapes that go together.

    >>> keep_share(np.array([30.0, 60.0]), np.array([100.0, 100.0]), 0.95)
    0.6
    """
    with np.errstate(divide="ignore"):
        wanted = (need_m / have_m).ravel()
    at = _rank(level, wanted.size)
    return min(1.0, float(np.partition(wanted, at)[at]))


def least_more(gaps_m: Sequence[Floats], must: Bools | bool, promise: float) -> list[float]:
    """Metres to add to each yarn so that all are covered together in as many draws as promised.

    `gaps_m`: of each yarn what it lacks in each draw, m, below 0 where it has more; all of one
    shape. `must`: draws that count at all, of that shape or True. The least common level: the
    least part of the draws for which it is enough to cover each yarn in so many of its own.

    >>> lacks = np.arange(-50.0, 50.0)
    >>> least_more([lacks], True, 0.9), least_more([lacks, lacks[::-1]], True, 0.9)
    ([39.0], [44.0, 44.0])
    """
    if not gaps_m:
        return []
    draws = gaps_m[0].size
    least = _rank(promise, draws)
    # of each yarn what covers a draw of that rank, and so on up to the worst of all
    tails = [np.sort(np.partition(gap, least, axis=None)[least:]) for gap in gaps_m]
    covering = [np.maximum(tail, 0.0) for tail in tails]
    low, high = 0, draws - 1 - least
    while low < high:
        middle = (low + high) // 2
        kept = _covered(gaps_m, [float(one[middle]) for one in covering]) & must
        if np.count_nonzero(kept) > least:
            high = middle
        else:
            low = middle + 1
    return [float(one[low]) for one in covering]


def _covered(gaps_m: Sequence[Floats], more_m: Sequence[float]) -> Bools:
    """Whether so many metres more cover every yarn, of each draw."""
    covered = [gap <= more for gap, more in zip(gaps_m, more_m, strict=True)]
    return np.asarray(np.logical_and.reduce(covered), dtype=bool)


def _rank(level: float, size: int) -> int:
    """The place, from 0, of the level quantile among so many in order."""
    return min(int(np.ceil(level * size)), size) - 1
