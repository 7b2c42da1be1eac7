"""Bouts and dents, counted by brute force."""

import pytest

from farspun.craft.bouts import LEAST_BOUT, MOST_BOUT, Dents, bouts, dents_filled
from farspun.errors import ImpossibleValue


@pytest.mark.parametrize("repeat", [1, 2, 8, 14, 64, 300])
def test_bouts_hold_every_end_and_none_is_too_long(repeat: int) -> None:
    for ends in range(1, 1500, 7):
        found = bouts(ends, repeat)
        assert sum(one.ends for one in found) == ends == found[-1].upto
        assert all(1 <= one.ends <= MOST_BOUT for one in found)
        if repeat == 1 and ends >= 2 * LEAST_BOUT:
            assert all(one.ends >= LEAST_BOUT - 1 for one in found)


def test_running_counts_go_on_and_whole_repeats_are_kept_together() -> None:
    assert [one.ends for one in bouts(300)] == [100, 100, 100]
    assert [one.ends for one in bouts(240, 14)] == [84, 84, 72]
    assert [one.upto for one in bouts(240, 14)] == [84, 168, 240]
    assert [one.ends for one in bouts(40, 14)] == [40]


@pytest.mark.parametrize("per_dent", [(1,), (2,), (1, 1, 2), (1, 0), (1, 2, 1, 2, 1)])
def test_dents_are_those_that_sleying_one_by_one_fills(per_dent: tuple[int, ...]) -> None:
    for ends in range(1, 90):
        left, dent, where = ends, 0, []
        while left > 0:
            here = min(left, per_dent[dent % len(per_dent)])
            where += [dent] * here
            left, dent = left - here, dent + 1
        found = dents_filled(ends, per_dent)
        assert found.dents == dent
        assert found.left_of_middle == dent // 2
        later = [end for end, at in enumerate(where, start=1) if at >= dent // 2]
        assert found.middle_end == later[0]


def test_a_scarf_in_a_reed_stands_half_to_each_side() -> None:
    assert dents_filled(154, (1,)) == Dents(154, 77, 78)


def test_no_end_is_refused() -> None:
    with pytest.raises(ImpossibleValue):
        bouts(0)
    with pytest.raises(ImpossibleValue):
        dents_filled(10, (0,))
