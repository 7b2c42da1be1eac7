"""What happened to a skein or a cloth after a given action."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from sqlalchemy import ColumnElement, Connection, Select, or_, select

from farspun.store.tables import (
    action,
    change,
    claim,
    cloth,
    cloth_spread,
    cloth_yarn,
    confirmed,
    entry,
    evidence,
    loom,
    record,
    reed,
    skein,
    struck,
    weighing,
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
    """Every action after `since` that changed this cloth, its yarns, what it keeps, what was given
    by hand, its loom or reed; told of it; or measured, moved or changed its skeins."""
    own = cloth.c.id == cloth_id
    on = [
        *_told_of_cloth(cloth_id),
        *_done_to_its_skeins(cloth_id),
        _changed(cloth.name, cloth_id),
        _changed(loom.name, select(cloth.c.loom_id).where(own)),
        _changed(reed.name, select(cloth.c.reed_id).where(own)),
        select(change.c.action_id).where(
            change.c.table_name.in_((cloth_yarn.name, cloth_spread.name, claim.name)),
            change.c.before["cloth_id"].as_integer() == cloth_id,
        ),
    ]
    return _done(connection, on, since)


def _told_of_cloth(cloth_id: int) -> list[Select[tuple[int]]]:
    """What was added for this cloth, and stands."""
    tables = (record, weighing, confirmed, entry, cloth_yarn, cloth_spread, claim)
    return [select(one.c.action_id).where(one.c.cloth_id == cloth_id) for one in tables]


def _done_to_its_skeins(cloth_id: int) -> list[Select[tuple[int]]]:
    skeins = select(cloth_yarn.c.skein_id).where(cloth_yarn.c.cloth_id == cloth_id)
    readings = select(evidence.c.id).where(evidence.c.skein_id.in_(skeins))
    return [
        select(evidence.c.action_id).where(evidence.c.skein_id.in_(skeins)),
        select(struck.c.action_id).where(struck.c.evidence_id.in_(readings)),
        select(entry.c.action_id).where(entry.c.skein_id.in_(skeins)),
        _changed(skein.name, skeins),
    ]


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


def _changed(table: str, row_ids: int | Select[Any]) -> Select[tuple[int]]:
    of = change.c.row_id == row_ids if isinstance(row_ids, int) else change.c.row_id.in_(row_ids)
    return select(change.c.action_id).where(change.c.table_name == table, of)


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
