"""farspun picture: cloths, stripes, drafts and the whole stash, drawn to look at and to print;
charts are in farspun.cli.picture_charts."""

from typing import Annotated

import typer

from farspun.cli import picture_charts
from farspun.cli.drawing import Force, Name, Out, ask_before_drawing, tell_drawn
from farspun.cli.opening import stash_to_read
from farspun.cli.options import Json

group = typer.Typer(no_args_is_help=True, help="Draw it: pictures to look at and to print.")


def add_to(app: typer.Typer) -> None:
    """Hang the group on the tree."""
    group.command("cloth", short_help="A cloth as it will look.")(cloth)
    group.command("stripes", short_help="Its stripes, counted.")(stripes)
    group.command("draft", short_help="Its draft, or a weave's, on squares.")(draft)
    group.command("stash", short_help="The stash as swatches.")(stash)
    picture_charts.add_charts(group)
    app.add_typer(group, name="picture")


def cloth(
    ctx: typer.Context,
    name: Name,
    out: Out,
    close_up: Annotated[
        bool, typer.Option("--close-up", help="A few centimetres, thread by thread.")
    ] = False,
    tries: Annotated[
        list[str] | None,
        typer.Option(
            "--try",
            metavar="weft=SKEIN",
            help="The same cloth with that yarn beside it, and its odds; or warp=SKEIN. Again for"
            " each.",
            show_default=False,
        ),
    ] = None,
    force: Force = False,
    json: Json = False,
) -> None:
    """A cloth as it will look, washed: every thread in its yarn's colour, to scale."""
    from farspun.services.picturing import draw_cloth

    ask_before_drawing(out, force)
    tell_drawn(draw_cloth(stash_to_read(ctx), name, out, close_up, tries or ()), json)


def stripes(
    ctx: typer.Context, name: Name, out: Out, force: Force = False, json: Json = False
) -> None:
    """The stripe plan of a cloth: warp and weft with the threads of each stripe, and one repeat."""
    from farspun.services.picture_plans import draw_stripes

    ask_before_drawing(out, force)
    tell_drawn(draw_stripes(stash_to_read(ctx), name, out), json)


def draft(
    ctx: typer.Context,
    out: Out,
    name: Annotated[
        str | None, typer.Argument(metavar="NAME", help="The cloth's name.", show_default=False)
    ] = None,
    weave: Annotated[
        str | None,
        typer.Option(
            "--weave",
            metavar="WEAVE|FILE",
            help="Instead of a cloth: plain, 2/2 twill …, or a text file with a draft.",
            show_default=False,
        ),
    ] = None,
    force: Force = False,
    json: Json = False,
) -> None:
    """A draft as weavers' books print it: threading, tie-up, treadling and drawdown on squares."""
    from farspun.services.picture_plans import draft_to_draw, draw_draft

    stash = stash_to_read(ctx)
    draft_to_draw(stash, name, weave)  # what is not there is told before anything is asked
    ask_before_drawing(out, force)
    tell_drawn(draw_draft(stash, name, weave, out), json)


def stash(ctx: typer.Context, out: Out, force: Force = False, json: Json = False) -> None:
    """The stash as a sheet of swatches: by fibre, each with its free metres."""
    from farspun.services.picture_plans import draw_stash

    ask_before_drawing(out, force)
    tell_drawn(draw_stash(stash_to_read(ctx), out), json)
