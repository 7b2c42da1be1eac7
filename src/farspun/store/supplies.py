"""What a skein can give to a cloth now: its estimate, its balance, and who claims it."""

import math
from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from sqlalchemy import Connection, RowMapping, select

from farspun.craft.readings import Floats
from farspun.store.claims import claims_on
from farspun.store.estimates import rows_of_estimates, stash_estimates
from farspun.store.ledger import taken_for_cloths, touched_skeins
from farspun.store.rows import among
from farspun.store.shared import shared_block
from farspun.store.tables import estimate, skein

__all__ = ["Supply", "shared_block", "supplies"]


@dataclass(frozen=True, slots=True)
class Supply:
    """One skein as a cloth sees it.

    `known` false: no reading speaks of its length. `ln_length` median of what is left now (-inf
    where nothing is), `own_sd_ln` its own doubt, `load` how much of each shared cause it carries
    (ln length per unit; covariance by `shared_block`). `mean3`, `cov3`: (ln L, ln T, ln φ) of the
    whole, untouched skein, shared doubt included; `load3` the same on each shared cause. `claims`
    lists (cloth id, mg), `in_hand` (cloth id, g, m where said) what was taken for a cloth;
    `balance_mg` None until weighed or computable.
    """

    skein_id: int
    name: str
    known: bool
    ln_length: float
    own_sd_ln: float
    load: dict[str, float]
    balance_mg: int | None
    claims: list[tuple[int, int]]
    in_hand: list[tuple[int, float, float | None]]
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
    conflict: dict[str, Any] | None
    forgotten_take: bool


def supplies(connection: Connection, skein_ids: Collection[int]) -> dict[int, Supply]:
    """Every skein asked for, by id. Raises KeyError for an id that is not a skein's."""
    if not skein_ids:
        return {}
    rows = connection.execute(
        select(skein, estimate)
        .join_from(skein, estimate, skein.c.id == estimate.c.skein_id)
        .where(among(skein.c.id, skein_ids))
    ).mappings()
    claims = claims_on(connection, skein_ids)
    taken = touched_skeins(connection, skein_ids)
    in_hand = taken_for_cloths(connection, skein_ids)
    found = {
        row["id"]: _supply(
            row, claims.get(row["id"], []), in_hand.get(row["id"], []), row["id"] in taken
        )
        for row in rows
    }
    return {skein_id: found[skein_id] for skein_id in skein_ids}


def as_spun_supplies(
    connection: Connection, skein_ids: Collection[int], as_spun: Collection[int]
) -> tuple[dict[int, Supply], Callable[[Sequence[str]], Floats]]:
    """As `supplies`, with the skeins `as_spun` woven unwashed: a count made unwashed is as it is.

    What is shared changes with it, so the covariance of the shared causes comes along, in place
    of `shared_block`.
    """
    columns, known = stash_estimates(connection, as_spun)
    fresh = {row["skein_id"]: row for row in rows_of_estimates(connection, columns, known)}
    found = {
        one: replace(supply, **_estimated(fresh[one], supply.balance_mg))
        for one, supply in supplies(connection, skein_ids).items()
    }
    position = {key: at for at, key in enumerate(known.effects)}

    def block(keys: Sequence[str]) -> Floats:
        at = [position[key] for key in keys]
        return np.asarray(known.effect_cov[np.ix_(at, at)])

    return found, block


def _estimated(row: Mapping[Any, Any], balance_mg: int | None) -> dict[str, Any]:
    """What a row of `estimate` says."""
    whole = -math.inf if balance_mg == 0 else row["ln_length"]
    return {
        "known": row["length_known"],
        "ln_length": whole if row["now_ln_length"] is None else row["now_ln_length"],
        "own_sd_ln": row["now_own_sd_ln"] or 0.0,
        "load": dict(row["now_load"] or ()),
        "mean3": np.array([row["ln_length"], row["ln_tex"], row["ln_fill"]]),
        "cov3": _covariance(row),
        "load3": {key: tuple(loads) for key, *loads in row["loads"]},
        "tex": math.exp(row["ln_tex"]),
        "tex_known": row["tex_known"],
        "wraps_per_cm": math.exp(row["ln_wraps_per_cm"]),
        "fill": math.exp(row["ln_fill"]),
        "conflict": row["conflict"],
        "forgotten_take": row["forgotten_take"],
    }


def _supply(
    row: RowMapping,
    claims: list[tuple[int, int]],
    in_hand: list[tuple[int, float, float | None]],
    taken: bool,
) -> Supply:
    return Supply(
        skein_id=row["id"],
        name=row["name"],
        balance_mg=row["balance_mg"],
        claims=claims,
        in_hand=in_hand,
        blend=row["fibre"],
        wrap=row["wrap"],
        draw=row["draw"],
        plies=row["plies"],
        mill=row["mill"],
        superwash=row["superwash"],
        rebuy_mg=row["rebuy_mg"],
        taken=taken,
        closed=row["status"] == "closed",
        **_estimated(row, row["balance_mg"]),
    )


def _covariance(row: Mapping[Any, Any]) -> Floats:
    ll, lt, lf = row["var_length"], row["cov_length_tex"], row["cov_length_fill"]
    tt, tf, ff = row["var_tex"], row["cov_tex_fill"], row["var_fill"]
    return np.array([[ll, lt, lf], [lt, tt, tf], [lf, tf, ff]])
