"""Cases worked by a separate program that shares no code with this one."""

import math
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray

from farspun.craft import readings
from farspun.craft.evidence import Estimates, estimates_from_rows
from farspun.craft.readings import COUNTED, NO_EFFECT, RELAXED, TEST_LENGTH, WEIGHED
from farspun.craft.remaining import Take, Weigh, remaining
from farspun.craft.settle import settling
from published.published import Row, sections

FOLDER = Path(__file__).resolve().parents[2] / "fixtures" / "reference"
CASES = sections("cases", FOLDER)
QUANTILE = 0.005  # of the value: the source's tolerance
SPREAD = 0.02  # of the sd: the source's tolerance
FILL, FILL_LOG_SD = 0.14, 0.30


def _columns(numbers: dict[int, dict[str, float]]) -> readings.ReadingColumns:
    """One skein; kind of reading: its numbers."""

    def column(name: str) -> NDArray[np.float64]:
        return np.array([given.get(name, math.nan) for given in numbers.values()])

    return readings.ReadingColumns(
        skein=np.zeros(len(numbers), dtype=np.int64),
        kind=np.array(list(numbers)),
        mass_g=column("mass_g"),
        step_g=column("step_g"),
        length_m=column("length_m"),
        wraps_per_cm=column("wraps_per_cm"),
        tex=column("tex"),
        state=np.full(len(numbers), RELAXED),
        tool=np.full(len(numbers), ""),
    )


def _estimates(row: Row) -> Estimates:
    """One skein with a count of the stated sd and nothing shared."""
    mass_g, step_g, counted_m = (row.number(c) for c in ("mass g", "step g", "counted m"))
    numbers = {
        WEIGHED: {"mass_g": mass_g, "step_g": step_g},
        COUNTED: {"length_m": counted_m},
    }
    h = [[1, 1, 0], [1, 0, 0]]
    y = [math.log(1000 * mass_g), math.log(counted_m)]
    sd = [float(readings.weighed_sd(mass_g, step_g)), row.number("counted sd ln")]
    if row.text("test length m"):
        length_m, mass_g = row.number("test length m"), row.number("test length g")
        step_g, cv = row.number("test step g"), row.number("cv")
        numbers[TEST_LENGTH] = {"length_m": length_m, "mass_g": mass_g, "step_g": step_g}
        h.append([0, 1, 0])
        y.append(math.log(1000 * mass_g / length_m))
        sd.append(float(readings.test_length_sd(length_m, mass_g, step_g, cv)))
    rows = readings.Rows(
        skein=np.zeros(len(h) + 1, dtype=np.int64),
        h=np.array([*h, [0, 0, 1]], dtype=float),
        y=np.array([*y, math.log(FILL)]),
        sd=np.array([*sd, FILL_LOG_SD]),
        effect=np.full((len(h) + 1, 2), NO_EFFECT),
        effects=(),
        effect_sd=np.zeros(0),
    )
    return estimates_from_rows(rows, _columns(numbers), 1)


@pytest.mark.parametrize("row", CASES["evidence"], ids=lambda row: row.id)
def test_length_and_grist_of_one_skein_are_as_worked_elsewhere(row: Row) -> None:
    found = _estimates(row)
    median = np.exp(found.mean[0])
    sd = np.sqrt(np.diagonal(found.cov[0]))
    assert median[0] == pytest.approx(row.number("length m"), rel=QUANTILE)
    assert median[1] == pytest.approx(row.number("tex"), rel=QUANTILE)
    assert sd[0] == pytest.approx(row.number("length sd ln"), rel=SPREAD)
    assert sd[1] == pytest.approx(row.number("tex sd ln"), rel=SPREAD)
    assert found.dof[0] == row.number("dof")


def test_two_readings_and_a_third_pull_as_worked_elsewhere() -> None:
    (row,) = (row for row in CASES["evidence"] if row.text("pulls"))
    found = _estimates(row)
    row.check("chi squared", found.chi2[0])
    assert found.pull == pytest.approx(row.numbers("pulls"), abs=0.01)


def test_two_readings_alone_have_nothing_to_disagree_with() -> None:
    (row,) = (row for row in CASES["evidence"] if row.number("dof") == 0)
    found = _estimates(row)
    assert found.p[0] == 1
    assert found.pull == pytest.approx([0, 0], abs=1e-6)
    assert not found.conflicts


@pytest.mark.parametrize("row", CASES["partial use"], ids=lambda row: row.id)
def test_what_is_left_of_a_skein_is_as_worked_elsewhere(row: Row) -> None:
    found = _estimates(CASES["evidence"][0])
    cov = found.cov[0].copy()
    if row.id == "by mass alone":  # nothing is known of the length but what it is thought to be
        cov[0] = cov[:, 0] = 0
        cov[0, 0] = 9.0
    taken_m = row.number("taken m")
    events: list[Take | Weigh] = [Take(taken_m * math.exp(found.mean[0, 1]) / 1000, taken_m)]
    if row.text("left g"):
        events.append(Weigh(row.number("left g"), 1.0))
    left = remaining(found.mean[0], cov, np.zeros((3, 0)), np.zeros((0, 0)), events)
    assert left.length_m == pytest.approx(row.number("length m"), rel=QUANTILE)
    assert left.length_m * left.own_sd_ln == pytest.approx(row.number("sd m"), rel=SPREAD)
    assert not left.forgotten_take


@pytest.mark.parametrize("row", CASES["settle"], ids=lambda row: row.id)
def test_what_a_reading_would_settle_is_as_worked_elsewhere(row: Row) -> None:
    asked = (row.number(c) for c in ("mean ln", "sd ln", "sd ln after", "promise"))
    answer = settling("re-count", "Gorse 1", *asked)
    got = (answer.odds_now, answer.odds_after, answer.clear_yes, answer.clear_no)
    printed = [row.number(c) for c in ("odds", "odds after", "clear yes", "clear no")]
    assert got == pytest.approx(printed, abs=0.0005)  # the sds it was asked with are rounded
