"""Crimp passing from one system of threads to the other.

The threads of a cloth keep their length. Pulled along the warp, as on the loom, the warp's waves
flatten and the weft takes the crimp: picks open, ends close up, the cloth grows longer and draws
in. Let go, it comes to rest with the crimp shared again.
Source: F. T. Peirce, The geometry of cloth structure, J. Text. Inst. 28 (1937) T45. That floats
keep their length too: judgement.
"""

from typing import Any

import numpy as np

from farspun.craft.arrays import Array, all_within, in_kind, together
from farspun.craft.bend import highest_reach_mm, highest_wave_mm
from farspun.craft.geometry import checked_share, waved_spacing_mm
from farspun.craft.jam import touching_mm
from farspun.craft.peirce import (
    crimp_fraction,
    spacing_at_wave_mm,
    thread_length_mm,
    wave_mm,
)
from farspun.craft.threads import Cloth, Threads
from farspun.craft.yarn import MM_PER_CM


def interchanged(cloth: Cloth, warp_share: Any, new_share: Any) -> Cloth:
    """The cloth after the warp's share h₁/D of the wave went from `warp_share` to `new_share`.

    Exact for plain weave. Scalars or arrays.
    Raises: ImpossibleValue for a share the sett has no room for, or a new one that a thread is too
    short for, naming the range. Source: Peirce 1937. Inverse: itself, the shares changed over.

    >>> rested = Cloth(Threads(5.0, 0.5), Threads(5.0, 0.5))
    >>> tight = interchanged(rested, 0.5, 0.1)
    >>> round(tight.warp.per_cm, 2), round(tight.weft.per_cm, 2)
    (5.44, 4.85)
    """
    what, reach = "the warp's new share of the wave", share_reach(cloth, warp_share)
    new = all_within(what, new_share, *reach, "with threads so long")
    cloth = cloth.as_arrays()
    share, new, D = together(warp_share, new, cloth.both_mm)
    picks = _respaced_mm(cloth.warp, cloth.weft, share * D, new * D)
    ends = _respaced_mm(cloth.weft, cloth.warp, (1 - share) * D, (1 - new) * D)
    return cloth.set_at(in_kind(MM_PER_CM / ends), in_kind(MM_PER_CM / picks))


def share_reach(cloth: Cloth, warp_share: Any) -> tuple[Any, Any]:
    """(least, most) share h₁/D that the crimp can pass to from `warp_share`.

    The least is the warp pulled tight: 0 where it comes to lie straight, more where the weft jams
    before. Raises: ImpossibleValue for a share the sett has no room for. Source: Peirce 1937.

    >>> low, high = share_reach(Cloth(Threads(10.0, 0.5), Threads(10.0, 0.5)), 0.5)
    >>> round(low, 3), round(high, 3)
    (0.414, 0.586)
    """
    share = np.asarray(checked_share(cloth, warp_share), dtype=float)
    cloth = cloth.as_arrays()
    D = cloth.both_mm
    weft = _highest_mm(cloth.weft, cloth.warp, (1 - share) * D, touching_mm(cloth.swapped())) / D
    warp = _highest_mm(cloth.warp, cloth.weft, share * D, touching_mm(cloth)) / D
    return in_kind(np.minimum(1 - weft, share)), in_kind(np.maximum(warp, share))


def _highest_mm(thread: Threads, crossed: Threads, wave: Array, touching: Array) -> Array:
    """Highest wave the thread comes to as the crossed threads close up, bent all round or touching.

    `touching` is the spacing at which the crossed threads lie side by side.
    """
    D = thread.diameter_mm + crossed.diameter_mm
    length = _waved_length_mm(thread, crossed, wave)
    bent = highest_reach_mm(length, D)
    closed = np.asarray(spacing_at_wave_mm(length, bent, D))
    touch = waved_spacing_mm(thread, crossed, wave) + (touching - crossed.spacing_mm) / thread.waved
    spacing = np.maximum(touch, closed)
    most = crimp_fraction(spacing, highest_wave_mm(spacing, D), D)
    at_touch = wave_mm(np.minimum(np.maximum(length / spacing - 1, 0.0), most), spacing, D)
    highest: Array = np.where(touch > closed, np.minimum(at_touch, bent), bent)
    return highest


def _waved_length_mm(thread: Threads, crossed: Threads, wave: Array) -> Array:
    D = thread.diameter_mm + crossed.diameter_mm
    return np.asarray(thread_length_mm(waved_spacing_mm(thread, crossed, wave), wave, D))


def _respaced_mm(thread: Threads, crossed: Threads, wave: Array, new_wave: Array) -> Array:
    """Mean spacing of the crossed threads once the thread's wave has its new height."""
    D = thread.diameter_mm + crossed.diameter_mm
    before = waved_spacing_mm(thread, crossed, wave)
    after = spacing_at_wave_mm(_waved_length_mm(thread, crossed, wave), new_wave, D)
    spacing: Array = crossed.spacing_mm + thread.waved * (after - before)
    return spacing
