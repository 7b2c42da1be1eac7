"""The lashing cord, against right-angled triangles worked by hand."""

import math

import pytest

from farspun.craft.lashing import TAILS_CM, lashing, loop_cm
from farspun.errors import ImpossibleValue


@pytest.mark.parametrize(
    ("bundle_cm", "gap_cm", "slant_cm"), [(6.0, 4.0, 5.0), (10.0, 12.0, 13.0), (16.0, 15.0, 17.0)]
)
def test_a_loop_is_two_slants_and_half_way_round_the_bar(
    bundle_cm: float, gap_cm: float, slant_cm: float
) -> None:
    # triangles 3-4-5, 5-12-13 and 8-15-17; half the circle of a bar 2 cm thick is π cm
    assert loop_cm(bundle_cm, gap_cm, 2.0) == pytest.approx(2 * slant_cm + math.pi, abs=1e-12)


def test_the_cord_is_worked_out_by_hand() -> None:
    # 42 cm in bundles of 6 cm are 7; 7 × (10 + 3.14159) = 91.991; and 90 cm of tails
    cord = lashing(42.0, 6.0, 4.0, 2.0)
    assert cord.bundles == 7
    assert cord.cord_cm == pytest.approx(181.991, abs=0.001)
    assert cord.tails_cm == TAILS_CM == 90.0


def test_twenty_inches_in_bundles_of_an_inch_are_twenty_and_no_false_one() -> None:
    assert lashing(20 * 2.54, 2.54, 8.0, 1.2).bundles == 20
    assert lashing(20.1 * 2.54, 2.54, 8.0, 1.2).bundles == 21


def test_knots_at_the_bar_itself_take_a_bundle_of_cord_and_half_the_bar() -> None:
    assert loop_cm(2.5, 0.0, 1.0) == pytest.approx(2.5 + math.pi / 2)


@pytest.mark.parametrize(
    ("given", "what"),
    [
        ((0.0, 2.5, 8.0, 1.2), "width"),
        ((50.0, 0.0, 8.0, 1.2), "bundle"),
        ((50.0, 2.5, -1.0, 1.2), "gap"),
        ((50.0, 2.5, 8.0, math.nan), "rod"),
    ],
)
def test_what_cannot_be_is_refused_by_name(given: tuple[float, ...], what: str) -> None:
    with pytest.raises(ImpossibleValue, match=what):
        lashing(*given)
