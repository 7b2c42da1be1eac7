"""Balls weighed at the loom: rows to what was seen, and back."""

from dataclasses import dataclass

from sqlalchemy import Connection, insert, select

from farspun.store.ledger import MG_PER_G, UG_PER_G
from farspun.store.records import UM_PER_CM
from farspun.store.rows import stands
from farspun.store.tables import action, weighing


@dataclass(frozen=True, slots=True)
class WeighedBall:
    """One ball: so much of it when so much tape was woven; `at`: when it was told."""

    action_id: int
    at: str
    skein_id: int
    woven_cm: float
    mass_g: float
    step_g: float
    said: str


def add_weighing(
    connection: Connection,
    action_id: int,
    cloth_id: int,
    skein_id: int,
    woven_cm: float,
    mass_g: float,
    step_g: float,
    said: str,
) -> None:
    """Write one down."""
    connection.execute(
        insert(weighing).values(
            action_id=action_id,
            cloth_id=cloth_id,
            skein_id=skein_id,
            woven_um=round(woven_cm * UM_PER_CM),
            mass_mg=round(mass_g * MG_PER_G),
            step_ug=max(1, round(step_g * UG_PER_G)),
            said=said,
        )
    )


def weighed_balls(connection: Connection, cloth_id: int) -> list[WeighedBall]:
    """Every ball weighed for a cloth, in the order it was told; what was taken back is not."""
    rows = connection.execute(
        select(weighing, action.c.at)
        .join_from(weighing, action, weighing.c.action_id == action.c.id)
        .where(weighing.c.cloth_id == cloth_id, stands(weighing))
        .order_by(weighing.c.id)
    ).mappings()
    return [
        WeighedBall(
            action_id=row["action_id"],
            at=row["at"],
            skein_id=row["skein_id"],
            woven_cm=row["woven_um"] / UM_PER_CM,
            mass_g=row["mass_mg"] / MG_PER_G,
            step_g=row["step_ug"] / UG_PER_G,
            said=row["said"],
        )
        for row in rows
    ]
