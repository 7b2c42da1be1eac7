"""The shape of a cloth: crimp of warp and weft, and thickness.

h₁ + h₂ = D: the waves of warp and weft share both diameters. The share h₁/D is open in loose cloth
and forced in close cloth (craft/jam.py); given it, or one crimp, all else follows exactly, each
thread by craft/peirce.py. Over floats a thread lies straight, so its crimp is that of the waved
crossings spread over all of them. Scalars or arrays, mixed weaves too; no loop over cloths.
Source: F. T. Peirce, The geometry of cloth structure, J. Text. Inst. 28 (1937) T45; floats as in
craft/jam.py.
"""

from dataclasses import dataclass
from typing import Any

import numpy as np

from farspun.craft.arrays import PAST, Array, all_good, all_within, in_kind, together
from farspun.craft.bend import MOST_BEND, bent_wave_mm, highest_wave_mm, least_spacing_mm
from farspun.craft.jam import even_share, room_mm, share_range
from farspun.craft.limits import above_zero
from farspun.craft.peirce import excess_mm, wave_mm
from farspun.craft.threads import Cloth, Threads


@dataclass(frozen=True, slots=True, eq=False)
class Geometry:
    """What follows from yarns, setts, weave and the warp's share of the wave, h₁/D."""

    warp_share: Any
    warp_crimp_fraction: Any
    weft_crimp_fraction: Any
    warp_wave_mm: Any
    weft_wave_mm: Any
    thickness_mm: Any


def geometry(cloth: Cloth, warp_share: Any = None) -> Geometry:
    """Crimps, waves and thickness of a cloth, for each of its elements.

    `warp_share` is h₁/D, from 0 (warp straight) to 1 (weft straight); not given, the one nearest to
    a half that the sett has room for.
    Raises: ImpossibleValue beyond the jam (with the nearest cloth), or for a share that the sett
    has no room for (with the range). Source: Peirce 1937.

    >>> found = geometry(Cloth(Threads(5.0, 1.0), Threads(5.0, 1.0)))  # square, p = D = 2 mm
    >>> round(found.warp_crimp_fraction, 4), round(found.thickness_mm, 9)
    (0.1435, 2.0)
    """
    share = even_share(cloth) if warp_share is None else checked_share(cloth, warp_share)
    cloth = cloth.as_arrays()
    share, D = together(share, cloth.both_mm)
    warp, weft = share * D, (1 - share) * D
    found = (
        share,
        _crimp(cloth.warp, cloth.weft, warp),
        _crimp(cloth.weft, cloth.warp, weft),
        *(warp, weft),
        np.asarray(thickness_mm(warp, weft, cloth.warp.diameter_mm, cloth.weft.diameter_mm)),
    )
    return Geometry(*(in_kind(one) for one in found))


def share_from_warp_crimp(cloth: Cloth, crimp: Any, what: str = "warp crimp") -> Any:
    """The share h₁/D that gives the warp a crimp; for the weft's 1 − that of `cloth.swapped()`.

    `what` is how a message calls the crimp.
    Raises: ImpossibleValue beyond the jam, or for a crimp outside `warp_crimp_range`, naming it.
    Source: Peirce 1937. Inverse: `geometry`.

    >>> square = Cloth(Threads(5.0, 1.0), Threads(5.0, 1.0))
    >>> round(share_from_warp_crimp(square, geometry(square, 0.4).warp_crimp_fraction), 9)
    0.4
    """
    crimp = all_within(what, crimp, *warp_crimp_range(cloth), "in a cloth set so", percent=True)
    wave = np.asarray(warp_wave_from_crimp_mm(cloth, crimp))
    share, low, high = together(wave / cloth.both_mm, *share_range(cloth))
    share = np.where(np.isnan(share), high, share)  # past the highest wave by a rounding
    return in_kind(np.minimum(np.maximum(share, low), high))


def warp_crimp_range(cloth: Cloth) -> tuple[Any, Any]:
    """(least, most) crimp of the warp in a cloth set so close; for the weft of `cloth.swapped()`.

    Raises: ImpossibleValue beyond the jam. Source: Peirce 1937.

    >>> low, high = warp_crimp_range(Cloth(Threads(12.5, 0.5), Threads(5.0, 0.5)))
    >>> round(low, 4), round(high, 4)
    (0.0463, 0.1278)
    """
    low, high = (geometry(cloth, share).warp_crimp_fraction for share in share_range(cloth))
    return low, high


def warp_wave_from_crimp_mm(cloth: Cloth, crimp: Any) -> Any:
    """Height of the warp's wave by its crimp and the picks alone, whatever the weft's may be.

    NaN for a crimp that no thread over picks so close has.
    Raises: ImpossibleValue for a crimp below 0. Source: Peirce 1937.

    >>> square = Cloth(Threads(5.0, 1.0), Threads(5.0, 1.0))
    >>> round(warp_wave_from_crimp_mm(square, geometry(square, 0.4).warp_crimp_fraction), 9)
    0.8
    """
    cloth = cloth.as_arrays()
    crimp, D = together(crimp, cloth.both_mm)
    all_good((crimp >= 0) & (crimp < np.inf), "crimp", crimp, "0 or more")
    excess = crimp * cloth.weft.spacing_mm / cloth.warp.waved
    even, room = _crossings_mm(cloth.warp, cloth.weft)
    highest = np.asarray(highest_wave_mm(room, D))
    possible = excess <= _excess(cloth.warp, cloth.weft, highest) * (1 + PAST)
    # as high as even crossings let it, a thread has no straight part; from there it is all bend
    turn = np.asarray(excess_mm(even, highest_wave_mm(even, D), D))
    waving = wave_mm(np.minimum(excess, turn) / even, even, D)
    bent = bent_wave_mm(np.minimum(excess, MOST_BEND * D), D)
    wave = np.where((excess > turn) & (even < D), np.minimum(bent, highest), waving)
    return in_kind(np.where(possible, wave, np.nan))


def thickness_mm(
    warp_wave_mm: Any, weft_wave_mm: Any, warp_diameter_mm: Any, weft_diameter_mm: Any
) -> Any:
    """Thickness of a cloth: of h₁ + d₁ and h₂ + d₂ the larger.

    Raises: ImpossibleValue. Source: Peirce 1937.

    >>> round(thickness_mm(0.16, 0.34, 0.2, 0.3), 9)
    0.64
    """
    warp, weft, d1, d2 = together(
        *(warp_wave_mm, weft_wave_mm),
        *(above_zero("diameter", one, "mm") for one in (warp_diameter_mm, weft_diameter_mm)),
    )
    for wave in (warp, weft):
        all_good((wave >= 0) & (wave < np.inf), "wave", wave, "0 mm or more", "mm")
    return in_kind(np.maximum(warp + d1, weft + d2))


def waved_spacing_mm(thread: Threads, crossed: Threads, wave_mm: Array) -> Array:
    """Spacing of a thread's waved crossings: even with the floats' while its wave has room.

    All arrays of one shape, as in `Cloth.as_arrays`. Source: judgement; craft/jam.py for the room.

    >>> import numpy as np
    >>> thread, crossed = Cloth(Threads(8.0, 0.6, 0.5), Threads(8.0, 0.6)).as_arrays().systems
    >>> float(waved_spacing_mm(thread, crossed, np.array(0.1)))
    1.25
    """
    D = thread.diameter_mm + crossed.diameter_mm
    even, _ = _crossings_mm(thread, crossed)
    spacing: Array = np.maximum(even, least_spacing_mm(wave_mm, D))
    return spacing


def checked_share(cloth: Cloth, warp_share: Any) -> Any:
    """The share h₁/D, if a cloth set so has room for it.

    Raises: ImpossibleValue, naming the range.

    >>> checked_share(Cloth(Threads(5.0, 1.0), Threads(5.0, 1.0)), 0.4)
    0.4
    """
    what = "the warp's share of the wave"
    return in_kind(all_within(what, warp_share, *share_range(cloth), "in a cloth set so"))


def _crimp(thread: Threads, crossed: Threads, wave: Array) -> Array:
    """Waved crossings' excess over all of the thread's spacings."""
    crimp: Array = thread.waved * _excess(thread, crossed, wave) / crossed.spacing_mm
    return crimp


def _excess(thread: Threads, crossed: Threads, wave: Array) -> Array:
    D = thread.diameter_mm + crossed.diameter_mm
    return np.asarray(excess_mm(waved_spacing_mm(thread, crossed, wave), wave, D))


def _crossings_mm(thread: Threads, crossed: Threads) -> tuple[Array, Array]:
    """Waved spacing with even crossings, and the widest with the floats closed up."""
    D = thread.diameter_mm + crossed.diameter_mm
    room = np.maximum(room_mm(thread, crossed), PAST * D)  # 0 where floats fill it all
    return np.minimum(crossed.spacing_mm, room), room
