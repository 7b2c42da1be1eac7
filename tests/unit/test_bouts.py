"""Bouts and dents, counted by brute force."""

import pytest

from farspun.craft.bouts import LEAST_BOUT, MOST_BOUT, Bundles, Dents, bouts, bundled, dents_filled
from farspun.errors import ImpossibleValue


@pytest.mark.parametrize("repeat", [1, 2, 8, 14, 64, 300])
def test_bouts_hold_every_end_and_none_is_too_long(repeat: int) -> None:
    for ends in range(1, 1500, 7):
        found = bouts(ends, repeat)
        assert sum(one.ends for one in found) == ends == found[-1].upto
        assert all(1 <= one.ends <= MOST_BOUT for one in found)
        if repeat == 1 and ends >= 2 * LEAST_BOUT:
            assert all(one.ends >= LEAST_BOUT - 1 for one in found)


@pytest.mark.parametrize("repeat", [1, 2, 7, 8, 13, 25, 64])
def test_a_bout_is_wound_there_and_back_so_only_the_last_of_odd_ends_is_odd(repeat: int) -> None:
    for ends in range(1, 1500):
        *others, last = (one.ends for one in bouts(ends, repeat))
        assert all(one % 2 == 0 for one in others)
        assert last % 2 == ends % 2


def test_bouts_of_one_yarn_differ_by_a_pair_at_most() -> None:
    assert [one.ends for one in bouts(142)] == [72, 70]
    assert [one.ends for one in bouts(141)] == [72, 69]
    for ends in range(100, 1500):
        found = [one.ends for one in bouts(ends)]
        assert max(found) - min(found) <= 3


@pytest.mark.parametrize("bundles", [1, 2, 5, 12, 29])
def test_bundles_hold_every_end_the_smaller_ones_at_the_edges(bundles: int) -> None:
    for ends in range(bundles, 400):
        found = [one.ends for one in bundled(ends, bundles) for _ in range(one.bundles)]
        assert sum(found) == ends and len(found) == bundles
        assert max(found) - min(found) <= 1
        large = [at for at, own in enumerate(found) if own == max(found)]
        assert large == list(range(large[0], large[-1] + 1))
        assert abs(large[0] - (bundles - 1 - large[-1])) <= 1


def test_the_bundles_of_116_ends_are_told_from_the_left() -> None:
    assert bundled(116, 12) == (Bundles(2, 9), Bundles(8, 10), Bundles(2, 9))
    assert bundled(120, 12) == (Bundles(12, 10),)


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
    with pytest.raises(ImpossibleValue):
        bundled(10, 0)
