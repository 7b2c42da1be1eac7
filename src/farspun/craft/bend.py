"""A thread that is all bend: how high it can wave, and how close its crossings can come.

With no straight part between two crossings (u = 0 in craft/peirce.py) a thread lies on circles of
diameter D, both diameters together, and p = D·sin θ, h = D·(1 − cos θ), l = Dθ. No cloth is
closer. Scalars or arrays, answered in kind.
Source: F. T. Peirce, The geometry of cloth structure, J. Text. Inst. 28 (1937) T45.
"""

import math
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from farspun.craft.arrays import Array, all_good, in_kind, rising_root, together
from farspun.craft.limits import above_zero

Number = TypeVar("Number", float, NDArray[np.float64])

# name: value                  unit   source
ROUNDING = 1e-12  #            part   judgement: what doubles lose on the way to a limit and back
MOST_BEND = math.pi / 2 - 1  # part   exact: (l − p)/D of a thread bent to a right angle


def highest_wave_mm(spacing_mm: Number, both_mm: Number | float) -> Number:
    """Highest wave of a thread over crossings so far apart.

    D − √(D² − p²) for a spacing p below D; else D, for then the other system lies straight.
    Raises: ImpossibleValue. Inverse: `least_spacing_mm`. Source: Peirce 1937.

    >>> round(highest_wave_mm(0.8, 1.0), 12), highest_wave_mm(2.0, 1.0)
    (0.4, 1.0)
    """
    p, D = together(spacing_mm, above_zero("D", both_mm, "mm"))
    all_good((p >= 0) & (p < math.inf), "spacing", p, "0 mm or more", "mm")
    near = np.minimum(p, D)
    found: Number = in_kind(near**2 / (D + np.sqrt((D - near) * (D + near))))
    return found


def least_spacing_mm(wave_mm: Number, both_mm: Number | float) -> Number:
    """Closest crossings that leave room for a wave: √(h(2D − h)).

    Raises: ImpossibleValue for a wave outside 0 to D. Inverse: `highest_wave_mm`.
    Source: Peirce 1937.

    >>> round(least_spacing_mm(0.4, 1.0), 12), round(least_spacing_mm(0.5, 1.0), 5)
    (0.8, 0.86603)
    """
    h, D = together(wave_mm, above_zero("D", both_mm, "mm"))
    fits = (h >= 0) & (h <= D * (1 + ROUNDING))
    all_good(fits, "wave", h, "from 0 to both diameters together", "mm")
    found: Number = in_kind(np.sqrt(h * (2 * D - h)))
    return found


def jam_spacing_mm(other_spacing_mm: Number, both_mm: Number | float) -> Number:
    """Closest spacing of one system of a plain cloth, by the spacing of the other.

    √(1 − (p₁/D)²) + √(1 − (p₂/D)²) = 1. Where the other is D or more apart no limit is left: 0.
    Raises: ImpossibleValue. Its own inverse below D. Source: Peirce 1937.

    >>> round(jam_spacing_mm(0.7, 1.0), 5), jam_spacing_mm(1.5, 1.0)
    (0.95827, 0.0)
    """
    p, D = together(other_spacing_mm, both_mm)
    found: Number = in_kind(
        np.asarray(least_spacing_mm(np.maximum(D - highest_wave_mm(p, D), 0.0), D))
    )
    return found


def highest_reach_mm(length_mm: Number, both_mm: Number | float) -> Number:
    """Highest wave, up to D, of a thread so long, its crossings pushed up as far as they go.

    Raises: ImpossibleValue. Source: Peirce 1937.

    >>> round(highest_reach_mm(math.pi / 3, 1.0), 9), round(highest_reach_mm(2.0, 1.0), 9)
    (0.5, 1.0)
    """
    length, D = together(above_zero("thread", length_mm, "mm"), above_zero("D", both_mm, "mm"))
    found: Number = in_kind(2 * D * np.sin(np.minimum(length / D, math.pi / 2) / 2) ** 2)
    return found


def bent_wave_mm(excess_mm: Number, both_mm: Number | float) -> Number:
    """Height of the wave of a thread that is all bend, by how much it is longer than its spacing.

    The excess is D(θ − sin θ), at most 57 % of D at a right angle; θ by Newton's step.
    Raises: ImpossibleValue. Source: Peirce 1937.

    >>> round(bent_wave_mm(math.pi / 3 - math.sqrt(0.75), 1.0), 12)
    0.5
    """
    excess, D = together(excess_mm, above_zero("D", both_mm, "mm"))
    part = excess / D
    fits = (part >= 0) & (part <= MOST_BEND * (1 + ROUNDING))
    all_good(fits, "thread", excess, "from 0 to 57 % of D longer than its spacing", "mm")

    def over(angle: Array) -> tuple[Array, Array]:
        return angle - np.sin(angle) - part, 1 - np.cos(angle)

    start = np.minimum(np.cbrt(6 * part), math.pi / 2)
    angle = rising_root(over, start, 0 * part, math.pi / 2)
    found: Number = in_kind(2 * D * np.sin(angle / 2) ** 2)
    return found
