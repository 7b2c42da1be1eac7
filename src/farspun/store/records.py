"""What was measured of woven cloths: rows to facts and back."""

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, field
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
    "spare_cm": ("spare_um", UM_PER_CM),
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
    """All that was told of a cloth, the latest word on each: of itself, and of its sample.

    `cloth_at`, `sample_at`: the action that said each last, by the name in Told.
    """

    cloth: Told = NOTHING
    sample: Told = NOTHING
    cloth_at: Mapping[str, int] = field(default_factory=dict)
    sample_at: Mapping[str, int] = field(default_factory=dict)

    def then(self, row: RowMapping) -> "Facts":
        """With what one more command told."""
        told = told_in(row)
        at = dict.fromkeys(told.names, int(row["action_id"]))
        if row["stage"] == SAMPLE:
            sample = self.sample.corrected(told)
            return Facts(self.cloth, sample, self.cloth_at, {**self.sample_at, **at})
        cloth = self.cloth.corrected(told)
        return Facts(cloth, self.sample, {**self.cloth_at, **at}, self.sample_at)


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
    )
    return facts_in(rows.mappings())


def told_rows(connection: Connection, cloth_id: int) -> list[RowMapping]:
    """The rows of what was told of a cloth and its sample, oldest first, with how it was said."""
    rows = connection.execute(
        select(record).where(record.c.cloth_id == cloth_id, stands(record)).order_by(record.c.id)
    )
    return list(rows.mappings())


def facts_in(rows: Iterable[RowMapping]) -> dict[int, Facts]:
    """What rows of `record`, in the order they were written, say of each cloth."""
    found: dict[int, Facts] = {}
    for row in rows:
        found[row["cloth_id"]] = found.get(row["cloth_id"], Facts()).then(row)
    return found


def told_in(row: Mapping[Any, Any]) -> Told:
    """What one row says."""
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


def confirmed_factors(connection: Connection) -> Mapping[int, Mapping[str, int]]:
    """The factors confirmed of each cloth, by id, with the action that did so last."""
    rows = connection.execute(
        select(confirmed.c.cloth_id, confirmed.c.factor, confirmed.c.action_id)
        .where(stands(confirmed))
        .order_by(confirmed.c.id)
    )
    found: dict[int, dict[str, int]] = {}
    for cloth_id, factor, action_id in rows:
        found.setdefault(cloth_id, {})[factor] = action_id
    return found
