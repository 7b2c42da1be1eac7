"""What holds of any cloth's geometry, on thousands of random cloths at once and on odd ones."""

import math
from collections.abc import Callable
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray
from scipy.optimize import brentq

from farspun.craft.arrays import inward, rising_root
from farspun.craft.bend import (
    bent_wave_mm,
    highest_wave_mm,
    jam_spacing_mm,
    least_spacing_mm,
)
from farspun.craft.cover import cloth_cover, cover_fraction
from farspun.craft.geometry import geometry, share_from_warp_crimp, warp_crimp_range
from farspun.craft.interchange import interchanged, share_reach
from farspun.craft.jam import closeness, most_picks_per_cm, share_range, touching_mm
from farspun.craft.peirce import (
    crimp_fraction,
    crossing,
    excess_mm,
    spacing_at_wave_mm,
    thread_length_mm,
    wave_mm,
    weave_angle,
)
from farspun.craft.threads import Cloth, Threads, waved_shares
from farspun.craft.weave import weave

Array = NDArray[np.float64]

WEAVES = [
    weave(name)
    for name in ("plain", "2/2 twill", "5-end satin", "warp rib 2/2", "3/1 twill", "8-end satin")
]
RNG = np.random.Generator(np.random.PCG64(20250312))


def one_of(cloth: Cloth, chosen: Array) -> Cloth:
    """Those of an array of cloths."""
    cloth = cloth.as_arrays()
    warp, weft = (
        Threads(one.per_cm[chosen], one.diameter_mm[chosen], one.waved[chosen])
        for one in cloth.systems
    )
    return Cloth(warp, weft, cloth.face_share[chosen])


def random_cloths(many: int) -> Cloth:
    """Cloths of mixed weaves that can be woven, a good part of them close."""
    shares = np.array([waved_shares(one) for one in WEAVES])
    faces = np.array([one.warp_face_share for one in WEAVES])
    kind = RNG.integers(0, len(WEAVES), many)
    ends, picks = RNG.uniform(2, 9, (2, many))
    thick = RNG.uniform(0.3, 1.2, (2, many))
    loose = Cloth(
        Threads(ends, thick[0], shares[kind, 0]),
        Threads(picks, thick[1], shares[kind, 1]),
        faces[kind],
    )
    times = RNG.uniform(0.3, 0.999, many) / closeness(loose)
    return loose.set_at(ends * times, picks * times)


CLOTHS = random_cloths(2000)
LOW, HIGH = share_range(CLOTHS)
SHARES = LOW + (HIGH - LOW) * RNG.uniform(0, 1, LOW.shape)


def random_threads(many: int) -> tuple[Array, Array, Array]:
    """(angle, length, D) whose wave is no higher than D."""
    D = RNG.uniform(0.05, 5, 4 * many)
    angle = RNG.uniform(1e-3, math.pi / 2, D.shape)
    straight = RNG.uniform(1e-3, 3, D.shape) * D
    length = D * angle + straight
    low = straight * np.sin(angle) + D * (1 - np.cos(angle)) <= D
    assert low.sum() >= many
    return angle[low][:many], length[low][:many], D[low][:many]


def test_angle_and_length_come_back_from_peirces_equations_in_ten_thousand_cases() -> None:
    angle, length, D = random_threads(10_000)
    straight = length - D * angle
    # written out here, so that nothing is compared with itself
    p = straight * np.cos(angle) + D * np.sin(angle)
    h = straight * np.sin(angle) + D * (1 - np.cos(angle))
    assert np.abs(weave_angle(p, h, D) - angle).max() < 1e-9
    assert np.abs(thread_length_mm(p, h, D) - length).max() < 1e-9
    assert np.abs(crimp_fraction(p, h, D) - (length / p - 1)).max() < 1e-9
    assert np.abs(crossing(angle, length, D)[0] - p).max() < 1e-12


def test_height_and_spacing_come_back_from_crimp_and_length() -> None:
    angle, length, D = random_threads(10_000)
    p, h = crossing(angle, length, D)
    assert np.abs(wave_mm(crimp_fraction(p, h, D), p, D) / D - h / D).max() < 1e-9
    assert np.abs(spacing_at_wave_mm(length, h, D) / D - p / D).max() < 1e-9


def by_brentq(f: Callable[[float], float], low: float, high: float) -> float:
    return float(brentq(f, low, high, xtol=1e-14, rtol=1e-14, maxiter=500))


def test_the_angle_is_the_one_a_general_solver_finds_in_three_hundred_cases() -> None:
    angles, lengths, diameters = random_threads(300)
    p, h = crossing(angles, lengths, diameters)
    found = weave_angle(p, h, diameters)
    for k in range(300):
        spacing, height, D = float(p[k]), float(h[k]), float(diameters[k])

        def too_high(angle: float, p: float = spacing, h: float = height, D: float = D) -> float:
            straight = (p - D * math.sin(angle)) / math.cos(angle)
            return straight * math.sin(angle) + D * (1 - math.cos(angle)) - h

        steepest = math.asin(spacing / D) if spacing < D else math.pi / 2
        assert found[k] == pytest.approx(by_brentq(too_high, 0.0, steepest - 1e-12), abs=1e-9)


def test_the_share_for_a_crimp_is_the_one_a_general_solver_finds() -> None:
    some = one_of(CLOTHS, np.arange(300))
    crimp = geometry(some, SHARES[:300]).warp_crimp_fraction
    found = share_from_warp_crimp(some, crimp)
    for k in range(300):
        one, wanted = some.at(k), float(crimp[k])

        def over(share: float, one: Cloth = one, wanted: float = wanted) -> float:
            return float(geometry(one, share).warp_crimp_fraction) - wanted

        low, high = share_range(one)
        if over(low) < 0 < over(high):
            assert found[k] == pytest.approx(by_brentq(over, low, high), abs=1e-9)
    assert np.abs(found - SHARES[:300]).max() < 1e-9


def test_the_jam_is_the_one_a_general_solver_finds() -> None:
    for k in range(300):
        one = CLOTHS.at(k)

        def room(times: float, one: Cloth = one) -> float:
            """What the highest waves leave of D, floats touching; written out anew."""
            D = one.both_mm
            left = D
            for thread, crossed in ((one.warp, one.weft), (one.weft, one.warp)):
                floats = (1 - thread.waved) * crossed.diameter_mm
                p = (10 / crossed.per_cm / times - floats) / thread.waved
                left -= D if p >= D else D - math.sqrt(D**2 - max(p, 0.0) ** 2)
            return left

        limit = 1 / float(closeness(one))
        if room(limit * 1.5) > 0 > room(limit * 0.5):
            solved = by_brentq(room, limit * 0.5, limit * 1.5)
            floats = min(
                10 / crossed.per_cm / max((1 - thread.waved) * crossed.diameter_mm, 1e-12)
                for thread, crossed in ((one.warp, one.weft), (one.weft, one.warp))
            )
            face = max(one.face_share, 1 - one.face_share)
            touching = min(10 / x.per_cm / (face * x.diameter_mm) for x in one.systems)
            assert limit == pytest.approx(min(solved, floats, touching), rel=1e-7)


def test_one_cloth_gives_what_it_gives_among_many() -> None:
    many = geometry(CLOTHS, SHARES)
    even, close, most = geometry(CLOTHS), closeness(CLOTHS), most_picks_per_cm(CLOTHS)
    passed = interchanged(CLOTHS, SHARES, SHARES)
    for k in range(0, 200, 7):
        alone, share = CLOTHS.at(k), float(SHARES[k])
        found = geometry(alone, share)
        assert isinstance(found.warp_crimp_fraction, float)
        assert found.warp_crimp_fraction == pytest.approx(many.warp_crimp_fraction[k], rel=1e-12)
        assert found.thickness_mm == pytest.approx(many.thickness_mm[k], rel=1e-12)
        assert geometry(alone).warp_share == pytest.approx(even.warp_share[k], rel=1e-12)
        assert closeness(alone) == pytest.approx(close[k], rel=1e-9)
        assert most_picks_per_cm(alone) == pytest.approx(most[k], rel=1e-9)
        again = interchanged(alone, share, share)
        assert again.warp.per_cm == pytest.approx(passed.warp.per_cm[k], rel=1e-9)


def test_swapping_warp_and_weft_swaps_the_answers() -> None:
    found, turned = geometry(CLOTHS, SHARES), geometry(CLOTHS.swapped(), 1 - SHARES)
    assert turned.weft_crimp_fraction == pytest.approx(found.warp_crimp_fraction, abs=1e-12)
    assert turned.warp_crimp_fraction == pytest.approx(found.weft_crimp_fraction, abs=1e-12)
    assert turned.thickness_mm == pytest.approx(found.thickness_mm)
    assert closeness(CLOTHS.swapped()) == pytest.approx(closeness(CLOTHS), rel=1e-7)
    low, high = share_range(CLOTHS.swapped())
    assert 1 - low == pytest.approx(HIGH, abs=1e-12)
    assert 1 - high == pytest.approx(LOW, abs=1e-12)


def test_a_cloth_twice_as_large_in_every_length_has_the_same_shape() -> None:
    large = Cloth(
        Threads(CLOTHS.warp.per_cm / 2, CLOTHS.warp.diameter_mm * 2, CLOTHS.warp.waved),
        Threads(CLOTHS.weft.per_cm / 2, CLOTHS.weft.diameter_mm * 2, CLOTHS.weft.waved),
        CLOTHS.face_share,
    )
    small, found = geometry(CLOTHS, SHARES), geometry(large, SHARES)
    assert found.warp_crimp_fraction == pytest.approx(small.warp_crimp_fraction, rel=1e-9)
    assert found.thickness_mm == pytest.approx(2 * small.thickness_mm)
    assert closeness(large) == pytest.approx(closeness(CLOTHS), rel=1e-9)


def test_waves_share_both_diameters_and_crimp_is_never_below_0() -> None:
    found = geometry(CLOTHS, SHARES)
    assert found.warp_wave_mm + found.weft_wave_mm == pytest.approx(CLOTHS.both_mm)
    assert found.warp_crimp_fraction.min() >= 0
    assert found.weft_crimp_fraction.min() >= 0
    assert (
        found.thickness_mm >= np.maximum(*(2 * x.diameter_mm for x in CLOTHS.systems)) / 2
    ).all()
    assert (found.thickness_mm >= CLOTHS.both_mm * (1 - 1e-12)).all()
    assert (found.thickness_mm <= 2 * CLOTHS.both_mm).all()


def test_the_more_of_the_wave_the_warp_takes_the_more_it_bends_and_the_less_the_weft() -> None:
    steps = [geometry(CLOTHS, LOW + part * (HIGH - LOW)) for part in (0, 0.25, 0.5, 0.75, 1)]
    for less, more in pairwise(steps):
        assert (more.warp_crimp_fraction >= less.warp_crimp_fraction).all()
        assert (more.weft_crimp_fraction <= less.weft_crimp_fraction).all()


def test_a_crimp_gives_back_the_share_that_gave_it() -> None:
    for share in (SHARES, LOW, HIGH):
        found = geometry(CLOTHS, share)
        warp = share_from_warp_crimp(CLOTHS, found.warp_crimp_fraction)
        weft = 1 - share_from_warp_crimp(CLOTHS.swapped(), found.weft_crimp_fraction)
        assert np.abs(warp - share).max() < 1e-9
        assert np.abs(weft - share).max() < 1e-9


def test_every_share_up_to_the_ends_of_the_range_is_woven_and_none_beyond() -> None:
    low, high = warp_crimp_range(CLOTHS)
    assert (geometry(CLOTHS, LOW).warp_crimp_fraction == low).all()
    assert (geometry(CLOTHS, HIGH).warp_crimp_fraction == high).all()
    assert (low <= high).all()


def test_no_wave_of_the_range_asks_for_more_room_than_there_is() -> None:
    D = CLOTHS.both_mm
    for thread, crossed, highest in (
        (CLOTHS.warp, CLOTHS.weft, HIGH * D),
        (CLOTHS.weft, CLOTHS.warp, (1 - LOW) * D),
    ):
        needed = thread.waved * least_spacing_mm(np.minimum(highest, D), D)
        needed += (1 - thread.waved) * crossed.diameter_mm
        assert (needed <= crossed.spacing_mm * (1 + 1e-9)).all()


def test_at_the_jam_one_share_is_left_and_a_closer_cloth_has_none() -> None:
    close = closeness(CLOTHS)
    jammed = CLOTHS.set_at(CLOTHS.warp.per_cm / close, CLOTHS.weft.per_cm / close)
    assert closeness(jammed) == pytest.approx(np.ones(close.shape), rel=1e-9)
    found = geometry(jammed)
    assert np.isfinite(found.warp_crimp_fraction).all()
    plain = (jammed.warp.waved == 1) & (jammed.weft.waved == 1)
    for one in (jammed, jammed.swapped()):  # but for those in which threads of a face touch before
        plain &= touching_mm(one) < one.weft.spacing_mm * (1 - 1e-9)
    assert plain.sum() > 100
    low, high = share_range(one_of(jammed, plain))
    assert np.abs(high - low).max() < 1e-6
    most = most_picks_per_cm(jammed)
    assert (most >= jammed.weft.per_cm * (1 - 1e-6)).all()
    assert most[plain] == pytest.approx(jammed.weft.per_cm[plain], rel=1e-6)


def test_crimp_passed_to_the_weft_and_back_leaves_a_plain_cloth_as_it_was() -> None:
    plain = (CLOTHS.warp.waved == 1) & (CLOTHS.weft.waved == 1)
    cloths, share = one_of(CLOTHS, plain), SHARES[plain]
    low, high = share_reach(cloths, share)
    other = low + (high - low) * RNG.uniform(0, 1, low.shape)
    there = interchanged(cloths, share, other)
    back = interchanged(there, other, share)
    assert back.warp.per_cm == pytest.approx(cloths.warp.per_cm, rel=1e-8)
    assert back.weft.per_cm == pytest.approx(cloths.weft.per_cm, rel=1e-8)
    before, after = geometry(cloths, share), geometry(there, other)
    for spacing, crimp in (("weft", "warp_crimp_fraction"), ("warp", "weft_crimp_fraction")):
        was = getattr(cloths, spacing).spacing_mm * (1 + getattr(before, crimp))
        now = getattr(there, spacing).spacing_mm * (1 + getattr(after, crimp))
        assert now == pytest.approx(was, rel=1e-8)


def test_pulled_along_the_warp_picks_open_and_ends_close_up() -> None:
    low, _ = share_reach(CLOTHS, SHARES)
    tight = interchanged(CLOTHS, SHARES, low)
    assert (tight.weft.per_cm <= CLOTHS.weft.per_cm * (1 + 1e-9)).all()
    assert (tight.warp.per_cm >= CLOTHS.warp.per_cm * (1 - 1e-9)).all()
    assert (closeness(tight) <= 1 + 1e-6).all()


@given(st.floats(0.01, 1), st.floats(0.01, 10))
def test_the_highest_wave_and_the_least_spacing_are_each_others_inverse(
    part: float, D: float
) -> None:
    spacing = part * 0.999 * D
    assert least_spacing_mm(highest_wave_mm(spacing, D), D) == pytest.approx(spacing)
    assert jam_spacing_mm(jam_spacing_mm(spacing, D), D) == pytest.approx(spacing, rel=1e-6)
    wave = highest_wave_mm(spacing, D)
    assert bent_wave_mm(excess_mm(spacing, wave, D), D) == pytest.approx(wave, rel=1e-7)


@given(st.floats(0.01, 50), st.floats(0.001, 5), st.floats(0.01, 50), st.floats(0.001, 5))
def test_cover_is_a_part_of_the_whole_and_grows_with_either_system(
    ends: float, warp_mm: float, picks: float, weft_mm: float
) -> None:
    warp, weft = cover_fraction(ends, warp_mm), cover_fraction(picks, weft_mm)
    assert 0 < max(warp, weft) <= cloth_cover(warp, weft) <= 1
    assert cover_fraction(ends * 2, warp_mm) >= warp


@given(st.floats(0, 100), st.floats(0, 100))
def test_a_range_is_said_so_that_both_ends_lie_within(one: float, other: float) -> None:
    low, high = sorted((one, other))
    least, most = map(float, inward(low, high))
    assert low - 1e-8 <= least <= most + 1e-8
    assert most <= high + 1e-8


@given(st.floats(-5, 5), st.floats(0.1, 3))
def test_a_root_is_found_however_badly_the_search_starts(at: float, steep: float) -> None:
    def curve(x: Array) -> tuple[Array, Array]:
        flat = np.arctan(steep * (x - at))
        return flat, steep / (1 + (steep * (x - at)) ** 2)

    for start in (-1000.0, 0.0, 1000.0):
        assert float(rising_root(curve, start, -1000.0, 1000.0)) == pytest.approx(at, abs=1e-9)
