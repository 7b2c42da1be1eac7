"""The stash a command is to use."""

from typing import TYPE_CHECKING

import typer

from farspun.cli.printing import tell

if TYPE_CHECKING:
    from farspun.services.opening import Stash


def stash_to_write(ctx: typer.Context) -> "Stash":
    """The stash meant by --stash, or the one in her data folder."""
    from farspun.services.opening import stash_at

    return stash_at(ctx.obj)


def stash_to_read(ctx: typer.Context) -> "Stash":
    """The same, with a word on stderr where nothing was ever stored in it. Raises StashError where
    it is gone, and copies of it lie beside it."""
    stash = stash_to_write(ctx)
    if not stash.exists:
        from farspun.services.lost import lost_stash

        lost = lost_stash(stash)
        if lost is not None:
            raise lost
        tell(f"There is no stash at {stash.where} yet: farspun skein add makes it.")
    return stash
