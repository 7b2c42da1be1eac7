"""Odds of one yarn without draws: good for ranking thousands, within 1.5 points of the draws.

Need is a product of independent factors, each with closed mean and second moment (the pick length
is max(1, X) with X lognormal); supply is a sum of lognormals with shared causes. Both are taken as
the lognormal of the same mean and variance (Fenton-Wilkinson). Source: docs/reach.md.
"""

import math
from collections.abc import Sequence
from typing import Any

import numpy as np

from farspun.craft.case import Case, Size, Spreads, Yarn
from farspun.craft.readings import Floats
from farspun.craft.spread import Spread

Moments = tuple[Any, Any]  # mean and second moment
MOST_CORRELATED = 0.999999  # exact would divide by nothing; judgement: nobody sees the difference
BEYOND_DOUBT = 40.0  # spreads; exact to the last digit: its chance is 0 or 1
NEAR_NOTHING = 1e-300  # in place of 0, which has no sign; exact to the last digit


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
    woven = woven_moments(case.size, case.spreads)
    return weft_moments(woven, pick_moments(case.spreads), case.picks_per_cm, case.reed_width_cm)


def woven_moments(size: Size, spreads: Spreads) -> Moments:
    """Rested cm to be woven, times how closely she beats against what is meant."""
    kept = spreads.shrink_length.factor * spreads.relax_length.factor
    sd = math.hypot(spreads.shrink_length.log_sd, spreads.relax_length.log_sd)
    woven, woven2 = lognormal_moments(size.full_length_cm * (1 - size.give) / kept, sd)
    extra = size.sample_cm + size.header_cm
    beat, beat2 = _spread_moments(spreads.beat)
    return (woven + extra) * beat, (woven2 + 2 * woven * extra + extra**2) * beat2


def weft_moments(woven: Moments, pick: Moments, picks_per_cm: Any, reed_width_cm: Any) -> Moments:
    """Metres of weft from what is woven and a pick over the reed width; scalars or arrays."""
    picks = woven[0] * picks_per_cm + 0.5  # a pick is rounded up: half on the mean
    picks2 = woven[1] * picks_per_cm**2 + picks
    width_m = reed_width_cm / 100
    return picks * pick[0] * width_m, picks2 * pick[1] * width_m**2


def pick_moments(spreads: Spreads) -> Moments:
    """A pick over the reed width."""
    if spreads.weft_take_up is not None:
        return _spread_moments(spreads.weft_take_up)
    draw_in, crimp, joins = spreads.draw_in, spreads.weft_crimp, spreads.joins
    return bent_pick_moments(
        draw_in.factor * crimp.factor, math.hypot(draw_in.log_sd, crimp.log_sd), joins
    )


def bent_pick_moments(bent: Any, log_sd: Any, joins: Spread) -> Moments:
    """A pick over the reed width that is at least as long as the reed is wide: `bent` is
    (1 - g)(1 + c), with its sd of ln; scalars or (...,)."""
    joined = _spread_moments(joins)
    sure = np.asarray(log_sd) == 0
    over, over2 = floored_moments(np.log(bent), np.where(sure, 1.0, log_sd))
    flat = np.maximum(1.0, bent)
    over, over2 = np.where(sure, flat, over), np.where(sure, flat**2, over2)
    return over * joined[0], over2 * joined[1]


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


def log_moments(moments: Moments) -> Moments:
    """Mean and variance of ln X of the lognormal with these moments."""
    mean, second = moments
    variance = np.log(second / np.square(mean))
    return np.log(mean) - 0.5 * variance, variance


def odds_of(have: Moments, need: Moments) -> Any:
    """P(have ≥ need), both taken as lognormal, independent; scalars or arrays."""
    from scipy.special import ndtr

    return ndtr(margin(have, need)[0])


def margin(have: Moments, need: Moments) -> tuple[Any, Any]:
    """Mean of ln(have/need) in its spreads, and that spread (sd of ln); -inf where nothing is."""
    there = np.asarray(have[0]) > 0
    held = np.where(there, have[0], 1.0), np.where(there, have[1], 1.0)
    (had, had_var), (needed, needed_var) = log_moments(held), log_moments(need)
    sd = np.sqrt(had_var + needed_var)
    return np.where(there, (had - needed) / sd, -np.inf), sd


def closed_form_odds(case: Case, yarn: Yarn) -> float:
    """Odds of one yarn of the case, warp or weft, by the closed form."""
    return float(odds_of(supply_moments(case, yarn), need_moments(case, yarn)))


def closed_form_all(case: Case) -> float:
    """Odds of all yarns of the case together; no skein may stand on both sides.

    Yarns of one side share what the loom asks, and all of them what their skeins share.
    """
    yarns = (*case.warp, *case.weft)
    if not yarns:
        return 1.0
    margins = [margin(supply_moments(case, one), need_moments(case, one)) for one in yarns]
    z, sds = np.array([one[0] for one in margins]), np.array([one[1] for one in margins])
    cov = np.zeros((len(yarns), len(yarns)))
    for at, one in enumerate(yarns):
        for other in range(at):
            cov[at, other] = cov[other, at] = supply_cov(case, one, yarns[other])
            if (at < len(case.warp)) == (other < len(case.warp)):
                cov[at, other] += log_moments(need_moments(case, one))[1]
                cov[other, at] = cov[at, other]
    return float(all_odds(z, cov / np.outer(sds, sds)))


def all_odds(z: Any, correlation: Any) -> Any:
    """P(all margins above 0): z (..., k) in spreads, `correlation` (..., k, k) between them.

    Two are exact (a bivariate normal); of more each further one is taken as though it hung on the
    weakest alone.
    """
    from scipy.special import ndtr

    z = np.clip(np.asarray(z, dtype=float), -BEYOND_DOUBT, BEYOND_DOUBT)
    correlation = np.asarray(correlation, dtype=float)
    weakest = np.argmin(z, axis=-1)[..., None]
    first = np.take_along_axis(z, weakest, axis=-1)
    rho = np.take_along_axis(correlation, weakest[..., None], axis=-2)[..., 0, :]
    both = both_odds(first, z, rho)
    alone = ndtr(first)
    share = np.divide(both, alone, out=np.ones_like(both), where=alone > 0)
    np.put_along_axis(share, weakest, 1.0, axis=-1)
    return alone[..., 0] * share.prod(axis=-1)


def both_odds(first: Any, second: Any, correlation: Any) -> Any:
    """P(X ≤ first and Y ≤ second) of standard normals with that correlation; arrays.

    Source: D. B. Owen, Ann. Math. Stat. 27 (1956) 1075, from memory.

    >>> round(float(both_odds(0.0, 0.0, 0.5)), 6), round(float(both_odds(1.0, -0.3, 0.0)), 6)
    (0.333333, 0.321468)
    """
    from scipy.special import ndtr, owens_t

    given = (np.asarray(x, dtype=float) for x in (first, second, correlation))
    h, k, rho = np.broadcast_arrays(*given)
    rho = np.where(np.abs(rho) > MOST_CORRELATED, np.sign(rho) * MOST_CORRELATED, rho)
    h, k = (np.where(x == 0, NEAR_NOTHING, x) for x in (h, k))
    root = np.sqrt(1 - rho**2)
    apart = np.where((h > 0) == (k > 0), 0.0, 0.5)
    tails = owens_t(h, (k / h - rho) / root) + owens_t(k, (h / k - rho) / root)
    return (ndtr(h) + ndtr(k)) / 2 - tails - apart


def supply_cov(case: Case, one: Yarn, other: Yarn) -> float:
    """Covariance of the logs of what two yarns have, from what their skeins share."""
    loads = []
    for yarn in (one, other):
        means = [s.free * s.median_m for s in yarn.skeins]
        total = sum(means)
        loads.append(
            [
                sum(m * s.loads.get(effect, 0.0) for m, s in zip(means, yarn.skeins, strict=True))
                / total
                if total > 0
                else 0.0
                for effect in case.effects
            ]
        )
    return float(np.array(loads[0]) @ case.effect_cov @ np.array(loads[1])) if case.effects else 0.0


def need_moments(case: Case, yarn: Yarn) -> Moments:
    """Mean and second moment of the metres one yarn of the case needs."""
    if any(yarn is one for one in case.weft):
        mean, second = weft_need_moments(case)
        return mean * yarn.part, second * yarn.part**2
    position: Sequence[int] = [at for at, one in enumerate(case.warp) if one is yarn]
    metres = case.warp_ends(position[0]) * case.warp_cut_cm / 100
    mean, second = _spread_moments(case.spreads.cutting)
    return metres * mean, metres**2 * second
