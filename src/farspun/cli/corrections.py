"""farspun skein change, skein strike: putting right what was typed wrong."""

from typing import Annotated, Any

import typer

from farspun.cli import skein_options as asked
from farspun.cli.opening import stash_to_write
from farspun.cli.printing import say
from farspun.cli.skein_words import describe, estimate_lines, reading_lines

Superwash = Annotated[
    bool | None,
    typer.Option(
        "--superwash/--not-superwash", help="Wool that does not full.", show_default=False
    ),
]
Mill = Annotated[
    bool | None, typer.Option("--mill/--not-mill", help="Mill-spun.", show_default=False)
]


def add_to(skein: typer.Typer) -> None:
    """Hang the commands on `farspun skein`."""
    skein.command("change")(change)
    skein.command("strike")(strike)


def change(
    ctx: typer.Context,
    name: asked.Name,
    new_name: Annotated[
        str | None, typer.Option("--name", metavar="NEW", help="Another name.")
    ] = None,
    fibre: Annotated[
        str | None, typer.Option(metavar="BLEND", help="Wool, or a blend: wool 80, silk 20.")
    ] = None,
    plies: asked.Plies = None,
    draw: asked.Draw = None,
    twist: asked.Twist = None,
    superwash: Superwash = None,
    mill: Mill = None,
    rebuy: asked.Rebuy = None,
    wrap: asked.WrapStyle = None,
    colour: asked.Colour = None,
    spun: asked.Spun = None,
    place: asked.Place = None,
    note: asked.Note = None,
) -> None:
    """Change what you said of a skein; an empty text ("") takes it away."""
    from farspun.services.corrections import describe_anew

    given: dict[str, Any] = {
        "name": new_name,
        "fibre": fibre,
        "plies": plies,
        "draw": draw,
        "twist": twist,
        "superwash": superwash,
        "mill": mill,
        "rebuy": rebuy,
        "wrap": wrap,
        "colour": colour,
        "spun": spun,
        "place": place,
        "note": note,
    }
    said = {key: value for key, value in given.items() if value is not None}
    shown = describe_anew(stash_to_write(ctx), name, said)
    say(*estimate_lines(shown), *describe(shown))


def strike(
    ctx: typer.Context,
    name: asked.Name,
    reading: Annotated[
        str, typer.Argument(metavar="READING", help="As it was told: “4.1 oz”, “15 wpi”.")
    ],
) -> None:
    """Let a reading that was a slip count no more; the history keeps it."""
    from farspun.services.corrections import strike as strike_out

    shown = strike_out(stash_to_write(ctx), name, reading)
    say(*estimate_lines(shown), *reading_lines(shown))
