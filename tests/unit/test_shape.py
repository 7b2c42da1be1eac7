"""Take-up by geometry: the level stays practice's, the shape follows sett, weave and yarn."""

import numpy as np
import pytest

from farspun.craft.geometry import geometry
from farspun.craft.jam import closeness
from farspun.craft.shape import Side, crimp_ratios, shape_ratios, shaped_crimp, shaped_take_up
from farspun.craft.spread import Spread
from farspun.craft.threads import Cloth, Threads, cloth
from farspun.craft.weave import weave

LEVEL = Spread(0.09, 0.03, "loss", "common practice")
CRIMP = 0.09 / 0.91
USUAL = Cloth(Threads(4.0, 0.7), Threads(4.0, 0.7))


def ratio(woven: Cloth, usual: Cloth = USUAL) -> float:
    found = crimp_ratios(woven, usual, (CRIMP, CRIMP))
    return float(found[0])


def test_the_usual_cloth_takes_up_what_practice_says():
    assert crimp_ratios(USUAL, USUAL, (CRIMP, CRIMP)) == (1.0, 1.0)
    same = shaped_take_up(LEVEL, 1.0)
    assert (same.mean, same.sd) == pytest.approx((0.09, 0.03))
    assert same.kind == "loss"


def test_a_closer_cloth_takes_up_more_and_an_opener_one_less():
    setts = (1.5, 2.0, 3.0, 4.0, 5.0, 6.0, 6.5)
    take_ups = [shaped_take_up(LEVEL, ratio(USUAL.set_at(sett, sett))).mean for sett in setts]
    assert take_ups == sorted(take_ups)
    assert take_ups[3] == pytest.approx(0.09)
    assert take_ups[0] < 0.02 and 0.12 < take_ups[-1] < 0.18


def test_in_an_opener_cloth_crimp_goes_with_geometry_alone():
    open_cloth = USUAL.set_at(3.0, 3.0)
    crimps = [geometry(one).warp_crimp_fraction for one in (open_cloth, USUAL)]
    assert ratio(open_cloth) == pytest.approx(crimps[0] / crimps[1], rel=1e-12)


def test_at_the_jam_practice_adds_nothing_to_geometry():
    per_cm = 4.0 / closeness(USUAL) * (1 - 1e-9)
    jammed = USUAL.set_at(per_cm, per_cm)
    assert CRIMP * ratio(jammed) == pytest.approx(0.2092, abs=2e-4)  # Peirce's square jammed cloth


def test_half_way_to_the_jam_the_surplus_of_practice_is_its_square_root():
    close = (1 + closeness(USUAL)) / 2
    half = USUAL.set_at(4.0 * close / closeness(USUAL), 4.0 * close / closeness(USUAL))
    crimps = [geometry(one).warp_crimp_fraction for one in (half, USUAL)]
    surplus = CRIMP / crimps[1]
    assert CRIMP * ratio(half) / crimps[0] == pytest.approx(surplus**0.5, rel=1e-6)


def test_the_more_a_weave_floats_the_less_it_takes_up_at_one_sett():
    names = ("plain", "2/1 twill", "2/2 twill", "5-end satin")
    ratios = [ratio(cloth(weave(name), 4.0, 4.0, 0.7, 0.7)) for name in names]
    assert ratios == sorted(ratios, reverse=True)
    assert ratios[0] == 1.0


def test_warp_and_weft_change_places_with_their_setts():
    found = crimp_ratios(USUAL.set_at(5.0, 3.0), USUAL, (CRIMP, CRIMP))
    turned = crimp_ratios(USUAL.set_at(3.0, 5.0), USUAL, (CRIMP, CRIMP))
    assert turned == pytest.approx(found[::-1])


def test_geometry_is_silent_beyond_the_jam():
    jammed = USUAL.set_at(20.0, 20.0)
    assert np.isnan(crimp_ratios(jammed, USUAL, (CRIMP, CRIMP))).all()
    assert np.isnan(crimp_ratios(USUAL, jammed, (CRIMP, CRIMP))).all()


def test_many_cloths_at_once_are_each_as_alone():
    setts, picks = np.array([2.0, 4.0, 5.0, 20.0]), np.array([3.0, 4.0, 5.5, 20.0])
    thick = Side(np.array([0.5, 0.7, 0.9, 0.7]), 8.0)
    fine = Side(0.6, np.array([9.0, 8.0, 8.5, 7.0]))
    drawn = weave("2/2 twill")
    many = shape_ratios(drawn, "everyday", (setts, picks), (thick, fine), 0.06)
    for at in range(4):
        sides = (Side(thick.compact_mm[at], 8.0), Side(0.6, fine.wraps_per_cm[at]))
        alone = shape_ratios(drawn, "everyday", (setts[at], picks[at]), sides, 0.06)
        for found, one in zip(many, alone, strict=True):
            assert found[at] == pytest.approx(float(one), rel=1e-12, nan_ok=True)
    assert np.isnan(many[0]).tolist() == [False, False, False, True]


def test_what_geometry_moved_is_doubted_more_than_what_practice_says():
    for moved_by in (0.4, 2.0):
        moved = shaped_crimp(Spread(0.1, 0.04, "addition"), moved_by)
        assert moved.mean == pytest.approx(0.1 * moved_by)
        assert moved.sd / moved.mean > 0.4
