"""Which rows count: those of actions that stand, and of the skeins asked for."""

from collections.abc import Collection

from sqlalchemy import ColumnElement, Table, select, true

from farspun.store.tables import action

MANY = 5000  # more ids than this are not sent to the database (SQLite's limit is 32,766)


def stands(table: Table) -> ColumnElement[bool]:
    """Rows of `table` whose action was not undone and undid nothing."""
    undone = select(action.c.undoes).where(action.c.undoes.is_not(None))
    undoing = select(action.c.id).where(action.c.undoes.is_not(None))
    return table.c.action_id.not_in(undone) & table.c.action_id.not_in(undoing)


def among(column: ColumnElement[int], ids: Collection[int] | None) -> ColumnElement[bool]:
    """`column` is one of `ids` (None: all); beyond MANY it filters nothing."""
    return column.in_(ids) if ids is not None and len(ids) <= MANY else true()
