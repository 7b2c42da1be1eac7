"""How a cloth is set up on the loom and what it will be like: labels and what belongs to them."""

from collections.abc import Iterator
from typing import TYPE_CHECKING

from farspun.services.wording import Row
from farspun.units import (
    GRAMS_PER_OUNCE,
    say_cm,
    say_inches,
    say_per_cm,
    say_per_inch,
    say_percent,
)
from farspun.units.factors import METRES_PER_YARD

if TYPE_CHECKING:
    from farspun.craft.plan import Plan
    from farspun.services.answers import Check, OrderAnswer, SetupAnswer

SHAFTS = "shafts"  # stands below the loom


def loom_rows(check: "Check") -> Iterator[Row]:
    """Sett, reed, ends, warp and picks; metric first, then inches."""
    setup, plan = check.setup, check.plan
    on = f"{plan.loom.name}: " if plan.loom else ""
    reed = f"{setup.reed}, {sleying(setup.per_dent)}; " if setup.reed else ""
    yield (
        "Loom",
        f"{on}{reed}{setup.ends} ends at {say_per_cm(setup.sett_ends_per_cm)},"
        f" {say_cm(setup.reed_width_cm)} in the reed; warp {setup.warp_cut_cm:.0f} cm long"
        f"{_waste(check)};"
        f" {say_per_cm(setup.picks_per_cm).replace('per cm', 'picks per cm')} rested",
    )
    yield (
        "",
        f"in inches: {say_per_inch(setup.sett_ends_per_cm)}, {say_inches(setup.reed_width_cm)} wide"
        f" in the reed; warp {say_inches(setup.warp_cut_cm)} long;"
        f" {say_per_inch(setup.picks_per_cm).replace('per inch', 'picks per inch')}",
    )
    spare = check.allowance_for_size
    if spare.length_cm >= 1 or spare.ends:
        yield (
            "",
            f"{_allowance(spare.length_cm, spare.ends)} of that are a margin, so that it comes out"
            " large enough",
        )
    for notice in check.warnings:
        if notice.code == SHAFTS:
            yield ("", notice.text)


def handle_rows(check: "Check") -> Iterator[Row]:
    """What the cloth will be like: weight, how firm, cover."""
    now = check.cloth_now
    if now is None:
        return
    rested, washed = now.mass_g_per_m2, now.washed_mass_g_per_m2
    yield (
        "Cloth",
        f"{now.handle}: {say_percent(round(now.share_of_limit, 2))} of the closest sett;"
        f" {rested:.0f} g per square metre rested, {washed:.0f} g washed",
    )
    per_yard = METRES_PER_YARD**2 / GRAMS_PER_OUNCE
    rested, washed = rested * per_yard, washed * per_yard
    yield ("", f"in ounces: {rested:.1f} oz per square yard rested, {washed:.1f} oz washed")
    warp, weft = (one / (1 + one) for one in (now.warp_crimp_fraction, now.weft_crimp_fraction))
    yield (
        "", f"its threads bend: the warp takes up {say_percent(round(warp, 2))}, the weft"
        f" {say_percent(round(weft, 2))} of its length"
    )  # fmt: skip
    kept = ", the picks as you asked" if check.plan.picks_asked else ""
    for one in now.beside:
        sett, like = one.sett_ends_per_cm, one.cloth
        weight = like.washed_mass_g_per_m2
        yield (
            "",
            f"one step {one.step}: {one.reed}, {sleying(one.per_dent)}, {say_per_cm(sett)}:"
            f" {like.handle}, {weight:.0f} g washed{kept}",
        )
        yield ("", f"in ounces: {say_per_inch(sett)}: {weight * per_yard:.1f} oz washed")


def _waste(check: "Check") -> str:
    """How much of the warp is never woven."""
    waste = [one.mean for one in check.assumptions if one.name == "loom waste"]
    return f" ({waste[0]:.0f} cm of it loom waste)" if waste and waste[0] >= 1 else ""


def sleying(per_dent: list[int] | None) -> str:
    """How the ends go through the dents."""
    if not per_dent:
        return "sleyed as you like"
    if len(per_dent) > 1:
        return "sleyed " + "-".join(map(str, per_dent))
    return "one end in each" if per_dent == [1] else f"{per_dent[0]} ends in each dent"


def _allowance(length_cm: float, ends: int) -> str:
    parts = [f"{length_cm:.0f} cm"] if length_cm >= 1 else []
    parts += [f"{ends} end{'s' if ends > 1 else ''}"] if ends else []
    return " and ".join(parts)


def order_rows(setup: "SetupAnswer") -> Iterator[Row]:
    """How warp and weft go in their orders, and what each yarn comes to."""
    label = "Order"
    for side, order in (("warp", setup.warp_order), ("weft", setup.weft_order)):
        if order is not None:
            yield label, f"{side}: {order_said(order, side)}"
            label = ""


def order_said(order: "OrderAnswer", side: str) -> str:
    """An order, how often it comes, and what each yarn comes to."""
    threads = "ends" if side == "warp" else "picks"
    times = {0: "not once whole", 1: "once"}.get(order.repeats, f"{order.repeats} times")
    more = f" and {order.over} more" if order.over else ""
    piece = "" if side == "warp" else " in a piece"
    yarns = ", ".join(f"{one.threads} {one.yarn}" for one in order.yarns)
    return (
        f"{order.order}; repeat of {order.threads} {threads} {times}{more}{piece}; in all {yarns}"
    )


def planned_orders(plan: "Plan") -> Iterator[str]:
    """The orders as they are planned."""
    for side, text in (("warp", plan.warp_order), ("weft", plan.weft_order)):
        if text is not None:
            yield f"{side}: {text}"
