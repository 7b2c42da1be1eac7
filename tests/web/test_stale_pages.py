"""A page drawn before something else was stored: every form about a thing is refused in words.

Every address that takes a form is listed here, so that a new one has to say which kind it is.
"""

import shlex
from dataclasses import dataclass

import pytest
from fastapi.routing import APIRoute

from farspun.web import pages_in_order
from farspun.web.drawing import Desk, environment
from farspun.web.once import Once
from stashes import farspun
from web.reader import Page, Reader, planned

# what begins something new, or asks about the newest of all by itself, is about no one thing
NO_THING = {"/skeins/new", "/cloths/new", "/undo"}


@dataclass(frozen=True)
class Stale:
    """A form on a page, filled in so that it would be stored; what is done to bring it about."""

    action: str
    page: str
    typed: dict[str, str]
    before: tuple[str, ...] = ()


WOUND = ("cloth wound Scarf",)
ON = (*WOUND, "cloth on-loom Scarf --picks 5/cm")
OFF = (*ON, "cloth off-loom Scarf")
CLOTH = [
    Stale("/cloth/change", "/cloth?name=Scarf", {"take_up": "12"}),
    Stale("/cloth/claim", "/cloth?name=Scarf", {}),
    Stale("/cloth/give-up", "/cloth?name=Scarf", {"sure": "yes"}),
    Stale("/at-the-loom/wound", "/at-the-loom?cloth=Scarf", {}),
    Stale("/at-the-loom/sample", "/at-the-loom?cloth=Scarf",
          {"reed": "12", "off_wide": "11.2", "off_long": "10.4"}),
    Stale("/at-the-loom/on-loom", "/at-the-loom?cloth=Scarf", {}, WOUND),
    Stale("/at-the-loom/weigh", "/at-the-loom?cloth=Scarf", {"woven": "20", "ball_0": "90"}, ON),
    Stale("/at-the-loom/off-loom", "/at-the-loom?cloth=Scarf", {}, ON),
    Stale("/at-the-loom/finished", "/at-the-loom?cloth=Scarf", {}, OFF),
]  # fmt: skip
SKEIN = [
    Stale("/skein/weigh", "/skein?name=Driftwood", {"mass": "118"}),
    Stale("/skein/measure", "/skein?name=Driftwood", {"wpi": "14"}),
    Stale("/skein/take", "/skein?name=Driftwood", {"amount": "1", "cloth": "Scarf"}),
    Stale("/skein/close", "/skein?name=Driftwood", {"because": "lost", "sure": "yes"}),
    Stale("/skein/strike", "/skein?name=Driftwood", {"reading": "15 wpi"}),
    Stale("/skein/change", "/skein?name=Driftwood", {"place": "attic"}),
]
LOOMS = [
    Stale("/looms/loom", "/looms", {"name": "Attic", "kind": "floor", "width": "90"}),
    Stale("/looms/reed", "/looms", {"name": "R60", "dents": "60"}),
]
REOPEN = Stale("/skein/reopen", "/skein?name=Gorse", {}, ("skein close Gorse --because lost",))
ELSEWHERE = {"/share-out"}  # about all of the stash: test_share_page.py
# one form for each loom and reed: here of the heddle that no cloth uses
EACH_LOOM = [
    Stale("/looms/reed/change", "/looms", {"name": "Finer heddle"}),
    Stale("/looms/loom/change", "/looms", {"name": "Sill loom"}),
    Stale("/looms/reed/remove", "/looms", {}),
    Stale("/looms/loom/remove", "/looms", {}),
]
LESSONS = [Stale("/lessons/confirm", "/lessons", {})]
KINDS = {
    "/at-the-loom/{stage}": {one.action for one in CLOTH if one.action.startswith("/at-the")},
    "/skein/{what}": {one.action for one in (*SKEIN, REOPEN)},
    "/looms/{kind}/{what}": {one.action for one in EACH_LOOM},
}
# what changes the scarf while a page of it is open, in any of its stages
ANY_STAGE = (
    "skein weigh Driftwood 110g",
    "skein strike Driftwood 15wpi",
    "skein change Driftwood --fibre alpaca",
    "skein measure Cone --wpi 20wpi",
)
WHILE_PLANNED = (
    "cloth change Scarf --take-up 9%",
    "cloth change Scarf --let-off 2%",
    "cloth change Scarf --draw-in 6%",
    "cloth change Scarf --waste 55cm",
    "cloth change Scarf --shrink-length 7%",
    "cloth change Scarf --weft-take-up 6%",
    "cloth change Scarf --beat 3%",
    "cloth change Scarf --priority 4",
    "cloth change Scarf --weft Gorse",
    "cloth claim Scarf",
    "cloth wound Scarf",
)


def _set_out(shelf: Reader, one: Stale) -> Page:
    planned(shelf)
    for line in one.before:
        done = farspun(shelf.path, *shlex.split(line))
        assert done.exit_code == 0, done.stderr
    return shelf.open(one.page)


def _refused(shelf: Reader, one: Stale, page: Page, meanwhile: str) -> None:
    done = farspun(shelf.path, *shlex.split(meanwhile))
    assert done.exit_code == 0, done.stderr
    before = farspun(shelf.path, "export").stdout
    boxes = page.form(one.action).boxes | one.typed
    stale = shelf.post(one.action, boxes)
    assert stale.status == 409, (meanwhile, stale.main[:400])
    assert "changed after this page was drawn" in stale.said
    assert " ".join(shlex.split(meanwhile)[:2]) in stale.said
    assert farspun(shelf.path, "export").stdout == before


def _id(one: Stale) -> str:
    return one.action


@pytest.mark.parametrize("one", CLOTH, ids=_id)
def test_no_form_of_a_cloth_goes_through_when_it_or_its_yarn_changed_meanwhile(
    shelf: Reader, one: Stale
) -> None:
    page = _set_out(shelf, one)
    for meanwhile in ANY_STAGE:
        _refused(shelf, one, page, meanwhile)
        page = shelf.open(one.page)
    assert shelf.send(page, one.action, **one.typed).status == 200


# every change against one form, and every other form against some: they are checked alike
MEANWHILE = [(CLOTH[0], meanwhile) for meanwhile in WHILE_PLANNED] + [
    (one, WHILE_PLANNED[3 * number % len(WHILE_PLANNED)])
    for number, one in enumerate(CLOTH[1:5], start=1)
]


@pytest.mark.parametrize(("one", "meanwhile"), MEANWHILE)
def test_no_form_of_a_planned_cloth_goes_through_whatever_was_kept_in_another_tab(
    shelf: Reader, one: Stale, meanwhile: str
) -> None:
    _refused(shelf, one, _set_out(shelf, one), meanwhile)


def test_what_was_kept_and_undone_or_put_back_meanwhile_is_told(shelf: Reader) -> None:
    planned(shelf)
    farspun(shelf.path, "cloth", "change", "Scarf", "--take-up", "9%")
    for meanwhile in ("undo", "cloth change Scarf --take-up 8%",
                      "cloth change Scarf --default take-up"):  # fmt: skip
        _refused(shelf, CLOTH[0], shelf.open("/cloth", name="Scarf"), meanwhile)


def test_a_reading_or_plan_of_another_cloth_is_no_hindrance(shelf: Reader) -> None:
    page = planned(shelf)
    planned(shelf, name="Cushion", warp="Gorse", weft="Gorse", wide="20", long="20")
    farspun(shelf.path, "skein", "weigh", "Gorse", "70g")
    farspun(shelf.path, "cloth", "change", "Cushion", "--take-up", "9%")
    assert shelf.send(page, "/cloth/change", take_up="12").status == 200


@pytest.mark.parametrize("one", SKEIN, ids=_id)
def test_no_form_of_a_skein_goes_through_when_it_changed_meanwhile(
    shelf: Reader, one: Stale
) -> None:
    page = _set_out(shelf, one)
    for meanwhile in ("skein weigh Driftwood 117g", "skein change Driftwood --place chest",
                      "skein measure Driftwood --wpi 16wpi", "cloth claim Scarf",
                      "skein take Driftwood 1g --for Scarf"):  # fmt: skip
        _refused(shelf, one, page, meanwhile)
        page = shelf.open(one.page)
    assert shelf.send(page, one.action, **one.typed).status == 200


@pytest.mark.parametrize("one", LOOMS, ids=_id)
def test_no_form_of_the_looms_goes_through_when_they_changed_meanwhile(
    shelf: Reader, one: Stale
) -> None:
    page = _set_out(shelf, one)
    for meanwhile in ("reed add R50 50/10cm", "loom add Kitchen --kind table --width 40cm"):
        _refused(shelf, one, page, meanwhile)
        page = shelf.open(one.page)
    assert shelf.send(page, one.action, **one.typed).status == 200


def test_a_skein_is_not_opened_again_when_that_was_done_meanwhile(shelf: Reader) -> None:
    _refused(shelf, REOPEN, _set_out(shelf, REOPEN), "skein reopen Gorse")


@pytest.mark.parametrize("one", EACH_LOOM, ids=_id)
def test_no_loom_is_corrected_or_removed_when_they_changed_meanwhile(
    shelf: Reader, one: Stale
) -> None:
    for line in ("reed add Spare 60/10cm", "loom add Attic --kind table --width 40cm"):
        assert farspun(shelf.path, *shlex.split(line)).exit_code == 0
    page = shelf.open(one.page)
    _refused(shelf, one, page, "reed add R50 50/10cm")
    page = shelf.open(one.page)
    form = [it for it in page.forms if it.action == one.action][-1]
    assert shelf.post(one.action, form.boxes | one.typed).status == 200


def test_a_record_is_not_confirmed_when_its_cloth_changed_meanwhile(shelf: Reader) -> None:
    planned(shelf)
    # 45 % off the loom is far beyond any shrinkage of wool: it is asked about
    odd = "cloth sample Scarf --reed 12cm --off 11.2cmx10.4cm --washed 6.2cmx9.2cm"
    assert farspun(shelf.path, *shlex.split(odd)).exit_code == 0
    page = shelf.open("/lessons")
    for meanwhile in ("skein weigh Driftwood 117g", "cloth claim Scarf"):
        _refused(shelf, LESSONS[0], page, meanwhile)
        page = shelf.open("/lessons")
    assert shelf.send(page, "/lessons/confirm").status == 200


def test_every_address_that_takes_a_form_is_tried_here(shelf: Reader) -> None:
    tried = {one.action for one in (*CLOTH, *SKEIN, REOPEN, *LOOMS, *EACH_LOOM, *LESSONS)}
    desk = Desk(shelf.stash, Once(), environment())
    routes = [one for group in pages_in_order() for one in group(desk).routes]
    posts = {
        one.path for one in routes if isinstance(one, APIRoute) and "POST" in (one.methods or ())
    }
    found = {one for path in posts for one in KINDS.get(path, {path})}
    assert found == tried | NO_THING | ELSEWHERE
