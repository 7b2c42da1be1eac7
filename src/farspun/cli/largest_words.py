"""The largest cloth, in words."""

from collections.abc import Iterator, Sequence
from textwrap import wrap
from typing import TYPE_CHECKING

from farspun.cli.printing import LINE, in_100, labelled, table_lines
from farspun.cli.verdict import set_up_lines, what_reaches
from farspun.units import CM_PER_INCH, say_length, say_odds

if TYPE_CHECKING:
    from farspun.services.largest import Largest, SizeOdds, SizeRow, Wish

HEADINGS = ("wide", "long", "in inches", "odds", "ends with")
SPLIT = ("warp", "weft")
NARROWER = "Narrower is longer, and wider is shorter: farspun largest … --sizes"


def largest_lines(found: "Largest", wish: "Wish") -> Iterator[str]:
    """The size, what stops it, the set-up; then the table where it was asked for."""
    asked = f"(you asked for {in_100(found.promise)})"
    if found.size is None and not found.sizes:
        yield from wrap(f"No size keeps the promise {asked}: {found.why}.", LINE)
        return
    if found.size is not None:
        yield from _one_size(found, asked)
    elif found.why is not None:
        yield from wrap(f"No such size keeps the promise {asked}: {found.why}.", LINE)
    if found.sizes:
        yield from _table(found.sizes, asked, more=found.size is not None or bool(found.why))
    elif not wish.table and wish.shape is None:
        yield from labelled("", NARROWER)


def _one_size(found: "Largest", asked: str) -> Iterator[str]:
    assert found.size is not None and found.check is not None
    odds = say_odds(found.size.odds or 0.0, found.promise)
    size = _wide_and_long(found.size)
    yield from wrap(f"Largest: {size}: {odds} that {what_reaches(found.check)} {asked}.", LINE)
    yield f"         in inches: {_inches(found.size)}"
    yield from labelled("Beyond", _beyond(found))
    yield ""
    yield from set_up_lines(found.check)
    size = f"{found.size.width_cm:.10g}cmx{found.size.length_cm:.10g}cm"
    yield from labelled("Next", f"plan it: farspun cloth plan NAME --size {size}, the rest as here")


def _beyond(found: "Largest") -> str:
    beyond = found.beyond
    assert beyond is not None
    size = f"{beyond.width_cm:.4g} x {beyond.length_cm:.10g} cm"
    if beyond.odds is None:
        return f"{size} is more than {found.ends_it} takes"
    odds = say_odds(beyond.odds, found.promise)
    return f"at {size} it is {odds}; {found.ends_it} is what ends it"


def _wide_and_long(size: "SizeOdds") -> str:
    return f"{size.width_cm:.4g} cm wide, {size.length_cm:.10g} cm long"


def _inches(size: "SizeOdds") -> str:
    return f"{_inch(size.width_cm)} x {_inch(size.length_cm)} in"


def _inch(cm: float) -> str:
    return f"{cm / CM_PER_INCH:.1f}".removesuffix(".0")


def _table(rows: "Sequence[SizeRow]", asked: str, more: bool) -> Iterator[str]:
    if more:
        yield ""
    yield f"Each is the longest of its width that keeps the promise {asked}."
    split = any(row.split_m for row in rows)
    yield from table_lines(
        (*HEADINGS[:4], *(SPLIT if split else ()), *HEADINGS[4:]),
        [
            (
                f"{row.width_cm:.4g} cm",
                f"{row.length_cm:.10g} cm",
                _inches(row),
                say_odds(row.odds or 0.0),
                *(_split(row) if split else ()),
                row.ends_it,
            )
            for row in rows
        ],
        right=(0, 1, 2, 4, 5) if split else (0, 1, 2),
    )


def _split(row: "SizeRow") -> tuple[str, str]:
    """About how much of one yarn goes into warp and weft, in metres."""
    warp, weft = row.split_m or (0.0, 0.0)
    return say_length(warp), say_length(weft)
