"""One writing command: its transaction, and the line in the stash that says it was done."""

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime

from sqlalchemy import Connection

from farspun.errors import StashError
from farspun.services.lost import lost_stash
from farspun.services.since import refuse_if_changed
from farspun.store.changes import keep_changes, snapshot
from farspun.store.engine import Stash, reading, writing
from farspun.store.engine import rehearsing as on_a_copy
from farspun.store.ledger import new_action


@dataclass(frozen=True, slots=True)
class Deed:
    """The open transaction and the action its rows belong to."""

    connection: Connection
    action_id: int


# commands a stash can begin with; every other names something that must be there
FIRST = ("skein add", "loom add", "reed add", "import")


@contextmanager
def doing(stash: Stash, command: str, said: str, room: int = 0) -> Iterator[Deed]:
    """Carry out `command`, all of it or nothing; `said` is what it was asked, read back.

    `room`: so many ids are left free before its own, for actions that come with it. Where there is
    no stash yet, only a command of FIRST makes one; any other looks in an empty one, and finds
    nothing. Raises StashError.
    """
    storable = said.encode("utf-8", "replace").decode()
    begins = stash.exists or command in FIRST
    lost = lost_stash(stash)
    if lost is not None:
        raise lost
    with (writing if begins else reading)(stash) as connection:
        refuse_if_changed(connection)
        before = snapshot(connection)
        at = datetime.now(UTC)
        deed = Deed(connection, new_action(connection, at, command, storable, room=room))
        yield deed
        keep_changes(connection, deed.action_id, before)
        if not begins:
            raise StashError(
                f"There is no stash at {stash.where} yet.",
                "Name the stash with --stash, or make it: farspun skein add",
            )


@contextmanager
def rehearsing(stash: Stash, command: str) -> Iterator[Deed]:
    """As `doing`, on a copy that is gone afterwards: what it would come to."""
    with on_a_copy(stash) as connection:
        yield Deed(connection, new_action(connection, datetime.now(UTC), command, ""))
