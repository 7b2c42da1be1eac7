"""The largest cloth, in lines."""

from collections.abc import Iterator
from textwrap import wrap
from typing import TYPE_CHECKING

from farspun.cli.printing import LINE, labelled, table_lines
from farspun.cli.verdict import set_up_lines
from farspun.services.wording_largest import (
    HEADINGS,
    RIGHT,
    RIGHT_SPLIT,
    beyond_said,
    has_split,
    inches_said,
    largest_said,
    size_cells,
    size_headings,
    table_said,
)

if TYPE_CHECKING:
    from farspun.services.largest import Largest, Wish

__all__ = ["HEADINGS", "largest_lines"]

NARROWER = "Narrower is longer, and wider is shorter: farspun largest … --sizes"


def largest_lines(found: "Largest", wish: "Wish") -> Iterator[str]:
    """The size, what stops it, the set-up; then the table where it was asked for."""
    yield from wrap(largest_said(found), LINE)
    if found.size is None and not found.sizes:
        return
    if found.size is not None:
        yield from _one_size(found)
    if found.sizes:
        yield from _table(found)
    elif not wish.table and wish.shape is None:
        yield from labelled("", NARROWER)


def _one_size(found: "Largest") -> Iterator[str]:
    assert found.size is not None and found.check is not None
    yield f"         in inches: {inches_said(found.size)}"
    yield from labelled("Beyond", beyond_said(found))
    yield ""
    yield from set_up_lines(found.check)
    size = f"{found.size.width_cm:.10g}cmx{found.size.length_cm:.10g}cm"
    yield from labelled("Next", f"plan it: farspun cloth plan NAME --size {size}, the rest as here")


def _table(found: "Largest") -> Iterator[str]:
    if found.size is not None or found.why:
        yield ""
    yield table_said(found)
    right = RIGHT_SPLIT if has_split(found) else RIGHT
    yield from table_lines(size_headings(found), size_cells(found), right)
