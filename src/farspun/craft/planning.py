"""How many ends and how long a warp, so that the size is kept at its promise.

Width and length are each a product of lognormal losses, so their quantiles are closed: the width
exactly, the length by Fenton-Wilkinson (a sum of lognormals taken as the lognormal of the same
mean and variance). Source: L. F. Fenton, IRE Trans. Commun. Syst. 8 (1960) 57, from memory.
"""

import math
from dataclasses import dataclass

from farspun.craft.amounts import whole_up
from farspun.craft.case import Size, Spreads

FIRST_SIZE_PROMISE = 0.80  # judgement: a first cloth of unknown shrinkage
KNOWN_SIZE_PROMISE = 0.95  # judgement: once a washed sample or three records narrow it


@dataclass(frozen=True, slots=True)
class Settled:
    """Ends (without floating selvedges) and warp cut, whole cm."""

    ends: int
    warp_cut_cm: int


def part_promise(promise: float, parts: int) -> float:
    """What each of `parts` must keep so that together they keep `promise`.

    >>> round(part_promise(0.95, 2), 4)
    0.975
    """
    return 1 - (1 - promise) / parts


def settled(
    size: Size, spreads: Spreads, ends_per_cm: float, level: float, repeat: int = 1
) -> Settled:
    """Ends and warp for the size less its give, width and length each kept at `level`.

    `ends_per_cm` threads per cm, `level` in (0, 1), ends rounded up to whole `repeat`s.
    At level 0.5 all factors stand at their middle values. Source: docs/reach.md.
    """
    return Settled(
        ends=settled_ends(size, spreads, ends_per_cm, level, repeat),
        warp_cut_cm=settled_warp_cut(size, spreads, level),
    )


def settled_ends(
    size: Size, spreads: Spreads, ends_per_cm: float, level: float, repeat: int = 1
) -> int:
    """N = ⌈width · sett · exp(z σ) / ((1-g)(1-s))⌉, up to whole repeats."""
    ends = settled_reed_width_cm(size, spreads, level) * ends_per_cm
    return int(whole_up(ends / repeat)) * repeat


def settled_reed_width_cm(size: Size, spreads: Spreads, level: float) -> float:
    """Width in the reed before its ends are rounded up: width · exp(z σ) / ((1-g)(1-s))."""
    from scipy.special import ndtri

    losses = (spreads.draw_in, spreads.shrink_width, spreads.relax_width)
    kept = math.prod(loss.factor for loss in losses)
    sd = math.hypot(*(loss.log_sd for loss in losses))
    width = size.full_width_cm * (1 - size.give)
    return width / kept * math.exp(float(ndtri(level)) * sd)


def settled_warp_cut(size: Size, spreads: Spreads, level: float) -> int:
    """The `level` quantile of pieces, sample, header and waste, up to a whole cm."""
    from scipy.special import ndtri

    wash = (spreads.shrink_length, spreads.relax_length)
    up, waste = spreads.take_up, spreads.waste_cm
    wash_factor = math.prod(loss.factor for loss in wash)
    wash_var = sum(loss.log_sd**2 for loss in wash)
    pieces = size.full_length_cm * (1 - size.give) / (wash_factor * up.factor)
    extra = (size.sample_cm + size.header_cm) / up.factor
    terms = [  # median, variance of ln
        (pieces, wash_var + up.log_sd**2),
        (extra, up.log_sd**2),
        (waste.factor, waste.log_sd**2),
    ]
    means = [median * math.exp(variance / 2) for median, variance in terms]
    variances = [
        mean**2 * math.expm1(variance) for mean, (_, variance) in zip(means, terms, strict=True)
    ]
    both_taken_up = 2 * means[0] * means[1] * math.expm1(up.log_sd**2)
    mean, variance = sum(means), sum(variances) + both_taken_up
    sd = math.sqrt(math.log1p(variance / mean**2))
    doubtful = mean / math.sqrt(1 + variance / mean**2) * math.exp(float(ndtri(level)) * sd)
    if level == 0.5:
        doubtful = pieces + extra + waste.factor
    fixed = size.inner_unwoven_cm + float(size.outer_fringes_cm(waste.factor))
    return int(whole_up(doubtful + fixed))
