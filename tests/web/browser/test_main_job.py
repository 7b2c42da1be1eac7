"""The main job with one thumb, in a real browser."""

import os
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from stashes import told
from web.browser.serving import PAGES, PHONE, browser, chromium, served
from web.screenshots import furnished

if chromium() is None and not os.environ.get("CI"):
    pytest.skip("there is no chromium here", allow_module_level=True)

from playwright.sync_api import Browser, Page


@pytest.fixture(scope="module")
def chrome() -> Iterator[Browser]:
    with browser() as running:
        yield running


def _figures(sentence: str) -> list[str]:
    return re.findall(r"\d+", sentence)


def _verdict(page: Page) -> str:
    return page.locator("p.verdict").first.inner_text()


def _main_job(page: Page, address: str, stash: Path) -> None:
    """Looms, a skein with evidence, a cloth, short; spun more, and it reaches."""
    page.goto(f"{address}/looms")
    for name, value in (("name", "Table"), ("width", "60")):
        page.fill(f"#looms-loom [name={name}]", value)
    page.select_option("#looms-loom [name=kind]", "table")
    page.click("#looms-loom button")
    page.fill("#looms-reed [name=name]", "R30")
    page.fill("#looms-reed [name=dents]", "30")
    page.click("#looms-reed button")
    page.get_by_text("R30 is added.").wait_for()

    _add(page, address, "Hill", mass="150", length="520")
    _add(page, address, "Gorse", mass="50", length="168")
    assert _figures(_verdict(page))[0] == "168"

    page.goto(f"{address}/cloths/new")
    for name, value in (("name", "Scarf"), ("wide", "25"), ("long", "150"), ("warp", "Hill"),
                        ("weft", "Gorse")):  # fmt: skip
        page.fill(f"#cloths-new [name={name}]", value)
    page.click("#cloths-new > button")
    page.get_by_text("Scarf is planned").wait_for()
    assert not _verdict(page).startswith("Reaches")

    page.get_by_role("link", name="What to spin").click()
    page.get_by_role("link", name="Add the new skein").first.click()
    assert page.locator("[name=cloth]").first.input_value() == "Scarf"
    page.fill("[name=name]", "Gorse 2")
    page.fill("[name=mass]", "50")
    page.get_by_text("More readings").click()
    page.fill("[name=length]", "168")
    page.select_option("[name=state]", "relaxed")
    page.click("#skeins-new .buttons button:not(.quiet)")
    page.get_by_text("Gorse 2 is stored.").wait_for()

    page.goto(f"{address}/cloth?name=Scarf")
    assert _verdict(page).startswith("Reaches:")
    check = told(stash, "cloth", "check", "Scarf")
    assert check["verdict"] == "reaches"
    have = check["weft"][0]["have_m"]
    assert f"have {have['p05']:.0f}-{have['p95']:.0f} m" in page.locator("main").inner_text()


def _add(page: Page, address: str, name: str, **boxes: str) -> None:
    page.goto(f"{address}/skeins/new")
    page.get_by_text("More readings").click()
    page.fill("[name=name]", name)
    page.select_option("[name=state]", "relaxed")
    for box, value in boxes.items():
        page.fill(f"[name={box}]", value)
    page.click("#skeins-new .buttons button:not(.quiet)")
    page.get_by_text(f"{name} is stored.").wait_for()


@pytest.mark.parametrize("script", [True, False], ids=["with JavaScript", "without JavaScript"])
def test_the_main_job_is_done_on_a_phone(chrome: Browser, tmp_path: Path, script: bool) -> None:
    stash = tmp_path / "stash.db"
    with served(stash) as address:
        context = chrome.new_context(viewport=PHONE, java_script_enabled=script, has_touch=True)
        page = context.new_page()
        asked: list[str] = []
        said: list[str] = []
        page.on("request", lambda request: asked.append(request.url))
        page.on("console", lambda message: said.append(message.text))
        _main_job(page, address, stash)
        context.close()
    assert not [url for url in asked if not url.startswith(address)]
    assert not said  # no policy is broken, no script complains


def test_the_estimate_moves_as_she_types(chrome: Browser, tmp_path: Path) -> None:
    with served(tmp_path / "stash.db") as address:
        context = chrome.new_context(viewport=PHONE)
        page = context.new_page()
        page.goto(f"{address}/skeins/new")
        page.select_option("[name=state]", "relaxed")
        page.type("[name=strands]", "112")
        page.type("[name=once_round]", "1.5")
        page.locator("#estimate").get_by_text("about 168 m").wait_for()
        page.type("[name=mass]", "71")
        page.locator("#estimate").get_by_text("237 m per 100 g").wait_for()
        context.close()
    assert not (tmp_path / "stash.db").exists()


def test_number_boxes_ask_for_the_keyboard_of_figures(chrome: Browser, tmp_path: Path) -> None:
    with served(tmp_path / "stash.db") as address:
        context = chrome.new_context(viewport=PHONE)
        page = context.new_page()
        page.goto(f"{address}/skeins/new")
        assert page.get_attribute("[name=mass]", "inputmode") == "decimal"
        assert page.get_attribute("[name=strands]", "inputmode") == "numeric"
        context.close()


AXE = Path(__file__).parents[3] / ".venv" / "node" / "node_modules" / "axe-core" / "axe.min.js"


@pytest.mark.skipif(not AXE.exists(), reason="axe-core is not installed here")
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_no_page_shuts_out_those_who_hear_it_or_see_little(
    chrome: Browser, tmp_path: Path, scheme: str
) -> None:
    stash = furnished(tmp_path / "stash.db")
    told: list[str] = []
    with served(stash) as address:
        context = chrome.new_context(viewport=PHONE, color_scheme=scheme, bypass_csp=True)
        page = context.new_page()
        for name, path in PAGES.items():
            page.goto(address + path)
            page.evaluate("document.querySelectorAll('details').forEach(d => d.open = true)")
            page.add_script_tag(path=str(AXE))
            found = page.evaluate("axe.run().then(r => r.violations)")
            told += [f"{name}: {one['id']} {one['nodes'][0]['html'][:160]}" for one in found]
        context.close()
    assert not told
