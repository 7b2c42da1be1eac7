"""farspun shortfalls: what is missing for all planned cloths together."""

from pathlib import Path
from typing import Any

import pytest

from cli.running import Desk, furnished

KEYS = ["cloth", "side", "yarn", "short_m", "short_g", "odds", "odds_together", "promise", "get"]
KEYS += ["together"]
SETT = "--sett 3/cm --picks 3/cm"


@pytest.fixture
def desk(tmp_path: Path) -> Desk:
    return furnished(tmp_path)


def plan(desk: Desk, name: str, more: str, size: str = "50cmx2m") -> dict[str, Any]:
    found: dict[str, Any] = desk.told(f"cloth plan {name} --size {size} {SETT} {more}")
    return found


def test_each_row_has_the_keys_that_scripts_rely_on_and_says_what_check_says(desk: Desk) -> None:
    found = plan(desk, "Shawl", '--warp "Gorse 1" --warp "Gorse 2" --weft Fresh', "60cmx4m")
    rows = desk.told("shortfalls")
    assert [(row["side"], row["yarn"]) for row in rows] == [
        ("warp", "Gorse 1 + Gorse 2"),
        ("weft", "Fresh"),
    ]
    for row, need in zip(rows, (*found["warp"], *found["weft"]), strict=True):
        assert list(row) == KEYS
        assert (row["cloth"], row["promise"]) == ("Shawl", 0.95)
        assert {key: row[key] for key in ("short_m", "short_g", "odds")} == {
            key: need[key] for key in ("short_m", "short_g", "odds")
        }
        spin = {"length_m": row["short_m"], "mass_g": row["short_g"]}
        assert row["get"] == {"spin": spin}


def test_a_yarn_that_can_be_bought_again_is_bought_in_whole_packs(desk: Desk) -> None:
    plan(desk, "Towels", '--warp Cone --weft "Gorse 1"', "40cmx1m")
    (row,) = [row for row in desk.told("shortfalls") if row["yarn"] == "Cone"]
    buy = row["get"]["buy"]
    assert list(row["get"]) == ["buy"] and list(buy) == ["packs", "length_m"]
    assert isinstance(buy["packs"], int)
    assert 100 * (buy["packs"] - 1) < row["short_g"] <= 100 * buy["packs"]
    assert buy["length_m"] >= row["short_m"]
    metres_of_a_gram = row["short_m"] / row["short_g"]
    assert buy["length_m"] == pytest.approx(100 * buy["packs"] * metres_of_a_gram, rel=1e-3)
    assert f"buy {buy['packs']} pack" in desk.does("shortfalls")


def test_nothing_short_is_an_empty_list_and_a_sentence(desk: Desk) -> None:
    assert desk.told("shortfalls") == []
    plan(desk, "Scarf", "--warp Driftwood --weft Driftwood", "15cmx80cm")
    assert desk.told("shortfalls") == []
    assert desk.does("shortfalls").startswith("Nothing is short")


def test_a_yarn_of_unknown_length_is_listed_to_be_weighed(desk: Desk) -> None:
    plan(desk, "Shawl", "--warp Driftwood --weft Wraps", "20cmx80cm")
    (row,) = desk.told("shortfalls")
    assert (row["yarn"], row["short_m"], row["short_g"]) == ("Wraps", None, None)
    assert (row["odds"], row["get"]) == (None, None)
    assert "Weigh Wraps" in desk.does("shortfalls")


def test_cloths_are_listed_by_priority_and_every_claim_is_counted(desk: Desk) -> None:
    yarn = '--warp "Gorse 1" --weft "Gorse 2"'
    plan(desk, "First", yarn, "38cmx150cm")
    assert desk.told("shortfalls") == []
    alone = plan(desk, "Second", yarn, "38cmx150cm")
    assert alone["verdict"] == "falls short"
    plan(desk, "Third", f"{yarn} --priority 1", "38cmx150cm")
    rows = desk.told("shortfalls")
    assert [row["cloth"] for row in rows] == ["Third", "Third", "Second", "Second"]
    assert desk.told("cloth check First")["verdict"] == "reaches"
    assert {one["code"] for one in desk.told("cloth check Second")["warnings"]} >= {"claimed"}
    desk.does("cloth give-up First --yes")
    assert desk.told("cloth check Third")["verdict"] == "reaches"
    desk.does("cloth claim Third")
    assert [row["cloth"] for row in desk.told("shortfalls")] == ["Second", "Second"]


def test_given_up_cloths_are_not_short(desk: Desk) -> None:
    plan(desk, "Shawl", "--warp Fresh --weft Fresh")
    assert len(desk.told("shortfalls")) == 2
    desk.does("cloth give-up Shawl --yes")
    assert desk.told("shortfalls") == []


def test_in_words_metric_and_imperial_stand_on_lines_of_their_own(desk: Desk) -> None:
    plan(desk, "Shawl", '--warp "Gorse 1" --weft Fresh')
    lines = desk.does("shortfalls").splitlines()
    assert lines[0] == "2 yarns are short, by priority of the cloths."
    imperial = [line for line in lines if " yd" in line]
    assert len(imperial) == 2
    assert all(line.strip().startswith("in yards and ounces:") for line in imperial)
