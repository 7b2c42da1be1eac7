"""Where the shades of a yarn come to lie: checked against hand arithmetic along the yarn."""

import math
from collections.abc import Sequence

import numpy as np
import pytest

from farspun.craft.pooling import (
    BLENDS,
    FLECK_M,
    NO_YARN,
    STRETCH_RANGE,
    Joined,
    places_m,
    pooled,
    stacking,
    strand,
)
from farspun.craft.yarn_colour import Lie, Shade, Stretch, YarnColour
from farspun.errors import ImpossibleValue

NAMES = ("madder", "weld", "woad", "oat")


def colour(lie: Lie, *stretches: tuple[float, float | None]) -> YarnColour:
    told = [
        Stretch(Shade(name, (0.5, 0.5, 0.5), "given"), share, length_m)
        for name, (share, length_m) in zip(NAMES, stretches, strict=False)
    ]
    return YarnColour(lie, tuple(told))


def one_yarn(told: YarnColour, length_m: float, name: str = "Gorse") -> Joined:
    return Joined((strand(told, length_m, name),), (length_m,))


def striping(*lengths_m: float, length_m: float = 5000.0) -> Joined:
    whole = sum(lengths_m)
    return one_yarn(colour(Lie.STRIPING, *((one / whole, one) for one in lengths_m)), length_m)


def picks(number: int, *yarns: int) -> np.ndarray:
    return np.resize(np.array(yarns or (0,), dtype=np.intp), number)


def walked(stripes_m: Sequence[float], pick_m: float, number: int, crossings: int) -> np.ndarray:
    """By hand: step along the yarn, crossing by crossing, turning at each edge."""
    found = np.zeros((number, crossings), dtype=int)
    step = pick_m / crossings
    for crossing in range(number * crossings):
        place = (crossing + 0.5) * step % sum(stripes_m)
        shade = 0
        while place >= stripes_m[shade]:
            place -= stripes_m[shade]
            shade += 1
        row, column = divmod(crossing, crossings)
        found[row, column if row % 2 == 0 else crossings - 1 - column] = shade
    return found


@pytest.mark.parametrize("stripes_m", [(0.31, 0.72), (1.9, 0.4, 3.3), (0.05, 0.07)])
@pytest.mark.parametrize("pick_m", [0.457, 0.5, 1.21])
def test_shades_lie_where_a_walk_along_the_yarn_finds_them(
    stripes_m: tuple[float, ...], pick_m: float
) -> None:
    found = pooled(picks(40), [striping(*stripes_m)], pick_m, 30)
    assert (found == walked(stripes_m, pick_m, 40, 30)).all()


@pytest.mark.parametrize("halves", [1, 2, 3, 5])
def test_stripes_stack_where_a_pick_is_a_whole_number_of_half_periods(halves: int) -> None:
    pick_m = halves * 0.8 / 2
    found = pooled(picks(60), [striping(0.35, 0.45)], pick_m, 37)
    assert (found[::2] == found[0]).all()
    assert (found[1::2] == found[1]).all()
    assert stacking(0.8, pick_m).picks == math.inf


def test_whole_periods_turn_so_that_odd_picks_are_the_mirror_of_even_ones() -> None:
    found = pooled(picks(10), [striping(0.3, 0.5)], 1.6, 32)
    assert (found[1] == found[0][::-1]).all()


@pytest.mark.parametrize("off_m", [0.02, -0.02, 0.05])
def test_a_little_off_stripes_drift_round_in_the_number_of_picks_told(off_m: float) -> None:
    """Period 1 m, picks of 1.5 m and a little: a pick moves by what it is off, 1 m in 1 / off."""
    crossings = round((1.5 + off_m) * 100)  # one each cm of yarn
    found = pooled(picks(200), [striping(0.25, 0.75)], 1.5 + off_m, crossings)
    told = stacking(1.0, 1.5 + off_m)
    assert told.picks == pytest.approx(1.0 / abs(off_m))
    assert told.drift_m == pytest.approx(off_m)
    round_again = round(told.picks)
    assert (found[0] == found[round_again]).all()
    assert not any((found[0] == found[row]).all() for row in range(2, round_again, 2))
    moved = round(2 * told.drift_m * 100)  # cm in two picks; to the left where above 0
    ahead = np.roll(found[0], -moved)[: crossings - abs(moved)]
    assert (found[2][: crossings - abs(moved)][max(0, -moved) :] == ahead[max(0, -moved) :]).all()


def test_picks_go_to_and_fro_and_each_takes_its_own_length_of_yarn() -> None:
    found = places_m(picks(3), 0.6, 3)
    assert found.ravel().tolist() == pytest.approx([0.1, 0.3, 0.5, 1.1, 0.9, 0.7, 1.3, 1.5, 1.7])


def test_skeins_follow_one_another_and_what_is_behind_the_last_is_no_yarn() -> None:
    plain = strand(colour(Lie.SOLID, (1.0, None)), 1.0, "Gorse")
    yarn = Joined((plain, plain), (2.5, 1.5))
    found = pooled(picks(6), [yarn], 1.0, 4)
    # 2.5 m of the first: two picks and half of the third; 1.5 m of the second; two picks of none
    assert found.tolist() == [[0] * 4, [0] * 4, [0, 0, 1, 1], [1] * 4, [-1] * 4, [-1] * 4]


def test_a_yarn_of_one_shade_gives_out_in_the_middle_of_a_pick() -> None:
    yarn = one_yarn(colour(Lie.SOLID, (1.0, None)), 1.5)
    found = pooled(picks(3), [yarn], 1.0, 4)  # the second pick comes back from the right
    assert found.tolist() == [[0] * 4, [NO_YARN, NO_YARN, 0, 0], [NO_YARN] * 4]


def test_two_shuttles_in_turn_each_go_on_along_their_own_yarn() -> None:
    striped, solid = striping(0.5, 0.5), one_yarn(colour(Lie.SOLID, (1.0, None)), 500.0)
    found = pooled(picks(8, 0, 1), [striped, solid], 1.0, 4)
    alone = pooled(picks(4), [striped], 1.0, 4)
    assert (found[::2] == alone).all()
    assert (found[1::2] == 2).all()  # shades 0 and 1 are the striped yarn's


def test_ends_show_only_the_part_of_them_that_is_woven() -> None:
    """Ends of 2 m wound to and fro, woven from 0.5 to 1.5 m: 0.75, 1.25 and back 3.25, 2.75."""
    found = places_m(picks(2), 2.0, 2, (0.5, 1.5))
    assert found.tolist() == [[0.75, 1.25], [3.25, 2.75]]


def test_a_heather_is_one_mixed_shade_with_the_shares_of_its_fibres() -> None:
    heather = strand(colour(Lie.HEATHER, (0.75, None), (0.25, None)), 300.0, "Gorse")
    assert heather.mixes.tolist() == [[0.75, 0.25]]
    assert (heather.at(np.linspace(0, 300, 1000)) == 0).all()


def test_a_marl_has_flecks_of_a_few_millimetres_in_the_shares_told() -> None:
    marl = strand(colour(Lie.MARL, (0.5, None), (0.5, None)), 300.0, "Gorse")
    along = marl.at(np.arange(0.0, 20.0, 0.001))
    assert np.mean(along == 0) == pytest.approx(0.5, abs=0.02)
    changes = np.flatnonzero(np.diff(along)) + 1
    assert 0.001 * np.diff(changes).mean() == pytest.approx(2 * FLECK_M, rel=0.1)  # 1 / (1 - ½)


def test_variegated_stretches_are_about_as_long_as_told_and_keep_their_shares() -> None:
    told = colour(Lie.VARIEGATED, (0.5, 0.8), (0.25, 0.4), (0.25, 0.1))
    found = strand(told, 400.0, "Gorse")
    long_m = np.diff(found.upto_m, prepend=0.0)
    for shade, (share, length_m) in enumerate([(0.5, 0.8), (0.25, 0.4), (0.25, 0.1)]):
        own = long_m[found.shade == shade]
        assert own.sum() / found.upto_m[-1] == pytest.approx(share, abs=0.03)
        assert own.min() >= length_m * (1 - STRETCH_RANGE) - 1e-9
        assert own.max() <= length_m * (1 + STRETCH_RANGE) + 1e-9


def test_what_is_drawn_is_the_same_for_a_name_and_another_for_another() -> None:
    told = colour(Lie.VARIEGATED, (0.5, 0.4), (0.5, 0.4))
    along = np.arange(0.0, 50.0, 0.05)
    first, again = (strand(told, 300.0, "Gorse").at(along) for _ in range(2))
    assert (first == again).all()
    assert not (first == strand(told, 300.0, "Bracken").at(along)).all()


def test_a_gradient_goes_once_from_the_first_shade_to_the_last() -> None:
    found = strand(colour(Lie.GRADIENT, (0.5, None), (0.5, None)), 100.0, "Gorse")
    along = found.mixes[found.at(np.linspace(0.0, 99.999, BLENDS))]
    assert along[0].tolist() == [1.0, 0.0]
    assert along[-1].tolist() == [0.0, 1.0]
    assert (np.diff(along[:, 0]) <= 0).all()
    assert found.mixes.sum(axis=1) == pytest.approx(1.0)


def test_a_gradient_of_two_shades_goes_on_evenly_from_end_to_end() -> None:
    for shares in ((0.5, 0.5), (0.75, 0.25)):
        told = colour(Lie.GRADIENT, *((share, None) for share in shares))
        found = strand(told, 100.0, "Gorse")
        along = found.mixes[found.at(np.linspace(0.0, 99.999, 200))][:, 1]
        assert along == pytest.approx(np.linspace(0.0, 1.0, 200), abs=1 / BLENDS)


def test_no_length_and_no_crossings_are_refused() -> None:
    with pytest.raises(ImpossibleValue):
        strand(colour(Lie.SOLID, (1.0, None)), math.nan, "Gorse")
    with pytest.raises(ImpossibleValue):
        places_m(picks(3), 0.0, 4)
    with pytest.raises(ImpossibleValue):
        places_m(picks(3), 1.0, 0)
