"""Like skeins together: the fewest of them that reach, where none of them does alone."""

from dataclasses import dataclass, replace

import numpy as np

from farspun.craft.candidates import Bools, Candidates, Floats, Ints

# name: value          unit         source
LIKE_GRIST = 0.15  # in ln(tex)     judgement: hands spin a lot no evener than that
MOST_TOGETHER = 12  # skeins        judgement: more are a stash, not a yarn


@dataclass(frozen=True, slots=True)
class Rows:
    """Growing combinations: each adds the next longest like skein to the one before.

    `order`: skeins by lot, longest first; `start`, `end`: where a combination stands in it;
    `lot`: which like skeins they are.
    """

    order: Ints
    start: Ints
    end: Ints
    lot: Ints

    def members(self, row: int) -> Ints:
        """The skeins of a combination, longest first."""
        return self.order[self.start[row] : self.end[row]]

    def added(self, values: Floats) -> Floats:
        """The sum of a value over the skeins of each combination."""
        total = np.r_[0.0, np.cumsum(values[self.order])]
        return np.asarray(total[self.end] - total[self.start])

    def chosen(self, at: Ints) -> "Rows":
        """Some of them."""
        return Rows(self.order, self.start[at], self.end[at], self.lot[at])


def lots(like: Ints, tex: Floats) -> Ints:
    """Which skeins are like: the same in words (`like`), and near in grist.

    Near means within steps of 15 % from the finest of its words; a grist not known is like none.

    >>> lots(np.array([0, 0, 0, 1]), np.array([200.0, 215.0, 260.0, 200.0])).tolist()
    [0, 0, 1, 2]
    """
    order = np.lexsort((tex, like))
    own, fine = like[order], np.log(tex[order])
    first = np.r_[True, own[1:] != own[:-1]] if len(own) else np.zeros(0, dtype=bool)
    finest = fine[first][np.cumsum(first) - 1]
    apart = fine - finest
    known = np.isfinite(apart)
    step = np.where(known, np.floor(np.where(known, apart, 0.0) / LIKE_GRIST), 0)
    change = np.r_[True, (own[1:] != own[:-1]) | (step[1:] != step[:-1]) | ~known[1:]]
    found = np.empty(len(own), dtype=np.int64)
    found[order] = np.cumsum(change[: len(own)]) - 1
    return found


def growing(lot: Ints, have: Floats) -> Rows:
    """Every combination of two or more, longest skeins first, up to MOST_TOGETHER.

    >>> rows = growing(np.array([0, 1, 0, 0]), np.array([5.0, 9.0, 7.0, 6.0]))
    >>> [rows.members(at).tolist() for at in range(2)]
    [[2, 3], [2, 3, 0]]
    """
    order = np.lexsort((-have, lot))
    own = lot[order]
    first = np.r_[True, own[1:] != own[:-1]] if len(own) else np.zeros(0, dtype=bool)
    start = np.flatnonzero(first)[np.cumsum(first) - 1]
    place = np.arange(len(order)) - start
    wanted = (place >= 1) & (place < MOST_TOGETHER) & (have[order] > 0)
    end = np.flatnonzero(wanted) + 1
    return Rows(order, start[wanted], end, own[wanted])


def together(c: Candidates, rows: Rows) -> Candidates:
    """The combinations as candidates: metres added, grist and width of a wrap as the mean by whole
    lengths.

    Their doubt is taken as all shared, the most it can be; `shared_moment` puts that right.
    """
    added = rows.added
    whole = added(c.whole)
    have = added(c.have)
    cv = np.sqrt(np.maximum(c.have2 / np.square(np.where(c.have > 0, c.have, 1.0)) - 1, 0.0))
    doubt = added(c.have * cv) / np.where(have > 0, have, 1.0)
    longest = rows.order[rows.start]
    return replace(
        c.rows(longest),
        have=have,
        have2=have**2 * (1 + doubt**2),
        whole=whole,
        tex=added(c.whole * c.tex) / whole,
        wraps_per_cm=whole / added(c.whole / c.wraps_per_cm),
        fill=added(c.whole * c.fill) / whole,
        wrapped=added(c.wrapped.astype(float)) > 0,
    )


def fewest(rows: Rows, odds: Floats, alone: Floats, lot: Ints, promise: float) -> Ints:
    """Of each lot the one combination worth telling: the first that keeps the promise, else all.

    None where a skein of the lot keeps it alone, and none that is no better than the best alone.
    """
    if not len(rows.lot):
        return np.zeros(0, dtype=np.int64)
    most = np.zeros(int(lot.max()) + 1)
    np.maximum.at(most, lot, np.nan_to_num(alone))
    keeps = odds >= promise
    last = np.r_[rows.lot[1:] != rows.lot[:-1], True]
    before = np.r_[0, np.cumsum(keeps)[:-1]]
    begins = np.r_[True, rows.lot[1:] != rows.lot[:-1]]
    at_begin = before[begins][np.cumsum(begins) - 1]
    none_yet = before == at_begin
    chosen: Bools = none_yet & (keeps | last) & (most[rows.lot] < promise)
    return np.flatnonzero(chosen & (np.nan_to_num(odds) > most[rows.lot]))
