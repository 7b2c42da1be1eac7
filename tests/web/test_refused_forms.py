"""A form that was refused: the page begins with which and why, all at once, and leads to it."""

import re
import shlex

import pytest

from stashes import farspun, told
from web.reader import Page, Reader, planned

ADD, CHANGE, STRIKE = "/skeins/new", "/cloth/change", "/skein/strike"


def _beginning(page: Page) -> str:
    """What stands before the heading of the page."""
    before = page.text.partition('<main id="main">')[2].partition("<h1")[0]
    return " ".join(re.sub(r"<[^>]+>", "", before).split())


def _anchors(page: Page) -> list[str]:
    return re.findall(r'href="#([^"]+)"', page.text.partition("<main")[2].partition("<h1")[0])


@pytest.mark.parametrize(
    ("page", "action", "typed", "names", "why"),
    [
        ("/skein?name=Driftwood", "/skein/strike", {}, "Strike it out", "Choose the reading"),
        ("/skein?name=Driftwood", "/skein/take", {"amount": "x"}, "Take it", "cannot be read"),
        ("/skein?name=Driftwood", "/skein/take", {"amount": "900"}, "Take it", "900 g"),
        ("/skein?name=Driftwood", "/skein/measure", {}, "Keep these readings", "Nothing was"),
        ("/skein?name=Driftwood", "/skein/close", {}, "Close it", "Choose why it goes."),
        ("/skein?name=Driftwood", "/skein/weigh", {}, "Weigh what is left", "what the scale shows"),
        ("/cloth?name=Scarf", "/cloth/change", {"take_up": "130"}, "Keep it so", "cannot be"),
        ("/cloth?name=Scarf", "/cloth/change", {"warp": "Cona"}, "Keep it so", "“Cone”?"),
        ("/cloth?name=Scarf", "/cloth/give-up", {}, "Give it up", "Tick this if you mean it"),
        ("/at-the-loom?cloth=Scarf", "/at-the-loom/sample", {"off_wide": "11"},
         "Write the sample down", "goes with this one"),
        ("/at-the-loom?cloth=Scarf", "/at-the-loom/wound", {"ends": "no"}, "The warp is wound",
         "cannot be read"),
        ("/looms", "/looms/loom", {}, "Add the loom", "Choose what kind of loom it is."),
        ("/looms", "/looms/reed", {"name": "R"}, "Add it", "Type what is stamped on it."),
    ],
)  # fmt: skip
def test_the_page_begins_with_the_form_that_was_refused_and_leads_to_it(
    shelf: Reader, page: str, action: str, typed: dict[str, str], names: str, why: str
) -> None:
    planned(shelf)
    answer = shelf.send(shelf.open(page), action, **typed)
    assert answer.status in (404, 422)
    assert _beginning(answer).startswith(f"“{names}” was not done."), _beginning(answer)
    assert why in _beginning(answer)
    anchors = _anchors(answer)
    assert anchors and all(f'id="{one}"' in answer.text for one in anchors)
    at = answer.text.index(f'id="{anchors[0]}"')
    before = answer.text[:at]
    if before.count("<details") > before.count("</details>"):  # it stands in one: it is open
        assert re.match(r"<details[^>]* open", before[before.rindex("<details") :])


def test_the_first_wrong_box_is_where_typing_goes_on_and_no_other(shelf: Reader) -> None:
    planned(shelf)
    page = shelf.open("/cloth", name="Scarf")
    answer = shelf.send(page, CHANGE, beat="x", let_off="x", sett="x")
    found = re.findall(r'id="([^"]+)"[^>]* autofocus', answer.text)
    assert found == ["cloth-change-sett"]
    assert "autofocus" not in page.text


def test_a_stale_page_says_so_where_it_begins(shelf: Reader) -> None:
    page = planned(shelf)
    farspun(shelf.path, "cloth", "change", "Scarf", "--take-up", "9%")
    answer = shelf.send(page, CHANGE, take_up="12")
    assert answer.status == 409
    assert _beginning(answer).startswith("“Keep it so” was not done. “Scarf” changed after")
    assert _anchors(answer) == ["cloth-change"]


def test_what_was_only_tried_is_not_called_refused(shelf: Reader) -> None:
    planned(shelf)
    page = shelf.open("/cloth", name="Scarf", take_up="130")
    assert page.status == 200
    assert _beginning(page).startswith("What you tried cannot be worked out. Take-up: It")


def test_a_form_that_went_through_begins_with_no_refusal(shelf: Reader) -> None:
    page = shelf.send(shelf.open("/skein", name="Gorse"), "/skein/take", amount="5")
    assert 'class="refusal"' not in page.text


def test_all_that_is_wrong_is_told_at_once_each_beside_its_box(reader: Reader) -> None:
    typed = {"mass": "abc", "fibre": "wool 80, silk 30", "strands": "100", "plies": "5000",
             "spun": "last week", "test_mass": "4"}  # fmt: skip
    page = reader.send(reader.open(ADD), ADD, **typed)
    assert page.status == 422
    wrong = ("name", "mass", "fibre", "once_round", "plies", "spun", "test_length")
    assert all(page.wrong(one) for one in wrong), [page.wrong(one) for one in wrong]
    assert page.problem.startswith("7 boxes are not right yet.")
    assert "“Strands” goes with this one: fill in both, or neither." == page.wrong("once_round")
    assert not reader.stash.exists


def test_an_empty_loom_form_names_every_box_it_needs(reader: Reader) -> None:
    page = reader.send(reader.open("/looms"), "/looms/loom", waste="x")
    assert [bool(page.wrong(one)) for one in ("name", "kind", "width", "waste")] == [True] * 4


def test_an_empty_plan_names_every_box_it_needs(shelf: Reader) -> None:
    page = shelf.send(shelf.open("/cloths/new"), "/cloths/new", sett="x")
    for name in ("name", "wide", "long", "warp", "weft", "sett"):
        assert page.wrong(name), name


def test_words_beside_a_box_do_not_call_it_by_another_name(shelf: Reader) -> None:
    planned(shelf)
    answer = shelf.send(shelf.open("/skein", name="Gorse"), "/skein/weigh", mass="heavy")
    assert answer.wrong("mass").startswith("“heavy” cannot be read:")
    answer = shelf.send(shelf.open("/skein", name="Gorse"), "/skein/weigh", mass="-3")
    assert answer.wrong("mass").startswith("It cannot be ")
    assert "On the scale: It cannot be" in _beginning(answer)
    size = shelf.send(shelf.open("/cloth", name="Scarf"), CHANGE, wide="x", long="20±1 cm")
    for name in ("wide", "long"):
        assert size.wrong(name) and "(" not in size.wrong(name)
    for page, action in (("/looms", "/looms/loom"), ("/cloth?name=Scarf", "/cloth/give-up"),
                         ("/skein?name=Gorse", STRIKE)):  # fmt: skip
        said = shelf.send(shelf.open(page), action).main
        assert "cannot be empty" not in said and "left open" not in said
        assert "what is asked for" not in said


def test_nothing_is_stored_by_any_of_it(shelf: Reader) -> None:
    planned(shelf)
    before = told(shelf.path, "skein", "show", "Gorse")
    for line in shlex.split("strike take close weigh measure"):
        shelf.send(shelf.open("/skein", name="Gorse"), f"/skein/{line}", amount="x", mass="x")
    assert told(shelf.path, "skein", "show", "Gorse") == before
