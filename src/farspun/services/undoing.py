"""Taking the newest command back, whole; again, the one before it."""

from dataclasses import dataclass
from datetime import UTC, datetime

from sqlalchemy import Connection, Row, select
from sqlalchemy.exc import IntegrityError

from farspun.errors import ChangedMeanwhile, ImpossibleValue, WrongUse
from farspun.store.changes import put_back, reverse_entries
from farspun.store.engine import Stash, reading, writing
from farspun.store.estimates import recompute
from farspun.store.ledger import forget_balance_of_nothing, new_action
from farspun.store.since import newest_action
from farspun.store.tables import action


@dataclass(frozen=True, slots=True)
class Undone:
    """The command taken back, what it had been told, when it was given; `newest` action then."""

    command: str
    said: str
    at: str
    newest: int = 0


def undone_said(undone: Undone) -> str:
    """It in one line.

    >>> undone_said(Undone("skein weigh", "Gorse: 71 g", "2025-03-01T09:30:00"))
    'skein weigh (Gorse: 71 g), of 2025-03-01 09:30 UTC.'
    """
    return f"{undone.command} ({undone.said}), of {undone.at[:16].replace('T', ' ')} UTC."


def undo(stash: Stash, seen: int | None = None) -> Undone:
    """Take back the newest command that stands.

    `seen`: the newest action when she was asked; ChangedMeanwhile is raised where there is another.

    Its readings no longer count, its ledger entries are reversed, and what it changed is as before;
    an import is taken back with all that came with it. Raises WrongUse where there is nothing to
    take back, ImpossibleValue where a balance would go below zero or a claim beyond what there is.
    """
    nothing = WrongUse("There is nothing to undo.", "Every command was taken back already.")
    if not stash.exists:
        raise nothing
    with writing(stash) as connection:
        last = newest_standing(connection)
        if last is None:
            raise nothing
        newest = newest_action(connection)
        if seen is not None and seen != newest:
            raise ChangedMeanwhile(
                "Something was stored meanwhile, so nothing was taken back.",
                "Look what would be taken back now.",
            )
        said = f"{last.command}: {last.said}"
        undoing = new_action(connection, datetime.now(UTC), "undo", said, undoes=last.id)
        undone = [last.id, *_came_with(connection, last.id)]
        try:
            reverse_entries(connection, undone, undoing)
            put_back(connection, undone)
        except IntegrityError:
            raise ImpossibleValue(
                "“" + said + "”",
                "undone",
                "a balance would go below zero, or a cloth would claim more than there is",
                "Give up the cloths that claim the yarn, or weigh it, and try again.",
            ) from None
        forget_balance_of_nothing(connection)
        recompute(connection)
        return Undone(last.command, last.said, last.at, newest)


def would_undo(stash: Stash) -> Undone | None:
    """What `undo` would take back now; None where there is nothing."""
    with reading(stash) as connection:
        last = newest_standing(connection)
        newest = newest_action(connection)
        return None if last is None else Undone(last.command, last.said, last.at, newest)


def newest_standing(connection: Connection) -> Row[int, str, str, str] | None:
    """The newest action that was not undone, undid nothing, and came with no import."""
    undone = select(action.c.undoes).where(action.c.undoes.is_not(None))
    return connection.execute(
        select(action.c.id, action.c.command, action.c.said, action.c.at)
        .where(action.c.undoes.is_(None), action.c.import_id.is_(None))
        .where(action.c.id.not_in(undone))
        .order_by(action.c.id.desc())
        .limit(1)
    ).one_or_none()


def _came_with(connection: Connection, import_id: int) -> list[int]:
    found = connection.execute(select(action.c.id).where(action.c.import_id == import_id))
    return list(found.scalars())
