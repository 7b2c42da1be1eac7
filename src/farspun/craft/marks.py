"""Ten marks on the tape: what the ball and the loaded shuttle should weigh, and when to stop.

All in grams, so that the grist need not be known: what was woven so far tells what the rest will
take. One weighing is put together with what was thought before the first pick. Constants and model
are those of the half-way check (`farspun.craft.halfway`, docs/card.md).
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from scipy.special import ndtri

from farspun.craft.halfway import (
    STRETCH_CM,
    UNEVENNESS,
    drift_of_yarn,
    scale_error_g,
    stray_of_yarn,
)
from farspun.craft.limits import above_zero, between, count

# name: value              unit             source
MARKS = 10  # marks                         as the card is laid out
SCALE_STEP_G = 1.0  # g                     common practice, no source: a kitchen scale


@dataclass(frozen=True, slots=True)
class Weft:
    """One weft yarn before the first pick.

    `start_g`: all of it, ball and shuttles; `keep_g`: of that, what is kept for other cloths;
    `need_m`, `need_g`: what the least cloth that serves takes of it, middle values; `sd_ln`: how
    far need over have may be off (sd of its logarithm); `tape_cm`: how long the whole cloth is by
    the tape, and `serves`: the part of that which serves.
    """

    start_g: float
    keep_g: float
    need_m: float
    need_g: float
    sd_ln: float
    tape_cm: float
    serves: float = 1.0


@dataclass(frozen=True, slots=True)
class Mark:
    """One mark: how far by the tape, and of one yarn the metres used, what ball and shuttle should
    weigh together, and below what weight to stop and think (None before the yarn is begun)."""

    tape_cm: float
    used_m: float
    should_g: float
    think_below_g: float | None


def tenths(tape_cm: float) -> tuple[float, ...]:
    """Where the ten marks lie on the tape, cm.

    >>> tenths(180.0)[:3]
    (18.0, 36.0, 54.0)
    """
    above_zero("tape", tape_cm, "cm")
    return tuple(tape_cm * number / MARKS for number in range(1, MARKS + 1))


def marks(
    weft: Weft, promise: float, used: Sequence[float] | None = None, even: float = UNEVENNESS
) -> tuple[Mark, ...]:
    """The ten marks of one weft yarn.

    `used`: the part of the yarn woven at each mark, from 0 to 1 (else evenly along the cloth);
    `promise`: the odds to keep. Below `think_below_g` the odds that it reaches are less than that,
    or less is left than the rest takes by the plan. Raises ImpossibleValue.
    Source: Gaussian conditioning on one weighing.

    >>> [round(one.should_g) for one in marks(Weft(100, 10, 250, 80, 0.05, 150), 0.95)][::3]
    [92, 68, 44, 20]
    """
    above_zero("start", weft.start_g, "g")
    above_zero("need", weft.need_g, "g")
    above_zero("part that serves", weft.serves, "")
    between("kept", weft.keep_g, 0.0, weft.start_g)
    between("promise", promise, 0.0, 1.0)
    at = tenths(weft.tape_cm)
    parts = [number / MARKS for number in range(1, MARKS + 1)] if used is None else list(used)
    count("number of marks", len(parts), least=MARKS)
    return tuple(
        Mark(
            tape_cm=tape_cm,
            used_m=part * weft.need_m,
            should_g=weft.start_g - part * weft.need_g,
            think_below_g=_think_below_g(weft, part, promise, even),
        )
        for tape_cm, part in zip(at, _of_need(weft, parts), strict=True)
    )


def _of_need(weft: Weft, parts: Sequence[float]) -> list[float]:
    """Parts of all that is woven as parts of what is needed: above 1 where it serves already."""
    return [between("part", part, 0.0, 1.0) / weft.serves for part in parts]


def _think_below_g(weft: Weft, part: float, promise: float, even: float) -> float | None:
    """The weight at which what is left covers the rest with just these odds."""
    if part <= 0:
        return None
    if part >= 1:
        return weft.keep_g
    rest_g = weft.keep_g + weft.need_g * (1 - part)
    spread = _spread(weft, even)
    slow = part * part / 2 - part / 2  # how much of the drift has shown by now
    stretch, weighing = spread.stretch_g**2, 2 * spread.weighing_g**2
    seen = part**2 * spread.rate_g**2 + slow**2 * spread.drift_g**2 + part * stretch + weighing
    whole = spread.rate_g**2 + stretch
    shared = part * (spread.rate_g**2 + stretch)
    left_open = math.sqrt(max(0.0, whole - shared**2 / seen))
    room_g = weft.start_g - weft.keep_g - weft.need_g - float(ndtri(promise)) * left_open
    used_g = part * weft.need_g + room_g * seen / shared
    return max(rest_g, weft.start_g - used_g)


@dataclass(frozen=True, slots=True)
class _Spread:
    """Of one yarn, g: how far the rate, its drift, one stretch and one weighing may be off."""

    rate_g: float
    drift_g: float
    stretch_g: float
    weighing_g: float


def _spread(weft: Weft, even: float) -> _Spread:
    stretch = STRETCH_CM / (weft.tape_cm * weft.serves)  # of all that is woven
    stray = stray_of_yarn(weft.need_m * stretch, even)
    return _Spread(
        rate_g=weft.sd_ln * weft.need_g,
        drift_g=drift_of_yarn(even) * weft.need_g,
        stretch_g=stray * weft.need_g * math.sqrt(stretch),
        weighing_g=scale_error_g(SCALE_STEP_G, weft.start_g),
    )
