"""What is taken for granted about a planned cloth: one spread a factor, with where it came from.

What she gave by hand comes first, then what her samples and cloths taught, then habit.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from farspun.craft import habits
from farspun.craft.case import NO_RELAXATION, Spreads
from farspun.craft.fibres import blend
from farspun.craft.learning import Lessons, Question
from farspun.craft.lengths import off_loom
from farspun.craft.plan import Given, Plan
from farspun.craft.readings import UNWASHED, relaxation
from farspun.craft.records import group_of
from farspun.craft.spread import MOST_LOG_SD, Spread
from farspun.errors import ImpossibleValue
from farspun.services.factors import FACTORS, Factors, crimp_together
from farspun.services.shape_for import Yarns
from farspun.services.stock import Stock
from farspun.services.taught import piece_of


@dataclass(frozen=True, slots=True)
class _Asking:
    """What is taken of each factor of one cloth."""

    factors: Factors
    lessons: Lessons

    def taken(self, factor: str, habit: Spread) -> Spread:
        """By hand, else by her records, else the habit."""
        plan = self.factors.plan
        if factor in plan.given:
            return _sure_enough(factor, plan.given[factor])
        if not self.lessons:
            return habit
        traits = self.factors.traits(factor)
        said = self.factors.group_said(factor)
        question = Question(factor, group_of(factor, traits), piece_of(plan), habit, said)
        return self.lessons.spreads([question])[0]


def spreads_for(plan: Plan, stock: Stock) -> Spreads:
    """All spreads of the cloth.

    Source: docs/amounts.md, every habit with where it comes from; docs/learning.md.
    """
    return spreads_of_all([plan], stock)[0]


def spreads_of_all(plans: Sequence[Plan], stock: Stock) -> list[Spreads]:
    """All spreads of each of several cloths, as `spreads_for`; geometry is asked once for all."""
    asked = [_Asking(Factors(plan, stock.supplies), stock.lessons) for plan in plans]
    widths = [_across(one) for one in asked]
    crimp_together(
        [(one.factors, width.draw_in.mean) for one, width in zip(asked, widths, strict=True)]
    )
    return [_spreads(one, width, stock) for one, width in zip(asked, widths, strict=True)]


@dataclass(frozen=True, slots=True)
class _Across:
    """What is lost of the width, and the habit of what is drawn in."""

    shrink_width: Spread
    drawing_in: Spread
    draw_in: Spread


def _across(asked: _Asking) -> _Across:
    plan, factors = asked.factors.plan, asked.factors
    shrink_width = asked.taken("shrink_width", factors.shrinkage("shrink_width"))
    rested_cm = float(off_loom(plan.width_cm, plan.side_hem_cm, shrink_width.mean))
    drawing_in = habits.draw_in_habit(rested_cm)
    return _Across(shrink_width, drawing_in, asked.taken("draw_in", drawing_in))


def _spreads(asked: _Asking, width: _Across, stock: Stock) -> Spreads:
    factors, taken, plan = asked.factors, asked.taken, asked.factors.plan
    shrink_width, drawing_in, draw_in = width.shrink_width, width.drawing_in, width.draw_in
    take_up, weft_crimp = factors.crimping(draw_in.mean)
    relaxing = [_relaxing(plan, yarns, stock.unwashed) for yarns in (factors.warp, factors.weft)]
    weft_take_up = None
    if "weft_take_up" in plan.given or stock.lessons.speak_of("weft_take_up"):
        habit = habits.weft_take_up_habit(drawing_in, factors.crimping(drawing_in.mean)[1])
        weft_take_up = taken("weft_take_up", habit)
    return Spreads(
        take_up=taken("take_up", take_up),
        draw_in=draw_in,
        weft_crimp=weft_crimp,
        shrink_length=taken("shrink_length", factors.shrinkage("shrink_length")),
        shrink_width=shrink_width,
        beat=taken("beat", habits.beat_habit(counted=False)),
        waste_cm=taken("waste_cm", factors.waste()),
        joins=habits.joins_habit(),
        cutting=habits.cutting_habit(),
        weft_take_up=weft_take_up,
        relax_length=relaxing[0],
        relax_width=relaxing[1],
    )


def let_off_for(plan: Plan, stock: Stock) -> Spread:
    """What tight cloth gives back off the loom; only for the marks on the tape."""
    factors = Factors(plan, stock.supplies)
    return _Asking(factors, stock.lessons).taken("let_off", factors.let_off())


def _sure_enough(name: str, given: Given) -> Spread:
    """What she gave, unless it may be anything: then no draw of it would mean a thing."""
    if not given.spread.log_sd <= MOST_LOG_SD:
        raise ImpossibleValue(FACTORS[name], given.said, "less doubtful than that")
    return given.spread


def _relaxing(plan: Plan, yarns: Yarns, unwashed: frozenset[int]) -> Spread:
    """Woven unwashed, yarn still loses in the cloth what it did not lose in the skein."""
    fresh = [(s, share) for s, share in yarns if s.skein_id in unwashed]
    if not plan.as_spun or not fresh:
        return NO_RELAXATION
    mean = sd = 0.0
    for supply, share in fresh:
        elastic = blend(supply.blend).elastic and not supply.superwash
        middle, spread = relaxation(elastic, UNWASHED)
        mean, sd = mean + share * float(middle), sd + share * float(spread)
    return Spread(mean, sd, "loss", "habit: yarn woven unwashed")
