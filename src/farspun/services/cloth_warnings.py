"""What to know beside the verdict: each a stable code and a sentence."""

from collections.abc import Iterator, Mapping
from dataclasses import replace
from typing import cast

from farspun.craft.case import Case
from farspun.craft.draft_on_loom import on_rigid_heddle, shafts_lacking
from farspun.craft.drawn import drawn_draft, drawn_name, drawn_weave
from farspun.craft.fibres import Draw, blend
from farspun.craft.plan import WARPED, Plan
from farspun.craft.reach import Reach
from farspun.craft.reed import best_sleying
from farspun.craft.sett import STICKY_SHARE, upper_bound
from farspun.craft.winding import winding
from farspun.services.answers import Notice, SetupAnswer, SizeAllowance
from farspun.services.order_notes import order_notices
from farspun.services.planning import suggested_sett
from farspun.services.setting_up import NEAR_ENOUGH
from farspun.services.stock import Stock
from farspun.store.supplies import Supply
from farspun.units import say_length, say_per_cm, say_percent

FAR_OFF = 0.15  # of the suggested sett; judgement: the spread of what grist suggests
MUCH_FOR_SIZE = 0.10  # of the warp yarn; judgement: then a washed sample pays


def cloth_warnings(
    plan: Plan,
    case: Case,
    stock: Stock,
    answer: Reach,
    allowance: SizeAllowance,
    setup: SetupAnswer,
) -> list[Notice]:
    """All that should be said, the gravest first; of a warp that is wound nothing more."""
    if plan.status in WARPED:
        ids = {part.skein_id for part in plan.weft}
        weft = replace(stock, supplies={one: stock.supplies[one] for one in ids})
        return [*_about_yarn(weft), *_about_claims(plan, weft, answer)]
    return [
        *_about_yarn(stock),
        *_about_claims(plan, stock, answer),
        *_about_wash(plan, stock),
        *_about_winding(plan, case),
        *order_notices(plan, case, stock.supplies, setup, answer.verdict == "reaches"),
        *_about_size(plan, case, answer, allowance, setup),
        *_about_reed(plan, stock),
        *_about_sett(plan, stock.supplies),
        *_about_shafts(plan),
        *_about_edges(plan, case),
    ]


def _about_yarn(stock: Stock) -> Iterator[Notice]:
    for one in stock.supplies.values():
        if not one.known:
            yield Notice("length-unknown", f"Nothing is known of {one.name}'s length: weigh it.")
        elif one.balance_mg == 0:
            yield Notice("used-up", f"Nothing is left of {one.name}.")
        if one.closed:
            yield Notice("closed", f"{one.name} was closed: it is no longer in the stash.")
        claimed = sum(mass for _, mass in one.claims)
        if one.balance_mg is not None and claimed > one.balance_mg:
            yield Notice(
                "overclaimed",
                f"{one.name} is promised to cloths for more than it holds now: claim again.",
            )
        if one.skein_id in stock.doubts:
            yield Notice("readings-disagree", f"{one.name}: {stock.doubts[one.skein_id]}")
        if one.forgotten_take:
            yield Notice(
                "forgotten-take",
                f"{one.name} weighs less than was written down: was a take forgotten?",
            )


def _about_claims(plan: Plan, stock: Stock, answer: Reach) -> Iterator[Notice]:
    """Where the yarn does not reach: what other cloths keep of it."""
    if answer.verdict == "reaches":
        return
    for said in stock.keepers(plan.id, {one.name for one in stock.supplies.values()}):
        yield Notice("claimed", f"{said}.")


def _about_wash(plan: Plan, stock: Stock) -> Iterator[Notice]:
    """Yarn that was not washed yet: how it is taken, and what it does beside washed yarn."""
    fresh = [one for one in stock.unwashed if "relaxed" not in stock.seen[one]]
    names = [one.name for one in stock.supplies.values() if one.skein_id in fresh]
    if not names:
        return
    said, are = " and ".join(names), "are" if len(names) > 1 else "is"
    if not plan.as_spun:
        text = f"{said} {are} not washed yet, and taken as washed: wash before you wind."
        yield Notice("wash-first", text)
    elif len(names) < len(stock.supplies):
        yield Notice(
            "puckers",
            f"{said} {are} not washed yet and the other yarns are: in the wash it shrinks more than"
            " they do, and the cloth puckers there.",
        )


def _about_winding(plan: Plan, case: Case) -> Iterator[Notice]:
    """Whole ends from each skein at the medians: too few, or just too few for repairs."""
    for at, yarn in enumerate(case.warp):
        lengths = [skein.free * skein.median_m for skein in yarn.skeins]
        ends = case.warp_ends(at)
        wound = winding(lengths, ends, case.warp_cut_cm, pairs=plan.direct)
        if wound.missing_ends and sum(lengths) * 100 >= ends * case.warp_cut_cm:
            yield Notice(
                "short-ends",
                f"{yarn.name} holds the metres, but in whole ends {wound.missing_ends} are"
                f" missing: {say_length(wound.tails_m)} stay as tails too short for an end.",
            )


def _about_size(
    plan: Plan, case: Case, answer: Reach, allowance: SizeAllowance, setup: SetupAnswer
) -> Iterator[Notice]:
    if answer.size_too_small:
        yield Notice(
            "set-up-too-small",
            f"The set-up, not the yarn, is too small: {case.ends} ends and"
            f" {case.warp_cut_cm:.0f} cm of warp keep the size only too seldom.",
        )
    if setup.warp_yarn_cut_m and allowance.yarn_m > MUCH_FOR_SIZE * setup.warp_yarn_cut_m:
        share = say_percent(round(allowance.yarn_m / setup.warp_yarn_cut_m, 2))
        yield Notice(
            "sample-first",
            f"{share} of the warp yarn is there only for size: a washed sample saves most of it.",
        )
    if plan.width_cm > plan.length_cm and not plan.cut:
        yield Notice("wider-than-long", f"It is wider than long ({plan.size_said}): as meant?")


def _about_reed(plan: Plan, stock: Stock) -> Iterator[Notice]:
    """Where the sett is far from the one asked for, or from what the yarn suggests, and what else
    there is."""
    if plan.reed is None:
        return
    wanted = plan.sett_asked or suggested_sett(plan, stock)
    if wanted is None:
        return
    off = plan.sett_per_cm / wanted - 1
    if abs(off) <= (NEAR_ENOUGH if plan.sett_asked else FAR_OFF):
        return
    whose = "you asked for" if plan.sett_asked else "the yarn suggests"
    far = f"{_say_off(off)} than {whose} ({say_per_cm(wanted)})"
    gives = f"{plan.reed.name} gives {say_per_cm(plan.sett_per_cm)}: {far}"
    yield Notice("reed-far-off", f"{gives}{_better_reed(plan, stock, wanted)}.")


def _better_reed(plan: Plan, stock: Stock, wanted: float) -> str:
    """What would come nearer: another reed of hers, else one she would have to get."""
    assert plan.reed is not None
    fitting = [reed for reed in stock.reeds if reed.fits(plan.loom) and reed.id != plan.reed.id]
    best = min(
        (
            (abs(best_sleying(wanted, reed.dents_per_10cm, reed.rigid_heddle).off_fraction), reed)
            for reed in fitting
        ),
        key=lambda found: found[0],
        default=None,
    )
    if best is not None and best[0] < abs(plan.sett_per_cm / wanted - 1) - NEAR_ENOUGH:
        return f"; {best[1].name} comes nearer (--reed)"
    return f", and none of yours comes nearer; a reed of {10 * wanted:.0f}/10 cm would"


def _say_off(off: float) -> str:
    """How far a sett is off, as a part of the wanted one: “12 % closer”."""
    if off >= 1:
        return f"{1 + off:.1f} times closer"
    return f"{say_percent(round(abs(off), 2))} {'closer' if off > 0 else 'more open'}"


def _about_sett(plan: Plan, supplies: Mapping[int, Supply]) -> Iterator[Notice]:
    if plan.loom is None:
        yield Notice(
            "no-loom",
            "No loom of yours is known yet, so the sett is only what suits the yarn:"
            " farspun loom add, farspun reed add.",
        )
    elif plan.reed is None:
        kept = "as you asked" if plan.sett_asked else "what suits the yarn"
        yield Notice(
            "no-reed",
            f"None of your reeds for {plan.loom.name} gives {say_per_cm(plan.sett_per_cm)}:"
            f" the sett is {kept}.",
        )
    known = [supplies[part.skein_id] for part in plan.warp if supplies[part.skein_id].tex_known]
    if not known or plan.purpose == "warp-faced":
        return
    thickest = max(known, key=lambda one: one.tex)
    draw = cast(Draw, thickest.draw)
    bound = upper_bound(thickest.tex, blend(thickest.blend), draw, drawn_weave(plan.weave))
    if plan.sett_per_cm > bound:
        yield Notice(
            "sett-above-bound",
            f"{thickest.name} at {say_per_cm(plan.sett_per_cm)} cannot be beaten in: at most"
            f" {say_per_cm(bound)} can be woven.",
        )
    elif plan.sett_per_cm > STICKY_SHARE * bound and not thickest.mill:
        yield Notice("sheds-stick", "At this sett the sheds of handspun will stick.")


def _about_shafts(plan: Plan) -> Iterator[Notice]:
    """Heddles that do not lift all of it; one is enough for plain weave."""
    if plan.loom is None or plan.loom.kind != "rigid-heddle":
        return
    draft = drawn_draft(plan.weave)
    lacking = shafts_lacking(draft, plan.loom)
    heddles = on_rigid_heddle(draft)
    name = drawn_name(plan.weave)
    if lacking is not None:
        yield Notice("shafts", f"{name[:1].upper()}{name[1:]}: {lacking[0]}. {lacking[1]}")
    elif heddles is not None and heddles.heddles > 1:
        yield Notice("shafts", f"In {name}: two rigid heddles, one behind the other.")


def _about_edges(plan: Plan, case: Case) -> Iterator[Notice]:
    drawn = drawn_weave(plan.weave)
    if not plan.floating_selvedges and drawn.start_from is None:
        yield Notice(
            "floating-selvedge",
            f"In {drawn_name(plan.weave)} an edge end is never caught: add 2 floating ends.",
        )
    threads = case.ends + case.size.floating_selvedges
    if plan.direct and threads % 2:
        yield Notice("odd-ends", f"Direct warping gives pairs: {threads} ends leave one to spare.")
