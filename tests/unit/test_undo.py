"""Taking back the newest command: everything is as before it, and what cannot be is refused."""

from pathlib import Path

import pytest
from sqlalchemy import func, insert, select

from doings import NOTHING, a_skein, seen
from farspun.errors import ImpossibleValue, NotFound, WrongUse
from farspun.services import (
    balance,
    cloths,
    equipment,
    exporting,
    giving_up,
    skein_closing,
    skeins,
    undoing,
)
from farspun.services.cloth_asked import ClothAsked
from farspun.services.history import history
from farspun.services.importing import import_file
from farspun.services.showing import show, show_all
from farspun.store import tables
from farspun.store.engine import Stash, reading, writing
from farspun.units import dents, length, mass
from stashes import add_skein, balance_and_ledger, farspun, measured

ASKED = ClothAsked(width_cm=30, length_cm=60, size_said="30 x 60", warp=("A",), weft=("B",))


@pytest.fixture
def stash(tmp_path: Path) -> Stash:
    """Skeins A and B, a loom and a reed."""
    stash = Stash(path=tmp_path / "stash.db")
    a_skein(stash, "A")
    a_skein(stash, "B")
    equipment.add_loom(stash, "Table", "table", length("60cm"))
    equipment.add_reed(stash, "Eight", dents("8 dpi"), loom="Table")
    return stash


DEEDS = {
    "skein add": lambda stash: a_skein(stash, "C"),
    "skein measure": lambda stash: skeins.measure(stash, "A", measured(wpi="14 wpi"), "snug"),
    "skein weigh": lambda stash: balance.weigh(stash, "A", mass("98 g")),
    "skein take": lambda stash: balance.take(stash, "A", balance.amount("20 m")),
    "skein close": lambda stash: skein_closing.close(stash, "A", "lost", sure=True),
    "loom add": lambda stash: equipment.add_loom(stash, "Floor", "floor", length("120cm")),
    "reed add": lambda stash: equipment.add_reed(stash, "Ten", dents("10 dpi")),
    "cloth plan": lambda stash: cloths.plan_cloth(stash, "Rug", ASKED),
}
WITH_A_CLOTH = {
    "skein take": lambda stash: balance.take(stash, "A", balance.amount("20 m"), "Shawl"),
    "skein close": lambda stash: skein_closing.close(stash, "A", "lost", sure=True),
    "cloth change": lambda stash: cloths.change_cloth(stash, "Shawl", ClothAsked(weft=("A",))),
    "cloth give-up": lambda stash: giving_up.give_up_cloth(stash, "Shawl"),
    "cloth claim": lambda stash: cloths.claim_cloth(stash, "Shawl"),
}


@pytest.mark.parametrize("command", DEEDS)
def test_undoing_a_command_leaves_everything_as_before_it(stash, command):
    before = seen(stash)
    DEEDS[command](stash)
    assert seen(stash) != before
    assert undoing.undo(stash).command == command
    assert seen(stash) == before


@pytest.mark.parametrize("command", WITH_A_CLOTH)
def test_undoing_what_concerned_a_cloth_leaves_its_claims_as_before(stash, command):
    cloths.plan_cloth(stash, "Shawl", ASKED)
    before = seen(stash)
    WITH_A_CLOTH[command](stash)
    assert undoing.undo(stash).command == command
    assert seen(stash) == before


def test_undoing_again_goes_one_further_back(stash):
    balance.take(stash, "A", balance.amount("10 g"))
    balance.take(stash, "B", balance.amount("20 g"))
    assert [undoing.undo(stash).said for _ in range(4)] == [
        "B: 20 g", "A: 10 g", "Eight: 8 dpi", "Table: table, 60 cm",
    ]  # fmt: skip
    assert equipment.list_looms(stash) == []


def test_everything_can_be_undone_and_then_nothing_is_left_to_undo(stash):
    cloths.plan_cloth(stash, "Shawl", ASKED)
    for _ in range(5):
        undoing.undo(stash)
    assert seen(stash) == NOTHING
    with pytest.raises(WrongUse, match="nothing to undo"):
        undoing.undo(stash)


def test_a_loom_goes_although_a_cloth_that_was_undone_stood_on_it(stash):
    cloths.plan_cloth(stash, "Shawl", ASKED)
    assert cloths.show_cloth(stash, "Shawl").plan.loom.name == "Table"
    assert [undoing.undo(stash).command for _ in range(3)] == ["cloth plan", "reed add", "loom add"]
    assert equipment.list_looms(stash) == equipment.list_reeds(stash) == []


def test_a_name_is_free_again_for_skeins_cloths_looms_and_reeds(stash):
    cloths.plan_cloth(stash, "Shawl", ASKED)
    for _ in range(5):
        undoing.undo(stash)
    a_skein(stash, "a")
    a_skein(stash, "B")
    equipment.add_loom(stash, "table", "floor", length("60cm"))
    equipment.add_reed(stash, "eight", dents("8 dpi"))
    cloths.plan_cloth(stash, "shawl", ASKED)
    assert [one.name for one in show_all(stash)] == ["a", "B"]
    assert [one.name for one in cloths.list_cloths(stash)] == ["shawl"]


def test_what_was_undone_is_not_found_and_offered_no_more(stash):
    a_skein(stash, "Driftwood")
    undoing.undo(stash)
    with pytest.raises(NotFound) as missed:
        show(stash, "Driftwod")
    assert missed.value.nearest == []


def test_history_keeps_what_was_undone_and_says_so(stash):
    balance.take(stash, "A", balance.amount("10 g"))
    undoing.undo(stash)
    told = [(line.what, line.balance_g, line.undone) for line in history(stash, "A")]
    assert told[-2:] == [("taken", 90.0, True), ("undone", 100.0, False)]
    assert balance_and_ledger(stash, "A") == (100_000, 100_000)


def test_a_skein_never_weighed_is_so_again(stash):
    add_skein(stash, "C", wpi="12 wpi")
    balance.weigh(stash, "C", mass("50 g"))
    undoing.undo(stash)
    assert show(stash, "C").mass_g is None


def test_a_reading_taken_back_speaks_no_more_to_a_cloth(stash):
    cloths.plan_cloth(stash, "Shawl", ASKED)
    before = cloths.check_cloth(stash, "Shawl")
    skeins.measure(stash, "B", measured(wpi="9 wpi"))
    undoing.undo(stash)
    assert cloths.check_cloth(stash, "Shawl") == before


def test_a_claim_beyond_a_balance_that_a_weighing_lowered_comes_back_with_its_cloth(stash):
    cloths.plan_cloth(stash, "Shawl", ASKED)
    balance.take(stash, "A", balance.amount("1 g"), "Shawl")
    balance.weigh(stash, "A", mass("5 g"))
    before = seen(stash)
    giving_up.give_up_cloth(stash, "Shawl")
    undoing.undo(stash)
    assert seen(stash) == before


def test_a_balance_that_would_go_below_zero_is_refused_and_nothing_changes(stash):
    """Only a stash that was changed by other means can come to this."""
    with reading(stash) as connection:
        last = connection.execute(select(func.max(tables.action.c.id))).scalar_one()
    with writing(stash) as connection:
        for kind, delta_mg in (("taken", -100_000), ("evidence", 40_000)):
            connection.execute(
                insert(tables.entry).values(
                    action_id=last if kind == "evidence" else 1,
                    skein_id=1, kind=kind, delta_mg=delta_mg, said="by hand",
                )
            )  # fmt: skip
        connection.execute(
            insert(tables.entry).values(
                action_id=1, skein_id=1, kind="taken", delta_mg=-30_000, said="by hand"
            )
        )
    with pytest.raises(ImpossibleValue, match="below zero"):
        undoing.undo(stash)
    assert balance_and_ledger(stash, "A") == (10_000, 10_000)
    assert [one.name for one in equipment.list_reeds(stash)] == ["Eight"]


@pytest.mark.parametrize("kind", ["csv", "json"])
def test_an_import_is_one_command_and_goes_whole(stash, tmp_path, kind):
    exporting.export(stash, tmp_path / f"out.{kind}")
    other = Stash(path=tmp_path / "other.db")
    a_skein(other, "Mine")
    before = seen(other)
    import_file(other, tmp_path / f"out.{kind}")
    assert len(show_all(other)) == 3
    assert undoing.undo(other).command == "import"
    assert seen(other) == before
    assert undoing.undo(other).said.startswith("Mine")


def test_what_was_done_after_an_import_is_taken_back_before_it(stash, tmp_path):
    exporting.export(stash, tmp_path / "out.json")
    other = Stash(path=tmp_path / "other.db")
    import_file(other, tmp_path / "out.json")
    cloths.plan_cloth(other, "Shawl", ASKED)
    balance.take(other, "A", balance.amount("1 g"), "Shawl")
    done = [undoing.undo(other).command for _ in range(3)]
    assert done == ["skein take", "cloth plan", "import"]
    assert seen(other) == NOTHING


def test_the_command_says_what_it_took_back(stash):
    told = farspun(stash.path, "undo").stdout
    assert told.startswith("Undone: reed add (Eight: 8 dpi), of ")
    assert farspun(stash.path.with_name("new.db"), "undo").exit_code == 2
