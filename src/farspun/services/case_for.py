"""From a plan and the stash to the case that `reach` answers, ends and warp length settled."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TypeVar

from farspun.craft.amounts import ends_by_order, fringe_cut
from farspun.craft.case import Case, Size, Skein, Spreads, Yarn
from farspun.craft.habits import CUT_GIVE, GIVE
from farspun.craft.learned import Learned
from farspun.craft.plan import WARPED, Part, Plan
from farspun.craft.planning import (
    FIRST_SIZE_PROMISE,
    KNOWN_SIZE_PROMISE,
    Settled,
    part_promise,
    settled,
)
from farspun.craft.remaining import TAKEN_SD
from farspun.errors import ImpossibleValue
from farspun.services.orders import ends_of_yarns, picks_of_yarns, spans_of_picks
from farspun.services.stock import Block
from farspun.store.supplies import Supply

T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class Settling:
    """The case with its set-up, and the set-up all middle values would ask for the full size."""

    case: Case
    middle: Settled


def size_of(plan: Plan, spreads: Spreads) -> Size:
    """The size as the loom sees it: give settled, fringe as cut."""
    give = plan.give if plan.give is not None else (CUT_GIVE if plan.cut else GIVE)
    lost = 1 - spreads.shrink_length.factor * spreads.relax_length.factor
    return Size(
        width_cm=plan.width_cm,
        length_cm=plan.length_cm,
        pieces=plan.pieces,
        give=give,
        hem_cm=plan.hem_cm,
        side_hem_cm=plan.side_hem_cm,
        fringe_cm=float(fringe_cut(plan.fringe_cm, lost)) if plan.fringe_cm else 0.0,
        gap_cm=plan.gap_cm,
        sample_cm=plan.sample_cm,
        header_cm=plan.header_cm,
        floating_selvedges=plan.floating_selvedges,
        fringe_from_waste=plan.fringe_from_waste,
    )


def yarn_groups(parts: Sequence[Part]) -> list[list[Part]]:
    """Skeins with neither ends nor share are one yarn together; each with one is its own."""
    if parts and parts[0].ends is None and parts[0].share is None:
        return [list(parts)]
    return [[part] for part in parts]


def asked_sides(
    plan: Plan, warp: Sequence[T], weft: Sequence[T]
) -> list[tuple[str, Sequence[Part], Sequence[T]]]:
    """(side, its parts, what belongs to each of its yarns) of the sides still to be covered."""
    sides: list[tuple[str, Sequence[Part], Sequence[T]]] = [("weft", plan.weft, weft)]
    return sides if plan.status in WARPED else [("warp", plan.warp, warp), *sides]


def size_level(plan: Plan, spreads: Spreads, parts: int) -> float:
    """What width and length must each keep; `parts` share the promise where pieces are cut."""
    if plan.cut and plan.size_promise is None:
        return part_promise(plan.promise, parts)
    return part_promise(size_promise(plan, spreads), 2)


def size_promise(plan: Plan, spreads: Spreads) -> float:
    """As she asks; else more once her own samples or cloths tell how much the cloth will shrink."""
    if plan.size_promise is not None:
        return plan.size_promise
    told = (spreads.shrink_length, spreads.shrink_width)
    known = all(isinstance(spread, Learned) and spread.known for spread in told)
    return KNOWN_SIZE_PROMISE if known else FIRST_SIZE_PROMISE


def settled_case(
    plan: Plan, spreads: Spreads, supplies: Mapping[int, Supply], block: Block
) -> Settling:
    """The case of a plan: ends and warp as given by hand, else settled for the size promise.

    `block` gives the covariance of the shared causes named. Claims of other cloths are taken off
    as shares of mass; the cloth's own claims do not limit it.
    """
    size = size_of(plan, spreads)
    warp, weft = yarn_groups(plan.warp), yarn_groups(plan.weft)
    if plan.status in WARPED:
        warp = []  # it is there, and its yarn has left the skeins
    level = size_level(plan, spreads, len(warp) + len(weft) + 2)
    wanted = settled(size, spreads, plan.sett_per_cm, level, plan.end_step)
    middle = settled(replace(size, give=0.0), spreads, plan.sett_per_cm, 0.5, plan.end_step)
    ends = plan.ends or wanted.ends
    effects = sorted({key for one in plan.skein_ids for key in supplies[one].load})
    case = Case(
        size=size,
        ends_per_cm=plan.sett_per_cm,
        picks_per_cm=plan.picks_per_cm,
        ends=ends,
        warp_cut_cm=plan.warp_cut_cm or wanted.warp_cut_cm,
        spreads=spreads,
        warp=_warp_yarns(plan, warp, ends, supplies),
        weft=_weft_yarns(plan, weft, size, spreads, supplies),
        promise=plan.promise,
        cut=plan.cut,
        effects=tuple(effects),
        effect_cov=block(effects),
    )
    return Settling(case, middle)


def _warp_yarns(
    plan: Plan, groups: list[list[Part]], ends: int, supplies: Mapping[int, Supply]
) -> tuple[Yarn, ...]:
    """Each yarn with its whole ends: the order of parts repeated over the width, cut off there."""
    if plan.warp_order is not None:
        own = ends_of_yarns(plan.warp_order, ends)
        names = [supplies[group[0].skein_id].name for group in groups]
        return tuple(
            _yarn(group, supplies, plan, ends=own[name])
            for name, group in zip(names, groups, strict=True)
        )
    order = [(str(at), group[0].ends) for at, group in enumerate(groups) if group[0].ends]
    counts = ends_by_order(order, ends) if order else {}
    if 0 in counts.values():
        raise ImpossibleValue(
            "the order of the warp",
            f"{sum(part for _, part in order)} ends long",
            f"{ends} ends are on the loom, and one of its yarns would not come in",
        )
    return tuple(
        _yarn(group, supplies, plan, ends=counts.get(str(at), ends))
        for at, group in enumerate(groups)
    )


def _weft_yarns(
    plan: Plan,
    groups: list[list[Part]],
    size: Size,
    spreads: Spreads,
    supplies: Mapping[int, Supply],
) -> tuple[Yarn, ...]:
    """Each yarn with its share of the picks; in an order, of those woven at middle values."""
    if plan.weft_order is None:
        return tuple(_yarn(group, supplies, plan, share=group[0].share) for group in groups)
    spans = spans_of_picks(size, spreads, plan.picks_per_cm)
    own = picks_of_yarns(plan.weft_order, plan.picks_per_cm, spans)
    names = [supplies[group[0].skein_id].name for group in groups]
    return tuple(
        _yarn(group, supplies, plan, share=own[name] / sum(spans))
        for name, group in zip(names, groups, strict=True)
    )


def _yarn(
    group: list[Part],
    supplies: Mapping[int, Supply],
    plan: Plan,
    share: float | None = None,
    ends: int | None = None,
) -> Yarn:
    free = [_skein(supplies[part.skein_id], plan) for part in group]
    held = [one for part in group for one in in_hand(supplies[part.skein_id], plan)]
    name = " + ".join(skein.name for skein in free)
    return Yarn(name, (*free, *held), 1.0 if share is None else share, ends)


def free_share(supply: Supply, *own: int | None) -> float:
    """The part of a skein that no cloth but these claims; none where more than all is claimed."""
    if not supply.balance_mg:
        return 1.0
    others = sum(mass for cloth, mass in supply.claims if cloth not in own)
    return max(0.0, 1 - others / supply.balance_mg)


def unclaimed(case: Case, stock: Mapping[int, Supply], *own: int | None) -> Case:
    """The case with what only these cloths claim of its skeins free."""
    by_name = {supply.name: supply for supply in stock.values()}

    def freed(skein: Skein) -> Skein:
        if skein.in_hand:
            return skein
        return replace(skein, free=free_share(by_name[skein.name], *own))

    def yarns(side: tuple[Yarn, ...]) -> tuple[Yarn, ...]:
        return tuple(replace(yarn, skeins=tuple(map(freed, yarn.skeins))) for yarn in side)

    return replace(case, warp=yarns(case.warp), weft=yarns(case.weft))


def in_hand(supply: Supply, plan: Plan) -> list[Skein]:
    """What was taken from a skein for this cloth: it is not in the skein, but it is there."""
    taken = [
        (1000 * grams / supply.tex if metres is None else metres, metres is not None)
        for cloth_id, grams, metres in supply.in_hand
        if cloth_id == plan.id
    ]
    if not taken:
        return []
    by_mass = math.sqrt(float(supply.cov3[1, 1]))
    total_m = sum(metres for metres, _ in taken)
    doubt_m = sum(metres * (TAKEN_SD if said else by_mass) for metres, said in taken)
    name = f"{supply.name}, in hand"
    return [Skein(name, total_m, doubt_m / total_m, tex=supply.tex, in_hand=True)]


def _skein(supply: Supply, plan: Plan) -> Skein:
    median = math.exp(supply.ln_length)
    whole = math.exp(float(supply.mean3[0]))
    return Skein(
        name=supply.name,
        median_m=median,
        own_sd_ln=supply.own_sd_ln,
        loads=supply.load,
        free=free_share(supply, plan.id),
        tex=supply.tex if supply.tex_known else None,
        cov=supply.cov3,
        stretch=whole / median if supply.taken and median > 0 else 1.0,
        whole=not supply.taken,
    )
