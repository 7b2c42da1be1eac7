"""What is to be matched: a cloth with one side known, and what it asks of any yarn on the other."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, fields, replace
from shlex import quote
from typing import Any, cast

import numpy as np
from sqlalchemy import Connection, select

from farspun.craft.candidates import Asks, Bed, Candidates, Ints, Kind, KnownYarn, Side
from farspun.craft.case import Case, Spreads
from farspun.craft.closed_form import (
    Moments,
    lognormal_moments,
    supply_moments,
    woven_moments,
)
from farspun.craft.drawn import drawn_weave
from farspun.craft.dye_notes import pale
from farspun.craft.fibres import blend
from farspun.craft.habits import shrink_length_habit, shrink_width_habit
from farspun.craft.matching import Other
from farspun.craft.plan import Part, Plan
from farspun.craft.planning import laid_out, settled_reed_width_cm
from farspun.craft.weave import checked_purpose
from farspun.craft.yarn import Wrap, snug_packing
from farspun.errors import ImpossibleValue, WrongUse
from farspun.services.case_for import (
    settled_case,
    size_level,
    size_of,
    yarn_groups,
)
from farspun.services.cloth_asked import ClothAsked
from farspun.services.cloths import planned_cloth
from farspun.services.factors import Factors, yarns_of
from farspun.services.habits_for import spreads_for, spreads_of_all
from farspun.services.planning import Ready, ready
from farspun.services.setting_up import NEAR_ENOUGH
from farspun.services.shape_for import mean_compact_mm
from farspun.services.stock import Block, Stock, stock_to_weave
from farspun.store.supplies import Supply
from farspun.store.tables import skein

BOTH = ("warp", "weft")
SHRINKS_ALIKE = 9  # digits of what it loses: a rounding; yarns that agree so far ask the same


@dataclass(frozen=True, slots=True)
class Question:
    """A cloth with one side known. `start.plan` has nothing on `side`, the candidates'."""

    start: Ready
    side: Side
    cloth: str | None
    connection: Connection

    @property
    def plan(self) -> Plan:
        """Without the candidates' side."""
        return self.start.plan

    @property
    def known_side(self) -> Side:
        """The side whose yarns are there."""
        return "warp" if self.side == "weft" else "weft"

    @property
    def known(self) -> tuple[Part, ...]:
        """The yarns that are there."""
        return self.plan.warp if self.side == "weft" else self.plan.weft

    def supplies(self, ids: Sequence[int]) -> tuple[Stock, Block]:
        """These skeins and the known ones, as they are woven, and the covariance of what they
        share."""
        wanted = tuple(dict.fromkeys((*(part.skein_id for part in self.known), *ids)))
        return stock_to_weave(self.connection, wanted, self.plan.as_spun)

    def settled(self, ids: Sequence[int], stock: Stock) -> Plan:
        """Set up with these skeins on the candidates' side. Raises ImpossibleValue."""
        parts = [Part(one) for one in ids]
        return replace(self.start, stock=stock).with_side(self.side, parts).settled()

    def case(self, plan: Plan, stock: Stock, block: Block) -> Case:
        """The case of a plan that is set up."""
        spreads = spreads_for(plan, stock)
        return settled_case(plan, spreads, stock.supplies, block).case


def question(
    connection: Connection, cloth: str | None, side: Side | None, asked: ClothAsked
) -> Question:
    """From what was typed. Raises WrongUse, NotFound, and as `ready`."""
    named = [one for one in BOTH if asked.names(one)]
    if cloth is not None:
        return _of_cloth(connection, cloth, side or "weft", named, asked)
    if len(named) != 1:
        raise WrongUse(
            "Nothing to match was named." if not named else "--warp and --weft were both given.",
            "Name a planned cloth, or give one side: farspun match --weft SKEIN --size …",
        )
    wanted: Side = "warp" if named[0] == "weft" else "weft"
    if side is not None and side != wanted:
        raise WrongUse(
            f"--{named[0]} and --for {side} do not go together.",
            f"The yarns of the {named[0]} are matched with a {wanted}: leave --for out.",
        )
    return Question(ready(connection, asked), wanted, None, connection)


def _of_cloth(
    connection: Connection, cloth: str, side: Side, named: list[str], asked: ClothAsked
) -> Question:
    if named:
        raise WrongUse(
            f"A cloth and --{named[0]} do not go together.",
            f"Its own yarns are taken: farspun match {cloth} --for {side}",
        )
    plan = planned_cloth(connection, cloth)
    if getattr(plan, f"{side}_order") is not None:
        raise WrongUse(
            f"The {side} of {plan.name} has an order, and that names its yarns.",
            f"Try another yarn in it: farspun cloth change {quote(plan.name or cloth)}"
            f" --{side}-order … --dry-run",
        )
    empty = replace(plan, warp=()) if side == "warp" else replace(plan, weft=())
    reed = plan.reed if plan.reed_asked else None
    start = ready(connection, asked, replace(empty, reed=reed))
    return Question(start, side, plan.name, connection)


def other_of(q: Question, stock: Stock) -> Other:
    """What the candidates are held against: the known side's main yarn."""
    side = yarns_of(q.plan, q.known_side, dict(stock.supplies))
    main = max(side, key=lambda yarn: yarn[1])[0]
    ids = [one.skein_id for one, _ in side]
    notes = q.connection.execute(select(skein.c.colour).where(skein.c.id.in_(ids))).scalars()
    fibre = blend(main.blend)
    fill = snug_packing(main.fill, fibre.family, cast("Wrap | None", main.wrap))
    return Other(fibre, main.superwash, fill, all(pale(note) for note in notes))


def thickness_of(q: Question, stock: Stock) -> tuple[float, float]:
    """Wraps per cm and tex of the known side; NaN where they are not known."""
    side = yarns_of(q.plan, q.known_side, dict(stock.supplies))
    if not all(supply.tex_known for supply, _ in side):
        return float("nan"), float("nan")
    wraps = 1 / sum(share / supply.wraps_per_cm for supply, share in side)
    return wraps, sum(share * supply.tex for supply, share in side)


def _compact_mm(q: Question, stock: Stock) -> float:
    """The known side's diameter pressed in the cloth; NaN where its grist is not known."""
    side = yarns_of(q.plan, q.known_side, stock.supplies)
    if not all(supply.tex_known for supply, _ in side):
        return float("nan")
    return mean_compact_mm(side)


def bed_of(q: Question, plan: Plan, case: Case, stock: Stock) -> Bed:
    """The cloth as every candidate finds it; `plan` is set up with one of them."""
    purpose = checked_purpose(plan.purpose)
    wraps, tex = thickness_of(q, stock)
    fixed = plan.sett_per_cm if q.side == "weft" or plan.sett_asked else None
    faced = purpose in ("weft-faced", "warp-faced")
    mine: Supply = dict(stock.supplies)[(plan.weft if q.side == "weft" else plan.warp)[0].skein_id]
    ratio = wraps / mine.wraps_per_cm if mine.tex_known and np.isfinite(wraps) else 1.0
    reeds = [plan.reed] if plan.reed_asked and plan.reed else q.start.reeds
    waste = case.spreads.waste_cm
    return Bed(
        side=q.side,
        weave=drawn_weave(plan.weave),
        purpose=purpose,
        fulled=plan.wash == "fulled",
        sett_per_cm=fixed,
        picks_per_cm=plan.picks_asked,
        faced_picks=plan.picks_per_cm * ratio if faced and q.side == "weft" else None,
        reeds=[
            (one.dents_per_10cm, one.rigid_heddle)
            for one in reeds
            if plan.reed_asked or one.fits(plan.loom)
        ],
        near_enough=NEAR_ENOUGH,
        known_wraps_per_cm=wraps,
        known_tex=tex,
        known_compact_mm=_compact_mm(q, stock),
        ends=plan.ends,
        end_step=plan.end_step,
        floating_selvedges=plan.floating_selvedges,
        warp_cut_cm=plan.warp_cut_cm,
        waste=(waste.factor, waste.log_sd),
        joins=case.spreads.joins,
    )


def classes(q: Question, c: Candidates, unwashed: Ints) -> tuple[Ints, Ints]:
    """Which rows ask the same of the loom because they shrink alike, and one row of each class."""
    habit = shrink_width_habit if q.side == "weft" else shrink_length_habit

    def shrinks(one: Kind) -> tuple[float, float]:
        spread = habit(one.blend, one.superwash, q.plan.wash)
        return round(spread.mean, SHRINKS_ALIKE), round(spread.sd, SHRINKS_ALIKE)

    alike: dict[tuple[float, float], int] = {}
    of_kind = [alike.setdefault(shrinks(one), len(alike)) for one in c.kinds]
    own = c.of_kind(of_kind) * 2 + (unwashed if q.plan.as_spun else 0)
    settable = np.isfinite(c.tex) | (q.side == "weft") | (q.plan.sett_asked is not None)
    at = np.flatnonzero(settable)
    _, first = np.unique(own[at], return_index=True)
    chosen = at[first]
    place = np.full(2 * len(alike), -1, dtype=np.int64)
    place[own[chosen]] = np.arange(len(chosen))
    return place[own], chosen


@dataclass(frozen=True, slots=True)
class Loomed:
    """What the classes ask, one row each, and what stays the same for all."""

    bed: Bed
    asks: Asks
    cutting: Moments
    known: Sequence[KnownYarn]
    plan: Plan


def loomed(q: Question, ids: Sequence[int]) -> Loomed:
    """Set up with one skein of each class. Raises ImpossibleValue where the loom cannot take it."""
    stock, block = q.supplies(ids)
    first = q.settled(ids[:1], stock)
    plans = [_with(q, first, one) for one in ids]
    cases = [
        settled_case(plan, spreads, stock.supplies, block).case
        for plan, spreads in zip(plans, spreads_of_all(plans, stock), strict=True)
    ]
    rows = [_row(q, plan, case, stock) for plan, case in zip(plans, cases, strict=True)]
    columns = {one.name: np.array([row[one.name] for row in rows]) for one in fields(Asks)}
    case = cases[0]
    cutting = case.spreads.cutting
    there = case.weft if q.side == "warp" else case.warp
    return Loomed(
        bed=bed_of(q, first, case, stock),
        asks=Asks(**columns),
        cutting=lognormal_moments(cutting.factor, cutting.log_sd),
        known=[KnownYarn(supply_moments(case, one), one.part) for one in there],
        plan=first,
    )


def _with(q: Question, plan: Plan, skein_id: int) -> Plan:
    """The plan with that skein alone on the candidates' side."""
    part = (Part(skein_id),)
    return replace(plan, weft=part) if q.side == "weft" else replace(plan, warp=part)


def _row(q: Question, plan: Plan, case: Case, stock: Stock) -> dict[str, Any]:
    """What this class asks, by the names of `Asks`."""
    from scipy.special import ndtri

    spreads = case.spreads
    woven, woven2 = woven_moments(case.size, spreads)
    wash = spreads.shrink_length, spreads.relax_length
    parts = len(yarn_groups(plan.warp)) + len(yarn_groups(plan.weft)) + 2
    level = size_level(plan, spreads, parts)
    known_ends = [case.warp_ends(at) for at in range(len(case.warp))] if q.side == "weft" else []
    return {
        "reed_width_cm": settled_reed_width_cm(size_of(plan, spreads), spreads, level),
        "woven": woven,
        "woven2": woven2,
        **laid_out(case.size, spreads.waste_cm.factor)._asdict(),
        "wash": wash[0].factor * wash[1].factor,
        "wash_log_sd": math.hypot(wash[0].log_sd, wash[1].log_sd),
        "z": float(ndtri(level)),
        "draw_in": spreads.draw_in.mean,
        "draw_in_log_sd": spreads.draw_in.log_sd,
        **_taken(Factors(plan, stock.supplies), spreads),
        "known_ends": [float(ends) for ends in known_ends],
    }


def _taken(factors: Factors, spreads: Spreads) -> dict[str, float]:
    """What is taken of take-up and of a pick: given by hand, or over what is habit."""
    nothing = float("nan")
    habit, crimp = factors.crimping(spreads.draw_in.mean)
    up, pick = spreads.take_up, spreads.weft_take_up
    told = {"take_up": nothing, "take_up_given": nothing, "take_up_log_sd": up.log_sd}
    if up.by_hand:
        told["take_up_given"] = up.factor
    else:
        told |= {"take_up": up.factor / habit.factor, "take_up_log_sd": up.log_sd / habit.log_sd}
    if pick is None:
        return told | {"pick": nothing, "pick_given": nothing, "pick_log_sd": 0.0}
    over = max(1.0, spreads.draw_in.factor * crimp.factor) * spreads.joins.factor
    return told | {
        "pick": nothing if pick.by_hand else pick.factor / over,
        "pick_given": pick.factor if pick.by_hand else nothing,
        "pick_log_sd": pick.log_sd,
    }


def refused(error: ImpossibleValue) -> str:
    """Why no cloth can be set up, as part of a sentence."""
    return f"{error.what} cannot be {error.said}: {error.allowed}"
