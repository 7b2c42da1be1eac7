"""farspun loom, farspun reed: what you own, as entered and as scripts read it."""

import pytest

from stashes import farspun, told


@pytest.fixture
def place(tmp_path):
    place = tmp_path / "stash.db"
    added = farspun(
        place, "loom", "add", "Ada's loom", "--kind", "rigid-heddle", "--width", "50 cm",
        "--waste", "50cm±8cm", "--tie", "lashed", "--shafts", "2",
    )  # fmt: skip
    assert added.exit_code == 0, added.stderr
    return place


def test_a_loom_is_listed_as_it_was_added(place):
    farspun(place, "loom", "add", "Frame", "--kind", "frame", "--width", "20 in")
    assert told(place, "loom", "list") == [
        {
            "name": "Ada's loom",
            "kind": "rigid-heddle",
            "width_cm": 50.0,
            "waste_cm": 50.0,
            "waste_sd_cm": 8.0,
            "tie": "lashed",
            "shafts": 2,
        },
        {
            "name": "Frame",
            "kind": "frame",
            "width_cm": 50.8,
            "waste_cm": None,
            "waste_sd_cm": None,
            "tie": "knots",
            "shafts": None,
        },
    ]
    listed = farspun(place, "loom", "list").stdout
    assert "50 cm ± 8 cm" in listed
    assert "20 in" in listed


def test_waste_without_a_spread_is_exact(place):
    farspun(place, "loom", "add", "B", "--kind", "table", "--width", "60cm", "--waste", "0 cm")
    assert told(place, "loom", "list")[1]["waste_cm"] == 0
    assert told(place, "loom", "list")[1]["waste_sd_cm"] == 0


def test_a_reed_is_listed_in_both_systems_and_keeps_what_was_said(place):
    result = farspun(place, "reed", "add", "Eight", "8 dpi", "--loom", "ada's loom")
    assert "for Ada's loom" in result.stdout
    farspun(place, "reed", "add", "Thirty", "30/10cm", "--rigid-heddle")
    eight, thirty = told(place, "reed", "list")
    assert eight["dents_per_10cm"] == pytest.approx(80 / 2.54, rel=2e-6)
    assert (eight["loom"], eight["rigid_heddle"], eight["said"]) == ("Ada's loom", False, "8 dpi")
    assert (thirty["dents_per_10cm"], thirty["rigid_heddle"], thirty["loom"]) == (30, True, None)
    listed = farspun(place, "reed", "list").stdout
    assert "7.62" in listed
    assert "31.5" in listed


@pytest.mark.parametrize(
    ("words", "code", "told_of"),
    [
        (["loom", "add", "ADA'S LOOM", "--kind", "table", "--width", "60cm"], 3, "“Ada's loom”"),
        (["loom", "add", "B", "--kind", "jack", "--width", "60cm"], 2, "floor"),
        (["loom", "add", "B", "--kind", "table"], 2, "--width"),
        (["loom", "add", "B", "--kind", "table", "--width", "0cm"], 3, "more than 0"),
        (["loom", "add", "B", "--kind", "table", "--width", "60"], 3, "60 cm"),
        (["loom", "add", "-B", "--kind", "table", "--width", "60cm"], 2, ""),
        (["reed", "add", "R", "8"], 3, "dpi"),
        (["reed", "add", "R", "0.1 dpi"], 3, "from 1 to 1000"),
        (["reed", "add", "R", "8 dpi", "--loom", "Adas loom"], 4, "Ada's loom"),
    ],
)
def test_what_cannot_be_owned_is_refused(place, words, code, told_of):
    result = farspun(place, *words)
    assert (result.exit_code, result.stdout) == (code, "")
    assert told_of in result.stderr
    assert len(told(place, "loom", "list")) == 1
    assert told(place, "reed", "list") == []


def test_two_reeds_of_one_name_are_refused(place):
    farspun(place, "reed", "add", "R", "8 dpi")
    assert farspun(place, "reed", "add", "r", "10 dpi").exit_code == 3


def test_without_a_stash_nothing_is_owned_and_nothing_is_made(tmp_path):
    place = tmp_path / "none.db"
    for group in ("loom", "reed"):
        listed = farspun(place, group, "list")
        assert (listed.exit_code, listed.stdout) == (0, "")
        assert "no stash" in listed.stderr
    assert not place.exists()
