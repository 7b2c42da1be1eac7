"""farspun skein add --for: does what was really spun fit the cloth."""

from pathlib import Path
from typing import Any

import pytest

from cli.running import Desk, furnished

ADD = "skein add New --mass {grams}g --length {metres}m --state relaxed --for Shawl"


@pytest.fixture
def desk(tmp_path: Path) -> Desk:
    """A cloth whose weft is short by some metres of Fresh, 255 m to 100 g."""
    desk = furnished(tmp_path)
    desk.does(
        "skein add Big --mass 450g --length 1200m --state relaxed",
        "cloth plan Shawl --size 40cmx2m --sett 3/cm --picks 3/cm --warp Big --weft Fresh",
    )
    return desk


def weft(desk: Desk, name: str = "Shawl") -> list[str]:
    shown = desk.told(["cloth", "show", name])
    return [one["skein"] for one in shown["yarns"] if one["side"] == "weft"]


def grist(desk: Desk) -> float:
    found: dict[str, Any] = desk.told("skein show Fresh")
    return float(found["m_per_100g"])


def test_a_skein_that_fits_is_put_to_the_yarn_and_kept(desk: Desk) -> None:
    metres = 250
    before = desk.told("cloth check Shawl")
    assert before["verdict"] != "reaches"
    said = desk.does(ADD.format(grams=round(100 * metres / grist(desk)), metres=metres))
    assert "For Shawl" in said and "kept for the cloth" in said
    assert weft(desk) == ["Fresh", "New"]
    now = desk.told("cloth check Shawl")
    assert now["odds"]["weft"] > before["odds"]["weft"]
    claimed = {one["skein"]: one["claimed_g"] for one in desk.told("cloth show Shawl")["yarns"]}
    assert claimed["New"] > 0
    assert desk.told("skein show New")["claimed_m"] > 0
    assert "not-kept" not in {one["code"] for one in now["warnings"]}


def test_the_set_up_stays_as_it_is_where_it_fits(desk: Desk) -> None:
    before = desk.told("cloth check Shawl")["setup"]
    desk.does(ADD.format(grams=round(15000 / grist(desk)), metres=150))
    after = desk.told("cloth check Shawl")["setup"]
    for chosen in ("sett_ends_per_cm", "picks_per_cm", "reed", "per_dent", "ends"):
        assert after[chosen] == before[chosen]


@pytest.mark.parametrize(("factor", "word"), [(1.5, "thicker"), (0.6, "finer")])
def test_a_finer_or_thicker_one_is_told_and_left_out(desk: Desk, factor: float, word: str) -> None:
    grams = round(factor * 100 * 200 / grist(desk))
    said = desk.does(ADD.format(grams=grams, metres=200))
    assert word in said and "the cloth is as it was" in said
    assert "farspun cloth change Shawl --weft Fresh --weft New" in said
    assert weft(desk) == ["Fresh"]
    assert desk.told("skein show New")["claimed_m"] == 0
    desk.does("cloth change Shawl --weft Fresh --weft New")
    assert weft(desk) == ["Fresh", "New"]


def test_thicker_warp_asks_for_another_sett(desk: Desk) -> None:
    """Where the sett was left to farspun, it is chosen anew and told."""
    desk.does(
        "skein add Other --mass 450g --length 1200m --state relaxed",
        'cloth plan Open --size 40cmx3m --warp "Gorse 1" --weft Other',
    )
    said = desk.does("skein add Thick --mass 200g --length 200m --state relaxed --for Open")
    assert "thicker than Gorse 1" in said
    assert "sett " in said and ", then " in said and " ends, then " in said


@pytest.mark.parametrize(
    ("more", "word"),
    [("--fibre linen", "it is linen, and Fresh is wool"), ("--plies 3", "3 plies")],
)
def test_another_fibre_or_number_of_plies_does_not_fit(desk: Desk, more: str, word: str) -> None:
    desk.does("skein change Fresh --plies 2")
    line = ADD.format(grams=round(15000 / grist(desk)), metres=150)
    said = " ".join(desk.does(f"{line} {more}").split())
    assert word.casefold() in said.casefold()
    assert weft(desk) == ["Fresh"]


def test_a_skein_of_unknown_grist_is_asked_about(desk: Desk) -> None:
    said = " ".join(desk.does("skein add New --mass 80g --for Shawl").split())
    assert "how fine New is is not known yet" in said
    assert weft(desk) == ["Fresh"]


def test_a_yarn_with_shares_is_left_to_her(desk: Desk) -> None:
    desk.does('cloth change Shawl --weft Fresh:90% --weft "Gorse 1:10%"')
    said = desk.does(ADD.format(grams=round(15000 / grist(desk)), metres=150))
    assert "name it with its part" in said
    assert weft(desk) == ["Fresh", "Gorse 1"]


def test_one_yarn_on_both_sides_gets_it_on_both(desk: Desk) -> None:
    desk.does("cloth plan Both --size 40cmx2m --sett 3/cm --picks 3/cm --warp Fresh --weft Fresh")
    grams = round(60000 / grist(desk))
    desk.does(f"skein add New --mass {grams}g --length 600m --state relaxed --for both")
    shown = desk.told("cloth show Both")["yarns"]
    assert [(one["side"], one["skein"]) for one in shown] == [
        ("warp", "Fresh"), ("warp", "New"), ("weft", "Fresh"), ("weft", "New"),
    ]  # fmt: skip


def test_no_such_cloth_and_one_given_up_store_nothing(desk: Desk) -> None:
    line = "skein add New --mass 50g --length 150m --state relaxed --for"
    assert "Shawl" in desk.refuses(f"{line} Shawll", 4)
    desk.does("cloth give-up Shawl --yes")
    assert "given up" in desk.refuses(f"{line} Shawl", 3)
    assert "New" not in {one["name"] for one in desk.told("skein list")}


def test_undo_takes_back_the_skein_and_its_place(desk: Desk) -> None:
    before = desk.told("cloth check Shawl")
    desk.does(ADD.format(grams=round(25000 / grist(desk)), metres=250))
    assert weft(desk) == ["Fresh", "New"]
    desk.does("undo")
    assert weft(desk) == ["Fresh"]
    assert desk.told("cloth check Shawl") == before
