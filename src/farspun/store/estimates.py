"""Estimates kept with the skeins: recomputed for the whole stash at once, changed rows written."""

import math
from collections.abc import Collection
from typing import Any

import numpy as np
from numpy.typing import NDArray
from sqlalchemy import Connection, bindparam, delete, insert, select

from farspun.craft.conflict import Conflict
from farspun.craft.evidence import Estimates, estimates
from farspun.craft.posterior import Effects
from farspun.craft.readings import (
    COUNTED,
    KINDS,
    LABELLED,
    NO_EFFECT,
    TEST_LENGTH,
    WEIGHED,
    WRAPPED,
    Floats,
    wrap_offset,
)
from farspun.craft.remaining import Remaining, lognormal, remaining
from farspun.store.ledger import MG_PER_G, Happened, happened
from farspun.store.readings import StashColumns, stash_columns
from farspun.store.shared import keep_shared
from farspun.store.tables import estimate, skein


def stash_estimates(
    connection: Connection, as_spun: Collection[int] = ()
) -> tuple[StashColumns, Estimates]:
    """What all readings say together, freshly worked out; `as_spun` skeins are woven unwashed."""
    columns = stash_columns(connection, as_spun)
    return columns, estimates(columns.skeins, columns.readings)


def estimate_rows(connection: Connection) -> list[dict[str, Any]]:
    """The rows of `estimate` as they ought to be."""
    columns, known = stash_estimates(connection)
    return rows_of_estimates(connection, columns, known)


def recompute(connection: Connection) -> None:
    """Bring every estimate, and what skeins share, up to date with the evidence and the ledger."""
    columns, known = stash_estimates(connection)
    rows = rows_of_estimates(connection, columns, known)
    stored = {row["skein_id"]: dict(row) for row in connection.execute(select(estimate)).mappings()}
    changed = [row for row in rows if stored.get(row["skein_id"]) != row]
    if changed:
        connection.execute(
            delete(estimate).where(estimate.c.skein_id == bindparam("gone")),
            [{"gone": row["skein_id"]} for row in changed],
        )
        connection.execute(insert(estimate), changed)
    keep_shared(connection, causes(columns, known), known.effect_cov)


def rows_of_estimates(
    connection: Connection, columns: StashColumns, known: Estimates
) -> list[dict[str, Any]]:
    """The rows of `estimate` that `known` makes."""
    balances = {
        row.id: row.balance_mg for row in connection.execute(select(skein.c.id, skein.c.balance_mg))
    }
    past = happened(connection, columns.skein_ids)
    pulls: dict[int, dict[str, float]] = {}
    for at, evidence_id, pull in zip(
        columns.readings.skein, columns.evidence_ids, known.pull, strict=True
    ):
        pulls.setdefault(int(at), {})[str(evidence_id)] = float(pull)
    tex_known = _tex_known(columns)
    wraps = wrap_offset(columns.skeins.density) - 0.5 * known.mean[:, 1] + 0.5 * known.mean[:, 2]
    effects_cov = Effects(known.effect_mean, known.effect_cov).of(known.effect)[1]
    rows = []
    for at, skein_id in enumerate(columns.skein_ids):
        row = _whole(skein_id, known, at)
        row["ln_wraps_per_cm"] = float(wraps[at])
        row["tex_known"] = bool(tex_known[at])
        row["pulls"] = pulls.get(at, {})
        row["conflict"] = _conflict(known.conflicts.get(at), columns)
        row |= _now(known, at, effects_cov[at], past.get(skein_id), balances[skein_id])
        rows.append(row)
    return rows


def _whole(skein_id: int, known: Estimates, at: int) -> dict[str, Any]:
    """The untouched skein."""
    mean, cov = known.mean[at].tolist(), known.cov[at].tolist()
    return {
        "skein_id": skein_id,
        "ln_length": mean[0],
        "ln_tex": mean[1],
        "ln_fill": mean[2],
        "var_length": cov[0][0],
        "cov_length_tex": cov[0][1],
        "cov_length_fill": cov[0][2],
        "var_tex": cov[1][1],
        "cov_tex_fill": cov[1][2],
        "var_fill": cov[2][2],
        "loads": [
            [known.effects[effect], *known.load[at, :, p].tolist()]
            for p, effect in enumerate(known.effect[at])
            if effect != NO_EFFECT
        ],
        "chi2": float(known.chi2[at]),
        "dof": int(known.dof[at]),
        "p": float(known.p[at]),
        "length_known": bool(known.length_known[at]),
    }


def _tex_known(columns: StashColumns) -> NDArray[np.bool_]:
    """Where something speaks of grist: mass and length together, or a reading of grist itself."""
    readings = columns.readings
    has = np.zeros((len(KINDS), len(columns.skein_ids)), dtype=bool)
    has[readings.kind, readings.skein] = True
    return np.asarray(
        (has[WEIGHED] & has[COUNTED]) | has[TEST_LENGTH] | has[WRAPPED] | has[LABELLED]
    )


def _conflict(conflict: Conflict | None, columns: StashColumns) -> dict[str, Any] | None:
    if conflict is None:
        return None
    return {
        "evidence": [columns.evidence_ids[at] for at in conflict.readings],
        "suspect": columns.evidence_ids[conflict.suspect],
        "ask": conflict.ask,
        "chance": conflict.chance,
    }


def _now(
    known: Estimates, at: int, effect_cov: Floats, past: Happened | None, balance_mg: int | None
) -> dict[str, Any]:
    """What is left: null where the length is not known or nothing is left."""
    if not known.length_known[at] or balance_mg == 0:
        return _left(None, None, known, at)
    mean, cov, load = known.mean[at], known.cov[at], known.load[at]
    if past is None:
        own = max(float(cov[0, 0] - load[0] @ effect_cov @ load[0]), 0.0)
        whole = Remaining(math.exp(mean[0]), math.sqrt(own), load[0], False)
        return _left(whole, math.sqrt(cov[0, 0]), known, at)
    before_g = past.before_mg / MG_PER_G
    left = remaining(mean, cov, load, effect_cov, past.events, balance_g=before_g)
    return _left(*lognormal(left, effect_cov), known, at)


def _left(left: Remaining | None, sd_ln: float | None, known: Estimates, at: int) -> dict[str, Any]:
    if left is None:
        return {
            "now_ln_length": None,
            "now_own_sd_ln": None,
            "now_sd_ln": None,
            "now_load": None,
            "forgotten_take": False,
        }
    return {
        "now_ln_length": math.log(left.length_m),
        "now_own_sd_ln": left.own_sd_ln,
        "now_sd_ln": sd_ln,
        "now_load": [
            [known.effects[effect], float(left.load[p])]
            for p, effect in enumerate(known.effect[at])
            if effect != NO_EFFECT
        ],
        "forgotten_take": left.forgotten_take,
    }


def causes(columns: StashColumns, known: Estimates) -> list[dict[str, object]]:
    """Rows of shared_cause: posterior mean and sd of each, and how many skeins speak of it."""
    skeins = np.bincount(known.effect[known.effect != NO_EFFECT], minlength=len(known.effects))
    sd = np.sqrt(np.diagonal(known.effect_cov))
    return [
        {"key": key, "position": at, "mean": float(known.effect_mean[at]), "sd": float(sd[at]),
         "skeins": int(skeins[at])}
        for at, key in enumerate(known.effects)
    ]  # fmt: skip
