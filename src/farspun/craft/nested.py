"""Readings with nested effects in common, summed from the inside out: exact, O(n), in numpy.

Of one factor, every reading is y = u + v + s + e: u common to all of the weaver's, v to those of
a group, s to those of a piece, e its own; all independent, normal about 0. With Σ the covariance
of some readings given what is outside them, let

    square = yᵀΣ⁻¹y,  log_det = ln|Σ|,  ones = 1ᵀΣ⁻¹1,  pull = 1ᵀΣ⁻¹y,

which add up over readings that have nothing more in common. A further effect of variance t, common
to all of them, makes of these, with a = 1 + t·ones (Sherman-Morrison),

    square - t·pull²/a,  log_det + ln a,  ones/a,  pull/a.

Twice the negative log likelihood is log_det + square when all effects are in. From the outside in,
what a reading to come has so far, N(m, x) with m = x = 0 at first, becomes with one effect more

    m ← (m + t·pull)/a,  x ← x/a² + t/a,

and the reading is N(m, x + variance of e). Source: Henderson's mixed-model equations, from memory.
"""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from farspun.craft.readings import Floats, Ints
from farspun.craft.records import Bools, Names, Places, RecordColumns

SQUARE, LOG_DET, ONES, PULL = range(4)  # the sums, first axis of the arrays
ABSENT = -1  # the last node: no reading there, all sums 0

Levels = tuple[Floats, Floats, Floats]  # sums (4, W, n) of a factor, a group and a piece


@dataclass(frozen=True, slots=True)
class Parts:
    """Variance (W,) of each effect, in W ways to share out the whole at once."""

    weaver: Floats
    group: Floats
    piece: Floats
    reading: Floats


@dataclass(frozen=True, slots=True)
class Nodes:
    """Positions of a factor, a group and a piece, (n,) each; ABSENT where there is none."""

    factor: Ints
    group: Ints
    piece: Ints


@dataclass(frozen=True, slots=True)
class Tree:
    """Readings in their standing order, summed by piece, group and factor.

    Sums (4, W, nodes + 1) are those before the node's own effect is in. `own`: the nodes each
    reading, seen at `places`, belongs to; the last three count, (nodes + 1), what is in a node.
    """

    order: Ints
    parts: Parts
    reading: Floats
    piece: Floats
    group: Floats
    factor: Floats
    places: Places
    own: Nodes
    readings_of_piece: Ints
    pieces_of_group: Ints
    pieces_of_factor: Ints

    @property
    def total(self) -> Floats:
        """Square and log_det, (2, W), of all readings."""
        both = sharing(self.factor, self.parts.weaver)[: LOG_DET + 1]
        return np.asarray(both.sum(axis=-1))

    def levels(self, at: Nodes) -> Levels:
        """Sums of the nodes `at` (n,)."""
        return self.factor[..., at.factor], self.group[..., at.group], self.piece[..., at.piece]

    def found(self, places: Places) -> Nodes:
        """The nodes of these places (n,)."""
        levels = []
        for depth, own in enumerate((self.own.factor, self.own.group, self.own.piece), start=1):
            node = dict(zip(_keys(self.places, depth), own.tolist(), strict=True))
            at = [node.get(key, ABSENT) for key in _keys(places, depth)]
            levels.append(np.array(at, dtype=np.int64))
        return Nodes(*levels)

    def less_each(self) -> tuple[Levels, Floats]:
        """For each reading (in the standing order), its levels and the total (2, W, n) less it."""
        parts = self.parts
        factor, group, piece = self.levels(self.own)
        less_piece = piece - self.reading
        less_group = group - sharing(piece, parts.piece) + sharing(less_piece, parts.piece)
        less_factor = factor - sharing(group, parts.group) + sharing(less_group, parts.group)
        gone = sharing(factor, parts.weaver) - sharing(less_factor, parts.weaver)
        total = self.total[..., None] - gone[: LOG_DET + 1]
        return (less_factor, less_group, less_piece), total


def sharing(sums: Floats, variance: Floats) -> Floats:
    """The sums (4, W, n) of each node once an effect of `variance` (W,) is common to it."""
    square, log_det, ones, pull = sums
    more = 1 + variance[:, None] * ones
    weighed = variance[:, None] * pull**2 / more
    return np.stack([square - weighed, log_det + np.log(more), ones / more, pull / more])


def next_reading(levels: Levels, parts: Parts) -> tuple[Floats, Floats]:
    """Mean and variance (W, n) of a reading to come at nodes with these sums."""
    mean = variance = np.zeros(1)
    shared = (parts.weaver, parts.group, parts.piece)
    for sums, effect in zip(levels, shared, strict=True):
        more = 1 + effect[:, None] * sums[ONES]
        mean = (mean + effect[:, None] * sums[PULL]) / more
        variance = variance / more**2 + effect[:, None] / more
    return mean, variance + parts.reading[:, None]


def in_common(levels: Levels, parts: Parts) -> tuple[Floats, Floats]:
    """Of the variance (W, n) of a reading to come: what hangs on u, and what on v besides.

    Readings at two places have the first in common where the factor is one, the second where the
    group is. Given u the rest is pulled towards the readings there are, so that of an effect of 1
    only 1/a is left at each further level; see the recursion at the top.
    """
    factor, group, piece = levels
    of_group = 1 + parts.group[:, None] * group[ONES]
    of_piece = 1 + parts.piece[:, None] * piece[ONES]
    weaver = parts.weaver[:, None] / (1 + parts.weaver[:, None] * factor[ONES])
    return weaver / (of_group * of_piece) ** 2, parts.group[:, None] / of_group / of_piece**2


def tree_of(records: RecordColumns, parts: Parts) -> Tree:
    """All records (one at least) summed up; the order they came in leaves no trace."""
    order = records.standing_order()
    places = Places(*(names[order] for names in records.names))
    begins = np.zeros(len(order), dtype=bool)
    starts, own = [], []
    for names in places.names:  # a node begins where its name changes, or one outside it begins
        begins = begins | _begins(names)
        starts.append(np.flatnonzero(begins))
        own.append(np.cumsum(begins) - 1)
    # the first group of each factor and the first piece of each group
    group_at, piece_at = own[1][starts[0]], own[2][starts[1]]
    reading = _readings(records.y[order], parts.reading)
    by_piece = _summed(reading, starts[2])
    by_group = _summed(sharing(by_piece[..., :-1], parts.piece), piece_at)
    by_factor = _summed(sharing(by_group[..., :-1], parts.group), group_at)
    pieces = len(starts[2])
    return Tree(
        order=order,
        parts=parts,
        reading=reading,
        piece=by_piece,
        group=by_group,
        factor=by_factor,
        places=places,
        own=Nodes(*own),
        readings_of_piece=_counts(starts[2], len(order)),
        pieces_of_group=_counts(piece_at, pieces),
        pieces_of_factor=_counts(own[2][starts[0]], pieces),
    )


def _begins(names: Names) -> Bools:
    """Where a name is not that of the one before."""
    return np.concatenate([[True], names[1:] != names[:-1]])


def _readings(y: Floats, variance: Floats) -> Floats:
    """Sums (4, W, n) of single readings."""
    own = np.broadcast_to(variance[:, None], (len(variance), len(y)))
    return np.stack([y**2 / own, np.log(own), 1 / own, y / own])


def _summed(sums: Floats, starts: Ints) -> Floats:
    """Sums (4, W, nodes + 1) of the runs that begin at `starts`, and 0 for what is absent."""
    runs = np.add.reduceat(sums, starts, axis=-1)
    return np.concatenate([runs, np.zeros_like(runs[..., :1])], axis=-1)


def _counts(starts: Ints, total: int) -> Ints:
    return np.append(np.diff(starts, append=total), 0)


def _keys(places: Places, depth: int) -> Iterator[tuple[str, ...]]:
    """The names that lead to each place, from the outside in, so many levels deep."""
    return zip(*(names.tolist() for names in places.names[:depth]), strict=True)
