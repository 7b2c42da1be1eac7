"""On a phone: what is pressed is large enough for a thumb, nothing scrolls sideways, and what is
typed shows what it comes to."""

import os
from collections.abc import Iterator
from typing import Any

import pytest

from web.browser.serving import PAGES, browser, chromium, served
from web.screenshots import furnished

if chromium() is None and not os.environ.get("CI"):
    pytest.skip("there is no chromium here", allow_module_level=True)

from playwright.sync_api import Page

NARROW = {"width": 360, "height": 740}
LEAST_PX = 24  # WCAG 2.2, success criterion 2.5.8 "Target Size (Minimum)", level AA
AIM_PX = 44  # WCAG 2.2, success criterion 2.5.5 "Target Size (Enhanced)", level AAA
ALONE = (
    "nav a, .back a, .go, .switch, .links a, footer a, .plain a, .rows th a, button, .button,"
    " summary, .check label, .also a, .rows td a, .work h3 a, .matches h3 a, dd > a, select,"
    " input:not([type=checkbox]):not([type=hidden])"
)
SMALL = """found => found
    .filter(one => one.checkVisibility() && !one.classList.contains('skip'))
    .map(one => [one.textContent.trim() || one.name, one.getBoundingClientRect()])
    .filter(([, box]) => box.width > 0)
    .map(([text, box]) => [text, box.height, box.width])"""


@pytest.fixture(scope="module")
def phone(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Page]:
    stash = furnished(tmp_path_factory.mktemp("thumbs") / "stash.db")
    with served(stash) as address, browser() as running:
        page = running.new_context(viewport=NARROW, base_url=address).new_page()
        page.set_default_timeout(15_000)
        yield page


def _sizes(page: Page, selector: str) -> list[Any]:
    found: list[Any] = page.locator(selector).evaluate_all(SMALL)
    return found


@pytest.mark.parametrize("path", PAGES.values(), ids=PAGES.keys())
def test_all_is_high_enough_for_a_thumb_and_nothing_scrolls_sideways(
    phone: Page, path: str
) -> None:
    phone.goto(path, wait_until="networkidle")
    assert phone.evaluate("document.documentElement.scrollWidth") <= NARROW["width"]
    phone.evaluate("document.querySelectorAll('details').forEach(d => d.open = true)")
    assert phone.evaluate("document.documentElement.scrollWidth") <= NARROW["width"]
    low = [one for one in _sizes(phone, ALONE) if one[1] < AIM_PX - 0.5]
    assert not low, low
    narrow = [one for one in _sizes(phone, ALONE) if one[2] < LEAST_PX]
    assert not narrow, narrow


def test_what_a_skein_comes_to_stays_in_sight_while_it_is_typed(phone: Page) -> None:
    phone.goto("/skeins/new", wait_until="networkidle")
    boxes = {"name": "Wheat", "mass": "71", "strands": "112", "once_round": "1.5"}
    for name, typed in boxes.items():
        phone.locator(f"#skeins-new [name={name}]").evaluate("one => one.focus()")
        phone.keyboard.type(typed)
        box = phone.locator("#estimate").bounding_box()
        assert box is not None and box["y"] + box["height"] <= NARROW["height"] + 1
        own = phone.locator(f"#skeins-new [name={name}]").bounding_box()
        assert own is not None and own["y"] + own["height"] <= box["y"] + 1, name
    phone.locator("#estimate", has_text="m per 100 g").wait_for()
    box = phone.locator("#estimate").bounding_box()
    assert box is not None and box["height"] < NARROW["height"] * 0.4
    assert "yd" in phone.locator("#estimate").inner_text()


def test_yards_counted_as_a_whole_are_typed_without_opening_anything(phone: Page) -> None:
    phone.goto("/skeins/new")
    assert phone.locator("#skeins-new [name=length]").is_visible()
    phone.select_option("#skeins-new [name=length_unit]", "yd")


def test_a_figure_and_its_unit_stand_on_one_line_of_a_row(phone: Page) -> None:
    phone.goto("/stash", wait_until="networkidle")
    cells = phone.locator("td[data-label=grist], td[data-label=wraps]")
    lines = cells.evaluate_all("""found => found.map(one => {
        const range = document.createRange();
        range.selectNodeContents(one);
        return new Set([...range.getClientRects()].map(box => Math.round(box.top))).size;
    })""")
    assert lines and set(lines) == {1}
    wide = cells.evaluate_all("found => found.map(one => one.getBoundingClientRect().right)")
    assert max(wide) <= NARROW["width"]
