"""What a planned cloth claims of its skeins, so that its promise holds whoever takes the rest."""

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from shlex import quote

from farspun.craft.case import Case, Yarn
from farspun.craft.plan import Plan
from farspun.craft.reach import Reach, odds_alone
from farspun.services.answers import Notice
from farspun.services.case_for import asked_sides, free_share, yarn_groups
from farspun.store.supplies import Supply
from farspun.units import say_mass, say_odds

NOT_KEPT = "not-kept"
MG_PER_G = 1000
MORE = 1.02  # times, each time the promise is not kept yet; judgement: a fiftieth of the yarn
A_WHOLE_MG = 1e-6  # what rounding may add to whole mg is not one more
MOST_ROUNDS = 60  # of those; three times as much
LOST = 0.005  # of the odds; judgement: less is a few of the draws

Claims = dict[tuple[int, str], int]  # mg by skein and side


def claims_mg(plan: Plan, case: Case, answer: Reach, stock: Mapping[int, Supply]) -> Claims:
    """What the plan claims: of each yarn the share it is to keep of what is free, in order.

    A yarn of several skeins is less sure by the first of them than by all; so more is claimed,
    a little at a time, until what is claimed alone keeps the promise, where all that is free does.
    """
    claims, times = _shares(plan, answer, stock, 1.0), 1.0
    odds = answer.odds.all if case.cut else answer.odds.yarn
    if plan.status != "planned" or not _several(case) or odds < plan.promise:
        return claims
    for _ in range(MOST_ROUNDS):
        if odds_if_only(case, plan, claims, stock) >= plan.promise:
            break
        times *= MORE
        before, claims = claims, _shares(plan, answer, stock, times)
        if claims == before:
            break  # all that is free is claimed
    return claims


def _several(case: Case) -> bool:
    """Whether a yarn is of several skeins, or a skein on both sides."""
    skeins = [one.name for yarn in (*case.warp, *case.weft) for one in yarn.skeins]
    yarns = len(case.warp) + len(case.weft)
    return len(skeins) > yarns or len(set(skeins)) < len(skeins)


def _shares(plan: Plan, answer: Reach, stock: Mapping[int, Supply], times: float) -> Claims:
    left = {
        one: math.floor(free_share(supply, plan.id) * (supply.balance_mg or 0))
        for one, supply in stock.items()
    }
    claims: Claims = {}
    for side, parts, needs in asked_sides(plan, answer.warp, answer.weft):
        for group, need in zip(yarn_groups(parts), needs, strict=True):
            per_mg = _metres_per_mg([stock[part.skein_id] for part in group])
            free = sum(left[part.skein_id] * m for part, m in zip(group, per_mg, strict=True))
            held = sum(
                _held_mg(stock[part.skein_id], plan) * m
                for part, m in zip(group, per_mg, strict=True)
            )
            wanted = max(0.0, min(1.0, times * need.keep_share) * (free + held) - held)
            for part, m in zip(group, per_mg, strict=True):
                taken = min(math.ceil(wanted / m - A_WHOLE_MG), left[part.skein_id])
                claims[part.skein_id, side] = claims.get((part.skein_id, side), 0) + taken
                left[part.skein_id] -= taken
                wanted = max(0.0, wanted - taken * m)
    return claims


def _metres_per_mg(skeins: Sequence[Supply]) -> list[float]:
    """Of each skein of one yarn: the share to keep is one of its metres, and a gram of the finer
    skein is more of them. Where one is not known, a gram of any counts alike."""
    if all(one.known and one.balance_mg and one.ln_length > -math.inf for one in skeins):
        return [math.exp(one.ln_length) / (one.balance_mg or 1) for one in skeins]
    return [1.0] * len(skeins)


def odds_if_only(
    case: Case, plan: Plan, claims: Mapping[tuple[int, str], int], stock: Mapping[int, Supply]
) -> float:
    """The odds that the verdict is on, if others took all but these claims."""
    return odds_alone(kept_case(case, claims, stock), {})[0]


def kept_case(
    case: Case, claims: Mapping[tuple[int, str], int], stock: Mapping[int, Supply]
) -> Case:
    """The case with nothing but these claims, and what was taken for it already."""
    kept: dict[int, int] = {}
    for (skein_id, _), mg in claims.items():
        kept[skein_id] = kept.get(skein_id, 0) + mg
    part = {
        one.name: kept.get(number, 0) / one.balance_mg if one.balance_mg else 0.0
        for number, one in stock.items()
    }

    def only(yarn: Yarn) -> Yarn:
        skeins = (one if one.in_hand else replace(one, free=part[one.name]) for one in yarn.skeins)
        return replace(yarn, skeins=tuple(skeins))

    return replace(case, warp=tuple(map(only, case.warp)), weft=tuple(map(only, case.weft)))


def not_kept(
    plan: Plan, case: Case, wanted_mg: Mapping[tuple[int, str], int], stock: Mapping[int, Supply]
) -> Iterator[Notice]:
    """Yarn that claiming again would keep for a stored cloth, and that is not kept now."""
    if plan.id is None or plan.status != "planned":
        return
    wanted: dict[int, int] = {}
    for (skein_id, _), mg in wanted_mg.items():
        wanted[skein_id] = wanted.get(skein_id, 0) + mg
    kept = {
        one: sum(mg for cloth_id, mg in stock[one].claims if cloth_id == plan.id) for one in wanted
    }
    short = [one for one in wanted if kept[one] < wanted[one] - MG_PER_G]
    if not short:
        return
    now = odds_if_only(case, plan, {(one, ""): mg for one, mg in kept.items()}, stock)
    then = odds_if_only(case, plan, {(one, ""): mg for one, mg in wanted.items()}, stock)
    if now >= min(then, plan.promise) - LOST:
        return
    for one in short:
        name, grams = stock[one].name, wanted[one] / MG_PER_G
        of = f"only {say_mass(kept[one] / MG_PER_G)}" if kept[one] else "nothing"
        yield Notice(
            NOT_KEPT,
            f"Of {name} {of} is kept for it, and it wants {say_mass(grams)}; if others take the"
            f" rest it is {say_odds(now, plan.promise)}: farspun cloth claim"
            f" {quote(plan.name or '')}",
        )


def _held_mg(supply: Supply, plan: Plan) -> int:
    """What was taken from a skein for this cloth."""
    return round(1000 * sum(g for cloth_id, g, _ in supply.in_hand if cloth_id == plan.id))
