"""Random cloths in plain numbers, and the same cloths as the craft takes them."""

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from farspun.craft.case import NO_RELAXATION, Case, Size, Skein, Spreads, Yarn
from farspun.craft.planning import part_promise, settled
from farspun.craft.spread import Kind, Spread

Floats = NDArray[np.float64]
KINDS: dict[str, Kind] = {
    "take_up": "loss",
    "draw_in": "loss",
    "weft_crimp": "addition",
    "shrink_length": "loss",
    "shrink_width": "loss",
    "beat": "ratio",
    "waste_cm": "length",
    "joins": "addition",
    "cutting": "ratio",
    "weft_take_up": "addition",
    "relax_length": "loss",
    "relax_width": "loss",
}


@dataclass(frozen=True)
class PlainSkein:
    """Free metres: their median, own sd of ln, load on every shared effect."""

    name: str
    free_m: float
    own_sd_ln: float
    loads: Floats


@dataclass(frozen=True)
class PlainCloth:
    """A cloth in plain numbers; `warp` yarns have ends, `weft` yarns parts."""

    size: dict[str, Any]
    ends_per_cm: float
    picks_per_cm: float
    ends: int
    warp_cut_cm: float
    spreads: dict[str, tuple[float, float]]
    warp: list[tuple[list[PlainSkein], int]]
    weft: list[tuple[list[PlainSkein], float]]
    effect_cov: Floats

    @property
    def skeins(self) -> dict[str, PlainSkein]:
        return {s.name: s for skeins, _ in (*self.warp, *self.weft) for s in skeins}


def random_cloth(number: int, yarns_a_side: int = 3) -> PlainCloth:
    """One of endlessly many; its size is planned for, its yarn near what it needs."""
    rng = np.random.Generator(np.random.PCG64([20251125, number]))
    size: dict[str, Any] = {
        "width_cm": float(rng.uniform(8, 90)),
        "length_cm": float(rng.uniform(15, 300)),
        "pieces": int(rng.integers(1, 5)),
        "give": float(rng.choice([0.0, 0.05, 0.1])),
        "hem_cm": float(rng.choice([0.0, 2.0, 6.0])),
        "side_hem_cm": float(rng.choice([0.0, 1.5])),
        "fringe_cm": float(rng.choice([0.0, 5.0, 20.0])),
        "gap_cm": float(rng.choice([0.0, 4.0])),
        "sample_cm": float(rng.choice([0.0, 15.0])),
        "header_cm": float(rng.choice([0.0, 2.5])),
        "floating_selvedges": int(rng.choice([0, 2, 4])),
        "fringe_from_waste": bool(rng.random() < 0.5),
    }
    spreads = _random_spreads(rng)
    ends_per_cm = float(rng.uniform(2, 12))
    count = int(rng.integers(1, 4))
    root = rng.standard_normal((count, count + 1)) * 0.02
    warps, wefts = (int(k) for k in rng.integers(1, yarns_a_side + 1, 2))
    level = part_promise(float(rng.choice([0.6, 0.8, 0.95])), 2)
    asked = settled(Size(**size), _spreads(spreads), ends_per_cm, level, warps)
    cloth = PlainCloth(
        size=size,
        ends_per_cm=ends_per_cm,
        picks_per_cm=ends_per_cm * float(rng.uniform(0.7, 1.3)),
        ends=asked.ends,
        warp_cut_cm=asked.warp_cut_cm,
        spreads=spreads,
        warp=[],
        weft=[],
        effect_cov=root @ root.T,
    )
    return _with_yarn(cloth, rng, warps, wefts)


def _random_spreads(rng: np.random.Generator) -> dict[str, tuple[float, float]]:
    """Wide and narrow ones, some certain, some unusual."""

    def some(low: float, high: float, sd_low: float, sd_high: float) -> tuple[float, float]:
        known = rng.random() < 0.08
        return float(rng.uniform(low, high)), 0.0 if known else float(rng.uniform(sd_low, sd_high))

    spreads = {
        "take_up": some(0.03, 0.18, 0.01, 0.06),
        "draw_in": some(0.02, 0.15, 0.01, 0.03),
        "weft_crimp": some(0.03, 0.2, 0.01, 0.05),
        "shrink_length": some(0.0, 0.25, 0.01, 0.09),
        "shrink_width": some(0.0, 0.25, 0.01, 0.10),
        "beat": some(0.95, 1.05, 0.02, 0.08),
        "waste_cm": some(12, 80, 3, 15),
        "joins": some(0.0, 0.05, 0.005, 0.03),
        "cutting": (1.0, 0.01),
    }
    if rng.random() < 0.15:
        spreads["weft_take_up"] = some(0.02, 0.12, 0.01, 0.04)
    if rng.random() < 0.15:
        spreads["relax_length"] = some(0.05, 0.15, 0.02, 0.10)
        spreads["relax_width"] = some(0.05, 0.15, 0.02, 0.10)
    return spreads


def _with_yarn(cloth: PlainCloth, rng: np.random.Generator, warps: int, wefts: int) -> PlainCloth:
    """Yarns of one to five skeins, the median supply from 10 % under to 25 % over the need."""
    middle = {name: Spread(*spread, KINDS[name]).factor for name, spread in cloth.spreads.items()}
    metres = cloth.ends * cloth.warp_cut_cm / 100
    size = cloth.size
    asked = size["pieces"] * (size["length_cm"] + 2 * size["hem_cm"]) * (1 - size["give"])
    h = asked / middle["shrink_length"] / middle.get("relax_length", 1.0)
    h += size["sample_cm"] + size["header_cm"]
    over = max(1.0, middle["draw_in"] * middle["weft_crimp"]) * middle["joins"]
    over = middle.get("weft_take_up", over)
    picked = h * cloth.picks_per_cm * middle["beat"] * cloth.ends / cloth.ends_per_cm / 100 * over

    def skeins(of: str, need: float) -> list[PlainSkein]:
        total = need * float(np.exp(rng.uniform(-0.1, 0.22)))
        parts = rng.dirichlet(np.full(int(rng.integers(1, 6)), 3.0))
        own = float(rng.choice([0.0, 0.02, 0.05, 0.12]))
        return [
            PlainSkein(
                f"{of} {number}",
                float(total * part),
                own,
                rng.uniform(-0.5, 1.5, len(cloth.effect_cov)) * (rng.random() < 0.8),
            )
            for number, part in enumerate(parts)
        ]

    if rng.random() < 0.2:  # one yarn for both sides
        shared = skeins("both", metres + picked)
        cloth.warp.append((shared, cloth.ends))
        cloth.weft.append((shared, 1.0))
        return cloth
    parts = rng.dirichlet(np.full(wefts, 4.0)).tolist()
    for number in range(warps):
        cloth.warp.append((skeins(f"warp {number}", metres / warps), cloth.ends // warps))
    for number, part in enumerate(parts):
        cloth.weft.append((skeins(f"weft {number}", picked * part), part))
    return cloth


def _spreads(spreads: dict[str, tuple[float, float]]) -> Spreads:
    spread = {name: Spread(*pair, KINDS[name]) for name, pair in spreads.items()}
    hand = spread.pop("weft_take_up", None)
    length = spread.pop("relax_length", NO_RELAXATION)
    width = spread.pop("relax_width", NO_RELAXATION)
    return Spreads(**spread, weft_take_up=hand, relax_length=length, relax_width=width)


def as_case(cloth: PlainCloth) -> Case:
    """The written case; a fifth of every skein is claimed by others."""
    effects = tuple(f"effect {number}" for number in range(len(cloth.effect_cov)))

    def yarn(name: str, skeins: list[PlainSkein], part: float, ends: int | None) -> Yarn:
        made = tuple(
            Skein(
                s.name,
                s.free_m / 0.8,
                s.own_sd_ln,
                dict(zip(effects, s.loads.tolist(), strict=True)),
                free=0.8,
            )
            for s in skeins
        )
        return Yarn(name, made, part, ends)

    return Case(
        size=Size(**cloth.size),
        ends_per_cm=cloth.ends_per_cm,
        picks_per_cm=cloth.picks_per_cm,
        ends=cloth.ends,
        warp_cut_cm=cloth.warp_cut_cm,
        spreads=_spreads(cloth.spreads),
        warp=tuple(yarn(f"warp {n}", s, 1.0, e) for n, (s, e) in enumerate(cloth.warp)),
        weft=tuple(yarn(f"weft {n}", s, p, None) for n, (s, p) in enumerate(cloth.weft)),
        effects=effects,
        effect_cov=cloth.effect_cov,
    )
