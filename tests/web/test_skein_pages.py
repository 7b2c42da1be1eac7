"""The stash and the skeins as pages: the same figures as the command line, nothing stored twice."""

import pytest

from stashes import farspun, told
from web.reader import Reader

ADD = "/skeins/new"
COUNTED = {"strands": "112", "once_round": "1.5", "once_round_unit": "m", "state": "relaxed"}


def test_an_empty_stash_says_so(reader: Reader) -> None:
    page = reader.open("/")
    assert page.status == 200
    assert "There are no skeins yet." in page.said


def test_a_skein_is_added_in_one_screen_and_the_command_line_tells_the_same(
    reader: Reader,
) -> None:
    form = reader.open(ADD)
    page = reader.send(form, ADD, name="Gorse", colour="dusty yellow", mass="71", **COUNTED)
    assert page.status == 200 and "Gorse is stored." in page.said
    # 112 x 1.5 m = 168 m; 71 g of it are 168 / 0.71 = 236.6 m in 100 g
    assert page.verdict == "About 168 m (160-176), 237 m per 100 g, 5.8 wraps per cm."
    shown = told(reader.path, "skein", "show", "Gorse")
    assert f"{shown['length_m']['p50']:.0f} m" in page.verdict
    assert shown["colours"][0]["name"] == "dusty yellow"


def test_the_estimate_is_the_one_that_is_stored_afterwards(gorse: Reader) -> None:
    farspun(gorse.path, "skein", "add", "Other", "--mass", "90g", "--wpi", "15wpi", "--length",
            "300m", "--tool", "Beech")  # fmt: skip
    typed = {"name": "Oat", "mass": "101", "length": "240", "tool": "Beech", "wpi": "13"}
    before = gorse.open("/skeins/new/estimate", **typed)
    assert "Oat" not in gorse.open("/stash").said
    form = gorse.open(ADD)
    after = gorse.send(form, ADD, **typed)
    assert before.verdict.removeprefix("Oat: ").lower().rstrip(".") == (
        after.verdict.lower().rstrip(".")
    )


def test_without_javascript_a_button_works_it_out_and_keeps_what_was_typed(reader: Reader) -> None:
    page = reader.open(ADD, name="Gorse", mass="71", work="1", **COUNTED)
    assert "about 168 m" in page.verdict
    assert page.form(ADD).boxes["mass"] == "71"
    assert page.form(ADD).boxes["state"] == "relaxed"
    assert not reader.stash.exists


def test_nothing_typed_needs_a_name(reader: Reader) -> None:
    page = reader.send(reader.open(ADD), ADD)
    assert page.status == 422
    assert page.wrong("name") == "Give it a name."


@pytest.mark.parametrize(
    ("name", "typed", "why"),
    [
        ("mass", "71 m", "cannot be read"),
        ("mass", "-3", "cannot be"),
        ("mass", "1,500", "cannot be read"),
        ("mass", "heavy", "cannot be read"),
        ("strands", "2.5", "cannot be"),
        ("once_round", "0", "cannot be"),
        ("plies", "5000", "cannot be"),
        ("wpi", "15 g", "cannot be read"),
    ],
)
def test_a_box_that_cannot_be_says_why_beside_it_and_keeps_the_rest(
    reader: Reader, name: str, typed: str, why: str
) -> None:
    boxes = {"name": "Gorse", "mass": "71", **COUNTED} | {name: typed}
    page = reader.send(reader.open(ADD), ADD, **boxes)
    assert page.status == 422
    assert why in page.wrong(name)
    assert page.form(ADD).boxes[name] == typed
    assert page.form(ADD).boxes["name"] == "Gorse"
    assert not reader.stash.exists


def test_every_box_that_is_wrong_is_told_at_once(reader: Reader) -> None:
    page = reader.send(reader.open(ADD), ADD, name="Gorse", mass="x", strands="y")
    assert page.wrong("mass") and page.wrong("strands") and page.wrong("once_round")
    assert page.problem.startswith("3 boxes are not right yet.")


def test_a_unit_is_switched_beside_the_box(reader: Reader) -> None:
    page = reader.send(reader.open(ADD), ADD, name="Gorse", mass="2.5", mass_unit="oz")
    assert "weighed 2.5 oz" in page.said


def test_a_decimal_comma_of_a_phone_is_read(reader: Reader) -> None:
    page = reader.send(reader.open(ADD), ADD, name="Gorse", mass="70,5")
    assert "weighed 70.5 g" in page.said


def test_half_a_test_length_asks_for_the_other(reader: Reader) -> None:
    page = reader.send(reader.open(ADD), ADD, name="Gorse", test_length="10")
    assert "fill in both" in page.wrong("test_mass")


def test_a_name_that_is_a_script_is_only_text(reader: Reader) -> None:
    name = "<script>alert(1)</script>\"&'"
    page = reader.send(reader.open(ADD), ADD, name=name, mass="71", note=name)
    assert page.status == 200
    for shown in (page, reader.open("/stash"), reader.open("/skein", name=name)):
        assert "<script>alert" not in shown.text
        assert name in shown.said


def test_names_hold_any_sign_an_address_cares_about(reader: Reader) -> None:
    for name in ("../..", "a/b?c#d", "100 % wool & silk", "Ålesund ü", "+1"):
        page = reader.send(reader.open(ADD), ADD, name=name, mass="71")
        assert page.status == 200, page.said
        assert reader.send(page, "/skein/weigh", mass="70").status == 200


def test_a_name_taken_is_told_beside_its_box(gorse: Reader) -> None:
    page = gorse.send(gorse.open(ADD), ADD, name="gorse", mass="71")
    assert page.status == 422
    assert "there is a skein called “Gorse” already" in page.wrong("name")
    assert "farspun" not in page.wrong("name")


def test_weighing_at_the_scale_is_the_first_form(gorse: Reader) -> None:
    page = gorse.open("/skein", name="Gorse")
    assert page.forms[0].action == "/skein/weigh"
    after = gorse.send(page, "/skein/weigh", mass="73")
    assert after.status == 200
    assert "Left: 73 g (2.6 oz)." in after.said
    assert told(gorse.path, "skein", "show", "Gorse")["mass_g"] == 73


def test_an_honest_lower_weighing_is_stored_at_once_as_use(gorse: Reader) -> None:
    page = gorse.send(gorse.open("/skein", name="Gorse"), "/skein/weigh", mass="48")
    assert page.status == 200
    assert "23 g of “Gorse” were used since 71 g were weighed." in page.said
    assert 'href="/undo">Take it back' in page.text
    assert told(gorse.path, "skein", "show", "Gorse")["conflict"] is None


def test_a_second_button_weighs_again_what_was_not_used(gorse: Reader) -> None:
    page = gorse.open("/skein", name="Gorse")
    assert 'class="quiet" name="not_used"' in page.text
    page = gorse.send(page, "/skein/weigh", mass="48", not_used="yes")
    assert page.status == 200
    assert "Doubt." in page.said and "48 g" in page.said
    history = told(gorse.path, "skein", "history", "Gorse")
    assert "taken" not in [line["what"] for line in history]


def test_more_than_before_is_asked_about_and_nothing_is_stored_until_the_tick(
    gorse: Reader,
) -> None:
    page = gorse.send(gorse.open("/skein", name="Gorse"), "/skein/weigh", mass="48")
    asked = gorse.send(page, "/skein/weigh", mass="97")
    assert asked.status == 422
    why = asked.wrong("mass")
    assert why.startswith("Is that right? 97 g are 49 g more than the 48 g before: ")
    assert "bobbin or cone" in why and "It cannot be" not in asked.said
    assert ".." not in asked.said.replace("…", "") and "--" not in why
    assert told(gorse.path, "skein", "show", "Gorse")["mass_g"] == 48
    tared = gorse.send(asked, "/skein/weigh", mass="97", tare="49")
    assert tared.status == 200
    again = gorse.send(tared, "/skein/weigh", mass="97")
    assert gorse.send(again, "/skein/weigh", mass="97", sure="yes").status == 200
    assert told(gorse.path, "skein", "show", "Gorse")["mass_g"] == 97


def test_yarn_is_taken_by_weight_or_length(gorse: Reader) -> None:
    page = gorse.send(gorse.open("/skein", name="Gorse"), "/skein/take", amount="20")
    assert "Taken: 20 g (0.71 oz)." in page.said
    page = gorse.send(page, "/skein/take", amount="10", amount_unit="m")
    assert "Taken: 4.2 g" in page.said
    page = gorse.send(page, "/skein/take", amount="5000")
    assert page.status == 422
    assert "holds 47 g" in page.wrong("amount")
    assert page.form("/skein/take").boxes["amount"] == "5000"


def test_readings_are_added_and_how_far_each_is_off_is_told(gorse: Reader) -> None:
    page = gorse.send(gorse.open("/skein", name="Gorse"), "/skein/measure", wpi="20", wrap="snug")
    assert "wrapped 20 wpi" in page.said
    assert "off the rest (" in page.said or "fits the rest" in page.said
    assert "spreads" not in page.said


def test_readings_that_disagree_name_the_doubt(reader: Reader) -> None:
    page = reader.send(reader.open(ADD), ADD, name="Oat", mass="100", length="200", wpi="45",
                       wrap="snug", state="relaxed")  # fmt: skip
    assert "Doubt." in page.said
    why = told(reader.path, "skein", "show", "Oat")["conflict"]["why"]
    assert ", off by 7.6 and 7.6 spreads:" in why
    assert why.replace(", off by 7.6 and 7.6 spreads", "") in page.said


def test_a_reading_that_was_a_slip_is_struck_out(gorse: Reader) -> None:
    page = gorse.send(gorse.open("/skein", name="Gorse"), "/skein/measure", wpi="45")
    page = gorse.send(page, "/skein/strike", reading="45 wpi")
    assert "45 wpi counts no more" in page.said
    assert [one["kind"] for one in told(gorse.path, "skein", "show", "Gorse")["evidence"]] == [
        "weighed", "counted"
    ]  # fmt: skip


def test_a_skein_is_closed_with_a_reason(gorse: Reader) -> None:
    page = gorse.open("/skein", name="Gorse")
    assert gorse.send(page, "/skein/close").status == 422
    page = gorse.send(page, "/skein/close", because="used")
    assert "It is closed (used)." in page.said
    assert [one.action for one in page.forms if one.method == "post"] == ["/skein/reopen"]
    assert "Gorse" not in gorse.open("/stash").said
    assert "Gorse" in gorse.open("/stash", show="closed").said
    page = gorse.send(page, "/skein/reopen")
    assert "It is open again." in page.said and "Gorse" in gorse.open("/stash").said


def test_every_form_sent_empty_says_what_is_missing(gorse: Reader) -> None:
    page = gorse.open("/skein", name="Gorse")
    for form in page.forms:
        if form.method == "post":
            answer = gorse.post(form.action, {"of": "Gorse", "token": form.boxes["token"]})
            assert answer.status == 422, form.action
            assert answer.problem or "wrong-why" in answer.text
    assert len(told(gorse.path, "skein", "history", "Gorse")) == 3


def test_a_page_of_a_skein_that_is_not_there_is_404_in_words(gorse: Reader) -> None:
    page = gorse.open("/skein", name="Gorze")
    assert page.status == 404
    assert "There is no skein called “Gorze”. Did you mean “Gorse”?" in page.said


def test_a_skein_renamed_meanwhile_is_not_found_and_nothing_is_stored(gorse: Reader) -> None:
    page = gorse.open("/skein", name="Gorse")
    farspun(gorse.path, "skein", "change", "Gorse", "--name", "Bracken")
    answer = gorse.send(page, "/skein/weigh", mass="60")
    assert answer.status == 404
    assert told(gorse.path, "skein", "show", "Bracken")["mass_g"] == 71


def test_a_skein_closed_meanwhile_says_so(gorse: Reader) -> None:
    page = gorse.open("/skein", name="Gorse")
    farspun(gorse.path, "skein", "close", "Gorse", "--because", "lost")
    answer = gorse.send(page, "/skein/weigh", mass="60")
    assert answer.status == 409
    assert "skein close, Gorse: lost" in answer.problem


def test_search_finds_by_every_word_of_name_colour_fibre_and_place(gorse: Reader) -> None:
    farspun(gorse.path, "skein", "add", "Oat", "--mass", "50g", "--colour", "pale straw",
            "--place", "blue chest", "--fibre", "linen")  # fmt: skip
    assert "Gorse" not in gorse.open("/stash", q="straw").said
    assert "Oat" in gorse.open("/stash", q="CHEST linen").said
    assert "No skein is like that." in gorse.open("/stash", q="straw gorse").said
    assert "Oat" in gorse.open("/stash", show="doubtful").said


def test_rows_are_paged_in_the_order_of_names(reader: Reader) -> None:
    rows = "".join(f"Skein {at},50 g\n" for at in range(1, 96))
    table = reader.path.with_name("many.csv")
    table.write_text("name,mass\n" + rows)
    assert farspun(reader.path, "import", str(table)).exit_code == 0
    first, last = reader.open("/stash"), reader.open("/stash", at="3")
    assert "95 skeins" in first.said and "page 1 of 3" in first.said
    assert first.said.index("Skein 2 ") < first.said.index("Skein 10 ")
    assert "Skein 95" in last.said and "Skein 80 " not in last.said
    assert "page 3 of 3" in reader.open("/stash", at="999").said


def test_a_search_too_long_is_told_on_a_page(gorse: Reader) -> None:
    page = gorse.open("/stash", q="x" * 201)
    assert page.status == 422
    assert "at most 200 characters" in page.main and "To the stash" in page.main
    other = gorse.open("/stash", at="first")
    assert other.status == 422 and "“at”" in other.main and "{" not in other.main
    face = gorse.open("/cloth/face.png", of="Scarf", close="{7}")
    assert face.status == 422 and face.headers["content-type"].startswith("text/html")


def test_the_list_is_in_yards_where_asked(gorse: Reader) -> None:
    page = gorse.open("/stash", units="imperial")
    assert "184 yd" in page.said and "2.5 oz" in page.said


def test_the_colours_of_a_skein_stand_beside_its_name(reader: Reader) -> None:
    for name, note in (("Sloe", "navy > #aabbcc"), ("Bare", ""), ("Odd", '"><script>red')):
        words = ["skein", "add", name, "--mass", "50g", *(["--colour", note] if note else [])]
        assert farspun(reader.path, *words).exit_code == 0
    rows = reader.open("/stash").text.split("<tr>")
    (sloe,) = (row for row in rows if "Sloe" in row)
    (bare,) = (row for row in rows if "Bare" in row)
    assert '<svg class="swatch"' in sloe and 'aria-label="navy &gt; #aabbcc"' in sloe
    assert sloe.count("<rect") >= 2 and 'fill="#aabbcc"' in sloe
    assert "<svg" not in bare
    assert "<script>red" not in reader.open("/stash").text
    assert 'fill="#aabbcc"' in reader.open("/skein", name="Sloe").text
