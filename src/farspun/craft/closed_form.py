"""Odds of one yarn without draws: good for ranking thousands, within 1.5 points of the draws.

Need is a product of independent factors, each with closed mean and second moment (the pick length
is max(1, X) with X lognormal); supply is a sum of lognormals with shared causes. Both are taken as
the lognormal of the same mean and variance (Fenton-Wilkinson). Source: docs/reach.md.
"""

import math
from collections.abc import Sequence
from typing import Any

import numpy as np

from farspun.craft.case import Case, Spreads, Yarn
from farspun.craft.readings import Floats
from farspun.craft.spread import Spread

Moments = tuple[Any, Any]  # mean and second moment


def lognormal_moments(median: Any, sd_ln: Any) -> Moments:
    """E X and E X² of a lognormal.

    >>> [round(float(m), 4) for m in lognormal_moments(1.0, 0.1)]
    [1.005, 1.0202]
    """
    variance = np.square(sd_ln)
    return median * np.exp(variance / 2), np.square(median) * np.exp(2 * variance)


def floored_moments(mean_ln: Any, sd_ln: Any) -> Moments:
    """E M and E M² of M = max(1, exp(N(mean_ln, sd_ln²))); scalars or arrays, sd_ln > 0.

    >>> [round(float(m), 4) for m in floored_moments(0.0, 0.1)]
    [1.0425, 1.091]
    """
    from scipy.special import ndtr

    below = ndtr(-mean_ln / sd_ln)

    def part(power: int) -> Any:
        grown = np.exp(power * mean_ln + (power * sd_ln) ** 2 / 2)
        return below + grown * ndtr((mean_ln + power * sd_ln**2) / sd_ln)

    return part(1), part(2)


def _spread_moments(*spreads: Spread) -> Moments:
    median = math.prod(spread.factor for spread in spreads)
    return lognormal_moments(median, math.hypot(*(spread.log_sd for spread in spreads)))


def weft_need_moments(case: Case) -> Moments:
    """Mean and second moment of the metres of weft in one cloth."""
    size, spreads = case.size, case.spreads
    kept = spreads.shrink_length.factor * spreads.relax_length.factor
    sd = math.hypot(spreads.shrink_length.log_sd, spreads.relax_length.log_sd)
    woven, woven2 = lognormal_moments(size.full_length_cm * (1 - size.give) / kept, sd)
    extra = size.sample_cm + size.header_cm
    height, height2 = woven + extra, woven2 + 2 * woven * extra + extra**2
    beat, beat2 = _spread_moments(spreads.beat)
    picks = height * beat * case.picks_per_cm + 0.5  # a pick is rounded up: half on the mean
    picks2 = height2 * beat2 * case.picks_per_cm**2 + picks
    width = case.reed_width_cm / 100
    pick, pick2 = _pick_moments(spreads)
    return picks * pick * width, picks2 * pick2 * width**2


def _pick_moments(spreads: Spreads) -> Moments:
    """A pick over the reed width."""
    if spreads.weft_take_up is not None:
        return _spread_moments(spreads.weft_take_up)
    mean_ln = math.log(spreads.draw_in.factor * spreads.weft_crimp.factor)
    sd_ln = math.hypot(spreads.draw_in.log_sd, spreads.weft_crimp.log_sd)
    joins, joins2 = _spread_moments(spreads.joins)
    if not sd_ln > 0:
        over = max(1.0, math.exp(mean_ln))
        return over * joins, over**2 * joins2
    over, over2 = floored_moments(mean_ln, sd_ln)
    return over * joins, over2 * joins2


def supply_moments(case: Case, yarn: Yarn) -> Moments:
    """Mean and second moment of the metres had, shared causes counted."""
    at = {name: position for position, name in enumerate(case.effects)}
    loads = np.zeros((len(yarn.skeins), len(at)))
    for row, skein in enumerate(yarn.skeins):
        for effect, load in skein.loads.items():
            loads[row, at[effect]] = load
    medians = np.array([skein.free * skein.median_m for skein in yarn.skeins])
    cov = loads @ case.effect_cov @ loads.T
    cov += np.diag([skein.own_sd_ln**2 for skein in yarn.skeins])
    return sum_moments(medians, cov)


def sum_moments(medians: Floats, cov_ln: Floats) -> Moments:
    """E and E² of Σ of correlated lognormals; medians (k,), cov of ln (k, k)."""
    means = medians * np.exp(np.diagonal(cov_ln) / 2)
    return float(means.sum()), float(means @ np.exp(cov_ln) @ means)


def odds_of(have: Moments, need: Moments) -> Any:
    """P(have ≥ need), both taken as lognormal, independent; scalars or arrays."""
    from scipy.special import ndtr

    ln = [(np.log(m) - 0.5 * np.log(m2 / m**2), np.log(m2 / m**2)) for m, m2 in (have, need)]
    return ndtr((ln[0][0] - ln[1][0]) / np.sqrt(ln[0][1] + ln[1][1]))


def closed_form_odds(case: Case, yarn: Yarn) -> float:
    """Odds of one yarn of the case, warp or weft, by the closed form."""
    return float(odds_of(supply_moments(case, yarn), _need_moments(case, yarn)))


def _need_moments(case: Case, yarn: Yarn) -> Moments:
    if any(yarn is one for one in case.weft):
        mean, second = weft_need_moments(case)
        return mean * yarn.part, second * yarn.part**2
    position: Sequence[int] = [at for at, one in enumerate(case.warp) if one is yarn]
    metres = case.warp_ends(position[0]) * case.warp_cut_cm / 100
    mean, second = _spread_moments(case.spreads.cutting)
    return metres * mean, metres**2 * second
