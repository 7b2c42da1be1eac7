"""farspun backup, restore, doctor: keeping the stash safe."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from farspun.cli import options
from farspun.cli.opening import stash_to_write
from farspun.cli.printing import ask_before, print_json, say, tell
from farspun.errors import StashError

if TYPE_CHECKING:
    from farspun.services.backups import Backup
    from farspun.services.doctor import Finding, Report


def add_to(app: typer.Typer) -> None:
    """Hang the commands on the tree."""
    app.command("backup")(backup)
    app.command("restore")(restore)
    app.command("doctor")(doctor)


def backup(
    ctx: typer.Context,
    file: Annotated[
        Path | None,
        typer.Argument(
            metavar="[FILE]",
            readable=False,
            help="Where to, else the folder backups beside the stash.",
        ),
    ] = None,
    force: Annotated[
        bool, typer.Option("--force", help="Write over an earlier copy of that name.")
    ] = False,
) -> None:
    """Copy the stash and look the copy through."""
    from farspun.services import backups

    made = backups.backup(stash_to_write(ctx), file, force)
    say(f"Copied: {_held(made)}, to {made.path}.")


def restore(
    ctx: typer.Context,
    file: Annotated[
        Path, typer.Argument(metavar="FILE", readable=False, help="A copy that backup made.")
    ],
    yes: Annotated[bool, typer.Option("--yes", help="Do not ask first.")] = False,
) -> None:
    """Put a copy back in the stash's place; what was there is kept as a copy."""
    from farspun.services import backups

    stash = stash_to_write(ctx)
    copy = backups.would_replace(stash, file)
    if copy is not None:
        ask_before(f"Let the stash be again as it was{_when(copy)} ({_held(copy)})?", yes)
    done = backups.restore(stash, file)
    say(f"Put back: {_held(done.backup)}, as it was{_when(done.backup)}.")
    if done.kept is not None:
        say(f"What the stash was before is kept in {done.kept}.")


def doctor(
    ctx: typer.Context,
    mend: Annotated[
        bool,
        typer.Option("--mend", help="Rebuild what is worked out from the readings, nothing else."),
    ] = False,
    as_it_is: Annotated[
        bool,
        typer.Option(
            "--as-it-is", help="Take a stash that you changed with another program as it is."
        ),
    ] = False,
    json: options.Json = False,
) -> None:
    """Look the stash through: is anything in it damaged or out of step?"""
    from farspun.services import doctor as service

    report = service.examine(stash_to_write(ctx), mend, as_it_is)
    if json:
        print_json(_document(report))
    else:
        _say(report)
    if not report.healthy:
        raise typer.Exit(StashError.exit_code)


def _say(report: "Report") -> None:
    if report.mended:
        say("What is worked out from the readings was rebuilt.")
    if report.sealed_anew:
        say("The stash is taken as it is.")
    for one in report.wrong:
        say(one.text, f"  {one.do}")
    if report.healthy:
        say(f"Nothing is wrong with {report.stash}.")
    for one in report.notices:
        tell(one.text, f"  {one.do}")


def _document(report: "Report") -> dict[str, object]:
    return {
        "stash": report.stash,
        "healthy": report.healthy,
        "wrong": [_finding(one) for one in report.wrong],
        "notices": [_finding(one) for one in report.notices],
        "mended": report.mended,
        "sealed_anew": report.sealed_anew,
    }


def _finding(one: "Finding") -> dict[str, str]:
    return {"code": one.code, "text": one.text, "do": one.do}


def _held(backup: "Backup") -> str:
    skeins = "1 skein" if backup.skeins == 1 else f"{backup.skeins} skeins"
    cloths = "1 cloth" if backup.cloths == 1 else f"{backup.cloths} cloths"
    return f"{skeins}, {cloths}"


def _when(backup: "Backup") -> str:
    if backup.newest is None:
        return " when nothing was stored yet"
    return f" on {backup.newest[:16].replace('T', ' at ')} UTC"
