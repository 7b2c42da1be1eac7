"""Looms, reeds and rigid heddles."""

from typing import Any

from sqlalchemy import Connection, RowMapping, Table, insert, select

from farspun.craft.plan import Loom, Reed
from farspun.craft.spread import Spread
from farspun.errors import ImpossibleValue, NotFound
from farspun.store.tables import loom, reed
from farspun.units import name_key

MM_PER_CM = 10
OF_THE_LOOM = "this loom, as you gave it"  # where its loom waste is from
MICRODENTS = 10_000_000  # millionths of a dent per metre, for each dent per 10 cm


def add_equipment(
    connection: Connection, table: Table, action_id: int, name: str, **described: Any
) -> None:
    """A row of `loom` or `reed`. Raises ImpossibleValue where the name is taken."""
    refuse_taken(connection, table, name)
    connection.execute(
        insert(table).values(action_id=action_id, name=name, name_key=name_key(name), **described)
    )


def refuse_taken(connection: Connection, table: Table, name: str) -> None:
    """Raises ImpossibleValue where a loom or reed has that name."""
    there = connection.execute(
        select(table.c.name).where(table.c.name_key == name_key(name))
    ).scalar_one_or_none()
    if there is not None:
        raise ImpossibleValue(
            "the name",
            f"“{name}”",
            f"there is a {table.name} called “{there}” already",
            f"Choose another name, or see the list: farspun {table.name} list",
        )


def equipment_named(connection: Connection, table: Table, name: str) -> RowMapping:
    """The loom or reed of that name. Raises NotFound with the nearest names."""
    found = connection.execute(select(table).where(table.c.name_key == name_key(name)))
    row = found.mappings().one_or_none()
    if row is None:
        known = connection.execute(select(table.c.name)).scalars()
        raise NotFound(table.name, name.strip(), known)
    return row


def loom_named(connection: Connection, name: str) -> RowMapping:
    """The loom of that name. Raises NotFound with the nearest names."""
    return equipment_named(connection, loom, name)


def all_looms(connection: Connection) -> list[RowMapping]:
    """Every loom, in the order they were added."""
    return list(connection.execute(select(loom).order_by(loom.c.id)).mappings())


def all_reeds(connection: Connection) -> list[RowMapping]:
    """Every reed with its loom's name as `loom`, in the order they were added."""
    query = (
        select(reed, loom.c.name.label("loom"))
        .join_from(reed, loom, reed.c.loom_id == loom.c.id, isouter=True)
        .order_by(reed.c.id)
    )
    return list(connection.execute(query).mappings())


def looms(connection: Connection) -> list[Loom]:
    """All looms, in the order they were added."""
    return [_loom(row) for row in all_looms(connection)]


def reeds(connection: Connection) -> list[Reed]:
    """All reeds and heddles, in the order they were added."""
    return [_reed(row) for row in all_reeds(connection)]


def _loom(row: RowMapping) -> Loom:
    waste = None
    if row["waste_mm"] is not None:
        sd = (row["waste_sd_mm"] or 0) / MM_PER_CM
        waste = Spread(row["waste_mm"] / MM_PER_CM, sd, "length", OF_THE_LOOM)
    return Loom(
        name=row["name"],
        kind=row["kind"],
        width_cm=row["width_mm"] / MM_PER_CM,
        tie=row["tie"],
        waste=waste,
        shafts=row["shafts"],
        id=row["id"],
    )


def _reed(row: RowMapping) -> Reed:
    return Reed(
        name=row["name"],
        dents_per_10cm=row["microdents_per_m"] / MICRODENTS,
        rigid_heddle=row["rigid_heddle"],
        loom_id=row["loom_id"],
        id=row["id"],
    )
