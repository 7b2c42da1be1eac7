"""farspun reach: the quick question, with nothing stored."""

import json
from pathlib import Path
from typing import Any

import pytest

from cli.running import Desk, furnished

SIZE = "--size 40cmx160cm"
SETT = "--sett 3/cm --picks 3/cm"


@pytest.fixture
def desk(tmp_path: Path) -> Desk:
    return furnished(tmp_path)


def middle(need: dict[str, Any]) -> float:
    return float(need["need_m"]["p50"])


def test_the_answer_is_that_of_a_checked_cloth_without_a_name(desk: Desk) -> None:
    line = f"{SIZE} {SETT}"
    quick = desk.told(f'reach Driftwood --warp "Gorse 1" {line}')
    planned = desk.told(f'cloth plan A {line} --warp "Gorse 1" --weft Driftwood')
    assert list(quick) == list(planned)
    assert quick == planned | {"cloth": None}


def test_nothing_is_stored(desk: Desk) -> None:
    before = desk.stash.read_bytes()
    desk.told(f'reach Driftwood --warp "Gorse 1" {SIZE} {SETT}')
    desk.does(f"reach Driftwood {SIZE}")
    assert desk.stash.read_bytes() == before
    assert desk.told("cloth list") == []


def test_with_a_sett_and_no_warp_only_the_weft_is_asked(desk: Desk) -> None:
    found = desk.told(f"reach Driftwood {SIZE} {SETT}")
    assert found["warp"] == []
    assert found["odds"]["warp"] is None
    assert found["odds"]["yarn"] == found["odds"]["weft"]
    assert [need["skeins"] for need in found["weft"]] == [["Driftwood"]]
    assert found["setup"]["ends"] > 0
    assert "that the yarn reaches" in desk.does(f"reach Driftwood {SIZE} {SETT}")


def test_with_neither_the_one_yarn_serves_both_sides_and_the_split_is_told(desk: Desk) -> None:
    found = desk.told("reach Driftwood --size 20cmx100cm")
    (warp,), (weft,) = found["warp"], found["weft"]
    assert warp["skeins"] == weft["skeins"] == ["Driftwood"]
    assert weft["have_m"]["p50"] == pytest.approx(warp["have_m"]["p50"] - middle(warp), rel=1e-2)
    words = " ".join(desk.does("reach Driftwood --size 20cmx100cm").split())
    split = f"about {middle(warp):.0f} m go into the warp and {middle(weft):.0f} m into the weft"
    assert split in words


def test_yarn_on_both_sides_is_short_only_for_what_is_missing_of_the_whole(desk: Desk) -> None:
    found = desk.told("reach Driftwood --size 40cmx160cm")
    (warp,), (weft,) = found["warp"], found["weft"]
    missing = middle(warp) + middle(weft) - warp["have_m"]["p50"]
    assert found["verdict"] == "falls short"
    assert missing < warp["short_m"] + weft["short_m"] < 1.35 * missing + 30


def test_several_skeins_are_one_weft_and_shares_make_bands(desk: Desk) -> None:
    line = f"{SIZE} {SETT}"
    one = desk.told(f'reach Driftwood "Gorse 1" {line}')
    (together,) = one["weft"]
    assert together["skeins"] == ["Driftwood", "Gorse 1"]
    first, second = desk.told(f'reach Driftwood:30% "Gorse 1:70%" {line}')["weft"]
    assert middle(first) == pytest.approx(0.3 * middle(together), rel=1e-6)
    assert middle(second) == pytest.approx(0.7 * middle(together), rel=1e-6)
    desk.refuses(f'reach Driftwood:30% "Gorse 1" {line}', 2)
    desk.refuses(f"reach Driftwood driftwood {line}", 2)


def test_more_yarn_never_turns_a_yes_into_a_no(desk: Desk) -> None:
    line = "--size 50cmx220cm --sett 3/cm --picks 3/cm"
    few = desk.told(f"reach Driftwood {line}")["odds"]["weft"]
    more = desk.told(f"reach Driftwood Fresh {line}")["odds"]["weft"]
    most = desk.told(f'reach Driftwood Fresh "Gorse 1" {line}')["odds"]["weft"]
    assert few <= more <= most
    assert few < most


def test_a_smaller_cloth_needs_less(desk: Desk) -> None:
    needs = [
        middle(desk.told(f"reach Driftwood --size {size} {SETT}")["weft"][0])
        for size in ("20cmx1m", "20cmx2m", "40cmx2m")
    ]
    assert needs == sorted(needs)
    assert needs[1] == pytest.approx(2 * needs[0], rel=0.01)


def test_the_order_of_skeins_and_options_does_not_matter(desk: Desk) -> None:
    one = desk.told(f'reach Driftwood Fresh {SIZE} {SETT} --warp "Gorse 1" --warp "Gorse 2"')
    two = desk.told(f'reach --warp "Gorse 2" {SETT} --warp "Gorse 1" {SIZE} Fresh Driftwood')
    assert one["odds"] == two["odds"]
    assert one["setup"] == two["setup"]


def test_other_cloths_claims_are_taken_off(desk: Desk) -> None:
    before = desk.told(f"reach Driftwood {SIZE} {SETT}")["weft"][0]["have_m"]["p50"]
    desk.does(f'cloth plan A --size 20cmx80cm {SETT} --warp "Gorse 1" --weft Driftwood')
    kept = desk.told("cloth show A")["yarns"][1]["claimed_g"]
    after = desk.told(f"reach Driftwood {SIZE} {SETT}")["weft"][0]["have_m"]["p50"]
    assert after == pytest.approx(before * (1 - kept / 150), rel=1e-3)


@pytest.mark.parametrize(
    ("size", "verdict", "code"),
    [("40cmx100cm", "reaches", 0), ("43cmx250cm", "uncertain", 10), ("90cmx5m", "falls short", 11)],
)
def test_the_verdict_is_in_the_exit_code_only_where_asked(
    desk: Desk, size: str, verdict: str, code: int
) -> None:
    line = f"reach Driftwood --size {size} {SETT}"
    assert desk.told(line)["verdict"] == verdict
    assert desk.run(line).exit_code == 0
    asked = desk.run(f"{line} --exit-code --json")
    assert (asked.exit_code, json.loads(asked.stdout)["verdict"]) == (code, verdict)


def test_any_assumption_of_reckon_may_be_given(desk: Desk) -> None:
    given = (
        "--pieces 2 --draw-in 8% --take-up 10% --weft-take-up 10% --let-off 4% --shrink-width 12%"
        " --shrink-length 10% --hem 2cm --side-hem 1cm --gap 3cm --header 4cm --sample 10cm"
        " --waste 65cm --floating-selvedges 4 --repeat 4"
    )
    found = desk.told(f"reach Driftwood --size 35cmx84cm {SETT} --give 0% {given}")["setup"]
    sizes = "--width 35cm --length 84cm --sett 3/cm --picks 3/cm"
    reckoned = desk.told(f"reckon {sizes} {given}")
    assert {key: found[key] for key in reckoned} == pytest.approx(reckoned)


def test_ends_and_warp_cut_by_hand_are_for_planning_only(desk: Desk) -> None:
    for option in ("--ends 100", "--warp-cut 3m", "--priority 1", "--weft Driftwood"):
        result = desk.run(f"reach Driftwood {SIZE} {option}")
        assert (result.exit_code, result.stdout) == (2, "")


def test_what_is_missing_from_the_question_is_said(desk: Desk) -> None:
    assert "--size" in desk.refuses("reach Driftwood", 2)
    assert desk.run(f"reach {SIZE}").exit_code == 2
    desk.does("skein add Heavy --mass 100g")
    assert "give --sett" in desk.refuses(f"reach Heavy {SIZE}", 3)
