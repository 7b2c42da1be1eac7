"""The sett: each voice alone, both together, what purpose and weft make of it."""

import math

import numpy as np
import pytest

from farspun.craft.fibres import Blend, blend
from farspun.craft.sett import (
    SettAnswer,
    WarpYarn,
    grist_rule,
    mean_wraps,
    picks_per_cm,
    sett_from_grist,
    sett_from_wraps,
    suggested_sett,
    threads_share,
    upper_bound,
)
from farspun.craft.weave import PURPOSES, weave
from farspun.craft.yarn import Wrap
from farspun.errors import ImpossibleValue, WrongUse

NAN = math.nan
WOOL, COTTON = blend("wool"), blend("cotton")
PLAIN, TWILL = weave("plain"), weave("2/2 twill")
CM = 2.54


def tex_of(yd_per_lb: float) -> float:
    return 496_054.65 / yd_per_lb


def wrapped(*wraps_per_cm: float, wrap: Wrap | None = None) -> WarpYarn:
    return WarpYarn(WOOL, wraps_per_cm, wrap)


def test_snug_wraps_give_half_for_plain_and_two_thirds_for_a_twill() -> None:
    assert sett_from_wraps(15.0, PLAIN, "snug") == 7.5
    assert sett_from_wraps(15.0, TWILL, "snug") == pytest.approx(10)


def test_loose_wraps_of_wool_are_made_snug_by_their_packing() -> None:
    loose, snug = (sett_from_wraps(10.0, PLAIN, how) for how in ("loose", "snug"))
    assert loose / snug == pytest.approx(math.sqrt(0.17 / 0.095))


def test_wraps_of_which_it_is_not_said_count_as_snug() -> None:
    assert sett_from_wraps(10.0, PLAIN) == sett_from_wraps(10.0, PLAIN, "snug")


def test_other_fibres_hardly_give_so_loose_is_as_snug() -> None:
    assert sett_from_wraps(10.0, PLAIN, "loose", "plant") == 5.0


def test_a_mixed_warp_is_set_by_the_mean_width_of_its_yarns() -> None:
    # an inch of 8 and 24 wraps in turn: 1/8 + 1/24 = 1/6 for two ends
    assert mean_wraps([8.0, 24.0]) == pytest.approx(12)
    mixed = suggested_sett(wrapped(8.0, 24.0), PLAIN)
    assert mixed.suggested_ends_per_cm == pytest.approx(6)
    # an order of two thick and one thin
    assert mean_wraps([8.0, 8.0, 24.0]) == pytest.approx(3 / (2 / 8 + 1 / 24))


@pytest.mark.parametrize(
    ("fibre", "draw", "mill", "rule"),
    [
        (WOOL, "woollen", False, 0.24),
        (WOOL, "semi", False, 0.26),
        (WOOL, "worsted", False, 0.30),
        (WOOL, "worsted", True, 0.32),
        (COTTON, "semi", False, 0.345),
        (blend("linen"), "worsted", True, 0.345),
        (blend("wool 50, cotton 50"), "semi", False, 0.3025),
    ],
)
def test_the_grist_rule_has_its_figure_for_fibre_and_draw(
    fibre: Blend, draw: str, mill: bool, rule: float
) -> None:
    assert draw in ("woollen", "semi", "worsted")
    assert grist_rule(fibre, draw, mill) == pytest.approx(rule)
    per_inch = CM * sett_from_grist(tex_of(1600), fibre, draw, mill, PLAIN)
    assert per_inch == pytest.approx(rule * 40)


def test_a_twill_is_set_closer_than_plain_weave_by_grist_too() -> None:
    plain, twill = (sett_from_grist(200.0, WOOL, "semi", False, one) for one in (PLAIN, TWILL))
    assert twill / plain == pytest.approx(4 / 3)


def test_thick_yarn_is_set_a_tenth_more_openly() -> None:
    thick = sett_from_grist(tex_of(599), WOOL, "semi", False, PLAIN)
    thinner = sett_from_grist(tex_of(601), WOOL, "semi", False, PLAIN)
    assert thick / thinner == pytest.approx(0.9, rel=0.002)


def test_arrays_of_yarns_give_what_each_gives_alone() -> None:
    tex = np.array([100.0, 700.0, 900.0])
    together = sett_from_grist(tex, WOOL, "semi", False, PLAIN)
    alone = [sett_from_grist(float(one), WOOL, "semi", False, PLAIN) for one in tex]
    assert together.tolist() == alone
    bounds = upper_bound(tex, WOOL, "woollen", TWILL)
    assert bounds.tolist() == [upper_bound(float(one), WOOL, "woollen", TWILL) for one in tex]


def test_the_bound_falls_where_the_weft_is_thicker() -> None:
    equal, thicker = (upper_bound(200.0, WOOL, "semi", PLAIN, ratio) for ratio in (1.0, 2.0))
    assert thicker / equal == pytest.approx((1 / 3) / (1 / 2))
    assert threads_share(TWILL, 2.0) == pytest.approx(4 / 8)


def test_a_voice_alone_is_the_suggestion_with_its_own_spread() -> None:
    by_wraps = suggested_sett(wrapped(6.0), PLAIN)
    assert by_wraps.suggested_ends_per_cm == by_wraps.from_wraps_ends_per_cm == 3.0
    assert by_wraps.high_ends_per_cm == pytest.approx(3 * math.exp(0.12))
    assert by_wraps.from_grist_ends_per_cm is None
    assert by_wraps.upper_bound_ends_per_cm is None
    by_count = suggested_sett(WarpYarn(WOOL, tex=200.0), PLAIN)
    assert by_count.suggested_ends_per_cm == by_count.from_grist_ends_per_cm
    assert by_count.low_ends_per_cm == pytest.approx(
        by_count.suggested_ends_per_cm * math.exp(-0.15)
    )
    assert by_count.from_wraps_ends_per_cm is None


@pytest.mark.parametrize("mill", [False, True])
def test_both_voices_are_joined_by_their_weights(mill: bool) -> None:
    answer = suggested_sett(WarpYarn(WOOL, (6.0,), "snug", 200.0, mill, "worsted"), PLAIN)
    wraps, grist = answer.from_wraps_ends_per_cm, answer.from_grist_ends_per_cm
    assert wraps is not None and grist is not None
    w1, w2 = 1 / 0.12**2, (4 if mill else 1) / 0.15**2
    middle = math.exp((w1 * math.log(wraps) + w2 * math.log(grist)) / (w1 + w2))
    spread = math.sqrt((w1 * 0.12) ** 2 + (w2 * 0.15) ** 2) / (w1 + w2)
    assert answer.suggested_ends_per_cm == pytest.approx(middle)
    assert answer.low_ends_per_cm == pytest.approx(middle * math.exp(-spread))
    assert answer.high_ends_per_cm == pytest.approx(middle * math.exp(spread))


def test_wraps_lead_for_handspun_and_grist_for_mill_yarn() -> None:
    def leaning(mill: bool) -> float:
        answer = suggested_sett(WarpYarn(WOOL, (8.0,), "snug", 200.0, mill, "worsted"), PLAIN)
        wraps, grist = answer.from_wraps_ends_per_cm, answer.from_grist_ends_per_cm
        assert wraps is not None and grist is not None
        return math.log(answer.suggested_ends_per_cm / grist) / math.log(wraps / grist)

    assert leaning(mill=False) > 0.5 > leaning(mill=True)


@pytest.mark.parametrize(
    ("purpose", "factor"),
    [("drape", 0.87), ("everyday", 1), ("firm", 1.15), ("weft-faced", 0.4), ("warp-faced", 2.2)],
)
@pytest.mark.parametrize("fulled", [False, True])
def test_the_purpose_moves_sett_and_span_alike(purpose: str, factor: float, fulled: bool) -> None:
    everyday = suggested_sett(wrapped(6.0), PLAIN)
    other = suggested_sett(wrapped(6.0), PLAIN, purpose, fulled)
    times = factor * (0.85 if fulled else 1)
    for field in ("suggested_ends_per_cm", "low_ends_per_cm", "high_ends_per_cm"):
        assert getattr(other, field) == pytest.approx(times * getattr(everyday, field))


@pytest.mark.parametrize("purpose", ["weft-faced", "warp-faced"])
def test_faced_cloth_takes_its_part_of_the_plain_value_in_any_weave(purpose: str) -> None:
    plain, twill = (suggested_sett(wrapped(6.0), one, purpose) for one in (PLAIN, TWILL))
    assert plain == twill


@pytest.mark.parametrize("purpose", ["drape", "everyday", "firm"])
@pytest.mark.parametrize("name", ["plain", "2/2 twill", "warp rib 2/2"])
def test_picks_are_square_for_equal_yarns(purpose: str, name: str) -> None:
    answer = suggested_sett(wrapped(6.0), weave(name), purpose)
    assert answer.picks_per_cm == pytest.approx(answer.suggested_ends_per_cm)


def test_a_thicker_weft_gets_fewer_picks_as_close_to_its_bound_as_the_ends() -> None:
    ratio, ends = 1.8, 3.0
    picks = picks_per_cm(ends, ends, TWILL, "everyday", weft_diameter=ratio)
    warp_mm, weft_mm = 1.0, ratio
    ends_bound = 4 / (4 * warp_mm + 2 * weft_mm)
    picks_bound = 4 / (4 * weft_mm + 2 * warp_mm)
    assert picks / picks_bound == pytest.approx(ends / ends_bound)


def test_weft_faced_picks_go_by_the_weft_alone() -> None:
    answer = suggested_sett(wrapped(6.0), PLAIN, "weft-faced", weft_diameter=0.5)
    assert answer.suggested_ends_per_cm == pytest.approx(0.4 * 3)
    assert answer.picks_per_cm == pytest.approx(2.2 * 6)


def test_warp_faced_cloth_has_fewer_picks_than_ends() -> None:
    answer = suggested_sett(wrapped(6.0), PLAIN, "warp-faced")
    assert answer.picks_per_cm == pytest.approx(1.5)


def test_handspun_is_read_as_semi_drawn_and_mill_yarn_as_worsted() -> None:
    assert WarpYarn(WOOL).drawn == "semi"
    assert WarpYarn(WOOL, mill=True).drawn == "worsted"
    assert WarpYarn(WOOL, mill=True, draw="woollen").drawn == "woollen"


def test_the_wrapped_diameter_is_that_of_snug_wraps() -> None:
    assert wrapped(5.0).wrapped_mm == 2.0
    loose = wrapped(5.0, wrap="loose").wrapped_mm
    assert loose == pytest.approx(2 * math.sqrt(0.095 / 0.17))
    assert WarpYarn(WOOL, tex=100.0).wrapped_mm is None


def test_a_yarn_of_unknown_thickness_is_sent_back() -> None:
    with pytest.raises(WrongUse, match="thickness"):
        suggested_sett(WarpYarn(WOOL), PLAIN)


@pytest.mark.parametrize("bad", [0.0, -1.0, NAN])
def test_a_thickness_that_cannot_be_is_refused(bad: float) -> None:
    for yarn in (wrapped(bad), WarpYarn(WOOL, tex=bad)):
        with pytest.raises(ImpossibleValue):
            suggested_sett(yarn, PLAIN)
    with pytest.raises(ImpossibleValue):
        suggested_sett(wrapped(6.0), PLAIN, weft_diameter=bad)


def test_no_reading_at_all_has_no_mean_wrap() -> None:
    with pytest.raises(ImpossibleValue):
        mean_wraps([])


def test_a_purpose_not_known_is_refused_with_those_that_are() -> None:
    with pytest.raises(ImpossibleValue, match=", ".join(PURPOSES)):
        suggested_sett(wrapped(6.0), PLAIN, "sturdy")


def test_the_answer_is_not_held_back_by_the_bound() -> None:
    answer: SettAnswer = suggested_sett(WarpYarn(WOOL, (14.0,), "snug", 600.0), PLAIN)
    assert answer.upper_bound_ends_per_cm is not None
    assert answer.suggested_ends_per_cm > answer.upper_bound_ends_per_cm
