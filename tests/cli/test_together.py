"""farspun cloth check --all and shortfalls: whether all planned cloths reach together."""

import math
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from cli.running import Desk, furnished

SETT = "--sett 4/cm --picks 4/cm --loom Table"
EXACT = "--draw-in 0% --take-up 0% --shrink-width 0% --waste 50cm --give 0%"
BY_HAND = f"{EXACT} --shrink-length 10%±5% --weft-take-up 10%±4% --beat 0%"
ALSO = {"together", "in_the_way"}


@pytest.fixture
def desk(tmp_path: Path) -> Desk:
    return furnished(tmp_path)


def plan(desk: Desk, name: str, more: str, size: str = "30cmx120cm") -> dict[str, Any]:
    found: dict[str, Any] = desk.told(f'cloth plan "{name}" --size {size} {SETT} {more}')
    return found


def all_of(desk: Desk) -> list[dict[str, Any]]:
    found: list[dict[str, Any]] = desk.told("cloth check --all")
    return found


def test_a_cloth_that_shares_no_yarn_is_told_the_same_alone_and_among_others(desk: Desk) -> None:
    plan(desk, "Shawl", '--warp "Gorse 1" --weft Driftwood')
    plan(desk, "Scarf", '--warp "Gorse 2" --weft Fresh')
    found = all_of(desk)
    assert [one["cloth"] for one in found] == ["Shawl", "Scarf"]
    for one in found:
        alone = desk.told(f"cloth check {one['cloth']}")
        assert list(one)[: len(alone)] == list(alone)
        assert set(one) - set(alone) == ALSO
        assert {key: one[key] for key in alone} == alone
    assert desk.told("cloth check") == found


def test_the_first_by_priority_reaches_as_it_does_alone(desk: Desk) -> None:
    alone = plan(desk, "Shawl", '--warp "Gorse 1" --weft Fresh')
    assert 0.1 < alone["odds"]["yarn"] < 0.9
    plan(desk, "Scarf", '--warp "Gorse 2" --weft Driftwood', "20cmx60cm")
    assert all_of(desk)[0]["together"] == pytest.approx(alone["odds"]["yarn"], abs=0.006)


def test_pieces_to_cut_reach_together_only_where_their_size_is_kept(desk: Desk) -> None:
    alone = plan(desk, "Cushions", '--cut --warp "Gorse 1" --weft "Gorse 2" --size-promise 60%')
    assert alone["odds"]["yarn"] > 0.95 > 0.8 > alone["odds"]["all"]
    plan(desk, "Scarf", "--warp Driftwood --weft Fresh", "15cmx60cm")
    found = all_of(desk)[0]
    assert found["together"] == pytest.approx(alone["odds"]["all"], abs=0.006)
    assert found["in_the_way"] == {"skeins": [], "cloths": ["Cushions"]}
    said = desk.does("cloth check --all").splitlines()[0]
    assert said.endswith("What holds them up is the size of Cushions.")


def doubtful(desk: Desk, name: str, metres: int) -> float:
    """A cloth whose weft alone is in doubt, all of it given by hand; its odds."""
    desk.does(
        f"skein add {name}-warp --mass 500g --length 2000m --state relaxed",
        f"skein add {name}-weft --fibre {name} --mass 100g --length {metres}m --state relaxed"
        f" --tool {name}-reel",
    )
    found = plan(desk, name, f"--warp {name}-warp --weft {name}-weft {BY_HAND}")
    odds: float = found["odds"]["yarn"]
    assert 0.2 < odds < 0.95, odds
    return odds


def test_cloths_that_share_neither_yarn_nor_cause_reach_together_by_the_product(desk: Desk) -> None:
    odds = [doubtful(desk, name, metres) for name, metres in (("wool", 180), ("linen", 185))]
    found = all_of(desk)
    assert found[1]["together"] == pytest.approx(math.prod(odds), abs=0.01)


def test_what_is_taken_from_habit_for_both_makes_both_likelier_together(desk: Desk) -> None:
    """A weaver whose cloths shrink more than the habit says shrinks both of them."""
    odds = []
    for name, metres in (("Shawl", 215), ("Scarf", 215)):
        desk.does(
            f"skein add {name}-warp --mass 500g --length 2000m --state relaxed",
            f"skein add {name}-weft --mass 100g --length {metres}m --state relaxed",
        )
        odds.append(plan(desk, name, f"--warp {name}-warp --weft {name}-weft")["odds"]["yarn"])
    together = all_of(desk)[1]["together"]
    assert 0.2 < min(odds) < 0.8
    assert math.prod(odds) + 0.05 < together < min(odds)


def test_two_cloths_of_one_skein_agree_with_plain_draws(desk: Desk) -> None:
    """Written from docs/reach.md: the skein is one draw, each cloth needs what it needs."""
    desk.does(
        "skein add Warp --mass 900g --length 3600m --state relaxed",
        "skein add Bracken --mass 200g --length 362m --state relaxed",
    )
    own = [plan(desk, name, f"--warp Warp --weft Bracken {BY_HAND}") for name in ("Shawl", "Scarf")]
    length = desk.told("skein show Bracken")["length_m"]
    sd_ln = math.log(length["p95"] / length["p05"]) / (2 * 1.6448536269514722)
    ends = own[0]["setup"]["ends"]
    rng, many = np.random.Generator(np.random.PCG64(7)), 400_000
    needs = np.zeros(many)
    for _ in own:
        kept = 0.9 * np.exp(0.05 / 0.9 * rng.standard_normal(many))
        over = 1.1 * np.exp(0.04 / 1.1 * rng.standard_normal(many))
        needs += np.ceil(120 / kept * 4) * (ends / 4 / 100) * over
    held = length["p50"] * np.exp(sd_ln * rng.standard_normal(many))
    plain = float(np.mean(needs <= held))
    assert 0.3 < plain < 0.95
    found = all_of(desk)
    assert found[1]["together"] == pytest.approx(plain, abs=0.015)
    assert found[1]["in_the_way"] == {"skeins": ["Bracken"], "cloths": ["Shawl", "Scarf"]}
    assert desk.does("cloth check --all").splitlines()[0] == (
        f"Both cloths together: {100 * found[1]['together']:.0f} in 100."
        " What holds them up is Bracken, which Shawl and Scarf share."
    )


def test_priority_settles_who_is_served_first(desk: Desk) -> None:
    yarn = '--warp "Gorse 1" --weft "Gorse 2"'
    plan(desk, "First", yarn, "30cmx110cm")
    plan(desk, "Second", yarn, "30cmx110cm")
    before = all_of(desk)
    assert before[0]["together"] > 0.95 > 0.1 > before[1]["together"]
    plan(desk, "Third", f"{yarn} --priority 1", "30cmx100cm")
    desk.does("cloth change Second --priority 1", "cloth change First --priority 3")
    found = {one["cloth"]: one["together"] for one in all_of(desk)}
    assert list(found)[-1] == "First"
    assert list(found.values()) == sorted(found.values(), reverse=True)
    assert found["First"] < 0.01


def test_the_order_in_which_skeins_are_named_changes_nothing(tmp_path: Path) -> None:
    found = []
    for number, order in enumerate((["Gorse 1", "Gorse 2"], ["Gorse 2", "Gorse 1"])):
        folder = tmp_path / str(number)
        folder.mkdir()
        desk = furnished(folder)
        weft = " ".join(f'--weft "{name}"' for name in order)
        plan(desk, "Shawl", f"--warp Driftwood {weft}", "45cmx200cm")
        plan(desk, "Scarf", '--warp Driftwood --weft "Gorse 1"', "20cmx90cm")
        found.append([one["together"] for one in all_of(desk)])
    assert found[0] == found[1]


def test_a_cloth_of_unknown_length_leaves_those_before_it_told(desk: Desk) -> None:
    plan(desk, "Shawl", '--warp "Gorse 1" --weft Driftwood')
    plan(desk, "Scarf", "--warp Fresh --weft Wraps", "20cmx80cm")
    first, second = all_of(desk)
    assert first["together"] > 0.5
    assert (second["together"], second["in_the_way"]) == (None, None)
    last = "Whether both cloths reach together cannot be told: the length of Wraps is not known."
    assert desk.does("cloth check").startswith(f"{last}\n\n")


def test_one_cloth_alone_or_none_has_no_last_sentence(desk: Desk) -> None:
    assert all_of(desk) == []
    assert desk.does("cloth check --all") == "No cloth is planned.\n"
    alone = plan(desk, "Shawl", '--warp "Gorse 1" --weft Driftwood')
    assert [list(one) for one in all_of(desk)] == [list(alone)]
    assert "together" not in desk.does("cloth check --all")


def test_shortfalls_end_with_the_same_sentence_and_each_row_has_the_odds(desk: Desk) -> None:
    yarn = '--warp "Gorse 1" --weft "Gorse 2"'
    for name in ("First", "Second", "Third"):
        plan(desk, name, yarn, "38cmx110cm")
    checks, rows = all_of(desk), desk.told("shortfalls")
    odds = {one["cloth"]: one["together"] for one in checks}
    assert rows
    assert all(row["together"] == odds[row["cloth"]] for row in rows)
    last = desk.does("cloth check --all").splitlines()[:2]
    assert desk.does("shortfalls").splitlines()[-2:] == last
    assert " ".join(last).startswith("All three cloths together: under 1 in 100. What holds")
    assert "which First, Second and Third share." in " ".join(last)


def test_where_all_are_unlikely_it_says_how_many_by_priority_are_likely(desk: Desk) -> None:
    for name in ("First", "Second"):
        plan(desk, name, '--warp "Gorse 1" --weft "Gorse 2"', "20cmx60cm")
    plan(desk, "Third", "--warp Driftwood --weft Fresh", "40cmx3m")
    odds = [one["together"] for one in all_of(desk)]
    assert odds[1] > 0.9 and odds[2] < 0.01
    said = " ".join(desk.does("cloth check --all").splitlines()[:2])
    assert said.endswith("The first two by priority: over 99 in 100.")


def test_a_warp_that_is_wound_asks_for_its_weft_alone(desk: Desk) -> None:
    plan(desk, "Shawl", '--warp "Gorse 1" --weft Driftwood')
    plan(desk, "Scarf", '--warp "Gorse 2" --weft Driftwood')
    desk.does("cloth wound Shawl")
    found = all_of(desk)
    assert (found[0]["status"], found[0]["warp"]) == ("wound", [])
    assert found[1]["together"] <= found[0]["together"]


def test_cloths_woven_as_spun_are_drawn_together_with_others(desk: Desk) -> None:
    plan(desk, "Shawl", "--as-spun --warp Fresh --weft Fresh", "20cmx60cm")
    plan(desk, "Scarf", "--warp Fresh --weft Driftwood", "20cmx60cm")
    found = all_of(desk)
    assert 0 <= found[1]["together"] <= found[0]["together"] <= 1


def test_all_are_told_in_a_line_each_before_any_is_told_at_length(desk: Desk) -> None:
    plan(desk, "Shawl", '--warp "Gorse 1" --weft Driftwood')
    plan(desk, "Scarf", '--warp "Gorse 2" --weft Driftwood')
    parts = desk.does("cloth check --all").split("\n\n")
    assert parts[0].startswith("Both cloths together: ")
    table = parts[1].splitlines()
    assert table[0].split() == ["Cloth", "State", "Size", "Will", "it", "reach"]
    assert [line.split()[0] for line in table[1:]] == ["Shawl", "Scarf"]
    assert parts[2].startswith("Shawl\n")
    assert parts[1] == desk.does("cloth list").strip()


def test_the_priority_has_a_column_where_it_is_not_the_same_for_all(desk: Desk) -> None:
    plan(desk, "Shawl", '--warp "Gorse 1" --weft Driftwood')
    plan(desk, "Scarf", '--warp "Gorse 2" --weft Driftwood')
    assert "Priority" not in desk.does("cloth list")
    desk.does("cloth change Scarf --priority 7")
    heading, first, second = desk.does("cloth list").splitlines()
    assert heading.split()[:2] == ["Cloth", "Priority"]
    assert first.split()[:2] == ["Scarf", "7"] and second.split()[:2] == ["Shawl", "100"]
