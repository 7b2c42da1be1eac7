"""Looking a stash through: what must hold in it, and what does not.

Each examination says in plain words what is wrong and what to do. Nothing is changed here.
"""

import math
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any

import numpy as np
from sqlalchemy import (
    ColumnElement,
    Connection,
    Row,
    Table,
    create_engine,
    exists,
    func,
    select,
    text,
)
from sqlalchemy.exc import SQLAlchemyError

from farspun.craft.plan import STAGES, WARPED, WOVEN
from farspun.errors import FarspunError
from farspun.store import migrate, migrations, shared
from farspun.store.changes import CHANGING
from farspun.store.estimates import causes, rows_of_estimates, stash_estimates
from farspun.store.rows import in_sight, stands
from farspun.store.tables import (
    action,
    change,
    claim,
    cloth,
    cloth_yarn,
    entry,
    estimate,
    record,
    shared_cause,
    shared_covariance,
    skein,
)

MG_PER_G = 1000
CLOSE = 1e-9  # of an estimate, or as it stands below 1; judgement: other machines round otherwise
MOST_SAID = 5  # of one kind; judgement
PUT_BACK = "Put back the latest copy that is whole: farspun restore FILE."
MEND = "Rebuild them; no reading and no amount is touched: farspun doctor --mend."

AnyRow = Row[*tuple[Any, ...]]


@dataclass(frozen=True, slots=True)
class Finding:
    """What was found, and what to do; `serious` false is worth knowing, and not wrong."""

    code: str
    text: str
    do: str
    serious: bool = True


Examination = Callable[[Connection], Iterator[Finding]]


def examined(connection: Connection) -> list[Finding]:
    """Everything found, in the order of EXAMINATIONS; where one fails, that is a finding."""
    return [finding for examine in EXAMINATIONS for finding in _looked(examine, connection)]


def _looked(examine: Examination, connection: Connection) -> list[Finding]:
    found = []
    try:
        for finding in examine(connection):
            found.append(finding)
    except (
        SQLAlchemyError,
        FarspunError,
        ArithmeticError,
        LookupError,
        TypeError,
        ValueError,
    ) as e:
        what = (examine.__doc__ or "").split(".")[0].lower()
        why = " ".join(str(getattr(e, "orig", e)).split())
        found.append(Finding("unreadable", f"It cannot be seen whether {what} ({why}).", PUT_BACK))
    return found


def file_is_whole(connection: Connection) -> Iterator[Finding]:
    """The file is whole, and every row belongs to something."""
    if connection.dialect.name != "sqlite":
        return
    for said in connection.execute(text(f"PRAGMA integrity_check({MOST_SAID})")).scalars():
        if said != "ok":
            yield Finding("integrity", f"The file is damaged: {' '.join(said.split())}.", PUT_BACK)
    astray = connection.execute(text("PRAGMA foreign_key_check")).all()
    for row in astray[:MOST_SAID]:
        line = f"Row {row[1]} of the table “{row[0]}” belongs to nothing in “{row[2]}”."
        yield Finding("orphan", line, PUT_BACK)


def schema_is_ours(connection: Connection) -> Iterator[Finding]:
    """Tables, indexes and the triggers that keep the ledger are as farspun makes them."""
    steps = list(connection.execute(text("SELECT number FROM schema_step ORDER BY 1")).scalars())
    if steps != list(range(1, migrations.NEWEST + 1)):
        said = ", ".join(map(str, steps))
        line = f"The steps of its schema are {said}, and should be 1 to {migrations.NEWEST}."
        yield Finding("schema", line, PUT_BACK)
    if connection.dialect.name != "sqlite":
        return
    made, ideal = _schema(connection), _ideal_schema()
    for kind, name in sorted({*made, *ideal}):
        if (kind, name) not in made:
            yield Finding("schema", f"The {kind} “{name}” is missing.", PUT_BACK)
        elif (kind, name) not in ideal:
            line = f"The {kind} “{name}” is none of farspun's."
            do = "Another program made it: ask that program what it is for."
            yield Finding("schema", line, do, serious=kind == "trigger")
        elif made[kind, name] != ideal[kind, name]:
            yield Finding("schema", f"The {kind} “{name}” is not as farspun makes it.", PUT_BACK)


def ledger_adds_up(connection: Connection) -> Iterator[Finding]:
    """The ledger of every skein adds up to its balance."""
    standing = select(entry.c.skein_id).where(stands(entry))
    sums = (
        select(entry.c.skein_id, func.sum(entry.c.delta_mg).label("total"))
        .group_by(entry.c.skein_id)
        .subquery()
    )
    rows = connection.execute(
        select(skein.c.id, skein.c.name, skein.c.balance_mg, sums.c.total)
        .join_from(skein, sums, skein.c.id == sums.c.skein_id, isouter=True)
        .order_by(skein.c.id)
    ).all()
    known = set(connection.execute(standing).scalars())
    for row in rows:
        total = row.total if row.id in known else None
        if row.balance_mg != total:
            yield Finding(
                "ledger",
                f"“{row.name}” is said to hold {_grams(row.balance_mg)},"
                f" and its ledger adds up to {_grams(total)}.",
                PUT_BACK,
            )


def claims_are_covered(connection: Connection) -> Iterator[Finding]:
    """No more is claimed of a skein than there is."""
    claimed = (
        select(claim.c.skein_id, func.sum(claim.c.mass_mg).label("total"))
        .group_by(claim.c.skein_id)
        .subquery()
    )
    over = connection.execute(
        select(skein.c.name, skein.c.balance_mg, claimed.c.total)
        .join_from(skein, claimed, skein.c.id == claimed.c.skein_id)
        .where(claimed.c.total > func.coalesce(skein.c.balance_mg, 0))
        .order_by(skein.c.id)
    ).all()
    for row in over:
        yield Finding(
            "overclaimed",
            f"Cloths claim {_grams(row.total)} of “{row.name}”, which holds"
            f" {_grams(row.balance_mg)}.",
            "See which: farspun cloth check. Then claim again what is there: farspun cloth claim.",
            serious=False,
        )
    idle = connection.execute(
        select(cloth.c.name)
        .distinct()
        .join_from(claim, cloth, claim.c.cloth_id == cloth.c.id)
        .where(claim.c.mass_mg > 0)
        .where((cloth.c.status == "given-up") | cloth.c.undone)
    ).scalars()
    for name in idle:
        yield Finding("claim", f"“{name}” was given up and still claims yarn.", PUT_BACK)
    needless = connection.execute(
        select(cloth.c.name, claim.c.side)
        .distinct()
        .join_from(claim, cloth, claim.c.cloth_id == cloth.c.id)
        .where(claim.c.mass_mg > 0, in_sight(cloth))
        .where(cloth.c.status.in_(WOVEN) | (cloth.c.status.in_(WARPED) & (claim.c.side == "warp")))
    )
    for name, side in needless:
        yield Finding("claim", f"The {side} of “{name}” is there and still claims yarn.", PUT_BACK)


def lives_are_told(connection: Connection) -> Iterator[Finding]:
    """What is told of woven cloths fits how far they are."""
    told: dict[int, list[str]] = {}
    for cloth_id, stage in connection.execute(
        select(record.c.cloth_id, record.c.stage).where(stands(record)).order_by(record.c.id)
    ):
        if stage in STAGES:
            told.setdefault(cloth_id, []).append(stage)
    for row in connection.execute(select(cloth).where(in_sight(cloth)).order_by(cloth.c.id)):
        stages = told.get(row.id, [])
        if stages != sorted(stages, key=STAGES.index):
            yield Finding("life", f"What is told of “{row.name}” is out of order.", PUT_BACK)
        elif row.status == "given-up":
            continue
        elif (stages[-1] if stages else "planned") != row.status:
            line = f"“{row.name}” is said to be {row.status.replace('-', ' ')}, and was told to be"
            last = stages[-1].replace("-", " ") if stages else "only planned"
            yield Finding("life", f"{line} {last}.", PUT_BACK)
        elif stages and (row.ends is None or row.warp_cut_um is None):
            line = f"“{row.name}” has a warp, and nobody knows how many ends or how long."
            yield Finding("life", line, PUT_BACK)


def rows_belong(connection: Connection) -> Iterator[Finding]:
    """Every row belongs to something that is there."""
    for table, row_id in connection.execute(select(change.c.table_name, change.c.row_id)):
        if table not in CHANGING:
            line = f"What row {row_id} of “{table}” was before is kept, and there is no such table."
            yield Finding("orphan", line, PUT_BACK)
    for name in _named(connection, skein, ~_has(estimate, estimate.c.skein_id == skein.c.id)):
        yield Finding("orphan", f"“{name}” has no estimate.", MEND)
    for side in ("warp", "weft"):
        yarn = (cloth_yarn.c.cloth_id == cloth.c.id) & (cloth_yarn.c.side == side)
        for name in _named(connection, cloth, in_sight(cloth) & ~_has(cloth_yarn, yarn)):
            yield Finding("orphan", f"The cloth “{name}” has no {side}.", PUT_BACK)
    early = select(func.count()).select_from(action).where(action.c.undoes >= action.c.id)
    if connection.execute(early).scalar_one():
        yield Finding("orphan", "A command took back one that came after it.", PUT_BACK)


def _has(table: Table, where: ColumnElement[bool]) -> ColumnElement[bool]:
    return exists().where(where).select_from(table)


def _named(connection: Connection, table: Table, where: ColumnElement[bool]) -> list[str]:
    return list(connection.execute(select(table.c.name).where(where)).scalars())


def estimates_are_fresh(connection: Connection) -> Iterator[Finding]:
    """What is told of the skeins is what their readings say now."""
    columns, known = stash_estimates(connection)
    fresh = {row["skein_id"]: row for row in rows_of_estimates(connection, columns, known)}
    stored = {row["skein_id"]: dict(row) for row in connection.execute(select(estimate)).mappings()}
    names = {row.id: row.name for row in connection.execute(select(skein.c.id, skein.c.name))}
    stale = [
        f"“{names.get(one, one)}”"
        for one in sorted({*fresh, *stored})
        if not _alike(fresh.get(one), stored.get(one))
    ]
    if stale:
        more = f" and {len(stale) - MOST_SAID} more" if len(stale) > MOST_SAID else ""
        line = (
            f"The estimates of {', '.join(stale[:MOST_SAID])}{more} are not what the readings say."
        )
        yield Finding("estimates", line, MEND)
    causes_now = {str(row["key"]): row for row in causes(columns, known)}
    kept = connection.execute(select(shared_cause)).mappings()
    causes_kept = {row["key"]: dict(row) for row in kept}
    if not _alike(causes_now, causes_kept) or not _same_covariance(connection, known.effect_cov):
        yield Finding("shared", "What skeins share is not what the readings say.", MEND)


EXAMINATIONS: tuple[Examination, ...] = (
    file_is_whole,
    schema_is_ours,
    ledger_adds_up,
    claims_are_covered,
    lives_are_told,
    rows_belong,
    estimates_are_fresh,
)


def _same_covariance(connection: Connection, fresh: Any) -> bool:
    kept = connection.execute(
        select(shared_covariance.c.size, shared_covariance.c.cov)
    ).one_or_none()
    if kept is None:
        return len(fresh) == 0
    stored = np.frombuffer(kept.cov, dtype=shared.STORED)
    return stored.size == np.size(fresh) and bool(
        np.allclose(stored, np.ravel(fresh), rtol=CLOSE, atol=CLOSE)
    )


def _alike(one: Any, other: Any) -> bool:
    """The same, numbers as close as CLOSE."""
    if isinstance(one, Mapping) and isinstance(other, Mapping):
        return one.keys() == other.keys() and all(_alike(one[key], other[key]) for key in one)
    if isinstance(one, list) and isinstance(other, list):
        return len(one) == len(other) and all(map(_alike, one, other))
    if isinstance(one, float) and isinstance(other, float | int):
        both_nan = math.isnan(one) and math.isnan(other)
        return both_nan or math.isclose(one, other, rel_tol=CLOSE, abs_tol=CLOSE)
    return bool(one == other)


def _grams(mass_mg: int | None) -> str:
    return "an amount nobody knows" if mass_mg is None else f"{mass_mg / MG_PER_G:g} g"


def _schema(connection: Connection) -> dict[tuple[str, str], str]:
    rows = connection.execute(
        text("SELECT type, name, sql FROM sqlite_master WHERE sql IS NOT NULL")
    )
    return {(kind, name): " ".join(sql.split()) for kind, name, sql in rows}


@cache
def _ideal_schema() -> Mapping[tuple[str, str], str]:
    """That of a stash made just now, in memory."""
    engine = create_engine("sqlite://")
    migrate.bring_up(engine)
    with engine.connect() as connection:
        found = _schema(connection)
    engine.dispose()
    return found
