"""The options that describe a skein and what was measured of it."""

from collections.abc import Callable
from typing import Annotated, Literal

import typer

from farspun.units import Quantity, length, mass, whole, wraps


def _whole(what: str) -> Callable[[str], int]:
    """A reader of a number of things; a default comes through it as the number it is."""
    return lambda text: whole(str(text), what)


def _once_round(text: str) -> Quantity:
    return length(text, "once round")


def _tare(text: str) -> Quantity:
    return mass(text, "tare")


def _rebuy(text: str) -> Quantity:
    return mass(text, "rebuy")


Name = Annotated[str, typer.Argument(metavar="NAME", help="The skein's name.")]

# What was measured
Mass = Annotated[
    Quantity | None,
    typer.Option(metavar="MASS", parser=mass, help="On the scale: 112 g, 3.95 oz."),
]
Tare = Annotated[
    Quantity | None,
    typer.Option(metavar="MASS", parser=_tare, help="Of the cone, tube or bobbin weighed with it."),
]
Strands = Annotated[
    int | None,
    typer.Option(
        metavar="N", parser=_whole("strands"), help="Counted across the skein on a niddy-noddy."
    ),
]
OnceRound = Annotated[
    Quantity | None,
    typer.Option(metavar="LENGTH", parser=_once_round, help="Length of one strand, once round."),
]
State = Annotated[
    Literal["relaxed", "unwashed", "under-tension"] | None,
    typer.Option(help="When it was counted: washed and slack, as wound, or washed but stretched."),
]
Tool = Annotated[
    str | None,
    typer.Option(metavar="NAME", help="Which niddy-noddy, reel or meter it was counted on."),
]
Length = Annotated[
    Quantity | None,
    typer.Option(metavar="LENGTH", parser=length, help="Counted as a whole: 271 m, 296 yd."),
]
TestLengths = Annotated[
    list[str] | None,
    typer.Option(
        "--test-length",
        metavar="LENGTH=MASS",
        help="A piece cut and weighed: 10m=4.3g; again for each piece.",
    ),
]
Wraps = Annotated[
    list[Quantity] | None,
    typer.Option(
        "--wpi", metavar="WRAPS", parser=wraps, help="15 wpi, 6 wraps/cm; again for each reading."
    ),
]
WrapStyle = Annotated[
    Literal["snug", "loose"] | None,
    typer.Option("--wrap", help="Touching all along, or laid on without tension."),
]
Label = Annotated[
    str | None,
    typer.Option(metavar="COUNT", help="As printed: 230 m/100g, 1700 yd/lb, Nm 8/2."),
]
Tug = Annotated[
    Literal["holds", "drifts"] | None,
    typer.Option(help="Pulled sharply as a warp end would be: it holds, or drifts apart."),
]
Sure = Annotated[bool, typer.Option("--sure", help="It is right, though it is asked about.")]

# What she says of it
Fibre = Annotated[str, typer.Option(metavar="BLEND", help="Wool, or a blend: wool 80, silk 20.")]
Plies = Annotated[int | None, typer.Option(metavar="N", parser=_whole("plies"), help="Plies.")]
Draw = Annotated[
    Literal["woollen", "semi", "worsted"] | None,
    typer.Option(help="How it was drawn. Not said: semi; mill yarn worsted."),
]
Twist = Annotated[Literal["S", "Z"] | None, typer.Option(help="Of the last plying.")]
Superwash = Annotated[bool, typer.Option("--superwash", help="Wool that does not full.")]
Mill = Annotated[bool, typer.Option("--mill", help="Mill-spun.")]
Rebuy = Annotated[
    Quantity | None,
    typer.Option(
        metavar="MASS", parser=_rebuy, help="It can be bought again, in packs of so much."
    ),
]
Colour = Annotated[str | None, typer.Option(metavar="TEXT", help="Its colours, in your words.")]
Spun = Annotated[str | None, typer.Option(metavar="DATE", help="2024-05-31, 2024-05 or 2024.")]
Place = Annotated[str | None, typer.Option(metavar="TEXT", help="Where it lies.")]
Note = Annotated[str | None, typer.Option(metavar="TEXT", help="Anything else.")]
SpunFor = Annotated[
    str | None,
    typer.Option("--for", metavar="CLOTH", help="The cloth it was spun for: does it fit?"),
]
