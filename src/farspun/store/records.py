"""What was measured of woven cloths: rows to facts and back."""

from collections.abc import Collection, Mapping
from dataclasses import dataclass, fields
from typing import Any

from sqlalchemy import Connection, RowMapping, insert, select

from farspun.craft.woven import Told
from farspun.store.rows import among, stands
from farspun.store.tables import confirmed, record

UM_PER_CM = 10_000
MICRO_PER_M = 100_000_000  # millionths of a thread per metre, for each thread per cm
MG_PER_G = 1000
SAMPLE = "sample"
NOTHING = Told()
# field of Told: column and how many of its units
UNITS: dict[str, tuple[str, float]] = {
    "ends": ("ends", 1),
    "warp_cm": ("warp_um", UM_PER_CM),
    "thrums_cm": ("thrums_um", UM_PER_CM),
    "tape_cm": ("tape_um", UM_PER_CM),
    "picks_per_cm": ("picks_micro_per_m", MICRO_PER_M),
    "reed_cm": ("reed_um", UM_PER_CM),
    "off_width_cm": ("off_width_um", UM_PER_CM),
    "off_length_cm": ("off_length_um", UM_PER_CM),
    "washed_width_cm": ("washed_width_um", UM_PER_CM),
    "washed_length_cm": ("washed_length_um", UM_PER_CM),
    "mass_g": ("mass_mg", MG_PER_G),
}
WORDS = ("picks_state", "wash")


@dataclass(frozen=True, slots=True)
class Facts:
    """All that was told of a cloth, the latest word on each: of itself, and of its sample."""

    cloth: Told = NOTHING
    sample: Told = NOTHING


def add_record(
    connection: Connection, action_id: int, cloth_id: int, stage: str, said: str, told: Told
) -> None:
    """Write down what one command told."""
    row: dict[str, Any] = {word: getattr(told, word) for word in WORDS}
    for name, (column, unit) in UNITS.items():
        value = getattr(told, name)
        row[column] = None if value is None else round(value * unit)
    connection.execute(
        insert(record).values(action_id=action_id, cloth_id=cloth_id, stage=stage, said=said, **row)
    )


def facts(connection: Connection, cloth_ids: Collection[int] | None = None) -> dict[int, Facts]:
    """What was told of these cloths (None: all), by id; only those of which something was."""
    rows = connection.execute(
        select(record)
        .where(among(record.c.cloth_id, cloth_ids), stands(record))
        .order_by(record.c.id)
    ).mappings()
    found: dict[int, Facts] = {}
    for row in rows:
        before = found.get(row["cloth_id"], Facts())
        if row["stage"] == SAMPLE:
            now = Facts(before.cloth, before.sample.corrected(_told(row)))
        else:
            now = Facts(before.cloth.corrected(_told(row)), before.sample)
        found[row["cloth_id"]] = now
    return found


def _told(row: RowMapping) -> Told:
    values: dict[str, Any] = {word: row[word] for word in WORDS}
    for name, (column, unit) in UNITS.items():
        values[name] = None if row[column] is None else row[column] / unit
    if values["ends"] is not None:
        values["ends"] = int(values["ends"])
    return Told(**values)


def add_confirmed(connection: Connection, action_id: int, cloth_id: int, factor: str) -> None:
    """A record that lies far out is as it was."""
    connection.execute(
        insert(confirmed).values(action_id=action_id, cloth_id=cloth_id, factor=factor)
    )


def confirmed_factors(connection: Connection) -> Mapping[int, frozenset[str]]:
    """The factors confirmed of each cloth, by id."""
    rows = connection.execute(
        select(confirmed.c.cloth_id, confirmed.c.factor).where(stands(confirmed))
    )
    found: dict[int, set[str]] = {}
    for cloth_id, factor in rows:
        found.setdefault(cloth_id, set()).add(factor)
    return {cloth_id: frozenset(names) for cloth_id, names in found.items()}


def fields_told(told: Told) -> list[str]:
    """Names of what was told."""
    return [entry.name for entry in fields(told) if getattr(told, entry.name) is not None]
