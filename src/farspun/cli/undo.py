"""farspun undo: take the newest command back."""

from typing import Annotated

import typer

from farspun.cli.opening import stash_to_read, stash_to_write
from farspun.cli.printing import say


def add_to(app: typer.Typer) -> None:
    """Hang the command on the tree."""
    app.command("undo")(undo)


def undo(
    ctx: typer.Context,
    dry_run: Annotated[
        bool, typer.Option("--dry-run", help="Only tell what would be taken back.")
    ] = False,
) -> None:
    """Take back the newest command, whole; again, the one before it."""
    from farspun.services import undoing

    if dry_run:
        next_one = undoing.would_undo(stash_to_read(ctx))
        say(
            "There is nothing to undo."
            if next_one is None
            else f"Next: {undoing.undone_said(next_one)}"
        )
    else:
        say(f"Undone: {undoing.undone_said(undoing.undo(stash_to_write(ctx)))}")
