"""The geometry of a cloth: worked by hand, in the order it must have, and what is refused."""

import math
import re
from typing import Any

import numpy as np
import pytest

from farspun.craft.arrays import all_within, inward
from farspun.craft.bend import bent_wave_mm, highest_reach_mm, least_spacing_mm
from farspun.craft.cover import (
    cloth_cover,
    compact_diameter_mm,
    cover_factor,
    cover_fraction,
    mass_g_per_m2,
)
from farspun.craft.fibres import Draw, blend
from farspun.craft.geometry import (
    geometry,
    share_from_warp_crimp,
    thickness_mm,
    warp_wave_from_crimp_mm,
)
from farspun.craft.interchange import interchanged, share_reach
from farspun.craft.jam import closeness, even_share, most_picks_per_cm, share_range
from farspun.craft.peirce import crimp_fraction, crossing, spacing_at_wave_mm, wave_mm, weave_angle
from farspun.craft.sett import upper_bound
from farspun.craft.threads import Cloth, Threads, cloth, waved_shares
from farspun.craft.weave import weave
from farspun.errors import ImpossibleValue

NAN, INF = math.nan, math.inf
PLAIN, TWILL, SATIN = weave("plain"), weave("2/2 twill"), weave("5-end satin")
WOOL = blend("wool")


def equal(per_cm: float, diameter: float = 0.5, waved: float = 1.0) -> Cloth:
    """A square cloth of equal yarns."""
    threads = Threads(per_cm, diameter, waved)
    return Cloth(threads, threads)


def said_by(refused: pytest.ExceptionInfo[ImpossibleValue]) -> str:
    return f"{refused.value.message} {refused.value.hint}"


def test_crimp_falls_in_the_order_of_interlacements() -> None:
    found = [geometry(cloth(one, 4.0, 4.0, 0.8, 0.9)) for one in (PLAIN, TWILL, SATIN)]
    warp = [one.warp_crimp_fraction for one in found]
    weft = [one.weft_crimp_fraction for one in found]
    assert warp == sorted(warp, reverse=True)
    assert weft == sorted(weft, reverse=True)
    assert warp[1] == pytest.approx(warp[0] / 2)
    assert warp[2] == pytest.approx(warp[0] * 2 / 5)
    assert [one.thickness_mm for one in found] == [found[0].thickness_mm] * 3


def test_at_each_weaves_own_sett_the_cloth_is_heavier_the_less_it_interlaces() -> None:
    tex = 150.0
    thick = compact_diameter_mm(tex, WOOL)
    masses = []
    for one in (PLAIN, TWILL, SATIN):
        sett = 0.9 * upper_bound(tex, WOOL, "worsted", one)
        found = geometry(cloth(one, sett, sett, thick, thick))
        crimps = found.warp_crimp_fraction, found.weft_crimp_fraction
        masses.append(mass_g_per_m2(sett, sett, tex, tex, *crimps))
    assert masses == sorted(masses)
    assert masses[0] < masses[1] < masses[2]


def test_the_bound_of_the_sett_and_the_jam_are_two_voices_on_one_limit() -> None:
    drawn: tuple[Draw, ...] = ("worsted", "woollen")
    close = [
        closeness(cloth(one, *[upper_bound(100.0, fibre, draw, one)] * 2, thick, thick))
        for one in (PLAIN, TWILL, SATIN, weave("8-end satin"))
        for fibre in (WOOL, blend("cotton"), blend("silk"))
        for draw in drawn
        for thick in (compact_diameter_mm(100.0, fibre),)
    ]
    assert min(close) == pytest.approx(1 - 0.18, abs=0.01)  # as docs/geometry.md has it
    assert max(close) == pytest.approx(1 + 0.04, abs=0.01)


def test_floats_of_a_close_twill_close_up_and_leave_their_room_to_the_waves() -> None:
    # d 1 mm, D 2 mm, crossings 1.4 mm apart on average: a wave of 1 mm needs √3 mm, so the
    # spacing over floats is 2 · 1.4 − 1.732 = 1.068 mm, still more than touching
    twill = cloth(TWILL, 10 / 1.4, 10 / 1.4, 1.0, 1.0)
    excess = 2 * math.pi / 3 - math.sqrt(3)
    assert geometry(twill).warp_crimp_fraction == pytest.approx(0.5 * excess / 1.4)
    with pytest.raises(ImpossibleValue):
        geometry(cloth(PLAIN, 10 / 1.4, 10 / 1.4, 1.0, 1.0))


def test_threads_of_a_weave_that_wave_unlike_count_with_their_mean() -> None:
    rows = weave("###./##.#/#.##/.#.#")
    assert rows.end_intersections.tolist() == [2, 2, 4, 2]
    assert waved_shares(rows)[0] == pytest.approx(10 / 16)
    assert waved_shares(weave("weft rib 2/2")) == (1.0, 0.5)
    swapped = waved_shares(rows.swapped())
    assert swapped == pytest.approx(waved_shares(rows)[::-1])


def test_ends_too_close_to_share_the_wave_evenly_leave_the_weft_what_room_there_is() -> None:
    close = Cloth(Threads(12.5, 0.5), Threads(5.0, 0.5))  # 0.8 and 2 D
    assert share_range(close) == pytest.approx((0.6, 1.0))
    assert even_share(close) == pytest.approx(0.6)
    assert geometry(close).warp_share == pytest.approx(0.6)
    assert even_share(close.swapped()) == pytest.approx(0.4)
    with pytest.raises(ImpossibleValue, match=r"cannot be 0\.5: from 0\.60 to 1\.00") as refused:
        geometry(close, 0.5)
    assert "share of the wave" in said_by(refused)


def test_a_crimp_the_sett_has_no_room_for_is_refused_with_the_range() -> None:
    close = Cloth(Threads(12.5, 0.5), Threads(5.0, 0.5))
    with pytest.raises(ImpossibleValue, match=r"cannot be 3 %: from 4\.7 % to 12\.7 %"):
        share_from_warp_crimp(close, 0.03)
    with pytest.raises(ImpossibleValue, match="weft crimp"):
        share_from_warp_crimp(close.swapped(), 0.5, "weft crimp")
    assert math.isnan(warp_wave_from_crimp_mm(close, 0.9))
    assert warp_wave_from_crimp_mm(close, 0.03) < 0.6  # whatever the weft does


def test_a_cloth_beyond_its_jam_is_refused_with_the_limit_and_the_nearest() -> None:
    with pytest.raises(ImpossibleValue) as refused:
        geometry(equal(12.0))
    assert "set at 12 ends and 12 picks per cm" in refused.value.message
    assert "jam at 11.54 ends and 11.54 picks per cm" in refused.value.message
    hint = refused.value.hint
    found = re.search(r"woven: ([\d.]+) ends and ([\d.]+) picks.*at most ([\d.]+) picks", hint)
    assert found
    ends, picks, most = map(float, found.groups())
    for nearest in (equal(11.0).set_at(ends, picks), equal(11.0).set_at(12.0, most)):
        assert 0.99 < closeness(nearest) <= 1
        assert geometry(nearest).thickness_mm >= 1


def test_of_many_cloths_the_first_beyond_its_jam_is_named() -> None:
    ends = np.array([[5.0, 6.0], [13.5, 14.0]])
    with pytest.raises(ImpossibleValue, match=r"set at 13\.5 ends and 11 picks"):
        geometry(Cloth(Threads(ends, 0.5), Threads(11.0, 0.5)))


def test_a_sett_rounded_to_the_limit_counts_as_at_it() -> None:
    at_limit = geometry(equal(11.55))
    assert at_limit.warp_crimp_fraction == pytest.approx(0.2092, abs=1e-3)
    assert share_from_warp_crimp(equal(11.55), at_limit.warp_crimp_fraction) == pytest.approx(0.5)
    with pytest.raises(ImpossibleValue):
        geometry(equal(11.56))


def test_threads_on_one_face_cannot_come_closer_than_touching() -> None:
    open_warp = Cloth(Threads(2.0, 0.5), Threads(1.0, 0.5))
    assert most_picks_per_cm(open_warp) == pytest.approx(2 * 10 / 0.5)
    assert closeness(open_warp.set_at(2.0, 40.0)) == pytest.approx(1)
    with pytest.raises(ImpossibleValue, match="only just touch"):
        most_picks_per_cm(open_warp.set_at(41.0, 1.0))


def test_arrays_of_any_shapes_that_go_together_are_answered_in_one() -> None:
    ends, picks = np.linspace(3, 6, 4)[:, None], np.linspace(3, 6, 3)
    found = geometry(Cloth(Threads(ends, 0.5), Threads(picks, 0.6)))
    assert found.warp_crimp_fraction.shape == (4, 3)
    assert found.thickness_mm.shape == (4, 3)
    by_share = geometry(equal(5.0), np.array([0.3, 0.5, 0.7]))
    assert by_share.warp_crimp_fraction.shape == (3,)
    assert (np.diff(by_share.warp_crimp_fraction) > 0).all()


def test_a_warp_pulled_straight_has_picks_as_far_apart_as_its_thread_is_long() -> None:
    rested = equal(4.0)  # 2.5 D apart
    length = 2.5 * (1 + geometry(rested).warp_crimp_fraction)
    assert share_reach(rested, 0.5) == pytest.approx((0.0, 1.0))
    tight = interchanged(rested, 0.5, 0.0)
    assert tight.weft.spacing_mm == pytest.approx(length)
    weft = 2.5 * (1 + geometry(rested).weft_crimp_fraction)
    # the weft waves all of D, 1 mm, high
    angle = weave_angle(tight.warp.spacing_mm, 1.0, 1.0)
    straight = math.sqrt(tight.warp.spacing_mm**2 - 1)  # u² = p² + h² − 2hD
    assert straight + angle == pytest.approx(weft)


def test_crimp_passes_only_as_far_as_both_threads_are_long_enough() -> None:
    close = equal(10.0)
    low, high = share_reach(close, 0.5)
    assert 0 < low < 0.5 < high < 1
    with pytest.raises(ImpossibleValue, match="new share of the wave cannot be 0"):
        interchanged(close, 0.5, 0.0)
    with pytest.raises(ImpossibleValue):
        interchanged(close, NAN, 0.5)
    with pytest.raises(ImpossibleValue):
        interchanged(close, 0.5, NAN)


@pytest.mark.parametrize(
    ("fibre", "fill"),
    [("wool", 0.5), ("alpaca", 0.5), ("cotton", 0.6), ("linen", 0.6), ("silk", 0.6)],
)
def test_a_yarn_is_packed_in_the_cloth_by_its_fibre_unless_said(fibre: str, fill: float) -> None:
    spun = blend(fibre)
    area = math.pi / 4 * compact_diameter_mm(200.0, spun) ** 2  # mm²
    assert 200.0 / 1000 / area / spun.density_g_cm3 == pytest.approx(fill)
    looser = compact_diameter_mm(200.0, spun, packing=fill / 4)
    assert looser == pytest.approx(2 * compact_diameter_mm(200.0, spun))


def test_a_blend_is_packed_as_the_family_with_most_of_it() -> None:
    mostly, half = blend("wool 80, silk 20"), blend("silk 60, wool 40")
    assert compact_diameter_mm(100.0, mostly) == compact_diameter_mm(100.0, mostly, packing=0.5)
    assert compact_diameter_mm(100.0, half) == compact_diameter_mm(100.0, half, packing=0.6)


def test_threads_that_touch_or_more_cover_all() -> None:
    assert cover_fraction(np.array([5.0, 20.0, 40.0]), 0.5).tolist() == [0.25, 1.0, 1.0]
    assert cloth_cover(1.0, 0.3) == 1.0


@pytest.mark.parametrize("bad", [0.0, -1.0, NAN, INF])
def test_what_cannot_be_is_refused_alone_and_among_many(bad: float) -> None:
    many = np.array([1.0, bad])
    for number in (bad, many):
        for make in (
            lambda x: Threads(x, 0.5),
            lambda x: Threads(5.0, x),
            lambda x: crimp_fraction(x, 0.5, 1.0),
            lambda x: crimp_fraction(2.0, 0.1, x if x is not bad else bad),
            lambda x: crossing(0.5, x, 1.0),
            lambda x: wave_mm(0.01, x, 1.0),
            lambda x: wave_mm(0.01, 2.0, x),
            lambda x: highest_reach_mm(x, 1.0),
            lambda x: compact_diameter_mm(x, WOOL),
            lambda x: cover_fraction(x, 0.5),
            lambda x: cover_factor(5.0, x),
            lambda x: thickness_mm(0.5, 0.5, x, 1.0),
            lambda x: mass_g_per_m2(x, 5.0, 100.0, 100.0, 0.1, 0.1),
        ):
            with pytest.raises(ImpossibleValue):
                make(number)


@pytest.mark.parametrize("bad", [-0.01, 1.01, NAN, INF])
def test_a_part_of_a_whole_outside_it_is_refused(bad: float) -> None:
    for make in (
        lambda x: Cloth(Threads(5.0, 0.5), Threads(5.0, 0.5), face_share=x),
        lambda x: Threads(5.0, 0.5, waved=x),
        lambda x: geometry(equal(5.0), x),
        lambda x: cloth_cover(x, 0.5),
        lambda x: least_spacing_mm(x, 1.0),
        lambda x: crimp_fraction(2.0, x, 1.0),
        lambda x: bent_wave_mm(x, 1.0),
        lambda x: share_from_warp_crimp(equal(5.0), x),
        lambda x: spacing_at_wave_mm(3.0, x, 1.0),
        lambda x: crossing(2 * x, 5.0, 1.0),
        lambda x: all_within("part", x, np.array(0.0), np.array(1.0), "here"),
    ):
        for number in (bad, np.array([0.5, bad])):
            with pytest.raises(ImpossibleValue):
                make(number)


def test_a_wave_its_spacing_has_no_room_for_is_refused() -> None:
    refused: list[Any] = [
        lambda: weave_angle(0.8, 0.41, 1.0),
        lambda: crossing(1.0, 0.9, 1.0),
        lambda: wave_mm(0.2, 0.8, 1.0),
        lambda: spacing_at_wave_mm(0.8, 0.5, 1.0),
        lambda: warp_wave_from_crimp_mm(equal(5.0), -0.1),
    ]
    for attempt in refused:
        with pytest.raises(ImpossibleValue):
            attempt()


def test_a_narrow_range_is_said_with_the_digits_it_needs() -> None:
    assert inward(0.0, 1.0, 2) == ("0.00", "1.00")
    assert inward(4.31, 4.36) == ("4.31", "4.36")
    assert inward(3.0, 3.0) == ("3.0", "3.0")
