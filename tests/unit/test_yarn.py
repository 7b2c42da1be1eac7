"""Thickness and packing of yarn."""

import math

import numpy as np
import pytest

from farspun.craft.yarn import (
    CLOSE_PACKED,
    diameter_mm,
    mean_tex,
    packing_from_wraps,
    plied_tex,
    singles_tex_for_ply,
    tex_from_wraps,
    wrap_packing,
    wraps_per_cm_from_tex,
)
from farspun.errors import ImpossibleValue

NAN = math.nan


def test_packing_follows_from_yards_per_pound_and_wraps_as_the_rule_has_it() -> None:
    # yd/lb = k·WPI² with packing 0.98/(k·density)
    k, wpi, density = 5.0, 14.0, 1.31
    tex = 496_054.65 / (k * wpi**2)
    assert packing_from_wraps(wpi / 2.54, tex, density) == pytest.approx(0.98 / (k * density), 0.01)


def test_loose_wraps_hold_less_fibre_than_snug_ones_and_unsaid_ones_are_between() -> None:
    loose, unsaid, snug = (wrap_packing("wool", wrap, False) for wrap in ("loose", None, "snug"))
    assert (loose.median, unsaid.median, snug.median) == (0.095, 0.14, 0.17)
    assert unsaid.log_sd > loose.log_sd == snug.log_sd


@pytest.mark.parametrize(("mill", "median"), [(True, 0.25), (False, 0.20)])
def test_mill_spun_linen_is_packed_closer_than_handspun(mill: bool, median: float) -> None:
    found = wrap_packing("plant", None, mill)
    assert (found.median, found.log_sd) == (median, 0.35)


@pytest.mark.parametrize("family", ["wool", "plant", "silk", "man-made"])
def test_no_expected_packing_is_closer_than_fibres_can_lie(family: str) -> None:
    assert family in ("wool", "plant", "silk", "man-made")
    for mill in (True, False):
        found = wrap_packing(family, None, mill)
        assert found.median * math.exp(3 * found.log_sd) < CLOSE_PACKED


def test_arrays_give_what_their_numbers_give_one_by_one() -> None:
    tex = np.array([40.0, 250.0, 900.0])
    wraps = wraps_per_cm_from_tex(tex, 1.31, 0.17)
    assert wraps.tolist() == [wraps_per_cm_from_tex(float(one), 1.31, 0.17) for one in tex]
    assert tex_from_wraps(wraps, 1.31, 0.17) == pytest.approx(tex)


@pytest.mark.parametrize(
    ("tex", "density", "packing"),
    [(0, 1.3, 0.2), (NAN, 1.3, 0.2), (40, 0, 0.2), (40, NAN, 0.2), (40, 1.3, 0), (40, 1.3, 1.1)],
)
def test_a_yarn_that_cannot_be_has_no_diameter(tex: float, density: float, packing: float) -> None:
    with pytest.raises(ImpossibleValue):
        diameter_mm(tex, density, packing)


def test_plies_add_and_contraction_makes_heavier() -> None:
    assert plied_tex([100.0, 100.0]) == 200
    assert plied_tex([100.0, 100.0], 0.1) == pytest.approx(220)
    assert singles_tex_for_ply(220.0, 2, 0.1) == pytest.approx(100)


def test_unlike_masses_are_weighted_by_their_length() -> None:
    assert mean_tex([30.0, 10.0], [30.0, 20.0]) == pytest.approx(40 / 1.5)


def test_no_yarn_at_all_has_neither_ply_nor_mean() -> None:
    for nothing in (lambda: plied_tex([]), lambda: mean_tex([], []), lambda: mean_tex([1.0], [])):
        with pytest.raises(ImpossibleValue):
            nothing()
    with pytest.raises(ImpossibleValue):
        singles_tex_for_ply(40.0, 0)
