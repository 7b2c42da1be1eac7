"""How thick a yarn is, how tightly it is packed, and what becomes of its count when it is plied.

Two diameters, never mixed: the *wrapped* one (wraps round a ruler, and what the washed cloth
shows) and the *compact* one (Ashenhurst, Peirce), which yarns press one another to in the cloth.
Formulas take scalars or arrays and answer in kind.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Literal, TypeVar

import numpy as np
from numpy.typing import NDArray

from farspun.craft.fibres import Blend, Draw, Family
from farspun.craft.limits import above_zero, grown
from farspun.errors import ImpossibleValue
from farspun.units import yd_per_lb_from_tex

Number = TypeVar("Number", float, NDArray[np.float64])
Wrap = Literal["snug", "loose"]

# name: value                unit            source
CLOSE_PACKED = math.pi / math.sqrt(12)  # fraction: round fibres touching all round, exact
MM_PER_ROOT = math.sqrt(4 / (1000 * math.pi))  # mm·√(g/cm³/tex): a round yarn, exact; 0.035682
MM_PER_CM = 10.0  # exact


@dataclass(frozen=True, slots=True)
class Packing:
    """The share of a wrapped yarn's round that is fibre (on screens "fibre fill"): lognormal."""

    median: float
    log_sd: float


# Common practice, no source: k in yd/lb = k·WPI² runs from 3.5 to 8; packing ≈ 0.98/(k·density).
WOOL_PACKING: dict[Wrap | None, Packing] = {
    "snug": Packing(0.17, 0.25),
    "loose": Packing(0.095, 0.25),
    None: Packing(0.14, 0.30),
}
# (handspun, mill-spun): these hardly give under the ruler, so snug and loose are one; the wide
# spread covers both. Plant: common practice, no source. Silk and man-made: a judgement.
STIFF_PACKING: dict[Family, tuple[Packing, Packing]] = {
    "plant": (Packing(0.20, 0.35), Packing(0.25, 0.35)),
    "silk": (Packing(0.20, 0.35), Packing(0.25, 0.35)),
    "man-made": (Packing(0.18, 0.40), Packing(0.20, 0.40)),
}


def wrap_packing(family: Family, wrap: Wrap | None, mill: bool) -> Packing:
    """Packing to expect of a yarn wrapped round a ruler.

    `wrap`: "snug" is touching all along, ruler hidden, not pushed up; "loose" laid on without
    tension; None not said. Source: the table above.

    >>> wrap_packing("wool", "snug", mill=False)
    Packing(median=0.17, log_sd=0.25)
    """
    if family == "wool":
        return WOOL_PACKING[wrap]
    return STIFF_PACKING[family][mill]


def snug_packing(packing: Number, family: Family, wrap: Wrap | None) -> Number:
    """Packing as it would be, wrapped touching all along: so that yarns can be compared.

    Wool wrapped loosely, or in a way not said, is more open by what that usually makes; other
    fibres hardly give. Source: the table above.

    >>> round(snug_packing(0.095, "wool", "loose"), 9), snug_packing(0.2, "plant", None)
    (0.17, 0.2)
    """
    if family != "wool":
        return packing
    return packing * (WOOL_PACKING["snug"].median / WOOL_PACKING[wrap].median)


def diameter_mm(tex: Number, density_g_cm3: Number | float, packing: Number | float) -> Number:
    """Diameter of a round yarn, mm: √(4 tex/(1000 π density packing)).

    `packing` is the share of the round that is fibre, more than 0 and at most 1.
    Raises: ImpossibleValue. Source: geometry. Inverse: `tex_from_diameter_mm`.

    >>> round(diameter_mm(1.0, 1.0, 1.0), 6)
    0.035682
    """
    solid = above_zero("density", density_g_cm3, "g/cm³") * _packing(packing)
    diameter: Number = MM_PER_ROOT * (above_zero("grist", tex, "tex") / solid) ** 0.5
    return diameter


def tex_from_diameter_mm(
    diameter_mm: Number, density_g_cm3: Number | float, packing: Number | float
) -> Number:
    """Grist in tex of a round yarn: inverse of `diameter_mm`.

    >>> round(tex_from_diameter_mm(diameter_mm(250.0, 1.31, 0.17), 1.31, 0.17), 9)
    250.0
    """
    solid = above_zero("density", density_g_cm3, "g/cm³") * _packing(packing)
    tex: Number = solid * (above_zero("diameter", diameter_mm, "mm") / MM_PER_ROOT) ** 2
    return tex


def wraps_per_cm_from_tex(
    tex: Number, density_g_cm3: Number | float, packing: Number | float
) -> Number:
    """Wraps per cm of a yarn wrapped at that packing. Inverse: `tex_from_wraps`.

    >>> round(2.54 * wraps_per_cm_from_tex(250.0, 1.31, 0.17), 1)  # per inch
    21.2
    """
    wraps: Number = MM_PER_CM / diameter_mm(tex, density_g_cm3, packing)
    return wraps


def tex_from_wraps(
    wraps_per_cm: Number, density_g_cm3: Number | float, packing: Number | float
) -> Number:
    """Grist in tex of a yarn with so many wraps per cm at that packing.

    A guess within a third at best: wraps alone never give a length.

    >>> round(tex_from_wraps(8.0, 1.31, 0.17))
    273
    """
    wide: Number = MM_PER_CM / above_zero("wraps", wraps_per_cm, "per cm")
    return tex_from_diameter_mm(wide, density_g_cm3, packing)


def packing_from_wraps(
    wraps_per_cm: Number, tex: Number | float, density_g_cm3: Number | float
) -> Number:
    """The packing that makes wraps and grist agree; above `CLOSE_PACKED` one of them is wrong.

    >>> round(packing_from_wraps(wraps_per_cm_from_tex(250.0, 1.31, 0.17), 250.0, 1.31), 9)
    0.17
    """
    solid = above_zero("grist", tex, "tex") / above_zero("density", density_g_cm3, "g/cm³")
    per_mm = above_zero("wraps", wraps_per_cm, "per cm") / MM_PER_CM
    packing: Number = solid * (MM_PER_ROOT * per_mm) ** 2
    return packing


def _packing(packing: Any) -> Any:
    if not np.all((np.asarray(packing) > 0) & (np.asarray(packing) <= 1)):
        raise ImpossibleValue("packing", f"{packing}", "more than 0 and at most 1")
    return packing


def diameters_per_inch(tex: Number, k: float) -> Number:
    """Compact diameters side by side in an inch: K·√(yd/lb).

    Source: Ashenhurst, A Treatise on Textile Calculations, 1884, through later textbooks.

    >>> from farspun.units import tex_from_ne_cotton
    >>> round(diameters_per_inch(tex_from_ne_cotton(32.0), k=0.95))
    156
    """
    per_inch: Number = above_zero("K", k, "diameters") * yd_per_lb_from_tex(tex) ** 0.5
    return per_inch


def blend_diameters_per_inch(tex: Number, fibre: Blend, draw: Draw) -> Number:
    """`diameters_per_inch` with K for what the yarn is spun from and how it was drawn.

    >>> from farspun.craft.fibres import blend
    >>> round(blend_diameters_per_inch(250.0, blend("wool"), "woollen"), 1)
    37.4
    """
    return diameters_per_inch(tex, fibre.ashenhurst_k(draw))


def plied_tex(singles_tex: Sequence[float], contraction: float = 0.0) -> float:
    """Grist in tex of singles plied together; counts add up harmonically, tex plainly.

    `contraction` is what twisting takes up, added: 0.10 makes a tenth heavier.
    Source: Brooks, Cotton Manufacturing, 1892, p. 91 ff.

    >>> round(plied_tex([100.0, 50.0], contraction=0.1), 9)
    165.0
    """
    if not len(singles_tex):
        raise ImpossibleValue("ply", "of no singles", "one single or more")
    together = sum(above_zero("single", tex, "tex") for tex in singles_tex)
    return float(together * grown("plying take-up", contraction))


def singles_tex_for_ply(tex: float, plies: int, contraction: float = 0.0) -> float:
    """Grist of each of `plies` like singles that make a yarn of `tex`: inverse of `plied_tex`.

    >>> round(singles_tex_for_ply(plied_tex([80.0] * 3, 0.1), 3, 0.1), 9)
    80.0
    """
    if not plies >= 1:
        raise ImpossibleValue("ply", f"of {plies} singles", "one single or more")
    heavier = grown("plying take-up", contraction)
    return float(above_zero("yarn", tex, "tex") / plies / heavier)


def mean_tex(masses_g: Sequence[float], tex: Sequence[float]) -> float:
    """Mean grist by length of yarns of those masses: all the mass over all the length.

    >>> round(mean_tex([1200.0, 1200.0], [30.0, 20.0]), 9)
    24.0
    """
    if not len(masses_g) == len(tex) > 0:
        raise ImpossibleValue("mean grist", f"of {len(masses_g)} masses", "a grist for each mass")
    masses = [above_zero("mass", mass, "g") for mass in masses_g]
    lengths_km = [
        mass / above_zero("grist", one, "tex") for mass, one in zip(masses, tex, strict=True)
    ]
    return float(sum(masses) / sum(lengths_km))
