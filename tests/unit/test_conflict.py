"""Readings that disagree: found, and the likeliest explanation put as a question."""

import math
from collections.abc import Iterable

import numpy as np
import pytest

from calibration.simulator import Reading, Skein, Stash
from calibration.told import estimated
from farspun.craft.conflict import EXPLANATIONS
from farspun.craft.evidence import Estimates

LENGTH_M, TEX = 250.0, 360.0
WRAPS_PER_CM = 5.63  # of 360 tex wool at the middle of its packing, snug
WEIGHED = Reading("weighed", mass_g=90.0, step_g=1.0)
TESTED = Reading("test length", mass_g=3.6, step_g=0.1, length_m=10.0)
LONG_TEST = Reading("test length", mass_g=36.0, step_g=0.1, length_m=100.0)


def _counted(length_m: float, state: str = "relaxed") -> Reading:
    return Reading("counted", length_m=length_m, state=state, tool="niddy-noddy")


def _found(readings: Iterable[Reading]) -> Estimates:
    skein = Skein(
        "Gorse 1", "wool", "wool/woollen", "snug", LENGTH_M, TEX, 0.17, readings=list(readings)
    )
    return estimated(Stash([skein], [[0]]))


def test_a_skein_counted_before_washing_and_said_relaxed_is_asked_about() -> None:
    found = _found([WEIGHED, _counted(LENGTH_M / 0.8), LONG_TEST])
    conflict = found.conflicts[0]
    assert "before washing" in conflict.ask
    assert conflict.suspect == 1
    assert conflict.chance > 0.5
    assert math.exp(found.mean[0, 0]) < 0.9 * LENGTH_M / 0.8


def test_readings_that_agree_are_not_asked_about() -> None:
    found = _found([WEIGHED, _counted(LENGTH_M), TESTED])
    assert not found.conflicts
    assert found.p[0] > 0.5


def test_two_readings_have_nothing_to_disagree_about() -> None:
    found = _found([WEIGHED, _counted(3 * LENGTH_M)])
    assert found.dof[0] == 0
    assert not found.conflicts


@pytest.mark.parametrize(
    ("said", "question"),
    [
        ([WEIGHED, _counted(2 * LENGTH_M), LONG_TEST], "turns taken for strands"),
        ([WEIGHED, _counted(LENGTH_M / 2), LONG_TEST], "strands taken for turns"),
        ([WEIGHED, _counted(10 * LENGTH_M), LONG_TEST], "ten times too much"),
        (
            [Reading("weighed", mass_g=9.0, step_g=1.0), _counted(LENGTH_M), LONG_TEST],
            "ten times too little",
        ),
    ],
)
def test_a_plain_slip_is_named(said: list[Reading], question: str) -> None:
    assert question in _found(said).conflicts[0].ask


def test_of_two_counts_the_one_that_is_off_is_named() -> None:
    found = _found([_counted(2 * LENGTH_M), WEIGHED, _counted(LENGTH_M), LONG_TEST])
    assert found.conflicts[0].suspect == 0


def test_until_it_is_settled_length_is_less_sure_and_between_the_explanations() -> None:
    doubtful = _found([WEIGHED, _counted(LENGTH_M / 0.8), LONG_TEST])
    calm = _found([WEIGHED, _counted(LENGTH_M), LONG_TEST])
    assert doubtful.cov[0, 0, 0] > calm.cov[0, 0, 0]
    assert math.log(0.95 * LENGTH_M) < doubtful.mean[0, 0] < math.log(LENGTH_M / 0.8)


def _mixture(readings: list[Reading]) -> tuple[float, float]:
    """Mean and sd of ln L by summing over all explanations one at a time, one reading a kind.

    A second way to the same answer: each explanation's reading is shifted and widened and the
    whole skein is conditioned densely again.
    """
    shift_sd_weight: list[tuple[int, float, float, float]] = [(-1, 0.0, 0.0, 0.95)]
    kinds = ["weighed", "counted", "test length", "wrapped", "labelled"]
    present = [one.kind for one in readings]
    usable = [one for one in EXPLANATIONS if kinds[one.kind] in present]
    whole = sum(one.weight for one in usable)
    shift_sd_weight += [
        (present.index(kinds[one.kind]), one.shift, one.sd, 0.05 * one.weight / whole)
        for one in usable
    ]
    A = {"weighed": [1, 1], "counted": [1, 0], "test length": [0, 1]}
    rows = np.array([A[kind] for kind in present], dtype=float)
    prior = np.diag([9.0, 1.5**2])
    middle = np.log([200.0, 250.0])
    sds = {
        "weighed": math.hypot(0.01, 1 / (math.sqrt(12) * 90)),
        "counted": math.hypot(0.015, 0.025),
        "test length": math.sqrt(0.01 / 11 + 0.014**2 + (0.1 / (math.sqrt(12) * 36)) ** 2),
    }
    y = np.array([_log(one) for one in readings])
    means, variances, weights = [], [], []
    for at, shift, sd, weight in shift_sd_weight:
        noise = np.diag([sds[kind] ** 2 for kind in present])
        said = y.copy()
        if at >= 0:
            noise[at, at] += sd**2
            said[at] -= shift
        total = rows @ prior @ rows.T + noise
        off = said - rows @ middle
        gain = prior @ rows.T @ np.linalg.inv(total)
        means.append(float((middle + gain @ off)[0]))
        variances.append(float((prior - gain @ rows @ prior)[0, 0]))
        fit = float(-0.5 * off @ np.linalg.solve(total, off))
        weights.append(weight * math.exp(fit) / math.sqrt(np.linalg.det(total)))
    part = np.array(weights) / sum(weights)
    mean = float(part @ means)
    return mean, math.sqrt(float(part @ (np.array(variances) + (np.array(means) - mean) ** 2)))


def _log(reading: Reading) -> float:
    if reading.kind == "weighed":
        return math.log(1000 * reading.mass_g)
    if reading.kind == "counted":
        return math.log(reading.length_m)
    return math.log(1000 * reading.mass_g / reading.length_m)


@pytest.mark.parametrize("counted_m", [LENGTH_M / 0.8, LENGTH_M * 2, LENGTH_M * 0.75])
def test_the_mixture_is_that_of_conditioning_once_for_each_explanation(counted_m: float) -> None:
    said = [WEIGHED, _counted(counted_m), LONG_TEST]
    found = _found(said)
    mean, sd = _mixture(said)
    assert 0 in found.conflicts
    assert found.mean[0, 0] == pytest.approx(mean, abs=1e-6)
    assert math.sqrt(found.cov[0, 0, 0]) == pytest.approx(sd, rel=1e-6)


def test_a_doubtful_skein_does_not_teach_the_others_about_the_tool() -> None:
    def skein(name: str, *readings: Reading) -> Skein:
        return Skein(name, "wool", f"lot of {name}", "snug", LENGTH_M, TEX, 0.17, list(readings))

    wrong = skein("wrong", WEIGHED, _counted(2 * LENGTH_M), LONG_TEST)
    other = skein("other", _counted(300.0))
    both = estimated(Stash([other, wrong], [[0], [1]]))
    alone = estimated(Stash([other], [[0]]))
    assert list(both.conflicts) == [1]
    assert both.mean[0] == pytest.approx(alone.mean[0], abs=1e-9)
    assert both.cov[0] == pytest.approx(alone.cov[0], abs=1e-9)
