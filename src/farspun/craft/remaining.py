"""What is left of a skein after taking from it, by length, by weight, or both.

By length x (± 2 %): L' = L - x in metres, sd² = (L s_L)² + (0.02 x)². By mass m: x = 1000 m/T,
± 2 % too. Weighed m₂ later: L' = 1000 m₂/T, with the grist's own doubt, the scale, and the
unevenness of the part that went. Both known: the two lengths are joined so that the variance is
least, with what they have in common (both hang on the same length and grist) counted; the piece
taken is not a test length as well, that would count the same unevenness twice. Everything is
linear in ln L and ln T (1/T about where the weighings put it), so what is known of those, and
what is shared with other skeins, comes along. Source: docs/measuring.md.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from farspun.craft.readings import HUMIDITY_SD, SPINNER_CV, STEP_SD, UNEVENNESS_M, Floats

TAKEN_SD = 0.02  # of what is taken, by length or by mass; judgement
FORGOTTEN_SD = 3.0  # spreads between weighed and expected; judgement
ROUNDS, SETTLED = 6, 1e-6  # of finding where 1/T is straight; of ln T


@dataclass(frozen=True, slots=True)
class Take:
    """Yarn taken: its mass in the ledger, and its length where she measured that; below 0 where it
    came back."""

    mass_g: float
    length_m: float | None = None


@dataclass(frozen=True, slots=True)
class Weigh:
    """What is left, weighed; `step_g` one unit of the last digit written."""

    mass_g: float
    step_g: float


@dataclass(frozen=True, slots=True)
class Remaining:
    """Metres left (median), sd of ln of its own doubt, and its load (P,) on each shared effect.

    `forgotten_take`: a weighing lay more than three spreads from what was expected.
    """

    length_m: float
    own_sd_ln: float
    load: Floats
    forgotten_take: bool


@dataclass(frozen=True, slots=True)
class _Length:
    """A length (m), its slopes (2,) on ln L and ln T (m), and the variance of its noise (m²)."""

    mean: float
    slopes: Floats
    noise: float

    def variance(self, cov: Floats) -> float:
        """With ln L and ln T known to `cov` (2, 2)."""
        return float(self.slopes @ cov @ self.slopes) + self.noise


def remaining(
    mean: Floats,
    cov: Floats,
    load: Floats,
    effect_cov: Floats,
    events: Sequence[Take | Weigh],
    unevenness: float = SPINNER_CV,
    balance_g: float | None = None,
) -> Remaining:
    """What is left after `events`, in the order they happened.

    `mean` (3,), `cov` (3, 3): ln L, ln T, ln φ of the whole skein; `load` (3, P) on its effects
    with covariance `effect_cov` (P, P); `balance_g` the ledger's mass before the first event.
    A skein used up has length 0 and no doubt.

    >>> import numpy as np
    >>> s_l, s_t = 0.03, math.hypot(0.03, 0.0104)
    >>> m, c = np.log([280.0, 357.1, 0.14]), np.diag([s_l**2, s_t**2, 0.09])
    >>> left = remaining(m, c, np.zeros((3, 0)), np.zeros((0, 0)), [Take(71.4, 200.0)])
    >>> round(left.length_m, 1), round(left.length_m * left.own_sd_ln, 2)
    (80.0, 9.3)
    """
    whole, both, loads = math.exp(mean[0]), cov[:2, :2], load[:2]
    mass = balance_g if balance_g is not None else whole * math.exp(mean[1]) / 1000
    for event in events:
        mass = mass - event.mass_g if isinstance(event, Take) else event.mass_g
    moved = 0.0
    for _ in range(ROUNDS):
        grist = _Grist(math.exp(mean[1]), moved)
        left, moved, forgotten = _after(whole, grist, both, events, unevenness)
        if abs(moved - grist.moved) < SETTLED:
            break
    if not mass > 0:
        return Remaining(0.0, 0.0, np.zeros(load.shape[1]), forgotten)
    if not left.mean > 0:
        # more metres went than it was thought to have: only what it weighs can still be believed
        left = _weighed(Weigh(mass, 0.0), grist, 1.0, unevenness)
    shared = left.slopes @ loads
    own = max(left.variance(both) - float(shared @ effect_cov @ shared), 0.0)
    return Remaining(left.mean, math.sqrt(own) / left.mean, shared / left.mean, forgotten)


@dataclass(frozen=True, slots=True)
class _Grist:
    """T as first known, and by how much of ln T the weighings say it is off: there 1/T is taken
    as straight."""

    tex: float
    moved: float

    def length(self, mass_g: float) -> tuple[float, float]:
        """Metres of a mass: where T is as first known, by the straight line; and its slope."""
        here = 1000 * mass_g / (self.tex * math.exp(self.moved))
        return here * (1 + self.moved), here


def _after(
    whole_m: float, grist: _Grist, cov: Floats, events: Sequence[Take | Weigh], unevenness: float
) -> tuple[_Length, float, bool]:
    """What is left after the events, how far ln T is off by them, and a take forgotten."""
    left, moved, forgotten = _Length(whole_m, np.array([whole_m, 0.0]), 0.0), 0.0, False
    for event in events:
        if isinstance(event, Take):
            left = _taken(left, event, grist)
            continue
        weighed = _weighed(event, grist, _gone(left, whole_m), unevenness)
        if abs(weighed.mean - left.mean) > FORGOTTEN_SD * math.sqrt(_apart(left, weighed, cov)):
            left, forgotten = weighed, True
            continue
        # how much has gone is known better with the weighing than before it: twice is enough
        joined = _joined(left, weighed, cov)
        weighed = _weighed(event, grist, _gone(joined, whole_m), unevenness)
        across = (cov @ (left.slopes - weighed.slopes))[1]
        moved -= float(across) / _apart(left, weighed, cov) * (left.mean - weighed.mean)
        left = _joined(left, weighed, cov)
    return left, moved, forgotten


def _gone(left: _Length, whole_m: float) -> float:
    """The part of the skein already used."""
    return min(max(1 - left.mean / whole_m, 0.0), 1.0)


def _taken(left: _Length, take: Take, grist: _Grist) -> _Length:
    """By the length she said, else by the mass at the skein's grist."""
    if take.length_m is not None:
        noise = (TAKEN_SD * take.length_m) ** 2
        return _Length(left.mean - take.length_m, left.slopes, left.noise + noise)
    length, slope = grist.length(take.mass_g)
    slopes = left.slopes + np.array([0.0, slope])
    return _Length(left.mean - length, slopes, left.noise + (TAKEN_SD * slope) ** 2)


def _weighed(weigh: Weigh, grist: _Grist, gone: float, unevenness: float) -> _Length:
    """Length from mass and grist; `gone` is the part of the skein already used."""
    length, slope = grist.length(weigh.mass_g)
    wander = (unevenness * gone) ** 2 * UNEVENNESS_M / (UNEVENNESS_M + slope)
    noise = HUMIDITY_SD**2 + (weigh.step_g * STEP_SD / weigh.mass_g) ** 2 + wander
    return _Length(length, np.array([0.0, -slope]), slope**2 * noise)


def _apart(a: _Length, b: _Length, cov: Floats) -> float:
    """Variance of the difference of two lengths."""
    return _Length(0.0, a.slopes - b.slopes, a.noise + b.noise).variance(cov)


def _joined(a: _Length, b: _Length, cov: Floats) -> _Length:
    """The mean of two lengths that has the least variance."""
    common = float(a.slopes @ cov @ b.slopes)
    w = (b.variance(cov) - common) / _apart(a, b, cov)
    return _Length(
        w * a.mean + (1 - w) * b.mean,
        w * a.slopes + (1 - w) * b.slopes,
        w**2 * a.noise + (1 - w) ** 2 * b.noise,
    )


def lognormal(left: Remaining, effect_cov: Floats) -> tuple[Remaining, float]:
    """The lognormal with the median and sd (in metres) of what is left, and the sd of its log.

    `remaining` gives sd/median; where little is left that is far more than the sd of a logarithm.
    What is taken off a lognormal length moves its median by just that.

    >>> thin, sd_ln = lognormal(Remaining(10.0, 1.0, np.zeros(0), False), np.zeros((0, 0)))
    >>> round(thin.length_m, 2), round(sd_ln, 3)
    (10.0, 0.694)
    """
    shared = max(float(left.load @ effect_cov @ left.load), 0.0)
    relative_sd = math.sqrt(left.own_sd_ln**2 + shared)
    if not relative_sd > 0:
        return left, 0.0
    # sd² = median² u (u - 1) with u = exp(sd_ln²)
    sd_ln = math.sqrt(math.log((1 + math.sqrt(1 + 4 * relative_sd**2)) / 2))
    part = sd_ln / relative_sd
    own, load = left.own_sd_ln * part, left.load * part
    return Remaining(left.length_m, own, load, left.forgotten_take), sd_ln
