"""Records so far off all the others that they are set aside and asked about.

Each record is held against what all the others say of it. One further off than chance would
bring it once in ten thousand is more likely a slip (a figure ten times too large, the wrong cloth)
than her weaving. The worst is set aside first and the rest judged again without it, but never
more than a third of a factor's records; what she confirms counts again. The others that look as
odd are asked about and count until she answers.
"""

from dataclasses import dataclass

import numpy as np

from farspun.craft.beliefs import SAMPLE_SHARED, leave_one_out
from farspun.craft.readings import Floats
from farspun.craft.records import Bools, RecordColumns

# name: value           unit              source
DOUBTFUL_P = 1e-4  # chance, two-sided  judgement: a good record in ten thousand is asked about
MOST_ASIDE = 3  # one in so many         judgement: of a factor's records, never more are set aside


@dataclass(frozen=True, slots=True)
class Doubtful:
    """A record that hardly fits the others: its position, and why.

    `p`: the chance of one so far off; `spreads`: by how many sds of what the others say, above 0
    where it is larger; `set_aside`: it does not count until she confirms it. Of what is set aside
    both are as they were then, with the worse ones already aside.
    """

    at: int
    p: float
    spreads: float
    set_aside: bool


@dataclass(frozen=True, slots=True)
class Sifted:
    """`counts` (n,): which records count. `doubtful`: those to ask about, set aside ones first."""

    counts: Bools
    doubtful: tuple[Doubtful, ...]


def sifted(records: RecordColumns, shared: float = SAMPLE_SHARED) -> Sifted:
    """Which records count, and which to ask about. The order they came in changes nothing.

    `shared` as in `farspun.craft.beliefs`. Confirmed records always count and are not asked about.
    Source: docs/learning.md.

    >>> from farspun.craft.records import Record, record_columns
    >>> ys = {"Runner": 0.2, "Shawl": -0.4, "Cushion": 14.4, "Towel": 0.1}
    >>> found = sifted(record_columns([Record("waste_cm", "", name, y) for name, y in ys.items()]))
    >>> found.counts.tolist(), [doubt.at for doubt in found.doubtful]
    ([True, True, False, True], [2])
    """
    order = records.standing_order()
    ranked = records.taken(order)
    counts = np.ones(len(ranked), dtype=bool)
    doubtful: list[Doubtful] = []
    while True:
        off, p = _judged(ranked, counts, shared)
        odd = counts & ~ranked.confirmed & (p < DOUBTFUL_P)
        may_go = odd & _room(ranked, counts)
        if not may_go.any():
            break
        worst = int(np.argmax(np.where(may_go, np.abs(off), -1.0)))
        counts[worst] = False
        doubtful.append(Doubtful(int(order[worst]), float(p[worst]), float(off[worst]), True))
    still = np.flatnonzero(odd)
    still = still[np.argsort(-np.abs(off[still]), kind="stable")]
    doubtful += [Doubtful(int(order[at]), float(p[at]), float(off[at]), False) for at in still]
    return Sifted(counts[np.argsort(order)], tuple(doubtful))


def _judged(records: RecordColumns, counts: Bools, shared: float) -> tuple[Floats, Floats]:
    """Spreads off and p (n,) of each record that counts, from the others that do; else 0 and 1."""
    off, p = np.zeros(len(records)), np.ones(len(records))
    kept = records.taken(counts)
    others = leave_one_out(kept, shared)
    off[counts], p[counts] = others.away(kept.y), others.p(kept.y)
    return off, p


def _room(records: RecordColumns, counts: Bools) -> Bools:
    """Whether one more of each record's factor (n,) may be set aside."""
    _, of, total = np.unique(records.factor, return_inverse=True, return_counts=True)
    aside = np.bincount(of[~counts], minlength=len(total))
    return np.asarray((aside < total // MOST_ASIDE)[of])
