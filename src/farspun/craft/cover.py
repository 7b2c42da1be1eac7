"""How much of the plane a cloth's threads cover, what it weighs, and how thick yarns are in it.

In the cloth yarns press one another to their *compact* diameter, as Ashenhurst and Peirce take it;
the wrapped one of craft/yarn.py is another and never mixed with it. Scalars or arrays.
"""

from typing import Any

import numpy as np

from farspun.craft.arrays import in_kind, together
from farspun.craft.fibres import Blend, Family
from farspun.craft.limits import above_zero, between, grown
from farspun.craft.yarn import MM_PER_CM, diameter_mm

# Share of a yarn's round that is fibre, in the cloth: common practice, no source (0.4 to 0.6 are
# taken); man-made as plant, a judgement. Cotton by Peirce, 1.1 cm³ to the gram, is 0.598.
COMPACT_PACKING: dict[Family, float] = {
    "plant": 0.60,
    "silk": 0.60,
    "wool": 0.50,
    "man-made": 0.60,
}
# name: value            unit               source
TEX_COVER = 0.1  #       of n√tex           by definition: cover factor of n threads per cm
MASS_PER_TEX_CM = 0.1  # g/m² per tex/cm    exact: 100 cm of a thread per cm make 100 m, 0.1 km


def compact_diameter_mm(tex: Any, fibre: Blend, packing: Any = None) -> Any:
    """Diameter of a yarn pressed in the cloth; a blend goes by the family with the largest share.

    `packing` (fibre fill) overrules the table. Raises: ImpossibleValue.
    Source: geometry of the circle; packing from the table above.

    >>> from farspun.craft.fibres import blend
    >>> round(compact_diameter_mm(250.0, blend("wool")), 3)
    0.697
    """
    fill = COMPACT_PACKING[fibre.family] if packing is None else packing
    return diameter_mm(tex, fibre.density_g_cm3, fill)


def cover_fraction(per_cm: Any, diameter_mm: Any) -> Any:
    """Share of the plane that one system covers: d/p, or all of it where the threads touch.

    Raises: ImpossibleValue. Source: Peirce 1937.

    >>> round(cover_fraction(5.0, 0.6), 9), cover_fraction(20.0, 0.6)
    (0.3, 1.0)
    """
    threads = above_zero("threads", per_cm, "per cm") * above_zero("diameter", diameter_mm, "mm")
    return in_kind(np.asarray(np.minimum(threads / MM_PER_CM, 1.0)))


def cloth_cover(warp_cover: Any, weft_cover: Any) -> Any:
    """Share of the plane that both systems cover: a + b − ab, as they cross.

    Raises: ImpossibleValue outside 0 to 1. Source: Peirce 1937.

    >>> cloth_cover(0.5, 0.5)
    0.75
    """
    warp, weft = together(
        between("cover of the warp", warp_cover, 0.0, 1.0),
        between("cover of the weft", weft_cover, 0.0, 1.0),
    )
    return in_kind(1 - (1 - warp) * (1 - weft))  # a + b − ab, exactly 1 where one covers all


def cover_factor(per_cm: Any, tex: Any) -> Any:
    """n√tex/10: how close one system is set, for yarns of any count alike.

    Raises: ImpossibleValue. Source: Peirce 1937 (n per inch/√Ne), in tex as textbooks have it.

    >>> round(cover_factor(28.0, 20.0), 2)
    12.52
    """
    root = above_zero("count", tex, "tex") ** 0.5
    return TEX_COVER * above_zero("threads", per_cm, "per cm") * root


def mass_g_per_m2(
    ends_per_cm: Any,
    picks_per_cm: Any,
    warp_tex: Any,
    weft_tex: Any,
    warp_crimp: Any,
    weft_crimp: Any,
) -> Any:
    """Mass of a square metre of cloth: 0.1(n₁T₁(1 + c₁) + n₂T₂(1 + c₂)) g.

    Crimps are fractions of the cloth's length. Raises: ImpossibleValue. Source: arithmetic.

    >>> round(mass_g_per_m2(5.0, 5.0, 200.0, 200.0, 0.1, 0.05), 9)
    215.0
    """
    warp = above_zero("ends", ends_per_cm, "per cm") * above_zero("warp", warp_tex, "tex")
    weft = above_zero("picks", picks_per_cm, "per cm") * above_zero("weft", weft_tex, "tex")
    bent = warp * grown("warp crimp", warp_crimp) + weft * grown("weft crimp", weft_crimp)
    return MASS_PER_TEX_CM * bent
