"""Claims: yarn of a skein kept for a cloth."""

from collections.abc import Collection, Mapping

from sqlalchemy import Connection, delete, insert, select, update

from farspun.store.rows import among, in_sight
from farspun.store.tables import claim, cloth


def claims_on(
    connection: Connection, skein_ids: Collection[int] | None = None
) -> dict[int, list[tuple[int, int]]]:
    """(cloth id, mg) of every claim above 0, by skein (None: all), cloths in order."""
    rows = connection.execute(
        select(claim.c.skein_id, claim.c.cloth_id, claim.c.mass_mg)
        .where(among(claim.c.skein_id, skein_ids), claim.c.mass_mg > 0)
        .order_by(claim.c.cloth_id, claim.c.id)
    )
    claims: dict[int, list[tuple[int, int]]] = {}
    for skein_id, cloth_id, mass_mg in rows:
        claims.setdefault(skein_id, []).append((cloth_id, mass_mg))
    return claims


def cloth_names(connection: Connection) -> dict[int, str]:
    """Name of every cloth, by id."""
    return {
        row.id: row.name
        for row in connection.execute(select(cloth.c.id, cloth.c.name).where(in_sight(cloth)))
    }


def reduce_claims(connection: Connection, cloth_id: int, skein_id: int, mass_mg: int) -> int:
    """Take `mass_mg` off the cloth's claims on the skein, warp first, not below 0; how much."""
    rows = connection.execute(
        select(claim.c.id, claim.c.mass_mg)
        .where(claim.c.cloth_id == cloth_id, claim.c.skein_id == skein_id, claim.c.mass_mg > 0)
        .order_by(claim.c.side)
    ).all()
    left = mass_mg
    for claim_id, claimed_mg in rows:
        off = min(left, claimed_mg)
        connection.execute(
            update(claim).where(claim.c.id == claim_id).values(mass_mg=claimed_mg - off)
        )
        left -= off
    return mass_mg - left


def replace_all_claims(
    connection: Connection,
    action_id: int,
    cloth_ids: Collection[int],
    wanted: Mapping[tuple[int, int, str], int],
) -> None:
    """Let these cloths claim what is `wanted`, mg by cloth, skein and side, and nothing else.

    What is given up goes first and what is gained comes last, so that no claim is refused for yarn
    that another is about to let go.
    """
    rows = connection.execute(
        select(claim).where(among(claim.c.cloth_id, cloth_ids)).order_by(claim.c.id)
    ).all()
    there = {(row.cloth_id, row.skein_id, row.side): row for row in rows}
    moved = {key: wanted.get(key, 0) - row.mass_mg for key, row in there.items()}
    for key in sorted(moved, key=lambda key: moved[key]):
        own = claim.c.id == there[key].id
        if not wanted.get(key):
            connection.execute(delete(claim).where(own))
        elif moved[key]:
            connection.execute(update(claim).where(own).values(mass_mg=wanted[key]))
    for (cloth_id, skein_id, side), mass_mg in sorted(wanted.items()):
        if mass_mg > 0 and (cloth_id, skein_id, side) not in there:
            values = {"cloth_id": cloth_id, "skein_id": skein_id, "side": side}
            connection.execute(insert(claim).values(**values, mass_mg=mass_mg, action_id=action_id))
