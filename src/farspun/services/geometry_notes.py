"""What is to be said beside the geometry of a cloth: limits, doubts, habits."""

from collections.abc import Iterator

from farspun.craft.arrays import inward
from farspun.craft.cover import COMPACT_PACKING
from farspun.craft.geometry import geometry, share_from_warp_crimp, warp_crimp_range
from farspun.craft.interlacement import Weave
from farspun.craft.jam import EVEN
from farspun.craft.threads import Cloth
from farspun.services.geometry_asked import Asked
from farspun.units import say_percent


def limit_notes(jammed: bool, forced_share: float | None) -> Iterator[str]:
    """Near the jam; and a share of the wave that nobody asked for and the sett forces."""
    if jammed:
        yield "That is within 1 % of the closest that can be woven: it will hardly beat in."
    if forced_share is not None and forced_share != EVEN:
        closer, more = ("ends", "warp") if forced_share > EVEN else ("picks", "weft")
        part = max(forced_share, 1 - forced_share)
        yield (
            f"The {closer} are too close for the wave to be shared evenly: the {more} takes at "
            f"least {say_percent(part)} of it."
        )


def both_crimps_notes(woven: Cloth, warp_crimp: float, thick: bool) -> Iterator[str]:
    """Two crimps given that go with no geometry: what would go with the warp's."""
    so = "the thickness goes by each alone" if thick else "what they make thick is not known"
    low, high = warp_crimp_range(woven)
    if low <= warp_crimp <= high:
        share = share_from_warp_crimp(woven, warp_crimp)
        weft = say_percent(geometry(woven, share).weft_crimp_fraction)
        goes = f"with {say_percent(warp_crimp)} in the warp goes {weft} in the weft"
    else:
        least, most = inward(100 * low, 100 * high)
        goes = f"in the warp there can be from {least} % to {most} %"
    yield (
        f"No geometry of round yarns has both crimps at this sett: {goes}. Both are taken as "
        f"given, and {so}."
    )


def weave_notes(weave: Weave) -> Iterator[str]:
    """Ends that do not all take up alike."""
    least, most = min(weave.end_intersections), max(weave.end_intersections)
    if least != most:
        yield (
            f"{weave.name}: some ends change face {least} times in a repeat, some {most}. The warp "
            "crimp told is their mean; over a long warp those that bend least go slack."
        )


def unused_notes(asked: Asked) -> Iterator[str]:
    """What was given and does not count."""
    doubtful = [name for name, quantity in asked.quantities() if quantity.sd is not None]
    if doubtful:
        yield f"The ± of {', '.join(doubtful)} is left out: one figure comes out here, not odds."
    if asked.fibre_fill is not None and asked.warp.diameter and asked.weft.diameter:
        yield "The fibre fill is not used: both diameters are given."


def habit_notes(asked: Asked, share: float | None) -> Iterator[str]:
    """What was not said and is taken as usual; `share` is the warp's of the wave as it came out."""
    by_count = [one for one in (asked.warp, asked.weft) if one.diameter is None]
    fills = {f"{COMPACT_PACKING[one.spun_from.family]:.2f}" for one in by_count}
    not_said = asked.crimp_share is asked.warp_crimp is asked.weft_crimp is None
    taken = [
        *(["wool"] if any(one.fibre is None and one.by_count is None for one in by_count) else []),
        *([f"fibre fill {' and '.join(sorted(fills))}"] if fills and not asked.fibre_fill else []),
        *(["plain weave"] if asked.weave is None else []),
        *(["the wave shared evenly"] if not_said and share == EVEN else []),
    ]
    named = dict.fromkeys(one.by_count for one in by_count if one.by_count)
    if named:
        yield f"Taken from the count: {', '.join(str(one) for one in named)}."
    if taken:
        yield f"Taken from habit: {', '.join(taken)}."
