"""What happened to a cloth, and when: every command that had to do with it."""

from dataclasses import dataclass, field

from sqlalchemy import Connection, Table, select

from farspun.services.names import cloth_named
from farspun.services.wording_used import used_said
from farspun.store.engine import Stash, reading
from farspun.store.tables import action, change, cloth, confirmed, entry, record, skein, weighing

MG_PER_G = 1000


@dataclass(frozen=True, slots=True)
class Event:
    """One command: when, which, what it said, grams that it took of each skein (below 0: put back).

    `undone`: it was taken back later."""

    at: str
    command: str
    said: str
    used_g: dict[str, float] = field(default_factory=dict)
    undone: bool = False


def cloth_history(stash: Stash, name: str) -> list[Event]:
    """Everything that happened to a cloth, oldest first. Raises NotFound."""
    with reading(stash) as connection:
        plan = cloth_named(connection, name)
        return _events(connection, plan.id or 0)


DONE = {  # how a command reads to a weaver, where its own name does not
    "cloth plan": "planned",
    "cloth change": "changed",
    "cloth claim": "yarn claimed again",
    "cloth on-loom": "on the loom",
    "cloth weigh": "ball weighed",
    "cloth off-loom": "off the loom",
    "cloth sample": "sample measured",
    "cloth cut": "cut out",
    "cloth give-up": "given up",
    "lessons": "record confirmed",
    "share-out": "yarn shared out",
    "skein add": "skein added for it",
}


def event_row(one: Event, cloth: str = "") -> tuple[str, str, str, str]:
    """When, what, what was said, which yarn went or came back; as every screen says it.

    The name of the cloth is not said again where it is the one in question.

    >>> event_row(Event("2025-03-01T09:30:00", "cloth wound", "Scarf: 90 ends", {"Gorse": 41.2}))
    ('2025-03-01 09:30', 'wound', 'Scarf: 90 ends', 'Gorse: 41 g used')
    >>> event_row(Event("2025-03-01T09:30:00", "cloth change", "Scarf: take-up 9 %"), "Scarf")
    ('2025-03-01 09:30', 'changed', 'take-up 9 %', '')
    """
    moved = [used_said(skein, round(MG_PER_G * g)) for skein, g in one.used_g.items() if g]
    undone = " (undone)" if one.undone else ""
    at = one.at[:16].replace("T", " ")
    done = DONE.get(one.command, one.command.removeprefix("cloth "))
    said = one.said
    if cloth and said.startswith(cloth):
        said = said.removeprefix(cloth).lstrip(":, ")
    return at, done + undone, said, ", ".join(moved)


def _events(connection: Connection, cloth_id: int) -> list[Event]:
    own = {
        row
        for table in (record, confirmed, weighing, entry)
        for row in _actions(connection, table, cloth_id)
    }
    own |= set(
        connection.execute(select(cloth.c.action_id).where(cloth.c.id == cloth_id)).scalars()
    )
    own |= _changing(connection, cloth_id)
    used = _used(connection, cloth_id)
    rows = connection.execute(select(action).order_by(action.c.id)).all()
    undone = {row.undoes for row in rows if row.undoes is not None}
    return [
        Event(row.at, row.command, row.said, used.get(row.id, {}), row.id in undone)
        for row in rows
        if row.id in own
    ]


def _actions(connection: Connection, table: Table, cloth_id: int) -> list[int]:
    found = connection.execute(
        select(table.c.action_id).where(table.c.cloth_id == cloth_id).distinct()
    )
    return list(found.scalars())


def _changing(connection: Connection, cloth_id: int) -> set[int]:
    """Commands that changed its plan, its yarns, what was given by hand, or its claims."""
    found = set()
    for row in connection.execute(select(change)):
        before = row.before or {}
        if (row.table_name == cloth.name and row.row_id == cloth_id) or before.get(
            "cloth_id"
        ) == cloth_id:
            found.add(row.action_id)
    return found


def _used(connection: Connection, cloth_id: int) -> dict[int, dict[str, float]]:
    rows = connection.execute(
        select(entry.c.action_id, skein.c.name, entry.c.delta_mg)
        .join_from(entry, skein, entry.c.skein_id == skein.c.id)
        .where(entry.c.cloth_id == cloth_id)
        .order_by(entry.c.id)
    )
    found: dict[int, dict[str, float]] = {}
    for action_id, name, delta_mg in rows:
        own = found.setdefault(action_id, {})
        own[name] = own.get(name, 0.0) - delta_mg / MG_PER_G
    return found
