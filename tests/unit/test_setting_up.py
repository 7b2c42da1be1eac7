"""Sett, reed and picks of a cloth, from the yarn and from what she owns."""

import math
from pathlib import Path
from typing import Any

import pytest

from cli.running import Desk

SIZE = "--size 20cmx50cm"


@pytest.fixture
def desk(tmp_path: Path) -> Desk:
    desk = Desk(tmp_path)
    desk.does(
        "skein add Fine --mass 50g --length 400m --state relaxed --wpi 24wpi --wrap snug",
        "skein add Thick --mass 200g --length 400m --state relaxed --wpi 12wpi --wrap snug",
        "skein add Grist --mass 100g --length 400m --state relaxed",
        'skein add Mill --mill --label "400 m/100g" --mass 500g --fibre cotton --wpi 20wpi',
    )
    return desk


def setup(desk: Desk, more: str) -> dict[str, Any]:
    found: dict[str, Any] = desk.told(f"reach {more} {SIZE}")["setup"]
    return found


def suggested(desk: Desk, skein: str, more: str = "", wraps: bool = True) -> float:
    """What `farspun sett` says of a yarn as that skein is known."""
    known = desk.told(f"skein show {skein}")
    words = ["sett", "--count", f"{known['tex']['p50']:.9g} tex", "--fibre", known["fibre"]]
    words += ["--draw", known["draw"], *(["--mill"] if known["mill"] else [])]
    if wraps:
        words += ["--wpi", f"{known['wraps_per_cm']:.9g} wraps/cm", "--wrap", "snug"]
    return float(desk.told([*words, *more.split()])["suggested_ends_per_cm"])


@pytest.mark.parametrize("skein", ["Fine", "Thick", "Mill"])
def test_without_a_sett_the_one_that_sett_suggests_is_taken(desk: Desk, skein: str) -> None:
    found = setup(desk, skein)["sett_ends_per_cm"]
    assert found == pytest.approx(suggested(desk, skein), rel=1e-6)


def test_wraps_that_nobody_made_do_not_speak_for_the_sett(desk: Desk) -> None:
    found = setup(desk, "Grist")["sett_ends_per_cm"]
    assert found == pytest.approx(suggested(desk, "Grist", wraps=False), rel=1e-6)


@pytest.mark.parametrize("more", ["--purpose drape", "--purpose firm", "--purpose weft-faced"])
def test_the_purpose_changes_the_sett_as_sett_has_it(desk: Desk, more: str) -> None:
    found = setup(desk, f"Thick {more}")["sett_ends_per_cm"]
    assert found == pytest.approx(suggested(desk, "Thick", more), rel=1e-6)
    assert found != pytest.approx(suggested(desk, "Thick"), rel=0.05)


def test_a_twill_and_fulling_change_the_sett_as_sett_has_it(desk: Desk) -> None:
    plain = setup(desk, "Thick")["sett_ends_per_cm"]
    twill = desk.told(["reach", "Thick", *SIZE.split(), "--weave", "2/2 twill"])["setup"]
    assert twill["sett_ends_per_cm"] == pytest.approx(plain * 4 / 3, rel=1e-6)
    fulled = setup(desk, "Thick --wash fulled")["sett_ends_per_cm"]
    assert fulled == pytest.approx(plain * 0.85, rel=1e-6)


def test_picks_are_square_for_one_yarn_and_as_open_for_two(desk: Desk) -> None:
    one = setup(desk, "Thick")
    assert one["picks_per_cm"] == pytest.approx(one["sett_ends_per_cm"])
    wraps = [desk.told(f"skein show {name}")["wraps_per_cm"] for name in ("Fine", "Thick")]
    ratio = wraps[0] / wraps[1]  # the weft is so many times as thick as the warp
    two = setup(desk, "Thick --warp Fine")
    assert two["picks_per_cm"] == pytest.approx(two["sett_ends_per_cm"], rel=1e-6)
    satin = setup(desk, 'Thick --warp Fine --weave "5-end satin"')
    open_as = (5 + 2 * ratio) / (5 * ratio + 2)
    assert satin["picks_per_cm"] == pytest.approx(satin["sett_ends_per_cm"] * open_as, rel=1e-3)
    assert setup(desk, "Thick --picks 2.5/cm")["picks_per_cm"] == 2.5


def test_faced_cloth_has_its_picks_from_the_thickness_of_the_weft(desk: Desk) -> None:
    thin = setup(desk, "Fine --warp Thick --purpose weft-faced")["picks_per_cm"]
    thick = setup(desk, "Thick --warp Thick --purpose weft-faced")["picks_per_cm"]
    assert thin > 1.5 * thick > setup(desk, "Thick --warp Thick")["picks_per_cm"]


def test_a_mixed_warp_is_set_by_the_mean_wrap_of_its_order(desk: Desk) -> None:
    fine = setup(desk, "Thick --warp Fine")["sett_ends_per_cm"]
    thick = setup(desk, "Thick --warp Thick")["sett_ends_per_cm"]
    setts = [
        setup(desk, f"Thick --warp Fine:{ends} --warp Thick:{8 - ends}")["sett_ends_per_cm"]
        for ends in (7, 4, 1)
    ]
    assert fine > setts[0] > setts[1] > setts[2] > thick
    apart = [1 / sett for sett in (fine, *setts, thick)]
    assert apart[2] == pytest.approx((apart[0] + apart[4]) / 2, rel=0.03)


def test_a_sett_and_picks_that_are_given_stand_where_no_reed_is_owned(desk: Desk) -> None:
    found = setup(desk, "Thick --sett 30/10cm --picks 8ppi")
    assert found["sett_ends_per_cm"] == 3
    assert found["picks_per_cm"] == pytest.approx(8 / 2.54)
    assert (found["reed"], found["per_dent"]) == (None, None)


def test_the_reed_that_comes_nearest_is_taken(desk: Desk) -> None:
    desk.does("reed add R20 20/10cm", "reed add R34 34/10cm", "reed add R50 50/10cm")
    exact = setup(desk, "Thick --sett 5/cm")
    assert (exact["reed"], exact["per_dent"]) == ("R50", [1])
    doubled = setup(desk, "Thick --sett 6.8/cm")
    assert (doubled["reed"], doubled["per_dent"]) == ("R34", [2])
    found = setup(desk, "Thick")
    wanted = suggested(desk, "Thick")
    assert abs(math.log(found["sett_ends_per_cm"] / wanted)) < 0.06
    dents = float(found["reed"].removeprefix("R")) / 10
    per_dent = sum(found["per_dent"]) / len(found["per_dent"])
    assert found["sett_ends_per_cm"] == pytest.approx(dents * per_dent)


def test_a_reed_that_is_named_gives_its_nearest_sleying(desk: Desk) -> None:
    desk.does("reed add R20 20/10cm", "reed add R50 50/10cm")
    found = setup(desk, "Thick --sett 5/cm --reed r20")
    assert found["reed"] == "R20"
    assert (sorted(found["per_dent"]), found["sett_ends_per_cm"]) == ([2, 3], 5.0)


def test_an_asked_sett_that_no_reed_gives_is_kept_and_said(desk: Desk) -> None:
    desk.does("loom add Rigid --kind rigid-heddle --width 50cm")
    desk.does("reed add H30 30/10cm --rigid-heddle")
    found = desk.told(f"reach Thick {SIZE} --sett 5/cm --loom Rigid")
    assert found["setup"]["sett_ends_per_cm"] == 5
    assert found["setup"]["reed"] is None
    assert "no-reed" in [one["code"] for one in found["warnings"]]


def test_a_rigid_heddle_takes_one_end_in_each_and_only_on_its_loom(desk: Desk) -> None:
    desk.does("loom add Rigid --kind rigid-heddle --width 50cm")
    desk.does("loom add Table --kind table --width 50cm")
    desk.does("reed add H30 30/10cm --rigid-heddle", "reed add R30 30/10cm")
    for loom, reed in (("Rigid", "H30"), ("Table", "R30")):
        found = setup(desk, f"Thick --sett 3/cm --loom {loom}")
        assert (found["reed"], found["per_dent"]) == (reed, [1])


def test_a_reed_that_belongs_to_a_loom_goes_on_no_other(desk: Desk) -> None:
    desk.does("loom add One --kind table --width 60cm", "loom add Two --kind table --width 60cm")
    desk.does("reed add Own 30/10cm --loom One")
    assert setup(desk, "Thick --sett 3/cm --loom One")["reed"] == "Own"
    assert setup(desk, "Thick --sett 3/cm --loom Two")["reed"] is None
    assert "it does not fit Two" in desk.refuses(f"reach Thick {SIZE} --loom Two --reed Own", 3)


def test_a_warp_of_which_nothing_is_known_needs_a_sett(desk: Desk) -> None:
    desk.does("skein add Unknown --mass 100g")
    assert "farspun skein measure" in desk.refuses(f"reach Unknown {SIZE}", 3)
    assert setup(desk, "Unknown --sett 3/cm")["sett_ends_per_cm"] == 3
