"""The marks of a cloth's card: ten along the tape, and the stretches that end on it."""

import math
from collections.abc import Iterator, Mapping, Sequence

from farspun.cards import facts
from farspun.craft.amounts import shared_picks
from farspun.craft.marks import MARKS, Weft, marks, tenths
from farspun.craft.order_text import order_from_text
from farspun.craft.orders import Group, counted, in_picks
from farspun.craft.plan import Part, Plan
from farspun.services.answers import Check, NeedAnswer, Three
from farspun.services.card_warp import Supplies, warp_yarns
from farspun.services.case_for import yarn_groups
from farspun.services.factors import FACTORS

MG_PER_G = 1000
Z95 = 1.6448536269514722  # spreads from the middle to the 95 % point of a normal, exact
NO_GRAMS = facts.Start(None, None, None, None)


def starts_and_marks(
    check: Check, supplies: Supplies
) -> tuple[list[facts.Start], list[facts.Mark]]:
    """What lies on the scale before the first pick, and the ten marks, for each weft yarn."""
    plan, tape_cm = check.plan, check.setup.tape_length_cm
    groups = yarn_groups(plan.weft)
    used = _used_parts(check, [supplies[group[0].skein_id].name for group in groups])
    taken = _taken_by_warp_g(check, supplies)
    asked_m = sum(need.need_m.p50 or 0.0 for need in check.weft)
    serves = asked_m / check.setup.weft_yarn_m  # the needs are for the size less its give
    starts = [
        _start(plan, group, need, supplies, (taken, serves))
        for group, need in zip(groups, check.weft, strict=True)
    ]
    columns = [
        list(_weighed(start, need, parts, (tape_cm, serves), plan.promise))
        for start, need, parts in zip(starts, check.weft, used, strict=True)
    ]
    rows = zip(tenths(tape_cm), *columns, strict=True)
    return starts, [facts.Mark(at, list(wefts)) for at, *wefts in rows]


def _start(
    plan: Plan,
    group: Sequence[Part],
    need: NeedAnswer,
    supplies: Supplies,
    before: tuple[Mapping[int, float], float],
) -> facts.Start:
    """All of the yarn, what others keep of it, and what the cloth is to take, in g.

    `before`: what the warp takes of each skein, g, and the part of the full size that serves.
    """
    taken_g, serves = before
    asked, had = need.need_m.p50, need.have_m.p50
    skeins = [supplies[part.skein_id] for part in group]
    if not asked or had is None or any(one.balance_mg is None for one in skeins):
        return NO_GRAMS
    start_g = keep_g = 0.0
    for one in skeins:
        in_hand_g = sum(grams for cloth, grams, _ in one.in_hand if cloth == plan.id)
        balance_g = (one.balance_mg or 0) / MG_PER_G
        others_g = sum(mg for cloth, mg in one.claims if cloth != plan.id) / MG_PER_G
        start_g += balance_g + in_hand_g - min(balance_g, taken_g.get(one.skein_id, 0.0))
        keep_g += min(balance_g, others_g)
    if not start_g > 0:
        return NO_GRAMS
    keep_g = min(keep_g, start_g)
    free_g = start_g - keep_g
    tex = sum(one.tex for one in skeins) / len(skeins)
    # where none is free, its grist alone tells what the cloth would take
    need_g = free_g * asked / had if had and free_g else asked * tex / 1000
    return facts.Start(start_g, keep_g, need_g, need_g / serves)


def _taken_by_warp_g(check: Check, supplies: Supplies) -> dict[int, float]:
    """Of each skein, what the warp will take before the first pick; nothing once it is wound."""
    end_m = check.setup.warp_cut_cm / 100
    return {
        part.skein_id: one.ends * end_m * supplies[part.skein_id].tex / 1000
        for yarn in warp_yarns(check, supplies)
        for part, one in zip(yarn.group, yarn.winding.skeins, strict=True)
    }


def _weighed(
    start: facts.Start,
    need: NeedAnswer,
    parts: Sequence[float],
    tape: tuple[float, float],
    promise: float,
) -> Iterator[facts.Weighed]:
    """One weft yarn at each mark; metres alone where its mass is not known.

    `tape`: how long all is by the tape, cm, and the part of it that serves.
    """
    need_m, (tape_cm, serves) = need.need_m.p50, tape
    if start.start_g is None or start.keep_g is None or start.need_g is None or need_m is None:
        for part in parts:
            yield facts.Weighed(None if need_m is None else part * need_m / serves, None, None)
        return
    doubt = math.hypot(_sd_ln(need.need_m), _sd_ln(need.have_m))
    weft = Weft(start.start_g, start.keep_g, need_m, start.need_g, doubt, tape_cm, serves)
    for one in marks(weft, promise, parts):
        yield facts.Weighed(one.used_m, one.should_g, one.think_below_g)


def _sd_ln(points: Three) -> float:
    """The spread of the logarithm, from the outer points."""
    if not points.p05 or not points.p95:
        return 0.0
    return math.log(points.p95 / points.p05) / (2 * Z95)


def _used_parts(check: Check, names: Sequence[str]) -> list[list[float]]:
    """For each weft yarn the part of it woven at each mark: evenly, or as its order has it."""
    plan, setup = check.plan, check.setup
    if plan.weft_order is None:
        return [[number / MARKS for number in range(1, MARKS + 1)] for _ in names]
    order = in_picks(order_from_text(plan.weft_order, "weft"), setup.picks_per_cm)
    spans = _spans(check)
    at = [_woven(order, spans, round(setup.picks * n / MARKS)) for n in range(1, MARKS + 1)]
    return [[one.get(name, 0) / at[-1][name] for one in at] for name in names]


def _spans(check: Check) -> list[int]:
    """Picks of the sample and header, where there are any, then of each piece."""
    setup = check.setup
    pieces_cm = [setup.off_loom_length_cm] * check.plan.pieces
    before_cm = check.plan.sample_cm + check.plan.header_cm
    lengths = [before_cm] * (before_cm > 0) + pieces_cm
    whole = sum(lengths)
    return shared_picks(setup.picks, [one / whole for one in lengths])


def _woven(order: Group, spans: Sequence[int], picks: int) -> dict[str, int]:
    """Picks of each yarn among the first `picks`; the order begins anew with each span."""
    found: dict[str, int] = {}
    for span in spans:
        here = min(span, picks)
        picks -= here
        for yarn, part in counted(order, here).items():
            found[yarn] = found.get(yarn, 0) + part
    return found


def expected(check: Check) -> facts.Expected:
    """What the ends in the reed and the warp as cut come to, at middle values."""
    plan, setup = check.plan, check.setup
    means = {one.name: one.mean for one in check.assumptions}
    tight = setup.tape_length_cm / setup.woven_length_cm
    kept_width = (plan.width_cm + 2 * plan.side_hem_cm) / setup.off_loom_width_cm
    kept_length = (plan.length_cm + 2 * plan.hem_cm) / setup.off_loom_length_cm
    width_cm = setup.reed_width_cm * (1 - means[FACTORS["draw_in"]])
    spare_cm = setup.warp_cut_cm - setup.warp_length_cm
    more_cm = spare_cm * (1 - means[FACTORS["take_up"]])
    farthest_cm = setup.off_loom_length_cm + more_cm
    return facts.Expected(
        off_loom_width_cm=width_cm,
        off_loom_length_cm=setup.off_loom_length_cm,
        washed_width_cm=width_cm * kept_width,
        washed_length_cm=plan.length_cm + 2 * plan.hem_cm,
        farthest_tape_cm=(setup.woven_length_cm + more_cm) * tight,
        farthest_off_loom_length_cm=farthest_cm,
        farthest_washed_length_cm=farthest_cm * kept_length,
    )


def stops(check: Check, fringe_cut_cm: float) -> list[facts.Stop]:
    """Every stretch by the tape, tight: header, sample, each piece; what stays unwoven after it."""
    plan, setup = check.plan, check.setup
    tight = setup.tape_length_cm / setup.woven_length_cm
    between_cm = plan.gap_cm + 2 * fringe_cut_cm
    stretches = [("header", plan.header_cm, 0.0), ("sample", plan.sample_cm, 0.0)]
    for number in range(1, plan.pieces + 1):
        name = "the cloth" if plan.pieces == 1 else f"piece {number}"
        unwoven_cm = between_cm if number < plan.pieces else 0.0
        stretches.append((name, setup.off_loom_length_cm, unwoven_cm))
    found, upto_cm = [], 0.0
    for what, rested_cm, unwoven_cm in stretches:
        if rested_cm:
            upto_cm += rested_cm * tight
            found.append(facts.Stop(what, rested_cm * tight, upto_cm, unwoven_cm))
    return found
