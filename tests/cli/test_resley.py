"""farspun cloth change --sett: what happens to a warp whose ends are settled."""

from pathlib import Path
from typing import Any

import pytest

from cli.running import Desk, furnished
from farspun.craft.plan import STAGES

PLAN = 'cloth plan Runner --size 16inx1m --warp Driftwood --weft "Gorse 1" --sett 10epi'
INCH = 2.54


@pytest.fixture
def desk(tmp_path: Path) -> Desk:
    return furnished(tmp_path)


def move_to(desk: Desk, status: str) -> None:
    """Through the stages of its life until there."""
    for stage in STAGES[STAGES.index("wound") : STAGES.index(status) + 1]:
        desk.does(f"cloth {stage} Runner")


def changed(desk: Desk, more: str) -> dict[str, Any]:
    found: dict[str, Any] = desk.told(f"cloth change Runner {more}")
    return found


def test_twenty_inches_at_ten_are_sixteen_point_seven_at_twelve(desk: Desk) -> None:
    desk.does(f"{PLAN} --ends 200")
    resley = changed(desk, "--sett 12epi --dry-run")["resley"]
    assert resley["ends"] == 200
    assert resley["reed_before_cm"] / INCH == pytest.approx(20)
    assert round(resley["reed_after_cm"] / INCH, 1) == 16.7
    assert resley["ends_to_add"] == 40
    said = desk.does("cloth change Runner --sett 12epi")
    assert "20 in at 10.0 per inch, 16.7 in at 12.0 per inch" in " ".join(said.split())
    assert "add 40 ends" in said


def test_the_finished_width_follows_and_so_does_its_promise(desk: Desk) -> None:
    before = desk.told(f"{PLAN} --ends 200")
    after = changed(desk, "--sett 12epi")
    resley = after["resley"]
    kept = resley["finished_after_cm"] / resley["finished_before_cm"]
    assert kept == pytest.approx(10 / 12)
    assert after["odds"]["size"] < before["odds"]["size"]
    assert after["setup"]["reed_width_cm"] == pytest.approx(resley["reed_after_cm"])


def test_an_opener_sett_takes_ends_out(desk: Desk) -> None:
    desk.does(f"{PLAN} --ends 200")
    assert changed(desk, "--sett 8epi --dry-run")["resley"]["ends_to_add"] == -40
    assert "take out 40 ends" in desk.does("cloth change Runner --sett 8epi --dry-run")


@pytest.mark.parametrize("more", ["--sett 12epi", "--sett 10epi --ends 180", "--wash hot"])
def test_where_ends_are_not_settled_nothing_is_sleyed_anew(desk: Desk, more: str) -> None:
    desk.does(PLAN if "12epi" in more else f"{PLAN} --ends 200")
    assert "resley" not in changed(desk, more)


@pytest.mark.parametrize("status", ["wound", "on-loom"])
def test_a_warp_that_is_there_keeps_its_ends_and_its_length(desk: Desk, status: str) -> None:
    setup = desk.told(PLAN)["setup"]
    move_to(desk, status)
    found = changed(desk, "--sett 12epi")
    assert found["status"] == status
    assert (found["setup"]["ends"], found["setup"]["warp_cut_cm"]) == (
        setup["ends"],
        setup["warp_cut_cm"],
    )
    assert found["resley"]["reed_after_cm"] == pytest.approx(setup["reed_width_cm"] * 10 / 12)
    shown = desk.told("cloth show Runner")
    assert shown["ends"] == setup["ends"]
    assert shown["sett_per_cm"] == pytest.approx(12 / INCH)


@pytest.mark.parametrize(
    "more", ["--size 20cmx1m", "--warp Fresh", "--ends 20", "--wash hot", "--default ends"]
)
def test_nothing_else_of_it_can_be_changed(desk: Desk, more: str) -> None:
    desk.does(PLAN)
    move_to(desk, "on-loom")
    before = desk.stash.read_bytes()
    said = desk.refuses(f"cloth change Runner --sett 12epi {more}", 3)
    assert "on the loom" in said and "--sett" in said
    assert desk.stash.read_bytes() == before


def test_a_warp_too_wide_at_the_new_sett_is_refused(desk: Desk) -> None:
    desk.does(PLAN)
    move_to(desk, "wound")
    assert "in the reed" in desk.refuses("cloth change Runner --sett 2epi", 3)


def test_a_cloth_off_the_loom_is_not_changed(desk: Desk) -> None:
    desk.does(PLAN)
    move_to(desk, "off-loom")
    assert "only a planned cloth" in desk.refuses("cloth change Runner --sett 12epi", 3)
