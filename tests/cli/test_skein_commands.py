"""farspun skein …: what scripts read, what is said back, what is refused and how."""

import json
import os
import re
import subprocess
import sys

import pytest

from cli.running import Desk
from farspun.store.engine import Stash
from stashes import add_skein, claim, farspun, told

SPREAD = {"mean", "sd", "p05", "p50", "p95"}
KEYS = {
    "name",
    "status",
    "fibre",
    "plies",
    "draw",
    "mill",
    "colours",
    "mass_g",
    "length_m",
    "tex",
    "m_per_100g",
    "yd_per_lb",
    "wraps_per_cm",
    "wpi",
    "fibre_fill",
    "claimed_m",
    "free_m",
    "conflict",
}
GORSE = (
    "skein", "add", "Gorse 1", "--mass", "66 g", "--strands", "180", "--once-round", "1.5m",
    "--state", "relaxed", "--tool", "ash", "--test-length", "10m=2.4g", "--test-length",
    "12 yd=2.7 g", "--wpi", "16 wpi", "--wpi", "6 wraps/cm", "--wrap", "snug", "--plies", "2",
    "--twist", "S", "--draw", "woollen", "--fibre", "wool 80, silk 20", "--colour", "heather",
    "--spun", "2024-05", "--place", "blue box", "--note", "for Ada",
)  # fmt: skip


@pytest.fixture
def place(tmp_path):
    return tmp_path / "stash.db"


def test_a_skein_is_shown_with_every_key_scripts_rely_on(place):
    assert farspun(place, *GORSE).exit_code == 0
    shown = told(place, "skein", "show", "gorse 1")
    assert KEYS | {"evidence"} <= shown.keys()
    assert set(shown["length_m"]) == set(shown["tex"]) == SPREAD
    assert shown["colour"] == "heather"
    assert shown["colours"] == [{"name": "heather", "hex": "#a484ac", "share": 1.0}]
    assert (shown["name"], shown["status"], shown["plies"]) == ("Gorse 1", "open", 2)
    assert (shown["fibre"], shown["draw"], shown["mill"]) == ("wool 80, silk 20", "woollen", False)
    assert shown["wpi"] == pytest.approx(2.54 * shown["wraps_per_cm"])
    assert shown["yd_per_lb"] == pytest.approx(496_054.65 / shown["tex"]["p50"])
    assert shown["m_per_100g"] == pytest.approx(100_000 / shown["tex"]["p50"])
    assert shown["conflict"] is None
    assert [set(item) for item in shown["evidence"]] == [{"kind", "said", "pull"}] * 6
    assert [item["said"] for item in shown["evidence"]] == [
        "66 g",
        "180 × 1.5 m = 270 m, relaxed, on “ash”",
        "10 m = 2.4 g",
        "12 yd = 2.7 g",
        "16 wpi",
        "6 wraps/cm",
    ]


def test_the_list_holds_the_same_without_the_readings(place):
    farspun(place, *GORSE)
    farspun(place, "skein", "add", "Gorse 10")
    farspun(place, "skein", "add", "gorse 2")
    listed = told(place, "skein", "list")
    assert [one["name"] for one in listed] == ["Gorse 1", "gorse 2", "Gorse 10"]
    shown = told(place, "skein", "show", "Gorse 1")
    assert "evidence" not in listed[0]
    assert listed[0] == {key: shown[key] for key in listed[0]}
    assert listed[1]["length_m"] is None
    assert listed[1]["colours"] == []


def test_what_was_understood_is_said_back_then_what_it_comes_to_in_both_systems(place):
    result = farspun(place, *GORSE)
    lines = result.stdout.splitlines()
    assert "  yarn         wool 80, silk 20, 2-ply, woollen draw, S twist" in lines
    assert "  counted      180 × 1.5 m = 270 m, relaxed, on “ash”" in lines
    metric, imperial = lines[-2:]
    assert re.match(r"Gorse 1: about 2\d\d m \(2\d\d-2\d\d\), \d+ m per 100 g", metric)
    assert "yd" not in metric
    assert "yd per lb" in imperial
    assert "wraps per inch" in imperial
    assert " m " not in imperial
    assert result.stderr == ""


def test_a_count_without_its_state_is_spoken_of_on_stderr(place):
    result = farspun(place, "skein", "add", "A", "--mass", "100g", "--length", "280m")
    assert "taken as 10 % longer" in result.stderr
    assert "10 %" not in result.stdout


def test_disagreeing_readings_become_a_question(place):
    result = farspun(
        place, "skein", "add", "A", "--mass", "100g", "--length", "380m", "--state", "relaxed",
        "--test-length", "10m=3.9g",
    )  # fmt: skip
    assert result.exit_code == 0
    assert "was it counted before washing" in result.stderr
    conflict = told(place, "skein", "show", "A")["conflict"]
    assert set(conflict) == {"evidence", "why"}
    assert [item["kind"] for item in conflict["evidence"]] == ["counted", "test length"]
    assert told(place, "skein", "list")[0]["conflict"] == conflict
    assert "Ask" in farspun(place, "skein", "show", "A").stdout
    assert "readings disagree" in farspun(place, "skein", "list").stdout


@pytest.mark.parametrize(
    ("words", "code", "told_of"),
    [
        (["skein", "show", "Gors 1"], 4, "Gorse 1"),
        (["skein", "add", "GORSE 1"], 3, "Gorse 1"),
        (["skein", "add", "A", "--mass", "112"], 3, "g, mg, kg, oz or lb"),
        (["skein", "add", "A", "--mass", "3,5 g"], 3, "3.5 g"),
        (["skein", "add", "A", "--mass", "51 kg"], 3, "50 kg"),
        (["skein", "add", "A", "--wpi", "201 wpi"], 3, "200 wpi"),
        (["skein", "add", "A", "--mass", "0 g"], 3, "more than 0"),
        (["skein", "add", "A", "--length", "nan m"], 3, "nan"),
        (["skein", "add", "A", "--test-length", "10m=0.2g"], 3, "3 steps"),
        (["skein", "add", "A", "--test-length", "10m"], 3, "10m=4.3g"),
        (["skein", "add", "A", "--fibre", "wool 50, silk 30"], 3, "100"),
        (["skein", "add", "A", "--fibre", "wol"], 4, "wool"),
        (["skein", "add", "A", "--plies", "0"], 3, "from 1"),
        (["skein", "add", "A", "--plies", "101"], 3, "100"),
        (["skein", "add", "A", "--strands", "12.5", "--once-round", "2m"], 3, "whole number"),
        (["skein", "add", "A", "--strands", "12"], 2, "--once-round"),
        (["skein", "add", "A", "--rebuy", "100g"], 2, "--mill"),
        (["skein", "add", "A", "--draw", "long"], 2, "semi"),
        (["skein", "add"], 2, "NAME"),
        (["skein", "measure", "Gorse 1"], 2, "--mass"),
        (["skein", "take", "Gorse 1", "12"], 3, "40 g"),
        (["skein", "take", "Gorse 1", "67 g"], 3, "66 g"),
        (["skein", "take", "Gorse 1", "1 g", "--for", "Shawl"], 4, "cloth"),
        (["skein", "close", "Gorse 1"], 2, "--because"),
        (["skein", "close", "Gorse 1", "--because", "eaten"], 2, "spoiled"),
    ],
)
def test_what_cannot_be_is_refused_in_plain_words(place, words, code, told_of):
    farspun(place, *GORSE)
    result = farspun(place, *words)
    assert (result.exit_code, result.stdout) == (code, "")
    assert told_of in result.stderr
    assert "Traceback" not in result.stderr
    assert len(told(place, "skein", "list")) == 1


def test_heavy_is_asked_about_and_stored(place):
    result = farspun(place, "skein", "add", "A", "--mass", "5.5 kg")
    assert "is it right?" in result.stderr
    assert told(place, "skein", "show", "A")["mass_g"] == 5500


def test_taking_weighing_and_closing_tell_what_is_left(place):
    farspun(place, *GORSE)
    taken = farspun(place, "skein", "take", "Gorse 1", "26 g")
    assert "Taken: 26 g (0.92 oz)." in taken.stdout
    assert "Left of “Gorse 1”: 40 g (1.4 oz)." in taken.stdout
    weighed = farspun(place, "skein", "weigh", "gorse 1", "3/4 oz", "--tare", "1 g")
    assert "not written down?" in weighed.stderr
    assert "20 g" in weighed.stdout
    assert farspun(place, "skein", "close", "Gorse 1", "--because", "used").exit_code == 0
    assert farspun(place, "skein", "list").stdout == ""
    assert "closed: used" in farspun(place, "skein", "list", "--closed").stdout
    assert told(place, "skein", "list")[0]["status"] == "closed"


def test_history_tells_the_balance_after_every_line(place):
    farspun(place, *GORSE)
    farspun(place, "skein", "take", "Gorse 1", "10 m")
    lines = told(place, "skein", "history", "Gorse 1")
    assert {"at", "what", "said", "change_g", "balance_g"} <= lines[0].keys()
    assert lines[-1]["said"] == "10 m"
    assert lines[-1]["balance_g"] == pytest.approx(66 + lines[-1]["change_g"])
    assert "taken" in farspun(place, "skein", "history", "Gorse 1").stdout


def test_claims_are_shown_and_guarded(place):
    farspun(place, *GORSE)
    claim(Stash(path=place), "Shawl", "Gorse 1", 33_000)
    shown = told(place, "skein", "show", "Gorse 1")
    assert shown["claimed_m"] == pytest.approx(shown["length_m"]["mean"] / 2)
    assert shown["free_m"] == pytest.approx(shown["length_m"]["mean"] / 2)
    assert "Kept for Shawl, 33 g" in farspun(place, "skein", "show", "Gorse 1").stdout
    refused = farspun(place, "skein", "take", "Gorse 1", "40 g")
    assert (refused.exit_code, "“Shawl”" in refused.stderr) == (3, True)
    assert farspun(place, "skein", "take", "Gorse 1", "40 g", "--for", "Shawl").exit_code == 0
    assert told(place, "skein", "show", "Gorse 1")["claimed_m"] == 0


def test_reading_a_stash_that_is_not_there_answers_empty_and_makes_nothing(place):
    listed = farspun(place, "skein", "list", "--json")
    assert (listed.exit_code, json.loads(listed.stdout)) == (0, [])
    assert "skein add makes it" in listed.stderr
    assert farspun(place, "skein", "show", "Gorse 1").exit_code == 4
    assert not place.exists()


def test_names_of_every_kind_come_through_the_command_line(place):
    names = ['it\'s "mine"', "a:b=c", "🐑", "صوف", "ünï"]
    for name in names:
        assert farspun(place, "skein", "add", name).exit_code == 0
    assert {one["name"] for one in told(place, "skein", "list")} == set(names)


def test_the_list_can_be_read_in_yards(place):
    farspun(place, *GORSE)
    metric = farspun(place, "skein", "list").stdout
    imperial = farspun(place, "skein", "list", "--imperial").stdout
    assert "m/100 g" in metric
    assert "yd/lb" in imperial
    length_m = told(place, "skein", "show", "Gorse 1")["length_m"]["p50"]
    assert f"{length_m:.0f}" in metric
    assert f"{length_m / 0.9144:.0f}" in imperial


def test_many_programs_may_add_to_a_new_stash_at_the_same_time(place):
    adding = [
        subprocess.Popen(
            [sys.executable, "-m", "farspun", "--stash", str(place), "skein", "add", f"S{number}",
             "--mass", "100 g", "--length", "250 m"],
            stdout=subprocess.DEVNULL,
            stderr=subprocess.PIPE,
            env=os.environ | {"COLUMNS": "80"},
        )
        for number in range(4)
    ]  # fmt: skip
    for one in adding:
        _, complaint = one.communicate(timeout=60)
        assert one.returncode == 0, complaint.decode()
    assert [one["name"] for one in told(place, "skein", "list")] == ["S0", "S1", "S2", "S3"]


def test_the_long_list_is_drawn_in_plain_columns_when_piped(place):
    stash = Stash(path=place)
    add_skein(stash, "A" * 120, mass="100 g", length="280 m", state="relaxed")
    first, second = farspun(place, "skein", "list").stdout.splitlines()
    assert second.startswith("A" * 120)
    assert first.split()[:3] == ["skein", "m", "from-to"]


def test_columns_stand_under_each_other_whatever_signs_a_name_has(tmp_path):
    desk = Desk(tmp_path)
    for name in ("\N{BALL OF YARN} gold", "q\u0308y"):
        desk.does(["skein", "add", name, "--mass", "50g", "--length", "60m"])
    head, dotted, ball = desk.run("skein list").stdout.splitlines()
    # the ball takes two places of the line, the two dots of the other name none
    at = head.index("from-to")
    assert (ball.index("  46-64"), dotted.index("  46-64")) == (at - 1, at + 1)


def test_more_on_the_scale_than_there_is_names_the_bobbin_and_is_stored(tmp_path):
    desk = Desk(tmp_path)
    desk.does("skein add Wrasse --mass 52g --length 110m --state relaxed")
    whole = " ".join(desk.run("skein weigh Wrasse 97g").stderr.split())
    assert "45 g of “Wrasse” more than the 52 g it weighed before" in whole
    assert "bobbin or cone weighed with it (--tare)" in whole
    desk.does("undo", "skein take Wrasse 20g")
    left = " ".join(desk.run("skein weigh Wrasse 77g").stderr.split())
    assert "32 g should be left" in left and "bobbin or cone weighed with it (--tare)" in left
    assert desk.told("skein show Wrasse")["mass_g"] == 77


def test_a_skein_is_changed_and_a_slip_struck_out_from_the_command_line(tmp_path):
    desk = Desk(tmp_path)
    desk.does("skein add Wrasse --mass 4.1oz --length 234m --state relaxed")
    assert "which of them is a slip?" in desk.run("skein weigh Wrasse 88g").stderr
    assert "farspun skein strike Wrasse …" in desk.run("skein show Wrasse").stdout
    desk.does("skein strike Wrasse 4.1oz", "skein change Wrasse --name Wrack --mill --note 'a b'")
    assert desk.told("skein show Wrack")["note"] == "a b"
    assert "weighed (struck out)" in desk.run("skein history Wrack").stdout
    assert "Nothing to change" in desk.refuses("skein change Wrack", 2)
    assert "--rebuy is for mill yarn" in desk.refuses(
        "skein change Wrack --not-mill --rebuy 50g", 2
    )


def test_undo_tells_beforehand_what_it_would_take_back(tmp_path):
    desk = Desk(tmp_path)
    assert desk.run("undo --dry-run").stdout == "There is nothing to undo.\n"
    desk.does("skein add Wrasse --mass 88g")
    before = desk.stash.read_bytes()
    assert desk.run("undo --dry-run").stdout.startswith("Next: skein add (Wrasse; weighed 88 g)")
    assert desk.stash.read_bytes() == before


def test_a_grist_that_no_hand_spins_is_asked_about(tmp_path):
    desk = Desk(tmp_path)
    line = "skein add Sedge --mass 104.5g --strands 1550 --once-round 1.5m --state relaxed"
    assert "is the length ten times too long" in desk.run(line).stderr
    assert "ten times" not in desk.run(line.replace("1550", "155").replace("Sedge", "B")).stderr
    assert "ten times" not in desk.run(line.replace("Sedge", "C --mill")).stderr


def test_a_breed_is_read_as_wool_and_its_name_is_worth_a_note(place):
    said = farspun(place, "skein", "add", "Dune", "--fibre", "Romney", "--mass", "80g").stderr
    remark = "Romney is read as wool, and the breed is not kept: write it into the note."
    assert remark in " ".join(said.split())
    noted = ("--fibre", "Romney", "--mass", "80g", "--note", "romney, second shearing")
    assert "read as wool" not in farspun(place, "skein", "add", "Ridge", *noted).stderr
    assert "read as wool" not in farspun(place, "skein", "add", "My Romney", *noted[:4]).stderr
