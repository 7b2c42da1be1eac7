"""farspun cloth: plan a piece, ask whether it will reach, look at it, change it, give it up."""

from typing import TYPE_CHECKING, Annotated

import typer

from farspun.cli import card, cut, ending, life, weigh
from farspun.cli.cloth_options import takes_cloth_options
from farspun.cli.options import Json
from farspun.cli.printing import print_json, tell
from farspun.errors import EXIT_FALLS_SHORT, EXIT_UNCERTAIN, WrongUse

if TYPE_CHECKING:
    from farspun.services.answers import Check
    from farspun.services.cloth_asked import ClothAsked

Name = Annotated[str, typer.Argument(metavar="NAME", help="The cloth's name.")]
ExitCode = Annotated[
    bool,
    typer.Option("--exit-code", help="Exit with 10 if it is uncertain, 11 if it falls short."),
]
commands = typer.Typer(
    help="Plan cloths, and ask whether the yarn will reach.",
    no_args_is_help=True,
    rich_markup_mode=None,
)


def add_to(app: typer.Typer) -> None:
    """Hang the group on the tree."""
    life.add_to(commands)
    cut.add_to(commands)
    card.add_to(commands)
    weigh.add_to(commands)
    ending.add_to(commands)
    app.add_typer(commands, name="cloth")


@commands.command("plan")
@takes_cloth_options("default")
def plan(ctx: typer.Context, name: Name, asked: "ClothAsked", json: Json = False) -> None:
    """Plan a cloth, claim its yarn and tell whether it will reach."""
    from farspun.cli.verdict import print_check
    from farspun.services.cloths import plan_cloth
    from farspun.services.opening import stash_at

    print_check(plan_cloth(stash_at(ctx.obj), name, asked), json)


@commands.command("change", short_help="Change a planned cloth.")
@takes_cloth_options()
def change(
    ctx: typer.Context,
    name: Name,
    asked: "ClothAsked",
    dry_run: Annotated[
        bool, typer.Option("--dry-run", help="Only tell what it would come to; store nothing.")
    ] = False,
    json: Json = False,
) -> None:
    """Change a planned cloth; what you did not settle is chosen anew, its claims stay."""
    from farspun.cli.verdict import print_changed
    from farspun.services.cloths import change_cloth, try_change
    from farspun.services.opening import stash_at

    carry_out = try_change if dry_run else change_cloth
    print_changed(carry_out(stash_at(ctx.obj), name, asked), json)


@commands.command("claim")
def claim(ctx: typer.Context, name: Name, json: Json = False) -> None:
    """Claim its yarn again, from what is free now."""
    from farspun.cli.verdict import print_check
    from farspun.services.cloths import claim_cloth
    from farspun.services.opening import stash_at

    print_check(claim_cloth(stash_at(ctx.obj), name), json)


@commands.command("list")
def list_(
    ctx: typer.Context,
    every: Annotated[bool, typer.Option("--all", help="Those given up as well.")] = False,
    json: Json = False,
) -> None:
    """All cloths, by priority."""
    from farspun.cli.plan_words import print_cloths
    from farspun.services.cloths import list_cloths
    from farspun.services.opening import stash_at

    rows = list_cloths(stash_at(ctx.obj))
    if json:
        print_json(rows)
    elif rows:
        listed = [row for row in rows if every or row.status != "given-up"]
        if listed:
            print_cloths(listed)
        if len(rows) > len(listed):
            tell(f"Given up and not shown: {len(rows) - len(listed)}. To see them: --all")
    else:
        tell("No cloth is planned yet: farspun cloth plan NAME --size … --warp … --weft …")


@commands.command("show")
def show(ctx: typer.Context, name: Name, json: Json = False) -> None:
    """What is planned: size, yarns and what they are kept for, set-up."""
    from farspun.cli.plan_words import print_plan
    from farspun.services.cloths import show_cloth
    from farspun.services.opening import stash_at

    shown = show_cloth(stash_at(ctx.obj), name)
    if json:
        print_json(shown.document())
    else:
        print_plan(shown)


@commands.command("check")
def check(
    ctx: typer.Context,
    name: Annotated[str | None, typer.Argument(metavar="NAME", help="One cloth.")] = None,
    every: Annotated[bool, typer.Option("--all", help="Every planned cloth.")] = False,
    exit_code: ExitCode = False,
    json: Json = False,
) -> None:
    """Will the yarn reach: one cloth, or all that are planned."""
    from farspun.cli.verdict import print_check, print_checks
    from farspun.services.cloths import check_cloth, check_cloths
    from farspun.services.opening import stash_at

    if name is not None and every:
        raise WrongUse("A name and --all do not go together.", "Give one of them.")
    stash = stash_at(ctx.obj)
    if name is None:
        checks = check_cloths(stash)
        print_checks(checks, json)
    else:
        checks = [check_cloth(stash, name)]
        print_check(checks[0], json)
    leave_with(checks, exit_code)


def leave_with(checks: "list[Check]", exit_code: bool) -> None:
    """Where asked to, exit with the code of the worst verdict."""
    verdicts = {check.verdict for check in checks}
    if exit_code and "falls short" in verdicts:
        raise typer.Exit(EXIT_FALLS_SHORT)
    if exit_code and "uncertain" in verdicts:
        raise typer.Exit(EXIT_UNCERTAIN)
