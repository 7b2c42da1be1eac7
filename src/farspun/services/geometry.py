"""The geometry of a cloth: crimp, cover, weight, thickness and limit of what is to be woven."""

import math
from dataclasses import dataclass

from farspun.craft.arrays import PAST
from farspun.craft.cover import (
    cloth_cover,
    compact_diameter_mm,
    cover_factor,
    cover_fraction,
    mass_g_per_m2,
)
from farspun.craft.geometry import (
    Geometry,
    geometry,
    share_from_warp_crimp,
    thickness_mm,
    warp_wave_from_crimp_mm,
)
from farspun.craft.jam import JAMMED, closeness, share_range
from farspun.craft.threads import Cloth, cloth
from farspun.craft.yarn import MM_PER_CM
from farspun.errors import WrongUse
from farspun.services.geometry_asked import Asked
from farspun.services.geometry_notes import (
    both_crimps_notes,
    habit_notes,
    limit_notes,
    unused_notes,
    weave_notes,
)
from farspun.units import CM_PER_METRE, Quantity


@dataclass(frozen=True, slots=True)
class ClothGeometry:
    """The answer; None where it cannot be known.

    `share_of_limit` is the sett over the closest in the same proportion, which is `closest_…`;
    `crimp_share` is None where no share of the wave goes with the two crimps given.
    """

    warp_diameter_mm: float
    weft_diameter_mm: float
    warp_crimp_fraction: float
    weft_crimp_fraction: float
    cover_warp: float
    cover_weft: float
    cover_cloth: float
    cover_factor_warp: float
    cover_factor_weft: float
    mass_g_per_m2: float
    thickness_mm: float | None
    jammed: bool
    crimp_share: float | None
    share_of_limit: float
    closest_ends_per_cm: float
    closest_picks_per_cm: float
    notes: list[str]


def cloth_geometry(asked: Asked) -> ClothGeometry:
    """Crimp, cover, weight and thickness of the cloth asked, and how near its limit it is.

    Raises: WrongUse for a share of the wave beside a crimp; ImpossibleValue beyond the jam, or for
    a share or a crimp that the sett has no room for.

    >>> from farspun.services.geometry_asked import YarnAsked
    >>> from farspun.units import count, threads
    >>> yarn = YarnAsked(count("200 tex"), threads("5/cm"))
    >>> round(cloth_geometry(Asked(yarn, yarn)).mass_g_per_m2)
    210
    """
    woven = _woven(asked)
    shape = _shape(asked, woven)
    warp, weft = woven.systems
    counts = asked.warp.count.value, asked.weft.count.value
    crimps = shape.warp_crimp_fraction, shape.weft_crimp_fraction
    covers = [cover_fraction(one.per_cm, one.diameter_mm) for one in woven.systems]
    limit = closeness(woven)
    return ClothGeometry(
        warp_diameter_mm=warp.diameter_mm,
        weft_diameter_mm=weft.diameter_mm,
        warp_crimp_fraction=crimps[0],
        weft_crimp_fraction=crimps[1],
        cover_warp=covers[0],
        cover_weft=covers[1],
        cover_cloth=cloth_cover(*covers),
        cover_factor_warp=cover_factor(warp.per_cm, counts[0]),
        cover_factor_weft=cover_factor(weft.per_cm, counts[1]),
        mass_g_per_m2=mass_g_per_m2(warp.per_cm, weft.per_cm, *counts, *crimps),
        thickness_mm=shape.thickness_mm,
        jammed=limit >= JAMMED,
        crimp_share=shape.warp_share,
        share_of_limit=limit,
        closest_ends_per_cm=warp.per_cm / limit,
        closest_picks_per_cm=weft.per_cm / limit,
        notes=_notes(asked, woven, shape, limit),
    )


def _woven(asked: Asked) -> Cloth:
    """The cloth with the yarns' diameters: as given, else from count, fibre and fibre fill."""
    fill = None if asked.fibre_fill is None else asked.fibre_fill.value
    diameters_mm = (
        compact_diameter_mm(one.count.value, one.spun_from, fill)
        if one.diameter is None
        else one.diameter.value * CM_PER_METRE * MM_PER_CM
        for one in (asked.warp, asked.weft)
    )
    return cloth(asked.woven, asked.warp.per_cm.value, asked.weft.per_cm.value, *diameters_mm)


def _shape(asked: Asked, woven: Cloth) -> Geometry:
    """Crimps and thickness, by what was said of the wave."""
    share, warp, weft = asked.crimp_share, asked.warp_crimp, asked.weft_crimp
    if share is not None and (warp or weft):
        raise WrongUse(
            "The share of the wave and a crimp say the same thing twice.",
            "Give --crimp-share, or one crimp, or both crimps.",
        )
    if warp is not None and weft is not None:
        return _as_given(woven, warp, weft)
    if warp is not None:
        return geometry(woven, share_from_warp_crimp(woven, warp.value, "warp crimp"))
    if weft is not None:
        return geometry(woven, 1 - share_from_warp_crimp(woven.swapped(), weft.value, "weft crimp"))
    return geometry(woven, None if share is None else share.value)


def _as_given(woven: Cloth, warp: Quantity, weft: Quantity) -> Geometry:
    """Both crimps as they are; a share only where one goes with both, as finely as written."""
    least, most = share_range(woven)
    D = woven.both_mm
    warp_mm = _waves_mm(woven, warp, most * D)
    weft_mm = _waves_mm(woven.swapped(), weft, (1 - least) * D)
    (low, middle, high) = (sum(pair) for pair in zip(warp_mm, weft_mm, strict=True))
    together = low <= D * (1 + PAST) and high >= D * (1 - PAST)
    waves = warp_mm[1], weft_mm[1]
    diameters = woven.warp.diameter_mm, woven.weft.diameter_mm
    return Geometry(
        warp_share=waves[0] / D if together else None,
        warp_crimp_fraction=warp.value,
        weft_crimp_fraction=weft.value,
        warp_wave_mm=waves[0],
        weft_wave_mm=waves[1],
        thickness_mm=None if math.isnan(middle) else thickness_mm(*waves, *diameters),
    )


def _waves_mm(woven: Cloth, crimp: Quantity, most_mm: float) -> tuple[float, float, float]:
    """The warp's wave with half of the crimp's last digit less, with none, and with half more.

    NaN for a crimp no thread has; where only its last digit goes too far, the highest wave.
    """
    low, *others = (
        warp_wave_from_crimp_mm(woven, max(crimp.value + half * crimp.step, 0.0))
        for half in (-0.5, 0.0, 0.5)
    )
    above = low if math.isnan(low) else most_mm
    middle, high = (above if math.isnan(wave) else wave for wave in others)
    return low, middle, high


def _notes(asked: Asked, woven: Cloth, shape: Geometry, limit: float) -> list[str]:
    """What is to be said beside the figures."""
    warp, weft, share = asked.warp_crimp, asked.weft_crimp, shape.warp_share
    nothing_said = asked.crimp_share is warp is weft is None
    thick = shape.thickness_mm is not None
    return [
        *limit_notes(limit >= JAMMED, share if nothing_said else None),
        *(both_crimps_notes(woven, warp.value, thick) if share is None and warp else []),
        *weave_notes(asked.woven),
        *unused_notes(asked),
        *habit_notes(asked, share),
    ]
