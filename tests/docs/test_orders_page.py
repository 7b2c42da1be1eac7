"""docs/orders.md shows what the program prints, and what it works out by hand is so."""

import json
import re
from pathlib import Path
from typing import Any

import pytest

from docs.pages import ORDERS, Example, answered, examples
from farspun.craft.order_edges import edges
from farspun.craft.order_text import order_from_text, text_of_order
from farspun.craft.orders import MOST_SHUTTLE_PICKS, counted, counts, in_picks, shuttle_picks
from farspun.services.order_notes import LEAST_BREAK_CM, UNEQUAL

PAGE = ORDERS.read_text(encoding="utf-8")
FLOWING = " ".join(PAGE.split())
ROWS = re.findall(r"^\| `(.+?)` \| .* \| ([^|]+) \|$", PAGE, flags=re.MULTILINE)


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder in which the page's commands were run; each must answer as the page shows."""
    place = tmp_path_factory.mktemp("orders")
    for example in examples(PAGE):
        assert answered(example, place).output == example.shown, example.line
    return place


def checked(folder: Path, name: str) -> dict[str, Any]:
    result = answered(Example(f"farspun cloth check {name} --json", ""), folder)
    found: dict[str, Any] = json.loads(result.stdout)
    return found


def yarns(order: dict[str, Any]) -> dict[str, int]:
    return {one["yarn"]: one["threads"] for one in order["yarns"]}


def test_the_examples_print_what_the_page_shows(folder: Path) -> None:
    assert len(examples(PAGE)) == 7
    assert (folder / "stash.db").exists()


@pytest.mark.parametrize(("written", "told"), ROWS)
def test_every_order_of_the_table_comes_to_what_it_says(written: str, told: str) -> None:
    wanted = dict(
        reversed(one.split(" ", 1))
        for one in told.split(", ")  # number, then the yarn's name
    )
    order = order_from_text(written.replace("\\|", "|"), "warp")
    assert counts(order) == {yarn: int(number) for yarn, number in wanted.items()}


def test_the_table_shows_every_way_of_writing() -> None:
    assert len(ROWS) == 7
    written = " ".join(row for row, _ in ROWS)
    assert all(sign in written for sign in ("(", ")x", "| mirror", '"', ","))


def test_the_ends_worked_by_hand_are_those_of_the_answer(folder: Path) -> None:
    assert "slate has 8 × 6 + 6 = 54 ends and oat 8 × 2 = 16" in FLOWING
    order = order_from_text("6 slate, 2 oat", "warp")
    assert counted(order, 70) == {"slate": 54, "oat": 16}
    shown = next(one.shown for one in examples(PAGE) if "plan Runner" in one.line)
    assert "in all 54 Slate, 16 Oat" in shown
    setup = checked(folder, "Runner")["setup"]["warp_order"]
    assert (setup["repeats"], setup["over"]) == (9, 0)


def test_the_three_ways_to_balance_are_those_of_the_page() -> None:
    found = edges(order_from_text("6 slate, 2 oat", "warp"), 72)
    assert [(one.threads, one.yarn) for one in found.more] == [(6, "slate")]
    assert found.fewer == 2 and found.centred is not None
    assert f"`{text_of_order(found.centred)}` is the same repeat" in FLOWING
    assert edges(order_from_text("6 slate, 2 oat", "warp"), 78).balanced
    assert edges(order_from_text("6 slate, 2 oat", "warp"), 70).balanced
    assert edges(order_from_text("12 slate, 4 oat, 2 rust", "warp"), 72).only_alike


def test_the_picks_worked_by_hand_are_those_of_the_answer(folder: Path) -> None:
    assert "slate has 4 × 60 + 12 = 252 picks, oat 4 × 12 = 48" in FLOWING
    order = in_picks(order_from_text("20cm slate, 4cm oat", "weft"), 3.0)
    assert counted(order, 300) == {"slate": 252, "oat": 48}
    setup = checked(folder, "Bands")["setup"]
    assert setup["picks"] == 300
    assert yarns(setup["weft_order"]) == {"Slate": 252, "Oat": 48}
    assert (setup["weft_order"]["repeats"], setup["weft_order"]["over"]) == (4, 12)


def test_two_shuttles_come_to_what_the_page_says() -> None:
    for text, told in (("1 slate, 1 oat", (150, 150)), ("2 slate, 1 oat", (200, 100))):
        found = counted(order_from_text(text, "weft"), 300)
        assert (found["slate"], found["oat"]) == told
        assert f"`{text}` {'has 150 and 150' if told[0] == 150 else '200 and 100'}" in FLOWING
    assert shuttle_picks(300, 150) == (2, 1) and shuttle_picks(290, 200) == (3, 2)
    assert f"up to {MOST_SHUTTLE_PICKS} picks" in FLOWING


def test_the_limits_of_the_page_are_the_ones_there_are() -> None:
    assert f"one is {UNEQUAL} times as thick" in FLOWING
    assert f"by {LEAST_BREAK_CM:g} cm or more" in FLOWING
