"""The set-up of planned cloths, worked out a second time from the assumptions that are printed.

Nothing is taken from farspun's own formulas: a cloth's JSON says what was assumed, and the steps
from there (docs/amounts.md, docs/reach.md) are written down here once more.
"""

import math
import random
from dataclasses import dataclass, field
from pathlib import Path
from statistics import NormalDist
from typing import Any

import pytest

from cli.running import furnished

CLOTHS = 50
ROUNDING = 1e-6  # threads or cm
TWIST = 0.15  # of a fringe
SKEINS = ("Gorse 1", "Gorse 2", "Driftwood", "Fresh", "Cone")
WEAVES = ("plain", "2/2 twill", "basket 2x2", "5-end satin", "2/1 twill")
PURPOSES = ("drape", "everyday", "firm", "weft-faced", "warp-faced")
WASHES = ("gentle", "hot", "fulled", "machine", "none")


@dataclass
class Asked:
    """A cloth asked for: the words of the command, and the figures behind them."""

    line: list[str]
    width: float
    length: float
    pieces: int = 1
    give: float = 0.05
    hem: float = 0.0
    side_hem: float = 0.0
    fringe: float = 0.0
    gap: float = 0.0
    header: float = 0.0
    sample: float = 0.0
    floating: int = 0
    step: int = 1
    cut: bool = False
    promise: float = 0.95
    size_promise: float = 0.80
    yarns: int = 2
    said: dict[str, float] = field(default_factory=dict)


def ceiling(x: float) -> int:
    return math.ceil(x - ROUNDING)


def asked_at_random(number: int) -> Asked:
    """A cloth that fits the wider loom, with about half of all options."""
    rng = random.Random(number)
    width, length = rng.randint(60, 500) / 10, rng.randint(200, 2500) / 10
    asked = Asked(["--size", f"{width}cmx{length}cm"], width, length)

    def some(option: str, chance: float, low: int, high: int, unit: str = "") -> float | None:
        if rng.random() > chance:
            return None
        value = rng.randint(low, high)
        asked.line.extend([f"--{option}", f"{value}{unit}"])
        return float(value)

    asked.pieces = int(some("pieces", 0.4, 1, 4) or 1)
    for name in ("hem", "side-hem", "fringe", "gap", "header", "sample"):
        setattr(asked, name.replace("-", "_"), some(name, 0.4, 0, 6, "cm") or 0.0)
    asked.floating = int(some("floating-selvedges", 0.4, 0, 6) or 0)
    asked.step = int(some("repeat", 0.3, 1, 9) or 1)
    if rng.random() < 0.3:
        asked.line.append("--direct")
        asked.step = math.lcm(asked.step, 2)
    asked.promise = (some("promise", 0.4, 60, 99, "%") or 95.0) / 100
    asked.cut = rng.random() < 0.3
    asked.line.extend(["--cut"] if asked.cut else [])
    size_promise = some("size-promise", 0.3, 55, 99, "%")
    asked.give = (some("give", 0.3, 0, 8, "%") or (0.0 if asked.cut else 5.0)) / 100
    if "--give" in asked.line:
        asked.give = float(asked.line[asked.line.index("--give") + 1].rstrip("%")) / 100
    for name in ("draw-in", "take-up", "weft-take-up", "shrink-width", "shrink-length", "let-off"):
        some(name, 0.2, 0, 15, rng.choice(("%", "%±2%")))
    some("waste", 0.2, 20, 90, rng.choice(("cm", "cm±7cm")))
    sett = rng.choice(("2/cm", "3.7/cm", "5/cm", "62/10cm"))
    asked.line.extend(["--sett", sett, "--weave", rng.choice(WEAVES)])
    asked.line.extend(["--purpose", rng.choice(PURPOSES), "--wash", rng.choice(WASHES)])
    asked.line.extend(["--as-spun"] if rng.random() < 0.3 else [])
    asked.line.extend(["--loom", "Floor"])
    warp, weft = rng.sample(SKEINS, rng.randint(1, 2)), rng.sample(SKEINS, rng.randint(1, 2))
    in_order = rng.random() < 0.5
    asked.line.extend(part for one in warp for part in ("--warp", one + in_order * ":3"))
    share = f":{100 // len(weft)}%"
    in_bands = rng.random() < 0.5
    asked.line.extend(part for one in weft for part in ("--weft", one + in_bands * share))
    asked.yarns = (len(warp) if in_order else 1) + (len(weft) if in_bands else 1)
    asked.size_promise = 0.0 if size_promise is None else size_promise / 100
    return asked


class Assumed:
    """The printed assumptions as factors and sds of their logarithms."""

    def __init__(self, found: list[dict[str, Any]]) -> None:
        self.by_name = {one["name"]: (one["mean"], one["sd"]) for one in found}

    def left(self, name: str) -> float:
        return 1 - float(self.by_name.get(name, (0.0, 0.0))[0])

    def grown(self, name: str) -> float:
        return 1 + float(self.by_name[name][0])

    def log_sd(self, name: str) -> float:
        mean, sd = self.by_name.get(name, (0.0, 0.0))
        return float(sd / (1 - mean))

    @property
    def waste(self) -> tuple[float, float, float]:
        """Mean, median and variance of the logarithm, cm."""
        mean, sd = self.by_name["loom waste"]
        variance = math.log1p((sd / mean) ** 2)
        return mean, mean * math.exp(-variance / 2), variance


def settled(asked: Asked, assumed: Assumed, sett: float, level: float, give: float) -> list[int]:
    """Ends without floating selvedges, and whole cm of warp, each kept at `level`."""
    z = NormalDist().inv_cdf(level)
    across = ("draw-in", "shrinkage in width", "relaxation in width")
    along = ("shrinkage in length", "relaxation in length", "take-up")
    width = (asked.width + 2 * asked.side_hem) * (1 - give)
    sd = math.hypot(*(assumed.log_sd(name) for name in across))
    kept = math.prod(assumed.left(name) for name in across)
    ends = ceiling(width * sett / kept * math.exp(z * sd) / asked.step) * asked.step
    _, waste, waste_variance = assumed.waste
    up = assumed.left("take-up")
    cloth = asked.pieces * (asked.length + 2 * asked.hem) * (1 - give)
    parts = [
        (
            cloth / math.prod(assumed.left(name) for name in along),
            sum(assumed.log_sd(name) ** 2 for name in along),
        ),
        ((asked.sample + asked.header) / up, assumed.log_sd("take-up") ** 2),
        (waste, waste_variance),
    ]
    means = [median * math.exp(variance / 2) for median, variance in parts]
    square = sum(
        mean**2 * math.expm1(variance) for mean, (_, variance) in zip(means, parts, strict=True)
    )
    square += 2 * means[0] * means[1] * math.expm1(assumed.log_sd("take-up") ** 2)
    log_variance = math.log1p(square / sum(means) ** 2)
    median = sum(means) * math.exp(-log_variance / 2)
    doubtful = median * math.exp(z * math.sqrt(log_variance))
    if level == 0.5:
        doubtful = sum(median for median, _ in parts)
    return [ends, ceiling(doubtful + unwoven(asked, assumed))]


def unwoven(asked: Asked, assumed: Assumed) -> float:
    """Gaps and fringes, as cut, cm."""
    kept = (1 - TWIST) * assumed.left("shrinkage in length") * assumed.left("relaxation in length")
    return (asked.pieces - 1) * asked.gap + asked.pieces * 2 * asked.fringe / kept


def expected_setup(asked: Asked, assumed: Assumed, setup: dict[str, Any]) -> dict[str, Any]:
    """Every figure of the set-up that follows from the assumptions and the sett."""
    sett, picks_per_cm = setup["sett_ends_per_cm"], setup["picks_per_cm"]
    level = 1 - (1 - (asked.size_promise or 0.80)) / 2
    if asked.cut and not asked.size_promise:
        level = 1 - (1 - asked.promise) / (asked.yarns + 2)
    ends, cut_cm = settled(asked, assumed, sett, level, asked.give)
    washed_long = assumed.left("shrinkage in length") * assumed.left("relaxation in length")
    washed_wide = assumed.left("shrinkage in width") * assumed.left("relaxation in width")
    length = (asked.length + 2 * asked.hem) / washed_long
    width = (asked.width + 2 * asked.side_hem) / washed_wide
    woven = asked.pieces * length + asked.sample + asked.header
    warp = woven / assumed.left("take-up") + assumed.waste[0] + unwoven(asked, assumed)
    if "weft take-up" in assumed.by_name:
        over = assumed.grown("weft take-up")
    else:
        over = max(1.0, assumed.left("draw-in") * assumed.grown("weft crimp"))
        over *= assumed.grown("edges and joins")
    picks, threads = ceiling(woven * picks_per_cm), ends + asked.floating
    return {
        "reed_width_cm": ends / sett,
        "ends": threads,
        "off_loom_length_cm": length,
        "off_loom_width_cm": width,
        "woven_length_cm": woven,
        "tape_length_cm": woven / assumed.left("let-off"),
        "warp_length_cm": warp,
        "warp_cut_cm": cut_cm,
        "warp_yarn_m": threads * warp / 100,
        "warp_yarn_cut_m": threads * cut_cm / 100,
        "picks": picks,
        "pick_length_cm": ends / sett * over,
        "weft_yarn_m": picks * ends / sett * over / 100,
    }


@pytest.mark.parametrize("block", range(5))
def test_fifty_random_cloths_come_out_the_same_a_second_way(tmp_path: Path, block: int) -> None:
    desk = furnished(tmp_path)
    for number in range(block, CLOTHS, 5):
        asked = asked_at_random(number)
        found = desk.told(["cloth", "plan", f"Cloth {number}", *asked.line])
        setup, assumed = found["setup"], Assumed(found["assumptions"])
        expected = expected_setup(asked, assumed, setup)
        assert {key: setup[key] for key in expected} == pytest.approx(expected), asked.line
        check_allowance(asked, assumed, found)
        check_needs(setup, found)


def check_allowance(asked: Asked, assumed: Assumed, found: dict[str, Any]) -> None:
    """What is there for size is this set-up less the one at all middle values."""
    setup, allowance = found["setup"], found["allowance_for_size"]
    ends, cut_cm = settled(asked, assumed, setup["sett_ends_per_cm"], 0.5, 0.0)
    own_ends = setup["ends"] - asked.floating
    assert allowance["ends"] == max(0, own_ends - ends)
    assert allowance["length_cm"] == max(0, setup["warp_cut_cm"] - cut_cm)
    yarn_m = (own_ends * setup["warp_cut_cm"] - ends * cut_cm) / 100
    assert allowance["yarn_m"] == pytest.approx(max(0.0, yarn_m))


def check_needs(setup: dict[str, Any], found: dict[str, Any]) -> None:
    """The warp's middle need is its cut length; odds of a side are never above its yarns'."""
    warp_m = sum(need["need_m"]["p50"] for need in found["warp"])
    assert warp_m == pytest.approx(setup["warp_yarn_cut_m"], rel=1e-3)
    for side in ("warp", "weft"):
        assert found["odds"][side] <= min(need["odds"] for need in found[side]) + 1e-12
    odds = found["odds"]
    assert odds["yarn"] <= min(odds["warp"], odds["weft"])
    assert odds["all"] <= min(odds["yarn"], odds["size"])
