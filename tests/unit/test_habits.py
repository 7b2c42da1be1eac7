"""The table of habits: its figures, and that each is in the one convention for spreads."""

import math
from collections.abc import Callable
from typing import get_args

import numpy as np
import pytest

from farspun.craft import habits
from farspun.craft.fibres import FIBRES, Blend, blend
from farspun.craft.lengths import off_loom_width
from farspun.craft.spread import Spread
from farspun.craft.weave import PracticeFamily
from farspun.errors import ImpossibleValue

WOOL = blend("wool")


def _pair(spread: Spread) -> tuple[float, float]:
    return round(spread.mean, 6), round(spread.sd, 6)


def test_draw_in_is_a_bit_at_each_edge_and_a_part_of_the_reed() -> None:
    for width_cm in (8.0, 35.0, 150.0):
        spread = habits.draw_in_habit(width_cm)
        reed_cm = (width_cm + 0.8) / 0.955
        assert off_loom_width(reed_cm, spread.mean) == pytest.approx(width_cm)
        assert (spread.kind, spread.sd) == ("loss", 0.025)


def test_narrow_cloth_draws_in_more() -> None:
    means = [habits.draw_in_habit(width_cm).mean for width_cm in (5.0, 20.0, 80.0, 1000.0)]
    assert means == sorted(means, reverse=True)
    assert means[-1] == pytest.approx(0.045, abs=0.001)


@pytest.mark.parametrize(
    ("family", "mean", "sd"),
    [
        ("plain", 0.09, 0.03),
        ("twill or basket", 0.06, 0.025),
        ("weft-faced", 0.05, 0.03),
        ("warp-faced", 0.18, 0.06),
    ],
)
def test_take_up_has_a_level_for_each_family_of_weaves(family: str, mean: float, sd: float) -> None:
    assert habits.take_up_habit(family) == Spread(
        mean, sd, "loss", f"common practice for {family} cloth"
    )


def test_every_family_of_weaves_has_a_level() -> None:
    assert set(habits.TAKE_UP) == set(get_args(PracticeFamily))


@pytest.mark.parametrize("family", sorted(habits.TAKE_UP))
def test_weft_crimp_is_the_take_up_seen_from_the_cloth(family: str) -> None:
    take_up, crimp = habits.take_up_habit(family), habits.weft_crimp_habit(family)
    assert crimp.kind == "addition"
    assert crimp.factor == pytest.approx(1 / take_up.factor)
    assert crimp.log_sd == pytest.approx(take_up.log_sd)


def test_weft_take_up_as_one_figure_is_what_its_parts_come_to() -> None:
    draw_in = Spread(0.07, 0.025, "loss")
    pick = habits.weft_take_up_habit(draw_in, habits.weft_crimp_habit("plain"))
    z = np.random.Generator(np.random.PCG64(5)).standard_normal((3, 400_000))
    crimp, joins = habits.weft_crimp_habit("plain"), habits.joins_habit()
    bent = draw_in.factor * crimp.factor
    bent_draws = bent * np.exp(math.hypot(draw_in.log_sd, crimp.log_sd) * z[0])
    drawn = np.log(np.maximum(1, bent_draws) * joins.factor * np.exp(joins.log_sd * z[1]))
    assert pick.mean == pytest.approx(0.93 * 1.0989 * 1.03 - 1, abs=1e-4)
    assert pick.log_sd == pytest.approx(drawn.std(), rel=0.01)
    assert (pick.kind, round(pick.mean, 2), round(pick.sd, 2)) == ("addition", 0.05, 0.04)


def test_weft_take_up_is_never_less_than_the_width_in_the_reed() -> None:
    narrow = habits.weft_take_up_habit(
        habits.draw_in_habit(5.0), habits.weft_crimp_habit("weft-faced")
    )
    assert narrow.mean == pytest.approx(0.03)


def test_weft_take_up_without_doubt_has_only_that_of_its_joins() -> None:
    sure = habits.weft_take_up_habit(Spread(-10.0, 0.0, "loss"), habits.weft_crimp_habit("plain"))
    assert sure.log_sd == pytest.approx(
        math.hypot(habits.take_up_habit("plain").log_sd, habits.joins_habit().log_sd)
    )


def test_wool_gives_back_more_off_the_loom_than_anything_else() -> None:
    assert _pair(habits.let_off_habit("wool")) == (0.04, 0.025)
    for family in ("silk", "plant", "man-made"):
        assert _pair(habits.let_off_habit(family)) == (0.015, 0.01)


@pytest.mark.parametrize(
    ("fibre", "superwash", "wash", "length", "width"),
    [
        ("wool", False, "gentle", (0.10, 0.05), (0.10, 0.05)),
        ("wool", False, "hot", (0.12, 0.05), (0.12, 0.05)),
        ("wool", False, "fulled", (0.17, 0.06), (0.25, 0.10)),
        ("wool", False, "machine", (0.17, 0.09), (0.25, 0.09)),
        ("wool", False, "none", (0.0, 0.01), (0.0, 0.01)),
        ("wool", True, "gentle", (0.05, 0.03), (0.05, 0.03)),
        ("wool", True, "fulled", (0.05, 0.03), (0.05, 0.03)),
        ("alpaca", False, "fulled", (0.17, 0.06), (0.25, 0.10)),
        ("mohair", False, "gentle", (0.10, 0.05), (0.10, 0.05)),
        ("cotton", False, "gentle", (0.09, 0.04), (0.10, 0.05)),
        ("cotton", True, "gentle", (0.09, 0.04), (0.10, 0.05)),
        ("cotton", False, "machine", (0.09, 0.06), (0.10, 0.075)),
        ("viscose", False, "gentle", (0.09, 0.04), (0.10, 0.05)),
        ("linen", False, "hot", (0.04, 0.025), (0.04, 0.025)),
        ("hemp", False, "gentle", (0.04, 0.025), (0.04, 0.025)),
        ("silk", False, "gentle", (0.04, 0.02), (0.04, 0.02)),
        ("nylon", False, "gentle", (0.02, 0.02), (0.02, 0.02)),
        ("silk", False, "none", (0.0, 0.01), (0.0, 0.01)),
        ("wool 50, silk 50", False, "gentle", (0.07, 0.035), (0.07, 0.035)),
        ("wool 80, nylon 20", True, "gentle", (0.044, 0.028), (0.044, 0.028)),
    ],
)
def test_shrinkage_goes_by_fibre_and_wash(
    fibre: str,
    superwash: bool,
    wash: str,
    length: tuple[float, float],
    width: tuple[float, float],
) -> None:
    of = blend(fibre)
    assert _pair(habits.shrink_length_habit(of, superwash, wash)) == length
    assert _pair(habits.shrink_width_habit(of, superwash, wash)) == width


@pytest.mark.parametrize("wash", habits.WASHES)
@pytest.mark.parametrize("fibre", sorted(FIBRES))
def test_every_fibre_known_has_a_shrinkage_in_every_wash(fibre: str, wash: str) -> None:
    for superwash in (False, True):
        spread = habits.shrink_length_habit(Blend(((fibre, 1.0),), fibre), superwash, wash)
        assert 0 <= spread.mean < 0.2 and spread.sd > 0
        assert wash in spread.origin or wash == "none"


def test_where_a_shrinkage_comes_from_is_said_in_words() -> None:
    mixed = habits.shrink_length_habit(blend("wool 80, nylon 20"), True, "hot")
    assert mixed.origin == "judgement for superwash wool 80, nylon 20, hot wash"
    origins = {
        ("wool", "fulled"): "common practice for wool, fulled wash",
        ("cotton", "gentle"): "common practice for cotton, gentle wash",
        ("cotton", "fulled"): "judgement for cotton, fulled wash",
    }
    for (fibre, wash), origin in origins.items():
        assert habits.shrink_width_habit(blend(fibre), False, wash).origin == origin


@pytest.mark.parametrize(
    ("loom", "tie", "mean", "sd"),
    [
        ("rigid-heddle", "knots", 50, 8),
        ("table", "knots", 65, 15),
        ("floor", "knots", 75, 12),
        ("frame", "knots", 15, 5),
        ("rigid-heddle", "lashed", 38, math.hypot(8, 4)),
        ("floor", "lashed", 63, math.hypot(12, 4)),
        ("frame", "lashed", 15, 5),
    ],
)
def test_loom_waste_goes_by_the_loom_and_how_the_warp_is_tied(
    loom: str, tie: str, mean: float, sd: float
) -> None:
    spread = habits.waste_habit(loom, tie)
    assert (spread.mean, spread.sd, spread.kind) == (mean, pytest.approx(sd), "length")


def test_the_beat_is_surer_once_picks_were_counted() -> None:
    assert habits.beat_habit(counted=False).log_sd == 0.08
    assert habits.beat_habit(counted=True).log_sd == 0.04
    assert habits.beat_habit(counted=True).factor == 1


def test_joins_add_and_cutting_only_wavers() -> None:
    assert (habits.joins_habit().factor, habits.joins_habit().sd) == (1.03, 0.02)
    assert (habits.cutting_habit().factor, habits.cutting_habit().log_sd) == (1, 0.01)


@pytest.mark.parametrize(
    ("ask", "known"),
    [
        (lambda: habits.shrink_length_habit(WOOL, False, "boiled"), "gentle, hot, fulled"),
        (lambda: habits.waste_habit("backstrap", "knots"), "rigid-heddle, table, floor, frame"),
        (lambda: habits.waste_habit("table", "glued"), "knots, lashed"),
        (lambda: habits.take_up_habit("felt"), "plain, twill or basket"),
    ],
)
def test_a_name_that_is_not_in_the_table_is_refused_with_those_that_are(
    ask: Callable[[], Spread], known: str
) -> None:
    with pytest.raises(ImpossibleValue) as refused:
        ask()
    assert known in refused.value.hint


def test_every_habit_says_where_it_comes_from() -> None:
    draw_in = habits.draw_in_habit(40)
    taken = [
        draw_in,
        habits.take_up_habit("plain"),
        habits.weft_crimp_habit("plain"),
        habits.weft_take_up_habit(draw_in, habits.weft_crimp_habit("plain")),
        habits.let_off_habit("wool"),
        habits.shrink_length_habit(WOOL, False, "none"),
        habits.waste_habit("table", "lashed"),
        habits.beat_habit(False),
        habits.joins_habit(),
        habits.cutting_habit(),
    ]
    assert all(spread.origin.startswith(("common practice", "judgement")) for spread in taken)
