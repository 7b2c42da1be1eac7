"""Each step between finished piece and loom has its way back, for scalars and arrays alike."""

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from farspun.craft.amounts import Wanted, amounts
from farspun.craft.lengths import (
    ends_in_reed,
    finished,
    finished_fringe,
    fringe_cut,
    off_loom,
    off_loom_width,
    pick_length,
    reed_width,
    rested_length,
    tape_length,
    unwoven_warp,
    warp_length,
    whole_up,
    woven_from_warp,
)

lengths_cm = st.floats(0.1, 5000.0)
small_cm = st.floats(0.0, 100.0)
losses = st.floats(-0.2, 0.9)
WAYS: list[tuple[Callable[..., Any], Callable[..., Any], int]] = [
    (off_loom, finished, 2),
    (reed_width, off_loom_width, 1),
    (tape_length, rested_length, 1),
    (fringe_cut, finished_fringe, 2),
]


def _name(part: object) -> str:
    return getattr(part, "__name__", str(part))


@pytest.mark.parametrize(("there", "back", "others"), WAYS, ids=_name)
@given(x=lengths_cm, first=losses, second=losses)
def test_going_there_and_back_comes_home(
    there: Callable[..., Any],
    back: Callable[..., Any],
    others: int,
    x: float,
    first: float,
    second: float,
) -> None:
    rest = (first, second)[:others]
    if there is off_loom:
        rest = (abs(first), second)
    assert back(there(x, *rest), *rest) == pytest.approx(x, rel=1e-9, abs=1e-9)


@given(lengths_cm, losses, small_cm)
def test_the_warp_for_a_cloth_weaves_that_cloth(
    woven_cm: float, take_up: float, unwoven_cm: float
) -> None:
    warp_cm = warp_length(woven_cm, take_up, unwoven_cm)
    assert woven_from_warp(warp_cm, take_up, unwoven_cm) == pytest.approx(woven_cm, abs=1e-6)


@given(st.floats(-1e6, 1e6))
def test_rounding_up_is_the_least_whole_number_not_a_millionth_below(x: float) -> None:
    up = whole_up(x)
    assert up >= x - 1.001e-6
    assert up - 1 < x - 0.999e-6


def _unwoven_of_three(gap_cm: Any, waste_cm: Any, fringe_cm: Any) -> Any:
    return unwoven_warp(3, gap_cm, waste_cm, fringe_cm, fringe_from_waste=True)


ARRAYS: list[tuple[Callable[..., Any], int]] = [
    (off_loom, 3),
    (finished, 3),
    (reed_width, 2),
    (off_loom_width, 2),
    (tape_length, 2),
    (rested_length, 2),
    (warp_length, 3),
    (woven_from_warp, 3),
    (pick_length, 2),
    (fringe_cut, 3),
    (finished_fringe, 3),
    (ends_in_reed, 2),
    (_unwoven_of_three, 3),
    (whole_up, 1),
]


@pytest.mark.parametrize(("formula", "inputs"), ARRAYS, ids=_name)
def test_an_array_gives_what_its_scalars_give(formula: Callable[..., Any], inputs: int) -> None:
    columns = np.random.Generator(np.random.PCG64(3)).uniform(0.05, 0.9, (inputs, 50))
    columns[0] *= 100
    together = formula(*columns)
    one_by_one = [formula(*(float(x) for x in row)) for row in columns.T]
    assert together.shape == (50,)
    np.testing.assert_allclose(together, one_by_one, rtol=1e-14)


sizes = st.builds(
    Wanted,
    width_cm=st.floats(1.0, 300.0),
    length_cm=st.floats(1.0, 1000.0),
    sett_per_cm=st.floats(0.5, 30.0),
    picks_per_cm=st.floats(0.5, 30.0),
    pieces=st.integers(1, 6),
    draw_in=losses,
    take_up=losses,
    weft_take_up=st.floats(0.0, 1.0),
    let_off=losses,
    shrink_width=losses,
    shrink_length=losses,
    hem_cm=small_cm,
    side_hem_cm=small_cm,
    fringe_cm=small_cm,
    gap_cm=small_cm,
    header_cm=small_cm,
    sample_cm=small_cm,
    waste_cm=small_cm,
    floating_selvedges=st.integers(0, 4),
    repeat=st.integers(1, 40),
    fringe_from_waste=st.booleans(),
)


@given(sizes)
def test_the_set_up_weaves_at_least_the_size_asked(wanted: Wanted) -> None:
    found = amounts(wanted)
    wide_cm = off_loom_width(found.reed_width_cm, wanted.draw_in)
    washed_cm = finished(wide_cm, wanted.side_hem_cm, wanted.shrink_width)
    assert washed_cm >= wanted.width_cm - 1e-5 * found.reed_width_cm
    assert (found.ends - wanted.floating_selvedges) % wanted.repeat == 0
    assert 0 <= found.warp_cut_cm - found.warp_length_cm + 1e-6 < 1 + 1e-6


@given(sizes, st.integers(0, 2000), st.integers(1, 9000))
def test_set_up_by_hand_moves_only_what_hangs_on_it(
    wanted: Wanted, more_ends: int, cut_cm: int
) -> None:
    planned = amounts(wanted)
    ends = planned.ends - wanted.floating_selvedges + more_ends
    by_hand = amounts(wanted, ends=ends, warp_cut_cm=cut_cm)
    assert by_hand.ends == ends + wanted.floating_selvedges
    assert by_hand.warp_cut_cm == cut_cm
    assert by_hand.weft_yarn_m >= planned.weft_yarn_m
    for name in ("off_loom_width_cm", "woven_length_cm", "warp_length_cm", "picks"):
        assert getattr(by_hand, name) == getattr(planned, name)
