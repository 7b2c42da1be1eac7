"""Colours in numbers: sRGB, linear light, XYZ and CIELAB, all under daylight (D65).

Arrays whose last axis has length 3, or three numbers; every function gives back the shape it took.
XYZ has white at Y = 1. Light adds up only where it is linear: mix there, compare in CIELAB.
"""

from typing import Any

import numpy as np
from numpy.typing import NDArray

from farspun.craft.arrays import Array, all_good
from farspun.craft.limits import between
from farspun.errors import ImpossibleValue

# name: value                  unit            source
PRIMARIES = ((0.64, 0.33), (0.30, 0.60), (0.15, 0.06))  # x, y of R, G, B; IEC 61966-2-1
WHITE_XY = (0.3127, 0.3290)  # x, y of D65     IEC 61966-2-1
FOOT_SLOPE = 12.92  #          times           IEC 61966-2-1, the straight foot of the curve
FOOT_ENCODED = 0.04045  #      of full         IEC 61966-2-1, where the foot ends
FOOT_LINEAR = 0.0031308  #     of full         IEC 61966-2-1, the same in linear light
OFFSET, GAMMA = 0.055, 2.4  #  of full, power  IEC 61966-2-1
EPSILON = 216 / 24389  #       of white        CIE 15:2004, (6/29)³
KAPPA = 24389 / 27  #          L* per Y        CIE 15:2004, (29/3)³
ROUNDING = 1e-9  #             of full, L*     judgement: how far past a limit a rounding lands


def _white() -> Array:
    """XYZ of D65 at Y = 1."""
    x, y = WHITE_XY
    return np.array([x / y, 1.0, (1 - x - y) / y])


def _light_to_xyz() -> Array:
    """The matrix whose columns are the primaries, so strong that together they are white."""
    columns = np.array([[x / y, 1.0, (1 - x - y) / y] for x, y in PRIMARIES]).T
    return np.asarray(columns * np.linalg.solve(columns, _white()))


WHITE = _white()
LIGHT_TO_XYZ = _light_to_xyz()
XYZ_TO_LIGHT = np.linalg.inv(LIGHT_TO_XYZ)


def _threes(what: str, values: Any) -> Array:
    """As an array of three along the last axis. Raises: ImpossibleValue."""
    array = np.asarray(values, dtype=float)
    if array.ndim == 0 or array.shape[-1] != 3:
        raise ImpossibleValue(what, f"of shape {array.shape}", "three numbers each")
    all_good(np.isfinite(array), what, array, "finite numbers")
    return array


def light_from_srgb(srgb: Any) -> Array:
    """Linear light of each channel, 0–1, from sRGB, 0–1.

    Raises: ImpossibleValue outside 0 to 1. Source: IEC 61966-2-1.

    >>> light_from_srgb([0.0, 0.5, 1.0]).round(4).tolist()
    [0.0, 0.214, 1.0]
    """
    encoded = _threes("sRGB", between("sRGB", srgb, 0.0, 1.0))
    curved = ((encoded + OFFSET) / (1 + OFFSET)) ** GAMMA
    return np.asarray(np.where(encoded <= FOOT_ENCODED, encoded / FOOT_SLOPE, curved))


def srgb_from_light(light: Any) -> Array:
    """sRGB of linear light; what is below 0 goes along the straight foot.

    Raises: ImpossibleValue. Source: IEC 61966-2-1.

    >>> srgb_from_light([0.0, 0.5, 1.0]).round(4).tolist()
    [0.0, 0.7354, 1.0]
    """
    linear = _threes("linear light", light)
    curved = (1 + OFFSET) * np.maximum(linear, FOOT_LINEAR) ** (1 / GAMMA) - OFFSET
    return np.asarray(np.where(linear <= FOOT_LINEAR, FOOT_SLOPE * linear, curved))


def xyz_from_light(light: Any) -> Array:
    """XYZ, white at Y = 1, of linear light. Raises: ImpossibleValue. Source: IEC 61966-2-1.

    >>> xyz_from_light([1.0, 1.0, 1.0]).round(4).tolist()
    [0.9505, 1.0, 1.0891]
    """
    return np.asarray(_threes("linear light", light) @ LIGHT_TO_XYZ.T)


def light_from_xyz(xyz: Any) -> Array:
    """Linear light of XYZ; outside 0–1 where sRGB has no such colour. Raises: ImpossibleValue.

    >>> light_from_xyz(WHITE).round(9).tolist()
    [1.0, 1.0, 1.0]
    """
    return np.asarray(_threes("XYZ", xyz) @ XYZ_TO_LIGHT.T)


def lab_from_xyz(xyz: Any) -> Array:
    """CIELAB (L* 0–100, a*, b*) of XYZ. Raises: ImpossibleValue. Source: CIE 15:2004.

    >>> lab_from_xyz(WHITE).round(9).tolist()
    [100.0, 0.0, 0.0]
    """
    part = _threes("XYZ", xyz) / WHITE
    root = np.where(part > EPSILON, np.cbrt(part), (KAPPA * part + 16) / 116)
    x, y, z = np.moveaxis(root, -1, 0)
    return np.stack([116 * y - 16, 500 * (x - y), 200 * (y - z)], axis=-1)


def checked_lab(lab: Any) -> Array:
    """CIELAB as an array of three along the last axis.

    Raises: ImpossibleValue unless the numbers are finite and L* is from 0 to 100.

    >>> checked_lab([50, 0, -10]).tolist()
    [50.0, 0.0, -10.0]
    """
    array = _threes("CIELAB", lab)
    lightness = array[..., 0]
    all_good((lightness >= -ROUNDING) & (lightness <= 100 + ROUNDING), "L*", lightness, "0 to 100")
    return array


def xyz_from_lab(lab: Any) -> Array:
    """XYZ of CIELAB. Raises: ImpossibleValue. Source: CIE 15:2004.

    >>> xyz_from_lab([100.0, 0.0, 0.0]).round(4).tolist()
    [0.9505, 1.0, 1.0891]
    """
    lightness, a, b = np.moveaxis(checked_lab(lab), -1, 0)
    y = (lightness + 16) / 116
    root = np.stack([y + a / 500, y, y - b / 200], axis=-1)
    cube = root**3
    return np.asarray(np.where(cube > EPSILON, cube, (116 * root - 16) / KAPPA) * WHITE)


def lab_from_srgb(srgb: Any) -> Array:
    """CIELAB of sRGB, 0–1. Raises: ImpossibleValue outside 0 to 1.

    >>> lab_from_srgb([1.0, 0.0, 0.0]).round(2).tolist()
    [53.24, 80.09, 67.2]
    """
    return lab_from_xyz(xyz_from_light(light_from_srgb(srgb)))


def srgb_from_lab(lab: Any) -> Array:
    """sRGB of CIELAB; outside 0–1 where sRGB has no such colour. Raises: ImpossibleValue.

    >>> srgb_from_lab([50.0, 0.0, 0.0]).round(4).tolist()
    [0.4663, 0.4663, 0.4663]
    """
    return srgb_from_light(light_from_xyz(xyz_from_lab(lab)))


def showable(srgb: Any) -> NDArray[np.bool_]:
    """Whether each colour lies within sRGB, by no more than a rounding past it.

    >>> showable([[0.5, 0.5, 1.0], [0.5, 0.5, 1.2]]).tolist()
    [True, False]
    """
    values = _threes("sRGB", srgb)
    return np.asarray(((values >= -ROUNDING) & (values <= 1 + ROUNDING)).all(axis=-1))
