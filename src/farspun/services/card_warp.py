"""The warp of a cloth for its card: how its length comes about, its order, bouts and skeins."""

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import accumulate

from farspun.cards import facts
from farspun.craft.amounts import ends_by_order
from farspun.craft.bouts import bouts, dents_filled
from farspun.craft.plan import WARPED, Part, Plan
from farspun.craft.winding import Winding, winding
from farspun.services.answers import Check, OrderAnswer
from farspun.services.case_for import free_share, yarn_groups
from farspun.services.factors import FACTORS
from farspun.store.supplies import Supply

Supplies = Mapping[int, Supply]
LEAST_CM = 0.05  # judgement: a step of less is not told


@dataclass(frozen=True, slots=True)
class WarpYarn:
    """One yarn of the warp, and how it is wound at the middle of its skeins' lengths."""

    group: list[Part]
    winding: Winding


def warping(check: Check, supplies: Supplies) -> facts.Warp:
    """How the warp is made."""
    plan, setup = check.plan, check.setup
    ends = setup.ends - plan.floating_selvedges
    order = stripes_in(setup.warp_order) or _parts_in_order(plan, supplies, ends)
    repeat = order.threads if order else plan.end_step
    direct, wound = plan.direct, warp_yarns(check, supplies)
    return facts.Warp(
        direct=direct,
        ends=ends,
        floating_selvedges=plan.floating_selvedges,
        steps=list(_with_sums(length_steps(check))),
        order=order,
        skeins=list(_skeins(wound, supplies)),
        missing_ends=sum(one.winding.missing_ends for one in wound),
        bouts=() if direct else bouts(ends, repeat),
        peg_cm=setup.warp_cut_cm if direct else None,
        loops=-(-ends // 2) if direct else None,
    )


def stripes_in(order: OrderAnswer | None) -> facts.Stripes | None:
    """An order as the answer has it."""
    if order is None:
        return None
    found = [facts.Stripe(one.yarn, one.threads, one.upto) for one in order.stripes]
    return facts.Stripes(order.threads, order.repeats, order.over, found)


def _parts_in_order(plan: Plan, supplies: Supplies, ends: int) -> facts.Stripes | None:
    """Of a warp whose yarns were given with their ends: that repeat; None for one yarn."""
    parts = [(supplies[part.skein_id].name, part.ends) for part in plan.warp if part.ends]
    if len(parts) < 2:
        return None
    upto = list(accumulate(number for _, number in parts))
    repeats, over = divmod(ends, upto[-1])
    found = [facts.Stripe(*one, to) for one, to in zip(parts, upto, strict=True)]
    return facts.Stripes(upto[-1], repeats, over, found)


def length_steps(check: Check) -> Iterator[tuple[str, float, float | None]]:
    """(what, cm it adds, the loss it comes of) from the finished length to the warp as cut."""
    plan, setup = check.plan, check.setup
    means = {one.name: one.mean for one in check.assumptions}
    hemmed_cm = plan.length_cm + 2 * plan.hem_cm
    slack_cm = setup.woven_length_cm / (1 - means[FACTORS["take_up"]])
    waste_cm, gaps_cm = means[FACTORS["waste_cm"]], (plan.pieces - 1) * plan.gap_cm
    fringes_cm = setup.warp_length_cm - slack_cm - waste_cm - gaps_cm
    shrunk = 1 - hemmed_cm / setup.off_loom_length_cm
    before_cm = setup.woven_length_cm - setup.off_loom_length_cm
    steps = [
        ("finished length", plan.length_cm, None),
        ("hems", 2 * plan.hem_cm, None),
        ("shrinkage", setup.off_loom_length_cm - hemmed_cm, shrunk),
        ("other pieces", (plan.pieces - 1) * setup.off_loom_length_cm, None),
        ("sample and header", before_cm - (plan.pieces - 1) * setup.off_loom_length_cm, None),
        ("take-up", slack_cm - setup.woven_length_cm, means[FACTORS["take_up"]]),
        ("gaps", gaps_cm, None),
        ("fringes", fringes_cm, None),
        ("loom waste", waste_cm, None),
        (_margin(plan), setup.warp_cut_cm - setup.warp_length_cm, None),
    ]
    yield from (step for number, step in enumerate(steps) if not number or step[1])


def _margin(plan: Plan) -> str:
    return "as you settled it" if plan.warp_cut_cm else "margin for size"


def _with_sums(steps: Iterator[tuple[str, float, float | None]]) -> Iterator[facts.LengthStep]:
    cm = 0.0
    for what, adds_cm, part in steps:
        cm += adds_cm
        if abs(adds_cm) >= LEAST_CM:
            yield facts.LengthStep(what, adds_cm, cm, part)


def _skeins(wound: Sequence[WarpYarn], supplies: Supplies) -> Iterator[facts.SkeinEnds]:
    """The skeins of each warp yarn with their ends."""
    for one in wound:
        upto = 0
        names = [supplies[part.skein_id].name for part in one.group]
        for name, skein in zip(names, one.winding.skeins, strict=True):
            upto += skein.ends
            yield facts.SkeinEnds(" + ".join(names), name, skein.ends, upto)


def warp_yarns(check: Check, supplies: Supplies) -> list[WarpYarn]:
    """Each warp yarn as it is wound; none where it is wound already."""
    plan, setup = check.plan, check.setup
    if plan.status in WARPED:
        return []
    groups = yarn_groups(plan.warp)
    found = []
    for number, (group, ends) in enumerate(
        zip(groups, _ends(check, supplies, groups), strict=True)
    ):
        ends += 0 if number else plan.floating_selvedges  # they go with the first yarn
        lengths = [_free_m(supplies[part.skein_id], plan) for part in group]
        wound = winding(lengths, ends, setup.warp_cut_cm, pairs=plan.direct)
        found.append(WarpYarn(group, wound))
    return found


def _ends(check: Check, supplies: Supplies, groups: list[list[Part]]) -> list[int]:
    """Ends of each warp yarn, floating selvedges not counted."""
    plan, setup = check.plan, check.setup
    ends = setup.ends - plan.floating_selvedges
    if setup.warp_order is not None:
        own = {one.yarn: one.threads for one in setup.warp_order.yarns}
        return [own[supplies[group[0].skein_id].name] for group in groups]
    order = [(str(at), group[0].ends) for at, group in enumerate(groups) if group[0].ends]
    counts = ends_by_order(order, ends) if order else {}
    return [counts.get(str(at), ends) for at, _ in enumerate(groups)]


def _free_m(supply: Supply, plan: Plan) -> float:
    """Metres of a skein that no other cloth claims; 0 where nothing is known of it."""
    return math.exp(supply.ln_length) * free_share(supply, plan.id) if supply.known else 0.0


def sleying(check: Check) -> facts.Sleying | None:
    """Where the warp stands in the reed; None where no reed of hers is chosen."""
    plan = check.plan
    if plan.reed is None or not plan.per_dent:
        return None
    found = dents_filled(check.setup.ends - plan.floating_selvedges, plan.per_dent)
    return facts.Sleying(
        reed=plan.reed.name,
        dents_per_10cm=plan.reed.dents_per_10cm,
        rigid_heddle=plan.reed.rigid_heddle,
        per_dent=list(plan.per_dent),
        dents=found.dents,
        left_of_middle=found.left_of_middle,
        middle_end=found.middle_end,
    )
