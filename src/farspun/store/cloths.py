"""Cloths, their yarns, assumptions and claims: rows to plans and back."""

from collections.abc import Collection, Iterable, Mapping
from typing import Any, cast

from sqlalchemy import Connection, RowMapping, delete, insert, select, update

from farspun.craft.plan import Given, Loom, Part, Plan, Reed
from farspun.craft.spread import Kind, Spread
from farspun.store.equipment import looms, reeds
from farspun.store.rows import among, in_sight, stands
from farspun.store.tables import claim, cloth, cloth_spread, cloth_yarn, evidence, skein
from farspun.units import name_key

MICRO_PER_M = 100_000_000  # millionths of a thread per metre, for each thread per cm
UM_PER_CM = 10_000
MICRO = 1_000_000
NANO = 1_000_000_000
KINDS: dict[str, Kind] = {
    "take_up": "loss",
    "draw_in": "loss",
    "weft_take_up": "addition",
    "let_off": "loss",
    "shrink_width": "loss",
    "shrink_length": "loss",
    "beat": "ratio",
    "waste_cm": "length",
}


def cloth_names(connection: Connection) -> dict[str, int]:
    """Every cloth's name and id, oldest first."""
    rows = connection.execute(
        select(cloth.c.name, cloth.c.id).where(in_sight(cloth)).order_by(cloth.c.id)
    )
    return {row.name: row.id for row in rows}


def names_by_priority(connection: Connection, stages: Collection[str]) -> list[str]:
    """The names of cloths at one of these stages, by priority."""
    rows = connection.execute(
        select(cloth.c.name)
        .where(in_sight(cloth), cloth.c.status.in_(stages))
        .order_by(cloth.c.priority, cloth.c.planned_at, cloth.c.id)
    )
    return list(rows.scalars())


def plans(connection: Connection, ids: Collection[int] | None = None) -> list[Plan]:
    """The cloths of these ids (None: all), by priority, ties by planning date."""
    rows = (
        connection.execute(
            select(cloth)
            .where(among(cloth.c.id, ids), in_sight(cloth))
            .order_by(cloth.c.priority, cloth.c.planned_at, cloth.c.id)
        )
        .mappings()
        .all()
    )
    found = [row["id"] for row in rows]
    own_looms = {one.id: one for one in looms(connection)} if rows else {}
    own_reeds = {one.id: one for one in reeds(connection)} if rows else {}
    yarns = _by_cloth(
        connection.execute(
            select(cloth_yarn)
            .where(among(cloth_yarn.c.cloth_id, found))
            .order_by(cloth_yarn.c.cloth_id, cloth_yarn.c.side, cloth_yarn.c.position)
        ).mappings()
    )
    given = _by_cloth(
        connection.execute(
            select(cloth_spread).where(among(cloth_spread.c.cloth_id, found))
        ).mappings()
    )
    return [
        _plan(
            row,
            own_looms.get(row["loom_id"]),
            own_reeds.get(row["reed_id"]),
            yarns.get(row["id"], []),
            given.get(row["id"], []),
        )
        for row in rows
    ]


def _by_cloth(rows: Iterable[RowMapping]) -> dict[int, list[RowMapping]]:
    found: dict[int, list[RowMapping]] = {}
    for row in rows:
        found.setdefault(row["cloth_id"], []).append(row)
    return found


def _part(row: RowMapping) -> Part:
    share = row["share_ppm"]
    return Part(row["skein_id"], row["ends"], None if share is None else share / MICRO)


def _given(row: RowMapping) -> Given:
    kind = KINDS[row["name"]]
    spread = Spread(
        row["mean_nano"] / NANO, row["sd_nano"] / NANO, kind, "as you gave it", by_hand=True
    )
    return Given(spread, row["said"])


def _plan(
    row: RowMapping,
    own_loom: Loom | None,
    own_reed: Reed | None,
    yarns: list[RowMapping],
    given: list[RowMapping],
) -> Plan:
    def per_cm(name: str) -> float | None:
        return None if row[name] is None else row[name] / MICRO_PER_M

    def part(name: str) -> float | None:
        return None if row[name] is None else row[name] / MICRO

    def cm(name: str) -> float:
        return float(row[name] / UM_PER_CM)

    return Plan(
        width_cm=cm("width_um"),
        length_cm=cm("length_um"),
        size_said=row["size_said"],
        warp=tuple(_part(yarn) for yarn in yarns if yarn["side"] == "warp"),
        weft=tuple(_part(yarn) for yarn in yarns if yarn["side"] == "weft"),
        sett_per_cm=cast(float, per_cm("sett_micro_per_m")),
        picks_per_cm=cast(float, per_cm("picks_micro_per_m")),
        weave=row["weave"],
        purpose=row["purpose"],
        wash=row["wash"],
        pieces=row["pieces"],
        loom=own_loom,
        reed=own_reed,
        per_dent=None if row["per_dent"] is None else tuple(row["per_dent"]),
        sett_asked=per_cm("sett_asked_micro_per_m"),
        picks_asked=per_cm("picks_asked_micro_per_m"),
        loom_asked=row["loom_asked"],
        reed_asked=row["reed_asked"],
        direct=row["direct"],
        as_spun=row["as_spun"],
        cut=row["cut"],
        promise=cast(float, part("promise_ppm")),
        size_promise=part("size_promise_ppm"),
        give=part("give_ppm"),
        ends=row["ends"],
        warp_cut_cm=None if row["warp_cut_um"] is None else cm("warp_cut_um"),
        hem_cm=cm("hem_um"),
        side_hem_cm=cm("side_hem_um"),
        fringe_cm=cm("fringe_um"),
        gap_cm=cm("gap_um"),
        header_cm=cm("header_um"),
        sample_cm=cm("sample_um"),
        floating_selvedges=row["floating_selvedges"],
        repeat=row["repeat"],
        fringe_from_waste=row["fringe_from_waste"],
        warp_order=row["warp_order"],
        weft_order=row["weft_order"],
        given={one["name"]: _given(one) for one in given},
        priority=row["priority"],
        name=row["name"],
        status=row["status"],
        planned_at=row["planned_at"],
        id=row["id"],
    )


def _row(plan: Plan) -> dict[str, Any]:
    """The plan's own columns."""

    def whole(value: float | None, unit: int) -> int | None:
        return None if value is None else round(value * unit)

    row = {
        "name": plan.name,
        "name_key": name_key(cast(str, plan.name)),
        "status": plan.status,
        "size_said": plan.size_said,
        "loom_id": plan.loom.id if plan.loom else None,
        "reed_id": plan.reed.id if plan.reed else None,
        "sett_asked_micro_per_m": whole(plan.sett_asked, MICRO_PER_M),
        "picks_asked_micro_per_m": whole(plan.picks_asked, MICRO_PER_M),
        "sett_micro_per_m": whole(plan.sett_per_cm, MICRO_PER_M),
        "picks_micro_per_m": whole(plan.picks_per_cm, MICRO_PER_M),
        "per_dent": None if plan.per_dent is None else list(plan.per_dent),
        "promise_ppm": whole(plan.promise, MICRO),
        "size_promise_ppm": whole(plan.size_promise, MICRO),
        "give_ppm": whole(plan.give, MICRO),
        "warp_cut_um": whole(plan.warp_cut_cm, UM_PER_CM),
    }
    for name in ("width", "length", "hem", "side_hem", "fringe", "gap", "header", "sample"):
        row[f"{name}_um"] = whole(getattr(plan, f"{name}_cm"), UM_PER_CM)
    for name in [
        "loom_asked",
        "reed_asked",
        "pieces",
        "weave",
        "purpose",
        "direct",
        "as_spun",
        "cut",
        "wash",
        "priority",
        "planned_at",
        "ends",
        "floating_selvedges",
        "repeat",
        "fringe_from_waste",
        "warp_order",
        "weft_order",
    ]:
        row[name] = getattr(plan, name)
    return row


def add_plan(connection: Connection, action_id: int, plan: Plan) -> int:
    """Store a new cloth; its id."""
    made = connection.execute(insert(cloth).values(action_id=action_id, **_row(plan)))
    cloth_id = int(cast(tuple[int], made.inserted_primary_key)[0])
    _add_parts(connection, action_id, cloth_id, plan)
    return cloth_id


def replace_plan(connection: Connection, action_id: int, plan: Plan) -> None:
    """Store a changed cloth over the old one."""
    cloth_id = cast(int, plan.id)
    connection.execute(update(cloth).where(cloth.c.id == cloth_id).values(**_row(plan)))
    connection.execute(delete(cloth_yarn).where(cloth_yarn.c.cloth_id == cloth_id))
    connection.execute(delete(cloth_spread).where(cloth_spread.c.cloth_id == cloth_id))
    _add_parts(connection, action_id, cloth_id, plan)


def _add_parts(connection: Connection, action_id: int, cloth_id: int, plan: Plan) -> None:
    own: dict[str, Any] = {"action_id": action_id, "cloth_id": cloth_id}
    yarns = [
        own
        | {
            "side": side,
            "position": position,
            "skein_id": part.skein_id,
            "ends": part.ends,
            "share_ppm": None if part.share is None else round(part.share * MICRO),
        }
        for side, parts in (("warp", plan.warp), ("weft", plan.weft))
        for position, part in enumerate(parts)
    ]
    if yarns:
        connection.execute(insert(cloth_yarn), yarns)
    given = [
        own
        | {
            "name": name,
            "mean_nano": round(one.spread.mean * NANO),
            "sd_nano": round(one.spread.sd * NANO),
            "said": one.said,
        }
        for name, one in plan.given.items()
    ]
    if given:
        connection.execute(insert(cloth_spread), given)


def orders_with(connection: Connection, skein_id: int) -> list[tuple[int, dict[str, str]]]:
    """Cloths with an order that this skein is a yarn of: their ids, and the orders by column."""
    using = select(cloth_yarn.c.cloth_id).where(cloth_yarn.c.skein_id == skein_id)
    columns = (cloth.c.warp_order, cloth.c.weft_order)
    rows = connection.execute(select(cloth.c.id, *columns).where(cloth.c.id.in_(using))).mappings()
    found = ((row["id"], {one.name: row[one.name] for one in columns}) for row in rows)
    told = ((number, {name: text for name, text in one.items() if text}) for number, one in found)
    return [(number, one) for number, one in told if one]


def set_orders(connection: Connection, cloth_id: int, orders: Mapping[str, str]) -> None:
    """Write a cloth's orders anew, by column."""
    connection.execute(update(cloth).where(cloth.c.id == cloth_id).values(**orders))


def set_status(connection: Connection, cloth_id: int, status: str) -> None:
    """Move a cloth along its life."""
    connection.execute(update(cloth).where(cloth.c.id == cloth_id).values(status=status))


def replace_claims(
    connection: Connection,
    action_id: int,
    cloth_id: int,
    claims: Mapping[tuple[int, str], int],
) -> None:
    """Give up a cloth's claims and take these: (skein id, side) to mg."""
    connection.execute(delete(claim).where(claim.c.cloth_id == cloth_id))
    rows = [
        {
            "action_id": action_id,
            "cloth_id": cloth_id,
            "skein_id": skein_id,
            "side": side,
            "mass_mg": mass_mg,
        }
        for (skein_id, side), mass_mg in claims.items()
        if mass_mg > 0
    ]
    if rows:
        connection.execute(insert(claim), rows)


def claims_of(connection: Connection, cloth_id: int) -> dict[tuple[int, str], int]:
    """A cloth's claims: (skein id, side) to mg."""
    rows = connection.execute(
        select(claim.c.skein_id, claim.c.side, claim.c.mass_mg)
        .where(claim.c.cloth_id == cloth_id)
        .order_by(claim.c.side, claim.c.id)
    )
    return {(skein_id, side): mass for skein_id, side, mass in rows}


def skein_names(connection: Connection) -> list[str]:
    """Every skein's name."""
    return list(
        connection.execute(
            select(skein.c.name).where(in_sight(skein)).order_by(skein.c.id)
        ).scalars()
    )


def readings_seen(connection: Connection, skein_ids: Collection[int]) -> dict[int, set[str]]:
    """Kinds of reading each skein has, and the states it was counted in."""
    rows = connection.execute(
        select(evidence.c.skein_id, evidence.c.kind, evidence.c.state).where(
            among(evidence.c.skein_id, skein_ids), stands(evidence)
        )
    )
    seen: dict[int, set[str]] = {skein_id: set() for skein_id in skein_ids}
    for skein_id, kind, state in rows:
        seen[skein_id] |= {kind, state} - {None}
    return seen
