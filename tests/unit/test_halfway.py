"""The half-way check against cases worked out elsewhere, by hand, and by what must hold."""

import math

import numpy as np
import pytest
from scipy.special import ndtr

from farspun.craft.halfway import (
    Halfway,
    Rate,
    Weighing,
    drift_of_yarn,
    scale_error_g,
    stray_of_yarn,
)
from farspun.errors import ImpossibleValue

PLAN = Rate(g_per_cm=0.55, log_sd=0.07, stray=0.04, drift=0.03)


def one_ball(*seen: tuple[float, float], rate: Rate = PLAN, end_cm: float = 146.0) -> Halfway:
    """A ball on a scale of 1 g, weighed at each (cm woven, g)."""
    error = scale_error_g(1.0, seen[0][1])
    weighings = tuple(Weighing(cm, (g,), (True,), (error,)) for cm, g in seen)
    return Halfway(rate, weighings, end_cm, (1.0,), (0.0,))


def test_the_reference_case_comes_out() -> None:
    """Source: ../shared reference cases, "half-way", an independent calculation."""
    half = one_ball((0, 92), (58, 61))
    rate, rate_sd = half.rate_g_per_cm()
    left, left_sd = half.left_g()
    assert (round(rate, 4), round(rate_sd, 4)) == (0.5373, 0.0164)
    assert (round(left, 2), round(left_sd, 2)) == (13.68, 2.00)
    assert half.odds() > 0.999


def test_what_nobody_doubts_is_plain_arithmetic() -> None:
    """92 g, then 61 g at 58 of 146 cm: 0.534 g per cm, 47.0 g more, 14.0 g over. By hand."""
    sure = Rate(g_per_cm=0.55, log_sd=10.0, stray=1e-6, drift=1e-9)
    weighings = (Weighing(0, (92.0,), (True,), (1e-6,)), Weighing(58, (61.0,), (True,), (1e-6,)))
    half = Halfway(sure, weighings, 146.0, (1.0,), (0.0,))
    assert half.rate_g_per_cm()[0] == pytest.approx(31 / 58, abs=5e-4)
    assert half.left_g()[0] == pytest.approx(61 - 31 / 58 * 88, abs=0.01)
    assert half.reaches_cm(0.95, 300.0) == pytest.approx(58 + 61 * 58 / 31, abs=0.1)


def test_before_anything_is_weighed_it_is_the_plan_that_speaks() -> None:
    half = one_ball((0, 92))
    error = math.hypot(1 / math.sqrt(12), 0.003 * 92)
    end = 146.0
    own = (0.07 * 0.55 * end) ** 2 + (0.55 * 0.04) ** 2 * 25 * end + error**2
    left, sd = half.left_g()
    assert left == pytest.approx(92 - 0.55 * end)
    assert sd == pytest.approx(math.sqrt(own), rel=1e-6)
    assert half.odds() == pytest.approx(float(ndtr(left / sd)))


def test_two_skeins_of_one_grist_are_as_one_skein_of_both() -> None:
    one = one_ball((0, 92), (58, 61))
    error = scale_error_g(1.0, 92) / math.sqrt(2)
    both = Halfway(
        PLAN,
        (
            Weighing(0, (46.0, 46.0), (True, True), (error, error)),
            Weighing(58, (15.0, 46.0), (True, True), (error, error)),
        ),
        146.0, (1.0, 1.0), (0.0, 0.0),
    )  # fmt: skip
    assert both.left_g() == pytest.approx(one.left_g(), rel=1e-9)


def test_a_skein_not_weighed_again_keeps_its_own_error() -> None:
    """Its error is the same before and after, so it says nothing of the rate."""
    sure, doubtful = 1e-6, 5.0
    weighings = (
        Weighing(0, (46.0, 46.0), (True, True), (sure, doubtful)),
        Weighing(58, (15.0, 46.0), (True, False), (sure, doubtful)),
    )
    half = Halfway(PLAN, weighings, 146.0, (1.0, 1.0), (0.0, 0.0))
    alone = one_ball((0, 92), (58, 61))
    exact = Halfway(
        PLAN,
        (Weighing(0, (92.0,), (True,), (sure,)), Weighing(58, (61.0,), (True,), (sure,))),
        146.0, (1.0,), (0.0,),
    )  # fmt: skip
    assert half.rate_g_per_cm() == pytest.approx(exact.rate_g_per_cm(), rel=1e-6)
    assert half.left_g()[1] == pytest.approx(math.hypot(exact.left_g()[1], doubtful), rel=1e-6)
    assert half.left_g()[1] > alone.left_g()[1]


def test_a_second_skein_twice_as_thick_counts_half() -> None:
    error = 1e-6
    half = Halfway(
        PLAN, (Weighing(0, (40.0, 80.0), (True, True), (error, error)),), 146.0, (1.0, 2.0),
        (0.0, 0.0),
    )  # fmt: skip
    assert half.left_g()[0] == pytest.approx(40 + 80 / 2 - 0.55 * 146)


def test_what_is_left_of_two_skeins_is_told_as_a_scale_would() -> None:
    """40 g and 80 g twice as thick: as 80 g of the first. 60 g used of it: 40 + 20 × 2 g."""
    half = Halfway(
        PLAN, (Weighing(0, (40.0, 80.0), (True, True), (1e-6, 1e-6)),), 146.0, (1.0, 2.0),
        (0.0, 0.0),
    )  # fmt: skip
    assert half.on_scale_g(80) == pytest.approx(120)
    assert half.on_scale_g(50) == pytest.approx(90)
    assert half.on_scale_g(20) == pytest.approx(40)
    assert half.on_scale_g(-5) == pytest.approx(-10)
    assert one_ball((0, 92), (58, 61)).on_scale_g(13.68) == pytest.approx(13.68)


def test_it_never_lasts_longer_for_a_higher_promise() -> None:
    half = one_ball((0, 92), (58, 45))
    far = [half.reaches_cm(promise, 300.0) for promise in (0.5, 0.8, 0.9, 0.95, 0.99)]
    assert far == sorted(far, reverse=True)
    for promise, cm in zip((0.5, 0.8, 0.9, 0.95, 0.99), far, strict=True):
        assert half.odds(cm) == pytest.approx(promise, abs=1e-6)


def test_thinned_out_as_told_it_just_lasts() -> None:
    half = one_ball((0, 92), (58, 52))
    part = half.thin_enough(0.95)
    assert part is not None and 0 < part < 1
    assert half.odds(thin=part) == pytest.approx(0.95, abs=1e-6)
    assert half.odds(thin=part / 2) > 0.95 > half.odds()


def test_an_empty_ball_can_be_thinned_out_by_nothing() -> None:
    assert one_ball((0, 92), (58, 0)).thin_enough(0.95) is None


def test_more_weighings_leave_less_doubt() -> None:
    sds = [
        one_ball(*[(cm, 92 - 0.55 * cm) for cm in places]).left_g()[1]
        for places in ((0,), (0, 44), (0, 44, 88), (0, 44, 88, 132))
    ]
    assert sds == sorted(sds, reverse=True)


def test_ragged_weighings_widen_the_doubt_from_the_fourth_on() -> None:
    even = [(cm, 92 - 0.55 * cm) for cm in (0, 20, 40, 60, 80)]
    ragged = [(cm, g + off) for (cm, g), off in zip(even, (0, 3, -3, 3, 0), strict=True)]
    assert one_ball(*ragged).left_g()[1] > 1.3 * one_ball(*even).left_g()[1]
    few = [ragged[0], *ragged[2:]]  # three after the start: it is as stated
    assert one_ball(*few).left_g()[1] < one_ball(*ragged).left_g()[1]


def test_stray_and_drift_follow_from_the_yarn_s_unevenness() -> None:
    """By hand from design §10: √(0.02² + cv²·10/(10 + x)), √(0.02² + (0.3 cv)²)."""
    assert stray_of_yarn(40.0) == pytest.approx(math.sqrt(0.02**2 + 0.01 * 10 / 50))
    assert drift_of_yarn(0.2) == pytest.approx(math.sqrt(0.02**2 + 0.06**2))


def test_brute_force_draws_agree() -> None:
    """20,000 cloths drawn from the model; those that weigh as these do have left what is said."""
    rng = np.random.Generator(np.random.PCG64(11))
    many, end, at = 2_000_000, 146.0, 58.0
    rate = 0.55 * (1 + 0.07 * rng.standard_normal(many))
    drift = 0.55 * 0.03 * rng.standard_normal(many)
    stretch = 0.55 * 0.04 * math.sqrt(25)
    error = scale_error_g(1.0, 92)
    e0, e1 = error * rng.standard_normal((2, many))

    def drifted(a: float, b: float) -> float:
        return (b * b - a * a) / (2 * end) - (b - a) / 2

    went = rate * at + drift * drifted(0, at) + stretch * math.sqrt(at) * rng.standard_normal(many)
    later = rate * (end - at) + drift * drifted(at, end)
    later += stretch * math.sqrt(end - at) * rng.standard_normal(many)
    alike = np.abs(went + e0 - e1 - 31.0) < 0.25
    left = (61.0 - e1 - later)[alike]
    assert len(left) > 20_000
    told = one_ball((0, 92), (58, 61)).left_g()
    assert told[0] == pytest.approx(left.mean(), abs=0.05)
    assert told[1] == pytest.approx(left.std(), rel=0.02)


@pytest.mark.parametrize("g_per_cm", [0.0, -1.0, math.nan, math.inf])
def test_a_rate_that_cannot_be_is_refused(g_per_cm: float) -> None:
    with pytest.raises(ImpossibleValue):
        Rate(g_per_cm, 0.07, 0.04, 0.03)
