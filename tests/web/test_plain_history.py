"""What was done with a cloth reads as a weaver would say it; what is used up is off the shelf."""

import shlex

from stashes import farspun
from web.reader import Reader, planned

CHANGES = """\
cloth change Scarf --take-up 9%
cloth change Scarf --size 20cmx120cm --sett 6/cm
cloth change Scarf --default take-up
cloth change Scarf --direct --promise 90% --weft Gorse
cloth claim Scarf
"""


def test_each_change_says_what_was_changed(shelf: Reader) -> None:
    planned(shelf)
    for line in CHANGES.splitlines():
        done = farspun(shelf.path, *shlex.split(line))
        assert done.exit_code == 0, done.stderr
    said = shelf.open("/cloth/history", name="Scarf").main
    for words in (
        "planned 22 cm wide, 140 cm long",
        "changed take-up 9 %",
        "changed 20 cm wide, 120 cm long; sett 6.0 per cm",
        "changed take-up as usual again",
        "weft Gorse",
        "warped direct",
        "odds wanted 90 %",
        "yarn claimed again",
    ):
        assert words in said, (words, said)


def test_a_stale_page_says_what_the_other_tab_changed(shelf: Reader) -> None:
    page = planned(shelf)
    farspun(shelf.path, "cloth", "change", "Scarf", "--take-up", "9%")
    stale = shelf.send(page, "/cloth/change", take_up="12")
    assert "cloth change, Scarf: take-up 9 %" in stale.problem


def test_a_change_by_a_weighing_is_called_a_reading(gorse: Reader) -> None:
    farspun(gorse.path, "skein", "measure", "Gorse", "--mass", "58g")
    said = gorse.open("/skein", name="Gorse").main
    assert "by a reading" in said and " evidence " not in said


def test_a_skein_used_up_is_on_the_shelf_only_where_asked_for(gorse: Reader) -> None:
    farspun(gorse.path, "skein", "add", "Oat", "--mass", "50g", "--length", "150m")
    for grams in ("30g", "20g"):
        assert farspun(gorse.path, "skein", "take", "Oat", grams).exit_code == 0
    shelf = gorse.open("/stash")
    assert "Oat" not in shelf.main and "Gorse" in shelf.main
    assert "Used up and not shown: 1" in shelf.main
    used = gorse.open("/stash", show="used")
    assert "Oat" in used.main and "Gorse" not in used.main
    assert "Oat" in gorse.open("/stash", show="all").main
    farspun(gorse.path, "skein", "close", "Oat", "--because", "used")
    assert "Used up" not in gorse.open("/stash").main.replace("used up, not closed", "")
