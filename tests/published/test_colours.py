"""Colours against fixtures/published/colours.txt and against coloraide, a library of its own."""

import numpy as np
import pytest
from coloraide import Color
from hypothesis import given
from hypothesis import strategies as st

from farspun.craft.colour_difference import delta_e_2000
from farspun.craft.colour_space import (
    lab_from_srgb,
    light_from_srgb,
    light_from_xyz,
    showable,
    srgb_from_lab,
    srgb_from_light,
    xyz_from_lab,
    xyz_from_light,
)
from farspun.errors import ImpossibleValue
from published.published import Row, published

PAIRS = 1000
DRAWN = np.random.default_rng(np.random.PCG64(20050101))
CHANNEL = st.floats(0.0, 1.0)
COLOURS = st.tuples(CHANNEL, CHANNEL, CHANNEL)


def close(row: Row, got: float) -> None:
    """To half of the last printed digit, where the table has four."""
    assert abs(got - row.number("difference")) <= 0.5e-4 + 1e-9, (row.id, got)


@published("colours", "ciede2000")
def test_differences_are_as_printed_to_four_decimals(row: Row) -> None:
    first, second = row.numbers("first"), row.numbers("second")
    close(row, delta_e_2000(first, second))
    close(row, delta_e_2000(second, first))
    other = Color("lab-d65", first).delta_e(Color("lab-d65", second), method="2000")
    close(row, other)  # the typed figures, by another hand


def test_a_thousand_pairs_are_as_far_apart_as_coloraide_has_them() -> None:
    srgb = DRAWN.random((2, PAIRS, 3))
    lab = lab_from_srgb(srgb)
    for colours, own in zip(srgb, lab, strict=True):
        theirs = [Color("srgb", one.tolist()).convert("lab-d65").coords() for one in colours]
        assert own == pytest.approx(np.array(theirs), abs=1e-6)
    apart = [
        Color("lab-d65", one.tolist()).delta_e(Color("lab-d65", two.tolist()), method="2000")
        for one, two in zip(*lab, strict=True)
    ]
    assert len(apart) == PAIRS
    assert delta_e_2000(lab[0], lab[1]) == pytest.approx(np.array(apart), abs=1e-6)


def test_light_and_xyz_are_as_coloraide_has_them() -> None:
    srgb = DRAWN.random((PAIRS, 3))
    colours = [Color("srgb", one.tolist()) for one in srgb]
    light = np.array([one.convert("srgb-linear").coords() for one in colours])
    xyz = np.array([one.convert("xyz-d65").coords() for one in colours])
    assert light_from_srgb(srgb) == pytest.approx(light, abs=1e-9)
    assert xyz_from_light(light) == pytest.approx(xyz, abs=1e-9)


@given(COLOURS)
def test_every_conversion_turned_back_is_the_colour_again(srgb: tuple[float, ...]) -> None:
    colour = np.array(srgb)
    light = light_from_srgb(colour)
    # the two ends of the straight foot are printed rounded and meet to 3e-8 only
    assert srgb_from_light(light) == pytest.approx(colour, abs=1e-6)
    assert light_from_xyz(xyz_from_light(light)) == pytest.approx(light, abs=1e-12)
    back = srgb_from_lab(lab_from_srgb(colour))
    assert back == pytest.approx(colour, abs=1e-6)
    assert showable(np.round(back, 5))


@given(COLOURS, COLOURS)
def test_a_difference_is_none_from_itself_and_the_same_both_ways(
    one: tuple[float, ...], two: tuple[float, ...]
) -> None:
    first, second = lab_from_srgb(one), lab_from_srgb(two)
    assert delta_e_2000(first, first) == 0
    assert delta_e_2000(first, second) >= 0
    assert delta_e_2000(first, second) == pytest.approx(delta_e_2000(second, first), abs=1e-9)


def test_one_against_many_is_as_one_against_each() -> None:
    lab = lab_from_srgb(DRAWN.random((50, 3)))
    many = delta_e_2000(lab[0], lab)
    assert many.tolist() == [delta_e_2000(lab[0], one) for one in lab]


@pytest.mark.parametrize("bad", [[0.2, 0.3], [0.2, 0.3, 1.1], [0.2, float("nan"), 0.1], 0.5])
def test_what_is_no_colour_is_refused(bad: object) -> None:
    with pytest.raises(ImpossibleValue):
        lab_from_srgb(bad)


@pytest.mark.parametrize("bad", [[101.0, 0, 0], [-1.0, 0, 0], [50, 0], [50, 0, float("inf")]])
def test_what_is_no_cielab_is_refused(bad: object) -> None:
    with pytest.raises(ImpossibleValue):
        xyz_from_lab(bad)
    with pytest.raises(ImpossibleValue):
        delta_e_2000(bad, [50.0, 0.0, 0.0])


def test_a_colour_that_no_screen_shows_is_told() -> None:
    assert not showable(srgb_from_lab([50.0, -120.0, 60.0]))
