"""How close a cloth can be set: the jam of any weave, of yarns alike or not.

A thread that passes n threads in a repeat and changes face i times has i waved crossings and n − i
over which it floats, lying straight. Crossings are even while the waves have room; in closer cloth
the floats close up, no nearer than touching, and leave the rest to the waves. So a wave has at most

    room = (p − (1 − i/n)·d)/(i/n)          p spacing, d diameter of the threads that are crossed

The cloth is jammed where both waves, as high as their rooms allow, make D and no more: for plain
weave √(1 − (p₁/D)²) + √(1 − (p₂/D)²) = 1. Nor can the threads of one face come closer than
touching. Scalars or arrays, answered in kind.
Source: F. T. Peirce, The geometry of cloth structure, J. Text. Inst. 28 (1937) T45; floats that
touch: L. Love, Graphical relationships in cloth geometry for plain, twill, and sateen weaves,
Textile Res. J. 24 (1954), from memory; the threads of one face: judgement.
"""

import math
from typing import Any

import numpy as np

from farspun.craft.arrays import Array, all_good, in_kind, rising_root, together
from farspun.craft.bend import highest_wave_mm, least_spacing_mm
from farspun.craft.threads import Cloth, Threads
from farspun.craft.yarn import MM_PER_CM
from farspun.errors import ImpossibleValue
from farspun.units import CM_PER_INCH

# name: value      unit            source
JAMMED = 0.99  #   of the limit    judgement: nobody beats in the last hundredth
WRITTEN = 5e-4  #  of the limit    judgement: a sett is written with three or four figures
EVEN = 0.5  #      of D            judgement: equal yarns come to rest sharing the wave
FIGURES = 4  #     figures         of a sett in a message, a judgement


def room_mm(thread: Threads, crossed: Threads) -> Any:
    """The widest spacing a wave of `thread` can have, its floats closed up until they touch.

    Below 0 where the floats alone have no room. Source: as the module.

    >>> round(room_mm(Threads(6.0, 0.6, 0.5), Threads(5.0, 0.7)), 9)
    3.3
    """
    p, d, waved = together(crossed.spacing_mm, crossed.diameter_mm, thread.waved)
    return in_kind((p - (1 - waved) * d) / waved)


def touching_mm(cloth: Cloth) -> Any:
    """Spacing of the picks when those of the fuller face lie side by side, and so the closest.

    Source: judgement.

    >>> touching_mm(Cloth(Threads(5.0, 1.0), Threads(5.0, 1.0), face_share=0.8))
    0.8
    """
    share, diameter = together(cloth.face_share, cloth.weft.diameter_mm)
    return in_kind(np.maximum(share, 1 - share) * diameter)


def closeness(cloth: Cloth) -> Any:
    """How close the cloth is to its jam: its setts over those that jam in the same proportion.

    1 is jammed; above 1 it cannot be woven. By Newton's step in the angle of the jammed warp.
    Source: as the module.

    >>> square = Cloth(Threads(10.0, 0.5), Threads(10.0, 0.5))  # spacing D, and it jams at 0.866 D
    >>> round(closeness(square), 4)
    0.866
    """
    cloth = cloth.as_arrays()
    ends, picks = 1 / cloth.warp.spacing_mm, 1 / cloth.weft.spacing_mm

    def picks_first(angle: Array) -> tuple[Array, Array]:
        """Whether picks or ends jam first: rises with the warp's angle."""
        (end, end_slope), (pick, pick_slope) = _jam_spacings(cloth, angle)
        return pick * picks - end * ends, pick_slope * picks - end_slope * ends

    angle = rising_root(picks_first, math.pi / 3 + 0 * ends, 0.0, math.pi / 2)
    (end, _), (pick, _) = _jam_spacings(cloth, angle)
    parts = (end * ends, pick * picks, touching_mm(cloth.swapped()) * ends)
    return in_kind(np.maximum.reduce([*parts, touching_mm(cloth) * picks]))


def most_picks_per_cm(cloth: Cloth) -> Any:
    """The most picks per cm that these ends leave room for.

    Raises: ImpossibleValue where the ends are too close for any pick. Source: as the module.

    >>> plain = Cloth(Threads(10 / 0.7, 0.5), Threads(1.0, 0.5))
    >>> round(10 / most_picks_per_cm(plain), 5)
    0.95827
    """
    cloth = cloth.as_arrays()
    fits = touching_mm(cloth.swapped()) <= cloth.warp.spacing_mm * (1 + WRITTEN)
    room = np.asarray(room_mm(cloth.weft, cloth.warp))
    all_good(fits & (room >= 0), "warp", cloth.warp.per_cm, "ends that only just touch", "per cm")
    wave = np.maximum(cloth.both_mm - highest_wave_mm(room, cloth.both_mm), 0.0)
    waved = cloth.warp.waved
    least = waved * least_spacing_mm(wave, cloth.both_mm) + (1 - waved) * cloth.weft.diameter_mm
    return in_kind(MM_PER_CM / np.maximum(least, touching_mm(cloth)))


def share_range(cloth: Cloth) -> tuple[Any, Any]:
    """(least, most) share h₁/D of the wave that the warp can take in a cloth so close.

    Raises: ImpossibleValue beyond the jam, with the limit and the nearest cloth.
    Source: as the module.

    >>> low, high = share_range(Cloth(Threads(12.5, 0.5), Threads(5.0, 0.5)))  # p 0.8 and 2 D
    >>> round(low, 9), high
    (0.6, 1.0)
    """
    cloth = cloth.as_arrays()
    warp_room, weft_room = room_mm(cloth.warp, cloth.weft), room_mm(cloth.weft, cloth.warp)
    low = np.maximum(1 - _highest_share(weft_room, cloth.both_mm), 0.0)
    high = np.minimum(_highest_share(warp_room, cloth.both_mm), 1.0)
    _check_weavable(cloth, (low <= high) & (warp_room >= 0) & (weft_room >= 0))
    middle = (low + high) / 2  # in the jam the two may pass one another by a rounding
    return in_kind(np.minimum(low, middle)), in_kind(np.maximum(high, middle))


def even_share(cloth: Cloth) -> Any:
    """The share h₁/D nearest to a half that so close a cloth has room for.

    Raises: ImpossibleValue beyond the jam. Source: judgement.

    >>> even_share(Cloth(Threads(5.0, 0.5), Threads(5.0, 0.5)))
    0.5
    """
    low, high = together(*share_range(cloth))
    return in_kind(np.minimum(np.maximum(EVEN, low), high))


def _jam_spacings(cloth: Cloth, angle: Array) -> tuple[tuple[Array, Array], tuple[Array, Array]]:
    """Spacing of ends and of picks in the jam where the warp bends to `angle`, each with its slope.

    Both heights D(1 − cos θ) make D together, so that cos θ₁ + cos θ₂ = 1.
    """
    warp, weft, D = cloth.warp, cloth.weft, cloth.both_mm
    cos, sin = np.cos(angle), np.sin(angle)
    weft_sin = np.sqrt(cos * (2 - cos))
    ends = weft.waved * D * weft_sin + (1 - weft.waved) * warp.diameter_mm
    picks = warp.waved * D * sin + (1 - warp.waved) * weft.diameter_mm
    return (ends, -weft.waved * D * (1 - cos) * sin / weft_sin), (picks, warp.waved * D * cos)


def _highest_share(room: Array, both: Array) -> Array:
    highest: Array = highest_wave_mm(np.maximum(room, 0.0), both) / both
    return highest


def _check_weavable(cloth: Cloth, roomy: Array) -> None:
    """Refuse a cloth beyond its jam, with the limit and the nearest that can be woven.

    `roomy`: whether its waves have room, which spares most cloths the closer look.
    """
    ends_fit = touching_mm(cloth.swapped()) <= cloth.warp.spacing_mm
    if np.all(roomy & ends_fit & (touching_mm(cloth) <= cloth.weft.spacing_mm)):
        return
    close = np.asarray(closeness(cloth))
    beyond = np.flatnonzero(~(close <= 1 + WRITTEN))
    if not beyond.size:
        return
    one = cloth.at(int(beyond[0]))
    ends, picks, limit = one.warp.per_cm, one.weft.per_cm, close.flat[beyond[0]]
    jam = f"{_down(ends / limit)} ends and {_down(picks / limit)} picks per cm"
    jam_inch = f"{_down(ends / limit * CM_PER_INCH)} and {_down(picks / limit * CM_PER_INCH)}"
    yarns = f"{one.warp.diameter_mm:.3g} and {one.weft.diameter_mm:.3g} mm"
    raise ImpossibleValue(
        "the cloth",
        f"set at {ends:.{FIGURES}g} ends and {picks:.{FIGURES}g} picks per cm",
        f"in this weave and proportion yarns {yarns} thick jam at {jam}",
        f"Nearest cloth that can be woven: {jam} ({jam_inch} per inch); {_kept(one)}.",
    )


def _kept(cloth: Cloth) -> str:
    """What the ends, left as they are, would leave room for."""
    ends = f"{cloth.warp.per_cm:.{FIGURES}g} ends"
    try:
        picks = most_picks_per_cm(cloth)
    except ImpossibleValue:
        return f"{ends} leave no room for any pick"
    return (
        f"with {ends} at most {_down(picks)} picks per cm ({_down(picks * CM_PER_INCH)} per inch)"
    )


def _down(per_length: float) -> str:
    """Four figures, rounded down, so that what is said can be woven.

    >>> _down(11.5479), _down(123456.0)
    ('11.54', '123400')
    """
    unit = 10.0 ** (math.floor(math.log10(per_length)) + 1 - FIGURES)
    return f"{math.floor(per_length / unit) * unit:.10g}"
