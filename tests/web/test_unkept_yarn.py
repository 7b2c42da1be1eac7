"""Yarn that a cloth is planned with and that is not kept for it: said, marked, claimed."""

import json

from stashes import farspun
from web.reader import Page, Reader, planned

CHANGE, CLAIM = "/cloth/change", "/cloth/claim"


def _kept_g(shelf: Reader, side: str) -> dict[str, float]:
    shown = json.loads(farspun(shelf.path, "cloth", "show", "Scarf", "--json").stdout)
    return {one["skein"]: one["claimed_g"] for one in shown["yarns"] if one["side"] == side}


def _with_sea(shelf: Reader, length: str = "430m") -> Page:
    farspun(shelf.path, "skein", "add", "Sea", "--mass", "108g", "--length", length, "--plies", "2",
            "--fibre", "wool 80, silk 20", "--state", "relaxed")  # fmt: skip
    return planned(shelf)


def test_a_cloth_changed_by_hand_says_that_its_yarn_is_not_kept_and_claims_it(
    shelf: Reader,
) -> None:
    changed = shelf.send(_with_sea(shelf), CHANGE, weft="Sea")
    told = changed.text.partition('class="told"')[2].partition("</div>")[0]
    assert "Of Sea nothing is kept for it, and it wants " in told
    above = changed.text.partition('id="verdict"')[2].partition('class="links"')[0]
    assert "Of Sea nothing is kept for it" in above and "another cloth may take it" in above
    assert ">Claim its yarn</button>" in above and changed.text.count('action="/cloth/claim"') == 1
    assert "farspun cloth" not in changed.main
    assert "yarn not kept" in shelf.open("/cloths").said
    claimed = shelf.send(changed, CLAIM)
    assert claimed.status == 200 and "nothing is kept" not in claimed.said
    assert _kept_g(shelf, "weft")["Sea"] > 10
    assert "yarn not kept" not in shelf.open("/cloths").said


def _made_weft(shelf: Reader) -> Page:
    page = shelf.open("/cloth/yarns", name="Scarf", many="yes")
    boxes = next(one.boxes for one in page.forms if one.boxes.get("weft") == "Sea")
    return shelf.post(CHANGE, boxes)


def test_a_yarn_chosen_among_others_is_claimed_at_once_and_undone_at_once(shelf: Reader) -> None:
    _with_sea(shelf)
    before = _kept_g(shelf, "weft")
    page = _made_weft(shelf)
    assert page.status == 200 and "Changed, and its yarn is claimed again. Before: " in page.said
    grams = _kept_g(shelf, "weft")["Sea"]
    assert grams > 10 and f"Sea {grams:.0f} g" in page.said
    assert "nothing is kept" not in page.said
    shelf.send(shelf.open("/undo"), "/undo")
    assert _kept_g(shelf, "weft") == before and "Sea" not in before


def test_where_not_all_of_it_can_be_claimed_it_says_how_much(shelf: Reader) -> None:
    _with_sea(shelf)
    other = {"name": "Stole", "wide": "40", "long": "120", "warp": "Cone", "weft": "Sea"}
    assert shelf.send(shelf.open("/cloths/new"), "/cloths/new", **other).status == 200
    page = _made_weft(shelf)
    grams = _kept_g(shelf, "weft")["Sea"]
    assert "That is not all it needs: it wants " in page.said and "more Sea" in page.said
    if grams:
        assert f"Sea {grams:.0f} g" in page.said or f"Sea {grams:.1f} g" in page.said
    else:
        assert "Nothing is kept of Sea, for nothing of it is free." in page.said
