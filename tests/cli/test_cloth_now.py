"""What geometry says of a planned cloth: its weight, its cover, how firm it is."""

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
