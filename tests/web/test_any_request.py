"""Whatever is asked or typed, a page answers in words: never a fault of its own."""

import random

import pytest

from properties.tried import TIMES
from web.reader import Reader, planned

SEED = 20250301
WORDS = (
    "", " ", "0", "-1", "1e9", "1e400", "NaN", "inf", "71", "71 g", "3,5", "1,500", "½", "٣",
    "12345678901234567890",
    "\x00", "\ud800", "a" * 5000, "<script>", "' OR 1=1 --", "../../etc/passwd", "Gorse", "Scarf",
    "Cone:12", "Cone:", ":::", "±", "5±1", "+10%", "100%", "95", "\u202egorse", "🧶",
    "\n\n", "2/2 twill",
    "%00", "relaxed", "yes", "/dev/zero", "{{7*7}}", "{% raw %}",
)  # fmt: skip
PATHS = (
    "/stash", "/skein", "/skeins/new", "/skeins/new/estimate", "/cloths", "/cloths/new", "/cloth",
    "/cloths/verdict", "/to-spin", "/at-the-loom", "/looms", "/lessons", "/static/farspun.css",
    "/cloth/card", "/cloth/face.png", "/cloth/history", "/skein/tag", "/undo",
    "/skein/weaves", "/skein/weaves/largest", "/cloth/yarns", "/share-out",
)  # fmt: skip
QUERY = (
    "q", "show", "units", "at", "name", "of", "cloth", "said", "work", "mass", "strands", "wide",
    "long", "draw_in", "waste", "default", "angle", "plies", "wpi", "every", "token", "sett",
    "paper", "qr", "close", "side", "with", "with_more", "largest", "many", "promise",
)  # fmt: skip


def _typed(chance: random.Random, names: list[str]) -> dict[str, str]:
    return {
        name: chance.choice(WORDS).encode("utf-8", "surrogatepass").decode("utf-8", "replace")
        for name in names
        if chance.random() < 0.5
    }


def test_no_address_brings_a_fault(shelf: Reader) -> None:
    planned(shelf)
    chance = random.Random(SEED)
    for _ in range(60 * TIMES):
        path = chance.choice(PATHS) + chance.choice(("", "", "", "/", "/x"))
        query = _typed(chance, chance.sample(QUERY, 4))
        page = shelf.open(path, **query)
        assert page.status < 500, (path, query, page.said[:300])
        assert "Traceback" not in page.text and "{{" not in page.main.replace("{{7*7}}", "")


@pytest.mark.parametrize(
    "path",
    ["/skeins/new", "/skein?name=Gorse", "/cloths/new", "/cloth?name=Scarf",
     "/at-the-loom?cloth=Scarf", "/at-the-loom?cloth=Scarf on its loom",
     "/cloth?name=Scarf on its loom", "/looms", "/undo", "/cloth/yarns?name=Scarf", "/share-out"],
)  # fmt: skip
def test_no_form_however_filled_in_brings_a_fault(shelf: Reader, path: str) -> None:
    planned(shelf)
    if path.endswith(" on its loom"):
        shelf.send(shelf.open("/at-the-loom", cloth="Scarf"), "/at-the-loom/wound")
        shelf.send(shelf.open("/at-the-loom", cloth="Scarf"), "/at-the-loom/on-loom")
    path = path.removesuffix(" on its loom")
    chance = random.Random(f"{SEED} {path}")
    for _ in range(4 * TIMES):
        for form in [one for one in shelf.open(path).forms if one.method == "post"]:
            boxes = form.boxes | _typed(chance, [*(set(form.boxes) - {"token", "of"})])
            page = shelf.post(form.action, boxes)
            assert page.status < 500, (form.action, boxes, page.said[:300])
            assert page.status != 200 or 'class="problem"' not in page.text
    assert shelf.open("/stash").status == 200


def test_odd_bodies_bring_no_fault(shelf: Reader) -> None:
    kinds = ("application/x-www-form-urlencoded", "multipart/form-data; boundary=x",
             "multipart/form-data", "application/json", "text/plain", "")  # fmt: skip
    bodies = (b"", b"%", b"\xff\xfe", b"--x\r\n", b"a=1&" * 1000, b"{", b"of=Gorse&token=%00")
    for kind in kinds:
        for body in bodies:
            answer = shelf.client.post("/skein/weigh", content=body, headers={"content-type": kind})
            assert answer.status_code < 500, (kind, body)
