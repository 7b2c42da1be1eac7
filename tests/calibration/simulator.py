"""True skeins, and the readings a spinner would take of them: forward, from what is.

Written from docs/measuring.md alone, with numpy and nothing of farspun, so that the constants
below are a second typing of what the document says and a slip in either is seen. What is then
woven of the skeins is in calibration.loom. Lengths are m, masses g, linear density tex.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]
Rng = np.random.Generator


@dataclass(frozen=True)
class Fibre:
    """Density in g/cm³, whether it springs back, wrap packing (middle, log sd) by way of wrap."""

    density: float
    elastic: bool
    packing: Mapping[str, tuple[float, float]]


_WOOL = {"snug": (0.17, 0.25), "loose": (0.095, 0.25), "not said": (0.14, 0.30)}
_PLANT = dict.fromkeys(("snug", "loose", "not said"), (0.20, 0.35))
FIBRES = {
    "wool": Fibre(1.31, True, _WOOL),
    "superwash": Fibre(1.31, False, _WOOL),
    "cotton": Fibre(1.52, False, _PLANT),
    "linen": Fibre(1.515, False, _PLANT),
}
# part of a counted length that is gone once it is washed and slack: middle, sd
RELAXATION = {
    ("relaxed", True): (0.0, 0.0),
    ("unwashed", True): (0.15, 0.10),
    ("under-tension", True): (0.04, 0.03),
    ("not said", True): (0.10, 0.09),
    ("relaxed", False): (0.0, 0.0),
    ("unwashed", False): (0.04, 0.03),
    ("under-tension", False): (0.04, 0.03),
    ("not said", False): (0.10, 0.09),
}
STATES = (("relaxed", 0.4), ("unwashed", 0.25), ("under-tension", 0.15), ("not said", 0.2))
SHARED, OWN = math.sqrt(0.75), math.sqrt(0.25)  # roots of the parts of a variance
TOOL_SD, COUNT_SD, HUMIDITY_SD = 0.025, 0.015, 0.01
MEASURING_SD, WRAPS_SD, LABEL_SD, TAKING_SD = 0.014, 0.07, 0.03, 0.02
UNEVENNESS = 0.10
# which readings a skein has, and how often
SETS = (
    (("weighed", "counted"), 0.36),
    (("weighed", "counted", "counted"), 0.05),
    (("counted",), 0.04),
    (("weighed", "counted", "test length"), 0.18),
    (("weighed", "test length"), 0.10),
    (("weighed", "test length", "test length", "wrapped"), 0.06),
    (("weighed", "wrapped"), 0.06),
    (("weighed", "labelled"), 0.05),
    (("weighed", "counted", "wrapped"), 0.05),
    (("weighed", "counted", "test length", "wrapped", "wrapped"), 0.05),
)


@dataclass(frozen=True)
class Reading:
    """One measurement as she wrote it down; what does not apply is NaN or ""."""

    kind: str
    mass_g: float = math.nan
    step_g: float = math.nan
    length_m: float = math.nan
    wraps_per_cm: float = math.nan
    tex: float = math.nan
    state: str = "not said"
    tool: str = ""


@dataclass(frozen=True)
class Event:
    """Yarn taken (`length_m` or `mass_g` as she measured it), or what is left weighed."""

    kind: str
    mass_g: float = math.nan
    length_m: float = math.nan
    step_g: float = math.nan


@dataclass
class Skein:
    """What she says of it (fibre, lot, wrap, readings, events) and what it truly is."""

    name: str
    fibre: str
    lot: str
    wrap: str
    length_m: float
    tex: float
    packing: float
    readings: list[Reading] = field(default_factory=list)
    events: list[Event] = field(default_factory=list)
    left_m: float = 0.0
    as_spun: bool = False

    @property
    def wrap_style(self) -> str:
        return f"{self.fibre}/{self.wrap}"


@dataclass(frozen=True)
class Stash:
    """Skeins in the order made; `yarns` the positions of those spun alike, to be used as one."""

    skeins: list[Skein]
    yarns: list[list[int]]


class Causes:
    """Standard normal draws of what skeins share, made when first met."""

    def __init__(self, rng: Rng) -> None:
        self.rng = rng
        self.drawn: dict[str, float] = {}

    def __getitem__(self, name: str) -> float:
        if name not in self.drawn:
            self.drawn[name] = float(self.rng.standard_normal())
        return self.drawn[name]


def simulated_stash(
    rng: Rng, yarns: int, worse: float = 1.0, slips: float = 0.0, as_spun: bool = False
) -> Stash:
    """`yarns` yarns of one to four skeins. `worse`: readings err this many times what is stated;
    `slips`: the share of skeins with one reading that is plainly wrong.
    """
    causes = Causes(rng)
    skeins: list[Skein] = []
    groups: list[list[int]] = []
    for number in range(yarns):
        fibre = str(rng.choice(["wool", "wool", "wool", "superwash", "cotton", "linen"]))
        draw = str(rng.choice(["woollen", "worsted"]))
        wrap = str(rng.choice(["snug", "loose", "not said"]))
        state = str(rng.choice([name for name, _ in STATES], p=[share for _, share in STATES]))
        tex = 250 * math.exp(0.5 * rng.standard_normal())
        groups.append(list(range(len(skeins), len(skeins) + int(rng.integers(1, 5)))))
        for _ in groups[-1]:
            skein = Skein(
                name=f"yarn {number} skein {len(skeins)}",
                fibre=fibre,
                lot=f"{fibre}/{draw}",
                wrap=wrap,
                length_m=200 * math.exp(0.5 * rng.standard_normal()),
                tex=tex * math.exp(0.08 * rng.standard_normal()),
                packing=_true_packing(causes, fibre, wrap, worse),
                as_spun=as_spun,
            )
            said = "unwashed" if as_spun else state
            skein.readings = _readings(rng, causes, skein, said, worse)
            if rng.random() < slips:
                _slip(rng, skein)
            skein.left_m = skein.length_m
            if rng.random() < 0.25:
                _use(rng, skein, worse)
            skeins.append(skein)
    return Stash(skeins, groups)


def one_lot(rng: Rng, skeins: int, tex: float = 300) -> Stash:
    """Wool of one lot, counted with one tool before washing, and weighed."""
    causes, made = Causes(rng), []
    for number in range(skeins):
        length_m = 150 * math.exp(0.1 * rng.standard_normal())
        grist = tex * math.exp(0.1 * rng.standard_normal())
        one = Skein(f"skein {number}", "wool", "wool", "snug", length_m, grist, 0.17)
        one.readings = [
            _weighed(rng, one, 1.0),
            _counted(rng, causes, one, "unwashed", "niddy-noddy", 1.0),
        ]
        one.left_m = length_m
        made.append(one)
    return Stash(made, [list(range(skeins))])


def _true_packing(causes: Causes, fibre: str, wrap: str, worse: float) -> float:
    middle, log_sd = FIBRES[fibre].packing[wrap]
    style, own = causes[f"wraps {fibre}/{wrap}"], causes.rng.standard_normal()
    return middle * math.exp(worse * log_sd * (SHARED * style + OWN * own))


def _readings(rng: Rng, causes: Causes, skein: Skein, state: str, worse: float) -> list[Reading]:
    """What she reads of it; a state or a tool once said holds for the skein."""
    kinds = SETS[int(rng.choice(len(SETS), p=[share for _, share in SETS]))][0]
    tool = str(rng.choice(["", "old niddy-noddy", "new niddy-noddy"]))
    read = {
        "weighed": lambda: _weighed(rng, skein, worse),
        "counted": lambda: _counted(rng, causes, skein, state, tool, worse),
        "test length": lambda: _test_length(rng, skein, worse),
        "wrapped": lambda: _wrapped(rng, skein, worse),
        "labelled": lambda: Reading(
            "labelled", tex=skein.tex * math.exp(worse * LABEL_SD * rng.standard_normal())
        ),
    }
    return [read[kind]() for kind in kinds]


def _on_the_scale(mass_g: float, step_g: float) -> float:
    return round(round(mass_g / step_g) * step_g, 9)


def _weighed(rng: Rng, skein: Skein, worse: float) -> Reading:
    mass_g = skein.length_m * skein.tex / 1000
    mass_g *= math.exp(worse * HUMIDITY_SD * rng.standard_normal())
    step_g = float(rng.choice([0.1, 1.0]))
    return Reading("weighed", mass_g=max(step_g, _on_the_scale(mass_g, step_g)), step_g=step_g)


def _counted(
    rng: Rng, causes: Causes, skein: Skein, state: str, tool: str, worse: float
) -> Reading:
    middle, sd = RELAXATION[state, FIBRES[skein.fibre].elastic]
    if skein.as_spun:
        middle, sd = 0.0, 0.0
    lot = causes[f"relaxation {skein.lot} {state}"]
    relaxed = SHARED * lot + OWN * causes[f"relaxation {skein.name} {state}"]
    log = -math.log(1 - middle) + worse * sd / (1 - middle) * relaxed
    log += worse * (TOOL_SD * causes[f"tool {tool}"] + COUNT_SD * rng.standard_normal())
    return Reading("counted", length_m=skein.length_m * math.exp(log), state=state, tool=tool)


def _test_length(rng: Rng, skein: Skein, worse: float) -> Reading:
    """A piece long enough for three steps of a 0.1 g scale."""
    length_m = max(float(rng.choice([5.0, 10.0, 20.0])), math.ceil(500 / skein.tex))
    uneven = UNEVENNESS * math.sqrt(10 / (10 + length_m)) * rng.standard_normal()
    error = worse * (uneven + MEASURING_SD * rng.standard_normal())
    mass_g = _on_the_scale(length_m * skein.tex / 1000 * math.exp(error), 0.1)
    return Reading("test length", mass_g=mass_g, step_g=0.1, length_m=length_m)


def _wrapped(rng: Rng, skein: Skein, worse: float) -> Reading:
    """Wraps of a cylinder whose fibre takes up the part `packing` of its round."""
    fibre_mm2 = skein.tex / (1000 * FIBRES[skein.fibre].density)
    diameter_mm = math.sqrt(4 / math.pi * fibre_mm2 / skein.packing)
    error = worse * WRAPS_SD * rng.standard_normal()
    return Reading("wrapped", wraps_per_cm=10 / diameter_mm * math.exp(error))


def _use(rng: Rng, skein: Skein, worse: float) -> None:
    """One or two takes, of a size she thinks right, and often what is left is weighed."""
    thought_m = _thought_length(skein)
    for _ in range(int(rng.integers(1, 3))):
        wanted_m = thought_m * rng.uniform(0.1, 0.5)
        thought_m -= wanted_m
        _take(rng, skein, wanted_m, worse)
    if rng.random() < 0.6:
        gone = 1 - skein.left_m / skein.length_m
        uneven = UNEVENNESS * gone * math.sqrt(10 / (10 + skein.left_m))
        log = worse * (uneven * rng.standard_normal() + HUMIDITY_SD * rng.standard_normal())
        mass_g = _on_the_scale(skein.left_m * skein.tex / 1000 * math.exp(log), 1.0)
        skein.events.append(Event("weigh", mass_g=max(1.0, mass_g), step_g=1.0))


def _thought_length(skein: Skein) -> float:
    """What she thinks it is from one reading: how much she takes depends on that, not on truth."""
    by_kind = {reading.kind: reading for reading in skein.readings}
    if "counted" in by_kind:
        state = "relaxed" if skein.as_spun else by_kind["counted"].state
        return by_kind["counted"].length_m * (1 - RELAXATION[state, skein.fibre == "wool"][0])
    if "test length" in by_kind:
        tex = 1000 * by_kind["test length"].mass_g / by_kind["test length"].length_m
    elif "labelled" in by_kind:
        tex = by_kind["labelled"].tex
    else:
        fibre, wraps_per_mm = FIBRES[skein.fibre], by_kind["wrapped"].wraps_per_cm / 10
        tex = 250 * math.pi * fibre.density * fibre.packing[skein.wrap][0] / wraps_per_mm**2
    return 1000 * by_kind["weighed"].mass_g / tex


def _take(rng: Rng, skein: Skein, wanted_m: float, worse: float) -> None:
    """She measures off a length or weighs what she takes, each ± 2 %; never all that is there."""
    gone_m = wanted_m * (1 + worse * TAKING_SD * rng.standard_normal())
    if gone_m > 0.95 * skein.left_m:
        return
    if rng.random() < 0.6:
        skein.events.append(Event("take", length_m=wanted_m))
    else:
        mass_g = wanted_m * skein.tex / 1000
        skein.events.append(Event("take", mass_g=max(0.1, _on_the_scale(mass_g, 0.1))))
    skein.left_m -= gone_m


# plain slips, and what each does to ln of the reading: (kind, shift, sd, weight)
SLIPS = (
    ("counted", 0.19, 0.12, 4.0),
    ("counted", math.log(2), 0.03, 1.0),
    ("counted", -math.log(2), 0.03, 1.0),
    ("counted", -math.log(0.9144), 0.02, 1.0),
    ("counted", math.log(0.9144), 0.02, 1.0),
    ("counted", 0.0, 0.25, 1.0),
    ("test length", 0.0, 0.25, 1.0),
    ("wrapped", 0.0, 0.4, 2.0),
    ("weighed", 0.0, 0.25, 0.5),
    *(
        (kind, way * math.log(10), 0.05, 0.3)
        for kind in ("counted", "test length", "wrapped", "weighed", "labelled")
        for way in (1, -1)
    ),
)


def _slip(rng: Rng, skein: Skein) -> None:
    """One reading goes wrong in one of the ways that readings do."""
    kinds = [reading.kind for reading in skein.readings]
    possible = [slip for slip in SLIPS if slip[0] in kinds]
    weights = np.array([slip[3] for slip in possible])
    kind, shift, sd, _ = possible[int(rng.choice(len(possible), p=weights / weights.sum()))]
    at = int(rng.choice([place for place, one in enumerate(kinds) if one == kind]))
    off, was = math.exp(shift + sd * rng.standard_normal()), skein.readings[at]
    skein.readings[at] = Reading(
        kind,
        mass_g=was.mass_g * off,
        step_g=was.step_g,
        length_m=was.length_m * (off if kind == "counted" else 1.0),
        wraps_per_cm=was.wraps_per_cm * off,
        tex=was.tex * off,
        state=was.state,
        tool=was.tool,
    )
