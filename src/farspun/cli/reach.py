"""farspun reach and farspun odds: the quick question, and a written case."""

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from farspun.cli.cloth import ExitCode, leave_with
from farspun.cli.cloth_options import takes_cloth_options
from farspun.cli.options import Json
from farspun.cli.printing import print_json, say
from farspun.errors import UnreadableValue

if TYPE_CHECKING:
    from farspun.services.cloth_asked import ClothAsked


def add_to(app: typer.Typer) -> None:
    """Hang the commands on the tree."""
    app.command("reach", short_help="Will these skeins weave a piece of that size?")(reach)
    app.command("odds")(odds)


@takes_cloth_options("weft", "ends", "warp_cut", "priority", "default")
def reach(
    ctx: typer.Context,
    skeins: Annotated[
        list[str], typer.Argument(metavar="SKEIN", help="The weft, by name; several are added.")
    ],
    asked: "ClothAsked",
    exit_code: ExitCode = False,
    json: Json = False,
) -> None:
    """Will these skeins weave a piece of that size? Nothing is stored.

    With --sett and no --warp only the weft is asked; with neither, the one yarn serves both sides.
    """
    from dataclasses import replace

    from farspun.cli.verdict import print_check
    from farspun.services.opening import stash_at
    from farspun.services.quick_reach import quick_reach

    check = quick_reach(stash_at(ctx.obj), replace(asked, weft=tuple(skeins)))
    print_check(check, json)
    leave_with([check], exit_code)


def odds(
    file: Annotated[str, typer.Argument(metavar="FILE|-", help="A written case, JSON.")],
    json: Json = False,
) -> None:
    """Odds of a case written as JSON, without a stash."""
    from farspun.cli.verdict import case_lines
    from farspun.services.odds import odds_of_case

    answer = odds_of_case(_text_of(file))
    if json:
        print_json(answer)
    else:
        say(*case_lines(answer))


def _text_of(file: str) -> str:
    """The text of a file, or of standard input for `-`."""
    try:
        return sys.stdin.read() if file == "-" else Path(file).read_text(encoding="utf-8")
    except (OSError, UnicodeDecodeError) as error:
        why = error.strerror if isinstance(error, OSError) else "it is not text"
        raise UnreadableValue(
            "the file",
            file,
            (why or "no reason given").lower(),
            "Name a JSON file, or - for input.",
        ) from None
