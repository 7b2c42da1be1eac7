"""The chart of one cloth's answer: need against have, and the causes of doubt."""

from pathlib import Path

from farspun.craft.plan import Plan
from farspun.pictures.chart_reach import ReachChart, YarnBars, reach_figure, reach_told
from farspun.pictures.chart_sheet import Span
from farspun.services.answers import Check, NeedAnswer, Three
from farspun.services.causes import CAUSES, LEAST_SHOWN
from farspun.services.charts import draw
from farspun.services.cloths import check_cloth
from farspun.services.picture_file import Drawn
from farspun.store.engine import Stash
from farspun.units import say_cm, say_inches, say_odds


def draw_reach(stash: Stash, name: str, file: Path) -> Drawn:
    """Draw whether a cloth will reach. Raises as `check_cloth`, and WrongUse for the file."""
    chart = reach_chart(check_cloth(stash, name))
    return draw(file, chart, reach_figure, reach_told(chart))


def reach_chart(check: Check) -> ReachChart:
    """The answer as it is drawn."""
    plan, odds = check.plan, check.asked_odds
    chance = f", {say_odds(odds, check.promise)}" if odds is not None else ""
    title = f"{check.cloth or 'This cloth'}: {check.verdict}{chance}"
    what = "that the yarn reaches" + (" and the pieces are large enough" if plan.cut else "")
    asked = f"Asked for: {say_odds(check.promise)} {what}."
    return ReachChart(
        title=title,
        said=f"{asked} Finished size {_size(plan)}.",
        yarns=[
            _bars(side, need, check.promise)
            for side, needs in (("Warp", check.warp), ("Weft", check.weft))
            for need in needs
        ],
        weakest=check.weakest,
        doubts=[
            (CAUSES[driver.cause], driver.share)
            for driver in check.drivers
            if driver.share >= LEAST_SHOWN
        ],
    )


def _size(plan: Plan) -> str:
    metric = f"{say_cm(plan.width_cm)} x {say_cm(plan.length_cm)}"
    imperial = f"{say_inches(plan.width_cm)} x {say_inches(plan.length_cm)}"
    each = f", {plan.pieces} pieces" if plan.pieces > 1 else ""
    return f"{metric} ({imperial}){each}"


def _bars(side: str, need: NeedAnswer, promise: float) -> YarnBars:
    needed = _span(need.need_m)
    assert needed is not None  # only what is had can be unknown
    odds = "length not known" if need.odds is None else say_odds(need.odds, promise)
    name = " + ".join(need.skeins) or "what was taken already"
    return YarnBars(side, name, needed, _span(need.have_m), odds)


def _span(points: Three) -> Span | None:
    if points.p05 is None or points.p50 is None or points.p95 is None:
        return None
    return points.p05, points.p50, points.p95
