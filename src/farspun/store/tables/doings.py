"""What was done: the commands that wrote, and what a row was before each."""

from typing import Any

from farspun.store.tables.columns import Row, check, json, row_id, to


class Action(Row, table=True):
    """One command that wrote: when (UTC, ISO 8601), which, and how it was typed."""

    __table_args__ = (check("action_at", "length(at) >= 20"),)
    id: int | None = row_id()
    at: str
    command: str
    said: str
    undoes: int | None = to("action", default=None, unique=True)
    import_id: int | None = to("action", default=None)


class Change(Row, table=True):
    """What a row was before a command changed it; null where the command made it."""

    id: int | None = row_id()
    action_id: int = to("action", index=True)
    table_name: str
    row_id: int
    before: dict[str, Any] | None = json(default=None)
