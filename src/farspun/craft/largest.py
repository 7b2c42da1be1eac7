"""The largest size that keeps a promise: a search over whole numbers that trusts no smooth curve.

Ends, picks and warp are whole, and a wider cloth may go on another loom with another reed, so the
odds of a larger size can be a little higher than those of the one before. A bisection alone would
take the first step down for the last.
"""

import math
from collections.abc import Callable

from farspun.errors import ImpossibleValue

# name: value      unit        source
RUNG = 1.15  # times          judgement: a change of loom or reed does not hide between two rungs
HOPELESS = 1e-12  # chance    judgement: no other reed halves a need that far beyond the yarn
SCANNED = 8  # whole sizes    judgement: wider than any tooth that rounding makes


def largest_whole(
    keeps: Callable[[int], bool],
    about: Callable[[int], float | None],
    promise: float,
    most: int,
    near: int | None = None,
) -> int | None:
    """The largest whole size from 1 to `most` that keeps the promise, and the next does not.

    `keeps` answers exactly, `about` quickly: the odds of a size, None where it cannot be at all.
    `near`: where to look, if that is known. The quick answer finds the last rung of a ladder of
    sizes that may keep it; between that and the next the exact one is halved, and then asked of
    each of the next SCANNED sizes, beginning again above any that keeps it. None where no size
    does.

    >>> largest_whole(lambda s: s <= 37, lambda s: 1.0 - s / 740, 0.95, 100)
    37
    >>> largest_whole(lambda s: s <= 30 or s == 33, lambda s: 1.0 - s / 740, 0.95, 100)
    33
    """
    if not most >= 1:
        raise ImpossibleValue("the largest size", str(most), "1 or more")
    low = _last_rung(about, promise, most, near)
    found = _bracketed(keeps, low, most)
    if found is None:
        return None
    low, high = found
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (middle, high) if keeps(middle) else (low, middle)
    at = low + 1
    while at <= min(most, low + SCANNED):
        low = at if keeps(at) else low
        at += 1
    return low


def _last_rung(
    about: Callable[[int], float | None], promise: float, most: int, near: int | None
) -> int:
    """The largest rung that may keep the promise; 1 where none does."""
    last, size = 1, 1
    if near is not None and near > 2:
        start = min(most, near) // 2
        odds = about(start)
        if odds is not None and odds >= promise:
            last = size = start
    possible = False
    while size <= most:
        odds = about(size)
        if odds is None and possible:
            break
        if odds is not None:
            possible = True
            if odds >= promise:
                last = size
            elif odds < HOPELESS:
                break
        size = max(size + 1, math.ceil(size * RUNG))
    return last


def _bracketed(keeps: Callable[[int], bool], start: int, most: int) -> tuple[int, int] | None:
    """(a size that keeps it, one above that does not); None where none from `start` down keeps it.

    The quick answer may be off, so this walks away from it in steps that double.
    """
    step = max(1, start // 32)
    if keeps(start):
        low, high = start, start + step
        while high <= most and keeps(high):
            step *= 2
            low, high = high, high + step
        return low, min(high, most + 1)
    low, high = start - step, start
    while low >= 1 and not keeps(low):
        step *= 2
        low, high = low - step, low
    if low >= 1:
        return low, high
    return (1, high) if high > 1 and keeps(1) else None
