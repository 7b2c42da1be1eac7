"""What all planned cloths ask of the stash together: their needs, and which skein may serve which.

A skein is free for them but for what cloths on the loom keep of it. What was taken for a cloth
already serves that cloth alone, and costs nothing more.
"""

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from sqlalchemy import Connection

from farspun.craft.allocation import JOIN_M, Sharing, pieces_likely, robust_metres
from farspun.craft.case import Case, Skein, Yarn
from farspun.craft.plan import Plan
from farspun.craft.planning import part_promise
from farspun.craft.reach import Drawn
from farspun.craft.readings import Floats
from farspun.services.case_for import settled_case, yarn_groups
from farspun.services.claiming import Claims, kept_case
from farspun.services.habits_for import spreads_for
from farspun.services.stock import Stock, stock_to_weave
from farspun.services.taught import Taught
from farspun.store.supplies import Supply


@dataclass(frozen=True, slots=True)
class Asking:
    """One planned cloth: its case, the skeins it names, and what it claims today."""

    plan: Plan
    case: Case
    stock: Stock
    claims: Claims

    @property
    def id(self) -> int:
        """Its id in the stash."""
        assert self.plan.id is not None
        return self.plan.id

    @property
    def name(self) -> str:
        """Its name."""
        return self.plan.name or ""

    @property
    def supplies(self) -> Mapping[int, Supply]:
        """Its skeins, by id."""
        return self.stock.supplies

    def kept(self, claims: Claims) -> Case:
        """The case with nothing but these claims, each for its side, and what is in hand.

        Of a skein claimed for both sides the warp draws first, as in every case.
        """
        names = {(self.supplies[number].name, side) for (number, side), mg in claims.items() if mg}

        def only(yarn: Yarn, side: str) -> Yarn:
            own = (one for one in yarn.skeins if one.in_hand or (one.name, side) in names)
            return replace(yarn, skeins=tuple(own))

        case = kept_case(self.case, claims, self.supplies)
        return replace(
            case,
            warp=tuple(only(yarn, "warp") for yarn in case.warp),
            weft=tuple(only(yarn, "weft") for yarn in case.weft),
        )


@dataclass(frozen=True, slots=True)
class Demand:
    """One yarn of one side of a cloth: which cloth (from 0), which yarn of the side, its skeins.

    `level`: what it must keep so that all yarns of the cloth together keep the promise. `need_sd`
    of ln `required_m`, the median.
    """

    cloth: int
    side: str
    position: int
    skein_ids: tuple[int, ...]
    level: float
    required_m: float
    need_sd: float


@dataclass(frozen=True, slots=True)
class Demands:
    """All needs by priority, the ways they can be served, and which skein each way is of.

    `skein_id` (E,): 0 where a way is yarn in hand. `free_mg`: what is shared out of each skein.
    `spread` (E,): sd of ln of what the need would be short or over, of such skeins alone.
    """

    cloths: Sequence[Asking]
    needs: Sequence[Demand]
    sharing: Sharing
    skein_id: Sequence[int]
    free_mg: Mapping[int, int]
    spread: Floats

    def spread_of(self, at: int, shares: Floats) -> float:
        """sd of ln of need `at`, with the skeins it is given by `shares` (E,), about."""
        weights = self.sharing.robust_m * shares * (self.sharing.need == at)
        total = float(weights.sum())
        return float(weights @ self.spread) / total if total else self.needs[at].need_sd

    def given_mg(self, shares: Floats) -> list[tuple[int, int]]:
        """Skein and whole mg of each way, (E,), of the shares (E,): never more than is free."""
        return [
            (skein_id, math.floor(float(share) * self.free_mg[skein_id]) if skein_id else 0)
            for skein_id, share in zip(self.skein_id, shares, strict=True)
        ]

    def claims(self, shares: Floats) -> list[Claims]:
        """What each cloth is to claim of the shares (E,)."""
        found: list[Claims] = [{} for _ in self.cloths]
        for at, (skein_id, mg) in zip(self.sharing.need, self.given_mg(shares), strict=True):
            if mg > 0:
                need = self.needs[at]
                own, key = found[need.cloth], (skein_id, need.side)
                own[key] = own.get(key, 0) + mg
        return found


def asking(
    connection: Connection, plan: Plan, known: Taught, claims: Claims, promise: float | None
) -> Asking:
    """A planned cloth as it asks for yarn; at `promise` where that is not its own."""
    stock, block = stock_to_weave(connection, plan.skein_ids, plan.as_spun, known)
    case = settled_case(plan, spreads_for(plan, stock), stock.supplies, block).case
    if promise is not None:
        case = replace(case, promise=promise)
    return Asking(plan, case, stock, claims)


def demands(cloths: Sequence[Asking], kept_mg: Mapping[int, int]) -> Demands:
    """The needs of these cloths, highest priority first; `kept_mg` of a skein is not shared."""
    needs = [need for at, cloth in enumerate(cloths) for need in _needs(at, cloth)]
    supplies = {number: one for cloth in cloths for number, one in cloth.supplies.items()}
    free_mg = {
        number: max(0, (one.balance_mg or 0) - kept_mg.get(number, 0))
        for number, one in supplies.items()
    }
    ways = [way for at, need in enumerate(needs) for way in _ways(at, need, cloths, free_mg)]
    names = {name: at for at, name in enumerate(dict.fromkeys(way.of for way in ways))}
    sharing = Sharing(
        skein=np.array([names[way.of] for way in ways], dtype=np.int64),
        need=np.array([way.need for way in ways], dtype=np.int64),
        robust_m=np.array([way.robust_m for way in ways], dtype=np.float64),
        bound_m=np.array([way.bound_m for way in ways], dtype=np.float64),
        join_m=np.array([JOIN_M if way.skein_id else 0.0 for way in ways], dtype=np.float64),
        required_m=np.array([need.required_m for need in needs], dtype=np.float64),
    )
    spread = np.array([way.spread for way in ways], dtype=np.float64)
    return Demands(cloths, needs, sharing, [way.skein_id for way in ways], free_mg, spread)


def _needs(at: int, cloth: Asking) -> Iterator[Demand]:
    case, drawn = cloth.case, Drawn(cloth.case)
    parts = len(case.warp) + len(case.weft) + (2 if case.cut else 0)
    level = part_promise(case.promise, max(1, parts))
    for side, listed in (("warp", cloth.plan.warp), ("weft", cloth.plan.weft)):
        for position, group in enumerate(yarn_groups(listed)) if listed else ():
            if side == "warp":
                metres = drawn.warp_need_m(position)
            else:
                metres = drawn.weft_m * case.weft[position].part
            yield Demand(
                cloth=at,
                side=side,
                position=position,
                skein_ids=tuple(part.skein_id for part in group),
                level=level,
                required_m=float(np.median(metres)),
                need_sd=float(np.std(np.log(metres))),
            )


@dataclass(frozen=True, slots=True)
class _Way:
    """A skein for a need; `of`: its id, or the name of what is in hand for one cloth."""

    of: int | str
    skein_id: int
    need: int
    robust_m: float
    bound_m: float
    spread: float


def _ways(
    at: int, need: Demand, cloths: Sequence[Asking], free_mg: Mapping[int, int]
) -> Iterator[_Way]:
    from scipy.special import ndtri

    cloth = cloths[need.cloth]
    side = cloth.case.warp if need.side == "warp" else cloth.case.weft
    ids = {one.name: number for number, one in cloth.supplies.items()}
    found: list[tuple[Skein, int, float]] = []
    for skein in side[need.position].skeins:
        if skein.in_hand:
            found.append((skein, 0, skein.median_m))
        elif usable(cloth.supplies[ids[skein.name]], free_mg[ids[skein.name]]):
            number = ids[skein.name]
            share = free_mg[number] / (cloth.supplies[number].balance_mg or 1)
            found.append((skein, number, skein.median_m * share))
    pieces = pieces_likely(need.required_m, np.array([metres for _, _, metres in found]))
    z = float(ndtri(need.level))
    for skein, number, metres in found:
        shared_sd = _shared_sd(skein, cloth.case)
        robust_m = robust_metres(metres, need.need_sd, shared_sd, skein.own_sd_ln, pieces, z)
        yield _Way(
            of=number or f"{skein.name} of cloth {cloth.id}",
            skein_id=number,
            need=at,
            robust_m=float(robust_m),
            bound_m=metres if number else 0.0,
            spread=math.hypot(need.need_sd, shared_sd, skein.own_sd_ln / math.sqrt(pieces)),
        )


def usable(supply: Supply, free_mg: int) -> bool:
    """Whether there is something of a known length to be shared out."""
    return supply.known and free_mg > 0 and math.isfinite(supply.ln_length)


def _shared_sd(skein: Skein, case: Case) -> float:
    """sd of ln of what a skein has in common with others."""
    loads = np.array([skein.loads.get(effect, 0.0) for effect in case.effects])
    return math.sqrt(max(0.0, float(loads @ case.effect_cov @ loads))) if loads.size else 0.0
