"""How far a weft yarn is, when so much of the tape is woven."""

from collections.abc import Callable, Sequence
from itertools import accumulate

from farspun.craft.order_text import order_from_text
from farspun.craft.orders import counted, in_picks
from farspun.craft.plan import Plan
from farspun.services.answers import Check
from farspun.services.case_for import size_of
from farspun.services.habits_for import spreads_for
from farspun.services.orders import spans_of_picks
from farspun.services.stock import Stock

Part = Callable[[float], float]


def woven_part(plan: Plan, stock: Stock, check: Check, yarn: str | None) -> Part:
    """Tape woven, in cm, to the cm that count for this yarn: as if it came in evenly.

    `yarn`: its name in the weft's order; None where the weft has no order, and every cm is alike.
    At the end of the cloth both are the same, and beyond it.
    """
    if yarn is None or plan.weft_order is None:
        return float
    spreads = spreads_for(plan, stock)
    spans = spans_of_picks(size_of(plan, spreads), spreads, check.setup.picks_per_cm)
    order = in_picks(order_from_text(plan.weft_order, "weft"), check.setup.picks_per_cm)
    ends = list(accumulate(spans))

    def upto(picks: int) -> int:
        """Picks of the yarn among the first so many."""
        return sum(
            counted(order, min(span, picks - (end - span))).get(yarn, 0)
            for span, end in zip(spans, ends, strict=True)
            if picks > end - span
        )

    return _in_cm(upto, ends, check.setup.tape_length_cm)


def _in_cm(upto: Callable[[int], int], ends: Sequence[int], end_cm: float) -> Part:
    whole, picks = upto(ends[-1]), ends[-1]

    def part(woven_cm: float) -> float:
        if woven_cm >= end_cm:
            return woven_cm
        return end_cm * upto(round(picks * woven_cm / end_cm)) / whole

    return part
