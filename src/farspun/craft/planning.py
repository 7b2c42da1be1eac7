"""How many ends and how long a warp, so that the size is kept at its promise.

Width and length are each a product of lognormal losses, so their quantiles are closed: the width
exactly, the length by Fenton-Wilkinson (a sum of lognormals taken as the lognormal of the same
mean and variance). Source: L. F. Fenton, IRE Trans. Commun. Syst. 8 (1960) 57, from memory.
"""

import math
from dataclasses import dataclass
from typing import Any, NamedTuple

import numpy as np

from farspun.craft.amounts import whole_up
from farspun.craft.case import Size, Spreads

FIRST_SIZE_PROMISE = 0.80  # judgement: a first cloth of unknown shrinkage
KNOWN_SIZE_PROMISE = 0.95  # judgement: once a washed sample or three records narrow it

Logs = tuple[Any, Any]  # what a loss multiplies by, at its middle, and its sd of ln


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
    washed = math.prod(loss.factor for loss in wash), math.hypot(*(loss.log_sd for loss in wash))
    up, waste = spreads.take_up, spreads.waste_cm
    z, laid = float(ndtri(level)), laid_out(size, waste.factor)
    return int(warp_cut_cm(laid, washed, (up.factor, up.log_sd), (waste.factor, waste.log_sd), z))


class Laid(NamedTuple):
    """Of a warp, cm, scalar or (...,): washed pieces less their give, sample and header, and what
    is never woven beside the loom waste."""

    pieces_cm: Any
    extra_cm: Any
    unwoven_cm: Any


def laid_out(size: Size, waste_cm: float) -> Laid:
    """What must lie on the warp for a cloth of that size."""
    pieces = size.full_length_cm * (1 - size.give)
    unwoven = size.inner_unwoven_cm + float(size.outer_fringes_cm(waste_cm))
    return Laid(pieces, size.sample_cm + size.header_cm, unwoven)


def warp_cut_cm(laid: Laid, wash: Logs, take_up: Logs, waste: Logs, z: Any) -> Any:
    """`settled_warp_cut` at `z` spreads above the middle; each (factor, sd of ln), and `z`, scalar
    or (...,)."""
    pieces = laid.pieces_cm / (wash[0] * take_up[0])
    extra = laid.extra_cm / take_up[0]
    up_var = np.square(take_up[1])
    terms = [  # median, variance of ln
        (pieces, np.square(wash[1]) + up_var),
        (extra, up_var),
        (waste[0], np.square(waste[1])),
    ]
    means = [median * np.exp(variance / 2) for median, variance in terms]
    variances = [
        mean**2 * np.expm1(variance) for mean, (_, variance) in zip(means, terms, strict=True)
    ]
    both_taken_up = 2 * means[0] * means[1] * np.expm1(up_var)
    mean, variance = sum(means), sum(variances) + both_taken_up
    off = variance / np.square(mean)
    doubtful = mean / np.sqrt(1 + off) * np.exp(z * np.sqrt(np.log1p(off)))
    doubtful = np.where(z == 0, pieces + extra + waste[0], doubtful)
    return whole_up(doubtful + laid.unwoven_cm)
