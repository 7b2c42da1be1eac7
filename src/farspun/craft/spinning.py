"""What to spin: from metres that are short to fibre, singles, twist and a card to check against.

A yarn is aimed at as it will be washed and slack; what the niddy-noddy and the scale show before
that is longer and lighter by what it still loses. Formulas take scalars or arrays and answer in
kind.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal, TypeVar

import numpy as np
from numpy.typing import NDArray

from farspun.craft.limits import above_zero, between, grown, left
from farspun.craft.spread import Spread
from farspun.errors import ImpossibleValue

Number = TypeVar("Number", float, NDArray[np.float64])
Twist = Literal["S", "Z"]

# All constants of this table: common practice, no source.
# name: value                 unit            spread, what
PREPARATION_LOSS = 0.10  # of the fibre       ± 0.05: bits, neps, samples, ends on the bobbins
PLYING_TAKE_UP = 0.05  # added to the yarn    ± 0.03: the singles go round each other
WARP_ANGLE_DEG = 30.0  # degrees              ± 5: firm, to be rubbed by heddle and reed
WEFT_ANGLE_DEG = 25.0  # degrees              ± 5: softer
SINGLES_TWIST: Twist = "Z"  # the wheel turned to the right
PLY_TWIST: Twist = "S"  # against the singles
# judgement:
CARD_M = 10.0  # m                            a length that a scale to the tenth of a gram tells


@dataclass(frozen=True, slots=True)
class Single:
    """One single of a yarn: tex, snug wraps and turns per cm washed, and its direction.

    `length_m` at the wheel, of `wheel_tex`, weigh `mass_g`: enough to be as sure as the promise.
    `card_g`: what CARD_M of it weigh as it comes off the wheel.
    """

    tex: float
    wheel_tex: float
    length_m: float
    mass_g: float
    wraps_per_cm: float
    twist_per_cm: float
    direction: Twist
    card_g: float


@dataclass(frozen=True, slots=True)
class Target:
    """A yarn to spin, washed and slack but for what says unwashed.

    `length_m` weighs `mass_g`; to be as sure of it as the promise, `sure_g` are spun, from
    `fibre_g` of prepared fibre. `wraps_per_cm` are snug; `twist` is of the last twisting;
    `plying_take_up` is added; `singles` is empty where nothing is plied. `unwashed_m` is what to
    see on the niddy-noddy before washing at the middle of what yarn loses there,
    `unwashed_sure_m` where it is to be as sure as the promise; `card_g`, `card_unwashed_g`:
    CARD_M of it.
    """

    length_m: float
    mass_g: float
    sure_g: float
    fibre_g: float
    tex: float
    wraps_per_cm: float
    angle_deg: float
    twist_per_cm: float
    direction: Twist
    plying_take_up: float
    singles: tuple[Single, ...]
    unwashed_m: float
    unwashed_sure_m: float
    card_g: float
    card_unwashed_g: float


def twist_per_cm(angle_deg: Number, diameter_mm: Number | float) -> Number:
    """Turns per cm at which the twist lies at that angle: tan α = π d T.

    `angle_deg` is between the length of the yarn and the fibres (or plies) seen on it, more than
    0 and less than 90; `diameter_mm` as it wraps. Raises ImpossibleValue. Source: geometry of the
    helix, exact. Inverse: `twist_angle_deg`.

    >>> round(twist_per_cm(45.0, 10 / math.pi), 9)
    1.0
    """
    _angle(angle_deg)
    around_cm = math.pi * above_zero("diameter", diameter_mm, "mm") / 10
    turns: Number = np.tan(np.radians(angle_deg)) / around_cm
    return turns if isinstance(turns, np.ndarray) else float(turns)


def twist_angle_deg(twist_per_cm: Number, diameter_mm: Number | float) -> Number:
    """The angle at which so many turns per cm lie, in degrees: inverse of `twist_per_cm`.

    >>> round(twist_angle_deg(twist_per_cm(25.0, 1.6), 1.6), 9)
    25.0
    """
    around_cm = math.pi * above_zero("diameter", diameter_mm, "mm") / 10
    steep: Number = np.degrees(np.arctan(above_zero("twist", twist_per_cm, "per cm") * around_cm))
    return steep if isinstance(steep, np.ndarray) else float(steep)


def _angle(angle_deg: Number) -> None:
    if not np.all((np.asarray(angle_deg) > 0) & (np.asarray(angle_deg) < 90)):
        raise ImpossibleValue(
            "twist angle", f"{angle_deg}°", "more than 0 and less than 90 degrees"
        )


def singles_tex(tex: float, parts: Sequence[float], plying_take_up: float) -> tuple[float, ...]:
    """Grist of each single of a yarn, their thickness in the ratio of `parts`.

    tex add up, so the counts of length to a mass add harmonically; twisting takes up
    `plying_take_up`, added. Inverse: `farspun.craft.yarn.plied_tex`. Raises ImpossibleValue for no
    part, or one not above 0. Source: Brooks, Cotton Manufacturing, 1892, p. 91 ff.

    >>> from farspun.units import ne_cotton_from_tex, tex_from_ne_cotton
    >>> fine, thick = singles_tex(tex_from_ne_cotton(40 / 3), (1, 2), 0.0)
    >>> round(ne_cotton_from_tex(fine), 9), round(ne_cotton_from_tex(thick), 9)
    (40.0, 20.0)
    """
    if not len(parts):
        raise ImpossibleValue("ply", "of no singles", "one single or more")
    heavier = grown("plying take-up", plying_take_up)
    whole = sum(above_zero("part of a ply", part, "") for part in parts)
    together = above_zero("yarn", tex, "tex") / heavier
    return tuple(float(together * part / whole) for part in parts)


def prepared_fibre_g(yarn_g: Number, loss: Number | float) -> Number:
    """Grams of prepared fibre for so many grams of yarn; `loss` is a part of the fibre.

    >>> prepared_fibre_g(90.0, 0.10)
    100.0
    """
    fibre: Number = above_zero("yarn", yarn_g, "g") / left("preparation loss", loss)
    return fibre


def unwashed_length_m(relaxed_m: float, loss: Spread, promise: float | None = None) -> float:
    """Metres to see before washing for so many washed ones; `loss` is what they lose there.

    At the middle of the loss, or where `promise` is given so many that they are enough with those
    odds: ln(1 - x) ~ N(ln(1 - loss), (s/(1 - loss))²). Source: docs/measuring.md.

    >>> usual = Spread(0.15, 0.10, "loss")
    >>> round(unwashed_length_m(85.0, usual), 9), round(unwashed_length_m(85.0, usual, 0.95), 1)
    (100.0, 121.4)
    """
    from scipy.special import ndtri

    kept = above_zero("part kept in the wash", loss.factor, "")
    metres = above_zero("length", relaxed_m, "m") / kept
    if promise is None:
        return float(metres)
    z = float(ndtri(between("promise", promise, 0.0, 1.0)))
    return float(metres * math.exp(z * loss.log_sd))


def target(
    length_m: float,
    tex: float,
    wraps_per_cm: float,
    parts: Sequence[float],
    angle_deg: float,
    relaxation: Spread,
    promise: float,
    direction: Twist | None = None,
    plying_take_up: float = PLYING_TAKE_UP,
    preparation_loss: float = PREPARATION_LOSS,
) -> Target:
    """Everything to aim at for `length_m` of washed yarn of `tex` and so many snug wraps.

    `parts` as in `singles_tex`, of which the singles have the same packing and the same angle as
    the yarn: then plies lie at two thirds of the turns of two singles alike, as is common
    practice. One part is a yarn that is not plied. Raises ImpossibleValue.

    >>> yarn = target(100, 400, 5, (1, 1), 25, Spread(0.15, 0.10, "loss"), 0.95)
    >>> yarn.mass_g, round(yarn.sure_g, 1), round(yarn.fibre_g, 1), round(yarn.singles[0].tex, 1)
    (40.0, 48.5, 53.9, 190.5)
    >>> round(yarn.twist_per_cm, 2), round(yarn.singles[0].twist_per_cm, 2)
    (0.74, 1.08)
    """
    plied = len(parts) > 1
    added = plying_take_up if plied else 0.0
    grams = above_zero("length", length_m, "m") * above_zero("yarn", tex, "tex") / 1000
    turned = direction or (PLY_TWIST if plied else SINGLES_TWIST)
    kept = relaxation.factor
    sure_m = unwashed_length_m(length_m, relaxation, promise)
    sure_g = sure_m * tex * kept / 1000
    other: Twist = "Z" if turned == "S" else "S"

    def single(one: float) -> Single:
        wraps = wraps_per_cm * math.sqrt(tex / one)
        metres, at_wheel = sure_m * grown("plying take-up", added), one * kept
        turns = twist_per_cm(angle_deg, 10 / wraps)
        return Single(
            tex=one,
            wheel_tex=at_wheel,
            length_m=metres,
            mass_g=metres * at_wheel / 1000,
            wraps_per_cm=wraps,
            twist_per_cm=turns,
            direction=other,
            card_g=CARD_M * at_wheel / 1000,
        )

    return Target(
        length_m=length_m,
        mass_g=grams,
        sure_g=sure_g,
        fibre_g=prepared_fibre_g(sure_g, preparation_loss),
        tex=tex,
        wraps_per_cm=wraps_per_cm,
        angle_deg=angle_deg,
        twist_per_cm=twist_per_cm(angle_deg, 10 / above_zero("wraps", wraps_per_cm, "per cm")),
        direction=turned,
        plying_take_up=added,
        singles=tuple(single(one) for one in singles_tex(tex, parts, added)) if plied else (),
        unwashed_m=unwashed_length_m(length_m, relaxation),
        unwashed_sure_m=sure_m,
        card_g=CARD_M * tex / 1000,
        card_unwashed_g=CARD_M * tex * kept / 1000,
    )
