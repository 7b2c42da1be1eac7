"""farspun shortfalls: what is missing for all planned cloths together."""

import typer

from farspun.cli.options import Json
from farspun.cli.printing import print_json, say


def add_to(app: typer.Typer) -> None:
    """Hang the command on the tree."""
    app.command("shortfalls", short_help="What is short for all planned cloths.")(shortfalls)


def shortfalls(ctx: typer.Context, json: Json = False) -> None:
    """What is short for the planned cloths, by priority, and what to spin or buy."""
    from farspun.cli.shortfall_words import shortfall_lines
    from farspun.cli.together_words import together_lines
    from farspun.services import shortfalls as service
    from farspun.services.opening import stash_at

    found = service.all_shortfalls(stash_at(ctx.obj))
    if json:
        print_json(found.yarns)
    else:
        say(*shortfall_lines(found), *together_lines(found.checks))
