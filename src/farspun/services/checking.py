"""Will it reach: one cloth's plan against the stash as it is now."""

import math
from dataclasses import dataclass, replace

from sqlalchemy import Connection

from farspun.craft.amounts import Amounts, Wanted, amounts
from farspun.craft.case import Case, Spreads, Yarn
from farspun.craft.learned import Learned
from farspun.craft.plan import WARPED, Plan
from farspun.craft.reach import Need, Reach, reach
from farspun.craft.settle import SAMPLE_CM, Settling, best_settling
from farspun.craft.spread import Spread
from farspun.services.after_sample import size_after_sample
from farspun.services.answers import (
    UNKNOWN_POINTS,
    Assumption,
    CauseShare,
    Check,
    NeedAnswer,
    Notice,
    OddsAnswer,
    SetupAnswer,
    SizeAfter,
    SizeAllowance,
    Three,
    ToldBy,
    ToSettle,
)
from farspun.services.case_for import Settling as Settled
from farspun.services.case_for import (
    settled_case,
)
from farspun.services.claiming import claims_mg, not_kept
from farspun.services.cloth_now import cloth_now
from farspun.services.cloth_warnings import cloth_warnings
from farspun.services.factors import FACTORS
from farspun.services.habits_for import let_off_for, spreads_for
from farspun.services.orders import spans_of_picks, warp_order_answer, weft_order_answer
from farspun.services.other_reeds import other_reed
from farspun.services.stock import Block, Stock, stock_to_weave
from farspun.services.taught import Taught
from farspun.store.equipment import OF_THE_LOOM
from farspun.store.supplies import Supply

NO_ALLOWANCE = SizeAllowance(length_cm=0.0, ends=0, yarn_m=0.0)  # a warp is as long as it is
MG_PER_G = 1000
TO_DO = {
    "re-count": "wash {skein}, let it dry slack and count it{again}",
    "weigh": "weigh {skein}{again}, dry, to the gram",
    "test length": "weigh 10 m of {skein} to a tenth of a gram",
    "wraps": "wrap {skein}{again}",
    "washed sample": "weave and wash a sample of {cm:.0f} cm, measure it and count its picks",
}


@dataclass(frozen=True, slots=True)
class Asked:
    """A plan with what the stash says to it, and its set-up settled."""

    plan: Plan
    stock: Stock
    block: Block
    spreads: Spreads
    settled: Settled

    @property
    def unknown(self) -> set[str]:
        """Skeins of whose length no reading speaks."""
        return {one.name for one in self.stock.supplies.values() if not one.known}


def asked_of(connection: Connection, plan: Plan, known: Taught | None = None) -> Asked:
    """What a plan, stored or not, asks of the stash; `known` as in `stock_for`."""
    stock, block = stock_to_weave(connection, plan.skein_ids, plan.as_spun, known)
    spreads = spreads_for(plan, stock)
    return Asked(plan, stock, block, spreads, settled_case(plan, spreads, stock.supplies, block))


def checked(connection: Connection, plan: Plan, known: Taught | None = None) -> Check:
    """The whole answer for a plan, stored or not; `known` as in `stock_for`."""
    return answered_in(connection, asked_of(connection, plan, known))


def answered_in(connection: Connection, asked: Asked) -> Check:
    """The whole answer to it, with the later cloths that keep what it needs."""
    from farspun.services.share_anew import later_keepers

    check = answered(asked)
    return replace(check, later_keepers=later_keepers(connection, asked, check.asked_odds))


def answered(asked: Asked) -> Check:
    """The whole answer to it."""
    plan, stock, spreads, settled = asked.plan, asked.stock, asked.spreads, asked.settled
    case, unknown, block = settled.case, asked.unknown, asked.block
    answer = reach(case)
    offer = best_settling(case, answer.doubt, answer.verdict)
    setup = set_up_answer(plan, case, spreads, stock)
    warped = plan.status in WARPED
    allowance = NO_ALLOWANCE if warped else _allowance(settled)
    check = Check(
        cloth=plan.name,
        status=plan.status,
        verdict=answer.verdict,
        promise=plan.promise,
        odds=_odds(answer),
        warp=[_need(need, unknown) for need in answer.warp],
        weft=[_need(need, unknown) for need in answer.weft],
        setup=setup,
        allowance_for_size=allowance,
        drivers=[CauseShare(driver.cause, driver.share) for driver in answer.drivers],
        settle=_to_settle(offer, stock, size_after_sample(plan, spreads, settled)),
        warnings=cloth_warnings(plan, case, stock, answer, allowance, setup),
        cloth_now=cloth_now(plan, spreads, stock),
        assumptions=_assumptions(plan, spreads, stock),
        plan=plan,
        weakest=_weakest(case, answer),
        claims_mg=claims_mg(plan, case, answer, stock.supplies),
        split_m=_split(plan, answer),
    )
    if not warped:
        check.warnings.extend(other_reed(plan, stock, block, answer))
    check.warnings.extend(not_kept(plan, case, check.claims_mg, stock.supplies))
    if unknown:
        return _unknown_length(check, unknown)
    by_weight = _only_weighed(stock)
    return check if warped or by_weight is None else _by_weight_alone(check, by_weight)


def _only_weighed(stock: Stock) -> Supply | None:
    """The first skein of which nothing but its weight is known."""
    alone = (
        one
        for one in stock.supplies.values()
        if not one.tex_known and one.balance_mg and "counted" not in stock.seen[one.skein_id]
    )
    return next(alone, None)


def _by_weight_alone(check: Check, one: Supply) -> Check:
    """How long a skein is that was only weighed is hardly known: that comes before all else."""
    settle = ToSettle(TO_DO["test length"].format(skein=one.name), None)
    notice = Notice(
        "only-weighed",
        f"Only the weight of {one.name} is known: how many metres it has may be many times more or"
        " less, so the odds are a guess until its test length, wraps or count is told.",
    )
    return replace(
        check,
        drivers=[CauseShare("length", 1.0)],
        settle=settle,
        weakest=one.name,
        warnings=[notice, *check.warnings],
    )


def _odds(answer: Reach) -> OddsAnswer:
    odds = answer.odds
    return OddsAnswer(odds.yarn, odds.warp, odds.weft, odds.size, odds.all)


def _need(need: Need, unknown: set[str]) -> NeedAnswer:
    names = [skein.name for skein in need.yarn.skeins if not skein.in_hand]
    asked = Three(need.need_m.p05, need.need_m.p50, need.need_m.p95)
    if unknown.intersection(names):
        return NeedAnswer(names, asked, UNKNOWN_POINTS, None, None, None)
    have = Three(need.have_m.p05, need.have_m.p50, need.have_m.p95)
    tex = _tex(need.yarn)
    short_g = None if tex is None else need.short_m * tex / 1000
    held = sum(skein.median_m for skein in need.yarn.skeins if skein.in_hand)
    return NeedAnswer(names, asked, have, need.odds, need.short_m, short_g, held)


def _tex(yarn: Yarn) -> float | None:
    """The yarn's grist: mass over length of its skeins; None where it is not known."""
    if any(skein.tex is None for skein in yarn.skeins):
        return None
    lengths = [skein.median_m for skein in yarn.skeins]
    masses = [skein.median_m * (skein.tex or 0.0) for skein in yarn.skeins]
    total = sum(lengths)
    return sum(masses) / total if total > 0 else yarn.skeins[0].tex


def _unknown_length(check: Check, unknown: set[str]) -> Check:
    """No reading speaks of a skein's length: nothing can be promised until it is weighed."""
    first = sorted(unknown)[0]

    def known(needs: list[NeedAnswer], odds: float | None) -> float | None:
        return None if any(need.odds is None for need in needs) else odds

    warp, weft = known(check.warp, check.odds.warp), known(check.weft, check.odds.weft)
    return replace(
        check,
        verdict="uncertain",
        odds=OddsAnswer(None, warp, weft, check.odds.size, None),
        drivers=[CauseShare("length", 1.0)],
        settle=ToSettle(f"weigh {first}", None),
        weakest=first,
    )


def set_up_answer(plan: Plan, case: Case, spreads: Spreads, stock: Stock) -> SetupAnswer:
    """Middle values throughout, with the ends and warp length settled."""
    size = case.size
    lost_length = 1 - spreads.shrink_length.factor * spreads.relax_length.factor
    lost_width = 1 - spreads.shrink_width.factor * spreads.relax_width.factor
    found: Amounts = amounts(
        Wanted(
            width_cm=size.width_cm,
            length_cm=size.length_cm,
            sett_per_cm=case.ends_per_cm,
            picks_per_cm=case.picks_per_cm,
            pieces=size.pieces,
            draw_in=spreads.draw_in.mean,
            take_up=spreads.take_up.mean,
            weft_take_up=_pick_over_reed(spreads) - 1,
            let_off=let_off_for(plan, stock).mean,
            shrink_width=lost_width,
            shrink_length=lost_length,
            hem_cm=size.hem_cm,
            side_hem_cm=size.side_hem_cm,
            fringe_cm=size.fringe_cm,
            gap_cm=size.gap_cm,
            header_cm=size.header_cm,
            sample_cm=size.sample_cm,
            waste_cm=spreads.waste_cm.mean,
            floating_selvedges=size.floating_selvedges,
            fringe_from_waste=size.fringe_from_waste,
        ),
        ends=case.ends,
        warp_cut_cm=math.ceil(case.warp_cut_cm - 1e-6),
    )
    return SetupAnswer(
        **{name: getattr(found, name) for name in Amounts.__slots__},
        sett_ends_per_cm=case.ends_per_cm,
        reed=plan.reed.name if plan.reed else None,
        per_dent=list(plan.per_dent) if plan.per_dent else None,
        picks_per_cm=case.picks_per_cm,
        warp_order=warp_order_answer(plan.warp_order, case.ends),
        weft_order=weft_order_answer(
            plan.weft_order,
            case.picks_per_cm,
            spans_of_picks(size, spreads, case.picks_per_cm),
        ),
    )


def _pick_over_reed(spreads: Spreads) -> float:
    """A pick's yarn over the reed width, all middle values."""
    if spreads.weft_take_up is not None:
        return spreads.weft_take_up.factor
    return max(1.0, spreads.draw_in.factor * spreads.weft_crimp.factor) * spreads.joins.factor


def _allowance(settled: Settled) -> SizeAllowance:
    """This set-up less the one at all middle values for the full size, not below 0."""
    case, middle = settled.case, settled.middle
    own = case.ends * case.warp_cut_cm / 100
    return SizeAllowance(
        length_cm=max(0.0, case.warp_cut_cm - middle.warp_cut_cm),
        ends=max(0, case.ends - middle.ends),
        yarn_m=max(0.0, own - middle.ends * middle.warp_cut_cm / 100),
    )


def _to_settle(
    offer: Settling | None, stock: Stock, after_sample: SizeAfter | None
) -> ToSettle | None:
    if offer is None:
        return None
    again = "" if offer.skein is None else _again(offer.reading, offer.skein, stock)
    do = TO_DO[offer.reading].format(skein=offer.skein, again=again, cm=SAMPLE_CM)
    sampled = after_sample if offer.skein is None else None
    return ToSettle(do, offer.odds_after, offer.clear_yes, sampled)


def _again(reading: str, skein: str, stock: Stock) -> str:
    """ " again" where she took that reading of the skein before."""
    kind = {"re-count": "counted", "weigh": "weighed", "wraps": "wrapped"}.get(reading)
    ids = [one.skein_id for one in stock.supplies.values() if one.name == skein]
    return " again" if any(kind in stock.seen[number] for number in ids) else ""


def _assumptions(plan: Plan, spreads: Spreads, stock: Stock) -> list[Assumption]:
    """Every factor in the order it is said; factors that play no part are left out."""
    found = []
    for factor, name in FACTORS.items():
        spread = let_off_for(plan, stock) if factor == "let_off" else getattr(spreads, factor)
        replaced = factor in ("weft_crimp", "joins") and spreads.weft_take_up is not None
        if spread is None or replaced or (factor.startswith("relax_") and not spread.sd):
            continue
        found.append(Assumption(name, spread.mean, spread.sd, spread.origin, _told_by(spread)))
    return found


def _told_by(spread: Spread) -> ToldBy:
    """Her hand (for this cloth, or of the loom), her own records, or habit."""
    if spread.by_hand or spread.origin == OF_THE_LOOM:
        return "hand"
    taught = isinstance(spread, Learned) and (spread.own_records or spread.pieces or spread.others)
    return "records" if taught else "habit"


def _weakest(case: Case, answer: Reach) -> str | None:
    if answer.doubt is None:
        return None
    side = case.warp if answer.doubt.side == "warp" else case.weft
    return side[answer.doubt.position].name


def _split(plan: Plan, answer: Reach) -> tuple[float, float] | None:
    """Metres for warp and for weft, where one yarn serves both sides."""
    on_both = {p.skein_id for p in plan.warp} & {p.skein_id for p in plan.weft}
    if not on_both:
        return None
    warp = sum(need.need_m.p50 for need in answer.warp)
    return warp, sum(need.need_m.p50 for need in answer.weft)
