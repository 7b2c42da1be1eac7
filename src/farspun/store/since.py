"""What happened to a skein or a cloth after a given action."""

from collections.abc import Sequence
from dataclasses import dataclass

from sqlalchemy import ColumnElement, Connection, Select, or_, select

from farspun.store.tables import (
    action,
    change,
    claim,
    cloth,
    cloth_yarn,
    entry,
    evidence,
    loom,
    record,
    reed,
    skein,
    struck,
)


@dataclass(frozen=True, slots=True)
class Done:
    """An action: when, which command, and what it was asked."""

    at: str
    command: str
    said: str


def newest_action(connection: Connection) -> int:
    """The id of the newest action; 0 where there is none."""
    newest = select(action.c.id).order_by(action.c.id.desc()).limit(1)
    return connection.execute(newest).scalar() or 0


def done_to_skein(connection: Connection, skein_id: int, since: int) -> list[Done]:
    """Every action after `since` that measured, moved, changed or claimed this skein."""
    on = [
        select(evidence.c.action_id).where(evidence.c.skein_id == skein_id),
        select(entry.c.action_id).where(entry.c.skein_id == skein_id),
        select(struck.c.action_id)
        .join(evidence, evidence.c.id == struck.c.evidence_id)
        .where(evidence.c.skein_id == skein_id),
        select(claim.c.action_id).where(claim.c.skein_id == skein_id),
        select(change.c.action_id).where(
            change.c.table_name == claim.name,
            change.c.before["skein_id"].as_integer() == skein_id,
        ),
        _changed(skein.name, skein_id),
    ]
    return _done(connection, on, since)


def done_to_cloth(connection: Connection, cloth_id: int, since: int) -> list[Done]:
    """Every action after `since` that changed this cloth, told of it, or touched its skeins."""
    skeins = select(cloth_yarn.c.skein_id).where(cloth_yarn.c.cloth_id == cloth_id)
    on = [
        select(record.c.action_id).where(record.c.cloth_id == cloth_id),
        select(evidence.c.action_id).where(evidence.c.skein_id.in_(skeins)),
        select(entry.c.action_id).where(
            or_(entry.c.skein_id.in_(skeins), entry.c.cloth_id == cloth_id)
        ),
        _changed(cloth.name, cloth_id),
    ]
    return _done(connection, on, since)


def last_change(connection: Connection, cloth_id: int) -> tuple[int, str]:
    """The id and time of the action that planned this cloth or last changed it."""
    on = [select(cloth.c.action_id).where(cloth.c.id == cloth_id), _changed(cloth.name, cloth_id)]
    any_of = or_(*(which.in_(one) for one in on for which in (action.c.id, action.c.undoes)))
    newest = select(action.c.id, action.c.at).where(any_of).order_by(action.c.id.desc()).limit(1)
    found = connection.execute(newest).one()
    return found.id, found.at


def done_to_looms(connection: Connection, since: int) -> list[Done]:
    """Every action after `since` that changed a loom, reed or heddle."""
    on = select(change.c.action_id).where(change.c.table_name.in_((loom.name, reed.name)))
    return _done(connection, [on], since)


def done_to_stash(connection: Connection, since: int) -> list[Done]:
    """Every action after `since`, whatever it was done to."""
    return _told(connection, action.c.id > since)


def _changed(table: str, row_id: int) -> Select[tuple[int]]:
    return select(change.c.action_id).where(change.c.table_name == table, change.c.row_id == row_id)


def _done(connection: Connection, on: Sequence[Select[tuple[int]]], since: int) -> list[Done]:
    any_of: ColumnElement[bool] = or_(
        *(which.in_(one) for one in on for which in (action.c.id, action.c.undoes))
    )
    return _told(connection, action.c.id > since, any_of)


def _told(connection: Connection, *such: ColumnElement[bool]) -> list[Done]:
    rows = connection.execute(
        select(action.c.at, action.c.command, action.c.said).where(*such).order_by(action.c.id)
    )
    return [Done(row.at, row.command, row.said) for row in rows]
