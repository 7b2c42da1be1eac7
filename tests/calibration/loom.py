"""True cloths: how take-up, washing, beat and waste really fall out, and whether the yarn reaches.

Written from docs/amounts.md and docs/reach.md alone, with numpy and nothing of farspun, as
calibration.simulator is. She winds the warp, then weaves until the length is there, the warp ends
or the weft ends. Lengths of cloth are cm, of yarn m; losses are fractions of the larger thing.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]
Rng = np.random.Generator

TAKE_UP = {
    "plain": (0.09, 0.03),
    "twill or basket": (0.06, 0.025),
    "weft-faced": (0.05, 0.03),
    "warp-faced": (0.18, 0.06),
}
WASTE_CM = {"rigid-heddle": (50.0, 8.0), "table": (65.0, 15.0), "floor": (75.0, 12.0)}
# (length, width), by fibre and wash
SHRINKAGE = {
    ("wool", "gentle"): ((0.10, 0.05), (0.10, 0.05)),
    ("wool", "hot"): ((0.12, 0.05), (0.12, 0.05)),
    ("wool", "fulled"): ((0.17, 0.06), (0.25, 0.10)),
    "superwash": ((0.05, 0.03), (0.05, 0.03)),
    "cotton": ((0.09, 0.04), (0.10, 0.05)),
    "linen": ((0.04, 0.025), (0.04, 0.025)),
}
UNRELAXED = {"wool": (0.15, 0.10)}  # what yarn woven unwashed still loses; others as below
UNRELAXED_FIRM = (0.04, 0.03)
ROUNDING = 1e-6  # threads: what rounding up forgives


@dataclass(frozen=True)
class Cloth:
    """What is wanted, washed, and how it is made; `fringe_cm` as cut on the loom."""

    width_cm: float
    length_cm: float
    ends_per_cm: float
    picks_per_cm: float
    pieces: int = 1
    give: float = 0.05
    hem_cm: float = 0.0
    side_hem_cm: float = 0.0
    fringe_cm: float = 0.0
    gap_cm: float = 0.0
    sample_cm: float = 0.0
    header_cm: float = 0.0
    floating_selvedges: int = 0
    fringe_from_waste: bool = False
    weave: str = "plain"
    wash: str = "gentle"
    loom: str = "rigid-heddle"
    counted_beat: bool = False
    warp_fibre: str = "wool"
    weft_fibre: str = "wool"
    as_spun: bool = False


@dataclass(frozen=True)
class Side:
    """One yarn of a side: its skeins in the order used, its ends (warp) or part (weft)."""

    skeins: Sequence[str]
    ends: int = 0
    part: float = 1.0


@dataclass(frozen=True)
class Woven:
    """What happened, one element a cloth.

    `warp`, `weft`: every yarn of that side covered what is asked; `ran_out`: the weft was the
    first thing to end; `size`: the washed cloth is large enough as far as the warp allows.
    """

    warp: Bools
    weft: Bools
    ran_out: Bools
    size: Bools

    @property
    def yarn(self) -> Bools:
        return self.warp & self.weft


def shrinkage(fibre: str, wash: str) -> tuple[tuple[float, float], tuple[float, float]]:
    """Length and width, middle and sd, of one fibre; only wool felts."""
    return SHRINKAGE[(fibre, wash) if fibre == "wool" else fibre]


def practice(cloth: Cloth) -> dict[str, tuple[str, float, float]]:
    """Kind, middle and sd of every doubtful factor where there are no records."""
    take_up, take_up_sd = TAKE_UP[cloth.weave]
    length, length_sd = shrinkage(cloth.warp_fibre, cloth.wash)[0]
    width, width_sd = shrinkage(cloth.weft_fibre, cloth.wash)[1]
    rested_cm = (cloth.width_cm + 2 * cloth.side_hem_cm) / (1 - width)
    reed_cm = (rested_cm + 0.8) / 0.955
    found = {
        "take_up": ("loss", take_up, take_up_sd),
        "weft_take_up": ("loss", take_up, take_up_sd),
        "draw_in": ("loss", 1 - rested_cm / reed_cm, 0.025),
        "shrink_length": ("loss", length, length_sd),
        "shrink_width": ("loss", width, width_sd),
        "beat": ("ratio", 1.0, 0.04 if cloth.counted_beat else 0.08),
        "waste_cm": ("length", *WASTE_CM[cloth.loom]),
        "joins": ("addition", 0.03, 0.02),
        "cutting": ("ratio", 1.0, 0.01),
    }
    if cloth.as_spun:
        warp = UNRELAXED.get(cloth.warp_fibre, UNRELAXED_FIRM)
        weft = UNRELAXED.get(cloth.weft_fibre, UNRELAXED_FIRM)
        found |= {"relax_length": ("loss", *warp), "relax_width": ("loss", *weft)}
    return found


def drawn(
    rng: Rng, cloths: int, spreads: Mapping[str, tuple[str, float, float]]
) -> dict[str, Floats]:
    """`cloths` true values of each factor: what it multiplies by, loom waste in cm."""
    factors = {name: np.ones(cloths) for name in ("relax_length", "relax_width")}
    for name, (kind, middle, sd) in spreads.items():
        z = rng.standard_normal(cloths)
        if kind == "length":
            log_variance = math.log(1 + (sd / middle) ** 2)
            factors[name] = middle * np.exp(math.sqrt(log_variance) * z - log_variance / 2)
            continue
        base = {"loss": 1 - middle, "addition": 1 + middle, "ratio": middle}[kind]
        factors[name] = base * np.exp(sd / base * z)
    return factors


def weave(
    cloth: Cloth,
    ends: int,
    warp_cut_cm: float,
    warp: Sequence[Side],
    weft: Sequence[Side],
    had_m: Mapping[str, float],
    factors: Mapping[str, Floats],
) -> Woven:
    """Wind, weave and wash one cloth for every draw of `factors` from the same skeins."""
    n = len(factors["beat"])
    left = {name: np.full(n, metres) for name, metres in had_m.items()}
    wound = np.ones(n, dtype=bool)
    for number, side in enumerate(warp):
        threads = side.ends + (cloth.floating_selvedges if number == 0 else 0)
        missing = threads * warp_cut_cm / 100 * factors["cutting"]
        for name in side.skeins:
            used = np.minimum(left[name], missing)
            left[name], missing = left[name] - used, missing - used
        wound &= missing <= 0

    asked_cm = cloth.pieces * (cloth.length_cm + 2 * cloth.hem_cm) * (1 - cloth.give)
    rested_cm = asked_cm / (factors["shrink_length"] * factors["relax_length"])
    wanted_cm = rested_cm + cloth.sample_cm + cloth.header_cm
    wanted_picks = np.ceil(wanted_cm * cloth.picks_per_cm * factors["beat"] - ROUNDING)
    reed_cm = ends / cloth.ends_per_cm
    wavy = factors["draw_in"] / factors["weft_take_up"]
    pick_m = reed_cm / 100 * np.maximum(1.0, wavy) * factors["joins"]
    found_m = [np.sum([left[name] for name in side.skeins], axis=0) for side in weft]
    picks = [found / (pick_m * side.part) for found, side in zip(found_m, weft, strict=True)]
    possible_picks = np.min(picks, axis=0)

    saved_cm = factors["waste_cm"] if cloth.fringe_from_waste else np.zeros(n)
    outer_cm = np.maximum(0.0, 2 * cloth.fringe_cm - saved_cm)
    inner_cm = (cloth.pieces - 1) * (cloth.gap_cm + 2 * cloth.fringe_cm)
    room_cm = (warp_cut_cm - factors["waste_cm"] - inner_cm - outer_cm) * factors["take_up"]
    weft_ends_cm = possible_picks / (cloth.picks_per_cm * factors["beat"])
    washed_width_cm = (
        reed_cm * factors["draw_in"] * factors["shrink_width"] * factors["relax_width"]
    )
    asked_width_cm = (cloth.width_cm + 2 * cloth.side_hem_cm) * (1 - cloth.give)
    reached = possible_picks >= wanted_picks
    return Woven(
        warp=wound,
        weft=reached,
        ran_out=~reached & (weft_ends_cm < room_cm),
        size=(washed_width_cm >= asked_width_cm) & (room_cm >= wanted_cm),
    )
