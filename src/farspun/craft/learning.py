"""Her samples and finished cloths in place of habit: one question a factor, a spread for answer.

`learned` is the one entry: it sets aside what cannot be true (`outliers`), asks the rest what they
say (`beliefs`), and gives back for each factor of a planned cloth a spread to draw from
(`farspun.craft.learned`), with where it came from.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from farspun.craft.beliefs import SAMPLE_SHARED, Beliefs, beliefs
from farspun.craft.learned import learned_spread
from farspun.craft.outliers import Doubtful, sifted
from farspun.craft.records import Places, RecordColumns
from farspun.craft.spread import Spread


@dataclass(frozen=True, slots=True)
class Question:
    """One factor of a cloth: its group and piece as in records, and its habit, `default`.

    `said`: the group in words, as they follow "8 of your" ("wool cloths, gentle wash").
    """

    factor: str
    group: str
    piece: str
    default: Spread
    said: str = "cloths"


@dataclass(frozen=True, slots=True)
class Learning:
    """A spread for each question, in order, and the records to ask her about."""

    spreads: tuple[Spread, ...]
    doubtful: tuple[Doubtful, ...]


def learned(
    records: RecordColumns, questions: Sequence[Question], shared: float = SAMPLE_SHARED
) -> Learning:
    """What to draw for each factor asked, records in place of habit as far as they go.

    `shared` as in `farspun.craft.beliefs`. A weaver without any record keeps her habits as they
    are; a spread she gave by hand, or one that is exact, is kept always. Source: docs/learning.md.

    >>> from farspun.craft.records import Record, record_columns
    >>> records = [Record("shrink_length", "wool, gentle", f"cloth {n}", -0.8) for n in range(8)]
    >>> habit = Spread(0.10, 0.05, "loss", "common practice")
    >>> group = "wool, gentle"
    >>> asked = Question("shrink_length", group, "Shawl", habit, "wool cloths, gentle wash")
    >>> (found,) = learned(record_columns(records), [asked]).spreads
    >>> round(found.mean, 3), round(found.sd, 3), found.origin
    (0.138, 0.014, '8 of your wool cloths, gentle wash')
    """
    found = sifted(records, shared)
    counting = records.taken(found.counts)
    spreads = [question.default for question in questions]
    if len(counting):
        taught = beliefs(counting, _places(questions), shared)
        spreads = [_taught(question, taught, at) for at, question in enumerate(questions)]
    return Learning(tuple(spreads), found.doubtful)


def _places(questions: Sequence[Question]) -> Places:
    names = [(question.factor, question.group, question.piece) for question in questions]
    columns = np.array(names, dtype=np.str_).reshape(len(names), 3).T
    return Places(*columns)


def _taught(question: Question, taught: Beliefs, at: int) -> Spread:
    default = question.default
    if default.by_hand or not default.log_sd > 0:
        return default
    origin = origin_in_words(
        own_records=int(taught.own_records[at]),
        group_pieces=int(taught.group_pieces[at]),
        other_pieces=int(taught.other_pieces[at]),
        said=question.said,
    )
    return learned_spread(
        default, float(taught.mean[at]), float(taught.sd[at]), origin or default.origin
    )


def origin_in_words(own_records: int, group_pieces: int, other_pieces: int, said: str) -> str:
    """Where a spread came from; "" where no record speaks of the factor.

    >>> origin_in_words(1, 8, 3, "wool cloths, gentle wash")
    'its own sample, and 8 of your wool cloths, gentle wash'
    >>> origin_in_words(0, 0, 3, "wool cloths, gentle wash")
    '3 of your other cloths'
    """
    parts = ["its own sample"] if own_records else []
    if group_pieces:
        parts.append(f"{group_pieces} of your {said}")
    elif other_pieces:
        parts.append(f"{other_pieces} of your other cloths")
    return ", and ".join(parts)
