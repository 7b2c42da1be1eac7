"""What is to be matched: a cloth with one side known, and what it asks of any yarn on the other."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import partial
from typing import cast

import numpy as np
from sqlalchemy import Connection, select

from farspun.craft.candidates import Asks, Bed, Candidates, Floats, Ints, Kind, KnownWeft, Side
from farspun.craft.case import Case
from farspun.craft.closed_form import (
    Moments,
    lognormal_moments,
    margin,
    need_moments,
    pick_moments,
    supply_moments,
    woven_moments,
)
from farspun.craft.fibres import blend
from farspun.craft.habits import shrink_length_habit, shrink_width_habit
from farspun.craft.matching import Other, pale
from farspun.craft.plan import Part, Plan
from farspun.craft.planning import settled_reed_width_cm
from farspun.craft.weave import checked_purpose, weave
from farspun.craft.yarn import Wrap, snug_packing
from farspun.errors import ImpossibleValue, WrongUse
from farspun.services.case_for import (
    Block,
    settled_case,
    size_level,
    size_of,
    yarn_groups,
)
from farspun.services.cloth_asked import ClothAsked
from farspun.services.cloths import planned_cloth
from farspun.services.habits_for import spreads_for, yarns_of
from farspun.services.planning import Ready, ready
from farspun.services.stock import Stock, stock_for
from farspun.store.supplies import Supply, as_spun_supplies, shared_block
from farspun.store.tables import skein

BOTH = ("warp", "weft")
SHRINKS_ALIKE = 3  # digits of what it loses: yarns that agree so far ask the same; judgement


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
        stock = stock_for(self.connection, wanted)
        if self.plan.as_spun and stock.unwashed:
            unwashed, block = as_spun_supplies(self.connection, wanted, stock.unwashed)
            return replace(stock, supplies=unwashed), block
        return stock, partial(shared_block, self.connection)

    def settled(self, ids: Sequence[int], stock: Stock) -> Plan:
        """Set up with these skeins on the candidates' side. Raises ImpossibleValue."""
        parts = [Part(one) for one in ids]
        return replace(self.start, stock=stock).with_side(self.side, parts).settled()

    def case(self, plan: Plan, stock: Stock, block: Block) -> Case:
        """The case of a plan that is set up."""
        spreads = spreads_for(plan, dict(stock.supplies), stock.unwashed)
        return settled_case(plan, spreads, stock.supplies, block).case


def question(
    connection: Connection, cloth: str | None, side: Side | None, asked: ClothAsked
) -> Question:
    """From what was typed. Raises WrongUse, NotFound, and as `ready`."""
    named = [one for one in BOTH if getattr(asked, one)]
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


def bed_of(q: Question, plan: Plan, stock: Stock) -> Bed:
    """The cloth as every candidate finds it; `plan` is set up with one of them."""
    purpose = checked_purpose(plan.purpose)
    wraps, tex = thickness_of(q, stock)
    fixed = plan.sett_per_cm if q.side == "weft" or plan.sett_asked else None
    faced = purpose in ("weft-faced", "warp-faced")
    mine: Supply = dict(stock.supplies)[(plan.weft if q.side == "weft" else plan.warp)[0].skein_id]
    ratio = wraps / mine.wraps_per_cm if mine.tex_known and np.isfinite(wraps) else 1.0
    reeds = [plan.reed] if plan.reed_asked and plan.reed else q.start.reeds
    return Bed(
        side=q.side,
        weave=weave(plan.weave),
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
        known_wraps_per_cm=wraps,
        known_tex=tex,
        ends=plan.ends,
        end_step=plan.end_step,
        floating_selvedges=plan.floating_selvedges,
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
    draw_in: Floats
    crimps: tuple[float, float]
    cutting: Moments
    known: Sequence[KnownWeft]
    plan: Plan


def loomed(q: Question, ids: Sequence[int]) -> Loomed:
    """Set up with one skein of each class. Raises ImpossibleValue where the loom cannot take it."""
    stock, block = q.supplies(ids)
    first = q.settled(ids[:1], stock)
    rows, cases = [], []
    for one in ids:
        part = (Part(one),)
        plan = replace(first, weft=part) if q.side == "weft" else replace(first, warp=part)
        case = q.case(plan, stock, block)
        known = case.warp if q.side == "weft" else ()
        margins = [margin(supply_moments(case, y), need_moments(case, y)) for y in known]
        parts = len(yarn_groups(plan.warp)) + len(yarn_groups(plan.weft)) + 2
        level = size_level(plan, parts)
        rows.append(
            (
                settled_reed_width_cm(size_of(plan, case.spreads), case.spreads, level),
                case.warp_cut_cm,
                *woven_moments(case.size, case.spreads),
                *pick_moments(case.spreads),
                case.spreads.draw_in.mean,
                [float(z) for z, _ in margins],
                [float(sd) for _, sd in margins],
            )
        )
        cases.append(case)
    wide, cut, woven, woven2, pick, pick2, draw_in, z, sd = zip(*rows, strict=True)
    case = cases[0]
    cutting = case.spreads.cutting
    asks = Asks(
        np.array(wide), np.array(cut, dtype=float), (np.array(woven), np.array(woven2)),
        (np.array(pick), np.array(pick2)), np.array(z), np.array(sd),
    )  # fmt: skip
    known_weft = () if q.side == "weft" else case.weft
    return Loomed(
        bed=bed_of(q, first, stock),
        asks=asks,
        draw_in=np.array(draw_in),
        crimps=(1 / case.spreads.take_up.factor - 1, case.spreads.weft_crimp.mean),
        cutting=lognormal_moments(cutting.factor, cutting.log_sd),
        known=[KnownWeft(supply_moments(case, one), one.part) for one in known_weft],
        plan=first,
    )


def asks_of(asks: Asks, at: Ints) -> Asks:
    """What each row asks, by its class."""
    return Asks(
        asks.reed_width_cm[at], asks.warp_cut_cm[at],
        (asks.woven[0][at], asks.woven[1][at]), (asks.pick[0][at], asks.pick[1][at]),
        asks.known_z[at], asks.known_sd[at],
    )  # fmt: skip


def refused(error: ImpossibleValue) -> str:
    """Why no cloth can be set up, as part of a sentence."""
    return f"{error.what} cannot be {error.said}: {error.allowed}"
