"""A stash that is gone or emptied, while copies of it still lie beside it."""

from farspun.errors import StashError
from farspun.store import copies
from farspun.store.engine import Stash


def lost_stash(stash: Stash) -> StashError | None:
    """The error that says so; None where nothing was lost."""
    if stash.path is None or stash.exists:
        return None
    made = copies.made(stash.path)
    if not made:
        return None
    state = "is empty" if stash.path.exists() else "is not there"
    return StashError(
        f"The stash {stash.where} {state}, and copies of it lie in {made[-1].parent}.",
        f"Put the newest back: farspun restore {made[-1]}. To begin anew, move that folder away.",
    )
