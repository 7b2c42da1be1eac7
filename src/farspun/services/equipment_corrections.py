"""Looms and reeds put right, or removed; what a cloth stands on stays as it is.

A name can always be changed. Where a cloth uses a loom or reed, its figures are part of what was
planned, woven and learned: another one is added instead.
"""

from collections.abc import Mapping
from shlex import quote
from typing import Any

from sqlalchemy import Connection, RowMapping, Table, delete, select, update

from farspun.errors import ImpossibleValue, WrongUse
from farspun.services.equipment import (
    Loom,
    Reed,
    dents_for_table,
    list_looms,
    list_reeds,
    waste_in_mm,
    width_in_mm,
)
from farspun.services.writing import doing
from farspun.store import tables
from farspun.store.engine import Stash
from farspun.store.equipment import equipment_named, loom_named, refuse_taken
from farspun.store.rows import in_sight
from farspun.units import name_key, skein_name


def change_loom(stash: Stash, name: str, said: Mapping[str, Any], sure: bool = False) -> Loom:
    """Change what was said of a loom; `said`: name, kind, width, waste, tie, shafts, those to
    change only (waste and shafts None: not known). What is as it was may be among them.

    Raises NotFound; WrongUse where nothing is said; ImpossibleValue, and with the cloth's name
    where one uses it; ToConfirm where it can hardly be and she is not `sure`.
    """
    columns = {key: said[key] for key in ("kind", "tie", "shafts") if key in said}
    if "width" in said:
        columns["width_mm"] = width_in_mm(said["width"], sure)
    if "waste" in said:
        waste = said["waste"]
        both = (None, None) if waste is None else waste_in_mm(waste)
        columns["waste_mm"], columns["waste_sd_mm"] = both
    new = _change(stash, tables.loom, name, said, columns)
    return next(one for one in list_looms(stash) if name_key(one.name) == name_key(new))


def change_reed(stash: Stash, name: str, said: Mapping[str, Any], sure: bool = False) -> Reed:
    """Change what was said of a reed; `said`: name, dents, rigid_heddle, loom (None: any it fits),
    those to change only. Raises as `change_loom`, and NotFound for its loom."""
    columns: dict[str, Any] = {}
    if "rigid_heddle" in said:
        columns["rigid_heddle"] = said["rigid_heddle"]
    if "dents" in said:
        columns["microdents_per_m"] = dents_for_table(said["dents"], sure)
        columns["said"] = said["dents"].said
    if "loom" in said:
        columns["loom"] = said["loom"]
    new = _change(stash, tables.reed, name, said, columns)
    return next(one for one in list_reeds(stash) if name_key(one.name) == name_key(new))


def remove_loom(stash: Stash, name: str) -> str:
    """Remove a loom no cloth uses and no reed belongs to; its name.

    Raises NotFound, ImpossibleValue with the name of what uses it.
    """
    with doing(stash, "loom remove", name.strip()) as deed:
        row = equipment_named(deed.connection, tables.loom, name)
        _refuse_in_use(deed.connection, tables.loom, row, "removed")
        own = select(tables.reed.c.name).where(tables.reed.c.loom_id == row["id"])
        reeds = [f"“{one}”" for one in deed.connection.execute(own).scalars()]
        if reeds:
            raise ImpossibleValue(
                f"the loom “{row['name']}”",
                "removed",
                f"{' and '.join(reeds)} {'belongs' if len(reeds) == 1 else 'belong'} to it",
                "Let that be for another loom, or remove it first: farspun reed remove NAME",
            )
        deed.connection.execute(delete(tables.loom).where(tables.loom.c.id == row["id"]))
        return str(row["name"])


def remove_reed(stash: Stash, name: str) -> str:
    """Remove a reed or rigid heddle no cloth uses; its name. Raises NotFound, ImpossibleValue."""
    with doing(stash, "reed remove", name.strip()) as deed:
        row = equipment_named(deed.connection, tables.reed, name)
        _refuse_in_use(deed.connection, tables.reed, row, "removed")
        deed.connection.execute(delete(tables.reed).where(tables.reed.c.id == row["id"]))
        return str(row["name"])


def _change(
    stash: Stash, table: Table, name: str, said: Mapping[str, Any], columns: dict[str, Any]
) -> str:
    """Change a row; its name afterwards."""
    if not said:
        raise WrongUse("Nothing to change was given.", "Give --name, or what is to be otherwise.")
    words = ", ".join(f"{key.replace('_', ' ')} {_value(value)}" for key, value in said.items())
    with doing(stash, f"{table.name} change", f"{name.strip()}: {words}") as deed:
        row = equipment_named(deed.connection, table, name)
        wanted = skein_name(said["name"]) if "name" in said else str(row["name"])
        if name_key(wanted) != row["name_key"]:
            refuse_taken(deed.connection, table, wanted)
        if "loom" in columns:
            on = columns.pop("loom")
            columns["loom_id"] = None if on is None else loom_named(deed.connection, on)["id"]
        if any(row[key] != value for key, value in columns.items() if key != "said"):
            _refuse_in_use(deed.connection, table, row, "changed")
        columns |= {"name": wanted, "name_key": name_key(wanted)}
        deed.connection.execute(update(table).where(table.c.id == row["id"]).values(**columns))
        return wanted


def _value(value: Any) -> str:
    """As she gave it; what is None is not known."""
    if value is None:
        return "not known"
    if isinstance(value, bool):
        return "yes" if value else "no"
    return str(getattr(value, "said", value))


def _refuse_in_use(connection: Connection, table: Table, row: RowMapping, done: str) -> None:
    """Raises ImpossibleValue with the names of the cloths that stand on it."""
    column = tables.cloth.c.loom_id if table is tables.loom else tables.cloth.c.reed_id
    own = select(tables.cloth.c.name, tables.cloth.c.status).where(
        column == row["id"], in_sight(tables.cloth)
    )
    cloths = connection.execute(own).all()
    if not cloths:
        return
    used = " and ".join(f"“{one.name}”" for one in cloths)
    planned = [one.name for one in cloths if one.status == "planned"]
    other = f"add the right {table.name} under a name of its own"
    hint = f"Its name can be changed. For other figures {other}."
    if planned:
        hint = (
            f"To put it right {other}, and change the cloth to it: farspun cloth change"
            f" {quote(planned[0])} --{table.name} NAME"
        )
    raise ImpossibleValue(
        f"the {table.name} “{row['name']}”",
        done,
        f"{used} {'uses' if len(cloths) == 1 else 'use'} it",
        hint,
    )
