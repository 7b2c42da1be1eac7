"""A draft drawn as printed books do it, in plain characters.

Threading across the top, shaft 1 lowest; tie-up in the corner; treadling down the side; the cloth
below the threading, its first pick on top. Beside a lift plan the corner stays empty. What is wider
than the screen is drawn in strips, one below the other.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from farspun.craft.draft import Draft

LINE = 88  # characters
GAP = "   "  # between the cloth and what stands beside it
MARKS = {True: "#", False: "."}


@dataclass(frozen=True, slots=True)
class _Panel:
    """Columns from `first`, in two blocks of rows: beside the shafts, and beside the picks."""

    thing: str
    first: int
    above: list[str]
    below: list[str]

    @property
    def width(self) -> int:
        return len(self.below[0])

    @property
    def said(self) -> str:
        return f"{self.thing} {self.first} to {self.first + self.width - 1}"

    def cut(self, width: int) -> list["_Panel"]:
        """The same in pieces of at most so many columns."""
        return [
            _Panel(
                self.thing,
                self.first + start,
                [row[start : start + width] for row in self.above],
                [row[start : start + width] for row in self.below],
            )
            for start in range(0, self.width, width)
        ]


def drawing(draft: "Draft") -> Iterator[str]:
    """The lines of the drawing, none longer than `LINE`."""
    cloth, side = _threading(draft), _lifts(draft) if draft.lift_plan else _treadles(draft)
    labels = _labels(draft)
    room = LINE - len(labels[0])
    if 2 * (cloth.width + side.width) + len(GAP) <= room:
        yield from _drawn([cloth, side], labels, " ")
        return
    strips = _strips(cloth, side, room)
    for number, strip in enumerate(strips):
        if len(strips) > 1:
            yield from [""] * (number > 0)
            yield ", ".join(panel.said for panel in strip)
        yield from _drawn(strip, labels, "")


def _threading(draft: "Draft") -> _Panel:
    above = [_row(shaft == one for one in draft.threading) for shaft in _from_the_top(draft)]
    return _Panel("ends", 1, above, [_row(pick) for pick in draft.interlacement])


def _treadles(draft: "Draft") -> _Panel:
    above = [_row(shaft in tied for tied in draft.tie_up) for shaft in _from_the_top(draft)]
    numbers = range(1, draft.treadles + 1)
    below = [_row(treadle in pressed for treadle in numbers) for pressed in draft.treadling]
    return _Panel("treadles", 1, above, below)


def _lifts(draft: "Draft") -> _Panel:
    numbers = range(1, draft.shafts + 1)
    below = [_row(shaft in up for shaft in numbers) for up in draft.lift_plan]
    return _Panel("shafts", 1, [" " * draft.shafts for _ in numbers], below)


def _row(cells: Iterable[bool]) -> str:
    return "".join(MARKS[cell] for cell in cells)


def _from_the_top(draft: "Draft") -> range:
    return range(draft.shafts, 0, -1)


def _labels(draft: "Draft") -> list[str]:
    """The number of each shaft, then of each pick, all of one width."""
    numbers = [*map(str, _from_the_top(draft)), *map(str, range(1, len(draft.lifts) + 1))]
    width = max(map(len, numbers))
    return [f"{number:>{width}}  " for number in numbers]


def _strips(cloth: _Panel, side: _Panel, room: int) -> list[list[_Panel]]:
    """Both beside one another, or the cloth in pieces with the side by the last or by itself."""
    *pieces, last = cloth.cut(room)
    strips = [[piece] for piece in pieces]
    if last.width + len(GAP) + side.width <= room:
        return [*strips, [last, side]]
    return [*strips, [last], *([piece] for piece in side.cut(room))]


def _drawn(panels: list[_Panel], labels: list[str], apart: str) -> Iterator[str]:
    """A line for each shaft, an empty one, a line for each pick."""
    shafts = len(panels[0].above)
    for number, label in enumerate(labels):
        if number == shafts:
            yield ""
        rows = [[*panel.above, *panel.below][number] for panel in panels]
        yield (label + GAP.join(apart.join(row) for row in rows)).rstrip()
