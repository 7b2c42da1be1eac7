"""Cloths as pages: the verdict first, the same as on the screen, and what would change it."""

import pytest

from stashes import farspun, told
from web.reader import SCARF, Reader, planned

NEW, CHANGE = "/cloths/new", "/cloth/change"


def test_a_cloth_is_planned_and_its_answer_is_that_of_the_readme(shelf: Reader) -> None:
    page = planned(shelf)
    assert page.status == 200, page.said
    assert page.verdict == ("Uncertain: 81 in 100 that both yarns reach (you asked for 95).")
    for said in (
        "need 306-316 m, have 873-969 m",
        "in yards: need 198-283, have 225-325",
        "83 in 100 that it is at least 20.9 x 133 cm washed",
        "134 ends at 5.0 per cm, 26.8 cm in the reed; warp 232 cm long",
        "in Driftwood: how long the yarn is (51 %)",
        "wash Driftwood, let it dry slack and count it again",
        "or have 28 m (13 g) more Driftwood: then 95 in 100",
        "Taken from habit, not from your records",
    ):
        assert said in page.said


def test_every_line_of_the_screen_stands_on_the_page(shelf: Reader) -> None:
    page = planned(shelf)
    lines = farspun(shelf.path, "cloth", "check", "Scarf").stdout.split("\n")
    for word in " ".join(lines[8:]).split():
        assert word in page.text or word in page.said, word


def test_need_and_have_are_drawn_to_one_scale(shelf: Reader) -> None:
    import re

    page = planned(shelf)
    check = told(shelf.path, "cloth", "check", "Scarf")["weft"][0]
    bars = re.findall(r'<rect class="(need|have)" x="0" y="\d+" width="([\d.]+)"', page.text)
    weft = dict(bars[2:])
    share = check["need_m"]["p05"] / check["have_m"]["p05"]
    assert float(weft["need"]) / float(weft["have"]) == pytest.approx(share, abs=0.01)


def test_cloths_stand_in_rows_by_state(shelf: Reader) -> None:
    planned(shelf)
    farspun(shelf.path, "cloth", "wound", "Scarf")
    planned(shelf, name="Cushion", warp="Cone", weft="Gorse")
    page = shelf.open("/cloths")
    assert page.said.index("Planned Cushion") < page.said.index("Wound Scarf")
    assert "Falls short, under 1 in 100" in page.said
    rows = {row["name"]: row for row in told(shelf.path, "cloth", "list")}
    assert f"Uncertain, {round(rows['Scarf']['odds'] * 100)} in 100" in page.said


def test_verdicts_that_are_not_worked_out_yet_come_one_by_one(
    shelf: Reader, monkeypatch: pytest.MonkeyPatch
) -> None:
    planned(shelf)
    from farspun.services import cloth_shelf

    assert cloth_shelf.cloth_rows(shelf.stash, most=0)[0].verdict is None
    assert "Uncertain" in shelf.open("/cloths/verdict", name="Scarf").said
    assert cloth_shelf.cloth_rows(shelf.stash, most=0)[0].verdict == "uncertain"
    farspun(shelf.path, "skein", "weigh", "Gorse", "70g")
    assert cloth_shelf.cloth_rows(shelf.stash, most=0)[0].verdict is None


def test_an_assumption_changed_moves_the_answer_and_stores_nothing(shelf: Reader) -> None:
    planned(shelf)
    page = shelf.open("/cloth", name="Scarf", shrink_length="20", beat="1")
    assert page.status == 200
    assert "Tried out, not stored" in page.said
    assert "Before: uncertain, 81 in 100." in page.said
    assert page.verdict != shelf.open("/cloth", name="Scarf").verdict
    dry = farspun(shelf.path, "cloth", "change", "Scarf", "--shrink-length", "20%", "--beat",
                  "1%", "--dry-run")  # fmt: skip
    assert page.verdict in dry.stdout
    assert page.form(CHANGE).boxes["shrink_length"] == "20"
    assert told(shelf.path, "cloth", "show", "Scarf")["given"] == {}


def test_what_was_tried_is_kept_by_the_button_beside_it(shelf: Reader) -> None:
    planned(shelf)
    tried = shelf.open("/cloth", name="Scarf", wide="18", long="120", beat="2")
    kept = shelf.send(tried, CHANGE)
    assert kept.status == 200
    assert kept.verdict == tried.verdict
    assert "Changed. Before: uncertain, 81 in 100." in kept.said
    assert told(shelf.path, "cloth", "show", "Scarf")["width_cm"] == 18
    back = shelf.send(kept, CHANGE, default="beat")
    assert told(shelf.path, "cloth", "show", "Scarf")["given"] == {}, back.said


@pytest.mark.parametrize(
    ("name", "typed", "why"),
    [
        ("draw_in", "140", "cannot be"),
        ("waste", "-5", "cannot be"),
        ("promise", "30", "cannot be"),
        ("sett", "3 g", "cannot be read"),
        ("weave", "/etc/passwd", "There is no weave called"),
        ("ends", "0", "cannot be"),
        ("priority", "1.5", "cannot be"),
    ],
)
def test_a_change_that_cannot_be_says_why_and_keeps_what_was_typed(
    shelf: Reader, name: str, typed: str, why: str
) -> None:
    page = planned(shelf)
    answer = shelf.send(page, CHANGE, **{name: typed})
    assert answer.status in (404, 422)
    assert why in answer.wrong(name)
    assert answer.form(CHANGE).boxes[name] == typed
    tried = shelf.open("/cloth", name="Scarf", **{name: typed})
    assert tried.status == 200 and why in tried.wrong(name)


def test_one_side_of_the_size_changes_alone_and_the_other_stays(shelf: Reader) -> None:
    page = planned(shelf)
    tried = shelf.open("/cloth", name="Scarf", wide="20")
    kept = shelf.send(tried, CHANGE)
    assert kept.status == 200 and kept.verdict == tried.verdict != page.verdict
    shown = told(shelf.path, "cloth", "show", "Scarf")
    assert (shown["width_cm"], shown["length_cm"]) == (20, 140)
    assert shelf.send(kept, CHANGE, wide="", long="1.2", long_unit="m").status == 200
    shown = told(shelf.path, "cloth", "show", "Scarf")
    assert (shown["width_cm"], shown["length_cm"]) == (20, 120)
    assert shelf.send(shelf.open("/cloth", name="Scarf"), CHANGE, wide="±").status == 422


@pytest.mark.parametrize("left_out", ["name", "wide", "long", "warp", "weft"])
def test_a_plan_without_what_it_needs_says_so(shelf: Reader, left_out: str) -> None:
    page = planned(shelf, **{left_out: ""})
    assert page.status == 422
    assert page.problem or "wrong-why" in page.text
    assert page.form(NEW).boxes["warp"] == ("" if left_out == "warp" else "Cone")
    assert told(shelf.path, "cloth", "list") == []


def test_an_unknown_yarn_offers_the_nearest_names(shelf: Reader) -> None:
    page = planned(shelf, weft="driftwod")
    assert page.status == 404
    assert "Did you mean “Driftwood”?" in page.problem


def test_two_yarns_follow_one_another(shelf: Reader) -> None:
    page = planned(shelf, weft_more="Gorse\n")
    assert "Driftwood + Gorse" in page.said


def test_a_cloth_planned_twice_is_there_once(shelf: Reader) -> None:
    boxes = shelf.open(NEW).form(NEW).boxes | SCARF
    assert shelf.post(NEW, boxes).address == shelf.post(NEW, boxes).address
    assert len(told(shelf.path, "cloth", "list")) == 1
    again = planned(shelf)
    assert again.status == 422 and "there is a cloth “Scarf” already" in again.wrong("name")


def test_a_cloth_or_its_yarn_changed_meanwhile_is_told(shelf: Reader) -> None:
    page = planned(shelf)
    farspun(shelf.path, "skein", "weigh", "Driftwood", "117g")
    stale = shelf.send(page, CHANGE, beat="2")
    assert stale.status == 409 and "skein weigh, Driftwood: 117 g" in stale.problem
    assert stale.form(CHANGE).boxes["beat"] == "2"
    assert shelf.send(stale, CHANGE).status == 200


def test_its_yarn_is_claimed_again(shelf: Reader) -> None:
    page = planned(shelf)
    farspun(shelf.path, "skein", "measure", "Driftwood", "--length", "267m", "--state", "relaxed")
    page = shelf.send(shelf.open("/cloth", name="Scarf"), "/cloth/claim")
    assert "claimed again" in page.said
    assert page.verdict.startswith(("Reaches", "Uncertain"))


def test_giving_up_has_to_be_meant(shelf: Reader) -> None:
    page = planned(shelf)
    assert shelf.send(page, "/cloth/give-up").status == 422
    page = shelf.send(page, "/cloth/give-up", sure="yes")
    assert page.status == 200 and "the yarn it claimed is free again" in page.said
    assert not [one for one in page.forms if one.method == "post"]
    assert "Scarf" not in shelf.open("/cloths").said
    assert "Scarf" in shelf.open("/cloths", every="1").said


def test_a_cloth_given_up_meanwhile_says_so(shelf: Reader) -> None:
    page = planned(shelf)
    farspun(shelf.path, "cloth", "give-up", "Scarf", "--yes")
    stale = shelf.send(page, CHANGE, beat="2")
    assert stale.status == 409
    assert "cloth give-up, Scarf" in stale.problem


def test_a_cloth_that_is_not_there_is_404(shelf: Reader) -> None:
    planned(shelf)
    page = shelf.open("/cloth", name="Scarv")
    assert page.status == 404 and "Did you mean “Scarf”?" in page.said


def test_names_of_cloths_are_text_and_not_markup(shelf: Reader) -> None:
    page = planned(shelf, name="<img src=x onerror=alert(1)>")
    assert page.status == 200
    assert page.text.count("<img") == page.text.count('<img src="/cloth/face.png?of=%3Cimg') == 1
    assert "<img" not in shelf.open("/cloths").text
    assert "<img" not in shelf.open("/skein", name="Cone").text
