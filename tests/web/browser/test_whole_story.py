"""One cloth from the first skein to the last wash, on a phone; the command line tells the same."""

import os
import re
from pathlib import Path

import pytest

from stashes import told
from web.browser.serving import PHONE, browser, chromium, served

if chromium() is None and not os.environ.get("CI"):
    pytest.skip("there is no chromium here", allow_module_level=True)

from playwright.sync_api import Page, expect


def _fill(page: Page, form: str, **boxes: str) -> None:
    for box, value in boxes.items():
        place = page.locator(f"{form} [name={box}]").first
        if not place.is_visible():
            place.locator("xpath=ancestor::details[not(@open)]").first.locator("summary").click()
        if place.evaluate("e => e.tagName") == "SELECT":
            place.select_option(value)
        else:
            place.fill(value)


def _send(page: Page, form: str) -> None:
    """Press the button that stores, and look that nothing runs over the edge."""
    button = page.locator(f"{form} button:not(.quiet)").last
    if not button.is_visible():
        button.locator("xpath=ancestor::details[not(@open)]").first.locator("summary").click()
    with page.expect_navigation():
        button.click()
    assert not page.locator(".problem, .wrong-why").count(), page.locator("main").inner_text()
    assert page.evaluate("document.documentElement.scrollWidth") <= PHONE["width"]


def _verdict(page: Page) -> str:
    return page.locator("p.verdict").first.inner_text()


def _odds(verdict: str) -> int:
    found = re.search(r"(\d+) in 100", verdict)
    assert found, verdict
    return int(found[1])


def _add(page: Page, address: str, name: str, mass: str, length: str) -> None:
    page.goto(f"{address}/skeins/new")
    _fill(page, "#skeins-new", name=name, mass=mass, length=length, state="relaxed")
    _send(page, "#skeins-new")


def _same_odds(page: Page, stash: Path) -> None:
    odds = told(stash, "cloth", "check", "Scarf")["odds"]["yarn"]
    assert abs(_odds(_verdict(page)) - 100 * odds) <= 1.0


def _stage(page: Page, stage: str, **boxes: str) -> None:
    form = f"#at-the-loom-{stage}"
    _fill(page, form, **boxes)
    _send(page, form)


def _planned_short_and_spun_for(page: Page, address: str, stash: Path) -> None:
    page.goto(f"{address}/looms")
    _fill(page, "#looms-loom", name="Table", kind="table", width="60")
    _send(page, "#looms-loom")
    _fill(page, "#looms-reed", name="R30", dents="30")
    _send(page, "#looms-reed")
    _add(page, address, "Hill", "150", "520")
    _add(page, address, "Gorse", "50", "168")
    page.goto(f"{address}/cloths/new")
    _fill(page, "#cloths-new", name="Scarf", wide="25", long="150", warp="Hill", weft="Gorse")
    _send(page, "#cloths-new")
    assert not _verdict(page).startswith("Reaches")
    short = told(stash, "cloth", "check", "Scarf")
    assert short["verdict"] != "reaches"

    page.get_by_role("link", name="What to spin").click()
    page.get_by_role("link", name="Add the new skein").first.click()
    assert page.locator("[name=cloth]").first.input_value() == "Scarf"
    _fill(page, "#skeins-new", name="Gorse 2", mass="50", length="168", state="relaxed")
    _send(page, "#skeins-new")
    page.goto(f"{address}/cloth?name=Scarf")
    assert _verdict(page).startswith("Reaches:")
    assert told(stash, "cloth", "check", "Scarf")["verdict"] == "reaches"


def _card(page: Page, address: str) -> None:
    href = page.get_by_role("link", name="Print the card").get_attribute("href")
    answer = page.context.request.get(f"{address}{href}")
    assert answer.status == 200 and answer.body().startswith(b"%PDF-")
    assert answer.headers["content-type"] == "application/pdf"
    page.get_by_text("How it looks").click()
    face = page.locator(".face img")
    face.scroll_into_view_if_needed()
    expect(face).to_have_js_property("complete", True)
    assert face.evaluate("e => e.naturalWidth") > 100
    assert page.evaluate("document.documentElement.scrollWidth") <= PHONE["width"]


def _weighed(page: Page, stash: Path) -> None:
    """Half-way: the page says what the command says."""
    end_cm = told(stash, "cloth", "weigh", "Scarf")["end_cm"]
    skeins = [page.locator(f"[name=ball_{at}_of]").get_attribute("value") for at in range(2)]
    assert set(skeins) == {"Gorse", "Gorse 2"}
    balls = {"Gorse": "30", "Gorse 2": "35"}
    _stage(page, "weigh", woven=f"{end_cm / 2:.0f}",
           **{f"ball_{at}": balls[name or ""] for at, name in enumerate(skeins)})  # fmt: skip
    answer = told(stash, "cloth", "weigh", "Scarf")
    for yarn in answer["yarns"]:
        said = page.locator("p.verdict").all_inner_texts()
        own = next(one for one in said if one.startswith(" + ".join(yarn["skeins"])))
        assert "lasted" in own or abs(_odds(own) - 100 * yarn["odds"]) <= 1.0
        main = page.locator("main").inner_text()
        assert f"{yarn['rate_g_per_cm']['mean']:.2f} g for each cm of tape" in main


@pytest.mark.parametrize("script", [True, False], ids=["with JavaScript", "without JavaScript"])
def test_a_cloth_is_made_from_first_to_last_on_a_phone(tmp_path: Path, script: bool) -> None:
    stash = tmp_path / "stash.db"
    with served(stash) as address, browser() as chrome:
        context = chrome.new_context(viewport=PHONE, java_script_enabled=script, has_touch=True)
        page = context.new_page()
        asked: list[str] = []
        said: list[str] = []
        page.on("request", lambda request: asked.append(request.url))
        page.on("console", lambda message: said.append(message.text))
        _planned_short_and_spun_for(page, address, stash)
        _same_odds(page, stash)
        _card(page, address)
        page.get_by_role("link", name="At the loom").last.click()
        _stage(page, "wound")
        _stage(page, "on-loom")
        _weighed(page, stash)
        tape_cm = told(stash, "cloth", "check", "Scarf")["setup"]["tape_length_cm"]
        _stage(page, "off-loom", tape=f"{tape_cm:.0f}", thrums="45", off_wide="27",
               off_long="160")  # fmt: skip
        _stage(page, "finished", washed_wide="25", washed_long="149", mass="145")
        assert "finished" in page.locator("h1").inner_text()

        shown = told(stash, "cloth", "show", "Scarf")
        assert shown["status"] == "finished"
        cloth = shown["measured"]["cloth"]
        assert (cloth["washed_width_cm"], cloth["washed_length_cm"]) == (25, 149)
        for name in ("Hill", "Gorse", "Gorse 2"):
            page.goto(f"{address}/skein?name={name}")
            left = told(stash, "skein", "show", name)["mass_g"]
            main = page.locator("main").inner_text()
            assert "nothing" in main if not left else f"{left:.0f} g" in main, (name, left)
        page.goto(f"{address}/cloth/history?name=Scarf")
        rows = page.locator("tbody tr").count()
        assert rows == len(told(stash, "cloth", "history", "Scarf"))
        page.goto(f"{address}/lessons")
        assert "from 1 cloth" in page.locator("main").inner_text()
        context.close()
    assert not [url for url in asked if not url.startswith(address)]
    assert not said  # no policy is broken, no script complains
