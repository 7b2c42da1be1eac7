"""How far two colours are apart to the eye: CIEDE2000, from CIELAB.

Source: G. Sharma, W. Wu, E. N. Dalal, The CIEDE2000 color-difference formula, Color Res. Appl.
30(1), 2005, 21-30; the formula is CIE 142-2001. Short names below are theirs: L, C, h lightness,
chroma and hue; G what stretches a* of greyish colours; T, S, R the weights by hue, lightness and
chroma.
"""

from typing import Any

import numpy as np
from numpy.typing import NDArray

from farspun.craft.arrays import Array
from farspun.craft.colour_space import checked_lab

# name: value           unit            source
CHROMA_KNEE = 25.0**7  # of chroma⁷     Sharma, Wu and Dalal 2005
TURN = 360.0  #         degrees         exact


def delta_e_2000(lab: Any, others: Any) -> Any:
    """CIEDE2000 between colours of CIELAB, last axis 3; one may stand against many.

    All three weights (kL, kC, kH) are 1. Raises: ImpossibleValue. Source: above.

    >>> round(delta_e_2000([50.0, 2.6772, -79.7751], [50.0, 0.0, -82.7485]), 4)
    2.0425
    """
    first, second = np.broadcast_arrays(checked_lab(lab), checked_lab(others))
    (L1, C1, h1), (L2, C2, h2) = _stretched(first, second)
    C, L = (C1 + C2) / 2, (L1 + L2) / 2
    both = (C1 * C2) > 0
    hue_apart = np.where(both, _shorter_way(h2 - h1), 0.0)
    dH = 2 * np.sqrt(C1 * C2) * np.sin(np.radians(hue_apart / 2))
    h = _middle_hue(h1, h2, both)
    lightness = (L2 - L1) / (1 + 0.015 * (L - 50) ** 2 / np.sqrt(20 + (L - 50) ** 2))
    chroma = (C2 - C1) / (1 + 0.045 * C)
    hue = dH / (1 + 0.015 * C * _hue_weight(h))
    turned = _turning(C, h) * chroma * hue
    # the turning term can be negative, but never more than the rest: no root of less than nothing
    apart = np.sqrt(np.maximum(lightness**2 + chroma**2 + hue**2 + turned, 0.0))
    return apart.item() if apart.ndim == 0 else apart


def _stretched(first: Array, second: Array) -> list[tuple[Array, Array, Array]]:
    """Lightness, chroma and hue (degrees) of both, a* of greyish colours stretched."""
    mean = (np.hypot(first[..., 1], first[..., 2]) + np.hypot(second[..., 1], second[..., 2])) / 2
    stretch = 1 + 0.5 * (1 - _greyness(mean))
    found = []
    for lab in (first, second):
        a, b = stretch * lab[..., 1], lab[..., 2]
        found.append((lab[..., 0], np.hypot(a, b), np.degrees(np.arctan2(b, a)) % TURN))
    return found


def _shorter_way(apart: Array) -> Array:
    """A difference of hues, from -180 to 180 degrees."""
    return np.where(apart > 180, apart - TURN, np.where(apart < -180, apart + TURN, apart))


def _middle_hue(h1: Array, h2: Array, both: NDArray[np.bool_]) -> Array:
    """Half way between along the shorter arc; the sum where one of them has no hue."""
    total = h1 + h2
    far = np.abs(h1 - h2) > 180
    middle = np.where(far, np.where(total < TURN, total + TURN, total - TURN), total) / 2
    return np.where(both, middle, total)


def _hue_weight(h: Array) -> Array:
    """T: how much a step of hue shows, by the hue."""
    turns = ((-0.17, 1, -30), (0.24, 2, 0), (0.32, 3, 6), (-0.20, 4, -63))
    weight = np.ones_like(h)
    for size, times, shift in turns:
        weight = weight + size * np.cos(np.radians(times * h + shift))
    return weight


def _turning(C: Array, h: Array) -> Array:
    """R: in the blues steps of hue and chroma do not stand square on each other."""
    angle = 60 * np.exp(-(((h - 275) / 25) ** 2))
    return np.asarray(-2 * np.sin(np.radians(angle)) * _greyness(C))


def _greyness(chroma: Array) -> Array:
    """The root of C⁷/(C⁷ + 25⁷); products are far quicker than a power."""
    cube = chroma * chroma * chroma
    seventh = cube * cube * chroma
    return np.asarray(np.sqrt(seventh / (seventh + CHROMA_KNEE)))
