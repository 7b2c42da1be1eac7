"""How ends and picks cross: the interlacement, and what follows from it.

A `Weave` is one repeat as rows of picks, each a row of ends, true where the warp is up. The first
row is the first pick woven, the first end the leftmost.
"""

from dataclasses import dataclass
from functools import cached_property
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from farspun.errors import ImpossibleValue

Interlacement = tuple[tuple[bool, ...], ...]
Side = Literal["left", "right"]

# name: value     unit       source
MOST_SAID = 60  # letters of a name in a message, a judgement
MOST_THREADS = 128  # threads of a repeat: more than any loom's draft, a judgement


@dataclass(frozen=True)
class Weave:
    """One repeat by name: `interlacement[pick][end]`, true where the warp is up.

    Raises: ImpossibleValue where a thread never changes face, for it would lie loose.
    """

    name: str
    interlacement: Interlacement

    def __post_init__(self) -> None:
        picks, lengths = len(self.interlacement), {len(row) for row in self.interlacement}
        if len(lengths) != 1 or not all(0 < n <= MOST_THREADS for n in (picks, *lengths)):
            allowed = f"rows of one length, at most {MOST_THREADS} ends and picks"
            raise ImpossibleValue("weave", self._said, allowed)
        loose = _loose_thread(self.up)
        if loose:
            hint = "Let each end go over a pick and under a pick somewhere in the repeat."
            raise ImpossibleValue("weave", self._said, f"{loose}: it would lie loose", hint)

    @property
    def _said(self) -> str:
        return self.name if len(self.name) <= MOST_SAID else self.name[:MOST_SAID] + "…"

    @cached_property
    def up(self) -> NDArray[np.bool_]:
        """The interlacement as a read-only array, picks × ends."""
        rows = np.array(self.interlacement, dtype=bool)
        rows.setflags(write=False)
        return rows

    @property
    def ends(self) -> int:
        """Ends of the repeat: F, the threads, of each pick."""
        return len(self.interlacement[0])

    @property
    def picks(self) -> int:
        """Picks of the repeat: F of each end."""
        return len(self.interlacement)

    @property
    def pick_intersections(self) -> NDArray[np.intp]:
        """I of each pick: how often it changes face along a repeat.

        >>> Weave("plain", ((True, False), (False, True))).pick_intersections.tolist()
        [2, 2]
        """
        return np.asarray(np.count_nonzero(_changes(self.up), axis=1), dtype=np.intp)

    @property
    def end_intersections(self) -> NDArray[np.intp]:
        """I of each end: how often it changes face along a repeat."""
        return np.asarray(np.count_nonzero(_changes(self.up.T), axis=1), dtype=np.intp)

    @property
    def intersections(self) -> float:
        """Face changes of a pick over a repeat, the mean of all picks: I of the sett formulas."""
        return float(self.pick_intersections.mean())

    @property
    def warp_float(self) -> float:
        """Mean float of the warp in picks, both faces: 1 in plain weave, 2 in a 2/2 twill."""
        return float(self.picks / self.end_intersections.mean())

    @property
    def weft_float(self) -> float:
        """Mean float of the weft in ends, both faces."""
        return self.ends / self.intersections

    @property
    def longest_warp_float(self) -> int:
        """Most picks in a row that an end passes over or under."""
        return _longest_run(self.up.T)

    @property
    def longest_weft_float(self) -> int:
        """Most ends in a row that a pick passes over or under."""
        return _longest_run(self.up)

    @property
    def warp_face_share(self) -> float:
        """Share of the upper face that is warp: ½ in plain weave, 0.8 in a 5-end satin."""
        return float(self.up.mean())

    @property
    def balance(self) -> float:
        """Warp less weft on the upper face, -1 to 1: 0 where both show alike."""
        return 2 * self.warp_face_share - 1

    def swapped(self) -> "Weave":
        """The same cloth with warp and weft changed over: ends become picks and up becomes down.

        Named by its rows. Swapping twice gives the interlacement back.
        """
        rows = tuple(tuple(bool(cell) for cell in row) for row in ~self.up.T)
        return Weave(rows_name(rows), rows)

    def loose_edges(self, first_from: Side) -> tuple[Side, ...]:
        """Edges whose outermost end the weft never goes round, in cloth of whole repeats.

        `first_from` is the side the first pick comes in from. The weft turns at the far side after
        the first, third, … pick; an end is caught where it is up on one pick of a turn and down on
        the other.
        """
        picks = np.arange(2 * self.picks) if self.picks % 2 else np.arange(self.picks)
        edge_ends: dict[Side, int] = {"left": 0, "right": self.ends - 1}
        return tuple(
            side
            for side, end in edge_ends.items()
            if not _changes(self.up[picks % self.picks, end])[int(side == first_from) :: 2].any()
        )

    @property
    def start_from(self) -> Side | None:
        """Side for the first pick so that both edges are caught; None: floating selvedges needed.

        >>> Weave("plain", ((True, False), (False, True))).start_from
        'left'
        """
        sides: tuple[Side, Side] = ("left", "right")
        return next((side for side in sides if not self.loose_edges(side)), None)


def _changes(threads: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """Where a thread's face differs from the next along the last axis, the repeat closed round."""
    return np.asarray(threads != np.roll(threads, -1, axis=-1))


def _loose_thread(up: NDArray[np.bool_]) -> str:
    """The first thread that never changes face, in words, or nothing."""
    for thread, other, threads, missing in (
        ("end", "a pick", up.T, ("over", "under")),
        ("pick", "an end", up, ("under", "over")),
    ):
        for number, along in enumerate(threads, start=1):
            if along.all() or not along.any():
                return f"{thread} {number} never goes {missing[int(along.all())]} {other}"
    return ""


def _longest_run(threads: NDArray[np.bool_]) -> int:
    """Longest stretch on one face along any row, the repeat closed round."""
    longest = 0
    for along in _changes(threads):
        at = np.flatnonzero(along)
        gaps = np.diff(np.append(at, at[0] + len(along)))
        longest = max(longest, int(gaps.max()))
    return longest


def rows_name(rows: Interlacement) -> str:
    """A weave written out: a row a pick, `#` where the warp is up.

    >>> rows_name(((True, False), (False, True)))
    '#./.#'
    """
    return "/".join("".join("#" if up else "." for up in row) for row in rows)
