"""Weavers whose true ways are known, and whether the yarn they are told to have reaches.

Every weaver weaves twelve like cloths of one wool on one loom, each of a warp skein and a weft
skein counted washed. Before the first, third, sixth and twelfth she is told, by habit and by the
records of those before, how much yarn makes the odds of the cloth 95 in 100, both yarns alike
sure. Then that cloth is woven many times with her true ways, and the share of times that both
reached is written down. Ends and the warp's length are fixed.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from farspun.craft import habits
from farspun.craft.case import Case, Size, Spreads
from farspun.craft.draws import named_draws
from farspun.craft.fibres import blend
from farspun.craft.learned import observed_at, spreads_off
from farspun.craft.learning import Lessons, Question
from farspun.craft.reach import Drawn
from farspun.craft.records import Record, record_columns
from farspun.craft.spread import Spread

Floats = NDArray[np.float64]
CLOTHS = 12
ASKED = (1, 3, 6, 12)  # before which cloths she is told
LEVEL = 0.95
OUTCOMES = 400  # times each of those cloths is woven
WITHIN = 0.25  # of the variance comes anew with each cloth
OFF = 1.5  # spreads
HARD = ("beat", "shrink_length", "shrink_width", "waste_cm")  # in which the odd weavers are off
TYPO = 10.0  # times too long
SKEIN_SD = 0.032  # of ln, a skein counted washed

SIZE = Size(width_cm=40.0, length_cm=160.0, give=0.0)
ENDS_PER_CM = PICKS_PER_CM = 4.0
ENDS, WARP_CUT_CM = 200, 260.0
WOOL = blend("wool")
DRAW_IN, CRIMP = habits.draw_in_habit(44.4), habits.weft_crimp_habit("plain")
HABITS: Mapping[str, Spread] = {
    "take_up": habits.take_up_habit("plain"),
    "draw_in": DRAW_IN,
    "weft_crimp": CRIMP,
    "joins": habits.joins_habit(),
    "shrink_length": habits.shrink_length_habit(WOOL, False, "gentle"),
    "shrink_width": habits.shrink_width_habit(WOOL, False, "gentle"),
    "beat": habits.beat_habit(counted=False),
    "waste_cm": habits.waste_habit("rigid-heddle", "knots"),
}
PICK = habits.weft_take_up_habit(DRAW_IN, CRIMP)
SEEN = ("take_up", "draw_in", "shrink_length", "shrink_width", "beat", "waste_cm")


@dataclass(frozen=True)
class Weaver:
    """`way` (factors,): the middle of each in spreads of its habit; `within_sd` about it."""

    way: Mapping[str, float]
    within_sd: float

    def woven(self, rng: np.random.Generator, times: int) -> dict[str, Floats]:
        """Factors (times,) of so many cloths: losses, additions, a ratio, cm."""
        return {
            name: observed_at(
                self.way[name] + self.within_sd * rng.standard_normal(times), HABITS[name]
            )
            for name in HABITS
        }


def weaver(rng: np.random.Generator, scale: float = 1.0, off: float = 0.0) -> Weaver:
    """From the stated spreads, of variance `scale`; `off` spreads in what hurts.

    More shrinkage is less that is left, so it is off to the other side.
    """
    between_sd = np.sqrt(scale * (1 - WITHIN))
    way = {name: float(between_sd * rng.standard_normal()) for name in HABITS}
    if off:
        for name in HARD:
            way[name] = -off if HABITS[name].kind == "loss" else off
    return Weaver(way, float(np.sqrt(scale * WITHIN)))


def weft_m(factors: Mapping[str, Floats]) -> Floats:
    """Metres of weft that cloths with these factors take."""
    kept = 1 - factors["shrink_length"]
    picks = np.ceil(SIZE.full_length_cm / kept * PICKS_PER_CM * factors["beat"] - 1e-6)
    return picks * ENDS / ENDS_PER_CM / 100 * (1 + pick_over_reed(factors))


def pick_over_reed(factors: Mapping[str, Floats]) -> Floats:
    """A pick's yarn over the reed width, as an addition."""
    bent = (1 - factors["draw_in"]) * (1 + factors["weft_crimp"])
    return np.maximum(1.0, bent) * (1 + factors["joins"]) - 1


def records_of(factors: Mapping[str, Floats], typo: bool) -> list[list[Record]]:
    """What each cloth leaves behind; `typo`: the second was written ten times too long, washed."""
    seen = {name: np.array(factors[name]) for name in SEEN}
    if typo:
        seen["shrink_length"][1] = 1 - TYPO * (1 - seen["shrink_length"][1])
    found = {name: spreads_off(seen[name], HABITS[name]) for name in SEEN}
    found["weft_take_up"] = spreads_off(pick_over_reed(factors), PICK)
    return [
        [Record(name, "wool", f"cloth {at}", float(y[at])) for name, y in found.items()]
        for at in range(CLOTHS)
    ]


def told_spreads(records: list[Record]) -> Spreads:
    """Habit, and what the records say."""
    lessons = Lessons(record_columns(records))
    asked = [Question(name, "wool", "next", HABITS[name]) for name in SEEN]
    learned = dict(zip(SEEN, lessons.spreads(asked), strict=True))
    pick = None
    if records:
        pick = lessons.spreads([Question("weft_take_up", "wool", "next", PICK)])[0]
    others = {name: HABITS[name] for name in ("weft_crimp", "joins")}
    return Spreads(**learned, **others, weft_take_up=pick, cutting=habits.cutting_habit())


@dataclass(frozen=True)
class Told:
    """Of one cloth: how often yarn told to reach in 95 of 100 reached, both yarns and the weft
    alone set for it; how wide the need of weft was told, 5 to 95 in 100, of its middle.
    """

    kept: float
    weft_alone: float
    width: float


@dataclass(frozen=True)
class Truth:
    """What the cloth truly takes, (OUTCOMES,), of weft and of warp, and how both skeins err."""

    weft_m: Floats
    cutting: Floats
    weft_z: Floats
    warp_z: Floats


def told(records: list[Record], true: Truth) -> Told:
    """What she is told before a cloth, against how it comes out."""
    case = Case(SIZE, ENDS_PER_CM, PICKS_PER_CM, ENDS, WARP_CUT_CM, told_spreads(records), (), ())
    drawn = Drawn(case)
    low, middle, high = np.quantile(drawn.weft_m, (1 - LEVEL, 0.5, LEVEL))
    asked = {
        "weft": drawn.weft_m / np.exp(SKEIN_SD * named_draws("skein", "weft")),
        "warp": drawn.factor("cutting") / np.exp(SKEIN_SD * named_draws("skein", "warp")),
    }
    each = LEVEL**0.5  # of two that hang on nothing in common
    warp_had = np.quantile(asked["warp"], each) * np.exp(SKEIN_SD * true.warp_z)
    weft_had, alone_had = (
        np.quantile(asked["weft"], level) * np.exp(SKEIN_SD * true.weft_z)
        for level in (each, LEVEL)
    )
    both = (true.weft_m <= weft_had) & (true.cutting <= warp_had)
    return Told(
        float(both.mean()), float((true.weft_m <= alone_had).mean()), float((high - low) / middle)
    )


def life(
    rng: np.random.Generator, scale: float = 1.0, off: float = 0.0, typo: bool = False
) -> dict[int, Told]:
    """One weaver's twelve cloths: what was told before each of `ASKED`."""
    one = weaver(rng, scale, off)
    records = records_of(one.woven(rng, CLOTHS), typo)
    cutting = habits.cutting_habit().spread_out(rng.standard_normal(OUTCOMES))
    errors = rng.standard_normal((2, OUTCOMES))
    true = Truth(weft_m(one.woven(rng, OUTCOMES)), cutting, *errors)
    return {
        cloth: told([record for each in records[: cloth - 1] for record in each], true)
        for cloth in ASKED
    }


def lives(
    seed: int, weavers: int, scale: float = 1.0, off: float = 0.0, typo: bool = False
) -> Iterator[dict[int, Told]]:
    """So many weavers; the same seed gives the same weavers, with a typo or without."""
    for number in range(weavers):
        rng = np.random.Generator(np.random.PCG64([20, seed, number]))
        yield life(rng, scale, off, typo)


@dataclass(frozen=True)
class Row:
    """Of one kind of weaver, before each cloth: shares kept, standard error, told width."""

    kept: Mapping[int, float]
    error: Mapping[int, float]
    weft_alone: Mapping[int, float]
    width: Mapping[int, float]


def row(seed: int, weavers: int, scale: float = 1.0, off: float = 0.0, typo: bool = False) -> Row:
    """The means over weavers."""
    found = list(lives(seed, weavers, scale, off, typo))

    def mean(name: str) -> dict[int, float]:
        return {at: float(np.mean([getattr(one[at], name) for one in found])) for at in ASKED}

    error = {at: float(np.std([one[at].kept for one in found]) / weavers**0.5) for at in ASKED}
    return Row(mean("kept"), error, mean("weft_alone"), mean("width"))


KINDS: Mapping[str, Mapping[str, float | bool]] = {
    "as the habits say": {},
    "1.5 spreads off in beat, shrinkage and waste": {"off": OFF},
    "spreads twice as wide": {"scale": 4.0},
    "as the habits say, the second cloth written ten times too long": {"typo": True},
}
