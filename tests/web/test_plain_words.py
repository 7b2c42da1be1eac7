"""The words of the pages: doubts, states, times and actions as a weaver says them."""

import re
import time

import pytest

from farspun.services.undoing import Undone
from farspun.services.wording_page import done_said, local_minute
from stashes import farspun, told
from web.reader import Reader, planned

ADD, MEASURE = "/skeins/new", "/skein/measure"


@pytest.fixture
def far_east(monkeypatch: pytest.MonkeyPatch):
    """Nine hours before Greenwich, all the year: UTC+9 in the notation of POSIX."""
    monkeypatch.setenv("TZ", "XYZ-9")
    time.tzset()
    yield
    monkeypatch.undo()
    time.tzset()


def test_times_are_those_of_the_clock_on_the_wall(far_east: None) -> None:
    assert local_minute("2025-03-01T20:30:00+00:00") == "2025-03-02 05:30"
    undone = Undone("reed remove", "Fine heddle", "2025-03-01T20:30:00+00:00")
    assert done_said(undone) == "Reed removed: Fine heddle (2025-03-02 05:30)."


def test_undo_and_histories_show_local_time(gorse: Reader, far_east: None) -> None:
    (first, *_) = told(gorse.path, "skein", "history", "Gorse")
    there = local_minute(first["at"])
    assert there != first["at"][:16].replace("T", " ")
    undo, skein = gorse.open("/undo"), gorse.open("/skein", name="Gorse")
    assert "UTC" not in undo.main and f"({there})" in undo.verdict
    assert undo.verdict.startswith("Next: Skein added: Gorse")
    assert there in skein.main


def test_every_action_that_can_be_undone_has_words_of_its_own(shelf: Reader) -> None:
    planned(shelf)
    lines = (
        ["cloth", "change", "Scarf", "--take-up", "9%"],
        ["cloth", "claim", "Scarf"],
        ["reed", "change", "Fine heddle", "--name", "Heddle"],
        ["loom", "change", "Window loom", "--name", "Loom"],
        ["skein", "take", "Gorse", "5g"],
        ["cloth", "wound", "Scarf"],
        ["cloth", "on-loom", "Scarf"],
        ["cloth", "give-up", "Scarf", "--yes"],
    )
    for words in lines:
        done = farspun(shelf.path, *words)
        assert done.exit_code == 0, done.stderr
        verdict = shelf.open("/undo").verdict.lower()
        assert f"next: {words[0]} {words[1]}:" not in verdict and "utc" not in verdict


def test_how_far_a_reading_is_off_is_said_without_spreads(gorse: Reader) -> None:
    page = gorse.send(
        gorse.open("/skein", name="Gorse"), MEASURE, wpi="90", wrap="snug", sure="yes"
    )
    assert "far off the rest" in page.main and "spreads" not in page.main
    figures = [float(one) for one in re.findall(r"\(([\d.]+) times its doubt\)", page.main)]
    assert all(1 <= one < 10 for one in figures)
    why = told(gorse.path, "skein", "show", "Gorse")["conflict"]["why"]
    assert "spreads" in why or "which of them is a slip" in why


def test_a_state_is_called_as_its_choice_is(gorse: Reader) -> None:
    page = gorse.open("/skein", name="Gorse")
    assert "= 168 m, washed, dry and slack" in page.main
    assert "relaxed" not in page.main


def test_nothing_is_told_as_none(shelf: Reader) -> None:
    page = shelf.send(shelf.open("/looms"), "/looms/loom/change", name="Window")
    assert page.status == 200, page.said
    verdict = shelf.open("/undo").verdict
    assert "None" not in verdict and "shafts not known" in verdict
    assert verdict.startswith("Next: Loom put right: Window loom: name Window")


def test_a_figure_without_its_doubt_is_refused_as_it_was_typed(shelf: Reader) -> None:
    page = shelf.send(planned(shelf), "/cloth/change", take_up="10±")
    assert page.status == 422
    assert "%±%" not in page.said and "“10±”" in page.wrong("take_up")


def test_a_question_is_asked_as_one_and_has_one_sign_at_its_end(reader: Reader) -> None:
    page = reader.send(reader.open("/looms"), "/looms/reed", name="Fine", dents="125")
    asked = page.wrong("dents")
    assert asked.startswith("Is that right? ") and "It cannot be" not in asked
    assert asked.endswith("?") and ".." not in asked and "?." not in asked
    assert "were dents per inch meant" in asked and "12.50 per inch" in asked
    assert reader.send(page, "/looms/reed", name="Fine", dents="125", sure="yes").status == 200


def test_a_loom_narrower_than_a_tape_is_asked_about(reader: Reader) -> None:
    boxes = {"name": "Table", "kind": "table", "width": "0.61"}
    page = reader.send(reader.open("/looms"), "/looms/loom", **boxes)
    assert page.status == 422 and "was it 6.1 cm?" in page.wrong("width")
    assert reader.send(page, "/looms/loom", **boxes, sure="yes").status == 200


def test_a_cloth_wider_than_any_loom_is_asked_about(gorse: Reader) -> None:
    asked = planned(gorse, wide="420", long="140", warp="Gorse", weft="Gorse")
    assert asked.status == 422 and "was it 42 cm?" in asked.wrong("wide")
    assert told(gorse.path, "cloth", "list") == []
    assert gorse.send(asked, "/cloths/new", sure="yes").status == 200
    assert [one["name"] for one in told(gorse.path, "cloth", "list")] == ["Scarf"]


def test_once_round_in_the_wrong_unit_is_told(reader: Reader) -> None:
    page = reader.send(reader.open(ADD), ADD, name="Shell", mass="123", strands="142",
                       once_round="150", state="relaxed")  # fmt: skip
    assert page.status == 200 and "once round 150 m: were cm meant?" in page.said
    assert "ten times too long" not in page.said


def test_what_stands_first_in_a_history_is_what_the_skein_held(gorse: Reader) -> None:
    farspun(gorse.path, "skein", "take", "Gorse", "5g")
    rows = gorse.open("/skein", name="Gorse").text.partition('class="rows ledger"')[2]
    kinds = re.findall(r"</td><td>(made|weighed|counted|taken)</td>", rows)
    assert kinds == ["made", "weighed", "counted", "taken"]


def test_the_stored_note_of_a_spun_skein_says_what_the_cloth_page_says(shelf: Reader) -> None:
    planned(shelf, long="260", wide="30")  # falls short
    page = shelf.send(shelf.open(ADD, cloth="Scarf"), ADD, name="Driftwood 2",
                      fibre="wool 80, silk 20", plies="2", mass="20", length="46",
                      state="relaxed")  # fmt: skip
    note = page.text.partition('class="told"')[2].partition("</div>")[0]
    now = re.search(r"before; now ([a-z ]+(?:, [a-z ]*\d+ in 100)?) \(you asked", note)
    assert now is not None, note
    check = told(shelf.path, "cloth", "check", "Scarf")
    assert check["verdict"] != "reaches" and now[1].startswith(check["verdict"])
    verdict = shelf.open("/cloth", name="Scarf").verdict
    assert verdict.lower().startswith(now[1].partition(",")[0])
    assert now[1].partition(", ")[2] in verdict
    assert "Falls short. " not in note and "farspun to-spin" not in note


def test_skeins_whose_weighings_do_not_fit_are_in_doubt_and_say_so(gorse: Reader) -> None:
    assert "Gorse" not in gorse.open("/stash", show="doubtful").main
    farspun(gorse.path, "skein", "add", "Oat", "--mass", "100g", "--length", "300m")
    size = ("--size", "10cmx60cm", "--warp", "Gorse", "--weft", "Oat")
    wound = ("cloth", "wound", "Band", "--ends", "48", "--warp", "1.2m", "--left")
    for words in (("cloth", "plan", "Band", *size), (*wound, "Gorse=47g"), (*wound, "Gorse=66g")):
        done = farspun(gorse.path, *words)
        assert done.exit_code == 0, done.stderr
    assert "does not fit together" in told(gorse.path, "skein", "show", "Gorse")["remarks"][0]
    rows = gorse.open("/stash", show="doubtful").main
    assert "Gorse" in rows and "does not fit together" in rows


def test_a_tick_that_is_lacking_is_asked_for_in_a_sentence(shelf: Reader) -> None:
    for name in ("Scarf", "Stole"):
        planned(shelf, name=name, wide="30", long="180", priority="3" if name == "Scarf" else "2")
    page = shelf.open("/share-out")
    if "/share-out" not in [one.action for one in page.forms if one.method == "post"]:
        pytest.fail("sharing out changes nothing here")
    refused = shelf.send(page, "/share-out")
    assert refused.status == 422 and "left open" not in refused.said
    assert refused.wrong("sure").startswith("Tick this if it may be so. Let go of: ")
