"""Yarn that cloths used up, and where a scale said so."""

from collections.abc import Collection, Mapping
from dataclasses import dataclass, field

from sqlalchemy import Connection, select

from farspun.store.ledger import MG_PER_G
from farspun.store.rows import among, stands
from farspun.store.tables import entry


@dataclass(slots=True)
class Used:
    """What one cloth used of each skein, by the skein's id.

    `weighed`: the skeins of which the rest was weighed afterwards, so that the grams are the
    scale's and not worked out, with the action that did it last.
    """

    grams: dict[int, float] = field(default_factory=dict)
    weighed: dict[int, int] = field(default_factory=dict)


def yarn_used(
    connection: Connection, cloth_ids: Collection[int] | None = None
) -> Mapping[int, Used]:
    """What went into each of these cloths (None: all), by id; only those that used any."""
    rows = connection.execute(
        select(
            entry.c.cloth_id, entry.c.skein_id, entry.c.kind, entry.c.delta_mg, entry.c.action_id
        )
        .where(entry.c.cloth_id.is_not(None), among(entry.c.cloth_id, cloth_ids), stands(entry))
        .order_by(entry.c.id)
    )
    found: dict[int, Used] = {}
    for cloth_id, skein_id, kind, delta_mg, action_id in rows:
        used = found.setdefault(cloth_id, Used())
        used.grams[skein_id] = used.grams.get(skein_id, 0.0) - delta_mg / MG_PER_G
        if kind == "weighed":
            used.weighed[skein_id] = action_id
        else:
            used.weighed.pop(skein_id, None)  # what was taken since was only worked out
    return found
