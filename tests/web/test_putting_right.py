"""What was typed wrong is put right on the page: what is said of a skein, for which side it was."""

import re
import shlex
from html import unescape

import pytest

from stashes import farspun, told
from web.reader import Reader, planned

ADD, CHANGE = "/skeins/new", "/skein/change"
COUNTED = {"mass": "60", "strands": "100", "once_round": "1.5", "state": "relaxed"}


def _shown(reader: Reader, name: str) -> dict[str, object]:
    shown: dict[str, object] = told(reader.path, "skein", "show", name)
    return shown


def test_what_is_said_of_a_skein_is_put_right_on_its_page(gorse: Reader) -> None:
    page = gorse.open("/skein", name="Gorse")
    boxes = page.form(CHANGE).boxes
    assert (boxes["name"], boxes["fibre"], boxes["plies"], boxes["note"]) == (
        "Gorse", "wool", "2", ""
    )  # fmt: skip
    typed = {"name": "Gorse one", "colour": "dusty yellow", "fibre": "wool 80, silk 20",
             "plies": "3", "spun": "2024-05", "place": "blue chest",
             "note": "for a hat"}  # fmt: skip
    after = gorse.send(page, CHANGE, **typed)
    assert after.status == 200 and "name=Gorse+one&" in after.address
    shown = _shown(gorse, "Gorse one")
    assert {name: shown[name] for name in typed} == typed | {"plies": 3}
    assert shown["mass_g"] == 71
    for text in typed.values():
        assert text in after.main
    # emptied, what may be is taken away again
    after = gorse.send(after, CHANGE, colour="", plies="", note="", spun="", place="")
    shown = _shown(gorse, "Gorse one")
    assert [shown[one] for one in ("colour", "plies", "note", "spun", "place")] == [None] * 5
    assert "colour taken away" in after.main


@pytest.mark.parametrize(
    ("typed", "box", "why"),
    [
        ({"fibre": "wool 80, silk 30"}, "fibre", ""),
        ({"name": ""}, "name", "It needs a name."),
        ({"plies": "x"}, "plies", "cannot be read"),
        ({"spun": "May"}, "spun", "it is not a date"),
        ({"name": "Oat"}, "name", "there is a skein called “Oat” already"),
    ],
)
def test_what_cannot_be_said_of_a_skein_is_refused_beside_its_box(
    gorse: Reader, typed: dict[str, str], box: str, why: str
) -> None:
    farspun(gorse.path, "skein", "add", "Oat", "--mass", "50g")
    before = _shown(gorse, "Gorse")
    answer = gorse.send(gorse.open("/skein", name="Gorse"), CHANGE, **typed)
    assert answer.status == 422
    assert answer.wrong(box) and why in answer.wrong(box)
    assert answer.form(CHANGE).boxes[box] == typed[box]
    assert _shown(gorse, "Gorse") == before


def test_nothing_put_right_stores_nothing_and_says_so(gorse: Reader) -> None:
    answer = gorse.send(gorse.open("/skein", name="Gorse"), CHANGE)
    assert answer.status == 422 and "Nothing to change was given." in answer.problem


def test_a_name_alone_is_asked_about_and_kept_only_where_it_is_meant(reader: Reader) -> None:
    asked = reader.send(reader.open(ADD), ADD, name="Entered", colour="grey")
    assert asked.status == 422
    assert asked.wrong("bare").startswith("Nothing is measured yet.")
    assert not reader.stash.exists
    kept = reader.send(asked, ADD, bare="yes")
    assert kept.status == 200 and "Entered is stored." in kept.main
    assert _shown(reader, "Entered")["colour"] == "grey"


@pytest.mark.parametrize(
    "typed",
    [{"mass": "50"}, {"wpi": "12"}, {"length": "100"}, {"label": "230 m/100g"},
     {"strands": "100", "once_round": "1.5"}, {"test_length": "10", "test_mass": "4.3"}],
)  # fmt: skip
def test_any_one_reading_is_enough(reader: Reader, typed: dict[str, str]) -> None:
    assert reader.send(reader.open(ADD), ADD, name="Oat", **typed).status == 200


def test_a_skein_just_added_is_taken_back_by_the_link_that_tells_of_it(reader: Reader) -> None:
    page = reader.send(reader.open(ADD), ADD, name="Oat", mass="50")
    assert '<a class="go" href="/undo">Take it back</a>' in page.text
    undone = reader.send(reader.open("/undo"), "/undo")
    assert "Undone:" in undone.main and "Take it back</a>" not in undone.text
    assert reader.open("/skein", name="Oat").status == 404


@pytest.fixture
def band(shelf: Reader) -> Reader:
    """A cloth short of both its yarns: Gorse the warp, Driftwood the weft."""
    planned(shelf, name="Band", warp="Gorse", weft="Driftwood", wide="45", long="300")
    return shelf


def test_what_is_to_spin_leads_to_a_form_for_its_own_side(band: Reader) -> None:
    band_change = "skein change Driftwood --colour 'grey of a beach'"
    assert farspun(band.path, *shlex.split(band_change)).exit_code == 0
    page = band.open("/to-spin", cloth="Band")
    links = [unescape(one) for one in re.findall(r'href="(/skeins/new[^"]*)"', page.text)]
    forms = [band.open(one) for one in links]
    boxes = [one.form(ADD).boxes for one in forms]
    assert [one["side"] for one in boxes] == ["warp", "weft"]
    assert [one["cloth"] for one in boxes] == ["Band", "Band"]
    weft = boxes[1]
    assert (weft["fibre"], weft["plies"], weft["colour"]) == (
        "wool 80, silk 20", "2", "grey of a beach"
    )  # fmt: skip
    assert "Meant: Driftwood, for the weft of Band" in forms[1].main
    assert "Meant: Gorse, for the warp of Band" in forms[0].main
    assert "m per 100 g" in forms[1].main


@pytest.mark.parametrize("side", ["warp", "weft"])
def test_the_answer_for_a_new_skein_speaks_of_the_side_it_was_spun_for(
    band: Reader, side: str
) -> None:
    page = band.send(band.open(ADD, cloth="Band", side=side), ADD, name="New", **COUNTED)
    other = "weft" if side == "warp" else "warp"
    fit = page.main[page.main.index("For Band:") :]
    assert f"in the {side}" in fit and f"in the {other}" not in fit.partition(" per 100 g")[0]


def test_a_side_that_asks_for_no_more_yarn_is_refused_in_words(band: Reader) -> None:
    for line in ("skein add Lot --mill --label 'Nm 8/2' --mass 900g",
                 "cloth change Band --warp Lot", "cloth wound Band",
                 "cloth on-loom Band"):  # fmt: skip
        done = farspun(band.path, *shlex.split(line))
        assert done.exit_code == 0, done.stderr
    page = band.send(band.open(ADD, cloth="Band", side="warp"), ADD, name="New", **COUNTED)
    assert page.status == 422
    assert "needs no more yarn for its warp" in page.wrong("side")
