"""What another reed would do: where the yarn does not reach, a more open sett often does."""

from collections.abc import Iterator
from dataclasses import replace
from shlex import quote

from farspun.craft.plan import Plan, Reed
from farspun.craft.reach import Reach, reach
from farspun.craft.reed import best_sleying
from farspun.errors import ImpossibleValue
from farspun.services.answers import Notice
from farspun.services.case_for import settled_case
from farspun.services.habits_for import spreads_for
from farspun.services.orders import refuse_longer
from farspun.services.planning import ends_in_reed, set_up_on, suggested_sett
from farspun.services.stock import Block, Stock
from farspun.units import say_odds, say_per_cm

WORTH_SAYING = 0.05  # more odds than now; judgement
FARTHEST = 0.35  # off the sett that suits the yarn; judgement: beyond it is another cloth
MOST_TRIED = 3  # reeds; judgement


def other_reed(plan: Plan, stock: Stock, block: Block, answer: Reach) -> Iterator[Notice]:
    """A word on the reed with which the yarn would reach more surely; hers before one to get.

    Nothing where the yarn reaches, or where she named the sett herself.
    """
    if answer.verdict == "reaches" or plan.sett_asked or plan.reed is None or plan.reed_asked:
        return
    wanted = suggested_sett(plan, stock)
    if wanted is None:
        return
    tried = [(_odds(other, stock, block), other) for other in _others(plan, stock, wanted)]
    odds, best = max(tried, key=lambda found: found[0], default=(0.0, plan))
    if odds < answer.odds.yarn + WORTH_SAYING:
        return
    if best.reed is not None:
        how = f"With {best.reed.name} ({say_per_cm(best.sett_per_cm)}): --reed"
        how = f"{how} {quote(best.reed.name)}"
    else:
        how = f"With a reed that gives {say_per_cm(best.sett_per_cm)}, which you do not have"
    yield Notice("other-reed", f"{how}: {say_odds(odds, plan.promise)} that the yarn reaches.")


def _others(plan: Plan, stock: Stock, wanted: float) -> Iterator[Plan]:
    """Her other reeds that come near enough, nearest first; else the very sett that suits."""

    def off(reed: Reed) -> float:
        return abs(best_sleying(wanted, reed.dents_per_10cm, reed.rigid_heddle).off_fraction)

    assert plan.reed is not None
    fitting = [one for one in stock.reeds if one.fits(plan.loom) and one.id != plan.reed.id]
    near = sorted((one for one in fitting if off(one) <= FARTHEST), key=off)[:MOST_TRIED]
    open_plans = (set_up_on(plan, plan.loom, reed, stock.reeds, stock) for reed in near)
    found = [one for one in open_plans if one.sett_per_cm < plan.sett_per_cm]
    yield from found
    if not found and wanted < plan.sett_per_cm:
        yield replace(plan, reed=None, per_dent=None, sett_per_cm=wanted, picks_per_cm=wanted)


def _odds(plan: Plan, stock: Stock, block: Block) -> float:
    """None at all where the order of the yarns does not come in with that reed."""
    spreads = spreads_for(plan, stock)
    try:
        refuse_longer(plan, ends_in_reed(plan, stock))
        case = settled_case(plan, spreads, stock.supplies, block).case
    except ImpossibleValue:
        return 0.0
    return reach(case).odds.yarn
