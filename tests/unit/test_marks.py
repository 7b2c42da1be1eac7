"""The ten marks: hand arithmetic for what should be there, a simulation for when to stop."""

import math

import numpy as np
import pytest

from farspun.craft import halfway
from farspun.craft.marks import Weft, marks, tenths
from farspun.errors import ImpossibleValue

WEFT = Weft(start_g=120.0, keep_g=15.0, need_m=300.0, need_g=100.0, sd_ln=0.06, tape_cm=180.0)


def test_the_marks_are_tenths_of_the_tape_and_of_the_weft() -> None:
    found = marks(WEFT, 0.95)
    assert [one.tape_cm for one in found] == pytest.approx([18.0 * k for k in range(1, 11)])
    assert [one.used_m for one in found] == pytest.approx([30.0 * k for k in range(1, 11)])
    assert [one.should_g for one in found] == pytest.approx([120 - 10.0 * k for k in range(1, 11)])


def test_at_the_last_mark_only_what_others_keep_must_be_left() -> None:
    assert marks(WEFT, 0.95)[-1].think_below_g == WEFT.keep_g


def test_never_less_than_the_rest_takes_by_the_plan() -> None:
    for number, one in enumerate(marks(WEFT, 0.5001), start=1):
        assert one.think_below_g is not None
        assert one.think_below_g >= 15 + 100 * (1 - number / 10) - 1e-9


def test_more_promised_stops_sooner_and_more_yarn_does_not_move_the_line_up() -> None:
    easy, strict = marks(WEFT, 0.80), marks(WEFT, 0.99)
    for one, other in zip(easy[:-1], strict[:-1], strict=True):
        assert one.think_below_g is not None and other.think_below_g is not None
        assert other.think_below_g >= one.think_below_g
    # with twice as much yarn there is far more room between what should be and when to stop
    plenty = marks(Weft(220.0, 15.0, 300.0, 100.0, 0.06, 180.0), 0.95)
    for one, other in zip(plenty[:-1], marks(WEFT, 0.95), strict=False):
        assert one.think_below_g is not None and other.think_below_g is not None
        assert one.should_g - one.think_below_g > 30 + other.should_g - other.think_below_g


def test_what_is_woven_beyond_what_serves_only_takes_yarn() -> None:
    """With 8 of 10 marks enough, marks 1 to 8 are eighths of the need; then nothing is asked."""
    found = marks(Weft(120.0, 15.0, 300.0, 100.0, 0.06, 180.0, serves=0.8), 0.95)
    assert [one.should_g for one in found] == pytest.approx(
        [120 - 12.5 * number for number in range(1, 11)]
    )
    assert [one.think_below_g for one in found[7:]] == [15.0] * 3
    alike = marks(
        Weft(120.0, 15.0, 300.0, 100.0, 0.06, 144.0), 0.95, [k / 8 for k in range(9)] + [1]
    )
    for one, other in zip(found[:7], alike[1:8], strict=True):
        assert one.think_below_g == pytest.approx(other.think_below_g)


def test_a_band_that_is_not_begun_has_no_line_and_one_that_is_done_needs_no_more() -> None:
    used = (0.0, 0.0, 0.5, 0.5, 0.5, 0.5, 0.5, 1.0, 1.0, 1.0)
    found = marks(WEFT, 0.95, used)
    assert [one.think_below_g for one in found[:2]] == [None, None]
    assert [one.should_g for one in found[:3]] == pytest.approx([120.0, 120.0, 70.0])
    assert [one.think_below_g for one in found[7:]] == [15.0] * 3


@pytest.mark.parametrize("mark", [3, 5, 8])
def test_of_cloths_weighed_at_the_line_as_many_reach_as_were_promised(mark: int) -> None:
    """Cloths woven on paper: rate, drift and stretches drawn, the weighing included. Of those whose
    ball weighs what the line says (to a gram), 90 in 100 keep what is kept for others."""
    scarce = Weft(116.0, 10.0, 300.0, 100.0, 0.08, 180.0)
    line = marks(scarce, 0.90)[mark - 1].think_below_g
    assert line is not None
    random = np.random.Generator(np.random.PCG64(7))
    n, part = 4_000_000, mark / 10
    in_stretch_m = 300 * 25 / 180
    tau = math.sqrt(0.02**2 + 0.1**2 * 10 / (10 + in_stretch_m))
    delta = math.sqrt(0.02**2 + 0.03**2)
    rate = 100 * (1 + 0.08 * random.standard_normal(n))
    drift = 100 * delta * random.standard_normal(n)
    stretch = 100 * tau * math.sqrt(25 / 180)
    first = stretch * math.sqrt(part) * random.standard_normal(n)
    second = stretch * math.sqrt(1 - part) * random.standard_normal(n)
    weighing = math.sqrt(1 / 12 + (0.003 * 116) ** 2)
    seen = rate * part + drift * (part**2 - part) / 2 + first
    seen += weighing * (random.standard_normal(n) - random.standard_normal(n))
    whole = rate + first + second
    on_the_line = np.abs(116 - seen - line) < 0.5
    assert on_the_line.sum() > 3000
    assert line > 10 + 100 * (1 - part)  # the line of the odds, not that of the plan
    assert np.mean(116 - whole[on_the_line] >= 10) == pytest.approx(0.90, abs=0.02)


def test_the_constants_are_those_of_the_half_way_check() -> None:
    assert (halfway.STRETCH_CM, halfway.STRAY, halfway.UNEVENNESS) == (25.0, 0.02, 0.10)
    assert (halfway.drift_of_yarn(1e9), halfway.SCALE_FRACTION) == (pytest.approx(0.3e9), 0.003)


@pytest.mark.parametrize(
    ("weft", "what"),
    [
        (Weft(0.0, 0.0, 300.0, 100.0, 0.06, 180.0), "start"),
        (Weft(100.0, 101.0, 300.0, 100.0, 0.06, 180.0), "kept"),
        (Weft(100.0, 0.0, 300.0, math.nan, 0.06, 180.0), "need"),
        (Weft(100.0, 0.0, 300.0, 100.0, 0.06, 0.0), "tape"),
    ],
)
def test_what_cannot_be_is_refused(weft: Weft, what: str) -> None:
    with pytest.raises(ImpossibleValue, match=what):
        marks(weft, 0.95)


def test_tenths_of_no_tape_are_refused() -> None:
    with pytest.raises(ImpossibleValue):
        tenths(math.nan)
