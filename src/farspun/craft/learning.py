"""Her samples and finished cloths in place of habit: one question a factor, a spread for answer.

`Lessons` is the one entry: it sets aside what cannot be true (`outliers`), asks the rest what they
say (`beliefs`), and gives back for each factor of a planned cloth a spread to draw from
(`farspun.craft.learned`), with where it came from.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from farspun.craft.beliefs import SAMPLE_SHARED, Beliefs, beliefs, in_common_with_others
from farspun.craft.learned import learned_spread
from farspun.craft.outliers import Doubtful, sifted
from farspun.craft.records import Places, RecordColumns
from farspun.craft.spread import Spread
from farspun.craft.ways import OWN, Way


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


class Lessons:
    """What all records together teach: sifted once, asked as often as there are questions.

    `shared` as in `farspun.craft.beliefs`; `doubtful` are the records to ask her about. Source:
    docs/learning.md.
    """

    def __init__(self, records: RecordColumns, shared: float = SAMPLE_SHARED) -> None:
        found = sifted(records, shared)
        self.counting = records.taken(found.counts)
        self.doubtful: tuple[Doubtful, ...] = found.doubtful
        self._shared = shared

    def __len__(self) -> int:
        """Records that count."""
        return len(self.counting)

    def speak_of(self, factor: str) -> bool:
        """Whether any record that counts is of this factor."""
        return bool((self.counting.factor == factor).any())

    def spreads(self, questions: Sequence[Question]) -> tuple[Spread, ...]:
        """What to draw for each factor asked, records in place of habit as far as they go.

        A weaver without any record keeps her habits as they are; a spread she gave by hand, or one
        that is exact, is kept always.

        >>> from farspun.craft.records import Record, record_columns
        >>> group = "wool, gentle"
        >>> records = [Record("shrink_length", group, f"cloth {n}", -0.8) for n in range(8)]
        >>> habit = Spread(0.10, 0.05, "loss", "common practice")
        >>> asked = Question(
        ...     "shrink_length", "wool, gentle", "Shawl", habit, "wool cloths, gentle wash")
        >>> (found,) = Lessons(record_columns(records)).spreads([asked])
        >>> round(found.mean, 3), round(found.sd, 3), found.origin
        (0.138, 0.014, '8 of your wool cloths, gentle wash')
        """
        if not len(self.counting):
            return tuple(question.default for question in questions)
        taught = beliefs(self.counting, _places(questions), self._shared)
        return tuple(_taught(question, taught, at) for at, question in enumerate(questions))

    def ways(self, questions: Sequence[Question]) -> tuple[Way, ...]:
        """How much of the doubt in each factor is the weaver's way, and how much her group's.

        What she gave by hand is of that cloth alone; its `default` is the spread that is drawn.

        >>> from farspun.craft.records import record_columns
        >>> asked = Question("beat", "Little Floor, wool", "Shawl", Spread(1.0, 0.08, "ratio"))
        >>> Lessons(record_columns([])).ways([asked])
        (Way(weaver=0.375, group=0.375, of='Little Floor, wool'),)
        """
        parts = in_common_with_others(self.counting, _places(questions), self._shared)
        return tuple(
            OWN if question.default.by_hand else Way(weaver, group, question.group)
            for question, weaver, group in zip(questions, *(p.tolist() for p in parts), strict=True)
        )


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
    spread = learned_spread(
        default, float(taught.mean[at]), float(taught.sd[at]), origin or default.origin
    )
    counts = taught.own_records[at], taught.group_pieces[at], taught.other_pieces[at]
    own, pieces, others = (int(count) for count in counts)
    return replace(spread, own_records=own, pieces=pieces, others=others)


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
