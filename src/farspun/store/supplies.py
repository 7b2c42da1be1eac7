"""What a skein can give to a cloth now: its estimate, its balance, and who claims it."""

import math
from collections.abc import Collection, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from sqlalchemy import Connection, select

from farspun.craft.readings import Floats
from farspun.store.ledger import touched_skeins
from farspun.store.shared import shared_block
from farspun.store.tables import claim, cloth, estimate, skein

__all__ = ["Supply", "shared_block", "supplies"]

LIVE_CLAIMS = ("planned", "wound", "on-loom")  # later the yarn is in the cloth, or let go


@dataclass(frozen=True, slots=True)
class Supply:
    """One skein as a cloth sees it.

    `known` false: no reading speaks of its length. `ln_length` median of what is left now (-inf
    where nothing is), `own_sd_ln` its own doubt, `load` how much of each shared cause it carries
    (ln length per unit; covariance by `shared_block`). `mean3`, `cov3`: (ln L, ln T, ln φ) of the
    whole, untouched skein, shared doubt included; `load3` the same on each shared cause. `claims`
    lists (cloth id, mg); `balance_mg` None until weighed or computable.
    """

    skein_id: int
    name: str
    known: bool
    ln_length: float
    own_sd_ln: float
    load: dict[str, float]
    balance_mg: int | None
    claims: list[tuple[int, int]]
    mean3: Floats
    cov3: Floats
    load3: dict[str, tuple[float, float, float]]
    tex: float
    tex_known: bool
    wraps_per_cm: float
    fill: float
    blend: str
    wrap: str | None
    draw: str
    plies: int | None
    mill: bool
    superwash: bool
    rebuy_mg: int | None
    taken: bool
    closed: bool


def supplies(connection: Connection, skein_ids: Collection[int]) -> dict[int, Supply]:
    """Every skein asked for, by id. Raises KeyError for an id that is not a skein's."""
    if not skein_ids:
        return {}
    rows = connection.execute(
        select(skein, estimate)
        .join_from(skein, estimate, skein.c.id == estimate.c.skein_id)
        .where(skein.c.id.in_(skein_ids))
    ).mappings()
    claims = claims_on(connection, skein_ids)
    taken = touched_skeins(connection, skein_ids)
    found = {row["id"]: _supply(row, claims.get(row["id"], []), row["id"] in taken) for row in rows}
    return {number: found[number] for number in skein_ids}


def claims_on(
    connection: Connection, skein_ids: Collection[int]
) -> dict[int, list[tuple[int, int]]]:
    """(cloth id, mg) of every claim that still stands, by skein, cloths in the order planned."""
    rows = connection.execute(
        select(claim.c.skein_id, claim.c.cloth_id, claim.c.mass_mg)
        .join(cloth, cloth.c.id == claim.c.cloth_id)
        .where(claim.c.skein_id.in_(skein_ids), cloth.c.status.in_(LIVE_CLAIMS))
        .where(claim.c.mass_mg > 0)
        .order_by(claim.c.cloth_id, claim.c.id)
    )
    claims: dict[int, list[tuple[int, int]]] = {}
    for skein_id, cloth_id, mass_mg in rows:
        claims.setdefault(skein_id, []).append((cloth_id, mass_mg))
    return claims
