"""What geometry needs to know of the yarns of a planned cloth."""

from collections.abc import Sequence

from farspun.craft.cover import compact_diameter_mm
from farspun.craft.drawn import drawn_weave
from farspun.craft.fibres import blend
from farspun.craft.plan import Plan
from farspun.craft.shape import Side, cloth_of
from farspun.craft.threads import Cloth
from farspun.store.supplies import Supply

Yarns = Sequence[tuple[Supply, float]]  # the yarns of a side and their shares of it


def rested_cloth(plan: Plan, warp: Yarns, weft: Yarns, draw_in: float) -> Cloth | None:
    """The cloth off the loom; None where the grist of a yarn is not known."""
    sides = sides_of(warp, weft)
    if sides is None:
        return None
    return cloth_of(drawn_weave(plan.weave), (plan.sett_per_cm, plan.picks_per_cm), *sides, draw_in)


def mean_tex(side: Yarns) -> float:
    """Grist of a side: the mean of its threads."""
    return sum(share * supply.tex for supply, share in side)


def sides_of(warp: Yarns, weft: Yarns) -> tuple[Side, Side] | None:
    """Both in the mean; None where one is not asked or the grist of a yarn is not known."""
    if not warp or not weft or not all(supply.tex_known for supply, _ in (*warp, *weft)):
        return None
    return _side(warp), _side(weft)


def _side(yarns: Yarns) -> Side:
    """Diameters are averaged over the threads; so are the widths they take when wrapped."""
    wraps_per_cm = 1 / sum(share / supply.wraps_per_cm for supply, share in yarns)
    return Side(mean_compact_mm(yarns), wraps_per_cm)


def mean_compact_mm(yarns: Yarns) -> float:
    """Diameter pressed in the cloth: the mean of its threads."""
    return sum(
        share * float(compact_diameter_mm(supply.tex, blend(supply.blend)))
        for supply, share in yarns
    )
