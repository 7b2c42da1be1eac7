"""What became of samples and cloths, as records a weaver learns from: one a factor observed.

A record says by how many spreads of its habit a factor came out (`farspun.craft.learned`), in
which group it belongs (what it shares with others of its kind) and on which piece it was seen:
a sample woven for a cloth is on the same piece as that cloth.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from farspun.craft.readings import Floats, Ints
from farspun.errors import ImpossibleValue, NotFound

Names = NDArray[np.str_]
Bools = NDArray[np.bool_]

MOST_OFF = 10_000.0  # spreads of a habit  judgement: beyond what any slip of a digit does

# What the records of a factor have in common besides the weaver; the factors there are to learn.
# Shrinkage, waste, draw-in, beat and take-up: judgement, by what makes them differ. Weft take-up
# as draw-in, which is part of it, and let-off by the warp's fibre, as its habit: judgement.
GROUPED_BY: dict[str, tuple[str, ...]] = {
    "take_up": ("loom", "fibre family"),
    "draw_in": ("loom", "fibre family"),
    "beat": ("loom", "fibre family"),
    "weft_take_up": ("loom", "fibre family"),
    "shrink_length": ("fibre", "wash"),
    "shrink_width": ("fibre", "wash"),
    "waste_cm": ("loom",),
    "let_off": ("fibre family",),
}


def group_of(factor: str, traits: Mapping[str, str]) -> str:
    """The group a record of `factor` belongs to, by the traits of its cloth.

    Raises NotFound for a factor that is not learned, KeyError for a trait left out. Source:
    docs/learning.md.

    >>> cloth = {"loom": "Little Floor", "fibre family": "wool", "fibre": "wool", "wash": "gentle"}
    >>> group_of("shrink_width", cloth), group_of("waste_cm", cloth)
    ('wool, gentle', 'Little Floor')
    """
    if factor not in GROUPED_BY:
        known = ", ".join(GROUPED_BY)
        raise NotFound("factor to learn", factor, GROUPED_BY, f"Those there are: {known}.")
    return ", ".join(traits[trait] for trait in GROUPED_BY[factor])


@dataclass(frozen=True, slots=True)
class Record:
    """One factor of one piece: `y` spreads off its habit; `confirmed`: she stands by it."""

    factor: str
    group: str
    piece: str
    y: float
    confirmed: bool = False


@dataclass(frozen=True, slots=True)
class Places:
    """n places where a factor was or will be seen: its name, group and piece, (n,) each.

    A piece lies within its group: the same name in two groups is two pieces.
    """

    factor: Names
    group: Names
    piece: Names

    def __len__(self) -> int:
        return len(self.factor)

    @property
    def names(self) -> tuple[Names, Names, Names]:
        """Factor, group and piece."""
        return self.factor, self.group, self.piece


@dataclass(frozen=True, slots=True)
class RecordColumns(Places):
    """n records: where each was seen, `y` (n,) spreads off its habit, `confirmed` (n,).

    Raises ImpossibleValue where a `y` is not a number or absurdly far off, ValueError where columns
    differ in length.
    """

    y: Floats
    confirmed: Bools

    def __post_init__(self) -> None:
        if {len(getattr(self, name)) for name in RECORD_FIELDS} != {len(self)}:
            raise ValueError("columns of records must be of one length")
        bad = ~(np.abs(self.y) <= MOST_OFF)
        if bad.any():
            said, allowed = f"{self.y[bad][0]:g} spreads off", f"at most {MOST_OFF:,.0f} either way"
            raise ImpossibleValue(f"a record of {self.factor[bad][0]}", said, allowed)

    def taken(self, at: Ints | Bools) -> "RecordColumns":
        """The records at these positions, in that order."""
        return RecordColumns(*(getattr(self, name)[at] for name in RECORD_FIELDS))

    def standing_order(self) -> Ints:
        """Positions sorted by what the records say: the same however they came in."""
        keys = (self.confirmed, self.y, self.piece, self.group, self.factor)
        return np.asarray(np.lexsort(keys), dtype=np.int64)


RECORD_FIELDS = ("factor", "group", "piece", "y", "confirmed")


def record_columns(records: Iterable[Record]) -> RecordColumns:
    """Records as columns, in the order given.

    >>> record_columns([Record("beat", "", "Runner", 0.5)]).y.tolist()
    [0.5]
    """
    rows = list(records)
    return RecordColumns(
        factor=np.array([record.factor for record in rows], dtype=np.str_),
        group=np.array([record.group for record in rows], dtype=np.str_),
        piece=np.array([record.piece for record in rows], dtype=np.str_),
        y=np.array([record.y for record in rows], dtype=np.float64),
        confirmed=np.array([record.confirmed for record in rows], dtype=np.bool_),
    )
