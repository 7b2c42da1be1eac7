"""What is to be said beside a sett: limits, doubts, edges, reeds, habits.

No length is named, so the notes read the same to those who weave in inches and those in cm.
"""

import math
from collections.abc import Iterator, Sequence

from farspun.craft.interlacement import Weave
from farspun.craft.reed import Sleying, simpler_sleying, sleying_warnings, two_heddles
from farspun.craft.sett import (
    GRIST_SPREAD,
    STICKY_SHARE,
    WRAPS_SPREAD,
    SettAnswer,
    WarpYarn,
)
from farspun.units import say_percent

# name: value           unit     source
DISAGREE_SPREADS = 2.0  # times  judgement: wraps and count further apart than this are doubted


def closeness_notes(answer: SettAnswer, mill: bool, purpose: str | None) -> Iterator[str]:
    """How near the sett comes to the tightest that can be woven."""
    bound = answer.upper_bound_ends_per_cm
    if bound is None:
        return
    share = answer.suggested_ends_per_cm / bound
    if purpose == "warp-faced":
        yield "The bound is that of cloth in which both yarns show; warp-faced cloth goes past it."
    elif share > 1:
        yield (
            f"That is {say_percent(share - 1)} closer than can be woven: it cannot be beaten in. "
            "Stay below the bound."
        )
    elif share > STICKY_SHARE and not mill:
        yield f"At {say_percent(share)} of the closest that can be woven the sheds will stick."


def yarn_notes(answer: SettAnswer, yarn: WarpYarn) -> Iterator[str]:
    """Doubts about what is known of the yarn."""
    wraps, grist = answer.from_wraps_ends_per_cm, answer.from_grist_ends_per_cm
    if wraps is not None and grist is not None:
        apart = math.log(wraps / grist)
        if abs(apart) > DISAGREE_SPREADS * math.hypot(WRAPS_SPREAD, GRIST_SPREAD):
            finer, coarser = ("wraps", "count") if apart > 0 else ("count", "wraps")
            yield (
                f"The {finer} speak of a much finer yarn than the {coarser}: "
                "wrap again, or weigh a measured length."
            )
    if wraps is not None and yarn.wrap is None and yarn.fibre.elastic:
        yield (
            "The wraps are taken as snug, touching all along; if they were laid on loosely, say so "
            "(--wrap loose): the sett is then closer."
        )


def edge_notes(weave: Weave) -> Iterator[str]:
    """Whether the weft goes round the outermost ends, in cloth of whole repeats."""
    if weave.start_from is None:
        yield f"{weave.name}: the weft misses an edge end; add floating selvedges."
    elif weave.loose_edges("left") or weave.loose_edges("right"):
        yield (
            f"{weave.name}: with whole repeats bring the first pick in from the "
            f"{weave.start_from}, and both edges are caught; else add floating selvedges."
        )


def reed_notes(
    ways: Sequence[Sleying],
    dents_per_10cm: float,
    answer: SettAnswer,
    yarn: WarpYarn,
    rigid_heddle: bool,
) -> Iterator[str]:
    """What a reed does to the cloth beyond its sett."""
    best, bound = ways[0], answer.upper_bound_ends_per_cm
    if not answer.low_ends_per_cm <= best.ends_per_cm <= answer.high_ends_per_cm:
        yield f"{off_said(best.off_fraction)} is not reasonable for this yarn and purpose."
    if bound is not None and best.ends_per_cm > bound >= answer.suggested_ends_per_cm:
        yield "that is closer than can be woven."
    simpler = simpler_sleying(ways, answer.low_ends_per_cm, answer.high_ends_per_cm)
    if simpler is not None:
        yield f"easier to sley is {simpler.said}, {off_said(simpler.off_fraction)}."
    yield from sleying_warnings(best, dents_per_10cm, yarn.wrapped_mm, yarn.fibre.elastic)
    if rigid_heddle:
        double = two_heddles(answer.suggested_ends_per_cm, dents_per_10cm)
        if double is not None:
            off = off_said(double / answer.suggested_ends_per_cm - 1)
            yield f"two heddles, or two ends together in each hole and slot, would be {off}."


def off_said(off_fraction: float) -> str:
    """How far a sleying is off the suggested sett, in words.

    >>> off_said(0.05), off_said(-0.001)
    ('5 % closer than suggested', 'as suggested')
    """
    percent = round(100 * abs(off_fraction))
    if percent == 0:
        return "as suggested"
    return f"{percent} % {'closer' if off_fraction > 0 else 'more open'} than suggested"


def heddle_notes(rigid_heddle: bool) -> Iterator[str]:
    """What holds for any rigid heddle."""
    if rigid_heddle:
        yield "Direct warping gives ends in pairs: plan an even number."


def habit_notes(yarn: WarpYarn, said: tuple[object, object, object]) -> Iterator[str]:
    """What was not said and is taken as usual; `said` are fibre, weave and purpose."""
    fibre, weave, purpose = said
    taken = [
        *(["wool"] if fibre is None else []),
        *([f"{yarn.drawn} draw"] if yarn.draw is None and yarn.fibre.elastic else []),
        *(["plain weave"] if weave is None else []),
        *(["everyday"] if purpose is None else []),
    ]
    if taken:
        yield f"Taken from habit: {', '.join(taken)}."
