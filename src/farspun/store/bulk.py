"""Many rows at once, with ids known beforehand."""

from collections.abc import Mapping, Sequence
from typing import Any

from sqlalchemy import Connection, Table, func, insert, select, text


def next_id(connection: Connection, table: Table) -> int:
    """The first id that was not given yet; nobody else writes in this transaction."""
    return int(connection.execute(select(func.coalesce(func.max(table.c.id), 0))).scalar_one()) + 1


def insert_rows(connection: Connection, table: Table, rows: Sequence[Mapping[str, Any]]) -> None:
    """Insert rows that carry their own ids."""
    if rows:
        connection.execute(insert(table), list(rows))
        count_on(connection, table)


def count_on(connection: Connection, table: Table) -> None:
    """PostgreSQL counts ids itself, and must go on behind those given by hand."""
    if connection.dialect.name == "postgresql":
        last = f"SELECT setval(pg_get_serial_sequence('{table.name}', 'id'), max(id))"
        connection.execute(text(f"{last} FROM {table.name}"))
