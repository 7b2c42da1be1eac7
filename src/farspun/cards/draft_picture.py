"""A draft as the trade's books draw it: threading on top, tie-up in the corner, treadling down."""

from collections.abc import Iterator, Sequence

from farspun.cards.facts import Draft

CELL = 10  # units of the picture
GAP = 8  # between the parts
WIDEST, LONGEST = 40, 24  # ends and picks; judgement: what can still be counted on a card

Grid = Sequence[Sequence[bool]]


def fits(draft: Draft) -> bool:
    """Whether one repeat can be drawn so that it can be counted."""
    return len(draft.threading) <= WIDEST and len(draft.lift_plan) <= LONGEST


def cells(draft: Draft) -> tuple[float, float]:
    """How wide and how high the picture is, in squares."""
    beside = draft.shafts if draft.tie_up is None else len(draft.tie_up)
    gap = GAP / CELL
    return len(draft.threading) + gap + beside, draft.shafts + gap + len(draft.lift_plan)


def draft_svg(draft: Draft) -> str:
    """One repeat as SVG, black on white: shaft 1 lowest, the first pick on top.

    >>> draft_svg(Draft(2, [1, 2], [[1], [2]], [[1], [2]], [[1], [2]], False, False))[:4]
    '<svg'
    """
    shafts = range(draft.shafts, 0, -1)
    threading = [[shaft == one for one in draft.threading] for shaft in shafts]
    cloth = [[shaft in up for shaft in draft.threading] for up in draft.lift_plan]
    left = len(draft.threading) * CELL + GAP
    top = draft.shafts * CELL + GAP
    parts = [(threading, 0, 0), (cloth, 0, top)]
    if draft.tie_up is None or draft.treadling is None:
        numbers = range(1, draft.shafts + 1)
        parts.append(([[one in up for one in numbers] for up in draft.lift_plan], left, top))
        wide = left + draft.shafts * CELL
    else:
        treadles = range(1, len(draft.tie_up) + 1)
        parts.append(([[shaft in tied for tied in draft.tie_up] for shaft in shafts], left, 0))
        parts.append(([[one in trod for one in treadles] for trod in draft.treadling], left, top))
        wide = left + len(draft.tie_up) * CELL
    high = top + len(draft.lift_plan) * CELL
    marks = "".join(mark for grid, x, y in parts for mark in _drawn(grid, x, y))
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="-1 -1 {wide + 2} {high + 2}"'
        f' width="{wide + 2}" height="{high + 2}">{marks}</svg>'
    )


def _drawn(grid: Grid, x: int, y: int) -> Iterator[str]:
    """Lines of the squared paper, and a filled square for each mark."""
    wide, high = len(grid[0]) * CELL, len(grid) * CELL
    lines = [f"M{x} {y + at}h{wide}" for at in range(0, high + 1, CELL)]
    lines += [f"M{x + at} {y}v{high}" for at in range(0, wide + 1, CELL)]
    yield f'<path d="{"".join(lines)}" stroke="#888" stroke-width="0.7" fill="none"/>'
    squares = [
        f"M{x + column * CELL + 1.5} {y + row * CELL + 1.5}h{CELL - 3}v{CELL - 3}h-{CELL - 3}z"
        for row, cells in enumerate(grid)
        for column, filled in enumerate(cells)
        if filled
    ]
    yield f'<path d="{"".join(squares)}" fill="black"/>'
