"""What was told of a cloth and is possible, but unlike: mentioned when it is told, and it counts.

A record far off its habit, and a finished piece that weighs far from the yarn it took. What can
hardly be at all is asked about by `questions`.
"""

import math
from collections.abc import Collection, Iterator

from farspun.craft.plan import Plan
from farspun.craft.woven import Told
from farspun.services.factors import FACTORS
from farspun.services.questions import observed_said, usual_said
from farspun.services.taught import Seen
from farspun.store.used import Used
from farspun.units import say_mass

# name: value        unit            source
UNLIKE = 2.0  #      spreads         judgement: one record in twenty lies there by itself
WASHED_OUT = 0.08  # of the mass     judgement: washed yarn loses loose fibre, and dries unevenly
GREASE_OUT = 0.25  # of the mass     judgement: unwashed yarn holds grease, oil or size
TAKEN_UP = 0.04  #   of the mass     judgement: as much as the air's damp makes


def unlike_habit(seen: Collection[Seen], asked: Collection[str]) -> Iterator[str]:
    """A sentence for each record told now that is far off its habit; `asked`: factors that are
    asked about already."""
    for one in seen:
        if one.factor in asked or abs(one.y) < UNLIKE or one.confirmed:
            continue
        name = FACTORS[one.factor]
        yield (
            f"{name[:1].upper()}{name[1:]} comes to {observed_said(one)}, and"
            f" {usual_said(one.habit, one.factor)} is usual: it is taken so and counts in your"
            " lessons. If a figure was a slip, tell it again."
        )


def unlike_its_yarn(plan: Plan, told: Told, used: Used | None, unwashed: bool) -> Iterator[str]:
    """Where the washed pieces weigh far from the yarn that went into them, thrums taken off.

    Nothing is said where thrums, or what was woven beside the pieces, cannot be taken off.
    """
    if told.mass_g is None or used is None or told.thrums_cm is None or not plan.warp_cut_cm:
        return
    if (
        plan.sample_cm
        or plan.header_cm
        or {part.skein_id for part in plan.warp} & {part.skein_id for part in plan.weft}
    ):
        return
    warp_g = _sum(used, {part.skein_id for part in plan.warp})
    weft_g = _sum(used, {part.skein_id for part in plan.weft})
    warp_cm = told.warp_cm or plan.warp_cut_cm
    thrums_g = warp_g * min(1.0, told.thrums_cm / warp_cm)
    yarn_g, cloth_g = warp_g + weft_g - thrums_g, plan.pieces * told.mass_g
    least = 1 - (GREASE_OUT if unwashed else WASHED_OUT)
    if yarn_g <= 0 or least * yarn_g <= cloth_g <= (1 + TAKEN_UP) * yarn_g:
        return
    way = "less" if cloth_g < yarn_g else "more"
    yield (
        f"It took {say_mass(warp_g + weft_g)} of yarn, of which about {say_mass(thrums_g)} are"
        f" thrums, and weighs {say_mass(cloth_g)}: {say_mass(abs(yarn_g - cloth_g))} {way} than"
        " went in. Was a ball, a piece or the thrums weighed or measured wrongly?"
    )


def _sum(used: Used, skein_ids: Collection[int]) -> float:
    return math.fsum(used.grams.get(one, 0.0) for one in skein_ids)
