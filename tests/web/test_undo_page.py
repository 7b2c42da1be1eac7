"""Taking back from a page: it says what first, and takes back nothing else."""

from stashes import farspun, told
from web.reader import Reader

UNDO = "/undo"


def test_it_is_said_what_would_be_taken_back_before_it_is(gorse: Reader) -> None:
    farspun(gorse.path, "skein", "weigh", "Gorse", "60g")
    page = gorse.open(UNDO)
    said = page.verdict
    assert said.startswith("Next: Skein weighed: Gorse: 60 g (") and said.endswith(").")
    assert "Gorse: 60 g" in farspun(gorse.path, "undo", "--dry-run").stdout
    assert told(gorse.path, "skein", "show", "Gorse")["mass_g"] == 60
    page = gorse.send(page, UNDO)
    assert page.status == 200 and said.replace("Next:", "Undone:") in page.said
    assert told(gorse.path, "skein", "show", "Gorse")["mass_g"] == 71
    assert "Skein added" in page.verdict


def test_sent_twice_one_thing_is_taken_back(gorse: Reader) -> None:
    farspun(gorse.path, "skein", "weigh", "Gorse", "60g")
    boxes = gorse.open(UNDO).form(UNDO).boxes
    assert gorse.post(UNDO, boxes).address == gorse.post(UNDO, boxes).address
    assert told(gorse.path, "skein", "show", "Gorse")["mass_g"] == 71


def test_what_was_stored_meanwhile_is_not_taken_back_unseen(gorse: Reader) -> None:
    page = gorse.open(UNDO)
    farspun(gorse.path, "skein", "weigh", "Gorse", "60g")
    stale = gorse.send(page, UNDO)
    assert stale.status == 409 and "nothing was taken back" in stale.problem
    assert "Skein weighed" in stale.verdict
    assert told(gorse.path, "skein", "show", "Gorse")["mass_g"] == 60
    assert gorse.send(stale, UNDO).status == 200


def test_with_nothing_done_nothing_is_offered(reader: Reader) -> None:
    page = reader.open(UNDO)
    assert page.verdict == "There is nothing to undo." and not page.forms
    assert not reader.stash.exists


def test_every_page_leads_there(gorse: Reader) -> None:
    for path in ("/stash", "/skein?name=Gorse", "/cloths"):
        assert 'href="/undo"' in gorse.open(path).text
