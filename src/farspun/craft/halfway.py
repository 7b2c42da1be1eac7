"""The half-way check: what a ball weighs now, and whether it will last to the end of the cloth.

All in grams and centimetres of tape, so that the yarn's grist cancels. The weft goes in at a rate
that the plan only guesses; each weighing tells it better. The rate may drift slowly along the yarn
and strays from stretch to stretch. Everything is normal, so what the weighings teach is worked out
exactly, as the distribution of what is left given what was weighed.

Source: design §10 (own derivation); normal conditioning as in any textbook of linear models.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from scipy.special import ndtr

from farspun.craft.readings import Floats
from farspun.errors import ImpossibleValue

# name: value                  unit         source
STRETCH_CM = 25.0  # cm         design §10  the stretch that `stray` is stated for
SCALE_FRACTION = 0.003  # of the first mass judgement: a ball put down the same way twice
STRAY = 0.02  # of the rate      judgement: beat and measuring, however even the yarn
YARN_LENGTH_M = 10.0  # m        judgement: length over which unevenness evens out
UNEVENNESS = 0.10  # of the grist common practice, no source: hand-spun yarn, cv
ENOUGH_WEIGHINGS = 4  #          judgement: from so many on the stray itself is estimated
# how many times as uneven as stated, and how likely beforehand: judgement
STRAYS = ((1.0, 0.55), (1.5, 0.20), (2.0, 0.15), (3.0, 0.10))
LEAST_PART = 0.05  # of its picks judgement: with fewer it is as good as left out
BISECTIONS = 60


@dataclass(frozen=True, slots=True)
class Rate:
    """What the plan says of a weft before anything was weighed.

    `g_per_cm`: grams for each cm of tape; `log_sd`: its doubt, as a fraction; `stray`: sd of the
    rate of one stretch of 25 cm, a fraction; `drift`: sd of the slow drift, a fraction."""

    g_per_cm: float
    log_sd: float
    stray: float
    drift: float

    def __post_init__(self) -> None:
        if not self.g_per_cm > 0 or not math.isfinite(self.g_per_cm):
            raise ImpossibleValue("the weft's rate", f"{self.g_per_cm} g per cm", "it is over 0")


def stray_of_yarn(weft_m_in_stretch: float, unevenness: float = UNEVENNESS) -> float:
    """Sd of the rate of one stretch of 25 cm, a fraction; of `weft_m_in_stretch` m of weft in it.

    >>> round(stray_of_yarn(10.0), 4)
    0.0735
    """
    evened = YARN_LENGTH_M / (YARN_LENGTH_M + weft_m_in_stretch)
    return math.sqrt(STRAY**2 + unevenness**2 * evened)


def drift_of_yarn(unevenness: float = UNEVENNESS) -> float:
    """Sd of the slow drift of the rate over the whole cloth, a fraction.

    >>> round(drift_of_yarn(), 4)
    0.0361
    """
    return math.hypot(STRAY, 0.3 * unevenness)


@dataclass(frozen=True, slots=True)
class Weighing:
    """What each skein of one yarn held, in g, when so many cm of tape were woven.

    `fresh`: whether the skein was on the scale then; else its mass is the one known before.
    `error_g`: sd of each mass.
    """

    woven_cm: float
    mass_g: tuple[float, ...]
    fresh: tuple[bool, ...]
    error_g: tuple[float, ...]


def scale_error_g(step_g: float, first_mass_g: float) -> float:
    """Sd of one weighing: half a unit of the last digit either way, and how the ball lies.

    >>> round(scale_error_g(1.0, 92.0), 3)
    0.399
    """
    return math.hypot(step_g / math.sqrt(12), SCALE_FRACTION * first_mass_g)


@dataclass(frozen=True, slots=True)
class _Known:
    """Normal knowledge of (rate, drift, loose error of what is left): mean, covariance, weight."""

    mean: Floats
    cov: Floats
    stray: float
    weight: float


@dataclass(frozen=True)
class Halfway:
    """What the weighings of one yarn say.

    `weighings`: first the start, at 0 cm or where the yarn was weighed first; in order.
    `grist`: each skein's tex over the first one's; `grist_sd`: its doubt, a fraction.
    `end_cm`: tape to weave in all.
    """

    rate: Rate
    weighings: tuple[Weighing, ...]
    end_cm: float
    grist: tuple[float, ...]
    grist_sd: tuple[float, ...]

    @property
    def woven_cm(self) -> float:
        """Tape woven at the last weighing."""
        return self.weighings[-1].woven_cm

    @property
    def mass_g(self) -> float:
        """What all its skeins held then, as if all had the first one's grist."""
        return math.fsum(m / t for m, t in zip(self.weighings[-1].mass_g, self.grist, strict=True))

    def on_scale_g(self, left_g: float) -> float:
        """What a scale says where so much is left, counted in the first skein's grist.

        The skeins are used up in their order; what is lacking would be of the last one's grist.
        """
        used, total = self.mass_g - left_g, 0.0
        *before, last = zip(self.weighings[-1].mass_g, self.grist, strict=True)
        for mass, tex in before:
            gone = min(used, mass / tex)
            used -= gone
            total += mass - gone * tex
        return total + last[0] - used * last[1]

    def odds(self, at_cm: float | None = None, thin: float = 1.0) -> float:
        """The chance that it lasts to `at_cm` of tape (None: to the end).

        `thin`: from now on so much of it goes into a cm, against before: with fewer picks, or
        picks of another yarn between. Shape (); 0–1.
        """
        end = self.end_cm if at_cm is None else at_cm
        return math.fsum(
            one.weight * float(ndtr(mean / sd))
            for one, (mean, sd) in zip(self._known, self._left(end, thin), strict=True)
        )

    def left_g(self, at_cm: float | None = None, thin: float = 1.0) -> tuple[float, float]:
        """(mean, sd) in g of what is left at `at_cm`; below 0 where it is short."""
        end = self.end_cm if at_cm is None else at_cm
        return _mixed([one.weight for one in self._known], self._left(end, thin))

    def rate_g_per_cm(self) -> tuple[float, float]:
        """(mean, sd) of the rate as it is believed now."""
        each = [(float(one.mean[0]), math.sqrt(float(one.cov[0, 0]))) for one in self._known]
        return _mixed([one.weight for one in self._known], each)

    def reaches_cm(self, promise: float, most_cm: float) -> float:
        """How far it lasts with these odds, in cm of tape; at most `most_cm`, at least what is
        woven."""
        if self.odds(most_cm) >= promise:
            return most_cm
        low, high = self.woven_cm, most_cm
        for _ in range(BISECTIONS):
            middle = (low + high) / 2
            low, high = (middle, high) if self.odds(middle) >= promise else (low, middle)
        return low

    def surprise(self) -> tuple[float, float]:
        """(g that were to be left by the weighings before, sds that the last is off it).

        0 sds where there is but the start.
        """
        if len(self.weighings) < 2:
            return self.mass_g, 0.0
        last = self.weighings[-1]
        mean, sd = replace(self, weighings=self.weighings[:-1]).left_g(last.woven_cm)
        fresh = zip(last.error_g, last.fresh, self.grist, strict=True)
        own = math.sqrt(sum((error / tex) ** 2 for error, new, tex in fresh if new))
        return mean, (self.mass_g - mean) / math.hypot(sd, own)

    def thin_enough(self, promise: float) -> float | None:
        """The largest part of its picks, from now on, with which it lasts to the end.

        None where no part worth having does.
        """
        if self.odds(thin=LEAST_PART) < promise:
            return None
        low, high = LEAST_PART, 1.0
        for _ in range(BISECTIONS):
            middle = (low + high) / 2
            low, high = (middle, high) if self.odds(thin=middle) >= promise else (low, middle)
        return low

    def _left(self, at_cm: float, thin: float) -> list[tuple[float, float]]:
        """(mean, sd) of what is left, for each stray."""
        woven, rate = self.woven_cm, self.rate.g_per_cm
        ahead = max(0.0, at_cm - woven)
        on = np.array([-thin * ahead, -thin * _drifted(woven, at_cm, self.end_cm), 1.0])
        found = []
        for one in self._known:
            mean = self.mass_g + float(on @ one.mean)
            own = (thin * rate * one.stray) ** 2 * STRETCH_CM * ahead
            found.append((mean, math.sqrt(float(on @ one.cov @ on) + own + 1e-12)))
        return found

    @cached_property
    def _known(self) -> list[_Known]:
        estimated = len(self.weighings) > ENOUGH_WEIGHINGS
        strays = STRAYS if estimated else ((1.0, 1.0),)
        found = [self._taught(self.rate.stray * times) for times, _ in strays]
        logs = np.array([log + math.log(p) for (_, log), (_, p) in zip(found, strays, strict=True)])
        weights = np.exp(logs - logs.max())
        weights /= weights.sum()
        return [
            _Known(one.mean, one.cov, one.stray, float(weight))
            for (one, _), weight in zip(found, weights, strict=True)
        ]

    def _taught(self, stray: float) -> tuple[_Known, float]:
        """What is known had the yarn this stray, and the log likelihood of the weighings.

        Unknown are the rate, the drift, each skein's grist beside the first one's, and the error
        of every reading of the scale; observed is what went between one weighing and the next.
        """
        rate, first = self.rate, self.weighings[0]
        skeins, at = len(first.mass_g), 2 + len(first.mass_g)
        sd = [rate.g_per_cm * rate.log_sd, rate.g_per_cm * rate.drift, *self.grist_sd]
        error_at = list(range(at, at + skeins))
        sd += first.error_g
        rows, seen, noise = [], [], []
        width = at + skeins * len(self.weighings)
        for before, now in zip(self.weighings, self.weighings[1:], strict=False):
            row, went = np.zeros(width), 0.0
            row[0] = now.woven_cm - before.woven_cm
            row[1] = _drifted(before.woven_cm, now.woven_cm, self.end_cm)
            for one in range(skeins):
                gone = (before.mass_g[one] - now.mass_g[one]) / self.grist[one]
                went += gone
                row[2 + one] = -gone
                if now.fresh[one]:
                    row[error_at[one]] += 1 / self.grist[one]
                    error_at[one] = len(sd)
                    sd.append(now.error_g[one])
                    row[error_at[one]] -= 1 / self.grist[one]
            rows.append(row)
            seen.append(went)
            noise.append((rate.g_per_cm * stray) ** 2 * STRETCH_CM * row[0])
        return self._conditioned(np.array(sd), rows, seen, noise, error_at, stray)

    def _conditioned(
        self,
        sd: Floats,
        rows: Sequence[Floats],
        seen: Sequence[float],
        noise: Sequence[float],
        error_at: Sequence[int],
        stray: float,
    ) -> tuple[_Known, float]:
        cov, mean = np.diag(sd**2), np.zeros(len(sd))
        mean[0] = self.rate.g_per_cm
        log = 0.0
        if rows:
            a = np.array(rows)[:, : len(sd)]
            off = np.array(seen) - a @ mean
            spread = a @ cov @ a.T + np.diag(noise) + np.eye(len(rows)) * 1e-12
            gain = np.linalg.solve(spread, a @ cov).T
            log = -0.5 * float(off @ np.linalg.solve(spread, off) + np.linalg.slogdet(spread)[1])
            mean, cov = mean + gain @ off, cov - gain @ a @ cov
        pick = np.zeros((3, len(sd)))
        pick[0, 0] = pick[1, 1] = 1.0
        for one, (mass, tex) in enumerate(zip(self.weighings[-1].mass_g, self.grist, strict=True)):
            pick[2, 2 + one] = mass / tex
            pick[2, error_at[one]] = -1 / tex
        return _Known(pick @ mean, pick @ cov @ pick.T, stray, 1.0), log


def _drifted(from_cm: float, to_cm: float, end_cm: float) -> float:
    """How far a drift of 1 g/cm over the whole cloth changes what a stretch takes, in cm."""
    return (to_cm**2 - from_cm**2) / (2 * end_cm) - (to_cm - from_cm) / 2


def _mixed(weights: Sequence[float], each: Sequence[tuple[float, float]]) -> tuple[float, float]:
    """(mean, sd) of a mixture of normals."""
    mean = math.fsum(w * m for w, (m, _) in zip(weights, each, strict=True))
    square = math.fsum(
        w * (s**2 + (m - mean) ** 2) for w, (m, s) in zip(weights, each, strict=True)
    )
    return mean, math.sqrt(square)
