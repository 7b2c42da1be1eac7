"""A draft as weavers' books print it: squares on a grid, filled where the warp is up.

Threading on top, shaft 1 lowest; tie-up in the corner; treadling at the side, first pick on top;
the drawdown below the threading. Small repeats are drawn several times over, the first in black
and the others in grey.
"""

import math
from collections.abc import Callable
from dataclasses import dataclass

from farspun.craft.draft import Draft
from farspun.pictures.sheet import BODY, INK, LEAST, SMALL, Sheet, words_width

# name: value             unit     source
CELLS = 12  # threads              judgement: a repeat of fewer is drawn several times
LARGEST, SMALLEST = 16.0, 5.5  # units of a square  judgement
ROOM = 700.0  # units              judgement: what the squares may take across
MARGIN = 24.0  # units             judgement
AGAIN = "#8a8a8a"  #               judgement: what is drawn once more
LINES = "#bdbdbd"  #               judgement: seen on white, on black and on the grey between
APART = 1.0  # squares             between threading, tie-up, treadling and drawdown
NUMBERED = 5  # every so many      judgement: counted as on squared paper


@dataclass(frozen=True, slots=True)
class _Grid:
    """A block of squares on the sheet: where it begins, and how large a square is."""

    left: float
    top: float
    columns: int
    rows: int
    cell: float

    @property
    def right(self) -> float:
        return self.left + self.columns * self.cell

    @property
    def bottom(self) -> float:
        return self.top + self.rows * self.cell

    def draw(
        self, sheet: Sheet, filled: Callable[[int, int], bool], rows: int, columns: int
    ) -> None:
        """The squares that are filled, black in the first `rows`, `columns`; the lines lie above
        them, so that squares side by side can be counted."""
        for row in range(self.rows):
            for column in range(self.columns):
                if filled(row, column):
                    x, y = self.left + column * self.cell, self.top + row * self.cell
                    first = row < rows and column < columns
                    sheet.rect(x, y, self.cell, self.cell, INK if first else AGAIN)
        for row in range(self.rows + 1):
            y = self.top + row * self.cell
            sheet.line((self.left, y), (self.right, y), stroke=LINES, thick=0.6)
        for column in range(self.columns + 1):
            x = self.left + column * self.cell
            sheet.line((x, self.top), (x, self.bottom), stroke=LINES, thick=0.6)
        sheet.rect(self.left, self.top, self.right - self.left, self.bottom - self.top, stroke=INK)


def draft_sheet(draft: Draft, title: str, told: str) -> Sheet:
    """Threading, tie-up, treadling (or the lift plan) and drawdown."""
    woven = draft.interlacement
    across, along = _times(len(draft.threading)), _times(len(woven))
    ends, picks = len(draft.threading) * across, len(woven) * along
    side = draft.treadles or draft.shafts
    cell = max(SMALLEST, min(LARGEST, ROOM / (ends + side + APART + 3)))
    numbers = 3 * SMALL  # room for the numbers of shafts and picks
    left, top = MARGIN, MARGIN + 4.4 * BODY
    threading = _Grid(left, top, ends, draft.shafts, cell)
    beside = threading.right + APART * cell + numbers
    below = threading.bottom + APART * cell + 1.4 * SMALL
    cloth = _Grid(left, below, ends, picks, cell)
    treadling = _Grid(beside, below, side, picks, cell)
    wide = max(treadling.right + numbers + MARGIN, 420.0)
    sheet = Sheet(math.ceil(wide), math.ceil(cloth.bottom + 4.6 * BODY + MARGIN), title, told)
    room = sheet.width - 2 * MARGIN
    sheet.text(MARGIN, MARGIN + BODY, title, 1.2 * BODY, room=room, bold=True)
    sheet.text(MARGIN, MARGIN + 2.5 * BODY, _said(draft), SMALL, room=room)
    shaft = draft.shafts
    threads = len(draft.threading)
    threading.draw(sheet, lambda row, column: draft.threading[column % threads] == shaft - row,
                   shaft, threads)  # fmt: skip
    cloth.draw(sheet, lambda row, column: woven[row % len(woven)][column % threads],
               len(woven), threads)  # fmt: skip
    treadling.draw(sheet, lambda row, column: column + 1 in _pressed(draft)[row % len(woven)],
                   len(woven), side)  # fmt: skip
    if draft.treadles:
        tie_up = _Grid(beside, top, side, draft.shafts, cell)
        tie_up.draw(sheet, lambda row, column: shaft - row in draft.tie_up[column], shaft, side)
    _number_shafts(sheet, threading, shaft)
    _number_across(sheet, threading, below - 4)
    _number_across(sheet, treadling, below - 4)
    _number_down(sheet, treadling)
    _key(sheet, draft, cloth.bottom + 2.2 * BODY, room)
    return sheet


def _times(threads: int) -> int:
    return max(1, math.ceil(CELLS / threads))


def _pressed(draft: Draft) -> tuple[frozenset[int], ...]:
    """Of each pick the treadles, or the shafts of a lift plan."""
    return draft.treadling or draft.lift_plan


def _said(draft: Draft) -> str:
    ends, picks = len(draft.threading), len(draft.interlacement)
    by = f"{draft.treadles} treadles" if draft.treadles else "a lift plan"
    return f"a repeat of {ends} ends and {picks} picks, in black; {draft.shafts} shafts, {by}"


def _number_shafts(sheet: Sheet, grid: _Grid, shafts: int) -> None:
    size = min(SMALL, max(LEAST, 0.8 * grid.cell))
    step = 1 if grid.cell >= size * 1.1 else NUMBERED
    for shaft in range(1, shafts + 1):
        if shaft == 1 or shaft % step == 0:
            y = grid.bottom - (shaft - 0.5) * grid.cell + 0.36 * size
            sheet.text(grid.right + 4, y, str(shaft), size)


def _number_across(sheet: Sheet, grid: _Grid, y: float) -> None:
    size = min(SMALL, max(LEAST, 0.8 * grid.cell))
    step = _step(grid, size)
    for column in range(1, grid.columns + 1):
        if column == 1 or column % step == 0:
            sheet.text(grid.left + (column - 0.5) * grid.cell, y, str(column), size, "middle")


def _number_down(sheet: Sheet, grid: _Grid) -> None:
    size = min(SMALL, max(LEAST, 0.8 * grid.cell))
    step = 1 if grid.cell >= size * 1.1 else NUMBERED
    for row in range(1, grid.rows + 1):
        if row == 1 or row % step == 0:
            y = grid.top + (row - 0.5) * grid.cell + 0.36 * size
            sheet.text(grid.right + 4, y, str(row), size)


def _step(grid: _Grid, size: float) -> int:
    """How often columns are numbered so that their numbers keep apart."""
    wide = words_width(str(grid.columns), size) + 2
    return next(step for step in (1, NUMBERED, 2 * NUMBERED, 100) if step * grid.cell >= wide)


def _key(sheet: Sheet, draft: Draft, top: float, room: float) -> None:
    moved = "goes down" if draft.sinking else "rises"
    side = (
        f"tie-up in the corner: filled where the shaft {moved}; treadling below it"
        if draft.treadles
        else "lift plan at the side: filled where the shaft rises"
    )
    for number, line in enumerate(
        ("threading on top, shaft 1 lowest, end 1 at the left", side,
         "drawdown: filled where the warp is on top, first pick on top")
    ):  # fmt: skip
        sheet.text(MARGIN, top + number * 1.35 * SMALL, line, SMALL, room=room)
