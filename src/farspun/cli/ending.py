"""farspun cloth give-up and history: the end of a cloth, and what led to it."""

from typing import Annotated

import typer

from farspun.cli.life import OPTIONS, Name, skein_and_mass
from farspun.cli.opening import stash_to_read
from farspun.cli.options import Json
from farspun.cli.printing import ask_before, print_json, print_table, say, tell
from farspun.units import Quantity


def add_to(cloth: typer.Typer) -> None:
    """Hang the commands on `farspun cloth`."""
    cloth.command("give-up")(give_up)
    cloth.command("history")(history)


def give_up(
    ctx: typer.Context,
    name: Name,
    back: Annotated[
        bool | None,
        typer.Option(
            "--back/--no-back",
            help="Whether the warp's yarn goes back to its skeins; else it does while it is"
            " only wound.",
        ),
    ] = None,
    left: Annotated[list[str] | None, OPTIONS["left"].__metadata__[0]] = None,
    tare: Annotated[Quantity | None, OPTIONS["tare"].__metadata__[0]] = None,
    yes: Annotated[bool, typer.Option("--yes", help="Do not ask first.")] = False,
) -> None:
    """Give a cloth up: the yarn it claims is free again."""
    from farspun.services.giving_up import give_up_cloth, what_giving_up_does
    from farspun.services.opening import stash_at
    from farspun.services.wording_used import used_said

    stash = stash_at(ctx.obj)
    balls = [skein_and_mass(text, "left") for text in left or ()]
    ask_before(what_giving_up_does(stash, name, back), yes)
    ended = give_up_cloth(stash, name, back, balls, tare)
    say(f"{ended.plan.name} is given up; the yarn it claimed is free again.")
    say(*(f"  {used_said(skein, round(-1000 * g))}" for skein, g in ended.back_g.items()))
    tell(*ended.remarks)


def history(ctx: typer.Context, name: Name, json: Json = False) -> None:
    """What was done with a cloth, and when."""
    from farspun.services.cloth_history import cloth_history, event_row

    events = cloth_history(stash_to_read(ctx), name)
    if json:
        print_json(events)
        return
    rows = [event_row(one, name.strip()) for one in events]
    print_table(["when (UTC)", "what", "said", "yarn"], rows)
