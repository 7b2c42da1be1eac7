"""Card, tag and picture from the pages; the end of a cloth and what was done with it."""

import io

import pytest
from PIL import Image

from stashes import farspun, told
from web.reader import Reader, planned

GIVE_UP = "/cloth/give-up"
PDF = b"%PDF-"


def test_the_card_of_a_cloth_is_printed_from_its_page(shelf: Reader) -> None:
    page = planned(shelf)
    assert "/cloth/card?of=Scarf" in page.text
    answer = shelf.client.get("/cloth/card", params={"of": "Scarf"})
    assert answer.status_code == 200 and answer.content.startswith(PDF)
    assert answer.content.count(b"/Type /Page\n") == 2 or b"/Count 2" in answer.content
    assert answer.headers["content-type"] == "application/pdf"
    assert answer.headers["content-disposition"].startswith("inline; ")
    assert answer.headers["cache-control"] == "private, no-cache"


@pytest.mark.parametrize(
    ("address", "status", "said"),
    [
        ("/cloth/card?of=Scarv", 404, "Did you mean “Scarf”?"),
        ("/cloth/card", 404, "is no cloth"),
        ("/cloth/card?of=Scarf&paper=A9", 422, "A9"),
        ("/cloth/face.png?of=Nothing", 404, "is no cloth"),
        ("/skein/tag?of=Gorze", 404, "Did you mean “Gorse”?"),
        ("/skein/tag?of=Gorse&paper=wall", 422, "wall"),
        ("/cloth/history?name=Nothing", 404, "is no cloth"),
    ],
)
def test_what_cannot_be_printed_says_why_in_words(
    shelf: Reader, address: str, status: int, said: str
) -> None:
    planned(shelf)
    page = shelf.open(address)
    assert page.status == status and said in page.said
    assert page.headers["content-type"].startswith("text/html")
    assert "farspun" not in page.main


def test_a_card_of_a_woven_cloth_is_refused_and_not_offered(shelf: Reader) -> None:
    planned(shelf)
    for stage in ("wound", "on-loom", "off-loom"):
        assert farspun(shelf.path, "cloth", stage, "Scarf").exit_code == 0
    page = shelf.open("/cloth", name="Scarf")
    offered = "/cloth/card?of=Scarf" in page.text
    assert offered == (shelf.open("/cloth/card", of="Scarf").status == 200)
    assert not offered


def test_a_name_with_odd_letters_names_the_file(shelf: Reader) -> None:
    farspun(shelf.path, "skein", "change", "Gorse", "--rename", 'Gör"se\u202e; x')
    for skein in told(shelf.path, "skein", "list"):
        answer = shelf.client.get("/skein/tag", params={"of": skein["name"]})
        assert answer.status_code == 200 and answer.content.startswith(PDF)
        kept = answer.headers["content-disposition"]
        assert kept.isascii() and '"' not in kept and kept.endswith("%20tag.pdf")


def test_a_tag_is_printed_from_the_page_of_a_skein(gorse: Reader) -> None:
    page = gorse.open("/skein", name="Gorse")
    assert "/skein/tag?of=Gorse" in page.text
    plain = gorse.client.get("/skein/tag", params={"of": "Gorse"}).content
    coded = gorse.client.get("/skein/tag", params={"of": "Gorse", "qr": "1"}).content
    assert plain.startswith(PDF) and coded.startswith(PDF) and len(coded) != len(plain)


def test_the_picture_of_a_cloth_comes_only_when_it_is_looked_at(shelf: Reader) -> None:
    page = planned(shelf)
    assert 'loading="lazy"' in page.text
    assert "Scarf: the finished cloth. Plain, about 22 cm wide, 140 cm long" in page.text
    assert "warp Cone, weft Driftwood" in page.text
    answer = shelf.client.get("/cloth/face.png", params={"of": "Scarf"})
    assert answer.headers["content-type"] == "image/png"
    drawn = Image.open(io.BytesIO(answer.content))
    close = shelf.client.get("/cloth/face.png", params={"of": "Scarf", "close": "1"}).content
    out = shelf.path.with_name("face.png")
    assert farspun(shelf.path, "picture", "cloth", "Scarf", "--out", str(out)).exit_code == 0
    assert answer.content == out.read_bytes() and close != answer.content
    assert drawn.width > 200 and len(drawn.getcolors(1 << 20) or []) > 2
    assert len(page.text.encode()) < 200_000


def _on_the_loom(shelf: Reader) -> None:
    planned(shelf)
    for words in ("wound Scarf", "on-loom Scarf --picks 5/cm"):
        assert farspun(shelf.path, "cloth", *words.split()).exit_code == 0


def _mass(shelf: Reader, name: str) -> float:
    return float(told(shelf.path, "skein", "show", name)["mass_g"])


def test_a_wound_cloth_given_up_puts_its_warp_back(shelf: Reader) -> None:
    planned(shelf)
    before = _mass(shelf, "Cone")
    farspun(shelf.path, "cloth", "wound", "Scarf")
    assert _mass(shelf, "Cone") < before
    page = shelf.open("/cloth", name="Scarf")
    assert "left_0" not in page.form(GIVE_UP).boxes  # nothing is woven, nothing to weigh
    page = shelf.send(page, GIVE_UP, sure="yes")
    assert page.status == 200 and "put back" in page.said
    assert _mass(shelf, "Cone") == pytest.approx(before)


def test_what_is_said_of_the_warp_goes_before_what_is_usual(shelf: Reader) -> None:
    planned(shelf)
    farspun(shelf.path, "cloth", "wound", "Scarf")
    kept = _mass(shelf, "Cone")
    page = shelf.send(shelf.open("/cloth", name="Scarf"), GIVE_UP, sure="yes", back="no")
    assert page.status == 200 and "put back" not in page.said
    assert _mass(shelf, "Cone") == kept


def test_balls_weighed_when_a_cloth_is_given_up_at_the_loom(shelf: Reader) -> None:
    _on_the_loom(shelf)
    page = shelf.open("/cloth", name="Scarf")
    boxes = page.form(GIVE_UP).boxes
    at = next(one[5] for one, name in boxes.items() if one[:5] == "left_" and name == "Driftwood")
    page = shelf.send(page, GIVE_UP, sure="yes", **{f"left_{at}": "61", "tare": "11"})
    assert page.status == 200, page.said
    assert _mass(shelf, "Driftwood") == 50 and "Driftwood: 68" in page.said


def test_a_ball_that_cannot_be_read_gives_nothing_up(shelf: Reader) -> None:
    _on_the_loom(shelf)
    page = shelf.send(shelf.open("/cloth", name="Scarf"), GIVE_UP, sure="yes", left_0="ten")
    assert page.status == 422 and page.wrong("left_0")
    assert told(shelf.path, "cloth", "show", "Scarf")["status"] == "on-loom"


def test_what_was_done_with_a_cloth_is_as_the_command_tells_it(shelf: Reader) -> None:
    _on_the_loom(shelf)
    farspun(shelf.path, "cloth", "weigh", "Scarf", "--woven", "30cm", "--ball", "Driftwood=100g")
    assert farspun(shelf.path, "undo").exit_code == 0
    page = shelf.open("/cloth/history", name="Scarf")
    assert page.status == 200
    lines = farspun(shelf.path, "cloth", "history", "Scarf").stdout.splitlines()[1:]
    assert len(lines) >= 4 and page.text.count("<tr") == len(lines) + 1
    for line in lines:
        for part in (one for one in line.split("  ") if one.strip()):
            assert " ".join(part.split()) in page.said, part
    assert page.text.count('class="void"') == 1
    assert "/cloth/history?name=Scarf" in shelf.open("/cloth", name="Scarf").text
