"""What a planned cloth will be like: weight, cover, how firm, from its geometry."""

from collections.abc import Iterator
from dataclasses import asdict, replace

from farspun.craft.case import Spreads
from farspun.craft.cover import cloth_cover, cover_fraction, mass_g_per_m2
from farspun.craft.jam import closeness
from farspun.craft.plan import Plan, Reed
from farspun.craft.reed import Sleying, awkwardness, next_sleyings
from farspun.services.answers import Beside, ClothNow, Handle
from farspun.services.factors import yarns_of
from farspun.services.habits_for import spreads_for
from farspun.services.planning import set_up_on
from farspun.services.shape_for import mean_tex, rested_cloth
from farspun.services.stock import Stock

# up to this part of the closest sett round threads have. Judgement: the everyday sett that suits a
# yarn comes to about 0.38, that for drape to 0.33, the firm one to 0.44
HANDLES = ((0.30, "open"), (0.41, "soft, and drapes"), (0.55, "firm"), (1.0, "stiff"))
BEYOND = "closer than round threads can lie"
FARTHEST = 0.5  # off the sett; judgement: beyond it is another cloth


def cloth_now(plan: Plan, spreads: Spreads, stock: Stock) -> ClothNow | None:
    """At middle values, and one step looser and closer on the reeds she owns.

    None where a yarn's grist is not known, or a side is not asked.
    """
    own = handle(plan, spreads, stock)
    return None if own is None else ClothNow(**asdict(own), beside=list(_beside(plan, stock)))


def handle(plan: Plan, spreads: Spreads, stock: Stock) -> Handle | None:
    """What the cloth will be like; None where a yarn's grist is not known, or a side not asked."""
    supplies = dict(stock.supplies)
    warp, weft = yarns_of(plan, "warp", supplies), yarns_of(plan, "weft", supplies)
    woven = rested_cloth(plan, warp, weft, spreads.draw_in.mean)
    if woven is None:
        return None
    warp_crimp = 1 / spreads.take_up.factor - 1
    weft_crimp = spreads.weft_crimp.mean
    mass = float(
        mass_g_per_m2(
            woven.warp.per_cm, woven.weft.per_cm, mean_tex(warp), mean_tex(weft),
            warp_crimp, weft_crimp,
        )
    )  # fmt: skip
    washed = spreads.shrink_length.factor * spreads.shrink_width.factor
    washed *= spreads.relax_length.factor * spreads.relax_width.factor
    covers = [cover_fraction(one.per_cm, one.diameter_mm) for one in woven.systems]
    limit = float(closeness(woven))
    return Handle(
        mass_g_per_m2=mass,
        warp_crimp_fraction=warp_crimp,
        weft_crimp_fraction=weft_crimp,
        cover_cloth=float(cloth_cover(*covers)),
        share_of_limit=limit,
        washed_mass_g_per_m2=mass / washed,
        handle=next((word for most, word in HANDLES if limit <= most), BEYOND),
    )


def _beside(plan: Plan, stock: Stock) -> Iterator[Beside]:
    """The nearest looser and the nearest closer sett of all her reeds that fit the loom."""
    offers = [
        (reed, next_sleyings(plan.sett_per_cm, reed.dents_per_10cm, reed.rigid_heddle))
        for reed in stock.reeds
        if reed.fits(plan.loom)
    ]
    for at, step in enumerate(("looser", "closer")):
        found = [(reed, ways[at]) for reed, ways in offers]
        near = [(reed, way) for reed, way in found if way and abs(way.off_fraction) <= FARTHEST]
        if near:
            reed, way = min(near, key=lambda offer: awkwardness(offer[1]))
            other = _on(plan, reed, way, stock)
            spreads = spreads_for(other, stock)
            like = handle(other, spreads, stock)
            if like is None or like.share_of_limit >= 1:
                continue
            yield Beside(
                step, reed.name, list(way.per_dent), way.ends_per_cm, other.picks_per_cm, like
            )


def _on(plan: Plan, reed: Reed, way: Sleying, stock: Stock) -> Plan:
    """The plan at that sett; picks follow it unless she gave them."""
    asked = replace(plan, sett_asked=way.ends_per_cm)
    return set_up_on(asked, plan.loom, reed, stock.reeds, stock)
