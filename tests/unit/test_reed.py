"""Reeds: the repeats tried, the way they are counted, the warnings."""

import math

import pytest

from farspun.craft.reed import (
    Sleying,
    best_sleying,
    dents_per_10cm_from_number,
    ends_per_cm_from_bradford_sett,
    simpler_sleying,
    sleying_warnings,
    sleyings,
    two_heddles,
    width_in_reed_cm,
)
from farspun.errors import ImpossibleValue

NAN = math.nan


@pytest.mark.parametrize(
    ("ends", "dents", "way"),
    [
        (3, 2, "1-2"),
        (5, 3, "2-2-1"),
        (7, 5, "1-2-1-2-1"),
        (9, 4, "2-2-2-3"),
        (11, 10, "1-1-1-1-1-1-1-1-1-2"),
        (13, 10, "1-1-1-2-1-1-2-1-1-2"),
        (2, 1, "2 in each dent"),
    ],
)
def test_ends_are_spread_evenly_and_counted_in_the_usual_way(
    ends: int, dents: int, way: str
) -> None:
    best = best_sleying(ends / dents * 4, 40)
    assert best.said == way
    assert best.off_fraction == pytest.approx(0, abs=1e-9)


def test_the_nearest_comes_first_then_the_shorter_repeat() -> None:
    ways = sleyings(4.0, 30)
    off = [abs(one.off_fraction) for one in ways]
    assert off == sorted(off)
    assert ways[0].per_dent == (1, 1, 2)


def test_every_fraction_is_given_once_in_its_shortest_repeat() -> None:
    ways = sleyings(4.5, 30)
    assert ways[0].per_dent == (1, 2)
    setts = [one.ends_per_cm for one in ways]
    assert len(set(setts)) == len(setts)


def test_no_dent_is_left_empty_unless_asked() -> None:
    assert [one.per_dent for one in sleyings(2.0, 30)] == [(1,)]
    assert best_sleying(2.0, 30).off_fraction == pytest.approx(0.5)
    assert best_sleying(2.0, 30, empty=True).per_dent == (1, 1, 0)
    assert best_sleying(1.5, 30, empty=True).per_dent == (1, 0)


def test_a_rigid_heddle_takes_one_end_a_hole_and_slot() -> None:
    assert [one.per_dent for one in sleyings(6.0, 30, rigid_heddle=True)] == [(1,)]
    spaced = sleyings(2.0, 30, rigid_heddle=True, empty=True)
    assert spaced[0].per_dent == (1, 1, 0)
    assert max(max(one.per_dent) for one in spaced) == 1


def test_what_a_reed_does_is_a_part_of_the_wanted_sett() -> None:
    best = best_sleying(2.5, 30, rigid_heddle=True)
    assert best.ends_per_cm == 3.0
    assert best.off_fraction == pytest.approx(0.2)


def test_a_much_shorter_repeat_in_the_span_is_offered() -> None:
    ways = sleyings(4.1, 30)
    assert len(ways[0].per_dent) == 8
    simpler = simpler_sleying(ways, 3.9, 4.4)
    assert simpler is not None
    assert simpler.per_dent == (1, 1, 2)
    assert simpler_sleying(ways, 4.05, 4.15) is None


def test_no_simpler_way_is_offered_where_the_nearest_is_simple() -> None:
    assert simpler_sleying(sleyings(3.0, 30), 1.0, 9.0) is None


def test_the_width_in_the_reed_follows_from_the_sleying() -> None:
    assert width_in_reed_cm(120, best_sleying(4.0, 30)) == pytest.approx(30)
    with pytest.raises(ImpossibleValue):
        width_in_reed_cm(0, best_sleying(4.0, 30))


def test_uneven_sleying_is_warned_of_by_how_the_yarn_washes() -> None:
    uneven = Sleying((1, 2), 4.5, 0.0)
    assert "mostly closes" in sleying_warnings(uneven, 30)[0]
    assert "keeps them" in sleying_warnings(uneven, 30, elastic=False)[0]
    assert sleying_warnings(Sleying((1,), 3.0, 0.0), 30) == []


def test_empty_and_crowded_dents_are_warned_of() -> None:
    assert "empty dents" in sleying_warnings(Sleying((1, 0), 1.5, 0.0), 30)[0]
    assert "4 ends in a dent" in sleying_warnings(Sleying((4,), 12.0, 0.0), 30)[0]


def test_slubs_are_warned_of_where_the_yarn_fills_the_dent() -> None:
    one = Sleying((1,), 3.0, 0.0)
    opening_mm = 100 / 30 * 0.65
    assert "slubs" in sleying_warnings(one, 30, opening_mm * 1.01)[0]
    assert sleying_warnings(one, 30, opening_mm * 0.99) == []


def test_two_heddles_are_offered_where_they_come_nearer() -> None:
    assert two_heddles(5.0, 30) == 6.0
    assert two_heddles(4.4, 30) is None


@pytest.mark.parametrize(("sett", "reed"), [(0, 30), (-1, 30), (NAN, 30), (3, 0), (3, NAN)])
def test_a_sett_or_reed_that_cannot_be_is_refused(sett: float, reed: float) -> None:
    with pytest.raises(ImpossibleValue):
        sleyings(sett, reed)
    with pytest.raises(ImpossibleValue):
        two_heddles(sett, reed)


def test_old_reed_numbers_are_checked() -> None:
    with pytest.raises(ImpossibleValue):
        dents_per_10cm_from_number(0, "stockport")
    with pytest.raises(ImpossibleValue):
        ends_per_cm_from_bradford_sett(NAN)
