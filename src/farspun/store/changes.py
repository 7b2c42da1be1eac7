"""What a command changed, kept so that it can be taken back.

The rows that a command may change are looked at before and after it; whatever differs is kept as it
was before. So every writing command can be undone, those to come included. Readings and ledger
entries are only ever added to: those of an undone action no longer count, and its entries are
reversed.
"""

from collections.abc import Collection
from typing import Any

from sqlalchemy import Connection, Row, Table, delete, insert, select, update

from farspun.store import tables
from farspun.store.tables import change, cloth, entry, skein

CHANGING = {
    table.name: table
    for table in (
        tables.skein,
        tables.loom,
        tables.reed,
        tables.cloth,
        tables.cloth_yarn,
        tables.cloth_spread,
        tables.claim,
    )
}
DERIVED = ("balance_mg",)  # follows from the ledger
REMOVED = "\x1f"  # begins the key of a name that is free again; no name may hold it

AnyRow = Row[*tuple[Any, ...]]
Snapshot = dict[str, dict[int, AnyRow]]


def _columns(table: Table) -> list[str]:
    return [column.name for column in table.c if column.name not in DERIVED]


def snapshot(connection: Connection) -> Snapshot:
    """Every row that a command may change, by table and id."""
    return {
        name: {
            row.id: row
            for row in connection.execute(select(*(table.c[column] for column in _columns(table))))
        }
        for name, table in CHANGING.items()
    }


def keep_changes(connection: Connection, action_id: int, before: Snapshot) -> None:
    """Keep what differs from `before`, in an order in which it can be put back from the end."""
    kept = []
    for name, now in snapshot(connection).items():
        was = before[name]
        for row_id in sorted({*was, *now}):
            if was.get(row_id) != now.get(row_id):
                old = was.get(row_id)
                kept.append(
                    {
                        "action_id": action_id,
                        "table_name": name,
                        "row_id": row_id,
                        "before": None if old is None else dict(old._mapping),
                    }
                )
    if kept:
        connection.execute(insert(change), kept)


def put_back(connection: Connection, action_ids: Collection[int]) -> None:
    """Make every row as it was before these actions."""
    rows = connection.execute(
        select(change).where(change.c.action_id.in_(action_ids)).order_by(change.c.id.desc())
    ).all()
    # first what goes away, from the last table to the first, then what comes back or changes
    for row in rows:
        if row.before is None:
            _remove(connection, row.table_name, row.row_id)
    for row in reversed(rows):
        if row.before is not None:
            _restore(connection, CHANGING[row.table_name], row.row_id, row.before)


def _remove(connection: Connection, name: str, row_id: int) -> None:
    """A skein or cloth stays for its ledger's sake, but out of sight, and its name is free."""
    table = CHANGING[name]
    if table is skein or table is cloth:
        gone: dict[str, Any] = {"name_key": f"{REMOVED}{row_id}"}
        if table is skein:
            gone |= {"status": "closed", "closed_because": "undone"}
        else:
            gone |= {"undone": True, "loom_id": None, "reed_id": None}  # those may go as well
        connection.execute(update(table).where(table.c.id == row_id).values(**gone))
    else:
        connection.execute(delete(table).where(table.c.id == row_id))


def _restore(connection: Connection, table: Table, row_id: int, before: dict[str, Any]) -> None:
    there = connection.execute(select(table.c.id).where(table.c.id == row_id)).scalar()
    if there is None:
        connection.execute(insert(table).values(**before))
    else:
        connection.execute(update(table).where(table.c.id == row_id).values(**before))


def reverse_entries(connection: Connection, action_ids: Collection[int], by_action: int) -> None:
    """A ledger entry the other way for each of these actions', the last one first."""
    entries = connection.execute(
        select(entry).where(entry.c.action_id.in_(action_ids)).order_by(entry.c.id.desc())
    ).all()
    for one in entries:
        connection.execute(
            insert(entry).values(
                action_id=by_action,
                skein_id=one.skein_id,
                kind="undone",
                delta_mg=-one.delta_mg,
                said=f"undone: {one.said}",
                cloth_id=one.cloth_id,
            )
        )
