"""What every command that draws has in common: where to, and what it says afterwards."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from farspun.cli.printing import ask_before, labelled, print_json, say

if TYPE_CHECKING:
    from farspun.services.picture_file import Drawn

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
Name = Annotated[str, typer.Argument(metavar="NAME", help="The cloth's name.")]


def ask_before_drawing(out: Path, force: bool) -> None:
    """Where the file is there already."""
    from farspun.services.picture_file import is_there, shown

    if is_there(out):
        ask_before(f"{shown(out)} is there already. Draw over it?", force, "--force")


def tell_drawn(drawn: "Drawn | str", json: bool) -> None:
    """The file, and the picture in words; or why there is none."""
    if isinstance(drawn, str):
        if json:
            print_json({"file": None, "why": drawn})
        else:
            say(*labelled("", drawn))
    elif json:
        print_json(drawn)
    else:
        say(f"Drawn: {drawn.file}", *labelled("Words", drawn.told))
