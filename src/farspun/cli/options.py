"""Options that several commands share, each read into a quantity as it comes in.

A value that cannot be read stops the command with the units that would do. Nothing heavy is
imported here: every module of the command tree reads this one.
"""

from collections.abc import Callable
from typing import Annotated, Any

import typer

from farspun.units import Quantity, addition, length, loss, threads, whole


def reader(read: Callable[..., Any], what: str, **how: Any) -> Callable[[str], Any]:
    """A reader that calls the value by the name of its option."""

    def read_it(text: str) -> Any:
        return read(text, what, **how)

    return read_it


def option(name: str, metavar: str, read: Callable[[str], Any], help_text: str) -> Any:
    return typer.Option(
        f"--{name}", metavar=metavar, parser=read, help=help_text, show_default=False
    )


def length_option(what: str, help_text: str, zero: bool = True) -> Any:
    read = reader(length, what, zero=zero)
    return option(what.replace(" ", "-"), "LENGTH", read, help_text)


def loss_option(what: str, help_text: str) -> Any:
    return option(what.replace(" ", "-"), "PERCENT", reader(loss, what), help_text)


def whole_option(what: str, help_text: str, least: int) -> Any:
    read = reader(_whole_number, what, least=least)
    return option(what.replace(" ", "-"), "N", read, help_text)


def _whole_number(text: str | int, what: str, least: int) -> int:
    """As `whole`; a default comes through here as the number it is."""
    return whole(str(text), what, least=least)


Json = Annotated[bool, typer.Option("--json", help="Print one JSON document and nothing else.")]

# The size
Width = Annotated[
    Quantity, length_option("width", "Finished width of a piece, washed.", zero=False)
]
Length = Annotated[
    Quantity, length_option("length", "Finished length of a piece, washed.", zero=False)
]
Pieces = Annotated[int, whole_option("pieces", "Pieces of that size on one warp, else 1.", least=1)]
Hem = Annotated[Quantity | None, length_option("hem", "Turned in at each end of a piece.")]
SideHem = Annotated[
    Quantity | None, length_option("side hem", "Turned in at each side of a piece.")
]
FringeAsCut = Annotated[
    Quantity | None, length_option("fringe", "At each end of a piece, as cut on the loom.")
]
FringeFromWaste = Annotated[
    bool, typer.Option("--fringe-from-waste", help="The outer fringes come out of the loom waste.")
]
Gap = Annotated[Quantity | None, length_option("gap", "Left unwoven between two pieces.")]
Header = Annotated[Quantity | None, length_option("header", "Woven once before the first piece.")]
Sample = Annotated[
    Quantity | None, length_option("sample", "Woven once on the same warp, to be washed.")
]

# The set-up
Sett = Annotated[
    Quantity, option("sett", "ENDS", reader(threads, "sett"), "Ends, as 3/cm, 30/10cm or 8 epi.")
]
Picks = Annotated[
    Quantity, option("picks", "PICKS", reader(threads, "picks"), "Picks, rested: 3/cm or 8 ppi.")
]
FloatingSelvedges = Annotated[
    int, whole_option("floating selvedges", "Edge ends outside the sett, in all.", least=0)
]
Repeat = Annotated[
    int, whole_option("repeat", "Round the ends up to whole repeats of so many.", least=1)
]

# What is lost and added on the way
DrawIn = Annotated[
    Quantity | None, loss_option("draw-in", "Width lost from the reed to rested cloth.")
]
TakeUp = Annotated[Quantity | None, loss_option("take-up", "Warp lost to its waves: 10% or +11%.")]
WeftTakeUp = Annotated[
    Quantity | None,
    option(
        "weft-take-up",
        "PERCENT",
        reader(addition, "weft take-up"),
        "Yarn of a pick over the reed width; 10% is 1.10 widths.",
    ),
]
LetOff = Annotated[
    Quantity | None, loss_option("let-off", "Length lost from tight to rested cloth.")
]
ShrinkWidth = Annotated[Quantity | None, loss_option("shrink-width", "Width lost in the wash.")]
ShrinkLength = Annotated[Quantity | None, loss_option("shrink-length", "Length lost in the wash.")]
Waste = Annotated[
    Quantity | None, length_option("waste", "Loom waste: never woven, front and back.")
]
