"""farspun to-spin: shortfalls turned into work at the wheel."""

import math
from pathlib import Path
from typing import Any

import pytest

from cli.running import Desk, furnished

YARDS_IN_A_HANK = 840  # of cotton, exact
KEYS = [
    *("yarn", "skeins", "fibre", "for", "short_m", "short_g", "spin", "buy", "lacking", "taken"),
    "cautions",
]


@pytest.fixture
def desk(tmp_path: Path) -> Desk:
    return furnished(tmp_path)


def plan(desk: Desk, name: str, more: str, size: str = "50cmx2m") -> None:
    desk.does(f"cloth plan {name} --size {size} --sett 3/cm --picks 3/cm {more}")


def only(desk: Desk, line: str) -> dict[str, Any]:
    (work,) = desk.told(line)
    assert list(work) == KEYS
    return dict(work)


def test_metres_and_grams_are_those_of_the_shortfall(desk: Desk) -> None:
    plan(desk, "Shawl", "--warp Driftwood --weft Fresh")
    work = next(one for one in desk.told("to-spin") if one["yarn"] == "Fresh")
    short = next(one for one in desk.told("shortfalls") if one["yarn"] == "Fresh")
    assert (work["short_m"], work["short_g"]) == (short["short_m"], short["short_g"])
    assert work["spin"]["length_m"] == short["get"]["spin"]["length_m"]
    assert work["spin"]["mass_g"] == pytest.approx(short["get"]["spin"]["mass_g"])
    assert work["for"] == [
        {key: short[key] for key in ("cloth", "side", "short_m", "short_g", "odds", "promise")}
    ]


def test_what_follows_is_hand_arithmetic(desk: Desk) -> None:
    plan(desk, "Shawl", "--warp Fresh --weft Driftwood")
    more = "--plies 2 --angle 30 --preparation-loss 20% --plying-take-up +10%"
    work = next(one for one in desk.told(f"to-spin Shawl {more}") if one["yarn"] == "Fresh")
    spin = work["spin"]
    assert spin["fibre_g"] == pytest.approx(spin["sure_g"] / 0.8)
    sure_m = spin["unwashed_m"]["at_promise"]
    assert spin["sure_g"] == pytest.approx(spin["mass_g"] * sure_m * 0.85 / spin["length_m"])
    assert [one["length_m"] for one in spin["singles"]] == pytest.approx([1.1 * sure_m] * 2)
    assert spin["tex"] == pytest.approx(1000 * spin["mass_g"] / spin["length_m"])
    assert spin["yd_per_lb"] == pytest.approx(496054.65 / spin["tex"])
    around_cm = math.pi / spin["wraps_per_cm"]
    assert spin["twist_per_cm"] == pytest.approx(math.tan(math.radians(30)) / around_cm)
    assert spin["twist_per_inch"] == pytest.approx(2.54 * spin["twist_per_cm"])
    for single in spin["singles"]:
        assert single["tex"] == pytest.approx(spin["tex"] / 2 / 1.1)
        assert single["wheel_tex"] == pytest.approx(0.85 * single["tex"])
        assert single["mass_g"] == pytest.approx(spin["sure_g"] / 2)
        assert single["direction"] != spin["direction"]
    assert spin["unwashed_m"]["p50"] == pytest.approx(spin["length_m"] / 0.85)
    assert spin["unwashed_m"]["at_promise"] > spin["unwashed_m"]["p50"]
    assert spin["card"]["washed_g"] == pytest.approx(spin["tex"] / 100)
    assert spin["card"]["off_the_wheel_g"] == pytest.approx(0.85 * spin["tex"] / 100)
    assert work["taken"] == []


def test_a_published_doubled_yarn_is_spun_from_the_published_singles(desk: Desk) -> None:
    """2-ply 16s with 10 % doubling contraction needs 35.2s singles."""
    desk.does('skein add Doubled --label "16s cotton" --mass 2g --fibre cotton --plies 2')
    plan(desk, "Towel", "--warp Driftwood --weft Doubled", "40cmx2m")
    works = desk.told("to-spin --plying-take-up +10%")
    spin = next(one for one in works if one["yarn"] == "Doubled")["spin"]
    assert spin["yd_per_lb"] == pytest.approx(16 * YARDS_IN_A_HANK, rel=0.01)
    hanks = [one["yd_per_lb"] / YARDS_IN_A_HANK for one in spin["singles"]]
    ratio = spin["yd_per_lb"] / (16 * YARDS_IN_A_HANK)
    assert hanks == pytest.approx([35.2 * ratio] * 2)


def test_unequal_plies_add_up_harmonically(desk: Desk) -> None:
    """40s and 20s twisted together make 13.33s: so 13.33s in parts of 1:2 is 40s and 20s."""
    plan(desk, "Shawl", "--warp Driftwood --weft Fresh")
    works = desk.told("to-spin --plies 1:2 --plying-take-up 0%")
    spin = next(one for one in works if one["yarn"] == "Fresh")["spin"]
    fine, thick = (one["yd_per_lb"] for one in spin["singles"])
    assert fine == pytest.approx(2 * thick)
    assert 1 / (1 / fine + 1 / thick) == pytest.approx(spin["yd_per_lb"])
    assert fine / spin["yd_per_lb"] == pytest.approx(40 / (40 / 3))


def test_a_yarn_short_for_two_cloths_is_spun_at_once(desk: Desk) -> None:
    plan(desk, "First", '--warp "Gorse 1" --weft Fresh')
    plan(desk, "Second", '--warp "Gorse 2" --weft Fresh')
    rows = [one for one in desk.told("shortfalls") if one["yarn"] == "Fresh"]
    work = next(one for one in desk.told("to-spin") if one["yarn"] == "Fresh")
    assert [use["cloth"] for use in work["for"]] == ["First", "Second"]
    assert work["short_m"] == pytest.approx(sum(row["short_m"] for row in rows))
    one = next(one for one in desk.told("to-spin Second") if one["yarn"] == "Fresh")
    assert [use["cloth"] for use in one["for"]] == ["Second"]


def test_a_yarn_for_the_warp_is_twisted_steeper(desk: Desk) -> None:
    plan(desk, "Shawl", "--warp Fresh --weft Driftwood", "60cmx3m")
    by_name = {one["yarn"]: one["spin"] for one in desk.told("to-spin")}
    assert (by_name["Fresh"]["angle_deg"], by_name["Driftwood"]["angle_deg"]) == (30.0, 25.0)


def test_a_yarn_that_can_be_bought_is_bought_in_packs(desk: Desk) -> None:
    plan(desk, "Towels", '--warp Cone --weft "Gorse 1"', "40cmx1m")
    work = only(desk, "to-spin Towels")
    assert work["spin"] is None and work["cautions"] == []
    assert work["buy"]["pack_g"] == 100
    assert 100 * (work["buy"]["packs"] - 1) < work["short_g"] <= 100 * work["buy"]["packs"]
    assert work["buy"]["length_m"] >= work["short_m"]
    assert "Buy      " in desk.does("to-spin Towels")


def test_what_is_not_known_is_asked_for(desk: Desk) -> None:
    plan(desk, "Shawl", "--warp Driftwood --weft Wraps", "20cmx80cm")
    assert only(desk, "to-spin")["lacking"] == "length"
    assert "farspun skein weigh Wraps" in desk.does("to-spin")
    desk.does("cloth give-up Shawl --yes", "skein add Bare --length 20m --state relaxed")
    plan(desk, "Second", "--warp Driftwood --weft Bare", "20cmx80cm")
    work = only(desk, "to-spin")
    assert (work["lacking"], work["spin"]) == ("grist", None)
    assert work["short_m"] > 0
    assert "--test-length 10m=" in desk.does("to-spin")


def test_nothing_short_is_nothing_to_spin(desk: Desk) -> None:
    assert desk.told("to-spin") == []
    assert desk.does("to-spin").startswith("Nothing is to spin")


def test_cautions_come_where_they_apply(desk: Desk) -> None:
    desk.does(
        "skein add Woad --mass 20g --length 60m --state relaxed --colour blue",
        "skein add Tow --mass 20g --length 60m --state relaxed --fibre linen",
    )
    plan(desk, "Shawl", "--warp Tow --weft Woad")
    tow, woad = desk.told("to-spin")
    assert [one.partition(":")[0] for one in woad["cautions"]] == [
        "From a fleece",
        "To dye it to match",
        "At the wheel",
    ]
    assert [one.partition(":")[0] for one in tow["cautions"]] == ["At the wheel"]


def test_yarn_woven_unwashed_is_counted_as_it_is(desk: Desk) -> None:
    plan(desk, "Shawl", "--warp Driftwood --weft Fresh --as-spun")
    spin = next(one for one in desk.told("to-spin") if one["yarn"] == "Fresh")["spin"]
    assert spin["unwashed_m"]["p50"] == pytest.approx(spin["length_m"])
    assert spin["unwashed_m"]["at_promise"] == pytest.approx(spin["length_m"])
    assert "on the niddy-noddy, unwashed" in desk.does("to-spin")


@pytest.mark.parametrize(
    ("more", "code"),
    [("--plies 0", 3), ("--angle 90", 3), ("--angle 90deg", 3), ("--angle 0", 3),
     ("--preparation-loss 100%", 3), ("--plying-take-up 10", 3), ("Nowhere", 4)],
)  # fmt: skip
def test_what_cannot_be_is_refused(desk: Desk, more: str, code: int) -> None:
    plan(desk, "Shawl", "--warp Driftwood --weft Fresh")
    before = desk.stash.read_bytes()
    desk.refuses(f"to-spin {more}", code)
    assert desk.stash.read_bytes() == before


def test_a_cloth_given_up_needs_no_spinning(desk: Desk) -> None:
    plan(desk, "Shawl", "--warp Driftwood --weft Fresh")
    desk.does("cloth give-up Shawl --yes")
    assert "given up" in desk.refuses("to-spin Shawl", 3)
    assert desk.told("to-spin") == []


def test_metric_and_imperial_stand_on_lines_of_their_own(desk: Desk) -> None:
    plan(desk, "Shawl", "--warp Driftwood --weft Fresh")
    for line in desk.does("to-spin").splitlines():
        metric = any(unit in line for unit in (" m ", " g ", "per cm", " cm"))
        imperial = any(unit in line for unit in (" yd", " oz", "per inch", " in "))
        card = "wraps an inch" in line or "Card" in line
        assert card or not (metric and imperial), line
