"""What is left of a skein, from takes by length or mass and weighings, against plain sampling."""

import math

import numpy as np
import pytest
from numpy.typing import NDArray

from calibration import exact
from calibration.simulator import Event, Reading, Skein, Stash
from calibration.told import estimated, left_of
from farspun.craft.remaining import Remaining, Take, Weigh, remaining

Floats = NDArray[np.float64]
LENGTH_M, TEX = 280.0, 357.1
MEAN: Floats = np.log([LENGTH_M, TEX, 0.14])
COV: Floats = np.diag([0.03**2, 0.0317**2, 0.09])
COV[0, 1] = COV[1, 0] = -(0.03**2)  # weighed well: a longer skein would be a finer one
NO_LOAD, NO_EFFECTS = np.zeros((3, 0)), np.zeros((0, 0))
WEIGHED = Reading("weighed", mass_g=100.0, step_g=1.0)
COUNTED = Reading("counted", length_m=280.0, state="relaxed", tool="niddy-noddy")
TESTED = Reading("test length", mass_g=3.6, step_g=0.1, length_m=10.0)
WRAPPED = Reading("wrapped", wraps_per_cm=5.65)
BY_LENGTH = Event("take", length_m=150.0)
BY_MASS = Event("take", mass_g=55.0)
LEFT = Event("weigh", mass_g=45.0, step_g=1.0)


def _left(events: list[Take | Weigh], **more: float) -> Remaining:
    return remaining(MEAN, COV, NO_LOAD, NO_EFFECTS, events, **more)


def _grams(length_m: float) -> float:
    return length_m * TEX / 1000


def test_an_untouched_skein_is_as_it_was() -> None:
    left = _left([])
    assert left.length_m == pytest.approx(LENGTH_M)
    assert left.own_sd_ln == pytest.approx(0.03)
    assert not left.forgotten_take


def test_what_was_said_to_be_taken_by_length_is_taken_off() -> None:
    left = _left([Take(_grams(200), 200.0)])
    assert left.length_m == pytest.approx(80)
    assert left.length_m * left.own_sd_ln == pytest.approx(math.hypot(8.4, 4.0))


def test_two_takes_are_each_a_little_unsure() -> None:
    left = _left([Take(_grams(100), 100.0), Take(_grams(100), 100.0)])
    assert left.length_m * left.own_sd_ln == pytest.approx(math.sqrt(8.4**2 + 2 * 2.0**2))


def test_half_the_grams_taken_leaves_half_the_metres() -> None:
    left = _left([Take(50.0)], balance_g=100.0)
    assert left.length_m == pytest.approx(LENGTH_M / 2, rel=0.005)
    assert left.own_sd_ln == pytest.approx(math.hypot(0.03, 0.02), rel=0.1)


def test_a_skein_wholly_taken_is_empty_and_there_is_no_doubt() -> None:
    left = _left([Take(100.0, LENGTH_M)], balance_g=100.0)
    assert (left.length_m, left.own_sd_ln) == (0.0, 0.0)


def test_more_metres_gone_than_were_thought_leaves_what_it_weighs() -> None:
    left = _left([Take(80.0, 290.0), Weigh(7.0, 1.0)], balance_g=100.0)
    assert 10 < left.length_m < 30
    assert left.own_sd_ln > 0


def test_a_forgotten_take_is_noticed_and_the_scale_believed() -> None:
    left = _left([Take(_grams(100), 100.0), Weigh(30.0, 1.0)])
    assert left.forgotten_take
    assert left.length_m == pytest.approx(1000 * 30 / TEX, rel=0.02)


def test_a_weighing_as_expected_asks_nothing_and_makes_surer() -> None:
    taken: list[Take | Weigh] = [Take(_grams(100), 100.0)]
    before = _left(taken)
    after = _left([*taken, Weigh(_grams(180), 1.0)])
    assert not after.forgotten_take
    assert after.own_sd_ln < before.own_sd_ln


def test_a_forgotten_take_is_noticed_even_where_only_the_mass_is_well_known() -> None:
    """Of 100 g, 30 g taken and 40 g left: 30 g are gone, whatever its length may be."""
    skein = Skein("Gorse 1", "wool", "lot", "snug", LENGTH_M, TEX, 0.17, [WEIGHED, WRAPPED])
    skein.events = [Event("take", mass_g=30.0), Event("weigh", mass_g=40.0, step_g=1.0)]
    found = estimated(Stash([skein], [[0]]))
    assert found.cov[0, 0, 0] > 0.2**2
    assert left_of(found, 0, skein).forgotten_take


def test_what_skeins_share_is_still_shared_by_what_is_left() -> None:
    """A tool that reads 2.5 % long is so for every metre counted with it."""
    load = np.array([[1.0], [-1.0], [0.0]])
    cov = COV + load @ load.T * 0.025**2
    left = remaining(MEAN, cov, load, np.array([[0.025**2]]), [Take(_grams(140), 140.0)])
    assert left.load == pytest.approx([2.0])


@pytest.mark.parametrize(
    ("readings", "events"),
    [
        ([WEIGHED, COUNTED], [BY_LENGTH]),
        ([WEIGHED, COUNTED], [BY_MASS]),
        ([WEIGHED, COUNTED], [BY_LENGTH, LEFT]),
        ([WEIGHED, COUNTED], [BY_MASS, LEFT]),
        ([WEIGHED, TESTED], [BY_LENGTH]),
        ([WEIGHED, TESTED], [BY_LENGTH, LEFT]),
        ([WEIGHED, TESTED], [BY_MASS, LEFT]),
        ([WEIGHED, WRAPPED], [BY_MASS, LEFT]),
        ([WEIGHED, COUNTED, TESTED, WRAPPED], [BY_LENGTH, LEFT]),
        ([COUNTED], [BY_MASS, LEFT]),
    ],
    ids=lambda these: " + ".join(one.kind for one in these),
)
def test_middle_and_spread_are_those_of_the_exact_posterior(
    readings: list[Reading], events: list[Event]
) -> None:
    skein = Skein("Gorse 1", "wool", "lot", "snug", LENGTH_M, TEX, 0.17, readings, events)
    stash = Stash([skein], [[0]])
    found = estimated(stash)
    left = left_of(found, 0, skein)
    used = found.effect[0][found.effect[0] >= 0]
    shared = left.load @ found.effect_cov[np.ix_(used, used)] @ left.load
    sd = math.sqrt(left.own_sd_ln**2 + shared)
    # where grist is not known at all, few draws come near what is weighed
    draws = 2_000_000 if readings == [COUNTED] else 100_000
    metres, weights = exact.left_samples(stash, [0], np.random.Generator(np.random.PCG64(9)), draws)
    low, middle, high = (exact.quantile(metres, weights, p) for p in (0.05, 0.5, 0.95))
    width = left.length_m * (math.exp(1.6449 * sd) - math.exp(-1.6449 * sd))
    assert left.length_m == pytest.approx(middle, rel=0.02)
    assert 0.93 < width / (high - low) < 1.1
