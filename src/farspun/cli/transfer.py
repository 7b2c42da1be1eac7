"""farspun import, farspun export: skeins from and to a table, a whole stash from and to JSON."""

import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from farspun.cli import options
from farspun.cli.opening import stash_to_read, stash_to_write
from farspun.cli.printing import ask_before, print_json, say, tell

if TYPE_CHECKING:
    from farspun.services.importing_csv import Progress

PATIENCE_S = 1.0  # before a bar is shown; judgement
SEVERAL = ("skeins", "cloths", "looms", "reeds")

File = Annotated[Path, typer.Argument(metavar="FILE", help="A name ending in .csv or .json.")]


def add_to(app: typer.Typer) -> None:
    """Hang both commands on the tree."""
    app.command("import")(import_)
    app.command("export")(export)


def import_(
    ctx: typer.Context,
    file: File,
    mapped: Annotated[
        list[str] | None,
        typer.Option(
            "--map",
            metavar="THEIRS=OURS",
            help="A column by another name: “Yards=length yd” (yd where a number has no unit);"
            " THEIRS=- leaves it out, decimal=, reads decimal commas; again for each.",
        ),
    ] = None,
    dry_run: Annotated[
        bool, typer.Option("--dry-run", help="Say what would come in, and store nothing.")
    ] = False,
    json: options.Json = False,
) -> None:
    """Take in skeins from a CSV table, or a whole stash from JSON: all of the file, or nothing."""
    from farspun.services import importing

    with _bar() as progress:
        done = importing.import_file(stash_to_write(ctx), file, mapped or (), dry_run, progress)
    if json:
        print_json(done)
        return
    tell(*done.remarks)
    known = {kind: len(names) for kind, names in done.passed_over.items()}
    if any(known.values()):
        tell(f"There already, and passed over: {_counted(known)}.")
    would = "Would be imported" if dry_run else "Imported"
    say(f"{would}: {_counted(done.new)}." if done.anything else "Nothing in it is new.")


def export(
    ctx: typer.Context,
    file: File,
    force: Annotated[
        bool, typer.Option("--force", help="Write over the file without asking.")
    ] = False,
) -> None:
    """Write skeins to a CSV table, or everything to JSON."""
    from farspun.services import exporting

    stash = stash_to_read(ctx)
    if exporting.is_there(file):
        ask_before(f"{exporting.shown(file)} is there already. Write over it?", force, "--force")
    done = exporting.export(stash, file)
    say(f"Exported: {_counted(done.written)}.")
    if done.left_out:
        tell(f"A table has no place for {', '.join(done.left_out)}; an export to .json has.")


def _counted(many: dict[str, int]) -> str:
    """As "2 skeins, 1 loom".

    >>> _counted({"skeins": 2, "cloths": 0, "looms": 1})
    '2 skeins, 1 loom'
    """
    told = [
        f"{many[kind]} {kind.removesuffix('s') if many[kind] == 1 else kind}"
        for kind in SEVERAL
        if many.get(kind)
    ]
    return ", ".join(told) or "nothing"


@contextmanager
def _bar() -> Iterator["Progress"]:
    """A bar on stderr, in a terminal, for what takes longer than a second."""
    if not sys.stderr.isatty():
        yield lambda done, of: None
        return
    from threading import Timer

    from rich.console import Console
    from rich.progress import Progress

    bar = Progress(console=Console(stderr=True), transient=True)
    task = bar.add_task("importing", total=None)
    timer = Timer(PATIENCE_S, bar.start)
    timer.start()
    try:
        yield lambda done, of: bar.update(task, completed=done, total=of)
    finally:
        timer.cancel()
        timer.join()
        bar.stop()
