"""A cloth as it is planned: labels and what belongs to them."""

from collections.abc import Iterator
from typing import TYPE_CHECKING

from farspun.services.wording import Row
from farspun.services.wording_loom import planned_orders
from farspun.services.wording_measured import measured_rows
from farspun.units import say_cm, say_mass, say_odds, say_per_cm, say_per_inch, say_percent

if TYPE_CHECKING:
    from farspun.craft.plan import Plan
    from farspun.services.cloths import ClothRow, ClothShown, YarnShown

USUAL_PRIORITY = 100
LEAST_G = 0.05  # less is not said
WASHED = {
    "gentle": "washed gently",
    "hot": "washed hot",
    "fulled": "fulled",
    "machine": "washed by machine",
    "none": "not washed",
}


def cloth_row(row: "ClothRow") -> tuple[str, str, str, str]:
    """A cloth's cells in the list."""
    verdict = row.verdict or ""
    if row.odds is not None:
        verdict += f", {say_odds(row.odds, row.promise)}"
    return row.name, row.status.replace("-", " "), row.size, verdict


def plan_rows(shown: "ClothShown") -> Iterator[Row]:
    """Size, weave, yarns and what became of them, loom, whatever she settled, what was measured."""
    plan = shown.plan
    pieces = f", {plan.pieces} pieces" if plan.pieces > 1 else ""
    yield "Size", f"{plan.size_said}{pieces}"
    yield "Cloth", f"{shown.weave}, {plan.purpose}, {WASHED[plan.wash]}"
    for yarn in shown.yarns:
        of = "its order" if plan.warp_order else "the repeat"
        part = f", {yarn.ends} in {of}" if yarn.ends else ""
        part += f", {say_percent(yarn.share)} of the picks" if yarn.share else ""
        yield yarn.side.capitalize(), f"{yarn.skein}{part}: {_used_or_kept(yarn)}"
    for number, line in enumerate(planned_orders(plan)):
        yield "" if number else "Order", line
    on = f"on {plan.loom.name}, " if plan.loom else ""
    reed = f"{plan.reed.name}, " if plan.reed else ""
    yield "Loom", f"{on}{reed}{say_per_cm(plan.sett_per_cm)}"
    yield "", f"in inches: {say_per_inch(plan.sett_per_cm)}"
    yield from (("", line) for line in _settled_by_hand(plan))
    for name, given in plan.given.items():
        yield "", f"{name.removesuffix('_cm').replace('_', ' ')}: {given.said}"
    yield from measured_rows(shown.measured)
    if shown.weighed:
        yield "Weighed", "; ".join(shown.weighed)


def _used_or_kept(yarn: "YarnShown") -> str:
    """What became of the yarn, or is to."""
    used = [f"{say_mass(yarn.used_g)} used"] if abs(yarn.used_g) >= LEAST_G else []
    kept = [f"{say_mass(yarn.claimed_g)} kept for it"] if yarn.claimed_g or not used else []
    return ", ".join(used + kept)


def _settled_by_hand(plan: "Plan") -> Iterator[str]:
    """Whatever is not as it would be if she had said nothing."""
    if plan.fringe_cm:
        out_of = ", out of the loom waste" if plan.fringe_from_waste else ""
        yield f"fringe {say_cm(plan.fringe_cm)} at each end of a piece{out_of}"
    elif plan.fringe_from_waste:
        yield "the outer fringes come out of the loom waste"
    lengths = {
        "hem": plan.hem_cm,
        "side hem": plan.side_hem_cm,
        "gap between pieces": plan.gap_cm,
        "header": plan.header_cm,
        "sample": plan.sample_cm,
        "warp cut, by you" if plan.status == "planned" else "warp": plan.warp_cut_cm,
    }
    yield from (f"{name}: {say_cm(cm)}" for name, cm in lengths.items() if cm)
    counts = {
        "ends, by you" if plan.status == "planned" else "ends": plan.ends,
        "floating selvedges": plan.floating_selvedges,
        "ends in whole repeats of": plan.repeat if plan.repeat > 1 else None,
    }
    yield from (f"{name}: {number}" for name, number in counts.items() if number)
    words = {
        "warped direct": plan.direct,
        "woven before the yarn is washed": plan.as_spun,
        "to be cut: the size must be kept": plan.cut,
    }
    yield from (word for word, said in words.items() if said)
    odds = {"promise": plan.promise, "promise of the size": plan.size_promise, "give": plan.give}
    yield from (f"{name}: {say_percent(part)}" for name, part in odds.items() if part is not None)
    if plan.priority != USUAL_PRIORITY:
        yield f"priority {plan.priority}"
