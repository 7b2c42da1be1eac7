"""One interlacing: a thread waving round the threads it crosses, by Peirce's exact geometry.

Between two crossings a thread lies straight, at the weave angle θ to the plane of the cloth, and
round each it bends on a circle of diameter D, both diameters together. With l its length and p the
spacing of the crossings, h the height of its wave and u = l − Dθ the straight part::

    p = u·cos θ + D·sin θ          h = u·sin θ + D·(1 − cos θ)

(p, h − D) is (u, −D) turned by θ. So u² = p² + h² − 2hD and tan(θ/2) = h/(p + u): angle and length
come out exactly, without trial. The other system's wave is what is left of D.
Scalars or arrays, answered in kind.
Source: F. T. Peirce, The geometry of cloth structure, J. Text. Inst. 28 (1937) T45.
"""

import math
from typing import Any, TypeVar

import numpy as np
from numpy.typing import NDArray

from farspun.craft.arrays import Array, all_good, in_kind, rising_root, together
from farspun.craft.bend import ROUNDING, highest_reach_mm, highest_wave_mm
from farspun.craft.limits import above_zero

Number = TypeVar("Number", float, NDArray[np.float64])

# name: value         unit       source
SHORT_FORM = 4 / 3  # h/(p·√c)   Peirce 1937: within 6 % of the exact geometry


def weave_angle(spacing_mm: Number, wave_mm: Number | float, both_mm: Number | float) -> Number:
    """θ in radians of a thread that waves `wave_mm` high over crossings `spacing_mm` apart.

    `both_mm` is D. Inverse, with `thread_length_mm`: `crossing`.
    Raises: ImpossibleValue for a wave below 0 or above `highest_wave_mm`. Source: Peirce 1937.

    >>> round(math.degrees(weave_angle(math.sqrt(0.75), 0.5, 1.0)), 6)  # the square jammed cloth
    60.0
    """
    found: Number = in_kind(2 * np.arctan(_half_tangent(*_fitting(spacing_mm, wave_mm, both_mm))))
    return found


def thread_length_mm(
    spacing_mm: Number, wave_mm: Number | float, both_mm: Number | float
) -> Number:
    """l, the length of thread from one crossing to the next.

    Raises: ImpossibleValue. Source: Peirce 1937. Inverse, with `weave_angle`: `crossing`.

    >>> round(thread_length_mm(math.sqrt(0.75), 0.5, 1.0), 6)
    1.047198
    """
    p, h, D = _fitting(spacing_mm, wave_mm, both_mm)
    found: Number = in_kind(p + _excess(p, h, D))
    return found


def excess_mm(spacing_mm: Number, wave_mm: Number | float, both_mm: Number | float) -> Number:
    """l − p, what waving costs at a crossing, without the loss of figures of a difference.

    Raises: ImpossibleValue. Source: Peirce 1937.

    >>> round(excess_mm(math.sqrt(0.75), 0.5, 1.0), 6)
    0.181172
    """
    found: Number = in_kind(_excess(*_fitting(spacing_mm, wave_mm, both_mm)))
    return found


def crimp_fraction(spacing_mm: Number, wave_mm: Number | float, both_mm: Number | float) -> Number:
    """c = (l − p)/p.

    Raises: ImpossibleValue. Inverse: `wave_mm`. Source: Peirce 1937.

    >>> round(crimp_fraction(math.sqrt(0.75), 0.5, 1.0), 6)
    0.2092
    """
    p, h, D = _fitting(spacing_mm, wave_mm, both_mm)
    found: Number = in_kind(_excess(p, h, D) / p)
    return found


def crossing(
    angle_rad: Number, length_mm: Number | float, both_mm: Number | float
) -> tuple[Number, Number]:
    """(spacing, height of the wave) in mm of a thread at that angle and length.

    Raises: ImpossibleValue for an angle outside 0 to a right one, a thread shorter than its bend.
    Source: Peirce 1937.

    >>> spacing, height = crossing(math.pi / 3, math.pi / 3, 1.0)
    >>> round(spacing, 6), round(height, 6)
    (0.866025, 0.5)
    """
    angle, length, D = together(
        angle_rad, above_zero("thread", length_mm, "mm"), above_zero("D", both_mm, "mm")
    )
    all_good((angle >= 0) & (angle <= math.pi / 2), "weave angle", angle, "from 0 to a right angle")
    fits = length >= D * angle * (1 - ROUNDING)
    all_good(fits, "thread", length, "at least as long as its bend, D times the angle", "mm")
    p, h = _crossing(angle, np.maximum(length - D * angle, 0.0), D)
    return in_kind(p), in_kind(h)


def wave_mm(crimp: Number, spacing_mm: Number | float, both_mm: Number | float) -> Number:
    """Height of the wave that gives a crimp.

    Newton's step in h, whose slope dc/dh is sin θ/p; from above, so that it never overshoots.
    Raises: ImpossibleValue for a crimp below 0 or above what the spacing allows.
    Inverse: `crimp_fraction`. Source: Peirce 1937.

    >>> round(wave_mm(crimp_fraction(1.2, 0.5, 1.0), 1.2, 1.0), 12)
    0.5
    """
    spacing = above_zero("spacing", spacing_mm, "mm")
    c, p, D = together(crimp, spacing, above_zero("D", both_mm, "mm"))
    top = np.asarray(highest_wave_mm(p, D))
    fits = (c >= 0) & (c <= _excess(p, top, D) / p * (1 + ROUNDING))
    all_good(fits, "crimp", c, "from 0 to what the spacing has room for")

    def over(h: Array) -> tuple[Array, Array]:
        t = _half_tangent(p, h, D)
        return _excess(p, h, D) / p - c, 2 * t / (1 + t**2) / p

    # the thread is no shorter than its chord, so h² is at most l² − p²
    start = np.minimum(p * np.sqrt(c * (2 + c)), top)
    found: Number = in_kind(rising_root(over, start, 0 * p, top))
    return found


def spacing_at_wave_mm(
    length_mm: Number, wave_mm: Number | float, both_mm: Number | float
) -> Number:
    """Spacing of a thread of known length, pulled or let go to another height of its wave.

    Newton's step in θ, whose slope dh/dθ is u·cos θ.
    Raises: ImpossibleValue for a wave below 0 or above `highest_reach_mm`. Source: Peirce 1937.

    >>> length = thread_length_mm(1.2, 0.5, 1.0)
    >>> round(spacing_at_wave_mm(length, 0.5, 1.0), 9)
    1.2
    >>> round(spacing_at_wave_mm(length, 0.0, 1.0) - length, 9)
    0.0
    """
    length, h, D = together(length_mm, wave_mm, both_mm)
    fits = (h >= 0) & (h <= highest_reach_mm(length, D) * (1 + ROUNDING))
    all_good(fits, "wave", h, "from 0 to what its thread reaches", "mm")
    steepest = np.minimum(length / D, math.pi / 2)

    def over(angle: Array) -> tuple[Array, Array]:
        straight = length - D * angle
        _, height = _crossing(angle, straight, D)
        return height - h, straight * np.cos(angle)

    angle = rising_root(over, np.minimum(h / length, steepest), 0 * steepest, steepest)
    found: Number = in_kind(_crossing(angle, length - D * angle, D)[0])
    return found


def short_crimp_fraction(spacing_mm: Number, wave_mm: Number | float) -> Number:
    """Crimp by the short form, (3h/4p)²: to compare with, never used for an answer.

    Source: Peirce 1937, h = (4/3)p√c. Inverse: `short_wave_mm`.

    >>> round(short_crimp_fraction(math.sqrt(0.75), 0.5), 4)  # exactly it is 0.2092
    0.1875
    """
    crimp: Number = (wave_mm / (SHORT_FORM * above_zero("spacing", spacing_mm, "mm"))) ** 2
    return crimp


def short_wave_mm(crimp: Number, spacing_mm: Number | float) -> Number:
    """Height of the wave by the short form, (4/3)p√c: to compare with.

    Source: Peirce 1937. Inverse: `short_crimp_fraction`.

    >>> round(short_wave_mm(0.09, 0.4), 9)
    0.16
    """
    height: Number = (
        SHORT_FORM * above_zero("spacing", spacing_mm, "mm") * above_zero("crimp", crimp, "") ** 0.5
    )
    return height


def _fitting(spacing_mm: Any, wave_mm: Any, both_mm: Any) -> tuple[Array, Array, Array]:
    """p, h and D as arrays, once it is known that the wave fits between the crossings."""
    p, h, D = together(
        above_zero("spacing", spacing_mm, "mm"), wave_mm, above_zero("D", both_mm, "mm")
    )
    straight = p**2 - h * (
        2 * D - h
    )  # u², which keeps its figures where the highest wave loses them
    fits = (h >= 0) & (h <= D * (1 + ROUNDING)) & (straight >= -ROUNDING * D**2)
    all_good(fits, "wave", h, "from 0 to the highest its spacing has room for", "mm")
    return p, h, D


def _half_tangent(p: Array, h: Array, D: Array) -> Array:
    """tan(θ/2)."""
    straight = np.sqrt(np.maximum(p**2 - h * (2 * D - h), 0.0))  # below 0 by rounding only
    tangent: Array = h / (p + straight)
    return tangent


def _excess(p: Array, h: Array, D: Array) -> Array:
    """l − p = Dθ − (p − u) with p − u = h(2D − h)/(p + u): small terms alone are left."""
    t = _half_tangent(p, h, D)
    excess: Array = h * t - 2 * D * (t - np.arctan(t))
    return excess


def _crossing(angle: Array, straight: Array, D: Array) -> tuple[Array, Array]:
    """Peirce's two equations; 1 − cos θ as 2 sin²(θ/2), which keeps its figures when small."""
    spacing = straight * np.cos(angle) + D * np.sin(angle)
    return spacing, straight * np.sin(angle) + 2 * D * np.sin(angle / 2) ** 2
