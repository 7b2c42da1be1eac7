"""farspun match: which yarns of the stash would serve as the other side of a cloth."""

from typing import TYPE_CHECKING, Annotated, Literal

import typer

from farspun.cli.cloth_options import takes_cloth_options
from farspun.cli.options import Json, whole_option
from farspun.cli.printing import print_json, say

if TYPE_CHECKING:
    from farspun.services.cloth_asked import ClothAsked


def add_to(app: typer.Typer) -> None:
    """Hang the command on the tree."""
    app.command("match", short_help="Which of your yarns go with this one, or with this cloth.")(
        match
    )


@takes_cloth_options("ends", "warp_cut", "priority", "default")
def match(
    ctx: typer.Context,
    asked: "ClothAsked",
    cloth: Annotated[
        str | None, typer.Argument(metavar="CLOTH", help="A planned cloth, by name.")
    ] = None,
    side: Annotated[
        Literal["warp", "weft"] | None,
        typer.Option("--for", help="Which side of the cloth is sought, else the weft."),
    ] = None,
    limit: Annotated[int, whole_option("limit", "So many are told, else 10.", least=1)] = 10,
    explain: Annotated[
        str | None,
        typer.Option(
            "--explain", metavar="SKEIN", help="Why it stands where it stands, or not at all."
        ),
    ] = None,
    like: Annotated[
        str | None,
        typer.Option(
            "--like",
            metavar="COLOUR|SKEIN",
            help="The likest in colour first: a skein, or slate, or #a0522d.",
        ),
    ] = None,
    contrast: Annotated[
        Literal["most", "least"] | None,
        typer.Option("--contrast", help="The most contrast to the other side first, or the least."),
    ] = None,
    json: Json = False,
) -> None:
    """Which yarns of the stash would serve, best first, with every reason. Nothing is stored.

    Name a planned cloth, or give one side (--weft SKEIN or --warp SKEIN) and a --size: then the
    other side is sought.
    """
    from farspun.cli.match_words import match_lines
    from farspun.services import matching
    from farspun.services.opening import stash_at

    stash = stash_at(ctx.obj)
    found = matching.match(stash, asked, cloth, side, limit, explain, like, contrast)
    if json:
        print_json(found)
    else:
        say(*match_lines(found))
