"""A warp at another sett, in words."""

from collections.abc import Iterator
from typing import TYPE_CHECKING

from farspun.cli.printing import labelled
from farspun.units import (
    say_cm,
    say_inches,
    say_length,
    say_length_imperial,
    say_per_cm,
    say_per_inch,
)

if TYPE_CHECKING:
    from farspun.services.resleying import Resley


def resley_lines(resley: "Resley") -> Iterator[str]:
    """Width, ends and yarn; metric first, then inches."""
    old, new = resley.sett_before_per_cm, resley.sett_after_per_cm
    wide, narrow = resley.reed_before_cm, resley.reed_after_cm
    yield from labelled(
        "Re-sley",
        f"{resley.ends} ends: {say_cm(wide)} in the reed at {say_per_cm(old)}, {say_cm(narrow)} at"
        f" {say_per_cm(new)}; finished about {say_cm(resley.finished_before_cm)}, then"
        f" {say_cm(resley.finished_after_cm)}",
    )
    yield from labelled(
        "",
        f"in inches: {say_inches(wide)} at {say_per_inch(old)}, {say_inches(narrow)} at"
        f" {say_per_inch(new)}; finished about {say_inches(resley.finished_before_cm)}, then"
        f" {say_inches(resley.finished_after_cm)}",
    )
    yield from labelled("", _to_keep(resley))
    yield from labelled("", _weft(resley))


def _to_keep(resley: "Resley") -> str:
    ends, metres = resley.ends_to_add, abs(resley.warp_to_add_m)
    yarn = f"{say_length(metres)} of warp ({say_length_imperial(metres)})"
    if not ends:
        return "no end is to be added or taken out to keep that width"
    return (
        f"to keep the width, add {ends} ends: {yarn} more"
        if ends > 0
        else f"to keep the width, take out {-ends} ends: {yarn}"
    )


def _weft(resley: "Resley") -> str:
    metres = abs(resley.weft_change_m)
    way = "more" if resley.weft_change_m > 0 else "less"
    return f"weft: {say_length(metres)} {way} ({say_length_imperial(metres)})"
