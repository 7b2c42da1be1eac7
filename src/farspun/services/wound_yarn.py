"""A warp as it was wound, held against what the scale says went into it, before it is stored.

Ends times the length of the warp are the metres it takes. What is left of its skeins, by their
grist, is the metres that went. Where the two lie far apart, a ball was left out, a bobbin was
weighed with the yarn, or a figure is a slip.
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from farspun.craft.plan import Part, Plan
from farspun.craft.readings import HUMIDITY_SD, STEP_SD
from farspun.errors import ToConfirm
from farspun.services.answers import Check, NeedAnswer
from farspun.services.case_for import yarn_groups
from farspun.services.readings import MG_PER_G
from farspun.services.used_yarn import Using
from farspun.services.weighing_again import WORKED_OUT
from farspun.store.ledger import worked_out_g
from farspun.store.supplies import supplies
from farspun.units import say_cm, say_length, say_mass

FAR_SDS = 3.0  # combined; judgement: once in hundreds by chance
FAR_PART = 0.1  # of what the warp takes; judgement: less is not worth a question
WINDING_SD = 0.02  # of the length; judgement: how tight it was wound, knots and tails
NINETY = 2 * 1.6448536269514722  # sds between the 5 and the 95 in 100 points
TOO_LITTLE = (
    "was a bobbin or cone weighed with what is left (--tare), or was the warp wound from another"
    " ball too?"
)
TOO_MUCH = "was a ball left out of what was weighed, or are the ends or the length a slip?"


@dataclass(frozen=True, slots=True)
class Went:
    """What went of some skeins by the scale; `whole`: every one of them was weighed."""

    mass_g: float
    length_m: float
    sd_m: float
    whole: bool


def ask_about_wound(using: Using, plan: Plan, check: Check) -> None:
    """Raises ToConfirm where what is left of a warp's skeins does not fit its ends and length, or
    remarks on it where nobody can be asked (`using.sure` None). No skein is then asked about again.

    `plan`: with the ends and the length it was wound with; `check`: its answer.
    """
    for parts, need in zip(yarn_groups(plan.warp), check.warp, strict=True):
        weighed = using.left.keys() & {part.skein_id for part in parts}
        if not weighed:
            continue
        went, wanted_m = _went(using, parts), need.need_m.p50 or 0.0
        if went is None or not _far(went, wanted_m, _need_sd(need)):
            continue
        using.asked |= weighed
        if using.sure:
            continue
        ends = parts[0].ends or check.setup.ends
        names = " + ".join(_names(using, parts))
        asked = (
            f"{ends} ends of {say_cm(check.setup.warp_cut_cm)} take {say_length(wanted_m)} of"
            f" {names}, and by the scale {say_length(went.length_m)} ({say_mass(went.mass_g)})"
            f" went: {TOO_LITTLE if went.length_m < wanted_m else TOO_MUCH}"
        )
        if using.sure is None:
            using.used.remarks.append(f"Is that right? {asked}")
        else:
            raise ToConfirm("what is left", f"of {names}", asked)


def _far(went: Went, wanted_m: float, need_sd_m: float) -> bool:
    """Whether the scale and the length can hardly both be right.

    What was not weighed may have given the rest, never less than nothing.

    >>> [_far(Went(42.0, metres, 6.0, True), 283.0, 6.0) for metres in (91.0, 270.0, 380.0)]
    [True, False, True]
    >>> [_far(Went(42.0, metres, 6.0, False), 283.0, 6.0) for metres in (91.0, 270.0, 380.0)]
    [False, False, True]
    """
    off_m = went.length_m - wanted_m
    if off_m < 0 and not went.whole:
        return False
    return abs(off_m) > max(FAR_PART * wanted_m, FAR_SDS * math.hypot(went.sd_m, need_sd_m))


def _need_sd(need: NeedAnswer) -> float:
    middle, low, high = need.need_m.p50 or 0.0, need.need_m.p05 or 0.0, need.need_m.p95 or 0.0
    return math.hypot(WINDING_SD * middle, (high - low) / NINETY)


def _went(using: Using, parts: Sequence[Part]) -> Went | None:
    """What the scale says went; None where the grist of a skein is not known."""
    ids = [part.skein_id for part in parts]
    known = supplies(using.deed.connection, ids)
    gone = {one: using.gone_mg(one) for one in ids}
    mass_g, length_m, grist_m, scale_m2 = 0.0, 0.0, 0.0, 0.0
    for one, gone_mg in gone.items():
        if gone_mg is None:
            continue
        supply = known[one]
        if not supply.tex_known:
            return None
        own_m = gone_mg / supply.tex
        mass_g += gone_mg / MG_PER_G
        length_m += own_m
        grist_m += abs(own_m) * math.sqrt(float(supply.cov3[1, 1]))  # shared causes go together
        scale_m2 += (1000 * _scale_sd_g(using, one) / supply.tex) ** 2
    sd_m = math.hypot(grist_m, math.sqrt(scale_m2))
    return Went(mass_g, length_m, sd_m, None not in gone.values())


def _scale_sd_g(using: Using, skein_id: int) -> float:
    """Of the difference of two weighings, and of what was worked out before."""
    left = using.left.get(skein_id)
    net = None if left is None else left.net
    step_g, left_g = (net.step_g, net.mass_g) if net is not None else (0.0, 0.0)
    there_g = left_g + (using.gone_mg(skein_id) or 0) / MG_PER_G
    worked_out = worked_out_g(using.deed.connection, [skein_id])[skein_id]
    humid = HUMIDITY_SD * math.hypot(left_g, there_g)
    return math.hypot(STEP_SD * step_g, humid, WORKED_OUT * worked_out)


def _names(using: Using, parts: Sequence[Part]) -> Iterator[str]:
    known = supplies(using.deed.connection, [part.skein_id for part in parts])
    return (known[part.skein_id].name for part in parts)
