"""The whole stash as columns, for questions that go through all of it."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray
from sqlalchemy import (
    ColumnElement,
    Connection,
    Integer,
    Select,
    String,
    case,
    cast,
    func,
    literal,
    select,
)

from farspun.craft.fibres import Draw, blend
from farspun.craft.readings import wrap_offset
from farspun.craft.yarn import Wrap
from farspun.store.rows import stands
from farspun.store.tables import claim, estimate, evidence, skein

DRAWS: tuple[Draw, ...] = ("woollen", "semi", "worsted")
WRAPS: tuple[Wrap | None, ...] = (None, "snug", "loose")
TUGS = (None, "holds", "drifts")
# bits of `flags`: one whole number a row is read far quicker than eight columns
BITS = {"tex_known": 1, "length_known": 1, "superwash": 1, "mill": 1, "draw": 2, "wrap": 2,
        "tug": 2, "plies": 7}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Shelf:
    """One row a skein that is open. `said`: fibre and colour note, by the place in their lists.

    `ln_length`, `sd_ln` of what is left (NaN where it is not known, or nothing is), `ln_whole` of
    all there ever was; `free` the share that no other cloth claims; `draw`, `wrap`, `tug` by their
    place above, `plies` 0 where not said.
    """

    ids: NDArray[np.int64]
    fibres: list[str]
    fibre: NDArray[np.int64]
    colours: list[str | None]
    colour: NDArray[np.int64]
    ln_length: NDArray[np.float64]
    ln_whole: NDArray[np.float64]
    sd_ln: NDArray[np.float64]
    free: NDArray[np.float64]
    tex: NDArray[np.float64]
    wraps_per_cm: NDArray[np.float64]
    fill: NDArray[np.float64]
    flags: dict[str, NDArray[np.int64]]


NUMBERS = ("ln_length", "now_ln_length", "now_sd_ln", "ln_tex", "ln_fill")
# columns that are read, in this order; what is null becomes NaN
READ = np.dtype(
    [
        ("id", np.int64),
        ("flags", np.int64),
        ("fibre", object),
        ("colour", object),
        *((name, np.float64) for name in NUMBERS),
    ]
)


def shelf(connection: Connection, cloth_id: int | None) -> Shelf:
    """Every open skein; the claims of `cloth_id` do not limit it."""
    columns = {"flags": _flags()} | {
        name: next(table.c[name] for table in (skein, estimate) if name in table.c)
        for name in READ.names or ()
        if name != "flags"
    }
    rows = _read(
        connection,
        select(*(columns[name] for name in READ.names or ()))
        .join_from(skein, estimate, skein.c.id == estimate.c.skein_id)
        .where(skein.c.status == "open")
        .order_by(skein.c.id),
    )
    ids = rows["id"].copy()
    flags = _unpacked(rows["flags"])
    fibres, fibre = _coded(rows["fibre"].tolist())
    colours, colour = _coded(rows["colour"].tolist())
    known = flags["tex_known"] == 1
    ln_tex = np.where(known, rows["ln_tex"], np.nan)
    density = np.array([blend(said).density_g_cm3 for said in fibres] or [1.0])
    return Shelf(
        ids=ids,
        fibres=fibres,
        fibre=fibre,
        colours=colours,
        colour=colour,
        ln_length=rows["now_ln_length"],
        ln_whole=rows["ln_length"],
        sd_ln=rows["now_sd_ln"],
        free=_free(connection, ids, cloth_id),
        tex=np.exp(ln_tex),
        wraps_per_cm=np.exp(wrap_offset(density)[fibre] - 0.5 * ln_tex + 0.5 * rows["ln_fill"]),
        fill=np.exp(rows["ln_fill"]),
        flags=flags,
    )


def _read(connection: Connection, query: Select[Any]) -> NDArray[Any]:
    """Rows straight from the database's own driver into an array, none of them kept besides."""
    result = connection.execute(query)
    assert result.cursor is not None
    rows = np.fromiter(iter(result.cursor.fetchone, None), dtype=READ)
    result.close()
    return rows


def _flags() -> ColumnElement[int]:
    """Whatever takes few values, packed into one whole number."""
    values: dict[str, ColumnElement[int]] = {
        "tex_known": case((estimate.c.tex_known, 1), else_=0),
        "length_known": case((estimate.c.length_known, 1), else_=0),
        "superwash": case((skein.c.superwash, 1), else_=0),
        "mill": case((skein.c.mill, 1), else_=0),
        "draw": _place(skein.c.draw, DRAWS),
        "wrap": _place(skein.c.wrap, WRAPS),
        "tug": _place(skein.c.tug, TUGS),
        "plies": func.coalesce(skein.c.plies, 0, type_=Integer),
    }
    packed: ColumnElement[int] = literal(0)
    shift = 0
    for name, bits in BITS.items():
        packed = packed + values[name] * (1 << shift)
        shift += bits
    return packed.label("flags")


def _place(column: ColumnElement[Any], words: Sequence[str | None]) -> ColumnElement[int]:
    """The place of a word among those it may be; 0 for null."""
    return case(
        *((column == word, at) for at, word in enumerate(words) if word is not None), else_=0
    )


def _unpacked(packed: NDArray[np.int64]) -> dict[str, NDArray[np.int64]]:
    found, shift = {}, 0
    for name, bits in BITS.items():
        found[name] = (packed >> shift) & ((1 << bits) - 1)
        shift += bits
    return found


def _coded(texts: Sequence[Any]) -> tuple[list[Any], NDArray[np.int64]]:
    """The different texts, and which of them each row has."""
    different = list(dict.fromkeys(texts))
    places = {text: at for at, text in enumerate(different)}
    return different, np.fromiter(map(places.__getitem__, texts), np.int64, count=len(texts))


def _free(
    connection: Connection, ids: NDArray[np.int64], cloth_id: int | None
) -> NDArray[np.float64]:
    """The share of each skein that other cloths do not claim; none where they claim more."""
    query = select(claim.c.skein_id, skein.c.balance_mg, func.sum(claim.c.mass_mg)).join_from(
        claim, skein, claim.c.skein_id == skein.c.id
    )
    if cloth_id is not None:
        query = query.where(claim.c.cloth_id != cloth_id)
    grouped = query.group_by(claim.c.skein_id, skein.c.balance_mg)
    rows = [row for row in connection.execute(grouped).fetchall() if row[1]]
    at, there = _found(ids, np.array([row[0] for row in rows], dtype=np.int64))
    left = np.array([max(0.0, 1 - float(claimed) / balance) for _, balance, claimed in rows])
    free = np.ones(len(ids))
    free[at] = left[there]
    return free


def wrapped(connection: Connection, ids: NDArray[np.int64]) -> NDArray[np.bool_]:
    """Which of the skeins (ids ascending) have a reading of wraps that counts."""
    return _with_reading(connection, ids, evidence.c.kind == "wrapped")


def unwashed(connection: Connection, ids: NDArray[np.int64]) -> NDArray[np.bool_]:
    """Which of the skeins (ids ascending) were counted before washing."""
    return _with_reading(connection, ids, evidence.c.state == "unwashed")


def _with_reading(
    connection: Connection, ids: NDArray[np.int64], such: ColumnElement[bool]
) -> NDArray[np.bool_]:
    said = func.aggregate_strings(cast(evidence.c.skein_id, String), ",")
    query = select(said).where(such, stands(evidence))  # one text is read far quicker than rows
    found = np.fromstring(connection.execute(query).scalar() or "", dtype=np.int64, sep=",")
    has = np.zeros(len(ids), dtype=bool)
    has[_found(ids, found)[0]] = True
    return has


def _found(
    ids: NDArray[np.int64], looked: NDArray[np.int64]
) -> tuple[NDArray[np.int64], NDArray[np.bool_]]:
    """Where those looked for that are among the sorted `ids` stand, and which they are."""
    if not len(ids):
        return np.zeros(0, dtype=np.int64), np.zeros(len(looked), dtype=bool)
    at = np.minimum(np.searchsorted(ids, looked), len(ids) - 1)
    there = ids[at] == looked
    return at[there], there
