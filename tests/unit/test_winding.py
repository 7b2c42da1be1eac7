"""Ends and picks shared between yarns, and ends between skeins."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from farspun.craft.winding import ends_by_order, shared_picks, winding
from farspun.errors import ImpossibleValue

lengths_m = st.floats(0.0, 500.0)
cuts_cm = st.floats(50.0, 900.0)


def test_stripes_are_counted_where_the_warp_ends_within_a_repeat() -> None:
    order = [("grey", 4), ("red", 2), ("grey", 1)]
    assert ends_by_order(order, 7) == {"grey": 5, "red": 2}
    assert ends_by_order(order, 5) == {"grey": 4, "red": 1}
    assert ends_by_order(order, 3) == {"grey": 3, "red": 0}


@given(
    st.lists(st.tuples(st.sampled_from("abc"), st.integers(1, 9)), min_size=1, max_size=6),
    st.integers(1, 300),
)
def test_stripes_are_counted_as_threading_them_one_by_one_would(
    order: list[tuple[str, int]], ends: int
) -> None:
    threaded = [yarn for yarn, part in order for _ in range(part)]
    one_by_one = [threaded[place % len(threaded)] for place in range(ends)]
    assert ends_by_order(order, ends) == {yarn: one_by_one.count(yarn) for yarn, _ in order}


@pytest.mark.parametrize(("order", "ends"), [([], 10), ([("a", 0)], 10), ([("a", 2)], 0)])
def test_an_order_without_ends_is_refused(order: list[tuple[str, int]], ends: int) -> None:
    with pytest.raises(ImpossibleValue):
        ends_by_order(order, ends)


@given(st.integers(0, 100_000), st.lists(st.integers(1, 100), min_size=1, max_size=8))
def test_shared_picks_add_up_and_are_within_a_pick_of_their_share(
    picks: int, parts: list[int]
) -> None:
    shared = shared_picks(picks, [part / sum(parts) for part in parts])
    assert sum(shared) == picks
    for count, part in zip(shared, parts, strict=True):
        assert abs(count - picks * part / sum(parts)) <= 1 + 1e-6


def test_three_thirds_said_as_33_per_cent_are_the_whole() -> None:
    assert shared_picks(300, [0.33, 0.33, 0.33]) == [100, 100, 100]


@pytest.mark.parametrize("shares", [[], [0.5, 0.4], [0.6, 0.6], [1.5, -0.5], [math.nan, 0.5]])
def test_shares_that_do_not_make_the_whole_are_refused(shares: list[float]) -> None:
    with pytest.raises(ImpossibleValue):
        shared_picks(100, shares)


def test_a_skein_gives_whole_ends_and_its_tail_is_lost() -> None:
    wound = winding([100, 50, 100], 60, 300)
    assert [skein.ends for skein in wound.skeins] == [33, 16, 11]
    assert [skein.tail_m for skein in wound.skeins] == pytest.approx([1, 2, 0])
    assert (wound.missing_ends, wound.spare_lengths, wound.spare_m) == (0, 2, 6)
    assert wound.left_m == pytest.approx(100 - 33 - 6)


def test_an_exact_skein_gives_its_last_end_too() -> None:
    wound = winding([0.1 * 3], 3, 10)
    assert (wound.wound_ends, wound.missing_ends, wound.left_m) == (3, 0, 0)


def test_ends_that_no_skein_holds_are_missing_and_every_tail_is_lost() -> None:
    wound = winding([100, 100], 70, 300)
    assert (wound.wound_ends, wound.missing_ends, wound.spare_lengths) == (66, 4, 0)
    assert wound.tails_m == pytest.approx(2)


def test_skeins_shorter_than_an_end_are_left_and_not_lost() -> None:
    wound = winding([2, 2, 100], 40, 300)
    assert wound.wound_ends == 33
    assert (wound.tails_m, wound.left_m) == pytest.approx((1, 4))


def test_direct_warping_takes_pairs_from_each_skein() -> None:
    wound = winding([100, 100], 60, 300, pairs=True)
    assert [skein.ends for skein in wound.skeins] == [32, 28]
    assert winding([100, 100], 60, 300).skeins[0].ends == 33


def test_in_pairs_a_tail_of_one_length_serves_as_a_spare() -> None:
    wound = winding([100, 100], 60, 300, pairs=True)
    assert [skein.spare_lengths for skein in wound.skeins] == [1, 1]
    assert wound.skeins[0].tail_m == pytest.approx(1)


def test_an_odd_number_of_ends_takes_a_whole_pair_more() -> None:
    wound = winding([200], 59, 300, pairs=True)
    assert (wound.wound_ends, wound.missing_ends) == (60, 0)
    assert winding([177], 59, 300, pairs=True).missing_ends == 1


def test_a_stash_without_skeins_misses_every_end() -> None:
    wound = winding([], 10, 300)
    assert (wound.wound_ends, wound.missing_ends, wound.left_m) == (0, 10, 0)


@given(st.lists(lengths_m, max_size=6), st.integers(1, 400), cuts_cm, st.booleans())
def test_every_metre_of_every_skein_is_accounted_for(
    skeins: list[float], ends: int, cut_cm: float, pairs: bool
) -> None:
    wound = winding(skeins, ends, cut_cm, pairs)
    warp_m = wound.wound_ends * cut_cm / 100
    parts_m = warp_m + wound.spare_m + wound.tails_m + wound.left_m
    assert parts_m == pytest.approx(sum(skeins), abs=1e-3)
    asked = ends + (ends % 2 if pairs else 0)
    assert wound.wound_ends <= asked
    assert wound.missing_ends == max(0, ends - wound.wound_ends)
    for skein, skein_m in zip(wound.skeins, skeins, strict=True):
        assert (skein.ends + skein.spare_lengths) * cut_cm / 100 <= skein_m + 1e-3
        assert not pairs or skein.ends % 2 == 0


@given(st.lists(lengths_m, max_size=5), lengths_m, st.integers(1, 400), cuts_cm, st.booleans())
def test_another_skein_never_leaves_more_ends_missing(
    skeins: list[float], more_m: float, ends: int, cut_cm: float, pairs: bool
) -> None:
    before = winding(skeins, ends, cut_cm, pairs)
    assert winding([*skeins, more_m], ends, cut_cm, pairs).missing_ends <= before.missing_ends


@pytest.mark.parametrize(
    ("skeins", "ends", "cut_cm"), [([-1], 10, 300), ([math.nan], 10, 300), ([100], 0, 300)]
)
def test_a_warp_that_cannot_be_wound_is_refused(
    skeins: list[float], ends: int, cut_cm: float
) -> None:
    with pytest.raises(ImpossibleValue):
        winding(skeins, ends, cut_cm)
    with pytest.raises(ImpossibleValue):
        winding([100], 10, -cut_cm)
