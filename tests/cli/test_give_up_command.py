"""farspun cloth give-up at each stage, and cloth history."""

from pathlib import Path

import pytest

from cli.running import Desk, furnished
from lives import FINISHED, LIFE, OFF_LOOM, ON_LOOM, PLAN, WOUND

GIVE_UP = "cloth give-up Shawl --yes"


def masses(desk: Desk) -> dict[str, float]:
    return {one["name"]: one["mass_g"] for one in desk.told("skein list --json")}


@pytest.fixture
def desk(tmp_path: Path) -> Desk:
    found = furnished(tmp_path)
    found.does(PLAN)
    return found


def test_a_planned_cloth_frees_what_it_claims(desk: Desk) -> None:
    before = masses(desk)
    desk.does(GIVE_UP)
    assert masses(desk) == before
    shown = desk.told("skein show Driftwood --json")
    assert shown["claimed_m"] == 0


def test_what_she_took_for_it_by_hand_goes_back(desk: Desk) -> None:
    before = masses(desk)
    desk.does("skein take Driftwood 40g --for Shawl")
    ran = desk.run(GIVE_UP)
    assert "Driftwood: 40 g put back" in ran.stdout
    assert masses(desk) == before


def test_a_warp_that_is_only_wound_goes_back_to_its_skein(desk: Desk) -> None:
    before, length = masses(desk), desk.told("skein show 'Gorse 1' --json")["length_m"]["p50"]
    desk.does(WOUND)
    ran = desk.run(GIVE_UP)
    assert "Gorse 1: " in ran.stdout and "put back" in ran.stdout
    assert masses(desk) == before
    assert desk.told("skein show 'Gorse 1' --json")["length_m"]["p50"] == pytest.approx(length)


def test_a_warp_that_was_cut_does_not(desk: Desk) -> None:
    desk.does(WOUND)
    wound = masses(desk)
    desk.does(GIVE_UP + " --no-back")
    assert masses(desk) == wound


def test_on_the_loom_the_warp_stays_used_and_the_ball_is_what_it_weighed_last(desk: Desk) -> None:
    desk.does(WOUND, ON_LOOM, "cloth weigh Shawl --woven 60cm --ball Driftwood=105g")
    wound = masses(desk)
    ran = desk.run(GIVE_UP)
    assert "Driftwood: 45 g used" in ran.stdout
    assert masses(desk) == wound | {"Driftwood": 105.0}


def test_a_ball_weighed_now_counts_before_one_weighed_then(desk: Desk) -> None:
    desk.does(WOUND, ON_LOOM, "cloth weigh Shawl --woven 60cm --ball Driftwood=105g")
    desk.does(GIVE_UP + " --left Driftwood=120g --tare 20g")
    assert masses(desk)["Driftwood"] == 100.0


def test_a_ball_never_weighed_is_asked_about(desk: Desk) -> None:
    desk.does(WOUND, ON_LOOM)
    ran = desk.run(GIVE_UP)
    assert "What was woven of “Driftwood” is not known" in ran.stderr
    assert masses(desk)["Driftwood"] == 150.0


def test_a_warp_taken_off_whole_goes_back_where_she_says_so(desk: Desk) -> None:
    before = masses(desk)
    desk.does(WOUND, ON_LOOM, GIVE_UP + " --back")
    assert masses(desk) == before


def test_off_the_loom_its_yarn_is_woven(desk: Desk) -> None:
    desk.does(WOUND, ON_LOOM, OFF_LOOM)
    woven = masses(desk)
    refused = desk.run(GIVE_UP + " --back")
    assert (refused.exit_code, "it is woven" in refused.stderr) == (2, True)
    desk.does(GIVE_UP)
    assert masses(desk) == woven


@pytest.mark.parametrize(
    ("done", "line", "code"),
    [
        (LIFE[1:], GIVE_UP, 3),
        ((GIVE_UP,), GIVE_UP, 3),
        ((), GIVE_UP + " --left Driftwood=10g", 2),
        ((WOUND, ON_LOOM), GIVE_UP + " --left Nobody=10g", 4),
        ((WOUND, ON_LOOM), GIVE_UP + " --tare 10g", 2),
        ((WOUND, ON_LOOM), GIVE_UP + " --left Driftwood=400g", 3),
        ((WOUND, ON_LOOM), GIVE_UP + " --left Driftwood=4g --left Driftwood=4g", 2),
    ],
)
def test_what_cannot_be_is_refused_and_nothing_changed(
    desk: Desk, done: tuple[str, ...], line: str, code: int
) -> None:
    desk.does(*done)
    before = (masses(desk), desk.told("cloth list --json"))
    assert desk.run(line).exit_code == code
    assert (masses(desk), desk.told("cloth list --json")) == before


def test_a_closed_skein_takes_nothing_back_and_that_is_said(desk: Desk) -> None:
    desk.does(WOUND, "skein close 'Gorse 1' --because lost")
    ran = desk.run(GIVE_UP)
    assert "“Gorse 1” is closed" in ran.stderr


@pytest.mark.parametrize("stage", [1, 2, 3, 4])
def test_undone_it_is_as_before_at_every_stage(desk: Desk, stage: int) -> None:
    desk.does(*LIFE[1:stage])
    before = (masses(desk), desk.told("cloth list --json"), desk.told("cloth show Shawl --json"))
    desk.does(GIVE_UP, "undo")
    after = (masses(desk), desk.told("cloth list --json"), desk.told("cloth show Shawl --json"))
    assert after == before


@pytest.mark.parametrize(
    ("done", "said"),
    [
        ((), "free the yarn it claims?"),
        ((WOUND,), "its warp's yarn goes back to the skeins (--no-back"),
        ((WOUND, ON_LOOM), "its warp's yarn stays used (--back"),
        ((WOUND, ON_LOOM, OFF_LOOM), "what is woven stays used"),
    ],
)
def test_the_question_says_what_becomes_of_the_yarn(
    desk: Desk, done: tuple[str, ...], said: str
) -> None:
    desk.does(*done)
    ran = desk.run("cloth give-up Shawl", given="n\n")
    assert said in ran.stdout + ran.stderr


def test_the_history_has_every_command_and_what_it_did_with_the_yarn(desk: Desk) -> None:
    desk.does(
        "cloth change Shawl --priority 2", WOUND, ON_LOOM,
        "cloth weigh Shawl --woven 60cm --ball Driftwood=105g", "undo", OFF_LOOM, FINISHED,
    )  # fmt: skip
    told = desk.told("cloth history Shawl --json")
    assert [one["command"] for one in told] == [
        "cloth plan", "cloth change", "cloth wound", "cloth on-loom", "cloth weigh",
        "cloth off-loom", "cloth finished",
    ]  # fmt: skip
    assert [one["undone"] for one in told] == [False] * 4 + [True] + [False] * 2
    assert told[2]["used_g"]["Gorse 1"] == pytest.approx(97.5, abs=0.1)  # 150 ends of 2.6 m
    assert told[5]["used_g"] == {"Driftwood": pytest.approx(90.0)}
    shown = desk.run("cloth history Shawl").stdout
    assert "ball weighed (undone)" in shown
    assert "Driftwood: 90 g used" in shown


def test_the_history_of_another_cloth_is_not_in_it(desk: Desk) -> None:
    desk.does(
        'cloth plan Other --size 10cmx30cm --sett 3/cm --warp "Gorse 2" --weft Fresh --loom Table'
    )
    assert len(desk.told("cloth history Other --json")) == 1
    assert desk.run("cloth history Nobody").exit_code == 4
