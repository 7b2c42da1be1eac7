"""What to spin, the loom, looms and reeds, lessons: as pages, with the figures of the screen."""

import pytest

from stashes import farspun, told
from web.reader import Page, Reader, planned

LOOM, REED = "/looms/loom", "/looms/reed"


def at_loom(reader: Reader, stage: str, **typed: str) -> Page:
    page = reader.open("/at-the-loom", cloth="Scarf")
    return reader.send(page, f"/at-the-loom/{stage}", **typed)


def test_nothing_to_spin_is_said(reader: Reader) -> None:
    assert "Nothing is to spin" in reader.open("/to-spin").verdict


def test_what_to_spin_is_as_the_command_line_tells_it(shelf: Reader) -> None:
    planned(shelf)
    page = shelf.open("/to-spin")
    assert page.verdict == "1 yarn is short, by priority of the cloths."
    lines = " ".join(farspun(shelf.path, "to-spin").stdout.split())
    for said in ("28 m, 13 g of washed yarn", "turns per cm", "10 m should weigh", "on the niddy"):
        assert said in lines and said in page.said
    assert "farspun" not in page.main
    assert "/skeins/new?cloth=Scarf" in page.text


def test_what_to_spin_may_be_spun_in_another_way(shelf: Reader) -> None:
    planned(shelf)
    page = shelf.open("/to-spin", cloth="Scarf", angle="20", plies="3")
    assert "at 20°" in page.said and "3-ply" in page.said
    page = shelf.open("/to-spin", angle="200")
    assert page.status == 422 and page.wrong("angle")
    assert shelf.open("/to-spin", cloth="Nothing").status == 404


def test_a_new_skein_for_a_cloth_turns_its_verdict(shelf: Reader) -> None:
    planned(shelf)
    form = shelf.open("/skeins/new", cloth="Scarf")
    page = shelf.send(form, "/skeins/new", name="Driftwood 2", fibre="wool 80, silk 20", plies="2",
                      mass="34", length="76", state="relaxed")  # fmt: skip
    assert page.status == 200, page.said
    assert "For Scarf:" in page.said
    assert "Uncertain, 81 in 100 before; now reaches" in page.said
    cloth = shelf.open("/cloth", name="Scarf")
    assert cloth.verdict.startswith("Reaches:")
    odds = told(shelf.path, "cloth", "check", "Scarf")["odds"]["yarn"]
    assert f"{round(odds * 100)} in 100" in cloth.verdict or "over 99" in cloth.verdict


def test_a_loom_and_a_reed_are_added(reader: Reader) -> None:
    page = reader.send(reader.open("/looms"), LOOM, name="Table", kind="table", width="60",
                       waste="50±8", shafts="4")  # fmt: skip
    assert page.status == 200 and "4 shafts" in page.said and "50 cm ± 8 cm" in page.said
    page = reader.send(page, REED, name="R30", dents="30", loom="Table")
    assert "30.0 dents in 10 cm, 7.62 per inch, for Table" in page.said
    assert told(reader.path, "reed", "list")[0]["loom"] == "Table"


def test_a_reed_written_as_it_is_stamped_keeps_its_own_unit(reader: Reader) -> None:
    page = reader.send(reader.open("/looms"), REED, name="R40", dents="40/10", dents_unit="dpi")
    assert "R40 reed, 40/10 cm: 40.0 dents in 10 cm" in page.said
    refused = reader.send(page, REED, name="R", dents="40/12")
    assert refused.status == 422 and "twice" in refused.wrong("dents")


def test_a_reed_that_hardly_is_one_is_asked_about_and_taken_with_a_tick(reader: Reader) -> None:
    page = reader.open("/looms")
    assert 'name="sure"' not in page.text
    asked = reader.send(page, REED, name="R", dents="7.5", dents_unit="/10cm")
    assert asked.status == 422 and "29.5 dents in 10 cm" in asked.wrong("dents")
    assert "--sure" not in asked.main and 'name="sure"' in asked.text
    page = reader.send(asked, REED, sure="yes")
    assert page.status == 200 and "7.5 dents in 10 cm" in page.said


def test_a_loom_and_a_reed_are_corrected_and_removed(reader: Reader) -> None:
    page = reader.send(reader.open("/looms"), LOOM, name="Table", kind="table", width="60",
                       waste="50±8")  # fmt: skip
    page = reader.send(page, REED, name="R30", dents="30", loom="Table")
    page = reader.send(page, "/looms/reed/change", name="R40", dents="40")
    assert "R40 is corrected." in page.said and "for Table" in page.said
    page = reader.send(page, "/looms/loom/change", width="70")
    assert "70 cm" in page.said and "50 cm ± 8 cm" in page.said
    refused = reader.send(page, "/looms/loom/remove")
    assert refused.status == 422 and "belongs to it" in refused.problem
    page = reader.send(refused, "/looms/reed/remove")
    page = reader.send(page, "/looms/loom/remove")
    assert "Table is removed." in page.said
    assert told(reader.path, "loom", "list") == told(reader.path, "reed", "list") == []
    gone = reader.post("/looms/reed/remove", {"of": "R40", "token": "1.1.x"})
    assert gone.status == 409
    assert reader.post("/looms/shelf/change", {}).status == 404


@pytest.mark.parametrize(
    ("action", "typed", "wrong"),
    [
        (LOOM, {"name": "T", "kind": "table"}, "width"),
        (LOOM, {"name": "T", "width": "60"}, "kind"),
        (LOOM, {"name": "T", "kind": "table", "width": "60 g"}, "width"),
        (LOOM, {"name": "T", "kind": "table", "width": "60", "shafts": "-1"}, "shafts"),
        (LOOM, {"kind": "table", "width": "60"}, "name"),
        (REED, {"name": "R"}, "dents"),
        (REED, {"name": "R", "dents": "9999999"}, "dents"),
    ],
)
def test_a_loom_or_reed_that_cannot_be_says_why(
    reader: Reader, action: str, typed: dict[str, str], wrong: str
) -> None:
    page = reader.send(reader.open("/looms"), action, **typed)
    assert page.status == 422
    assert page.wrong(wrong) or page.problem
    assert not reader.stash.exists


def test_a_reed_added_twice_is_there_once(reader: Reader) -> None:
    boxes = reader.open("/looms").form(REED).boxes | {"name": "R30", "dents": "30"}
    assert reader.post(REED, boxes).address == reader.post(REED, boxes).address
    assert len(told(reader.path, "reed", "list")) == 1


def test_looms_changed_in_another_tab_are_told(reader: Reader) -> None:
    page = reader.open("/looms")
    reader.send(page, LOOM, name="Table", kind="table", width="60")
    stale = reader.send(page, REED, name="R30", dents="30")
    assert stale.status == 409 and "loom add, Table" in stale.problem
    assert stale.form(REED).boxes["name"] == "R30"


def test_the_figures_to_work_by_are_those_of_the_answer(shelf: Reader) -> None:
    planned(shelf)
    page = shelf.open("/at-the-loom")
    assert page.address.endswith("cloth=Scarf")
    setup = told(shelf.path, "cloth", "check", "Scarf")["setup"]
    assert f"<b>{setup['ends']}</b>" in page.text
    assert f"<b>{setup['warp_cut_cm']:.0f}</b>cm" in page.text
    assert "<b>5.0</b>per cm" in page.text


def test_a_cloth_goes_through_its_life(shelf: Reader) -> None:
    planned(shelf)
    page = at_loom(shelf, "wound", ends="134", warp="232", left_0="152")
    assert page.status == 200, page.said
    assert "Scarf: wound." in page.said
    assert told(shelf.path, "skein", "show", "Cone")["mass_g"] == 152
    assert at_loom(shelf, "on-loom", picks="5").status == 200
    page = at_loom(shelf, "off-loom", tape="150", thrums="40", off_wide="24", off_long="147")
    assert page.status == 200, page.said
    page = at_loom(shelf, "finished", washed_wide="22", washed_long="139", mass="140")
    assert page.status == 200, page.said
    measured = told(shelf.path, "cloth", "show", "Scarf")["measured"]["cloth"]
    assert measured["washed_width_cm"] == 22 and measured["thrums_cm"] == 40
    assert "What was measured" in page.said
    lessons = shelf.open("/lessons")
    assert "What your cloths taught, from 1 cloth." in lessons.said
    screen = " ".join(farspun(shelf.path, "lessons").stdout.split())
    for word in ("Shrinkage in width", "Draw-in", "Loom waste"):
        assert word in lessons.said and word in screen
    assert "It is finished." in shelf.open("/cloth", name="Scarf").said


def test_a_washed_sample_is_written_down(shelf: Reader) -> None:
    planned(shelf)
    page = at_loom(shelf, "sample", reed="12", off_wide="11.2", off_long="10.4", washed_wide="10.1",
                   washed_long="9.2", picks="5", state="rested")  # fmt: skip
    assert "its sample is written down" in page.said
    assert told(shelf.path, "lessons")["samples"] == 1


@pytest.mark.parametrize(
    ("stage", "typed", "wrong"),
    [
        ("wound", {"ends": "0"}, "ends"),
        ("wound", {"warp": "2 kg"}, "warp"),
        ("wound", {"left_0": "-3"}, "left_0"),
        ("sample", {"off_wide": "11"}, "off_long"),
        ("sample", {"reed": "x"}, "reed"),
        ("sample", {}, ""),
        ("sample", {"warp": "50", "thrums": "5", "spare": "10"}, ""),
    ],
)
def test_what_cannot_have_been_measured_says_why(
    shelf: Reader,
    stage: str,
    typed: dict[str, str],
    wrong: str,
) -> None:
    planned(shelf)
    page = at_loom(shelf, stage, **typed)
    assert page.status == 422
    assert page.wrong(wrong) if wrong else (page.problem or "wrong-why" in page.text)
    assert told(shelf.path, "cloth", "show", "Scarf")["status"] == "planned"


def test_a_step_pressed_twice_takes_the_yarn_once(shelf: Reader) -> None:
    planned(shelf)
    action = "/at-the-loom/wound"
    boxes = shelf.open("/at-the-loom", cloth="Scarf").form(action).boxes
    assert shelf.post(action, boxes).address == shelf.post(action, boxes).address
    lines = told(shelf.path, "skein", "history", "Cone")
    assert sum(line["what"] == "taken" for line in lines) == 1


def test_a_step_taken_meanwhile_is_told(shelf: Reader) -> None:
    planned(shelf)
    page = shelf.open("/at-the-loom", cloth="Scarf")
    farspun(shelf.path, "cloth", "wound", "Scarf")
    stale = shelf.send(page, "/at-the-loom/wound", ends="130")
    assert stale.status == 409 and "cloth wound, Scarf" in stale.problem


def test_the_page_of_a_cloth_that_is_not_there(shelf: Reader) -> None:
    assert shelf.open("/at-the-loom", cloth="None").status == 404
    assert shelf.post("/at-the-loom/wound", {"of": "None", "token": "x"}).status == 404
    assert shelf.post("/at-the-loom/burnt", {"of": "None", "token": "x"}).status == 404


def test_a_record_that_can_hardly_be_is_asked_about_and_confirmed(
    shelf: Reader,
) -> None:
    planned(shelf)
    page = at_loom(shelf, "sample", off_wide="20", off_long="20", washed_wide="11",
                   washed_long="19")  # fmt: skip
    assert "Is that right?" in page.said and "farspun" not in page.main
    page = shelf.open("/lessons")
    assert "Is that right?" in page.said
    page = shelf.send(page, "/lessons/confirm")
    assert "counts from now on" in page.said
    assert told(shelf.path, "lessons")["questions"] == []


def test_what_was_told_stands_in_the_form_that_corrects_it_and_stays(shelf: Reader) -> None:
    planned(shelf)
    at_loom(shelf, "wound", ends="134", warp="232")
    form = shelf.open("/at-the-loom").form("/at-the-loom/wound")
    assert (form.boxes["ends"], form.boxes["warp"]) == ("134", "232")
    assert "left_1" not in form.boxes  # no weft is left before any is woven
    at_loom(shelf, "on-loom", picks="5")
    at_loom(shelf, "off-loom", tape="150", thrums="40", off_wide="24", off_long="147")
    page = at_loom(shelf, "off-loom", thrums="45")
    assert page.status == 200, page.said
    told_of = told(shelf.path, "cloth", "show", "Scarf")["measured"]["cloth"]
    assert (told_of["thrums_cm"], told_of["tape_cm"], told_of["off_length_cm"]) == (45, 150, 147)
    said = told(shelf.path, "cloth", "history", "Scarf")[-1]["said"]
    assert "thrums 45 cm" in said and "tape" not in said and "off" not in said


def test_what_was_told_stands_in_its_own_unit_with_what_is_left(shelf: Reader) -> None:
    planned(shelf)
    at_loom(shelf, "wound", ends="134", warp="91.3", warp_unit="in", left_0="152")
    form = shelf.open("/at-the-loom").form("/at-the-loom/wound")
    told_then = {one: form.boxes[one] for one in ("warp", "warp_unit", "left_0", "left_0_unit")}
    assert told_then == {"warp": "91.3", "warp_unit": "in", "left_0": "152", "left_0_unit": "g"}
    assert form.boxes["tare"] == ""
    at_loom(shelf, "on-loom", picks="8", picks_unit="ppi")
    form = shelf.open("/at-the-loom").form("/at-the-loom/on-loom")
    assert (form.boxes["picks"], form.boxes["picks_unit"]) == ("8", "ppi")
    assert form.boxes["left_0"] == "152"
    page = at_loom(shelf, "on-loom", warp="92", warp_unit="in")
    assert page.status == 200, page.said
    said = told(shelf.path, "cloth", "history", "Scarf")[-1]["said"]
    assert said == "Scarf: warp 92 in"


def test_a_tare_told_anew_comes_off_what_was_weighed_and_one_left_as_it_is_stays(
    shelf: Reader,
) -> None:
    planned(shelf)
    at_loom(shelf, "wound", ends="134", warp="232", left_0="152")
    page = at_loom(shelf, "wound", tare="4")
    assert page.status == 200, page.said
    assert told(shelf.path, "skein", "show", "Cone")["mass_g"] == 148
    form = shelf.open("/at-the-loom").form("/at-the-loom/wound")
    assert (form.boxes["left_0"], form.boxes["tare"]) == ("152", "4")
    at_loom(shelf, "wound", left_0="153")
    assert told(shelf.path, "skein", "show", "Cone")["mass_g"] == 149
    at_loom(shelf, "wound", ends="133")
    said = told(shelf.path, "cloth", "history", "Scarf")[-1]["said"]
    assert said == "Scarf: ends 133"
    assert told(shelf.path, "skein", "show", "Cone")["mass_g"] == 149


def test_what_is_left_that_does_not_fit_the_warp_is_asked_about_on_the_page(
    shelf: Reader,
) -> None:
    planned(shelf)
    asked = at_loom(shelf, "wound", ends="134", warp="232", left_0="222")
    assert asked.status == 422
    assert "Is that right? 134 ends of 232 cm take 311 m of Cone" in asked.said
    assert "bobbin or cone" in asked.said and "--" not in asked.main
    assert told(shelf.path, "cloth", "show", "Scarf")["status"] == "planned"
    page = shelf.send(asked, "/at-the-loom/wound", sure="yes")
    assert page.status == 200 and "Cone: 8.0 g used" in page.said


def test_more_left_after_winding_than_there_was_is_asked_about(shelf: Reader) -> None:
    planned(shelf)
    there = told(shelf.path, "skein", "show", "Cone")["mass_g"]
    asked = at_loom(shelf, "wound", left_0=str(there + 20))
    assert asked.status == 422 and "are left: was a cone or shuttle weighed" in asked.said
    assert told(shelf.path, "cloth", "show", "Scarf")["status"] == "planned"
    page = shelf.send(asked, "/at-the-loom/wound", sure="yes")
    assert page.status == 200 and "20 g put back" in page.said
