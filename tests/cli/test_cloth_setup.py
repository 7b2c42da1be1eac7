"""The set-up of a cloth: loom, reed, ends, pieces, fringes, and what is settled by hand."""

from pathlib import Path

import pytest

from cli.cloths import EXACT, middle, plan
from cli.running import Desk, furnished


@pytest.fixture
def desk(tmp_path: Path) -> Desk:
    return furnished(tmp_path)


def test_a_cloth_wider_than_its_loom_is_refused_with_panels_that_do(desk: Desk) -> None:
    for width, more in ((55, ""), (80, ""), (150, "--side-hem 2cm"), (399, "--repeat 16")):
        line = f"--sett 3/cm --picks 3/cm --warp Driftwood --weft Fresh --loom Table {more}"
        said = desk.refuses(f"cloth plan Wide --size {width}cmx200cm {line}", 3)
        assert "on Table: it needs" in said and "the loom takes 60 cm" in said
        _, hint = said.splitlines()
        size, _, pieces = hint.partition("--size ")[2].partition("… --pieces ")
        pieces, _, in_one = pieces.partition(".")
        panels = int(pieces)
        assert "In one piece it may be about" in in_one
        assert panels * float(size.removesuffix("cmx")) >= width + 2 * panels
        desk.told(f"cloth plan {width} --size {size}200cm --pieces {panels} {line}")


def test_a_loom_too_narrow_for_panels_says_so(desk: Desk) -> None:
    desk.does("loom add Band --kind frame --width 3cm --sure")
    line = "cloth plan Wide --size 90mx1m --sett 3/cm --warp Driftwood --weft Fresh --loom Band"
    assert "Use a wider loom" in desk.refuses(line, 3)


def test_the_first_loom_that_is_wide_enough_is_taken(desk: Desk) -> None:
    plan(desk, "--warp Driftwood --weft Fresh", "Narrow", "30cmx50cm")
    plan(desk, "--warp Driftwood --weft Fresh", "Wide", "80cmx50cm")
    assert desk.told("cloth show Narrow")["loom"] == "Table"
    assert desk.told("cloth show Wide")["loom"] == "Floor"


def test_a_reed_gives_the_sett_it_can_and_a_heddle_only_fits_its_loom(desk: Desk) -> None:
    desk.does("reed add R30 30/10cm", "reed add H40 40/10cm --rigid-heddle")
    line = "cloth plan A --size 20cmx50cm --warp Driftwood --weft Fresh"
    assert "it does not fit Table" in desk.refuses(f"{line} --reed H40 --loom Table", 3)
    found = desk.told(f"{line} --reed R30 --sett 4.5/cm")["setup"]
    assert (found["reed"], found["per_dent"]) == ("R30", [1, 2])
    assert found["sett_ends_per_cm"] == pytest.approx(4.5)


def test_floating_selvedges_count_as_ends_but_not_in_the_width(desk: Desk) -> None:
    without = plan(desk, f"{EXACT} --warp Driftwood --weft Fresh", "Without")
    with_4 = plan(desk, f"{EXACT} --floating-selvedges 4 --warp Driftwood --weft Fresh", "With")
    assert with_4["setup"]["ends"] == without["setup"]["ends"] + 4
    assert with_4["setup"]["reed_width_cm"] == without["setup"]["reed_width_cm"] == 40
    cut_m = without["setup"]["warp_cut_cm"] / 100
    more_m = middle(with_4["warp"][0]) - middle(without["warp"][0])
    assert more_m == pytest.approx(4 * cut_m, rel=1e-6)
    assert middle(with_4["weft"][0]) == middle(without["weft"][0])


def test_ends_come_in_whole_repeats_and_in_pairs_when_warped_direct(desk: Desk) -> None:
    yarns = f"{EXACT} --warp Driftwood --weft Fresh"
    for more, ends in (("", 111), ("--direct", 112), ("--repeat 7", 112), ("--repeat 25", 125)):
        found = plan(desk, f"{yarns} {more}", f"A{more}", "37cmx50cm")
        assert found["setup"]["ends"] == ends
    both = plan(desk, f"{yarns} --direct --repeat 25", "Both", "37cmx50cm")
    assert both["setup"]["ends"] == 150


def test_several_pieces_lie_on_one_warp_with_gaps_and_fringes_between(desk: Desk) -> None:
    yarns = f"{EXACT} --warp Driftwood --weft Fresh"
    one = plan(desk, yarns, "One", "10cmx50cm")["setup"]
    three = plan(desk, f"{yarns} --pieces 3 --gap 4cm --hem 1cm", "Three", "10cmx50cm")["setup"]
    assert one["warp_cut_cm"] == 50 + 50
    assert three["warp_cut_cm"] == 3 * 52 + 2 * 4 + 50
    assert three["picks"] == 3 * 52 * 3


def test_a_fringe_is_the_finished_one_and_reckon_takes_it_as_cut(desk: Desk) -> None:
    line = "--take-up 0% --waste 50cm --shrink-length 10% --give 0%"
    found = plan(desk, f"{line} --fringe 10cm --warp Driftwood --weft Fresh")["setup"]
    cut = 10 / (0.85 * 0.9)
    assert found["warp_length_cm"] == pytest.approx(160 / 0.9 + 50 + 2 * cut)
    reckoned = desk.told(
        "reckon --width 40cm --length 160cm --sett 3/cm --picks 3/cm --shrink-length 10%"
        " --waste 50cm --fringe 10cm"
    )
    assert reckoned["warp_length_cm"] == pytest.approx(160 / 0.9 + 50 + 2 * 10)


def test_outer_fringes_may_come_out_of_the_waste(desk: Desk) -> None:
    line = f"{EXACT} --fringe 8.5cm --warp Driftwood --weft Fresh"
    own = plan(desk, line, "Own")["setup"]
    spared = plan(desk, f"{line} --fringe-from-waste", "Spared")["setup"]
    assert (own["warp_cut_cm"], spared["warp_cut_cm"]) == (160 + 50 + 20, 160 + 50)


def test_ends_and_warp_cut_by_hand_stand_as_given(desk: Desk) -> None:
    found = plan(desk, "--ends 100 --warp-cut 222cm --warp Driftwood --weft Fresh")
    assert (found["setup"]["ends"], found["setup"]["warp_cut_cm"]) == (100, 222)
    assert middle(found["warp"][0]) == pytest.approx(222, rel=1e-3)
    assert found["odds"]["size"] < 0.05
    assert found["allowance_for_size"]["ends"] == 0


def test_a_width_in_inches_gains_no_false_end_when_it_is_stored(desk: Desk) -> None:
    exact = "--draw-in 0% --shrink-width 0% --give 0% --warp Driftwood --weft Fresh --sett 8epi"
    found = desk.told(f"cloth plan Inches --size 14inx50cm {exact}")
    assert found["setup"]["ends"] == 112  # 14 in at 8 to the inch
    desk.does("reed add R8 8dpi")
    reeded = desk.told(f"cloth plan Reeded --size 14inx50cm {exact} --reed R8")
    assert reeded["setup"]["ends"] == 112


def test_a_take_up_that_adds_gains_no_false_centimetre_when_it_is_stored(desk: Desk) -> None:
    exact = "--shrink-length 0% --take-up +15% --waste 60cm --give 0% --warp Driftwood --weft Fresh"
    found = plan(desk, exact, size="20cmx1m")
    assert found["setup"]["warp_cut_cm"] == 115 + 60


def test_planning_and_the_quick_question_give_the_same_numbers(desk: Desk) -> None:
    before = desk.stash.read_bytes()
    for size in ("40cmx160cm", "14in x 2yd 18in"):
        for more in ("--cut", "--take-up +11% --promise 90% --fringe 3in"):
            line = f'--size "{size}" --sett 8epi --warp "Gorse 1" {more}'
            quick = desk.told(f"reach Driftwood {line}")
            planned = desk.told(f"cloth plan A {line} --weft Driftwood")
            desk.stash.write_bytes(before)
            assert planned["verdict"] == quick["verdict"]
            for name, value in quick["setup"].items():
                assert planned["setup"][name] == (value and pytest.approx(value, rel=1e-4)), name
            assert planned["odds"] == pytest.approx(quick["odds"], abs=0.002)


def test_a_reed_she_named_stays_until_she_takes_it_back(desk: Desk) -> None:
    desk.does("reed add R20 20/10cm", "reed add R30 30/10cm", "reed add R40 40/10cm")
    plan(desk, "--warp Driftwood --weft Fresh --loom Table --reed R30", "Kept", "30cmx50cm")
    assert desk.told("cloth change Kept --promise 90%")["setup"]["reed"] == "R30"
    at_2 = desk.told("cloth change Kept --sett 2/cm")
    assert at_2["setup"]["reed"] == "R30"
    (off,) = [one["text"] for one in at_2["warnings"] if one["code"] == "reed-far-off"]
    assert off.startswith("R30 gives 3.0 per cm: 50 % closer than you asked for (2.0 per cm)")
    assert "R20 comes nearer (--reed)" in off
    assert desk.told("cloth change Kept --default reed")["setup"]["reed"] == "R20"


def test_a_reed_that_farspun_chose_is_kept_by_a_change_that_has_nothing_to_do_with_it(desk) -> None:
    desk.does("reed add R30 30/10cm", "reed add R40 40/10cm")
    plan(desk, "--warp Driftwood --weft Fresh --loom Table --sett 4/cm", "Kept", "30cmx50cm")
    assert desk.told("cloth change Kept --promise 90%")["setup"]["reed"] == "R40"
    assert desk.told("cloth change Kept --sett 3/cm")["setup"]["reed"] == "R30"


def test_a_wider_cloth_moves_to_a_wider_loom_unless_the_loom_was_named(desk: Desk) -> None:
    plan(desk, "--warp Driftwood --weft Fresh", "Free", "30cmx50cm")
    assert desk.told("cloth show Free")["loom"] == "Table"
    desk.told("cloth change Free --size 80cmx50cm")
    assert desk.told("cloth show Free")["loom"] == "Floor"
    desk.told("cloth change Free --size 30cmx50cm --loom Table")
    assert "on Table: it needs" in desk.refuses("cloth change Free --size 80cmx50cm", 3)
    desk.told("cloth change Free --size 80cmx50cm --default loom")
    assert desk.told("cloth show Free")["loom"] == "Floor"


def test_what_was_settled_by_hand_is_taken_back_by_default(desk: Desk) -> None:
    free = desk.told("cloth plan Free --size 30cmx50cm --warp Driftwood --weft Fresh")
    by_hand = "--ends 77 --warp-cut 333cm --give 1% --sett 9/cm --take-up 3% --waste 5cm --hem 9cm"
    settled = desk.told(f"cloth change Free {by_hand}")
    assert settled["setup"]["ends"] == 77 and settled["setup"]["warp_cut_cm"] == 333
    back = " ".join(f"--default {option.split()[0]}" for option in by_hand.split("--")[1:])
    assert desk.told(f"cloth change Free {back}") == free
    assert "no option" in desk.refuses("cloth change Free --default sise", 2).lower()
    assert "do not go together" in desk.refuses("cloth change Free --default hem --hem 1cm", 2)
