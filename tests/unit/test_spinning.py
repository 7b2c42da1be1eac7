"""What to spin: fibre, singles, twist, and what the niddy-noddy must show."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from farspun.craft.spinning import (
    prepared_fibre_g,
    singles_tex,
    target,
    twist_angle_deg,
    twist_per_cm,
    unwashed_length_m,
)
from farspun.craft.spread import Spread
from farspun.craft.yarn import plied_tex
from farspun.errors import FarspunError, ImpossibleValue, UnreadableValue
from farspun.units import angle, plies

WOOL = Spread(0.15, 0.10, "loss")
ANGLES = st.floats(1, 60)
DIAMETERS = st.floats(0.05, 20)


@given(ANGLES, DIAMETERS)
def test_angle_and_turns_are_two_views_of_one_twist(degrees: float, diameter_mm: float) -> None:
    turns = twist_per_cm(degrees, diameter_mm)
    assert twist_angle_deg(turns, diameter_mm) == pytest.approx(degrees)
    assert math.tan(math.radians(degrees)) == pytest.approx(math.pi * diameter_mm / 10 * turns)


def test_a_finer_yarn_takes_more_turns_to_lie_at_the_same_angle() -> None:
    turns = twist_per_cm(25.0, np.array([2.0, 1.0, 0.5]))
    assert turns == pytest.approx(turns[0] * np.array([1, 2, 4]))
    assert turns[1] == pytest.approx(twist_per_cm(25.0, 1.0))


@pytest.mark.parametrize("degrees", [0.0, -5.0, 90.0, math.nan, math.inf])
def test_an_angle_that_no_twist_has_is_refused(degrees: float) -> None:
    with pytest.raises(ImpossibleValue):
        twist_per_cm(degrees, 1.0)


@given(st.lists(st.floats(0.1, 10), min_size=1, max_size=6), st.floats(20, 3000), st.floats(0, 0.5))
def test_the_singles_plied_again_make_the_yarn(
    parts: list[float], tex: float, added: float
) -> None:
    singles = singles_tex(tex, parts, added)
    assert plied_tex(singles, added) == pytest.approx(tex)
    assert [one / singles[0] for one in singles] == pytest.approx([p / parts[0] for p in parts])


@pytest.mark.parametrize("parts", [(), (0.0,), (1.0, -1.0), (1.0, math.nan)])
def test_a_yarn_of_no_singles_or_of_an_empty_one_is_refused(parts: tuple[float, ...]) -> None:
    with pytest.raises(ImpossibleValue):
        singles_tex(400.0, parts, 0.05)


def test_a_loss_in_preparation_is_a_part_of_the_fibre() -> None:
    assert prepared_fibre_g(60.0, 0.40) == pytest.approx(100.0)
    assert prepared_fibre_g(60.0, 0.0) == 60.0
    with pytest.raises(ImpossibleValue):
        prepared_fibre_g(60.0, 1.0)


def test_before_washing_more_must_be_seen_and_more_still_to_be_sure() -> None:
    middle, sure = unwashed_length_m(100.0, WOOL), unwashed_length_m(100.0, WOOL, 0.95)
    assert middle == pytest.approx(100 / 0.85)
    z, sd = 1.6448536, 0.10 / 0.85
    assert sure == pytest.approx(100 / 0.85 * math.exp(z * sd), rel=1e-6)
    assert unwashed_length_m(100.0, WOOL, 0.5) == pytest.approx(middle)


def test_the_promise_of_a_length_before_washing_is_kept() -> None:
    rng = np.random.Generator(np.random.PCG64(7))
    kept = np.exp(math.log(0.85) + 0.10 / 0.85 * rng.standard_normal(200_000))
    washed = unwashed_length_m(100.0, WOOL, 0.9) * kept
    assert np.mean(washed >= 100.0) == pytest.approx(0.9, abs=0.003)


def test_a_target_adds_up() -> None:
    yarn = target(200, 400, 5, (1, 2), 25, WOOL, 0.95, plying_take_up=0.1, preparation_loss=0.2)
    assert yarn.mass_g == pytest.approx(80)
    assert yarn.sure_g == pytest.approx(yarn.unwashed_sure_m * 0.85 * 400 / 1000)
    assert yarn.fibre_g == pytest.approx(yarn.sure_g / 0.8)
    assert sum(one.mass_g for one in yarn.singles) == pytest.approx(yarn.sure_g)
    wheel_m = 1.1 * yarn.unwashed_sure_m
    assert [one.length_m for one in yarn.singles] == pytest.approx([wheel_m, wheel_m])
    assert yarn.singles[1].tex == pytest.approx(2 * yarn.singles[0].tex)
    assert yarn.card_g == pytest.approx(4.0)
    assert yarn.card_unwashed_g == pytest.approx(3.4)
    assert (yarn.direction, {one.direction for one in yarn.singles}) == ("S", {"Z"})


def test_wraps_and_turns_of_a_single_go_with_the_root_of_its_grist() -> None:
    yarn = target(100, 400, 5, (1, 1), 30, WOOL, 0.95, plying_take_up=0.0)
    (single, _) = yarn.singles
    assert single.wraps_per_cm == pytest.approx(5 * math.sqrt(2))
    assert single.twist_per_cm == pytest.approx(yarn.twist_per_cm * math.sqrt(2))


def test_a_yarn_that_is_not_plied_has_no_singles_and_no_take_up() -> None:
    yarn = target(100, 400, 5, (1,), 20, WOOL, 0.95, plying_take_up=0.1)
    assert (yarn.singles, yarn.plying_take_up, yarn.direction) == ((), 0.0, "Z")


def test_the_direction_of_a_skein_is_kept_and_its_singles_go_the_other_way() -> None:
    yarn = target(100, 400, 5, (1, 1, 1), 20, WOOL, 0.95, direction="Z")
    assert yarn.direction == "Z"
    assert [one.direction for one in yarn.singles] == ["S"] * 3


@pytest.mark.parametrize("said", ["25", "25deg", "25°", "25 degrees", " 25.0 DEG "])
def test_an_angle_is_read_in_every_spelling(said: str) -> None:
    assert angle(said).value == 25.0


@pytest.mark.parametrize("said", ["0", "90", "90deg", "-3", "61°", "1e9", "", "steep", "1/0"])
def test_an_angle_that_cannot_be_is_refused(said: str) -> None:
    with pytest.raises(FarspunError) as refused:
        angle(said)
    assert refused.value.exit_code == 3


def test_plies_are_alike_or_in_parts() -> None:
    assert plies("3") == (1.0, 1.0, 1.0)
    assert plies("1:2:1") == (1.0, 2.0, 1.0)
    assert plies(" 1 : 1.5 ") == (1.0, 1.5)


@pytest.mark.parametrize(
    ("said", "kind"),
    [("0", ImpossibleValue), ("-2", ImpossibleValue), ("13", ImpossibleValue),
     ("2.5", ImpossibleValue), ("1:0", ImpossibleValue), ("1:1000", ImpossibleValue),
     ("two", UnreadableValue), ("1:", UnreadableValue), ("", UnreadableValue)],
)  # fmt: skip
def test_plies_that_cannot_be_are_refused(said: str, kind: type[FarspunError]) -> None:
    with pytest.raises(kind):
        plies(said)
