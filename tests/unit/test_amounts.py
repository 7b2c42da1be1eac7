"""Set-up, warp and weft: what is rounded, what is counted once and what per piece."""

import math
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from farspun.craft.amounts import (
    Wanted,
    amounts,
    ends_in_reed,
    fringe_cut,
    off_loom,
    unwoven_warp,
    warp_length,
    whole_up,
)
from farspun.errors import ImpossibleValue

PLAIN = Wanted(width_cm=40, length_cm=160, sett_per_cm=4, picks_per_cm=4)
LOSSES = ("draw_in", "take_up", "let_off", "shrink_width", "shrink_length")
EXTRAS = ("hem_cm", "side_hem_cm", "fringe_cm", "gap_cm", "header_cm", "sample_cm", "waste_cm")


def test_inches_times_ends_per_inch_gain_no_false_end() -> None:
    for tenths in range(1, 600):
        inches = tenths / 2
        assert ends_in_reed(inches * 2.54, 8 / 2.54) == math.ceil(inches * 8)


def test_a_thread_is_added_only_beyond_a_millionth() -> None:
    assert [whole_up(x) for x in (7.0, 7 + 9e-7, 7 + 2e-6, 6.5)] == [7, 7, 8, 7]
    assert isinstance(whole_up(6.5), int)


def test_rounding_an_array_gives_whole_numbers_of_the_same_shape() -> None:
    rounded = whole_up(np.array([[7.0, 7 + 9e-7], [7 + 2e-6, 6.5]]))
    assert rounded.dtype == np.int64
    assert rounded.tolist() == [[7, 7], [8, 7]]


@pytest.mark.parametrize("x", [math.nan, math.inf, 1e16])
def test_what_is_no_number_of_threads_is_refused(x: float) -> None:
    with pytest.raises(ImpossibleValue):
        whole_up(x)
    with pytest.raises(ImpossibleValue):
        whole_up(np.array([1.0, x]))


def test_nothing_given_beyond_the_size_leaves_the_size() -> None:
    found = amounts(PLAIN)
    assert (found.reed_width_cm, found.ends, found.picks) == (40, 160, 640)
    assert found.off_loom_length_cm == found.woven_length_cm == found.tape_length_cm == 160
    assert found.warp_length_cm == found.warp_cut_cm == 160
    assert found.warp_yarn_m == found.warp_yarn_cut_m == found.weft_yarn_m == 256


def test_rounded_ends_set_the_width_in_the_reed_but_not_the_width_asked() -> None:
    found = amounts(replace(PLAIN, width_cm=40.1))
    assert (found.ends, found.reed_width_cm) == (161, 40.25)
    assert found.off_loom_width_cm == 40.1


def test_floating_selvedges_join_the_ends_and_not_the_width() -> None:
    found = amounts(replace(PLAIN, floating_selvedges=2))
    assert (found.ends, found.reed_width_cm) == (162, 40)
    assert found.warp_yarn_cut_m == pytest.approx(162 * 1.60)
    assert found.weft_yarn_m == 256


def test_ends_round_up_to_whole_repeats_and_to_pairs() -> None:
    assert amounts(replace(PLAIN, repeat=7)).ends == 161
    assert amounts(replace(PLAIN, repeat=160)).ends == 160
    assert ends_in_reed(40, 4, repeat=7, pairs=True) == 168
    assert ends_in_reed(np.array([40.0, 40.1]), 4, repeat=2).tolist() == [160, 162]


def test_ends_given_by_hand_are_kept_and_set_the_width() -> None:
    found = amounts(replace(PLAIN, repeat=7, floating_selvedges=2), ends=150)
    assert (found.ends, found.reed_width_cm) == (152, 37.5)
    assert found.off_loom_width_cm == 40


def test_a_warp_cut_given_by_hand_leaves_the_calculated_length_to_be_seen() -> None:
    found = amounts(PLAIN, warp_cut_cm=200)
    assert (found.warp_length_cm, found.warp_cut_cm) == (160, 200)
    assert found.warp_yarn_m == 256
    assert found.warp_yarn_cut_m == 320
    assert found.picks == 640


def test_hems_and_fringe_come_with_every_piece_and_sample_and_header_once() -> None:
    three = replace(PLAIN, pieces=3, hem_cm=2, side_hem_cm=1, sample_cm=12, header_cm=3)
    found = amounts(replace(three, fringe_cm=10, gap_cm=5, waste_cm=50))
    assert found.off_loom_length_cm == 164
    assert found.off_loom_width_cm == 42
    assert found.woven_length_cm == 3 * 164 + 12 + 3
    assert found.warp_length_cm == 507 + 2 * 5 + 50 + 6 * 10


def test_hems_and_fringe_allow_for_the_wash() -> None:
    assert off_loom(160.0, 2.0, 0.2) == pytest.approx(164 / 0.8)
    assert fringe_cut(10.0, 0.2, twist=0.0) == pytest.approx(12.5)
    assert fringe_cut(10.0, 0.0) == pytest.approx(10 / 0.85)


def test_the_tape_shows_more_than_the_rested_cloth() -> None:
    assert amounts(replace(PLAIN, let_off=0.2)).tape_length_cm == 200
    assert amounts(replace(PLAIN, let_off=0.2)).warp_length_cm == 160


@pytest.mark.parametrize(
    ("pieces", "fringe_cm", "waste_cm", "unwoven_cm"),
    [
        (1, 10, 60, 60),  # the waste holds both fringes
        (1, 10, 20, 20),
        (1, 10, 15, 20),  # it lacks 5 cm of them
        (1, 10, 0, 20),
        (2, 10, 60, 80),  # fringes between the pieces are never waste
        (3, 10, 15, 60),
    ],
)
def test_outer_fringes_out_of_the_waste_cost_only_what_it_lacks(
    pieces: int, fringe_cm: float, waste_cm: float, unwoven_cm: float
) -> None:
    assert unwoven_warp(pieces, 0, waste_cm, fringe_cm, fringe_from_waste=True) == unwoven_cm
    assert unwoven_warp(pieces, 0, waste_cm, fringe_cm) == waste_cm + 2 * pieces * fringe_cm


def test_a_bare_weft_take_up_is_added_to_the_reed_width() -> None:
    found = amounts(replace(PLAIN, draw_in=0.2, weft_take_up=0.1))
    assert found.pick_length_cm == pytest.approx(50 * 1.1)


def test_take_up_is_a_part_of_the_yarn() -> None:
    assert warp_length(90.0, 0.10) == pytest.approx(100)


REFUSED: list[dict[str, Any]] = [
    *({name: bad} for name in ("width_cm", "length_cm") for bad in (0, -1, math.nan, math.inf)),
    *({name: bad} for name in ("sett_per_cm", "picks_per_cm") for bad in (0, -1, math.nan, 1e9)),
    *({name: bad} for name in LOSSES for bad in (1, 1.5, math.nan, -math.inf)),
    *({name: bad} for name in EXTRAS for bad in (-1, math.nan, math.inf)),
    *({"weft_take_up": bad} for bad in (-1, math.nan, math.inf)),
    *({"pieces": bad} for bad in (0, -1, 1.5, 10**12)),
    *({"repeat": bad} for bad in (0, -2)),
    {"floating_selvedges": -1},
    {"width_cm": 1e-9},
    {"length_cm": 1e-9},
    {"shrink_length": 1 - 1e-16, "length_cm": 1e9},
]


@pytest.mark.parametrize("change", REFUSED, ids=str)
def test_a_cloth_that_cannot_be_is_refused_with_what_can(change: dict[str, Any]) -> None:
    with pytest.raises(ImpossibleValue) as refused:
        amounts(replace(PLAIN, **change))
    assert refused.value.allowed


@pytest.mark.parametrize("by_hand", [{"ends": 0}, {"ends": -4}, {"warp_cut_cm": 0}], ids=str)
def test_a_setting_by_hand_that_cannot_be_is_refused(by_hand: dict[str, int]) -> None:
    with pytest.raises(ImpossibleValue):
        amounts(PLAIN, **by_hand)


def test_the_message_names_the_value_and_what_can_be() -> None:
    with pytest.raises(ImpossibleValue) as refused:
        amounts(replace(PLAIN, hem_cm=-2))
    assert refused.value.message == "hem cannot be -2 cm: 0 cm or more."


def test_cloth_that_grows_in_the_wash_is_woven_shorter() -> None:
    assert amounts(replace(PLAIN, shrink_length=-0.25)).woven_length_cm == 128
