"""Claims: yarn of a skein kept for a cloth."""

from collections.abc import Collection

from sqlalchemy import Connection, select, update

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
