"""What is taken for granted about a planned cloth: one spread a factor, with where it came from.

What she gave by hand comes first; the rest is habit. Here is the seam where cloth geometry, her
samples and her records will take the habits' place.
"""

import math
from collections.abc import Callable

from farspun.craft import habits
from farspun.craft.case import NO_RELAXATION, Spreads
from farspun.craft.drawn import drawn_weave
from farspun.craft.fibres import blend
from farspun.craft.lengths import off_loom
from farspun.craft.plan import Given, Plan
from farspun.craft.readings import UNWASHED, relaxation
from farspun.craft.shape import crimping
from farspun.craft.spread import MOST_LOG_SD, Spread
from farspun.errors import ImpossibleValue
from farspun.services.shape_for import Yarns, sides_of
from farspun.store.supplies import Supply

# how each factor is called, in the order it is said
FACTORS = {
    "take_up": "take-up",
    "draw_in": "draw-in",
    "weft_crimp": "weft crimp",
    "weft_take_up": "weft take-up",
    "joins": "edges and joins",
    "shrink_length": "shrinkage in length",
    "shrink_width": "shrinkage in width",
    "relax_length": "relaxation in length",
    "relax_width": "relaxation in width",
    "beat": "beat",
    "waste_cm": "loom waste",
    "cutting": "cutting",
    "let_off": "let-off",
}


def yarns_of(plan: Plan, side: str, supplies: dict[int, Supply]) -> Yarns:
    """The skeins of a side with their share of its ends or picks, adding to 1.

    One yarn of several skeins is made of each as far as its length goes.
    """
    parts = plan.warp if side == "warp" else plan.weft
    shares = [float(part.ends or part.share or 0.0) for part in parts]
    if not any(shares):
        shares = [math.exp(supplies[part.skein_id].ln_length) for part in parts]
    if not sum(shares) > 0:
        shares = [1.0] * len(parts)
    total = sum(shares)
    return [(supplies[p.skein_id], s / total) for p, s in zip(parts, shares, strict=True)]


def spreads_for(plan: Plan, supplies: dict[int, Supply], unwashed: frozenset[int]) -> Spreads:
    """All spreads of the cloth; `unwashed` are the ids of skeins never washed.

    Source: docs/amounts.md, every habit with where it comes from.
    """
    warp, weft = yarns_of(plan, "warp", supplies), yarns_of(plan, "weft", supplies)

    def given(name: str, habit: Callable[[], Spread]) -> Spread:
        return _sure_enough(name, plan.given[name]) if name in plan.given else habit()

    shrink_width = given("shrink_width", lambda: _mixed(weft or warp, plan.wash, across=True))
    rested_cm = off_loom(plan.width_cm, plan.side_hem_cm, shrink_width.mean)
    draw_in = given("draw_in", lambda: habits.draw_in_habit(float(rested_cm)))
    setts = plan.sett_per_cm, plan.picks_per_cm
    take_up, weft_crimp = crimping(
        drawn_weave(plan.weave), plan.purpose, setts, sides_of(warp, weft), draw_in.mean
    )
    loom = plan.loom
    return Spreads(
        take_up=given("take_up", lambda: take_up),
        draw_in=draw_in,
        weft_crimp=weft_crimp,
        shrink_length=given("shrink_length", lambda: _mixed(warp or weft, plan.wash, across=False)),
        shrink_width=shrink_width,
        beat=given("beat", lambda: habits.beat_habit(counted=False)),
        waste_cm=given(
            "waste_cm",
            lambda: (
                loom.waste
                if loom and loom.waste
                else habits.waste_habit(
                    loom.kind if loom else habits.NOT_SAID_LOOM,
                    loom.tie if loom else habits.NOT_SAID_TIE,
                )
            ),
        ),
        joins=habits.joins_habit(),
        cutting=habits.cutting_habit(),
        weft_take_up=plan.given["weft_take_up"].spread if "weft_take_up" in plan.given else None,
        relax_length=_relaxing(plan, warp, unwashed),
        relax_width=_relaxing(plan, weft, unwashed),
    )


def _sure_enough(name: str, given: Given) -> Spread:
    """What she gave, unless it may be anything: then no draw of it would mean a thing."""
    if not given.spread.log_sd <= MOST_LOG_SD:
        raise ImpossibleValue(FACTORS[name], given.said, "less doubtful than that")
    return given.spread


def _mixed(yarns: Yarns, wash: str, across: bool) -> Spread:
    """Shrinkage of a side of several yarns: middle and sd by their shares."""
    habit = habits.shrink_width_habit if across else habits.shrink_length_habit
    each = [(habit(blend(s.blend), s.superwash, wash), share) for s, share in yarns]
    if not each:
        each = [(habit(blend(habits.NOT_SAID_FIBRE), False, wash), 1.0)]
    return Spread(
        sum(spread.mean * share for spread, share in each),
        sum(spread.sd * share for spread, share in each),
        "loss",
        each[0][0].origin,
    )


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


def let_off_for(plan: Plan, supplies: dict[int, Supply]) -> Spread:
    """What tight cloth gives back off the loom; only for the marks on the tape."""
    if "let_off" in plan.given:
        return plan.given["let_off"].spread
    warp = yarns_of(plan, "warp", supplies) or yarns_of(plan, "weft", supplies)
    main = max(warp, key=lambda yarn: yarn[1])[0].blend if warp else habits.NOT_SAID_FIBRE
    return habits.let_off_habit(blend(main).family)
