"""Sharing out as a page: the figures of the command, and keeping what was looked at alone."""

import re
import sqlite3
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import pytest

from farspun.services import share_shown
from farspun.services.share_shown import shared_out
from farspun.units import say_length, say_length_imperial, say_mass, say_odds
from stashes import farspun, told
from web.reader import Page, Reader

SHARE = "/share-out"
SETT = ("--sett", "3/cm", "--picks", "3/cm")


@pytest.fixture(autouse=True)
def _anew() -> Iterator[None]:
    """Nothing is kept from test to test."""
    share_shown._KEPT.clear()
    yield
    share_shown._KEPT.clear()


@pytest.fixture
def torn(reader: Reader) -> Reader:
    """Two cloths of the same yarn, of which the one planned later stands first."""
    for name, length in (("Slate", "420m"), ("Oat", "320m"), ("Heather", "420m")):
        farspun(reader.path, "skein", "add", name, "--mass", "110g", "--length", length, "--state",
                "relaxed", "--plies", "2")  # fmt: skip
    _plan(reader, "Shawl", "3", "--warp", "Slate", "--weft", "Oat")
    _plan(reader, "Stole", "2", "--warp", "Slate", "--warp", "Heather", "--weft", "Oat")
    return reader


def _plan(reader: Reader, name: str, priority: str, *yarns: str, size: str = "30cmx120cm") -> None:
    done = farspun(reader.path, "cloth", "plan", name, "--size", size, *SETT, "--priority",
                   priority, *yarns)  # fmt: skip
    assert done.exit_code == 0, done.stderr


def claims(reader: Reader) -> list[tuple[int, int, str, int]]:
    with closing(sqlite3.connect(reader.path)) as connection:
        asked = "SELECT cloth_id, skein_id, side, mass_mg FROM claim ORDER BY 1, 2, 3"
        return connection.execute(asked).fetchall()


def kept(reader: Reader) -> int:
    """How often sharing out was stored."""
    with closing(sqlite3.connect(reader.path)) as connection:
        asked = "SELECT count(*) FROM action WHERE command = 'share-out'"
        return int(connection.execute(asked).fetchone()[0])


def keep(reader: Reader, page: Page, **more: str) -> Page:
    return reader.send(page, SHARE, **{"sure": "yes"} | more)


def test_the_page_tells_what_the_command_tells(torn: Reader) -> None:
    page, found = torn.open(SHARE), told(torn.path, "share-out")
    assert page.status == 200
    assert f"{say_length(found['bound_m'])} ({say_length_imperial(found['bound_m'])})" in page.said
    for one in found["cloths"]:
        asked = f"(asked 95, priority {one['priority']})"
        assert f"{one['verdict'].capitalize()}: {say_odds(one['odds'], 0.95)} {asked}" in page.said
        for need in one["needs"]:
            assert f"{need['yarn']} needs about {say_length(need['need_m'])}" in page.said
            for part in need["given"]:
                row = f"{part['skein']} {need['side']} {say_length(part['length_m'])}"
                assert f"{row} {say_length_imperial(part['length_m'])}" in page.said
                assert f" {say_mass(part['mass_g'])} " in page.said
    assert found["changes"]
    for change in found["changes"]:
        today, then = (say_mass(one) if one else "nothing"
                       for one in (change["now_g"], change["then_g"]))  # fmt: skip
        row = f"{change['cloth']} {change['side']} {change['skein']} {today} {then}"
        assert row in page.said


def test_every_figure_of_the_screen_stands_on_the_page(torn: Reader) -> None:
    page = torn.open(SHARE)
    lines = farspun(torn.path, "share-out").stdout.split("Next  ")[0]
    words = [word.strip(".;,():") for word in lines.split()]
    skipped = {"Grams", "Ounces", "Metres", "Yards", "Changes", "Least", "Futile"}
    for word in set(words) - skipped:
        assert word in page.said, word


def test_who_reaches_stands_first(torn: Reader) -> None:
    found = told(torn.path, "share-out")
    reach = [one["cloth"] for one in found["cloths"] if one["verdict"] == "reaches"]
    short = [one["cloth"] for one in found["cloths"] if one["verdict"] != "reaches"]
    assert reach == ["Stole"] and short == ["Shawl"]
    said = "Shared out so, Stole would reach; Shawl would not."
    assert torn.open(SHARE).verdict == said


def test_looking_changes_nothing_and_cloths_lead_there(torn: Reader) -> None:
    before = claims(torn)
    assert 'href="/share-out"' in torn.open("/cloths").text
    torn.open(SHARE)
    assert claims(torn) == before and kept(torn) == 0


def test_keeping_it_is_keeping_it_by_the_command(torn: Reader, tmp_path: Path) -> None:
    import shutil

    other = tmp_path / "other.db"
    shutil.copy(torn.path, other)
    assert farspun(other, "share-out", "--keep", "--yes").exit_code == 0
    page = keep(torn, torn.open(SHARE))
    assert page.status == 200 and "The cloths claim it so now." in page.said
    assert claims(torn) == claims(Reader(other))
    assert "None: it is what the cloths claim today." in page.said
    assert not [one for one in page.forms if one.method == "post"]


def test_what_is_let_go_of_has_to_be_agreed_to(torn: Reader) -> None:
    page = torn.open(SHARE)
    losing = re.search(r"Loses: (.*?)\. Yes, let go of it", page.said)
    assert losing and re.search(r"Shawl \d+ g of Oat", losing[1])
    refused = torn.send(page, SHARE)
    assert refused.status == 422 and losing[1] in refused.wrong("sure")
    assert kept(torn) == 0
    assert keep(torn, refused).status == 200
    assert kept(torn) == 1


def test_pressed_twice_it_is_stored_once(torn: Reader) -> None:
    boxes = torn.open(SHARE).form(SHARE).boxes | {"sure": "yes"}
    first, second = torn.post(SHARE, boxes), torn.post(SHARE, boxes)
    assert first.status == second.status == 200 and first.address == second.address
    assert kept(torn) == 1


def test_what_changed_since_she_looked_is_told_and_nothing_is_stored(torn: Reader) -> None:
    page = torn.open(SHARE)
    farspun(torn.path, "skein", "weigh", "Oat", "90g")
    before = claims(torn)
    stale = keep(torn, page)
    assert stale.status == 409
    assert "The stash changed after this page was drawn" in stale.problem
    assert "skein weigh, Oat: 90 g" in stale.problem and "Nothing was stored" in stale.problem
    assert claims(torn) == before and kept(torn) == 0
    # the page that says so shows it as it is now, and that can be kept
    found = told(torn.path, "share-out")
    assert f"{say_length(found['bound_m'])}" in stale.said
    assert keep(torn, stale).status == 200 and kept(torn) == 1


def test_not_ticked_and_stale_the_change_is_told_first(torn: Reader) -> None:
    page = torn.open(SHARE)
    farspun(torn.path, "skein", "weigh", "Oat", "90g")
    assert torn.send(page, SHARE).status == 409


def test_other_shares_than_those_shown_are_not_kept(torn: Reader) -> None:
    page = torn.open(SHARE)
    other = keep(torn, page, shown="0" * 16)
    assert other.status == 409 and "something else than this page showed" in other.problem
    assert kept(torn) == 0


def test_other_odds_are_shared_out_and_kept_as_shown(torn: Reader) -> None:
    page = torn.open(SHARE, promise="70")
    found = told(torn.path, "share-out", "--promise", "70%")
    assert "(asked 70, priority 2)" in page.said
    for change in found["changes"]:
        assert f"{say_mass(change['then_g']) if change['then_g'] else 'nothing'}" in page.said
    assert keep(torn, page).status == 200
    mg = {one[:3]: one[3] for one in claims(torn)}
    given = shared_out(torn.stash, 0.7).claims_mg
    assert mg == {key: value for key, value in given.items() if value}


@pytest.mark.parametrize("typed", ["20", "x", "100", "-5", "1e400"])
def test_odds_that_cannot_be_are_told_beside_the_box(torn: Reader, typed: str) -> None:
    page = torn.open(SHARE, promise=typed)
    assert page.status == 422 and "cannot be" in page.wrong("promise")
    form = next(one for one in page.forms if one.method == "get")
    assert form.boxes["promise"] == typed
    assert "There is nothing to share out" not in page.said


def test_a_form_of_an_earlier_start_stores_nothing(torn: Reader) -> None:
    boxes = torn.open(SHARE).form(SHARE).boxes | {"sure": "yes"}
    answer = Reader(torn.path).post(SHARE, boxes)
    assert answer.status == 409 and "from before farspun was started last" in answer.problem
    assert kept(torn) == 0


def test_it_is_worked_out_once_for_a_state_of_the_stash(
    torn: Reader, monkeypatch: pytest.MonkeyPatch
) -> None:
    page = torn.open(SHARE)
    monkeypatch.setattr(share_shown, "share_out", lambda *_: pytest.fail("worked out again"))
    assert torn.open(SHARE).verdict == page.verdict
    monkeypatch.undo()
    farspun(torn.path, "skein", "weigh", "Oat", "80g")
    assert torn.open(SHARE).main != page.main


def test_without_a_planned_cloth_there_is_nothing_to_share(reader: Reader) -> None:
    page = reader.open(SHARE)
    assert page.status == 200 and page.verdict.startswith("There is nothing to share out")
    assert 'href="/share-out"' not in reader.open("/cloths").text
    assert reader.post(SHARE, {"sure": "yes", "token": "1.1.x"}).status == 409


def test_no_command_is_named_and_names_are_text(torn: Reader) -> None:
    odd = '<b>Oat & "Co"</b>'
    farspun(torn.path, "skein", "add", odd, "--mass", "10g", "--length", "40m", "--plies", "2")
    _plan(torn, "<i>Cloth</i>", "4", "--warp", "Heather", "--weft", odd)
    _plan(torn, "Vain", "1", "--warp", "Slate", "--weft", "Oat", size="60cmx300cm")
    page = torn.open(SHARE)
    assert page.status == 200
    assert odd in page.said and "<i>Cloth</i>" in page.said
    assert "<b>Oat" not in page.text and "<i>Cloth" not in page.text
    assert "Without Vain" in page.said
    assert not re.search(r"farspun [a-z]+ |--[a-z]", page.main), page.main
