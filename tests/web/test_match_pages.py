"""What a skein could weave, and other yarns for a cloth: the figures of the commands, in rows."""

import re
from html import unescape
from typing import Any
from urllib.parse import parse_qs, urlsplit

import pytest

from farspun.services import cloths
from farspun.units import say_length, say_odds
from stashes import farspun, told
from web.reader import Page, Reader, planned

WEAVES, YARNS, CHANGE = "/skein/weaves", "/cloth/yarns", "/cloth/change"
MORE = (
    ("Oat", "100g", "400m", "oat, undyed"),
    ("Slate", "115g", "460m", "slate and rust, striped"),
    ("Bracken 1", "60g", "150m", "bracken brown"),
    ("Bracken 2", "60g", "150m", "bracken brown"),
)
SIZE = "30cmx150cm"


@pytest.fixture
def full(shelf: Reader) -> Reader:
    """The stash of the README with yarns to choose from."""
    for name, mass, length, colour in MORE:
        words = ("skein", "add", name, "--mass", mass, "--length", length, "--colour", colour)
        assert farspun(shelf.path, *words, "--plies", "2", "--state", "relaxed").exit_code == 0
    return shelf


def rows(page: Page) -> list[str]:
    """The text of each row of yarns, its reasons included."""
    whole = re.findall(r"<li>\s*<h3>.*?(?=<li>\s*<h3>|</ol>)", page.text, re.DOTALL)
    return [Page(200, one, "", {}).said for one in whole]


def links(page: Page, words: str) -> list[str]:
    return [unescape(one) for one in re.findall(rf'href="([^"]*)">{words}<', page.text)]


def _same_figures(page: Page, found: Any) -> None:
    own = rows(page)
    assert len(own) == len(found["matches"]) > 1
    for said, one in zip(own, found["matches"], strict=True):
        assert said.startswith(f"{one['rank']}. {' + '.join(one['skeins'])} ")
        left = one["left_m"]
        how = "left over" if left >= 0 else "too little"
        assert f"about {say_length(abs(left))} (" in said and how in said
        assert f": {say_odds(one['odds'], found['promise'])}, about" in said
        assert one["verdict"].capitalize() in said
        for reason in one["criteria"]:
            first = re.split(r"; |, then", reason["why"])[0]
            assert first.split(": pull")[0] in said, reason


# what a skein could weave


def test_a_skein_says_first_what_it_goes_with_and_tells_the_figures_of_the_command(
    full: Reader,
) -> None:
    page = full.open(WEAVES, name="Oat")
    found = told(full.path, "match", "--weft", "Oat", "--size", SIZE)
    first = found["matches"][0]
    assert first["verdict"] == "reaches"
    name = " + ".join(first["skeins"])
    reach = found["looked"]["reach"]
    more = f", and with {reach - 1} more" if reach > 1 else ""
    odds = say_odds(first["odds"], 0.95)
    assert page.verdict == f"As weft it goes with {name}, {odds}{more} (you asked for 95)."
    _same_figures(page, found)
    assert "30 cm wide, 150 cm long when washed, Oat as the weft" in page.said


def test_the_other_side_and_another_size_are_asked_for_in_any_unit(full: Reader) -> None:
    typed = {"side": "warp", "wide": "12", "wide_unit": "in", "long": "1.5", "long_unit": "yd"}
    page = full.open(WEAVES, name="Oat", **typed)
    _same_figures(page, told(full.path, "match", "--warp", "Oat", "--size", "12inx1.5yd"))
    assert page.verdict.startswith("As warp it goes with")
    boxes = next(one for one in page.forms if one.action == WEAVES).boxes
    assert typed.items() <= boxes.items()


def test_where_nothing_reaches_the_nearest_is_named(full: Reader) -> None:
    page = full.open(WEAVES, name="Gorse", wide="45", long="300")
    assert page.status == 200
    assert page.verdict.startswith("As weft it goes with no yarn of the stash (you asked for 95);")
    assert "Whatever is chosen, for the weft itself it is under 1 in 100." in page.said


def test_every_criterion_stands_with_its_value_and_reason(full: Reader) -> None:
    farspun(full.path, "skein", "change", "Slate", "--colour", "slate")
    row = next(one for one in rows(full.open(WEAVES, name="Oat")) if re.match(r"\d+\. Slate ", one))
    matches = told(full.path, "match", "--weft", "Oat", "--size", SIZE)["matches"]
    first = next(one for one in matches if one["skeins"] == ["Slate"])
    value = {one["name"]: one["value"] for one in first["criteria"]}
    assert f"grist ratio well {value['grist']:.2f} (weft over warp)" in row
    assert f"{value['loft']:.2f} fibre fill" in row
    assert f"{value['contrast']:+.0f} L*" in row
    assert f"ΔE2000 {value['likeness']:.1f}" in row
    assert f"left over {say_length(value['left over'])}" in row
    assert "as a warp to mind 2-ply not tugged yet; 2-ply; semi draw" in row


def test_what_was_passed_over_is_told_with_why(full: Reader) -> None:
    farspun(full.path, "skein", "add", "Puddle", "--plies", "2")
    page = full.open(WEAVES, name="Oat")
    assert "looked at: 1 skein of unknown length Puddle: weigh it first" in page.said


def test_a_cloth_of_two_yarns_is_planned_from_its_row(full: Reader) -> None:
    page = full.open(WEAVES, name="Oat", wide="12", wide_unit="in", long="1.5", long_unit="m")
    form = full.open(links(page, "Plan a cloth of these")[0])
    boxes = form.form("/cloths/new").boxes
    first = told(full.path, "match", "--weft", "Oat", "--size", "12inx1.5m")["matches"][0]
    size = {"wide": "12", "wide_unit": "in", "long": "1.5", "long_unit": "m"}
    one, *more = first["skeins"]
    wanted = size | {"weft": "Oat", "warp": one, "warp_more": "\n".join(more)}
    assert wanted.items() <= boxes.items()
    done = full.send(form, "/cloths/new", name="Stole")
    assert done.status == 200 and "Stole is planned" in done.said
    check = told(full.path, "cloth", "check", "Stole")
    assert check["odds"]["yarn"] == pytest.approx(first["odds"], abs=0.02)


def test_several_skeins_of_a_row_go_along_one_a_line(full: Reader) -> None:
    page = full.open(WEAVES, name="Oat", side="warp", many="yes", wide="25", long="180")
    query = [parse_qs(urlsplit(one).query) for one in links(page, "Plan a cloth of these")]
    both = [one for one in query if "weft_more" in one]
    assert both and {both[0]["weft"][0], both[0]["weft_more"][0]} == {"Bracken 1", "Bracken 2"}


def test_the_largest_cloth_is_that_of_the_command(full: Reader) -> None:
    page = full.open(f"{WEAVES}/largest", name="Oat")
    found = told(full.path, "largest", "--warp", "Oat", "--shape", "1:5", "--sizes")
    size = found["size"]
    assert f"Largest: {size['width_cm']:.4g} cm wide, {size['length_cm']:.10g} cm long" in page.said
    assert f"{say_odds(size['odds'], 0.95)} that" in page.said
    assert len(found["sizes"]) > 3
    for row in found["sizes"]:
        assert f"{row['width_cm']:.4g} cm {row['length_cm']:.10g} cm" in page.said
        assert say_length(row["split_m"][0]) in page.said
    assert f'<p hx-get="{WEAVES}/largest?name=Oat' in full.open(WEAVES, name="Oat").text


def test_the_largest_with_another_yarn_stands_on_the_page_without_javascript(
    full: Reader,
) -> None:
    page = full.open(WEAVES, name="Oat")
    where = links(page, "The largest of these")[0]
    asked = {one: text[0] for one, text in parse_qs(urlsplit(where).query).items()}
    whole = full.open(where.split("#")[0])
    beside = [asked["with"], *asked.get("with_more", "").splitlines()]
    words = [word for name in beside for word in ("--warp", name)]
    found = told(full.path, "largest", "--weft", "Oat", *words, "--shape", "1:5", "--sizes")
    said = f"{found['size']['width_cm']:.4g} cm wide, {found['size']['length_cm']:.10g} cm long"
    assert said in whole.said
    plan = parse_qs(urlsplit(links(whole, "Plan the largest")[0]).query)
    assert plan["weft"] == ["Oat"] and plan["warp"] == [beside[0]]
    assert float(plan["long"][0]) == found["size"]["length_cm"]


@pytest.mark.parametrize(
    ("box", "typed", "why"),
    [
        ("wide", "x", "cannot be read"),
        ("wide", "", "How wide it is to be is needed."),
        ("long", "", "How long it is to be is needed."),
        ("long", "0", "cannot be"),
        ("wide", "30±2", "a size has no ±"),
        ("wide", "200 m", "at most 10000 cm"),
        ("side", "middle", "not among the choices"),
    ],
)
def test_a_size_that_cannot_be_is_told_beside_its_box_and_what_was_typed_is_kept(
    full: Reader, box: str, typed: str, why: str
) -> None:
    page = full.open(WEAVES, name="Oat", **{box: typed})
    assert page.status == 422
    assert why in page.wrong(box)
    form = next(one for one in page.forms if one.action == WEAVES)
    assert box == "side" or form.boxes[box] == typed
    assert not rows(page)


def test_all_boxes_that_are_wrong_are_told_at_once(full: Reader) -> None:
    page = full.open(WEAVES, name="Oat", wide="x", long="", side="middle")
    assert page.problem == "What is wrong stands beside its box."
    assert "cannot be read" in page.wrong("wide") and "not among" in page.wrong("side")
    assert page.wrong("long") == "How long it is to be is needed."


def test_a_yarn_that_is_not_there_is_told_beside_its_box(full: Reader) -> None:
    page = full.open(WEAVES, name="Oat", largest="yes", **{"with": "Slat"})
    assert page.status == 404 and "Did you mean “Slate”" in page.wrong("with")
    assert len(rows(page)) > 1  # the rest is told all the same
    assert next(one for one in page.forms if "with" in one.boxes).boxes["with"] == "Slat"
    more = full.open(WEAVES, name="Oat", largest="yes", with_more="Gorsee", **{"with": "Slate"})
    assert "Did you mean “Gorse”" in more.wrong("with_more")


def test_a_skein_that_is_not_there_is_404_and_one_of_unknown_length_says_what_to_do(
    full: Reader,
) -> None:
    assert full.open(WEAVES, name="Oatt").status == 404
    assert full.open(f"{WEAVES}/largest", name="Oatt").status == 404
    farspun(full.path, "skein", "add", "Puddle", "--plies", "2")
    page = full.open(WEAVES, name="Puddle")
    assert page.status == 200
    assert page.verdict.startswith("As weft nothing can be told")
    assert "weigh it first" in page.verdict
    assert "weigh it first" in full.open(f"{WEAVES}/largest", name="Puddle").said


def test_the_skein_itself_links_there_and_works_nothing_out(
    full: Reader, monkeypatch: pytest.MonkeyPatch
) -> None:
    from farspun.web.pages import weaves

    monkeypatch.setattr(weaves, "match", lambda *_, **__: pytest.fail("it was worked out"))
    monkeypatch.setattr(weaves, "largest", lambda *_, **__: pytest.fail("it was worked out"))
    assert links(full.open("/skein", name="Oat"), "What could it weave[?]") == [
        f"{WEAVES}?name=Oat"
    ]
    farspun(full.path, "skein", "close", "Oat", "--because", "used")
    assert not links(full.open("/skein", name="Oat"), "What could it weave[?]")


def test_no_command_is_named_and_names_are_text(full: Reader) -> None:
    odd = '<b>Oat & "Co"</b>'
    farspun(full.path, "skein", "add", odd, "--mass", "100g", "--length", "420m", "--plies", "2",
            "--colour", "<i>red</i>")  # fmt: skip
    planned(full)
    for page in (
        full.open(WEAVES, name="Slate"),
        full.open(WEAVES, name=odd, largest="yes"),
        full.open(YARNS, name="Scarf", side="warp"),
        full.open(YARNS, name="Scarf"),
    ):
        assert page.status == 200
        assert odd in page.said
        assert "<b>Oat" not in page.text and "<i>red" not in page.text
        assert not re.search(r"farspun [a-z]+ |--[a-z]", page.main), page.main
        assert "style=" not in page.text and "<script>" not in page.text


def test_the_shades_of_a_yarn_stand_beside_its_name(full: Reader) -> None:
    page = full.open(WEAVES, name="Oat")
    drawn = re.search(r'aria-label="slate and rust, striped">(.*?)</svg>', page.text, re.DOTALL)
    assert drawn is not None
    shades = re.findall(r'fill="(#[0-9a-f]{6})"', drawn[1])
    widths = [float(one) for one in re.findall(r'width="([\d.]+)"', drawn[1])]
    assert len(set(shades)) == 2 and sum(widths) == pytest.approx(30, abs=0.05)


# other yarns for a cloth


def test_other_yarns_for_a_cloth_are_those_of_the_command(full: Reader) -> None:
    planned(full)
    for side in ("weft", "warp"):
        page = full.open(YARNS, name="Scarf", side=side)
        _same_figures(page, told(full.path, "match", "Scarf", "--for", side))
        assert page.verdict.startswith(f"As the {side} for Scarf, 22 cm wide, 140 cm long")
        own = "Cone" if side == "warp" else "Driftwood"
        (row,) = [one for one in rows(page) if re.match(rf"\d+\. {own} ", one)]
        assert f"It is the {side} now." in row and f"Make it the {side}" not in row


def _changes(page: Page, side: str, name: str) -> dict[str, str]:
    """What goes with the button of a row."""
    boxes = [one.boxes for one in page.forms if one.action == CHANGE]
    return next(one for one in boxes if one[side] == name)


def test_a_cloth_is_changed_to_a_yarn_of_its_row_once(full: Reader) -> None:
    planned(full)
    page = full.open(YARNS, name="Scarf")
    before = told(full.path, "cloth", "check", "Scarf")
    boxes = _changes(page, "weft", "Oat")
    first, second = full.post(CHANGE, boxes), full.post(CHANGE, boxes)
    assert first.status == 200 and first.address == second.address
    assert "Changed, and its yarn is claimed again. Before: uncertain, 81 in 100." in first.said
    after = told(full.path, "cloth", "check", "Scarf")
    assert [one["skeins"] for one in after["weft"]] == [["Oat"]]
    assert after["warp"][0]["skeins"] == before["warp"][0]["skeins"]
    history = [one for one in told(full.path, "cloth", "history", "Scarf")
               if one["command"] == "cloth change"]  # fmt: skip
    assert len(history) == 1


def test_a_row_of_several_skeins_changes_the_cloth_to_all_of_them(full: Reader) -> None:
    planned(full, wide="25", long="180")
    page = full.open(YARNS, name="Scarf", many="yes")
    boxes = next(one.boxes for one in page.forms if "weft_more" in one.boxes)
    assert full.post(CHANGE, boxes).status == 200
    found = told(full.path, "cloth", "show", "Scarf")["yarns"]
    weft = {one["skein"] for one in found if one["side"] == "weft"}
    assert weft == {"Bracken 1", "Bracken 2"}


def test_a_cloth_changed_meanwhile_is_not_changed_over(full: Reader) -> None:
    planned(full)
    page = full.open(YARNS, name="Scarf")
    farspun(full.path, "skein", "weigh", "Driftwood", "117g")
    stale = full.post(CHANGE, _changes(page, "weft", "Oat"))
    assert stale.status == 409 and "skein weigh, Driftwood: 117 g" in stale.problem
    assert stale.form(CHANGE).boxes["weft"] == "Oat"
    check = told(full.path, "cloth", "check", "Scarf")
    assert check["weft"][0]["skeins"] == ["Driftwood"]
    assert full.send(stale, CHANGE).status == 200
    assert told(full.path, "cloth", "check", "Scarf")["weft"][0]["skeins"] == ["Oat"]


def test_a_button_serves_its_own_row_and_cloth_only(full: Reader) -> None:
    planned(full)
    planned(full, name="Stole", weft="Gorse")
    boxes = _changes(full.open(YARNS, name="Scarf"), "weft", "Oat")
    assert full.post(CHANGE, boxes | {"of": "Stole"}).status == 409
    assert full.post(CHANGE, boxes).status == 200
    assert full.post(CHANGE, boxes | {"weft": "Slate"}).status == 409


def test_only_a_planned_cloth_whose_yarns_no_order_names_has_the_links(full: Reader) -> None:
    page = planned(full)
    sides = re.findall(rf'href="{YARNS}\?name=Scarf&amp;side=(\w+)"', page.text)
    assert sides == ["warp", "weft"]
    order = ("--warp-order", "(6 Oat 2 Slate)x8")
    done = farspun(full.path, "cloth", "plan", "Stripes", "--size", "20cmx100cm", *order,
                   "--weft", "Gorse")  # fmt: skip
    assert done.exit_code == 0, done.stderr
    text = full.open("/cloth", name="Stripes").text
    assert re.findall(rf'href="{YARNS}\?name=Stripes&amp;side=(\w+)"', text) == ["weft"]
    refused = full.open(YARNS, name="Stripes", side="warp")
    assert refused.status == 422 and "has an order" in refused.said
    farspun(full.path, "cloth", "wound", "Scarf")
    assert YARNS not in full.open("/cloth", name="Scarf").text
    wound = full.open(YARNS, name="Scarf")
    assert wound.status == 422 and "farspun cloth" not in wound.said
    assert full.open(YARNS, name="Nothing").status == 404


def test_may_be_matched_goes_by_the_stage(full: Reader) -> None:
    planned(full)
    shown = cloths.show_cloth(full.stash, "Scarf")
    assert cloths.may_be_matched(shown, "warp") and cloths.may_be_matched(shown, "weft")
