"""What geometry says of a planned cloth: take-up by sett and weave, weight, how firm it is."""

from pathlib import Path
from typing import Any

import pytest

from cli.cloths import assumption
from cli.running import Desk

YARN = "--mass 100g --length 400m --state relaxed --wpi 15wpi --wrap snug"


@pytest.fixture
def desk(tmp_path: Path) -> Desk:
    desk = Desk(tmp_path)
    desk.does(f"skein add Moss {YARN}", f"skein add Peat {YARN}")
    return desk


def asked(desk: Desk, more: str) -> dict[str, Any]:
    found: dict[str, Any] = desk.told(f"reach Peat --warp Moss --size 30cmx60cm {more}")
    return found


def take_up(found: dict[str, Any]) -> float:
    return assumption(found, "take-up")[0]


def test_at_the_sett_that_suits_the_yarn_take_up_is_as_in_practice(desk: Desk) -> None:
    plain = asked(desk, "--sett 2.95/cm --picks 3.1/cm")
    assert take_up(plain) == pytest.approx(0.09, abs=0.006)
    assert "geometry for this yarn, sett and weave" in assumption(plain, "take-up")[2]
    twill = asked(desk, "--weave '2/2 twill' --sett 3.9/cm --picks 4.1/cm")
    assert take_up(twill) == pytest.approx(0.06, abs=0.006)


def test_take_up_grows_with_the_sett_and_so_does_the_yarn_a_pick_needs(desk: Desk) -> None:
    found = [asked(desk, f"--sett {sett}/cm --picks {sett}/cm") for sett in (2, 3, 4)]
    for factor in ("take-up", "weft crimp"):
        middles = [assumption(one, factor)[0] for one in found]
        assert middles == sorted(set(middles))


def test_what_was_moved_by_geometry_is_less_sure_than_practice_alone(desk: Desk) -> None:
    usual, close = (
        assumption(asked(desk, f"--sett {sett} --picks {sett}"), "take-up")
        for sett in ("2.95/cm", "4.5/cm")
    )
    assert usual[1] == pytest.approx(0.03, abs=0.004)
    assert close[1] > 1.15 * usual[1]


def test_a_take_up_given_by_hand_and_cloth_that_covers_its_warp_are_left_alone(desk: Desk) -> None:
    given = asked(desk, "--sett 4/cm --take-up 10%")
    assert assumption(given, "take-up")[::2] == (pytest.approx(0.1), "as you gave it")
    faced = asked(desk, "--purpose weft-faced")
    assert take_up(faced) == pytest.approx(0.05)
    assert "geometry" not in assumption(faced, "take-up")[2]


def test_where_a_grist_is_not_known_practice_stands(desk: Desk) -> None:
    desk.does("skein add Fog --mass 90g")
    found = desk.told("reach Fog --warp Moss --size 30cmx60cm --sett 3/cm")
    assert take_up(found) == pytest.approx(0.09)
    assert "geometry" not in assumption(found, "take-up")[2]


def test_the_next_setts_of_her_reeds_stand_beside_the_answer(desk: Desk) -> None:
    desk.does(
        "loom add Small --kind rigid-heddle --width 60cm",
        *(f"reed add H{dents} {dents}/10cm --rigid-heddle" for dents in (25, 30, 40, 50)),
    )
    now = asked(desk, "--reed H30")["cloth_now"]
    steps = {one["step"]: one for one in now["beside"]}
    assert {step: one["reed"] for step, one in steps.items()} == {"looser": "H25", "closer": "H40"}
    alone = {name: asked(desk, f"--reed {name}")["cloth_now"] for name in ("H25", "H40")}
    for one in steps.values():
        like = {name: value for name, value in alone[one["reed"]].items() if name != "beside"}
        assert one["cloth"] == like
    weights = [one["mass_g_per_m2"] for one in (alone["H25"], now, alone["H40"])]
    assert weights == sorted(set(weights))
    shown = desk.run("reach Peat --warp Moss --size 30cmx60cm --reed H30").stdout
    assert "one step looser: H25, one end in each, 2.5 per cm: " in shown


def test_with_no_other_reed_nothing_stands_beside_it(desk: Desk) -> None:
    assert asked(desk, "--sett 3/cm")["cloth_now"]["beside"] == []


def test_where_a_grist_is_not_known_no_weight_is_told(desk: Desk) -> None:
    desk.does("skein add Fog --mass 90g")
    found = desk.told("reach Fog --warp Moss --size 30cmx60cm --sett 3/cm")
    assert found["cloth_now"] is None


def test_the_weight_is_that_of_its_threads_by_hand(desk: Desk) -> None:
    found = asked(desk, "--sett 3/cm --picks 3/cm --draw-in 8%")
    now = found["cloth_now"]
    tex = desk.told("skein show Moss")["tex"]["p50"]
    warp = 3 / 0.92 * tex * (1 + now["warp_crimp_fraction"])
    weft = 3 * tex * (1 + now["weft_crimp_fraction"])
    assert now["mass_g_per_m2"] == pytest.approx(0.1 * (warp + weft), rel=1e-6)
    assert now["warp_crimp_fraction"] == pytest.approx(take_up(found) / (1 - take_up(found)))
    assert now["washed_mass_g_per_m2"] == pytest.approx(now["mass_g_per_m2"] / 0.81, rel=1e-6)


def test_the_closer_the_firmer_and_the_screen_says_it_in_words(desk: Desk) -> None:
    words = []
    for sett in (2, 3, 4):
        line = f"reach Peat --warp Moss --size 30cmx60cm --sett {sett}/cm --picks {sett}/cm"
        shown = desk.run(line).stdout
        words.append(next(one for one in shown.splitlines() if one.startswith("Cloth")))
        assert "oz per square yard rested" in shown
    assert ["open" in words[0], "drapes" in words[1], "firm" in words[2]] == [True] * 3, words
