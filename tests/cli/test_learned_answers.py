"""What samples and cloths taught, in every later answer: reach, cloth plan, cloth check."""

from pathlib import Path
from typing import Any

import pytest

from cli.running import Desk, furnished
from lives import FINISHED, LIFE, OFF_LOOM, ON_LOOM, PLAN, SAMPLE, WOUND, woven

NEXT = (
    'cloth plan Next --size 30cmx120cm --sett 3/cm --picks 3/cm --warp "Gorse 2" --weft Fresh'
    " --loom Table"
)
QUICK = 'reach Fresh --warp "Gorse 2" --size 30cmx120cm --sett 3/cm --picks 3/cm --loom Table'
FROM_A_SAMPLE = {"draw-in", "shrinkage in length", "shrinkage in width", "beat"}
OWN_WARP = "cloth sample Shawl --warp 75.2cm --thrums 64cm"
PLAIN = ("name", "mean", "sd", "from", "told_by")


@pytest.fixture
def desk(tmp_path: Path) -> Desk:
    return furnished(tmp_path)


def told(found: dict[str, Any]) -> dict[str, dict[str, Any]]:
    """What is assumed, by name."""
    for one in found["assumptions"]:
        assert tuple(one) == PLAIN
    return {one["name"]: one for one in found["assumptions"]}


def by(found: dict[str, Any], who: str) -> set[str]:
    return {name for name, one in told(found).items() if one["told_by"] == who}


def test_without_a_record_everything_is_habit(desk: Desk) -> None:
    found = desk.told(NEXT)
    assert by(found, "records") == by(found, "hand") == set()
    assert "records: take-up" in desk.run("cloth check Next").stdout


def test_a_sample_tells_its_own_cloth_and_the_size_is_planned_for_sure(desk: Desk) -> None:
    before = desk.told(PLAN)
    desk.does(SAMPLE)
    after = desk.told("cloth check Shawl")
    assert by(after, "records") == FROM_A_SAMPLE
    assert {told(after)[name]["from"] for name in FROM_A_SAMPLE} == {"its own sample"}
    for name in FROM_A_SAMPLE:
        assert told(after)[name]["sd"] < 0.8 * told(before)[name]["sd"]
    assert before["odds"]["size"] < 0.9 < 0.94 < after["odds"]["size"]
    assert "From its own sample: draw-in" in desk.run("cloth check Shawl").stdout


def test_a_sample_on_a_warp_of_its_own_tells_take_up_and_waste_and_spares_yarn(desk: Desk) -> None:
    desk.does(PLAN, SAMPLE)
    before = desk.told("cloth check Shawl")
    desk.does(OWN_WARP)
    after = desk.told("cloth check Shawl")
    assert by(after, "records") == FROM_A_SAMPLE | {"take-up", "loom waste"}
    kept = [found["allowance_for_size"]["yarn_m"] for found in (before, after)]
    assert kept[1] < 0.8 * kept[0]


def test_more_thrums_than_warp_of_a_sample_are_refused_and_nothing_is_stored(desk: Desk) -> None:
    desk.does(PLAN)
    refused = desk.refuses("cloth sample Shawl --warp 60cm --thrums 64cm", 3)
    assert "the whole warp is 60 cm long" in refused
    assert desk.told("lessons")["samples"] == 0


def test_a_woven_cloth_tells_the_next_in_a_plan_and_in_the_quick_question(desk: Desk) -> None:
    desk.does(*LIFE)
    for found in (desk.told(QUICK), desk.told(NEXT), desk.told("cloth check Next")):
        taught = told(found)
        assert taught["loom waste"]["from"] == "1 of your cloths on Table"
        assert taught["shrinkage in length"]["from"] == "1 of your wool cloths, gentle wash"
        assert taught["weft take-up"]["told_by"] == "records"
        assert "weft crimp" not in taught  # the weft's use is told whole
        assert taught["cutting"]["told_by"] == "habit"
        assert found["odds"]["size"] < 0.9  # one cloth is not yet enough to be sure of the size


def test_three_cloths_of_that_fibre_and_wash_make_the_size_sure(desk: Desk) -> None:
    for name, washed_cm in (("A", 89), ("B", 90)):
        woven(desk, name, washed_cm)
    two = desk.told(QUICK)["odds"]["size"]
    woven(desk, "C", 91)
    assert two < 0.9 < 0.94 < desk.told(QUICK)["odds"]["size"]
    linen = desk.told(f"{QUICK} --wash hot")["odds"]["size"]
    assert linen < 0.93  # another wash is another group


def test_what_is_given_by_hand_stays_as_it_was_given(desk: Desk) -> None:
    desk.does(*LIFE)
    found = desk.told(f"{QUICK} --take-up 11% --weft-take-up 7%")
    assert by(found, "hand") == {"take-up", "weft take-up"}
    assert told(found)["take-up"]["mean"] == pytest.approx(0.11)


def test_what_is_held_back_tells_nothing_until_it_is_confirmed(desk: Desk) -> None:
    desk.does(PLAN, WOUND, ON_LOOM, OFF_LOOM)
    desk.does(FINISHED.replace("156.6cm", "15.66cm"))
    name = "shrinkage in length"
    assert told(desk.told(QUICK))[name]["mean"] == pytest.approx(0.1)
    desk.does(["lessons", "--confirm", "Shawl", name])
    assert told(desk.told(QUICK))[name]["mean"] > 0.3


def test_undone_a_cloth_teaches_nothing_any_more(desk: Desk) -> None:
    before = desk.told(QUICK)
    desk.does(*LIFE, *["undo"] * len(LIFE))
    assert desk.told(QUICK)["assumptions"] == before["assumptions"]


def test_the_washed_sample_on_offer_says_what_it_does_to_odds_and_size(desk: Desk) -> None:
    desk.does("skein add Little --mass 40g --length 165m --state relaxed")
    line = f"{QUICK.replace('Fresh', 'Little')}"
    settle = desk.told(line)["settle"]
    assert settle["do"].startswith("weave and wash a sample")
    after = settle["size_after"]
    assert 0 < after["yarn_m"] < after["without_m"] and after["promise"] == 0.95
    assert "a size sure 95 in 100 then takes" in " ".join(desk.run(line).stdout.split())


def test_a_cloth_keeps_its_mix_while_its_skeins_are_used_up(desk: Desk) -> None:
    desk.does(
        "skein add Flax --fibre linen --mass 60g --length 150m --state relaxed",
        'cloth plan Mixed --size 20cmx60cm --sett 3/cm --picks 3/cm --loom Table --warp "Gorse 1"'
        " --warp Flax --weft Driftwood",
    )
    mixed = told(desk.told("cloth check Mixed"))["shrinkage in length"]
    desk.does('skein take "Gorse 1" 99g --for Mixed')
    assert told(desk.told("cloth check Mixed"))["shrinkage in length"] == mixed
