"""What a washed sample that comes out as expected would do to the yarn kept for size."""

import math
from dataclasses import replace

from farspun.craft.case import Spreads
from farspun.craft.learned import told_already
from farspun.craft.plan import Plan
from farspun.craft.planning import KNOWN_SIZE_PROMISE, part_promise, settled
from farspun.craft.settle import SAMPLE_KEEPS
from farspun.craft.spread import Spread
from farspun.services.answers import SizeAfter
from farspun.services.case_for import Settling

OF_THE_SIZE = ("draw_in", "shrink_length", "shrink_width")  # that a sample measures


def size_after_sample(plan: Plan, spreads: Spreads, now: Settling) -> SizeAfter | None:
    """Warp yarn kept for size then, and at what promise; None where the warp is settled by hand,
    or a sample was washed already.
    """
    narrowed = {
        name: _narrowed(getattr(spreads, name))
        for name in OF_THE_SIZE
        if not told_already(getattr(spreads, name))
    }
    if not narrowed or plan.ends or plan.warp_cut_cm or plan.cut:
        return None
    promise = plan.size_promise or KNOWN_SIZE_PROMISE
    size, level = now.case.size, part_promise(promise, 2)

    def kept_m(drawn: Spreads) -> float:
        found = settled(size, drawn, plan.sett_per_cm, level, plan.end_step)
        more = found.ends * found.warp_cut_cm - now.middle.ends * now.middle.warp_cut_cm
        return max(0.0, more / 100)

    return SizeAfter(kept_m(replace(spreads, **narrowed)), kept_m(spreads), promise)


def _narrowed(spread: Spread) -> Spread:
    return replace(spread, sd=spread.sd * math.sqrt(SAMPLE_KEEPS))
