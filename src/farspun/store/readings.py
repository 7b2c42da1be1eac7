"""Skeins and their evidence, from rows to the columns that farspun.craft.evidence works on."""

from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass
from functools import cache
from typing import Any, Literal, cast

import numpy as np
from sqlalchemy import Connection, Row, select

from farspun.craft.fibres import Blend, blend
from farspun.craft.readings import (
    KINDS,
    RELAXED,
    SPINNER_CV,
    STATES,
    Floats,
    ReadingColumns,
    SkeinColumns,
)
from farspun.craft.yarn import wrap_packing
from farspun.store.ledger import MG_PER_G, MM_PER_M, UG_PER_G
from farspun.store.rows import stands
from farspun.store.tables import evidence, skein
from farspun.units import name_key

AnyRow = Row[*tuple[Any, ...]]

MILLITEX_PER_TEX = 1000
WRAPS_PER_100M = 10_000  # for each wrap per cm


@dataclass(frozen=True, slots=True)
class StashColumns:
    """All skeins and all readings that stand; `skein_ids`, `evidence_ids` by position."""

    skein_ids: list[int]
    evidence_ids: list[int]
    skeins: SkeinColumns
    readings: ReadingColumns


def stash_columns(connection: Connection, as_spun: Collection[int] = ()) -> StashColumns:
    """Everything ever measured, in the order of ids; `as_spun` skeins are woven unwashed."""
    described = connection.execute(
        select(
            skein.c.id,
            skein.c.fibre,
            skein.c.draw,
            skein.c.mill,
            skein.c.superwash,
            skein.c.wrap,
        ).order_by(skein.c.id)
    ).all()
    read = connection.execute(
        select(evidence).where(stands(evidence)).order_by(evidence.c.id)
    ).all()
    ids = [row.id for row in described]
    return StashColumns(
        skein_ids=ids,
        evidence_ids=[row.id for row in read],
        skeins=_skein_columns(described, set(as_spun)),
        readings=_reading_columns(read, {skein_id: at for at, skein_id in enumerate(ids)}),
    )


def _skein_columns(rows: Sequence[AnyRow], as_spun: set[int]) -> SkeinColumns:
    known = cache(blend)
    blends = [known(row.fibre) for row in rows]
    packings = [
        wrap_packing(fibre.family, cast(Literal["snug", "loose"] | None, row.wrap), row.mill)
        for row, fibre in zip(rows, blends, strict=True)
    ]
    return SkeinColumns(
        elastic=np.array(
            [f.elastic and not row.superwash for f, row in zip(blends, rows, strict=True)],
            dtype=bool,
        ),
        density=_floats([fibre.density_g_cm3 for fibre in blends]),
        fill=_floats([packing.median for packing in packings]),
        fill_log_sd=_floats([packing.log_sd for packing in packings]),
        lot=_words([_lot(f, row) for f, row in zip(blends, rows, strict=True)]),
        wrap_style=_words(
            [f"{f.main}/{row.wrap or 'not said'}" for f, row in zip(blends, rows, strict=True)]
        ),
        unevenness=np.full(len(rows), SPINNER_CV),
        as_spun=np.array([row.id in as_spun for row in rows], dtype=bool),
    )


def _lot(fibre: Blend, row: AnyRow) -> str:
    """What relaxes alike: main fibre, superwash or not, draw, mill or hand (state is added)."""
    main = f"superwash {fibre.main}" if row.superwash else fibre.main
    return f"{main}/{row.draw}/{'mill' if row.mill else 'handspun'}"


def _reading_columns(rows: Sequence[AnyRow], place: dict[int, int]) -> ReadingColumns:
    def measured(per_unit: float, of: Callable[[AnyRow], int | None]) -> Floats:
        return _floats([np.nan if of(row) is None else of(row) for row in rows]) / per_unit

    return ReadingColumns(
        skein=np.array([place[row.skein_id] for row in rows], dtype=np.int64),
        kind=np.array([KINDS.index(row.kind) for row in rows], dtype=np.int64),
        mass_g=measured(MG_PER_G, lambda row: row.mass_mg),
        step_g=measured(UG_PER_G, lambda row: row.step_ug),
        length_m=measured(MM_PER_M, lambda row: row.length_mm),
        wraps_per_cm=measured(WRAPS_PER_100M, lambda row: row.wraps_per_100m),
        tex=measured(MILLITEX_PER_TEX, lambda row: row.millitex),
        state=np.array(
            [STATES.index(row.state) if row.state else RELAXED for row in rows], dtype=np.int64
        ),
        tool=_words([name_key(row.tool) if row.tool else "" for row in rows]),
    )


def _floats(values: Sequence[float | None]) -> Floats:
    return np.array(values, dtype=np.float64)


def _words(values: Sequence[str]) -> "np.ndarray[Any, np.dtype[np.str_]]":
    return np.array(values, dtype=np.str_)
