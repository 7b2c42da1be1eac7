"""farspun shortfalls: what is missing for all planned cloths together."""

import math
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


def test_what_is_short_of_one_yarn_in_several_lines_is_summed(desk: Desk) -> None:
    plan(desk, "Shawl", "--warp Driftwood --weft Driftwood")
    plan(desk, "Scarf", '--warp "Gorse 1" --weft Driftwood', "30cmx1m")
    rows = [row for row in desk.told("shortfalls") if row["yarn"] == "Driftwood"]
    assert len(rows) == 3
    metres = math.ceil(sum(row["short_m"] for row in rows) - 1e-6)
    grams = math.ceil(sum(row["short_g"] for row in rows) - 1e-6)
    (said,) = [line for line in desk.does("shortfalls").splitlines() if "in all" in line]
    assert said == f"Driftwood in all: {metres} m, {grams} g"
    assert "Gorse 1 in all" not in desk.does("shortfalls")


def test_where_no_cloth_is_planned_that_is_said(desk: Desk) -> None:
    assert desk.does("shortfalls") == "No cloth is planned.\n"


# a later cloth keeps the yarn


@pytest.fixture
def late(desk: Desk) -> Desk:
    """Late comes first by priority and was planned last, from what Early left."""
    both = "--warp Driftwood --weft Driftwood"
    plan(desk, "Early", f"{both} --priority 2", "30cmx120cm")
    plan(desk, "Late", f"{both} --priority 1", "30cmx120cm")
    return desk


SHARE = "share out anew: farspun share-out; Early keeps yarn it needs, and comes later by priority"


def test_yarn_that_a_later_cloth_keeps_is_to_be_shared_out_anew(late: Desk) -> None:
    for line in ("cloth check Late", "cloth check", "shortfalls"):
        assert SHARE in " ".join(late.does(line).split()), line
    told = " ".join(late.does("to-spin Late").split())
    assert "or share out anew: farspun share-out; Late reaches if later cloths let go of it" in told
    late.does("share-out --keep --yes")
    assert late.told("cloth check Late")["verdict"] == "reaches"
    for line in ("cloth check Late", "cloth check", "shortfalls", "to-spin"):
        assert "share out anew" not in late.does(line), line  # Early is short, and comes after it


def test_nothing_is_to_be_shared_out_anew_where_that_would_not_be_enough(desk: Desk) -> None:
    both = "--warp Driftwood --weft Driftwood"
    plan(desk, "Early", f"{both} --priority 2", "30cmx120cm")
    plan(desk, "Late", f"{both} --priority 1", "60cmx300cm")
    assert "share out anew" not in desk.does("shortfalls")


def test_yarn_on_the_loom_is_not_shared_out_anew(late: Desk) -> None:
    late.does("cloth wound Early")
    assert "share out anew" not in late.does("shortfalls")
