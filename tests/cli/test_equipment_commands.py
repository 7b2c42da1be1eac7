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


@pytest.mark.parametrize(
    ("words", "likely"),
    [
        # 7.5 dents per inch are 7.5 / 2.54 * 10 = 29.5 in 10 cm
        (["reed", "add", "R", "7.5/10cm"], "29.5 dents in 10 cm, 7.50 per inch"),
        (["reed", "add", "R", "40 dpi"], "40.0 dents in 10 cm"),
        (["reed", "add", "R", "14.9/10cm"], "58.7 dents in 10 cm"),
        (["reed", "add", "R", "400/10cm"], "40.0 dents in 10 cm"),
        (["loom", "add", "L", "--kind", "floor", "--width", "600cm"], "was it 60 cm"),
        (["loom", "add", "L", "--kind", "floor", "--width", "3.01m"], "was it 30.1 cm"),
    ],
)
def test_a_reed_or_loom_that_hardly_is_one_is_asked_about_and_may_be_confirmed(
    place, words, likely
):
    asked = farspun(place, *words)
    assert (asked.exit_code, asked.stdout) == (3, "")
    assert "Is that right?" in asked.stderr
    assert likely in asked.stderr
    assert "add --sure" in asked.stderr
    assert farspun(place, *words, "--sure").exit_code == 0


@pytest.mark.parametrize("dents", ["15/10cm", "1.5/cm", "100/10cm", "8 dpi", "25 dpi"])
def test_a_usual_reed_is_not_asked_about(place, dents):
    assert farspun(place, "reed", "add", "R", dents).exit_code == 0


def test_dents_in_ten_centimetres_twice_are_asked_about(place):
    twice = farspun(place, "reed", "add", "R", "40/10/10cm")
    assert twice.exit_code == 3
    assert "twice" in twice.stderr
    assert told(place, "reed", "list") == []


def test_a_reed_is_corrected_and_removed_and_undo_brings_it_back(place):
    farspun(place, "reed", "add", "R", "30/10cm")
    changed = farspun(
        place, "reed", "change", "r", "--name", "R40", "--dents", "40/10cm", "--loom", "Ada's loom"
    )
    assert changed.exit_code == 0, changed.stderr
    (reed,) = told(place, "reed", "list")
    assert (reed["name"], reed["dents_per_10cm"], reed["loom"]) == ("R40", 40, "Ada's loom")
    belongs = farspun(place, "loom", "remove", "Ada's loom")
    assert belongs.exit_code == 3
    assert "“R40” belongs to it" in belongs.stderr
    assert farspun(place, "reed", "change", "R40", "--loom", "").exit_code == 0
    assert farspun(place, "reed", "remove", "R40").exit_code == 0
    assert farspun(place, "loom", "remove", "Ada's loom").exit_code == 0
    assert told(place, "loom", "list") == []
    farspun(place, "undo")
    farspun(place, "undo")
    (reed,) = told(place, "reed", "list")
    assert (reed["name"], reed["loom"]) == ("R40", None)
    assert told(place, "loom", "list")[0]["waste_sd_cm"] == 8


def test_a_loom_is_corrected_and_what_is_not_named_stays(place):
    farspun(place, "loom", "change", "Ada's loom", "--width", "60cm", "--name", "Ada")
    (loom,) = told(place, "loom", "list")
    assert (loom["name"], loom["width_cm"], loom["waste_cm"], loom["shafts"]) == ("Ada", 60, 50, 2)
    nothing = farspun(place, "loom", "change", "Ada")
    assert (nothing.exit_code, "Nothing to change" in nothing.stderr) == (2, True)
    assert farspun(place, "loom", "change", "Ada", "--width", "60m").exit_code == 3


def test_what_a_cloth_uses_keeps_its_figures_and_may_have_another_name(place):
    for words in (
        ["loom", "add", "Table", "--kind", "table", "--width", "60cm"],
        ["reed", "add", "R30", "30/10cm", "--loom", "Table"],
        ["skein", "add", "Gorse", "--mass", "200g", "--length", "400m"],
        ["cloth", "plan", "Band", "--warp", "Gorse", "--weft", "Gorse", "--size", "10cm x 100cm",
         "--loom", "Table", "--reed", "R30", "--sett", "3/cm", "--picks", "3/cm"],
    ):  # fmt: skip
        assert farspun(place, *words).exit_code in (0, 10, 11)
    for words in (
        ["reed", "remove", "R30"],
        ["reed", "change", "R30", "--dents", "40/10cm"],
        ["loom", "remove", "Table"],
        ["loom", "change", "Table", "--width", "80cm"],
    ):
        refused = farspun(place, *words)
        assert refused.exit_code == 3
        assert "“Band” uses it" in refused.stderr
    assert farspun(place, "reed", "change", "R30", "--name", "R30 old").exit_code == 0
    assert told(place, "cloth", "check", "Band")["setup"]["reed"]
    farspun(place, "undo")
    farspun(place, "undo")
    assert farspun(place, "reed", "remove", "R30").exit_code == 0
