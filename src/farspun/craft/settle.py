"""Which reading would settle whether the yarn reaches.

Y = ln(have/need) of the weakest yarn is N(μ, σ²) by the draws. A reading of a skein, or a washed
sample, takes part of σ² away: σ₁² = σ² - aᵀ(V - V₁)a, with a the slope of Y on what is read and
V, V₁ its covariance without and with the reading. The best one has the largest chance of ending
in a clear yes (odds at the promise) or a clear no (below 50 in 100). What is clear already does
not count: a yarn that falls short can only be turned into a clear yes, and one that reaches needs
no reading; else a reading that says nothing would win. Source: docs/reach.md.
"""

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from farspun.craft.case import Case, Skein
from farspun.craft.learned import told_already
from farspun.craft.reach import Doubt
from farspun.craft.readings import (
    COUNT_OWN_SD,
    SPINNER_CV,
    TOOL_BIAS_SD,
    WRAPS_SD,
    Floats,
    test_length_sd,
    weighed_sd,
)

LEAST_CHANCE = 0.05  # below this no reading is worth the evening; judgement
SAYS_NOTHING = 1e-9  # of the variance: less moves nothing, whatever is read
SAMPLE_KEEPS = 0.4375  # of a factor's variance: a quarter within, w(1 + 1/K) with K = 4/3
SAMPLE_FACTORS = ("take_up", "weft_crimp", "draw_in", "shrink_length", "shrink_width")
COUNTED_BEAT_SD = 0.04  # once picks were counted on a sample; common practice, no source
SAMPLE_CM = 12.0  # a sample large enough to measure; common practice, no source

# reading: (slope on ln L, ln T, ln φ); what to do
SKEIN_READINGS = {
    "re-count": (1.0, 0.0, 0.0),
    "weigh": (1.0, 1.0, 0.0),
    "test length": (0.0, 1.0, 0.0),
    "wraps": (0.0, -0.5, 0.5),
}


@dataclass(frozen=True, slots=True)
class Settling:
    """One reading: of which skein (None for a washed sample), and what it would do."""

    reading: str
    skein: str | None
    odds_now: float
    odds_after: float
    clear_yes: float
    clear_no: float

    def useful(self, verdict: str) -> float:
        """The chance of a clear answer that is not there already."""
        chances = {"uncertain": self.clear_yes + self.clear_no, "falls short": self.clear_yes}
        return chances.get(verdict, 0.0)


def settling(
    reading: str, skein: str | None, mean: float, sd: float, sd_after: float, promise: float
) -> Settling:
    """Odds now, odds if the reading confirms the middle, and the chances of a clear answer.

    `mean` and `sd` of ln(have/need) now, `sd_after` with the reading.

    >>> s = settling("re-count", "Gorse 1", 0.10, 0.1484, 0.0908, 0.95)
    >>> round(s.odds_after, 3), round(s.clear_yes, 3), round(s.clear_no, 3)
    (0.865, 0.337, 0.197)
    """
    from scipy.special import ndtr, ndtri

    moves = math.sqrt(sd**2 - sd_after**2)
    return Settling(
        reading=reading,
        skein=skein,
        odds_now=float(ndtr(mean / sd)),
        odds_after=float(ndtr(mean / sd_after)),
        clear_yes=float(ndtr((mean - ndtri(promise) * sd_after) / moves)),
        clear_no=float(ndtr(-mean / moves)),
    )


def best_settling(case: Case, doubt: Doubt | None, verdict: str) -> Settling | None:
    """The reading with the largest chance of a clear answer; None if all are under 5 in 100.

    `verdict` is the word as things stand.
    """
    if doubt is None or not doubt.sd > 0:
        return None
    whole, least = doubt.sd**2, SAYS_NOTHING * doubt.sd**2
    offers = [
        settling(reading, skein, doubt.mean, doubt.sd, math.sqrt(whole - gain), case.promise)
        for reading, skein, gain in _gains(case, doubt)
        if least < gain < whole
    ]
    best = max(offers, key=lambda offer: offer.useful(verdict), default=None)
    return best if best is not None and best.useful(verdict) >= LEAST_CHANCE else None


def _gains(case: Case, doubt: Doubt) -> Iterator[tuple[str, str | None, float]]:
    """Each reading she could take and the variance of Y it would take away."""
    yarn = (case.warp if doubt.side == "warp" else case.weft)[doubt.position]
    total = sum(skein.free * skein.median_m for skein in yarn.skeins)
    for skein in yarn.skeins:
        if skein.cov is None or not total > 0:
            continue
        part = skein.free * skein.median_m / total * skein.stretch
        for reading, h in SKEIN_READINGS.items():
            if reading == "re-count" and not skein.whole:
                continue  # a count is of the whole skein
            yield reading, skein.name, _skein_gain(skein, part, reading, np.array(h))
    yield "washed sample", None, _sample_gain(case, doubt)


def _skein_gain(skein: Skein, part: float, reading: str, h: Floats) -> float:
    """aᵀ(V - V₁)a of one more row h with its sd; a = (part, 0, 0)."""
    assert skein.cov is not None
    Vh = skein.cov @ h
    return float((part * Vh[0]) ** 2 / (h @ Vh + _reading_sd(skein, reading) ** 2))


def _reading_sd(skein: Skein, reading: str) -> float:
    """sd of the reading as she would take it: kitchen scale of 1 g, 0.1 g for a test length."""
    tex = skein.tex if skein.tex is not None else 0.0
    if reading == "re-count":
        return math.hypot(COUNT_OWN_SD, TOOL_BIAS_SD)
    if reading == "weigh":
        return float(weighed_sd(max(tex * skein.median_m / 1000, 1.0), 1.0))
    if reading == "test length":
        return float(test_length_sd(10.0, max(tex / 100, 0.1), 0.1, SPINNER_CV))
    return WRAPS_SD


def _sample_gain(case: Case, doubt: Doubt) -> float:
    """What a washed sample takes off the factors it measures.

    Those given by hand stay, and those of which a sample was washed already.
    """
    gain = 0.0
    for cause in SAMPLE_FACTORS:
        if not told_already(getattr(case.spreads, cause)):
            gain += doubt.slopes.get(cause, 0.0) ** 2 * (1 - SAMPLE_KEEPS)
    beat = case.spreads.beat
    if beat.log_sd > COUNTED_BEAT_SD and not told_already(beat):
        kept = (COUNTED_BEAT_SD / beat.log_sd) ** 2
        gain += doubt.slopes.get("beat", 0.0) ** 2 * (1 - kept)
    return gain
