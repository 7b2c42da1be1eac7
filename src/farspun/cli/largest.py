"""farspun largest: the largest cloth that these skeins weave at the promise."""

from typing import TYPE_CHECKING, Annotated

import typer

from farspun.cli.cloth_options import CM, takes_cloth_options
from farspun.cli.options import Json, length_option, option
from farspun.cli.printing import print_json, say
from farspun.units import Quantity, shape

if TYPE_CHECKING:
    from farspun.services.cloth_asked import ClothAsked

Width = Annotated[
    Quantity | None, length_option("width", "Finished width: how long may it be?", zero=False)
]
Length = Annotated[
    Quantity | None, length_option("length", "Finished length: how wide may it be?", zero=False)
]
Shape = Annotated[
    float | None,
    option("shape", "WIDTH:LENGTH", shape, "In this shape: 1:4 is four times as long as wide."),
]


def add_to(app: typer.Typer) -> None:
    """Hang the command on the tree."""
    app.command("largest", short_help="The largest cloth that these skeins weave.")(largest)


@takes_cloth_options("size", "ends", "warp_cut", "priority", "default")
def largest(
    ctx: typer.Context,
    asked: "ClothAsked",
    width: Width = None,
    length: Length = None,
    shape: Shape = None,
    sizes: Annotated[
        bool, typer.Option("--sizes", help="A table of widths and lengths; also without the rest.")
    ] = False,
    json: Json = False,
) -> None:
    """The largest cloth that these skeins weave at the promise. Nothing is stored.

    With --sett and no --warp only the weft is asked; a yarn of one side alone else serves both.
    """
    from farspun.cli.largest_words import largest_lines
    from farspun.services import largest as service
    from farspun.services.opening import stash_at

    wish = service.Wish(
        None if width is None else width.value * CM,
        None if length is None else length.value * CM,
        shape,
        sizes,
    )
    found = service.largest(stash_at(ctx.obj), asked, wish)
    if json:
        print_json(found.document())
    else:
        say(*largest_lines(found, wish))
