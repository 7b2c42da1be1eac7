"""What is left of a skein after taking from it, by length, by weight, or both.

By length x (± 2 %): L' = L - x in metres, sd² = (L s_L)² + (0.02 x)². Weighed m₂ later:
L' = 1000 m₂/T, with the grist's own doubt, the scale, and the unevenness of the part that went.
Both known: the two lengths are joined by their precisions; the piece taken is not a test length
as well, that would count the same unevenness twice. Source: docs/measuring.md.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from farspun.craft.readings import HUMIDITY_SD, SPINNER_CV, STEP_SD, UNEVENNESS_M, Floats

TAKEN_SD = 0.02  # of a length taken; judgement
FORGOTTEN_SD = 3.0  # spreads between weighed and expected; judgement


@dataclass(frozen=True, slots=True)
class Take:
    """Yarn taken: its mass in the ledger, and its length where she measured that."""

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


@dataclass(slots=True)
class _Length:
    """A length in metres with its own variance (m²) and load on the effects (m per unit)."""

    mean: float
    variance: float
    load: Floats

    def scaled(self, factor: float) -> "_Length":
        return _Length(self.mean * factor, self.variance * factor**2, self.load * factor)

    def total(self, effect_cov: Floats) -> float:
        return self.variance + float(self.load @ effect_cov @ self.load)


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
    whole, tex = math.exp(mean[0]), math.exp(mean[1])
    own = np.maximum(np.diagonal(cov)[:2] - np.einsum("ip,pq,iq->i", load, effect_cov, load)[:2], 0)
    left = _Length(whole, whole**2 * float(own[0]), whole * load[0])
    mass = balance_g if balance_g is not None else whole * tex / 1000
    forgotten = False
    for event in events:
        if isinstance(event, Take):
            left = _taken(left, event, mass)
            mass -= event.mass_g
            continue
        gone = max(whole - left.mean, 0.0)
        weighed = _weighed(event, tex, float(own[1]), load[1], gone / whole, unevenness)
        doubt = left.variance + weighed.variance
        across = left.load - weighed.load
        doubt += float(across @ effect_cov @ across)
        if abs(weighed.mean - left.mean) > FORGOTTEN_SD * math.sqrt(doubt):
            left, forgotten = weighed, True
        else:
            left = _joined(left, weighed, effect_cov)
        mass = event.mass_g
    if not mass > 0:
        return Remaining(0.0, 0.0, np.zeros_like(left.load), forgotten)
    if not left.mean > 0:
        # more metres went than it was thought to have: only what it weighs can still be believed
        left = _weighed(Weigh(mass, 0.0), tex, float(own[1]), load[1], 1.0, unevenness)
    sd = math.sqrt(left.variance)
    return Remaining(left.mean, sd / left.mean, left.load / left.mean, forgotten)


def _taken(left: _Length, take: Take, mass_g: float) -> _Length:
    """By length where she said one, else the same part of the length as of the mass."""
    if take.length_m is None:
        share = take.mass_g / mass_g
        after = left.scaled(1 - share)
        after.variance += (TAKEN_SD * left.mean * share) ** 2
        return after
    variance = left.variance + (TAKEN_SD * take.length_m) ** 2
    return _Length(left.mean - take.length_m, variance, left.load)


def _weighed(
    weigh: Weigh, tex: float, tex_var: float, tex_load: Floats, gone: float, unevenness: float
) -> _Length:
    """Length from mass and grist; `gone` is the part of the skein already used."""
    length = 1000 * weigh.mass_g / tex
    wander = unevenness * gone
    variance = tex_var + HUMIDITY_SD**2 + (weigh.step_g * STEP_SD / weigh.mass_g) ** 2
    variance += wander**2 * UNEVENNESS_M / (UNEVENNESS_M + length)
    return _Length(length, length**2 * variance, -length * tex_load)


def _joined(a: _Length, b: _Length, effect_cov: Floats) -> _Length:
    """Two lengths weighted by 1/sd²."""
    w_a, w_b = 1 / a.total(effect_cov), 1 / b.total(effect_cov)
    w_a, w_b = w_a / (w_a + w_b), w_b / (w_a + w_b)
    # the own parts are taken as independent, as the precisions take them
    return _Length(
        w_a * a.mean + w_b * b.mean,
        w_a**2 * a.variance + w_b**2 * b.variance,
        w_a * a.load + w_b * b.load,
    )


def lognormal(left: Remaining, effect_cov: Floats) -> tuple[Remaining, float]:
    """The lognormal with the mean and sd (in metres) of what is left, and the whole sd of its log.

    `remaining` gives sd/mean; where little is left that is far more than the sd of a logarithm.

    >>> thin, sd_ln = lognormal(Remaining(10.0, 1.0, np.zeros(0), False), np.zeros((0, 0)))
    >>> round(thin.length_m, 2), round(sd_ln, 3)
    (7.07, 0.833)
    """
    shared = max(float(left.load @ effect_cov @ left.load), 0.0)
    relative_sd = math.sqrt(left.own_sd_ln**2 + shared)
    if not relative_sd > 0:
        return left, 0.0
    sd_ln = math.sqrt(math.log1p(relative_sd**2))
    part = sd_ln / relative_sd
    median_m = left.length_m / math.sqrt(1 + relative_sd**2)
    own, load = left.own_sd_ln * part, left.load * part
    return Remaining(median_m, own, load, left.forgotten_take), sd_ln
