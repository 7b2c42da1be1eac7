"""The orders of a cloth's yarns in words."""

from collections.abc import Iterator
from typing import TYPE_CHECKING

from farspun.cli.printing import labelled

if TYPE_CHECKING:
    from farspun.craft.plan import Plan
    from farspun.services.answers import OrderAnswer, SetupAnswer


def order_lines(setup: "SetupAnswer") -> Iterator[str]:
    """How warp and weft go in their orders, and what each yarn comes to."""
    label = "Order"
    for side, order in (("warp", setup.warp_order), ("weft", setup.weft_order)):
        if order is not None:
            yield from labelled(label, f"{side}: {_told(order, side)}")
            label = ""


def _told(order: "OrderAnswer", side: str) -> str:
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
