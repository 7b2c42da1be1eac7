"""Readings of a skein as rows of a linear model in ln L, ln T and ln φ.

Unknown per skein: relaxed length L (m; washed, dry, no tension: what weaves), linear density
T (tex) and wrap packing φ (the share of a wrapped yarn's round that is fibre). In logarithms
every reading is a linear function of the three with Gaussian error, so a whole stash is one
table of rows. Everything here is in columns: one array per field, one element per reading.
"""

import math
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

KINDS = ("weighed", "counted", "test length", "wrapped", "labelled")
WEIGHED, COUNTED, TEST_LENGTH, WRAPPED, LABELLED = range(5)
STATES = ("relaxed", "unwashed", "under-tension", "not said")
RELAXED, UNWASHED, UNDER_TENSION, NOT_SAID = range(4)
NO_EFFECT = -1

# name: value            unit      source
HUMIDITY_SD = 0.01  # of mass   common practice: wool regain swings between 10 and 16 %
COUNT_OWN_SD = 0.015  # of length judgement: turns, crowding on the arms
TOOL_BIAS_SD = 0.025  # of length judgement: once-round of one niddy-noddy, shared by its skeins
TEST_LENGTH_SD = 0.014  # of mass   judgement: measuring and cutting 10 m
UNEVENNESS_M = 10.0  # m         judgement: a stretch over which a spinner's grist wanders
SPINNER_CV = 0.10  # of grist  common practice, no source: handspun, until she is known
WRAPS_SD = 0.07  # of wraps  judgement: one person, one reading
LABEL_SD = 0.03  # of grist  judgement: a mill's tolerance
OWN_QUARTER = 0.25  # share of a variance that is the skein's own; the rest is shared
STEP_SD = 1 / math.sqrt(12)  # of one scale step, exact: uniform rounding

# How much longer a counted skein was than it is washed and slack: (part of the longer, ± sd).
# Published single cases lost 17, 28 and 33 %: wide on purpose. Common practice, no source.
RELAXATION_ELASTIC = {
    RELAXED: (0.0, 0.0),
    UNWASHED: (0.15, 0.10),
    UNDER_TENSION: (0.04, 0.03),
    NOT_SAID: (0.10, 0.09),
}
RELAXATION_FIRM = RELAXATION_ELASTIC | {UNWASHED: (0.04, 0.03)}  # superwash, silk, plant


@dataclass(frozen=True, slots=True)
class SkeinColumns:
    """What the model must know of n skeins: one array of length n per field.

    `elastic`: wool that springs back (not superwash); `density` in g/cm³; `fill`, `fill_log_sd`:
    median and log sd of wrap packing for its fibre and way of wrapping; `lot` and `wrap_style`:
    names of what it shares with others; `unevenness`: the spinner's cv of grist; `as_spun`: woven
    unwashed, so a count made unwashed is its length as it is.
    """

    elastic: NDArray[np.bool_]
    density: Floats
    fill: Floats
    fill_log_sd: Floats
    lot: NDArray[np.str_]
    wrap_style: NDArray[np.str_]
    unevenness: Floats
    as_spun: NDArray[np.bool_]

    def __len__(self) -> int:
        return len(self.density)


@dataclass(frozen=True, slots=True)
class ReadingColumns:
    """r readings: one array of length r per field; a number that does not apply is NaN.

    `skein` is the position in SkeinColumns, `kind` and `state` positions in KINDS and STATES;
    `mass_g` with `step_g` (one unit of the last digit written) for weighed and test length,
    `length_m` for counted and test length, `wraps_per_cm`, `tex` (labelled); `tool` names the
    niddy-noddy of a count ("" when not said: then it is taken to be the one unnamed tool).
    """

    skein: Ints
    kind: Ints
    mass_g: Floats
    step_g: Floats
    length_m: Floats
    wraps_per_cm: Floats
    tex: Floats
    state: Ints
    tool: NDArray[np.str_]

    def __len__(self) -> int:
        return len(self.skein)


@dataclass(frozen=True, slots=True)
class Rows:
    """y = h·(ln L, ln T, ln φ) + its shared effects + noise of sd; the last n rows are the φ prior.

    `h` (rows, 3); `effect` (rows, 2) positions in `effects`, NO_EFFECT where there is none;
    `effect_sd` the prior sd of each shared effect.
    """

    skein: Ints
    h: Floats
    y: Floats
    sd: Floats
    effect: Ints
    effects: tuple[str, ...]
    effect_sd: Floats


def relaxation(elastic: Any, state: Any, as_spun: Any = False) -> tuple[Floats, Floats]:
    """Middle and sd of the part a counted length loses until it is washed and slack.

    Source: common practice, no source.

    >>> [float(x) for x in relaxation(True, UNWASHED)]
    [0.15, 0.1]
    """
    table = np.array(
        [[RELAXATION_FIRM[s] for s in range(4)], [RELAXATION_ELASTIC[s] for s in range(4)]]
    )
    middle_sd = table[np.asarray(elastic, dtype=int), np.asarray(state)]
    kept_as_is = np.asarray(as_spun) & (np.asarray(state) == UNWASHED)
    middle_sd = np.where(kept_as_is[..., None], 0.0, middle_sd)
    return middle_sd[..., 0], middle_sd[..., 1]


def test_length_sd(length_m: Any, mass_g: Any, step_g: Any, unevenness: Any) -> Floats:
    """sd of ln T from a weighed length: unevenness, scale step, measuring.

    >>> round(float(test_length_sd(10.0, 3.9, 0.1, 0.10)), 4)
    0.0725
    """
    even = unevenness**2 * UNEVENNESS_M / (UNEVENNESS_M + length_m)
    return np.asarray(np.sqrt(even + (step_g * STEP_SD / mass_g) ** 2 + TEST_LENGTH_SD**2))


def weighed_sd(mass_g: Any, step_g: Any) -> Floats:
    """sd of ln m on the scale: its step and the day's humidity.

    >>> round(float(weighed_sd(100.0, 1.0)), 4)
    0.0104
    """
    return np.asarray(np.sqrt((step_g * STEP_SD / mass_g) ** 2 + HUMIDITY_SD**2))


def wrap_offset(density: Any) -> Floats:
    """The constant in ln(wraps/cm) = offset - ½ ln T + ½ ln φ, from d = √(4T/(1000πρφ)) mm."""
    return np.asarray(math.log(10) + 0.5 * np.log(1000 * math.pi * density / 4))


def rows_of(skeins: SkeinColumns, readings: ReadingColumns) -> Rows:
    """All readings, and one row for each skein's packing prior, with the effects they share.

    A count carries its tool's bias and, where it was not relaxed, its lot's relaxation; the
    packing prior of a wrapped skein carries its wrap style's. Source: docs/measuring.md.
    """
    n, r = len(skeins), len(readings)
    h, y, sd = (np.zeros((r + n, 3)), np.empty(r + n), np.empty(r + n))
    effect = np.full((r + n, 2), NO_EFFECT, dtype=np.int64)
    names: list[str] = []
    name_sd: list[Floats] = []

    def share(rows: Ints, column: int, kind: str, keys: NDArray[np.str_], spread: Floats) -> None:
        """Let each of `rows` carry the effect named by its key."""
        unique, first, code = np.unique(keys, return_index=True, return_inverse=True)
        effect[rows, column] = code + len(names)
        names.extend(f"{kind}:{key}" for key in unique)
        name_sd.append(spread[first])

    of = [np.flatnonzero(readings.kind == kind) for kind in range(len(KINDS))]
    at = of[WEIGHED]
    h[at, :2] = 1
    y[at] = np.log(readings.mass_g[at]) + math.log(1000)
    sd[at] = weighed_sd(readings.mass_g[at], readings.step_g[at])

    at = of[COUNTED]
    owner, state = readings.skein[at], readings.state[at]
    lost, lost_sd = relaxation(skeins.elastic[owner], state, skeins.as_spun[owner])
    log_sd = lost_sd / (1 - lost)
    h[at, 0] = 1
    y[at] = np.log(readings.length_m[at]) + np.log1p(-lost)
    sd[at] = np.sqrt(COUNT_OWN_SD**2 + OWN_QUARTER * log_sd**2)
    share(at, 0, "tool", readings.tool[at], np.full(len(at), TOOL_BIAS_SD))
    slack = log_sd > 0
    lots = np.char.add(np.char.add(skeins.lot[owner][slack], "/"), np.array(STATES)[state[slack]])
    share(at[slack], 1, "lot", lots, math.sqrt(1 - OWN_QUARTER) * log_sd[slack])

    at = of[TEST_LENGTH]
    mass, length = readings.mass_g[at], readings.length_m[at]
    h[at, 1] = 1
    y[at] = np.log(1000 * mass / length)
    sd[at] = test_length_sd(
        length, mass, readings.step_g[at], skeins.unevenness[readings.skein[at]]
    )

    at = of[WRAPPED]
    h[at, 1], h[at, 2] = -0.5, 0.5
    y[at] = np.log(readings.wraps_per_cm[at]) - wrap_offset(skeins.density[readings.skein[at]])
    sd[at] = WRAPS_SD

    at = of[LABELLED]
    h[at, 1] = 1
    y[at] = np.log(readings.tex[at])
    sd[at] = LABEL_SD

    fill = np.arange(r, r + n)
    h[fill, 2] = 1
    y[fill] = np.log(skeins.fill)
    sd[fill] = math.sqrt(OWN_QUARTER) * skeins.fill_log_sd
    wrapped = np.unique(readings.skein[of[WRAPPED]])
    share(
        fill[wrapped],
        0,
        "wraps",
        skeins.wrap_style[wrapped],
        math.sqrt(1 - OWN_QUARTER) * skeins.fill_log_sd[wrapped],
    )
    # a skein never wrapped has nobody to share its doubt with: it keeps the whole of it
    alone = np.setdiff1d(np.arange(n), wrapped)
    sd[fill[alone]] = skeins.fill_log_sd[alone]
    return Rows(
        skein=np.concatenate([readings.skein, np.arange(n)]),
        h=h,
        y=y,
        sd=sd,
        effect=effect,
        effects=tuple(names),
        effect_sd=np.concatenate(name_sd),
    )
