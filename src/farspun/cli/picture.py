"""farspun picture: cloths, stripes, drafts and the whole stash, drawn to look at and to print."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from farspun.cli.opening import stash_to_read
from farspun.cli.options import Json
from farspun.cli.printing import ask_before, labelled, print_json, say

if TYPE_CHECKING:
    from farspun.services.picture_file import Drawn

group = typer.Typer(no_args_is_help=True, help="Draw it: pictures to look at and to print.")

Name = Annotated[str, typer.Argument(metavar="NAME", help="The cloth's name.")]
Out = Annotated[
    Path,
    typer.Option(
        "--out",
        metavar="FILE.svg|FILE.png",
        help="Where to draw it: .svg is lines, for print; .png is dots.",
        show_default=False,
    ),
]
Force = Annotated[bool, typer.Option("--force", help="Draw over the file without asking.")]


def add_to(app: typer.Typer) -> None:
    """Hang the group on the tree."""
    group.command("cloth", short_help="A cloth as it will look.")(cloth)
    group.command("stripes", short_help="Its stripes, counted.")(stripes)
    group.command("draft", short_help="Its draft, or a weave's, on squares.")(draft)
    group.command("stash", short_help="The stash as swatches.")(stash)
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

    _ask_before(out, force)
    _tell(draw_cloth(stash_to_read(ctx), name, out, close_up, tries or ()), json)


def stripes(
    ctx: typer.Context, name: Name, out: Out, force: Force = False, json: Json = False
) -> None:
    """The stripe plan of a cloth: warp and weft with the threads of each stripe, and one repeat."""
    from farspun.services.picture_plans import draw_stripes

    _ask_before(out, force)
    _tell(draw_stripes(stash_to_read(ctx), name, out), json)


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
    from farspun.services.picture_plans import draw_draft

    _ask_before(out, force)
    _tell(draw_draft(stash_to_read(ctx), name, weave, out), json)


def stash(ctx: typer.Context, out: Out, force: Force = False, json: Json = False) -> None:
    """The stash as a sheet of swatches: by fibre, each with its free metres."""
    from farspun.services.picture_plans import draw_stash

    _ask_before(out, force)
    _tell(draw_stash(stash_to_read(ctx), out), json)


def _ask_before(out: Path, force: bool) -> None:
    """Where the file is there already."""
    from farspun.services.picture_file import is_there, shown

    if is_there(out):
        ask_before(f"{shown(out)} is there already. Draw over it?", force, "--force")


def _tell(drawn: "Drawn", json: bool) -> None:
    """The file, and the picture in words."""
    if json:
        print_json(drawn)
    else:
        say(f"Drawn: {drawn.file}", *labelled("Words", drawn.told))
