"""farspun cloth card: what is printed is what the JSON says, and what is refused leaves no file."""

import math
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from cards import CLOTHS, LONG, ODD, RIGHT_TO_LEFT, STRIPES, USUAL, card_desk, printed
from cli.running import Desk, furnished
from farspun.cards.weaving_words import ASKED
from farspun.cli.life import STAGES, USED
from pdf_boxes import outside, overlapping, text_boxes, text_of

CM_IN, M_YD, G_OZ = 2.54, 0.9144, 28.349523125  # exact by definition
MARGIN_PT = 8.5 / 25.4 * 72  # the narrowest margin of a paper, less what letters stand out
LEAST_PT = 7.0  # for a word; the body is never below 8

Card = dict[str, Any]


@pytest.fixture(scope="module")
def desk(tmp_path_factory: pytest.TempPathFactory) -> Desk:
    return card_desk(tmp_path_factory.mktemp("cards"))


@pytest.fixture(scope="module")
def cards(desk: Desk) -> dict[str, tuple[Card, list[str]]]:
    """Of every cloth its JSON, and the text of both sides with line breaks as spaces."""
    return {
        name: (
            desk.told(["cloth", "card", name]),
            [" ".join(page.split()) for page in text_of(printed(desk, name))],
        )
        for name in CLOTHS
    }


def says(text: str, number: float, unit: str) -> bool:
    """Whether the text has this number, rounded as it is printed, before its unit."""
    found = re.findall(rf"(?<![\d.])(\d+(?:\.\d+)?) {re.escape(unit)}(?![\w])", text)
    return any(_rounds_to(number, said) for said in found)


def _rounds_to(number: float, said: str) -> bool:
    decimals = len(said.partition(".")[2])
    enough = decimals > 0 or number >= 9.5 or abs(number - float(said)) < 0.051
    return enough and abs(number - float(said)) <= 0.5 * 10**-decimals + 1e-9


@pytest.mark.parametrize("name", CLOTHS)
def test_every_number_of_the_set_up_is_printed_in_both_units(
    cards: dict[str, tuple[Card, list[str]]], name: str
) -> None:
    card, (first, second) = cards[name]
    setup = card["setup"]
    for key, side in (
        ("reed_width_cm", first),
        ("warp_cut_cm", first),
        ("off_loom_length_cm", second),
        ("off_loom_width_cm", second),
        ("woven_length_cm", second),
        ("tape_length_cm", second),
        ("pick_length_cm", second),
    ):
        assert says(side, setup[key], "cm"), key
        inches = setup[key] / CM_IN
        assert says(side, inches, "in") or says(side, inches, "in:"), key
    for key, side in (("warp_yarn_m", first), ("warp_yarn_cut_m", first), ("weft_yarn_m", second)):
        assert says(side, setup[key], "m"), key
        assert says(side, setup[key] / M_YD, "yd"), key
    assert f"{setup['picks']} picks of" in second
    ends = setup["ends"] - card["warping"]["floating_selvedges"]
    assert f"{ends} ends at {setup['sett_ends_per_cm']:.1f} per cm" in first
    assert f"at {setup['sett_ends_per_cm'] * CM_IN:.1f} per inch" in first
    middles = re.findall(r"= (\d[\d.]*)(?:;| )", first)
    for length in (setup["warp_length_cm"], setup["warp_length_cm"] / CM_IN):
        assert any(_rounds_to(length, said) for said in middles)
    assert f"{setup['picks_per_cm']:.1f} rested" in second
    assert setup["reed"] is None or setup["reed"] in first


@pytest.mark.parametrize("name", CLOTHS)
def test_every_need_is_printed_in_both_units(
    cards: dict[str, tuple[Card, list[str]]], name: str
) -> None:
    card, (first, _) = cards[name]
    number = 0
    for yarn in (*card["warp"], *card["weft"]):
        number += 1
        for words, points in (("needs", yarn["need_m"]), ("has", yarn["have_m"])):
            if not points["p95"]:
                assert "has none free" in first
                continue
            for unit, per in (("m", 1.0), ("yd", M_YD)):
                low, high = points["p05"] / per, points["p95"] / per
                spans = re.findall(rf"{words} (\d[\d.]*)-(\d[\d.]*) {unit}(?!\w)", first)
                assert any(
                    _rounds_to(low, one) and _rounds_to(high, other) for one, other in spans
                ), (words, unit, low, high)
    assert len(re.findall(r"needs [\d.]+-[\d.]+ m,", first)) == number


@pytest.mark.parametrize("name", CLOTHS)
def test_all_ten_marks_are_printed_as_the_json_has_them(
    cards: dict[str, tuple[Card, list[str]]], name: str
) -> None:
    card, (_, second) = cards[name]
    assert len(card["marks"]) == 10
    _compare(_row(second, "tape, cm"), [one["tape_cm"] for one in card["marks"]])
    _compare(_row(second, "tape, in"), [one["tape_cm"] / CM_IN for one in card["marks"]])
    wefts = len(card["weft"])
    for number in range(wefts):
        letter = f" {'ABC'[number]}" if wefts > 1 else ""
        own = [mark["wefts"][number] for mark in card["marks"]]
        for label, key, unit, per in (
            ("weft{} used, {}", "used_m", "m", 1.0),
            ("weft{} used, {}", "used_m", "yd", M_YD),
            ("should weigh{}, {}", "should_g", "g", 1.0),
            ("should weigh{}, {}", "should_g", "oz", G_OZ),
            ("think below{}, {}", "think_below_g", "g", 1.0),
            ("think below{}, {}", "think_below_g", "oz", G_OZ),
        ):
            found = [None if one[key] is None else one[key] / per for one in own]
            _compare(_row(second, label.format(letter, unit)), found)


def _row(text: str, label: str) -> list[str]:
    """The ten figures behind a label of the ruler."""
    found = re.search(rf"{re.escape(label)}((?: (?:[\d.]+|none|–)){{10}})", text)
    assert found, label
    return found[1].split()


def _compare(said: list[str], numbers: list[float | None]) -> None:
    for one, number in zip(said, numbers, strict=True):
        if one == "–":
            assert number is None
        elif one == "none":
            assert number is not None and number < 0
        else:
            assert number is not None and number >= 0
            assert _rounds_to(number, one), (one, number)


@pytest.mark.parametrize("name", CLOTHS)
def test_the_steps_add_up_to_the_warp_that_is_cut(desk: Desk, name: str) -> None:
    card = desk.told(["cloth", "card", name])
    steps, setup = card["warping"]["steps"], card["setup"]
    sums = [step["adds_cm"] for step in steps]
    assert math.fsum(sums) == pytest.approx(setup["warp_cut_cm"], abs=0.06)
    assert steps[-1]["cm"] == pytest.approx(setup["warp_cut_cm"], abs=0.06)
    assert steps[0]["what"] == "finished length"
    shrunk = next(step for step in steps if step["what"] == "shrinkage")
    hemmed = setup["off_loom_length_cm"] - shrunk["adds_cm"]
    assert hemmed == pytest.approx(setup["off_loom_length_cm"] * (1 - shrunk["part"]))


def test_the_set_up_and_the_needs_are_those_of_a_check(desk: Desk) -> None:
    card, check = desk.told(f"cloth card {USUAL}"), desk.told(f"cloth check {USUAL}")
    assert all(check["setup"][key] == value for key, value in card["setup"].items())
    for side in ("warp", "weft"):
        for yarn, need in zip(card[side], check[side], strict=True):
            assert all(yarn[key] == need[key] for key in ("skeins", "need_m", "have_m", "odds"))
            assert all(yarn[key] == need[key] for key in ("short_m", "short_g"))


@pytest.mark.parametrize("paper", ["A4", "letter"])
@pytest.mark.parametrize("name", CLOTHS)
def test_words_neither_overlap_nor_leave_the_page(desk: Desk, name: str, paper: str) -> None:
    _check_places(printed(desk, name, f"--paper {paper}"))


@pytest.mark.parametrize("name", [USUAL, "Band", "Straight", "Both"])
def test_on_a_small_paper_too(desk: Desk, name: str) -> None:
    _check_places(printed(desk, name, "--paper A5"))


def _check_places(pdf: bytes) -> None:
    pages = text_boxes(pdf)
    assert len(pages) == 2
    for sheet, boxes in pages:
        assert len(boxes) > 20
        assert overlapping(boxes) == []
        assert outside(sheet, boxes, MARGIN_PT) == []
        assert min(one.size for one in boxes) >= LEAST_PT - 0.2


@pytest.mark.parametrize("name", CLOTHS)
def test_no_line_mixes_the_two_unit_systems(desk: Desk, name: str) -> None:
    for page in text_of(printed(desk, name)):
        for line in _lines(page):
            metric = re.search(r"\d (cm|m|g)\b|per cm|, (cm|m|g)\b|°C", line)
            imperial = re.search(r"\d (in|yd|oz)\b|per inch|, (in|yd|oz)\b|°F", line)
            assert not (metric and imperial), line


def _lines(page: str) -> Iterator[str]:
    """Its lines; odds ("97 in 100") and what is told in words are no inches."""
    for line in page.splitlines():
        yield re.sub(r"\d+ in 100|in (g|oz)$|\d+ in each", "", line)


def test_the_same_cloth_is_the_same_bytes(desk: Desk) -> None:
    assert printed(desk, "Twelve") == printed(desk, "Twelve")
    assert b"/CreationDate" not in printed(desk, USUAL)


def test_names_are_printed_as_they_are(cards: dict[str, tuple[Card, list[str]]]) -> None:
    card, pages = cards[ODD]
    assert all(page.startswith(ODD) for page in pages)
    assert card["cloth"] == ODD
    assert RIGHT_TO_LEFT in pages[0] or RIGHT_TO_LEFT[::-1] in pages[0]
    assert LONG in cards[LONG][1][0]


def test_twelve_stripes_are_counted_off_one_by_one(
    cards: dict[str, tuple[Card, list[str]]],
) -> None:
    card, (first, _) = cards["Twelve"]
    at = 0
    for number, name in enumerate(STRIPES):
        ends = 4 + 2 * (number % 4)
        assert f"{at + 1}-{at + ends} {name}" in first
        at += ends
    order = card["warping"]["order"]
    assert order["threads"] == at == 84
    assert order["repeats"] * 84 + order["over"] == card["warping"]["ends"]


def test_a_warp_of_many_skeins_says_where_each_changes(
    cards: dict[str, tuple[Card, list[str]]],
) -> None:
    card, (first, _) = cards["Many"]
    given = card["warping"]["skeins"]
    whole = [math.floor(60 * 100 / card["setup"]["warp_cut_cm"] + 0.5) for _ in given]
    assert given[0]["upto"] == given[0]["ends"]
    assert abs(given[0]["ends"] - whole[0]) <= 2  # 60 m at most, in whole ends
    used = [one for one in given if one["ends"]]
    assert sum(one["ends"] for one in used) == card["warping"]["ends"]
    for one in used:
        assert f"{one['upto'] - one['ends'] + 1}-{one['upto']} {one['skein']}" in first


def test_bouts_and_loops_hold_every_end(desk: Desk) -> None:
    wound = desk.told(f"cloth card {USUAL}")["warping"]
    assert wound["bouts"][-1]["upto"] == wound["ends"]
    assert wound["peg_cm"] is None and wound["loops"] is None
    direct = desk.told("cloth card Straight")
    assert direct["warping"]["bouts"] == []
    assert 2 * direct["warping"]["loops"] == direct["warping"]["ends"]
    assert direct["warping"]["peg_cm"] == direct["setup"]["warp_cut_cm"]


def test_a_lashed_loom_is_told_its_cord_and_one_that_is_tied_is_not(desk: Desk) -> None:
    card = desk.told(f"cloth card {USUAL} --gap 4cm --rod 2cm")
    cord, width = card["lashing"], card["setup"]["reed_width_cm"]
    bundles = math.ceil(width / 2.54)
    by_hand = bundles * (2 * math.hypot(4.0, 1.27) + math.pi) + 90
    assert cord["cord_cm"] == pytest.approx(by_hand)
    assert "the cord must not stretch" in " ".join(text_of(printed(desk, USUAL))[0].split())
    assert desk.told("cloth card Straight")["lashing"] is None
    assert card["separator_cm"] == pytest.approx(width + 10)


def test_picks_are_told_tight_rested_and_washed(desk: Desk) -> None:
    card = desk.told(f"cloth card {USUAL}")
    picks, setup = card["picks"], card["setup"]
    assert picks["rested_per_cm"] == setup["picks_per_cm"]
    # the same picks stand in the tape length on the loom, and in the finished length washed
    rested = picks["rested_per_cm"] * setup["woven_length_cm"]
    assert picks["tight_per_cm"] * setup["tape_length_cm"] == pytest.approx(rested)
    washed = picks["washed_per_cm"] * 160
    assert washed == pytest.approx(picks["rested_per_cm"] * setup["off_loom_length_cm"])


def test_pieces_stop_where_their_lengths_end_on_the_tape(desk: Desk) -> None:
    card = desk.told("cloth card Twelve")
    stops, setup = card["stops"], card["setup"]
    assert [one["what"] for one in stops] == ["sample", "piece 1", "piece 2"]
    assert stops[-1]["upto_cm"] == pytest.approx(setup["tape_length_cm"])
    assert stops[1]["then_unwoven_cm"] == pytest.approx(6.0)
    tight = setup["tape_length_cm"] / setup["woven_length_cm"]
    assert stops[0]["tape_cm"] == pytest.approx(12 * tight)
    assert card["marks"][-1]["tape_cm"] == pytest.approx(setup["tape_length_cm"])


def test_a_weft_in_bands_is_used_band_by_band(desk: Desk) -> None:
    card = desk.told("cloth card Straight")
    order, picks = card["weft_order"], card["setup"]["picks"]
    rust, moss = (one["threads"] for one in order["stripes"])
    for number, mark in enumerate(card["marks"], start=1):
        done = round(picks * number / 10)
        laid = [1 if at % (rust + moss) < rust else 0 for at in range(picks)]
        part = sum(laid[:done]) / sum(laid)
        needs = [yarn["need_m"]["p50"] for yarn in card["weft"]]
        whole_m = card["setup"]["weft_yarn_m"] * needs[0] / sum(needs)
        assert mark["wefts"][0]["used_m"] == pytest.approx(part * whole_m)


def test_a_yarn_on_both_sides_starts_with_what_the_warp_leaves(desk: Desk) -> None:
    card = desk.told("cloth card Both")
    (start,) = card["starts"]
    warp_m = card["setup"]["warp_yarn_cut_m"]
    assert start["start_g"] == pytest.approx(260 - warp_m * 260 / 900, rel=0.01)
    # the need is for the size less its give, the marks go on to the whole of the tape
    served = card["weft"][0]["need_m"]["p50"] / card["setup"]["weft_yarn_m"]
    assert 0.9 < served < 1
    last = card["marks"][-1]["wefts"][0]
    assert last["used_m"] == pytest.approx(card["setup"]["weft_yarn_m"])
    assert last["should_g"] == pytest.approx(start["start_g"] - start["need_g"] / served)
    assert last["think_below_g"] == start["keep_g"]


def test_a_warp_that_is_wound_still_has_a_card(tmp_path: Path) -> None:
    desk = card_desk(tmp_path)
    desk.does(f"cloth wound {USUAL}")
    card = desk.told(f"cloth card {USUAL}")
    assert card["status"] == "wound"
    assert card["warp"] == [] and card["warping"]["skeins"] == []
    _check_places(printed(desk, USUAL))


def test_the_record_asks_what_the_commands_ask_in_their_order(desk: Desk) -> None:
    for name, stages in ((USUAL, list(STAGES)), ("Straight", list(STAGES)[1:])):
        card = desk.told(f"cloth card {name}")
        asked: list[str] = []
        assert [one["stage"] for one in card["record"]] == stages
        for one in card["record"]:
            options = [
                option
                for option in STAGES[one["stage"]][1]
                if option not in USED and option not in asked
            ]
            assert one["asks"] == options
            assert set(options) <= ASKED.keys()
            asked += options


def test_what_can_hurt_is_told_by_wash_and_name(tmp_path: Path) -> None:
    desk = card_desk(tmp_path)
    desk.does("cloth plan 'Baby strap' --size 8cmx60cm --warp Coal --weft Mint --wash none")
    card = desk.told("cloth card 'Baby strap'")
    assert [one["code"] for one in card["cautions"]] == ["child", "load", "local"]
    hot = " ".join(text_of(printed(desk, "Many"))[1].split())
    assert "at 49 °C in about ten minutes, at 60 °C in seconds" in hot
    assert "at 120 °F in about ten minutes, at 140 °F in seconds" in hot


def test_a_skein_that_others_have_claimed_whole_is_weighed_all_the_same(desk: Desk) -> None:
    card = desk.told("cloth card Many")
    (start,) = card["starts"]
    assert card["weft"][0]["have_m"]["p95"] == 0
    assert start["start_g"] == start["keep_g"] == 380
    # at its grist of 380 g over 1400 m
    by_hand = card["weft"][0]["need_m"]["p50"] * 380 / 1400
    assert start["need_g"] == pytest.approx(by_hand, rel=0.01)
    assert card["marks"][0]["wefts"][0]["think_below_g"] > start["start_g"]


def test_a_skein_that_was_not_weighed_has_no_weights_to_look_for(tmp_path: Path) -> None:
    desk = card_desk(tmp_path)
    desk.does(
        "skein add Wraps --wpi 12wpi",
        "cloth plan Unknown --size 20cmx60cm --warp Coal --weft Wraps",
    )
    card = desk.told("cloth card Unknown")
    assert card["starts"] == [{"start_g": None, "keep_g": None, "need_g": None, "full_g": None}]
    assert all(mark["wefts"][0]["should_g"] is None for mark in card["marks"])
    page = " ".join(text_of(printed(desk, "Unknown"))[1].split())
    assert "its mass is not known" in page


@pytest.mark.parametrize(
    ("line", "code", "told"),
    [
        ("cloth card Shawl", 2, "--out"),
        ("cloth card Nothing --out {0}/a.pdf", 4, "Nothing"),
        ("cloth card Shawl --out {0}/a.txt", 2, ".pdf"),
        ("cloth card Shawl --out {0}/none/a.pdf", 2, "no folder"),
        ("cloth card Shawl --out {0}", 2, ".pdf"),
        ("cloth card Shawl --out {0}/there.pdf", 2, "--force"),
        ("cloth card Shawl --out {0}/folder.pdf", 2, "folder"),
        ("cloth card Shawl --out {0}/a.pdf --paper A7", 3, "A4, A5, letter"),
        ("cloth card Shawl --out {0}/a.pdf --gap 8", 3, "cm"),
        ("cloth card Twelve --out {0}/a.pdf --paper A5", 3, "--paper A4"),
        ("cloth card Shawl --out {0}/" + "n" * 300 + ".pdf", 2, "cannot be written"),
    ],
)
def test_what_cannot_be_printed_is_refused_and_leaves_nothing(
    tmp_path: Path, line: str, code: int, told: str
) -> None:
    desk = card_desk(tmp_path)
    (tmp_path / "there.pdf").write_bytes(b"hers")
    (tmp_path / "folder.pdf").mkdir()
    before, stash = sorted(tmp_path.iterdir()), desk.stash.read_bytes()
    assert told in desk.refuses(line.format(tmp_path), code)
    assert sorted(tmp_path.iterdir()) == before
    assert (tmp_path / "there.pdf").read_bytes() == b"hers"
    assert desk.stash.read_bytes() == stash


def test_a_cloth_whose_sett_nobody_knows_is_never_planned_and_has_no_card(tmp_path: Path) -> None:
    desk = furnished(tmp_path)
    desk.does("skein add Unknown --mass 50g")
    planned = "cloth plan Mystery --size 20cmx60cm --warp Unknown --weft Unknown"
    assert "sett" in desk.refuses(planned, 3)
    desk.refuses(f"cloth card Mystery --out {tmp_path}/a.pdf", 4)
    assert not (tmp_path / "a.pdf").exists()


@pytest.mark.parametrize("last", ["give-up Shawl --yes", "off-loom Shawl --tape 1.8m"])
def test_a_cloth_that_is_woven_or_given_up_has_no_card(tmp_path: Path, last: str) -> None:
    desk = card_desk(tmp_path)
    if "off-loom" in last:
        desk.does("cloth wound Shawl", "cloth on-loom Shawl")
    desk.does(f"cloth {last}")
    assert "cloth show" in desk.refuses(f"cloth card Shawl --out {tmp_path}/a.pdf", 3)
    assert not (tmp_path / "a.pdf").exists()


def test_force_writes_over_a_file(desk: Desk, tmp_path: Path) -> None:
    out = tmp_path / "there.pdf"
    out.write_bytes(b"hers")
    desk.does(f"cloth card Band --out {out} --force")
    assert out.read_bytes().startswith(b"%PDF-")
    assert list(tmp_path.iterdir()) == [out]
