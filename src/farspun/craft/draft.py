"""Drafts: how a loom is threaded, tied up and trodden, and the weave that comes of it.

Shafts, treadles, ends and picks are counted from 1: end 1 is the leftmost, pick 1 is woven first,
shaft 1 is the one nearest the weaver.
"""

from dataclasses import InitVar, dataclass
from itertools import groupby

from farspun.craft.draft_faults import Lines, check_draft
from farspun.craft.interlacement import Interlacement, Weave, rows_name


@dataclass(frozen=True, slots=True)
class Draft:
    """One repeat: the shaft of each end, and either tie-up and treadling or a lift plan.

    `tie_up` has the shafts tied to each treadle, `treadling` the treadles pressed for each pick,
    `lift_plan` the shafts raised for each pick. With `sinking` a treadle pulls its shafts down and
    the others stay up. `lines` (line numbers, not kept) are named where something cannot be.

    Raises: ImpossibleValue for a shaft or treadle that is not there, more than `MOST_THREADS` of
    anything, and an end or pick that would lie loose.
    """

    threading: tuple[int, ...]
    tie_up: tuple[frozenset[int], ...] = ()
    treadling: tuple[frozenset[int], ...] = ()
    lift_plan: tuple[frozenset[int], ...] = ()
    sinking: bool = False
    lines: InitVar[Lines | None] = None

    def __post_init__(self, lines: Lines | None) -> None:
        check_draft(self, lines or {})

    @property
    def shafts(self) -> int:
        """Shafts that carry ends."""
        return max(self.threading)

    @property
    def treadles(self) -> int:
        """Treadles tied; 0 with a lift plan."""
        return len(self.tie_up)

    @property
    def lifts(self) -> tuple[frozenset[int], ...]:
        """The shafts that are up on each pick, whatever raises them."""
        if self.lift_plan:
            return self.lift_plan
        moved = [frozenset[int]().union(*map(self._tied, pick)) for pick in self.treadling]
        every = frozenset(range(1, self.shafts + 1))
        return tuple(every - shafts if self.sinking else shafts for shafts in moved)

    def _tied(self, treadle: int) -> frozenset[int]:
        return self.tie_up[treadle - 1]

    @property
    def interlacement(self) -> Interlacement:
        """Rows of picks, true where the warp is up: the cloth below a drawn draft.

        >>> Draft((1, 2), lift_plan=(frozenset({1}), frozenset({2}))).interlacement
        ((True, False), (False, True))
        """
        return tuple(tuple(shaft in up for shaft in self.threading) for up in self.lifts)

    @property
    def weave_text(self) -> str:
        """The weave written out, as a cloth keeps it: a row a pick, `#` where the warp is up."""
        return rows_name(self.interlacement)

    @property
    def weave(self) -> Weave:
        """The weave, named by its rows."""
        return Weave(self.weave_text, self.interlacement)

    def as_lift_plan(self) -> "Draft":
        """The same cloth by its lifts: a shaft loom with levers needs no tie-up."""
        return Draft(self.threading, lift_plan=self.lifts)

    @property
    def alike(self) -> tuple[tuple[int, ...], ...]:
        """Shafts that rise and fall together, by the first of them: as few as would do."""
        lifts = self.lifts
        groups: dict[tuple[bool, ...], list[int]] = {}
        for shaft in range(1, self.shafts + 1):
            groups.setdefault(tuple(shaft in up for up in lifts), []).append(shaft)
        return tuple(map(tuple, groups.values()))


def draft_of(weave: Weave) -> Draft:
    """The weave on the fewest shafts and treadles, each numbered as it first comes.

    Ends that rise alike share a shaft, so twills and satins are threaded straight, points in a
    point. Source: common practice, no source.

    >>> draft_of(Weave("rib", ((True, True, False), (False, False, True)))).threading
    (1, 1, 2)
    """
    columns = list(zip(*weave.interlacement, strict=True))
    shafts = {column: number for number, column in enumerate(dict.fromkeys(columns), start=1)}
    lifts = [
        frozenset(shaft for column, shaft in shafts.items() if column[pick])
        for pick in range(weave.picks)
    ]
    treadles = {lift: number for number, lift in enumerate(dict.fromkeys(lifts), start=1)}
    return Draft(
        threading=tuple(shafts[column] for column in columns),
        tie_up=tuple(treadles),
        treadling=tuple(frozenset({treadles[lift]}) for lift in lifts),
    )


@dataclass(frozen=True, slots=True)
class Floats:
    """The longest float of each kind: how many threads it crosses."""

    warp_on_face: int
    weft_on_face: int
    warp_on_back: int
    weft_on_back: int


def longest_floats(weave: Weave) -> Floats:
    """The longest floats on each side, repeats joined all round.

    >>> longest_floats(Weave("2/1 rib", ((True, True, False), (False, False, True))))
    Floats(warp_on_face=1, weft_on_face=2, warp_on_back=1, weft_on_back=2)
    """
    picks = weave.interlacement
    ends = tuple(zip(*picks, strict=True))
    return Floats(
        warp_on_face=_longest(ends, True),
        weft_on_face=_longest(picks, False),
        warp_on_back=_longest(ends, False),
        weft_on_back=_longest(picks, True),
    )


def _longest(threads: Interlacement, up: bool) -> int:
    """Longest stretch where the warp is `up` along any thread; each has both, so twice round."""
    return max(
        sum(1 for _ in stretch)
        for along in threads
        for face, stretch in groupby(along + along)
        if face == up
    )
