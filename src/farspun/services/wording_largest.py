"""How the largest cloth is told: its size and odds, what stops it, the table of sizes."""

from typing import TYPE_CHECKING

from farspun.services.wording import in_100
from farspun.services.wording_cloth import what_reaches
from farspun.units import CM_PER_INCH, say_length, say_odds

if TYPE_CHECKING:
    from farspun.services.largest import Largest, SizeOdds, SizeRow

HEADINGS = ("wide", "long", "in inches", "odds", "ends with")
SPLIT = ("warp", "weft")
RIGHT = (0, 1, 2)  # columns set to the right; with the split those of it as well
RIGHT_SPLIT = (*RIGHT, 4, 5)


def asked_said(found: "Largest") -> str:
    """What was asked of it, in brackets."""
    return f"(you asked for {in_100(found.promise)})"


def largest_said(found: "Largest") -> str:
    """The size and its odds, or why there is none; empty where only the table was asked for."""
    asked = asked_said(found)
    if found.size is not None and found.check is not None:
        odds = say_odds(found.size.odds or 0.0, found.promise)
        what = what_reaches(found.check)
        return f"Largest: {wide_and_long(found.size)}: {odds} that {what} {asked}."
    if found.why is None:
        return ""
    return f"No {'such ' if found.sizes else ''}size keeps the promise {asked}: {found.why}."


def beyond_said(found: "Largest") -> str:
    """What one cm more comes to."""
    beyond = found.beyond
    if beyond is None:
        return ""
    size = f"{beyond.width_cm:.4g} x {beyond.length_cm:.10g} cm"
    if beyond.odds is None:
        return f"{size} is more than {found.ends_it} takes"
    odds = say_odds(beyond.odds, found.promise)
    return f"at {size} it is {odds}; {found.ends_it} is what ends it"


def wide_and_long(size: "SizeOdds") -> str:
    """A size in cm."""
    return f"{size.width_cm:.4g} cm wide, {size.length_cm:.10g} cm long"


def inches_said(size: "SizeOdds") -> str:
    """The same in inches."""
    return f"{_inch(size.width_cm)} x {_inch(size.length_cm)} in"


def _inch(cm: float) -> str:
    return f"{cm / CM_PER_INCH:.1f}".removesuffix(".0")


def table_said(found: "Largest") -> str:
    """What the table of sizes is."""
    return f"Each is the longest of its width that keeps the promise {asked_said(found)}."


def has_split(found: "Largest") -> bool:
    """Whether one yarn serves both sides."""
    return any(row.split_m for row in found.sizes)


def size_headings(found: "Largest") -> tuple[str, ...]:
    """Above the columns of the table."""
    return (*HEADINGS[:4], *(SPLIT if has_split(found) else ()), *HEADINGS[4:])


def size_cells(found: "Largest") -> list[tuple[str, ...]]:
    """The table, row by row."""
    split = has_split(found)
    return [
        (
            f"{row.width_cm:.4g} cm",
            f"{row.length_cm:.10g} cm",
            inches_said(row),
            say_odds(row.odds or 0.0),
            *(_split(row) if split else ()),
            row.ends_it,
        )
        for row in found.sizes
    ]


def _split(row: "SizeRow") -> tuple[str, str]:
    """About how much of one yarn goes into warp and weft, in metres."""
    warp, weft = row.split_m or (0.0, 0.0)
    return say_length(warp), say_length(weft)
