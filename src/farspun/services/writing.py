"""One writing command: its transaction, and the line in the stash that says it was done."""

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime

from sqlalchemy import Connection

from farspun.store.engine import Stash, writing
from farspun.store.ledger import new_action


@dataclass(frozen=True, slots=True)
class Deed:
    """The open transaction and the action its rows belong to."""

    connection: Connection
    action_id: int


@contextmanager
def doing(stash: Stash, command: str, said: str) -> Iterator[Deed]:
    """Carry out `command`, all of it or nothing; `said` is what it was asked, read back."""
    storable = said.encode("utf-8", "replace").decode()
    with writing(stash) as connection:
        yield Deed(connection, new_action(connection, datetime.now(UTC), command, storable))
