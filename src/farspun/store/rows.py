"""Which rows count: those of actions that stand, and of the skeins asked for."""

from collections.abc import Collection

from sqlalchemy import ColumnElement, Table, select, true

from farspun.store.tables import action, evidence, skein, struck

MANY = 5000  # more ids than this are not sent to the database (SQLite's limit is 32,766)


def stands(table: Table) -> ColumnElement[bool]:
    """Rows whose action was not undone (nor the import it came with), and undid nothing; of
    readings, those that were not struck out."""
    undone = select(action.c.undoes).where(action.c.undoes.is_not(None))
    undoing = select(action.c.id).where(action.c.undoes.is_not(None))
    came_with_undone = select(action.c.id).where(action.c.import_id.in_(undone))
    counts = (
        table.c.action_id.not_in(undone)
        & table.c.action_id.not_in(undoing)
        & table.c.action_id.not_in(came_with_undone)
    )
    if table is evidence:
        slips = select(struck.c.evidence_id).where(stands(struck))
        return counts & table.c.id.not_in(slips)
    return counts


def in_sight(table: Table) -> ColumnElement[bool]:
    """Skeins and cloths whose adding was not undone."""
    if table is skein:
        return skein.c.closed_because.is_distinct_from("undone")
    return table.c.undone.is_(False)


def among(column: ColumnElement[int], ids: Collection[int] | None) -> ColumnElement[bool]:
    """`column` is one of `ids` (None: all); beyond MANY it filters nothing."""
    return column.in_(ids) if ids is not None and len(ids) <= MANY else true()
