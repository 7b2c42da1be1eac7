"""What became of her cloths and samples, as records to learn from.

A record is one factor of one piece: what was observed, and by how many spreads that is off the
habit of that very cloth. A sample is of the same piece as the cloth it was woven for.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from functools import cached_property

from sqlalchemy import Connection

from farspun.craft import habits
from farspun.craft.amounts import fringe_cut
from farspun.craft.learned import spreads_off
from farspun.craft.learning import Lessons
from farspun.craft.plan import Plan
from farspun.craft.records import Record, group_of, record_columns
from farspun.craft.spread import Spread
from farspun.craft.woven import Meant, Told, shown_factors
from farspun.services.factors import Factors
from farspun.store import cloths, records
from farspun.store.supplies import Supply, supplies
from farspun.store.used import Used, yarn_used

SURE_GRIST = 0.025  # sd of ln; judgement: else weft use would teach the skein's own doubt


@dataclass(frozen=True, slots=True)
class Seen:
    """One factor of one piece: `observed` as a fraction, ratio or cm, and the habit it had."""

    cloth: str
    cloth_id: int
    stage: str
    factor: str
    observed: float
    habit: Spread
    group: str
    group_said: str
    confirmed: bool

    @property
    def y(self) -> float:
        """Spreads of the habit that it is off."""
        return float(spreads_off(self.observed, self.habit))

    def record(self) -> Record:
        """As the craft has it."""
        return Record(self.factor, self.group, str(self.cloth_id), self.y, self.confirmed)


@dataclass(frozen=True)
class Taught:
    """All records, in the order of the cloths; `lessons` are drawn from them when first asked."""

    seen: tuple[Seen, ...] = field(default=())

    @cached_property
    def lessons(self) -> Lessons:
        """What they teach together."""
        return Lessons(record_columns(one.record() for one in self.seen))


NOTHING_TAUGHT = Taught()


def taught(connection: Connection) -> Taught:
    """Every factor that a cloth or sample of the stash shows."""
    facts = records.facts(connection)
    if not facts:
        return NOTHING_TAUGHT
    plans = [plan for plan in cloths.plans(connection) if plan.id in facts]
    known = supplies(connection, sorted({one for plan in plans for one in plan.skein_ids}))
    confirmed = records.confirmed_factors(connection)
    used = yarn_used(connection, [_id(plan) for plan in plans])
    return Taught(
        tuple(
            one
            for plan in plans
            for one in _of_cloth(plan, facts, known, confirmed.get(_id(plan), frozenset()), used)
        )
    )


def _id(plan: Plan) -> int:
    assert plan.id is not None
    return plan.id


def _of_cloth(
    plan: Plan,
    facts: Mapping[int, records.Facts],
    known: Mapping[int, Supply],
    confirmed: frozenset[str],
    used: Mapping[int, Used],
) -> Iterator[Seen]:
    told = facts[_id(plan)]
    for stage, one in (("sample", told.sample), ("cloth", told.cloth)):
        factors = Factors(plan, known, one.wash)
        shown = shown_factors(one, _meant(plan, factors, stage == "sample"))
        if stage == "cloth":
            shown |= _weft_use(plan, one, shown, used.get(_id(plan)), known)
        for factor, observed in shown.items():
            if plan.as_spun and factor.startswith("shrink_"):
                continue  # unwashed yarn loses its own length in the first wash as well
            yield Seen(
                cloth=plan.name or "",
                cloth_id=_id(plan),
                stage=stage,
                factor=factor,
                observed=observed,
                habit=_habit(factor, factors, one),
                group=group_of(factor, factors.traits(factor)),
                group_said=factors.group_said(factor),
                confirmed=factor in confirmed,
            )


def _meant(plan: Plan, factors: Factors, sample: bool) -> Meant:
    """What it was woven to; a sample is one piece with nothing woven beside it."""
    let_off = factors.let_off().mean
    if sample:
        return Meant(plan.picks_per_cm, let_off=let_off)
    lost = factors.shrinkage("shrink_length").mean
    fringes = 2 * plan.pieces * float(fringe_cut(plan.fringe_cm, lost)) if plan.fringe_cm else 0.0
    return Meant(
        picks_per_cm=plan.picks_per_cm,
        pieces=plan.pieces,
        extra_cm=plan.sample_cm + plan.header_cm,
        unwoven_cm=(plan.pieces - 1) * plan.gap_cm + fringes,
        let_off=let_off,
    )


def _habit(factor: str, factors: Factors, told: Told) -> Spread:
    """What would have been taken of that piece, of the width it really had."""
    if factor.startswith("shrink_"):
        return factors.shrinkage(factor)
    if factor == "beat":
        return habits.beat_habit(counted=False)
    if factor == "waste_cm":
        return factors.waste()
    if factor == "let_off":
        return factors.let_off()
    draw_in = habits.draw_in_habit(_rested_width_cm(factors.plan, told))
    if factor == "draw_in":
        return draw_in
    take_up, weft_crimp = factors.crimping(draw_in.mean)
    return take_up if factor == "take_up" else habits.weft_take_up_habit(draw_in, weft_crimp)


def _rested_width_cm(plan: Plan, told: Told) -> float:
    return told.off_width_cm or plan.width_cm


def _weft_use(
    plan: Plan,
    told: Told,
    shown: Mapping[str, float],
    used: Used | None,
    known: Mapping[int, Supply],
) -> dict[str, float]:
    """A pick's yarn over the reed width, where the weft was weighed and its grist is well known."""
    ends = told.ends or plan.ends
    if used is None or "beat" not in shown or told.off_length_cm is None or not ends:
        return {}
    grists = {one.skein_id: known[one.skein_id] for one in plan.weft}
    on_warp = {part.skein_id for part in plan.warp}
    sure = all(float(one.cov3[1, 1]) ** 0.5 <= SURE_GRIST for one in grists.values())
    if on_warp & grists.keys() or not sure or not grists.keys() <= used.weighed:
        return {}
    metres = sum(1000 * used.grams[one] / grists[one].tex for one in grists)
    woven_cm = plan.pieces * told.off_length_cm + plan.sample_cm + plan.header_cm
    picks = shown["beat"] * plan.picks_per_cm * woven_cm
    reed_m = ends / plan.sett_per_cm / 100
    return {"weft_take_up": metres / (picks * reed_m) - 1}
