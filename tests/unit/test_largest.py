"""The search for the largest whole size, on curves with teeth."""

import pytest

from farspun.craft.largest import SCANNED, largest_whole
from farspun.errors import ImpossibleValue


def falling(edge: int, most: int):
    """Quick odds that pass 95 in 100 about `edge`."""
    return lambda size: 0.95 + (edge - size) / most


@pytest.mark.parametrize("edge", [1, 2, 3, 7, 40, 41, 999, 1000])
@pytest.mark.parametrize("off", [0.8, 1.0, 1.3])
def test_the_edge_is_found_however_far_off_the_quick_answer_is(edge, off):
    found = largest_whole(lambda size: size <= edge, falling(round(edge * off), 1000), 0.95, 1000)
    assert found == edge


@pytest.mark.parametrize("tooth", range(2, SCANNED + 1))
def test_a_tooth_beyond_the_edge_is_found_by_trying_each_size(tooth):
    kept = {*range(1, 101), 100 + tooth}
    found = largest_whole(kept.__contains__, falling(100, 1000), 0.95, 1000)
    assert found == 100 + tooth


def test_another_loom_further_on_is_found_though_sizes_before_it_fail():
    """A wider loom with a more open reed: from 61 cm on the yarn reaches again, up to 90."""
    kept = {*range(1, 41), *range(61, 91)}
    odds = [0.99 if size in kept else 0.4 for size in range(201)]
    assert largest_whole(kept.__contains__, odds.__getitem__, 0.95, 200) == 90


def test_sizes_too_small_to_be_woven_are_passed_over():
    kept = range(9, 31)
    odds = [None if size < 9 else 0.95 + (30 - size) / 100 for size in range(101)]
    assert largest_whole(kept.__contains__, odds.__getitem__, 0.95, 100) == 30


def test_nothing_keeps_it_and_everything_does():
    assert largest_whole(lambda size: False, lambda size: 0.4, 0.95, 1000) is None
    assert largest_whole(lambda size: False, lambda size: None, 0.95, 1000) is None
    assert largest_whole(lambda size: True, lambda size: 1.0, 0.95, 1000) == 1000


@pytest.mark.parametrize("near", [1, 3, 50, 240, 900])
def test_where_to_look_changes_nothing_but_the_time(near):
    found = largest_whole(lambda size: size <= 250, falling(240, 1000), 0.95, 1000, near=near)
    assert found == 250


def test_no_size_at_all_to_look_among_is_refused():
    with pytest.raises(ImpossibleValue):
        largest_whole(lambda size: True, lambda size: 1.0, 0.95, 0)
