"""A form that was refused, in a real browser: what is seen first, and the button that goes back."""

import os
from collections.abc import Iterator

import pytest

from web.browser.serving import PHONE, browser, chromium, served
from web.screenshots import furnished

if chromium() is None and not os.environ.get("CI"):
    pytest.skip("there is no chromium here", allow_module_level=True)

from playwright.sync_api import Browser, Page


@pytest.fixture(scope="module")
def chrome() -> Iterator[Browser]:
    with browser() as running:
        yield running


@pytest.fixture(scope="module")
def address(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    with served(furnished(tmp_path_factory.mktemp("back") / "stash.db")) as at:
        yield at


@pytest.fixture(params=[True, False], ids=["with script", "without"])
def phone(chrome: Browser, request: pytest.FixtureRequest) -> Iterator[Page]:
    context = chrome.new_context(viewport=PHONE, java_script_enabled=request.param)
    page = context.new_page()
    page.set_default_timeout(15_000)
    yield page
    context.close()


def _refused_strike(page: Page, address: str) -> None:
    page.goto(f"{address}/skein?name=Driftwood")
    page.click("summary:has-text('A reading was a slip')")
    page.click("#skein-strike button")


def test_after_a_refusal_the_wrong_box_is_in_sight_and_has_the_cursor(
    phone: Page, address: str
) -> None:
    _refused_strike(phone, address)
    assert phone.locator(".refusal").first.inner_text().startswith("“Strike it out” was not done.")
    box = phone.locator("#skein-strike-reading")
    assert box.evaluate("one => one === document.activeElement")
    top = box.bounding_box()
    assert top is not None and 0 <= top["y"] < PHONE["height"]


def test_a_refusal_without_a_box_is_what_the_page_begins_with(phone: Page, address: str) -> None:
    phone.goto(f"{address}/skein?name=Gorse")
    phone.click("summary:has-text('Measure')")
    phone.click("#skein-measure button")
    told = phone.locator(".refusal")
    box = told.bounding_box()
    assert box is not None and box["y"] < PHONE["height"] / 2
    phone.click(".refusal a.go")
    form = phone.locator("#skein-measure").bounding_box()
    assert form is not None and 0 <= form["y"] < PHONE["height"]


def test_going_back_over_a_refused_form_finds_it_again(phone: Page, address: str) -> None:
    _refused_strike(phone, address)
    phone.goto(f"{address}/stash")
    phone.go_back()
    assert phone.locator(".refusal").count() == 1
    assert phone.locator("#skein-strike").count() == 1
    phone.go_back()
    assert phone.locator("h1").inner_text() == "Driftwood"
    assert phone.locator(".refusal").count() == 0


HALF = {"name": "Samphire", "mass": "71 g", "fibre": "wool 80, silk 20", "note": "from the fair"}


def test_a_form_left_half_filled_by_a_link_is_as_typed_on_the_way_back(
    phone: Page, address: str
) -> None:
    phone.goto(f"{address}/skeins/new")
    typed = _type_half(phone)
    phone.click("nav a:has-text('Looms')")
    phone.wait_for_url("**/looms")
    phone.go_back()
    assert _as_typed(phone) == typed


def test_back_from_a_refused_form_the_boxes_are_as_typed(phone: Page, address: str) -> None:
    phone.goto(f"{address}/skeins/new")
    typed = _type_half(phone) | {"name": "Gorse"}
    phone.fill("form[method=post] [name=name]", "Gorse")  # there is one of that name
    phone.click("form[method=post] button:not([formaction])")
    phone.wait_for_selector(".wrong-why")
    phone.go_back()
    assert phone.locator(".wrong-why").count() == 0
    assert _as_typed(phone) == typed


def test_a_form_found_again_that_is_out_of_date_is_refused_and_keeps_what_was_typed(
    phone: Page, address: str
) -> None:
    phone.goto(f"{address}/skein?name=Gorse")
    phone.fill("#skein-weigh [name=mass]", "69.5")
    other = phone.context.new_page()
    other.goto(f"{address}/skein?name=Gorse&tab=2")  # an address of its own in the browser's cache
    tug = "drifts" if "holds when tugged" in other.inner_text("main") else "holds"
    other.click("summary:has-text('Measure')")
    other.select_option("#skein-measure [name=tug]", tug)
    other.click("#skein-measure button")
    other.wait_for_selector(".told")
    phone.click("nav a:has-text('Looms')")
    phone.wait_for_url("**/looms")
    phone.go_back()
    assert phone.locator("#skein-weigh [name=mass]").input_value() == "69.5"
    phone.click("#skein-weigh button")
    phone.wait_for_selector(".refusal")
    assert "changed after this page was drawn" in phone.locator(".refusal").first.inner_text()
    assert phone.locator("#skein-weigh [name=mass]").input_value() == "69.5"


def _type_half(page: Page) -> dict[str, str]:
    page.evaluate("document.querySelectorAll('details').forEach(one => one.open = true)")
    for name, text in HALF.items():
        page.fill(f"form[method=post] [name={name}]", text)
    return dict(HALF)


def _as_typed(page: Page) -> dict[str, str]:
    return {name: page.locator(f"form[method=post] [name={name}]").input_value() for name in HALF}
