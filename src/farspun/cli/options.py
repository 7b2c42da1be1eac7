"""Options that several commands share, each read into a quantity as it comes in.

A value that cannot be read stops the command with the units that would do. Nothing heavy is
imported here: every module of the command tree reads this one.
"""

from collections.abc import Callable
from typing import Annotated, Any

import typer

from farspun.units import Quantity, addition, length, loss, threads, whole


def _read(read: Callable[..., Any], what: str, **how: Any) -> Callable[[str], Any]:
    """A reader that calls the value by the name of its option."""

    def reader(text: str) -> Any:
        return read(text, what, **how)

    return reader


def _option(name: str, metavar: str, read: Callable[[str], Any], help_text: str) -> Any:
    return typer.Option(
        f"--{name}", metavar=metavar, parser=read, help=help_text, show_default=False
    )


def _length(what: str, help_text: str, zero: bool = True) -> Any:
    read = _read(length, what, zero=zero)
    return _option(what.replace(" ", "-"), "LENGTH", read, help_text)


def _loss(what: str, help_text: str) -> Any:
    return _option(what.replace(" ", "-"), "PERCENT", _read(loss, what), help_text)


def _whole(what: str, help_text: str, least: int) -> Any:
    read = _read(_whole_number, what, least=least)
    return _option(what.replace(" ", "-"), "N", read, help_text)


def _whole_number(text: str | int, what: str, least: int) -> int:
    """As `whole`; a default comes through here as the number it is."""
    return whole(str(text), what, least=least)


Json = Annotated[bool, typer.Option("--json", help="Print one JSON document and nothing else.")]

# The size
Width = Annotated[Quantity, _length("width", "Finished width of a piece, washed.", zero=False)]
Length = Annotated[Quantity, _length("length", "Finished length of a piece, washed.", zero=False)]
Pieces = Annotated[int, _whole("pieces", "Pieces of that size on one warp, else 1.", least=1)]
Hem = Annotated[Quantity | None, _length("hem", "Turned in at each end of a piece.")]
SideHem = Annotated[Quantity | None, _length("side hem", "Turned in at each side of a piece.")]
FringeAsCut = Annotated[
    Quantity | None, _length("fringe", "At each end of a piece, as cut on the loom.")
]
FringeFromWaste = Annotated[
    bool, typer.Option("--fringe-from-waste", help="The outer fringes come out of the loom waste.")
]
Gap = Annotated[Quantity | None, _length("gap", "Left unwoven between two pieces.")]
Header = Annotated[Quantity | None, _length("header", "Woven once before the first piece.")]
Sample = Annotated[Quantity | None, _length("sample", "Woven once on the same warp, to be washed.")]

# The set-up
Sett = Annotated[
    Quantity, _option("sett", "ENDS", _read(threads, "sett"), "Ends, as 3/cm, 30/10cm or 8 epi.")
]
Picks = Annotated[
    Quantity, _option("picks", "PICKS", _read(threads, "picks"), "Picks, rested: 3/cm or 8 ppi.")
]
FloatingSelvedges = Annotated[
    int, _whole("floating selvedges", "Edge ends outside the sett, in all.", least=0)
]
Repeat = Annotated[int, _whole("repeat", "Round the ends up to whole repeats of so many.", least=1)]

# What is lost and added on the way
DrawIn = Annotated[Quantity | None, _loss("draw-in", "Width lost from the reed to rested cloth.")]
TakeUp = Annotated[Quantity | None, _loss("take-up", "Warp lost to its waves: 10% or +11%.")]
WeftTakeUp = Annotated[
    Quantity | None,
    _option(
        "weft-take-up",
        "PERCENT",
        _read(addition, "weft take-up"),
        "Yarn of a pick over the reed width; 10% is 1.10 widths.",
    ),
]
LetOff = Annotated[Quantity | None, _loss("let-off", "Length lost from tight to rested cloth.")]
ShrinkWidth = Annotated[Quantity | None, _loss("shrink-width", "Width lost in the wash.")]
ShrinkLength = Annotated[Quantity | None, _loss("shrink-length", "Length lost in the wash.")]
Waste = Annotated[Quantity | None, _length("waste", "Loom waste: never woven, front and back.")]
