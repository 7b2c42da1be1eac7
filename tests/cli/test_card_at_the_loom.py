"""farspun cloth card: what a first-time weaver needs to be told, so that nothing misleads her."""

import re
from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from cards import USUAL, card_desk, printed
from cli.running import Desk
from farspun.cards.paper import checked_paper
from farspun.cards.setup_words import cloth_rows
from farspun.cards.warping import warping_pdf
from farspun.services.carding import card_of_cloth
from farspun.store.engine import Stash
from farspun.units import say_odds
from pdf_boxes import text_of

TABLE = "Napkin"


@pytest.fixture(scope="module")
def desk(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Desk]:
    made = card_desk(tmp_path_factory.mktemp("loom"))
    made.does(
        "loom add Bench --kind table --width 60cm --shafts 4 --tie lashed",
        f"cloth plan {TABLE} --size 20cmx40cm --warp Moss --weft Fog --loom Bench --sett 5/cm"
        " --fringe 10cm",
    )
    yield made


def pages(desk: Desk, cloth: str, more: str = "") -> list[str]:
    return [" ".join(page.split()) for page in text_of(printed(desk, cloth, more))]


def assumed(desk: Desk, cloth: str) -> dict[str, float]:
    listed = desk.told(f"cloth check {cloth}")["assumptions"]
    return {one["name"]: one["mean"] for one in listed}


def test_the_width_to_expect_is_that_of_the_ends_in_the_reed(desk: Desk) -> None:
    card, means = desk.told(f"cloth card {TABLE}"), assumed(desk, TABLE)
    setup, found = card["setup"], card["expected"]
    by_hand = setup["reed_width_cm"] * (1 - means["draw-in"])
    assert found["off_loom_width_cm"] == pytest.approx(by_hand)
    # the ends that are there only for size make the cloth wider than the size asked
    assert by_hand > setup["off_loom_width_cm"] + 0.3
    lost = 20 / setup["off_loom_width_cm"]
    assert found["washed_width_cm"] == pytest.approx(by_hand * lost)
    second = pages(desk, TABLE)[1]
    asked = setup["off_loom_width_cm"]
    assert f"off the loom {by_hand:.1f} cm wide (asked: {asked:.1f} cm)" in second


def test_the_warp_as_cut_says_how_long_it_can_be_woven(desk: Desk) -> None:
    card, means = desk.told(f"cloth card {TABLE}"), assumed(desk, TABLE)
    setup, found = card["setup"], card["expected"]
    fringes = 2 * card["edges"]["fringe_cut_cm"]
    woven = (setup["warp_cut_cm"] - means["loom waste"] - fringes) * (1 - means["take-up"])
    assert found["farthest_off_loom_length_cm"] == pytest.approx(woven)
    assert found["washed_length_cm"] == pytest.approx(40)
    tight = setup["tape_length_cm"] / setup["woven_length_cm"]
    assert found["farthest_tape_cm"] == pytest.approx(woven * tight)
    assert found["farthest_tape_cm"] > setup["tape_length_cm"]


def test_the_card_typed_back_teaches_no_other_draw_in(tmp_path: Path) -> None:
    desk = card_desk(tmp_path)
    found = desk.told("cloth card Band")["expected"]
    wide, long = found["off_loom_width_cm"], found["off_loom_length_cm"]
    habit = assumed(desk, "Band")["draw-in"]
    desk.does(
        "cloth wound Band",
        "cloth on-loom Band",
        f"cloth off-loom Band --off {wide:.2f}cmx{long:.2f}cm",
    )
    shows = desk.told("cloth show Band")["measured"]["cloth"]["shows"]
    assert shows["draw_in"] == pytest.approx(habit, abs=0.002)


def test_a_card_tells_of_which_plan_it_is_and_when_it_was_printed(tmp_path: Path) -> None:
    desk = card_desk(tmp_path)
    made = desk.told(f"cloth card {USUAL}")["made"]
    first, second = pages(desk, USUAL)
    assert date.fromisoformat(made["printed"]) >= date.fromisoformat(made["plan_of"])
    for page in (first, second):
        assert f"printed {made['printed']}, plan no. {made['plan_action']}" in page
    setup = desk.told(f"cloth card {USUAL}")["setup"]
    assert f"the plan of {made['plan_of']}, no. {made['plan_action']}" in first
    assert f"{setup['ends'] - 2} ends, warp {setup['warp_cut_cm']} cm" in first
    desk.does("skein add Later --mass 40g", "cloth change Band --priority 3")
    assert desk.told(f"cloth card {USUAL}")["made"] == made  # nothing was done to this one
    desk.does(f"cloth change {USUAL} --size 42cmx150cm")
    changed = desk.told(f"cloth card {USUAL}")["made"]
    assert changed["plan_action"] > made["plan_action"]
    desk.does("undo")
    undone = desk.told(f"cloth card {USUAL}")["made"]
    assert undone["plan_action"] > changed["plan_action"]


def test_the_same_day_is_the_same_bytes_and_another_day_is_not(desk: Desk) -> None:
    def on(day: date) -> bytes:
        card = card_of_cloth(Stash(desk.stash), USUAL, today=day)
        assert card.made.printed == day.isoformat()
        return warping_pdf(card, checked_paper("A4"))

    first = on(date(2025, 3, 1))
    assert first == on(date(2025, 3, 1)) != on(date(2025, 3, 2))
    assert "printed 2025-03-01" in " ".join(text_of(first)[0].split())


def test_full_size_and_least_that_serves_are_told_apart(desk: Desk) -> None:
    card = desk.told(f"cloth card {TABLE}")
    first, second = pages(desk, TABLE)
    assert "for the least that serves needs" in first
    assert "of weft for the full size" in second
    (start,) = card["starts"]
    served = card["weft"][0]["need_m"]["p50"] / card["setup"]["weft_yarn_m"]
    assert start["full_g"] == pytest.approx(start["need_g"] / served)
    last = card["marks"][-1]["wefts"][0]
    assert start["start_g"] - last["should_g"] == pytest.approx(start["full_g"])
    assert re.search(r"[\d.]+ for the full size, [\d.]+ for the least that serves", second)


def test_every_end_is_in_a_bundle_and_what_is_assumed_is_said(desk: Desk) -> None:
    card = desk.told(f"cloth card {TABLE}")
    told = card["bundles"]
    assert sum(one["bundles"] for one in told) == card["lashing"]["bundles"]
    ends = sum(one["bundles"] * one["ends"] for one in told)
    assert ends == card["warping"]["ends"]
    assert max(one["ends"] for one in told) - min(one["ends"] for one in told) <= 1
    assert "gap and bar are assumed" in pages(desk, TABLE)[0]
    assert "the bar is assumed" in pages(desk, TABLE, "--gap 9cm")[0]
    assert "assumed" not in pages(desk, TABLE, "--gap 9cm --rod 2cm")[0]


def test_there_is_room_for_what_the_scale_showed(desk: Desk) -> None:
    one, several = pages(desk, TABLE)[1], pages(desk, "Straight")[1]
    assert one.count("scale showed") == 1 and "all empty shuttle" in one
    assert "scale showed A" in several and "scale showed B" in several
    assert "all of A all of B empty shuttle" in several


def test_each_skein_is_asked_where_its_yarn_leaves_it(desk: Desk) -> None:
    rooms = {one["stage"]: one["left_of"] for one in desk.told(f"cloth card {TABLE}")["record"]}
    assert rooms == {"wound": ["Moss"], "on-loom": [], "off-loom": ["Fog"], "finished": []}
    rooms = {one["stage"]: one["left_of"] for one in desk.told("cloth card Straight")["record"]}
    assert rooms == {"on-loom": ["Slate", "Oat"], "off-loom": ["Rust", "Moss"], "finished": []}


def test_yarns_are_called_alike_in_need_and_order(desk: Desk) -> None:
    first, second = pages(desk, "Straight")
    assert "Warp A" not in first  # the order of the warp has names
    assert "1-6 Slate, 7-10 Oat" in first
    assert "1-10 A Rust" in second and "B Moss" in second  # the marks have letters


def test_repeats_are_counted_through(desk: Desk) -> None:
    order = desk.told("cloth card Twelve")["warping"]["order"]
    begins = ", ".join(str(1 + 84 * at) for at in range(order["repeats"] + 1))
    assert f"it begins at {begins}" in pages(desk, "Twelve")[0]


def test_a_loom_with_levers_is_told_of_levers_and_of_all_its_shafts(desk: Desk) -> None:
    card = desk.told(f"cloth card {TABLE}")
    draft, ends = card["draft"], card["warping"]["ends"]
    assert draft["levers"] and draft["tie_up"] is None and draft["treadling"] is None
    assert draft["straight"] == {"threading": [1, 2, 3, 4], "shafts": [[1, 3], [2, 4]]}
    first = pages(desk, TABLE)[0]
    assert "levers to press beside the cloth" in first and "tread" not in first
    assert f"or straight over 1 2 3 4: {ends // 4} times" in first
    assert "for 1 press levers 1 3; for 2 press levers 2 4" in first
    on_treadles = pages(desk, "Both")[0]
    assert "tie up shafts 1 3 5 7" in on_treadles and "lever" not in on_treadles
    assert desk.told(f"cloth card {USUAL}")["draft"]["straight"] is None  # four already


def test_a_fringe_says_what_it_loses(desk: Desk) -> None:
    cut = desk.told(f"cloth card {TABLE}")["edges"]["fringe_cut_cm"]
    means = assumed(desk, TABLE)
    lost = 1 - means["shrinkage in length"]
    assert cut == pytest.approx(10 / (0.85 * lost))  # design: 15 % of it goes into the twist
    second = pages(desk, TABLE)[1]
    assert "for 10 cm: twist and knots take 15 %, the wash the rest" in second


def test_notes_of_the_check_that_matter_at_the_loom_are_there(tmp_path: Path) -> None:
    desk = card_desk(tmp_path)
    desk.does(
        "skein add Fresh --mass 200g --length 700m --state unwashed --wpi 15wpi",
        "cloth plan Mixed --size 30cmx60cm --warp-order '4 Slate, 6 Oat, 4 Slate' --weft Fresh"
        " --loom Barn",
    )
    noted = desk.told("cloth card Mixed")["notes"]
    told = desk.told("cloth check Mixed")
    joins = next(one["text"] for one in told["warnings"] if one["code"] == "order-joins")
    assert joins in noted and "8 ends of Slate" in joins
    assert any(one.startswith("Fresh is not washed yet") for one in noted)
    margin = told["allowance_for_size"]["ends"]
    assert margin > 1 and any(one.startswith(f"{margin} ends are there only") for one in noted)
    first = pages(desk, "Mixed")[0]
    assert all(one in first for one in noted)


def test_a_skein_too_short_for_an_end_is_not_called_unneeded(tmp_path: Path) -> None:
    desk = card_desk(tmp_path)
    desk.does(
        "skein add Scrap --mass 1g --length 1m --state relaxed",
        "cloth plan Short --size 20cmx60cm --warp Scrap --weft Fog --loom Barn --sett 5/cm",
    )
    first = pages(desk, "Short")[0]
    assert "1 skein without one end" in first and "not needed" not in first


def test_the_odds_of_a_yarn_are_said_as_a_check_says_them(desk: Desk) -> None:
    """Just under what was asked is never rounded up to it, on the card as on the screen."""
    card = card_of_cloth(Stash(desk.stash), USUAL)
    assert card.promise == 0.95
    just_under = replace(card, warp=[replace(card.warp[0], odds=0.948)])
    row = next(one for one in cloth_rows(just_under) if one.label == "Warp")
    assert say_odds(0.948, 0.95) == "94 in 100" and row.metric.endswith("; 94 in 100")


def test_every_length_to_expect_is_printed_in_both_systems(desk: Desk) -> None:
    found: dict[str, Any] = desk.told(f"cloth card {TABLE}")["expected"]
    text = " ".join(pages(desk, TABLE))
    for cm in found.values():
        for number in (cm, cm / 2.54):
            said = {f"{number:.{digits}f}" for digits in (0, 1)}
            assert any(re.search(rf"(?<![\d.]){re.escape(one)} (cm|in)", text) for one in said), cm
