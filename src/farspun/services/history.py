"""What happened to a skein, and when: every reading and every line of its ledger."""

from dataclasses import dataclass

from sqlalchemy import Connection, select

from farspun.store.claims import cloth_names
from farspun.store.engine import Stash, reading
from farspun.store.rows import among, stands
from farspun.store.skeins import skein_named
from farspun.store.tables import action, entry, evidence, struck

MG_PER_G = 1000


@dataclass(frozen=True, slots=True)
class Line:
    """One thing that happened: `change_g` to the balance, `balance_g` after it (None: unknown)."""

    at: str
    what: str
    said: str
    change_g: float | None
    balance_g: float | None
    cloth: str | None = None
    undone: bool = False
    struck: bool = False


def history(stash: Stash, name: str) -> list[Line]:
    """Everything that happened to a skein, oldest first. Raises NotFound."""
    with reading(stash) as connection:
        return lines_of(connection, skein_named(connection, name)["id"])


def lines_of(connection: Connection, skein_id: int) -> list[Line]:
    """As `history`, in a transaction that is open."""
    undone = set(
        connection.execute(select(action.c.undoes).where(action.c.undoes.is_not(None))).scalars()
    )
    readings = connection.execute(select(evidence).where(evidence.c.skein_id == skein_id)).all()
    entries = connection.execute(select(entry).where(entry.c.skein_id == skein_id)).all()
    own = {row.action_id for row in (*readings, *entries)}
    when = {
        row.id: row.at
        for row in connection.execute(
            select(action.c.id, action.c.at).where(among(action.c.id, own))
        )
    }
    slips = set(connection.execute(select(struck.c.evidence_id).where(stands(struck))).scalars())
    names = cloth_names(connection)
    happened = sorted(
        [((row.action_id, 0, row.id), row) for row in readings]
        + [((row.action_id, 1, row.id), row) for row in entries],
        key=lambda pair: pair[0],
    )
    lines, balance_mg = [], None
    for (action_id, is_entry, _), row in happened:
        change_mg = row.delta_mg if is_entry else None
        if change_mg is not None:
            balance_mg = (balance_mg or 0) + change_mg
        lines.append(
            Line(
                at=when[action_id],
                what=row.kind,
                said=row.said,
                change_g=None if change_mg is None else change_mg / MG_PER_G,
                balance_g=None if balance_mg is None else balance_mg / MG_PER_G,
                cloth=names.get(row.cloth_id) if is_entry and row.cloth_id else None,
                undone=action_id in undone,
                struck=not is_entry and row.id in slips,
            )
        )
    return lines
