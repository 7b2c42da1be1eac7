"""farspun share-out: the stash's skeins shared out among all planned cloths, by priority."""

from typing import Annotated

import typer

from farspun.cli.opening import stash_to_read
from farspun.cli.options import Json, option, reader
from farspun.cli.printing import ask_before, print_json, say, tell
from farspun.units import Quantity, promise


def add_to(app: typer.Typer) -> None:
    """Hang the command on the tree."""
    app.command("share-out", short_help="Share the skeins out among all planned cloths.")(share_out)


Promise = Annotated[
    Quantity | None,
    option(
        "promise", "ODDS", reader(promise, "promise"), "Odds for every cloth, else what each has."
    ),
]


def share_out(
    ctx: typer.Context,
    keep: Annotated[
        bool, typer.Option("--keep", help="Let the cloths claim what they are given.")
    ] = False,
    promise: Promise = None,
    yes: Annotated[bool, typer.Option("--yes", help="Do not ask first.")] = False,
    json: Json = False,
) -> None:
    """Share the skeins out among all planned cloths, by priority: who gets what, who goes short.

    Nothing is changed without --keep. The skeins of a cloth are those that were named for it.
    """
    from farspun.cli.share_words import loss_said, shared_lines
    from farspun.services.sharing_out import keep_shares, share_out

    stash = stash_to_read(ctx)
    shared = share_out(stash, None if promise is None else promise.value)
    changes = keep and bool(shared.changes)
    asks = changes and bool(shared.losing) and not yes
    if asks and not json:
        say(*shared_lines(shared, keep))
    if asks:
        ask_before(loss_said(shared), yes)
    if changes:
        keep_shares(stash, shared)
    if json:
        print_json(shared.document(kept=keep and bool(shared.cloths)))
    elif not asks:
        say(*shared_lines(shared, keep))
    if changes:
        tell("The cloths claim it so now. To have it as before: farspun undo")
