"""Yarn that cloths used up, as far as a scale said so."""

from collections.abc import Collection, Mapping
from dataclasses import dataclass, field

from sqlalchemy import Connection, select

from farspun.store.ledger import MG_PER_G
from farspun.store.rows import among, stands
from farspun.store.tables import entry


@dataclass(slots=True)
class Used:
    """Of one cloth: grams by skein, and which skeins' grams are weighed, not worked out."""

    grams: dict[int, float] = field(default_factory=dict)
    weighed: set[int] = field(default_factory=set)
    worked_out: set[int] = field(default_factory=set)


def yarn_used(connection: Connection, cloth_ids: Collection[int]) -> Mapping[int, Used]:
    """What went into each of these cloths, by id.

    A skein is weighed where it was put on the scale after the cloth, or every piece taken from it
    was said as a mass.
    """
    rows = connection.execute(
        select(
            entry.c.cloth_id, entry.c.skein_id, entry.c.kind, entry.c.delta_mg, entry.c.length_mm
        )
        .where(among(entry.c.cloth_id, cloth_ids), stands(entry))
        .order_by(entry.c.id)
    )
    found: dict[int, Used] = {}
    for cloth_id, skein_id, kind, delta_mg, length_mm in rows:
        used = found.setdefault(cloth_id, Used())
        used.grams[skein_id] = used.grams.get(skein_id, 0.0) - delta_mg / MG_PER_G
        if kind == "weighed" or length_mm is None:
            used.weighed.add(skein_id)
        else:
            used.worked_out.add(skein_id)
        if kind == "weighed":
            used.worked_out.discard(skein_id)
    for used in found.values():
        used.weighed -= used.worked_out
    return found
