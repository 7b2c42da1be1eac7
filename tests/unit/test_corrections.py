"""Putting right what was typed wrong: what was said of a skein, and readings that were slips."""

from pathlib import Path

import pytest

from farspun.errors import ImpossibleValue, NotFound, WrongUse
from farspun.services import balance, skeins
from farspun.services.corrections import describe_anew, strike
from farspun.services.doctor import examine
from farspun.services.exporting import export
from farspun.services.history import history
from farspun.services.importing import import_file
from farspun.services.showing import show, show_all
from farspun.services.undoing import undo
from farspun.store.engine import Stash
from farspun.units import mass
from stashes import add_skein, farspun, measured, told


@pytest.fixture
def stash(tmp_path: Path) -> Stash:
    """One skein that was weighed wrong, counted right."""
    stash = Stash(path=tmp_path / "stash.db")
    add_skein(stash, "Wrasse", mass="4.1 oz", length="234 m", state="relaxed")
    return stash


def weigh_whole(stash: Stash, on_scale: str) -> None:
    """Nothing was used: the whole skein on the scale once more."""
    skeins.measure(stash, "Wrasse", measured(mass=on_scale), sure=True)


def test_a_skein_gets_another_name_and_everything_else_stays(stash):
    before = show(stash, "Wrasse")
    after = describe_anew(stash, "wrasse", {"name": "Wrack"})
    assert after.name == "Wrack" and after.length_m == before.length_m
    assert [one.name for one in show_all(stash)] == ["Wrack"]
    with pytest.raises(NotFound):
        show(stash, "Wrasse")
    describe_anew(stash, "Wrack", {"name": "WRACK"})
    assert show(stash, "wrack").name == "WRACK"


def test_a_name_that_another_skein_has_is_refused(stash):
    add_skein(stash, "Moss", mass="50 g")
    with pytest.raises(ImpossibleValue, match="there is a skein called “Moss”"):
        describe_anew(stash, "Wrasse", {"name": "moss"})


def test_what_is_said_of_a_skein_is_changed_and_counts(stash):
    tex = show(stash, "Wrasse").tex
    after = describe_anew(stash, "Wrasse", {"fibre": "linen", "plies": 2, "note": "from the fair"})
    assert (after.fibre, after.plies, after.note) == ("linen", 2, "from the fair")
    assert after.draw == "semi"
    # weighed and counted: the fibre says nothing of the grist
    assert after.tex["p50"] == pytest.approx(tex["p50"])
    assert after.wraps_per_cm != show_after_undo(stash).wraps_per_cm


def show_after_undo(stash):
    undo(stash)
    return show(stash, "Wrasse")


def test_an_empty_text_takes_it_away(stash):
    describe_anew(stash, "Wrasse", {"note": "from the fair", "spun": "2024"})
    after = describe_anew(stash, "Wrasse", {"note": "", "spun": ""})
    assert (after.note, after.spun) == (None, None)


def test_mill_yarn_that_is_none_loses_its_packs(stash):
    describe_anew(stash, "Wrasse", {"mill": True, "rebuy": mass("50 g")})
    assert show(stash, "Wrasse").rebuy == "50 g"
    with pytest.raises(WrongUse, match="--rebuy is for mill yarn"):
        describe_anew(stash, "Wrasse", {"mill": False, "rebuy": mass("50 g")})
    assert describe_anew(stash, "Wrasse", {"mill": False}).rebuy is None


def test_how_all_wraps_were_made_can_be_said_later(stash):
    add_skein(stash, "Brick", wpi="14 wpi", mass="60 g")
    loose_or_snug = show(stash, "Brick").tex["p50"]
    after = describe_anew(stash, "Brick", {"wrap": "snug"})
    assert after.tex["p50"] > loose_or_snug


def test_nothing_to_change_is_refused(stash):
    with pytest.raises(WrongUse, match="Nothing to change"):
        describe_anew(stash, "Wrasse", {})


def test_a_slip_of_the_scale_is_struck_out_and_the_right_mass_counts(stash):
    weigh_whole(stash, "88 g")
    doubt = show(stash, "Wrasse").conflict
    assert doubt is not None
    assert doubt.why == "It was weighed as 4.1 oz and as 88 g: which of them is a slip?"
    after = strike(stash, "Wrasse", "4.1OZ")
    assert after.mass_g == 88.0 and after.conflict is None
    assert after.tex["p50"] == pytest.approx(88 / 234 * 1000, rel=0.02)
    assert [line.said for line in history(stash, "Wrasse") if line.struck] == ["4.1 oz"]
    assert examine(stash).wrong == []


def test_striking_the_later_mass_brings_the_earlier_back(stash):
    weigh_whole(stash, "88 g")
    assert strike(stash, "Wrasse", "88 g").mass_g == pytest.approx(116.2, abs=0.1)


def test_the_only_mass_struck_out_leaves_the_length_at_its_grist(stash):
    after = strike(stash, "Wrasse", "4.1 oz")
    assert after.mass_g is None  # nobody weighed it
    assert after.length_m["p50"] == pytest.approx(234, rel=0.02)


def test_the_last_word_on_how_much_there_is_cannot_be_struck_out(stash):
    strike(stash, "Wrasse", "4.1 oz")
    with pytest.raises(ImpossibleValue, match="nothing else tells how much"):
        strike(stash, "Wrasse", "234 m, relaxed")
    assert len(show(stash, "Wrasse").evidence) == 1


def test_part_of_the_words_will_do_where_only_one_reading_has_them(stash):
    add_skein(stash, "Two", mass="50 g", wpi="14 wpi")
    strike(stash, "Wrasse", "234")
    assert [one.kind for one in show(stash, "Wrasse").evidence] == ["weighed"]
    with pytest.raises(NotFound, match="no reading of “Two” called “15 wpi”"):
        strike(stash, "Two", "15 wpi")


def test_words_that_several_readings_have_are_asked_about(stash):
    weigh_whole(stash, "104 g")
    with pytest.raises(WrongUse, match=r"may be “4\.1 oz”, “234 m, relaxed”, “104 g”"):
        strike(stash, "Wrasse", "4")


def test_after_a_take_the_balance_moves_by_as_much_as_the_slip(stash):
    balance.take(stash, "Wrasse", balance.amount("20 g"))
    before = show(stash, "Wrasse").mass_g
    undo(stash)
    weigh_whole(stash, "88 g")
    balance.take(stash, "Wrasse", balance.amount("20 g"))
    assert strike(stash, "Wrasse", "88 g").mass_g == pytest.approx(before)
    assert examine(stash).wrong == []


def test_a_slip_below_what_was_taken_is_refused(stash):
    balance.weigh(stash, "Wrasse", mass("150 g"))
    balance.take(stash, "Wrasse", balance.amount("130 g"))
    with pytest.raises(ImpossibleValue, match="more was taken from “Wrasse”"):
        strike(stash, "Wrasse", "150 g")
    assert show(stash, "Wrasse").mass_g == pytest.approx(20.0)


def test_undo_makes_a_struck_reading_count_again(stash):
    weigh_whole(stash, "88 g")
    before = show(stash, "Wrasse")
    strike(stash, "Wrasse", "4.1 oz")
    undo(stash)
    assert show(stash, "Wrasse") == before


def test_struck_readings_go_out_and_come_back(stash, tmp_path):
    weigh_whole(stash, "88 g")
    strike(stash, "Wrasse", "4.1 oz")
    export(stash, tmp_path / "a.json")
    other = Stash(path=tmp_path / "other.db")
    import_file(other, tmp_path / "a.json")
    export(other, tmp_path / "b.json")
    assert (tmp_path / "a.json").read_bytes() == (tmp_path / "b.json").read_bytes()
    assert show(other, "Wrasse") == show(stash, "Wrasse")
    assert import_file(stash, tmp_path / "a.json").new["skeins"] == 0
    # the table carries what counts
    export(stash, tmp_path / "a.csv")
    assert "88 g" in (tmp_path / "a.csv").read_text(encoding="utf-8")


def test_what_a_tug_showed_goes_out_and_comes_back(tmp_path):
    one = tmp_path / "one.db"
    assert farspun(one, "skein", "add", "Moor", "--mass", "50g", "--tug", "holds").exit_code == 0
    assert farspun(one, "skein", "add", "Fen", "--mass", "50g").exit_code == 0
    assert farspun(one, "skein", "measure", "Fen", "--tug", "drifts").exit_code == 0
    for kind in ("csv", "json"):
        path, other = tmp_path / f"all.{kind}", tmp_path / f"{kind}.db"
        assert farspun(one, "export", str(path)).exit_code == 0
        assert farspun(other, "import", str(path)).exit_code == 0
        tugs = {skein["name"]: skein["tug"] for skein in told(other, "skein", "list")}
        assert tugs == {"Moor": "holds", "Fen": "drifts"}
    assert "drifts when tugged" in farspun(one, "skein", "show", "Fen").stdout
