"""What a weaver's records say of her next cloth: an exact mixture over twelve simple models.

In spreads of the habit (`farspun.craft.learned`), a record of a factor is

    y = u + v + s + e,    u ~ N(0, c(1-w)(1-q)),  v ~ N(0, c(1-w)q),
                          s ~ N(0, cwr),          e ~ N(0, cw(1-r)),

u the weaver's own way with that factor, v her group's (fibre and wash, loom …), s the piece's and
e what one reading has for itself. c scales the habit's variance, w is the part of it that comes
anew with each piece, q = 1/2 the group's part of the rest, r = 1/2 what a sample has in common
with its own cloth of the part that comes anew. Given (w, c) all is Gaussian and exact
(`farspun.craft.nested`); w and c are learned too, on a grid, from all her factors together:
p(w, c) ∝ prior · exp(-(log_det + n ln c + square/c)/2), sums over c taken at c = 1.

Where every piece has one record and all are of one group this is, with k = w/(1-w), K = k + n,
S = Σy and Q = Σy²: mean m = S/K, variance wc(1 + 1/K), and of each factor the log likelihood
ln(k/K)/2 - (n/2)ln(wc) - (Q - Km²)/(2wc). The next value has mean M = Σ p m and variance
V = Σ p(variance + (m - M)²), drawn as M + √V·√(6/8)·t₈. Source: docs/learning.md.
"""

from dataclasses import dataclass
from typing import Any

import numpy as np

from farspun.craft.nested import (
    LOG_DET,
    SQUARE,
    Nodes,
    Parts,
    Tree,
    in_common,
    next_reading,
    tree_of,
)
from farspun.craft.readings import Floats, Ints
from farspun.craft.records import Places, RecordColumns
from farspun.craft.student_t import DEGREES, NORMAL, two_sided_p, unit_quantile
from farspun.errors import ImpossibleValue

# name: value                                     unit         source: all judgement
WITHIN = np.array([0.1, 0.25, 0.5, 0.7])  # of the variance     comes anew with each piece
WITHIN_PRIOR = np.array([0.15, 0.45, 0.30, 0.10])  # chance     a quarter is likeliest
SCALE = np.array([0.5, 1.0, 2.0])  # times the variance         of the habit
SCALE_PRIOR = np.array([0.2, 0.6, 0.2])  # chance               the habit's is likeliest
GROUP_PART = 0.5  # of the variance between                     the group's; the rest the weaver's
SAMPLE_SHARED = 0.5  # of the variance within                   common to a sample and its cloth


@dataclass(frozen=True, slots=True)
class Beliefs:
    """n values to come, in spreads of their habit: `mean` and `sd` (n,), drawn with `degrees`.

    `weight` is p(w, c), (4, 3, n), or (4, 3, 1) where all rest on the same records. What each rests
    on, (n,): `own_records` of its piece, `group_pieces` others of its group, `other_pieces` of the
    factor's other groups.
    """

    mean: Floats
    sd: Floats
    degrees: float
    weight: Floats
    own_records: Ints
    group_pieces: Ints
    other_pieces: Ints

    def quantile(self, level: Any) -> Floats:
        """The `level` quantile (n,) of each; level in (0, 1)."""
        return np.asarray(self.mean + self.sd * unit_quantile(level, self.degrees))

    def away(self, y: Floats) -> Floats:
        """By how many of its own sds each `y` (n,) is off the belief."""
        return np.asarray((y - self.mean) / self.sd)

    def p(self, y: Floats) -> Floats:
        """The chance (n,) to be at least as far off as `y` (n,), either side."""
        return two_sided_p(self.away(y), self.degrees)


def beliefs(records: RecordColumns, asked: Places, shared: float = SAMPLE_SHARED) -> Beliefs:
    """What the records say of the places `asked` (n,), all factors at once.

    `shared`, at least 0 and below 1: the part of the variance within that records of one piece have
    in common. A weaver without any record keeps the habits, N(0, 1). Raises ImpossibleValue for
    another `shared`. Source: docs/learning.md.

    >>> from farspun.craft.records import Record, record_columns
    >>> records = record_columns([Record("beat", "", "Runner", 0.5)])
    >>> found = beliefs(records, record_columns([Record("beat", "", "Shawl", 0.0)]))
    >>> round(float(found.mean[0]), 5), round(float(found.sd[0]), 4)
    (0.32625, 0.7507)
    """
    parts = _parts(shared)
    if not len(records):
        return _habits(len(asked))
    tree = tree_of(records, parts)
    at = tree.found(asked)
    weight = _grid_weight(tree.total[..., None], len(records))
    own, group, others = _rests_on(tree, at)
    return _mixture(weight, *next_reading(tree.levels(at), parts), own, group, others)


def in_common_with_others(
    records: RecordColumns, asked: Places, shared: float = SAMPLE_SHARED
) -> tuple[Floats, Floats]:
    """The parts (n,) of the variance of `beliefs` that are the weaver's and the group's.

    Two cloths of hers have the first in common, two of one group both; what is left comes anew with
    each. Without any record w is taken as 1/4, its likeliest. Source: docs/reach.md.

    >>> from farspun.craft.records import Record, record_columns
    >>> asked = record_columns([Record("beat", "", "Shawl", 0.0)])
    >>> weaver, group = in_common_with_others(record_columns([]), asked)
    >>> weaver.tolist(), group.tolist()
    ([0.375], [0.375])
    """
    parts = _parts(shared)
    if not len(records):
        likeliest = int(np.argmax(WITHIN_PRIOR))
        each = (parts.weaver[likeliest], parts.group[likeliest])
        return np.full(len(asked), each[0]), np.full(len(asked), each[1])
    tree = tree_of(records, parts)
    levels = tree.levels(tree.found(asked))
    weight = _grid_weight(tree.total[..., None], len(records))
    whole = _mixture(weight, *next_reading(levels, parts), *_rests_on(tree, tree.found(asked)))
    scaled = (weight * SCALE[:, None]).sum(axis=1)  # (4, k): p summed over c, times c
    weaver, group = ((scaled * one).sum(axis=0) for one in in_common(levels, parts))
    return weaver / whole.sd**2, group / whole.sd**2


def leave_one_out(records: RecordColumns, shared: float = SAMPLE_SHARED) -> Beliefs:
    """What is believed of each record (n,) from all the others, in the order they came.

    Else as `beliefs`; quick, because each is taken off the sums. Source: docs/learning.md.

    >>> from farspun.craft.records import Record, record_columns
    >>> two = record_columns([Record("beat", "", name, y) for name, y in (("A", 0.5), ("B", 9.0))])
    >>> leave_one_out(two).mean.round(5).tolist()[1]
    0.32625
    """
    parts = _parts(shared)
    if len(records) < 2:
        return _habits(len(records))
    tree = tree_of(records, parts)
    levels, total = tree.less_each()
    weight = _grid_weight(total, len(records) - 1)
    own, group, others = _rests_on(tree, tree.own)
    found = _mixture(weight, *next_reading(levels, parts), own - 1, group, others)
    return _turned(found, np.argsort(tree.order))


def _parts(shared: float) -> Parts:
    if not 0 <= shared < 1:
        allowed = "at least 0 and less than 1"
        raise ImpossibleValue("what a sample has in common with its cloth", f"{shared:g}", allowed)
    between = 1 - WITHIN
    return Parts(
        weaver=between * (1 - GROUP_PART),
        group=between * GROUP_PART,
        piece=WITHIN * shared,
        reading=WITHIN * (1 - shared),
    )


def _grid_weight(total: Floats, n: int) -> Floats:
    """p(w, c), (4, 3, k), of n records from their square and log_det, (2, 4, k) at c = 1."""
    scale = SCALE[:, None]
    spread = total[LOG_DET][:, None] + n * np.log(scale) + total[SQUARE][:, None] / scale
    log_weight = np.log(WITHIN_PRIOR[:, None] * SCALE_PRIOR)[..., None] - spread / 2
    weight = np.exp(log_weight - log_weight.max(axis=(0, 1)))
    return np.asarray(weight / weight.sum(axis=(0, 1)))


def _mixture(
    weight: Floats, mean: Floats, variance: Floats, own: Ints, group: Ints, others: Ints
) -> Beliefs:
    """Moments over the grid: `weight` (4, 3, k or 1), `mean` and `variance` (4, k) at c = 1."""
    middle = (weight * mean[:, None]).sum(axis=(0, 1))
    each = SCALE[:, None] * variance[:, None] + (mean - middle)[:, None] ** 2
    sd = np.sqrt((weight * each).sum(axis=(0, 1)))
    return Beliefs(middle, sd, DEGREES, weight, own, group, others)


def _rests_on(tree: Tree, at: Nodes) -> tuple[Ints, Ints, Ints]:
    """Records of the piece itself, other pieces of its group, pieces of other groups."""
    own = tree.readings_of_piece[at.piece]
    of_group, of_factor = tree.pieces_of_group[at.group], tree.pieces_of_factor[at.factor]
    return own, of_group - (own > 0), of_factor - of_group


def _turned(found: Beliefs, to: Ints) -> Beliefs:
    """The same values in another order."""
    return Beliefs(
        mean=found.mean[to],
        sd=found.sd[to],
        degrees=found.degrees,
        weight=found.weight[..., to],
        own_records=found.own_records[to],
        group_pieces=found.group_pieces[to],
        other_pieces=found.other_pieces[to],
    )


def _habits(n: int) -> Beliefs:
    """No record at all: every factor at its habit, normal, the grid at its prior."""
    none = np.zeros(n, dtype=np.int64)
    prior = (WITHIN_PRIOR[:, None] * SCALE_PRIOR)[..., None]
    return Beliefs(np.zeros(n), np.ones(n), NORMAL, prior, none, none, none)
