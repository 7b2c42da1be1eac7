"""What a planned cloth will be like: weight, cover, how firm, from its geometry."""

from farspun.craft.case import Spreads
from farspun.craft.cover import (
    cloth_cover,
    compact_diameter_mm,
    cover_fraction,
    mass_g_per_m2,
)
from farspun.craft.fibres import blend
from farspun.craft.jam import closeness
from farspun.craft.plan import Plan
from farspun.craft.threads import Cloth, cloth
from farspun.craft.weave import weave
from farspun.services.answers import ClothNow
from farspun.services.habits_for import Yarns, yarns_of
from farspun.services.stock import Stock

# up to this part of the closest sett round threads have. Judgement: the everyday sett that suits a
# yarn comes to about 0.38, that for drape to 0.33, the firm one to 0.44
HANDLES = ((0.30, "open"), (0.41, "soft, and drapes"), (0.55, "firm"), (1.0, "stiff"))
BEYOND = "closer than round threads can lie"


def cloth_now(plan: Plan, spreads: Spreads, stock: Stock) -> ClothNow | None:
    """At middle values; None where a yarn's grist is not known, or a side is not asked."""
    supplies = dict(stock.supplies)
    warp, weft = yarns_of(plan, "warp", supplies), yarns_of(plan, "weft", supplies)
    woven = _rested(plan, warp, weft, spreads.draw_in.mean)
    if woven is None:
        return None
    warp_crimp = 1 / spreads.take_up.factor - 1
    weft_crimp = spreads.weft_crimp.mean
    mass = float(
        mass_g_per_m2(
            woven.warp.per_cm, woven.weft.per_cm, _mean_tex(warp), _mean_tex(weft),
            warp_crimp, weft_crimp,
        )
    )  # fmt: skip
    washed = spreads.shrink_length.factor * spreads.shrink_width.factor
    washed *= spreads.relax_length.factor * spreads.relax_width.factor
    covers = [cover_fraction(one.per_cm, one.diameter_mm) for one in woven.systems]
    limit = float(closeness(woven))
    return ClothNow(
        mass_g_per_m2=mass,
        warp_crimp_fraction=warp_crimp,
        weft_crimp_fraction=weft_crimp,
        cover_cloth=float(cloth_cover(*covers)),
        share_of_limit=limit,
        washed_mass_g_per_m2=mass / washed,
        handle=next((word for most, word in HANDLES if limit <= most), BEYOND),
    )


def _rested(plan: Plan, warp: Yarns, weft: Yarns, draw_in: float) -> Cloth | None:
    """The cloth off the loom: ends stand closer there than in the reed."""
    sides = (*warp, *weft)
    if not warp or not weft or not all(supply.tex_known for supply, _ in sides):
        return None
    return cloth(
        weave(plan.weave),
        plan.sett_per_cm / (1 - draw_in),
        plan.picks_per_cm,
        _mean_diameter_mm(warp),
        _mean_diameter_mm(weft),
    )


def _mean_tex(side: Yarns) -> float:
    return sum(share * supply.tex for supply, share in side)


def _mean_diameter_mm(side: Yarns) -> float:
    """Compact diameter, the mean of a side's threads."""
    return float(
        sum(share * compact_diameter_mm(supply.tex, blend(supply.blend)) for supply, share in side)
    )
