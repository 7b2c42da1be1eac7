"""farspun cloth sample, wound, on-loom, off-loom, finished: in order, corrected, in the ledger."""

import re
from pathlib import Path

import pytest

from cli.cloths import claims
from cli.running import Desk, furnished
from lives import FINISHED, LIFE, OFF_LOOM, ON_LOOM, PLAN, SAMPLE, WOUND


@pytest.fixture
def desk(tmp_path: Path) -> Desk:
    return furnished(tmp_path)


def balance(desk: Desk, name: str) -> float:
    found = desk.told(["skein", "show", name])["mass_g"]
    return 0.0 if found is None else float(found)


def states(desk: Desk) -> dict[str, str]:
    return {one["name"]: one["status"] for one in desk.told("cloth list")}


def test_a_cloth_goes_through_its_life_and_its_yarn_leaves_the_skeins(desk: Desk) -> None:
    desk.does(PLAN)
    assert claims(desk, "Shawl")[("warp", "Gorse 1")] > 90
    assert desk.does(WOUND).splitlines() == ["Shawl: wound.", "  Gorse 1: 98 g used"]
    assert balance(desk, "Gorse 1") == pytest.approx(100 - 390 / 4, abs=0.5)
    assert claims(desk, "Shawl")["warp", "Gorse 1"] == 0
    assert claims(desk, "Shawl")["weft", "Driftwood"] > 60
    assert desk.does(ON_LOOM).splitlines() == ["Shawl: on the loom."]
    assert desk.does(OFF_LOOM).splitlines() == ["Shawl: off the loom.", "  Driftwood: 90 g used"]
    assert balance(desk, "Driftwood") == 60
    assert set(claims(desk, "Shawl").values()) == {0}
    assert desk.does(FINISHED).splitlines() == ["Shawl: finished."]
    assert states(desk) == {"Shawl": "finished"}


def test_the_list_tells_the_state_and_whether_it_will_reach_while_it_may(desk: Desk) -> None:
    expected = [
        (PLAN, "planned", True),
        (WOUND, "wound", True),
        (ON_LOOM, "on loom", True),
        (OFF_LOOM, "off loom", False),
        (FINISHED, "finished", False),
    ]
    for line, state, asked in expected:
        desk.does(line)
        heading, row = desk.does("cloth list").splitlines()
        assert heading.split("  ")[0] == "Cloth"
        assert f"  {state}  " in row
        assert ("in 100" in row) == asked


def test_a_wound_cloth_is_asked_only_about_its_weft(desk: Desk) -> None:
    desk.does(PLAN, WOUND)
    found = desk.told("cloth check Shawl")
    assert (found["status"], found["warp"], found["odds"]["warp"]) == ("wound", [], None)
    assert found["weft"][0]["skeins"] == ["Driftwood"]
    assert found["setup"]["ends"] == 150
    assert found["setup"]["warp_cut_cm"] == 260
    assert found["allowance_for_size"] == {"length_cm": 0.0, "ends": 0, "yarn_m": 0.0}
    assert [one["code"] for one in found["warnings"]] == []


def test_a_woven_cloth_is_not_asked_whether_it_will_reach(desk: Desk) -> None:
    desk.does(PLAN, WOUND, ON_LOOM, OFF_LOOM)
    assert "woven already" in desk.refuses("cloth check Shawl", 3)
    assert desk.told("cloth check") == []
    assert desk.told("shortfalls") == []


@pytest.mark.parametrize(
    ("before", "line", "said"),
    [
        ([], ON_LOOM, "it is only planned.\nFirst: farspun cloth wound Shawl"),
        ([], OFF_LOOM, "First: farspun cloth wound Shawl"),
        ([], FINISHED, "First: farspun cloth wound Shawl"),
        ([WOUND], OFF_LOOM, "it is wound.\nFirst: farspun cloth on-loom Shawl"),
        ([WOUND], FINISHED, "First: farspun cloth on-loom Shawl"),
        ([WOUND, ON_LOOM], FINISHED, "First: farspun cloth off-loom Shawl"),
        ([WOUND, ON_LOOM], WOUND, "it is on the loom already.\nTo correct"),
        ([WOUND, ON_LOOM, OFF_LOOM], ON_LOOM, "it is off the loom already.\nTo correct"),
        (["cloth give-up Shawl --yes"], WOUND, "it is given up"),
        (["cloth give-up Shawl --yes"], SAMPLE, "it is given up"),
    ],
)
def test_what_is_told_out_of_order_is_refused_and_nothing_is_stored(
    desk: Desk, before: list[str], line: str, said: str
) -> None:
    desk.does(PLAN, *before)
    stored = desk.stash.read_bytes()
    assert said in desk.refuses(line, 3)
    assert desk.stash.read_bytes() == stored


@pytest.mark.parametrize(
    ("line", "code", "said"),
    [
        ("cloth wound Shwal", 4, "no cloth called “Shwal”.\nDid you mean “Shawl”"),
        ("cloth sample Shwal --reed 12cm", 4, "Did you mean “Shawl”"),
        ("cloth sample Shawl", 2, "Nothing was measured"),
        ("cloth wound Shawl --left Fresh=5g", 4, "no skein in “Shawl” called “Fresh”"),
        ("cloth wound Shawl --left Driftwood=5g", 2, "is weft, and none of it is woven yet"),
        ('cloth wound Shawl --left "Gorse 1"', 3, "it is not SKEIN=MASS"),
        ('cloth wound Shawl --left "Gorse 1=5"', 3, "a number needs its unit"),
        ('cloth wound Shawl --left "Gorse 1=5g" --left "gorse 1=4g"', 2, "twice"),
        ('cloth wound Shawl --left "Gorse 1=5g" --tare 6g', 3, "more than 0"),
        ("cloth wound Shawl --tare 6g", 2, "--tare goes with --left"),
        ("cloth wound Shawl --ends 0", 3, "from 1"),
        ("cloth wound Shawl --warp 0m", 3, "more than 0"),
        ("cloth sample Shawl --off 30x40cm", 3, "each side needs its unit"),
        ("cloth sample Shawl --washed 0cmx9cm", 3, "more than 0"),
        ("cloth sample Shawl --state tight", 2, "--state goes with --picks"),
    ],
)
def test_what_cannot_be_told_of_a_planned_cloth_is_refused_and_nothing_is_stored(
    desk: Desk, line: str, code: int, said: str
) -> None:
    desk.does(PLAN)
    stored = desk.stash.read_bytes()
    assert said in desk.refuses(line, code)
    assert desk.stash.read_bytes() == stored


@pytest.mark.parametrize(
    ("line", "said"),
    [
        (
            "cloth off-loom Shawl --thrums 260cm",
            "Thrums cannot be 260 cm: the whole warp is 260 cm",
        ),
        ("cloth off-loom Shawl --thrums 62m", "the whole warp is 260 cm long"),
        ("cloth off-loom Shawl --thrums 62cm --spare 63cm", "it is a part of the thrums"),
        ("cloth off-loom Shawl --spare 5cm", "it is a part of the thrums"),
        ("cloth off-loom Shawl --warp 50cm --thrums 62cm", "the whole warp is 50 cm long"),
    ],
)
def test_what_is_impossible_is_refused_and_nothing_is_stored(
    desk: Desk, line: str, said: str
) -> None:
    desk.does(PLAN, WOUND, ON_LOOM)
    stored = desk.stash.read_bytes()
    assert said in desk.refuses(line, 3)
    assert desk.stash.read_bytes() == stored


def test_thrums_told_before_make_a_shorter_warp_impossible(desk: Desk) -> None:
    desk.does(PLAN, WOUND, ON_LOOM, OFF_LOOM)
    assert "Thrums cannot be 62 cm" in desk.refuses("cloth finished Shawl --warp 60cm", 3)


def test_a_stage_does_not_take_what_can_be_measured_only_later(desk: Desk) -> None:
    desk.does(PLAN)
    ran = desk.run("cloth wound Shawl --washed 40cmx160cm")
    assert ran.exit_code == 2
    assert "No such option: --washed" in ran.stderr


def test_a_warp_laid_directly_is_never_wound(desk: Desk) -> None:
    desk.does(f"{PLAN} --direct")
    assert "it is warped direct" in desk.refuses(WOUND, 3)
    assert desk.does("cloth on-loom Shawl --ends 150 --warp 2.6m").splitlines() == [
        "Shawl: on the loom.",
        "  Gorse 1: 98 g used",
    ]


def test_picks_counted_on_the_loom_are_tight_and_later_ones_rested(desk: Desk) -> None:
    desk.does(PLAN, WOUND, ON_LOOM)
    assert desk.told("cloth show Shawl")["measured"]["cloth"]["picks_state"] == "tight"
    desk.does(OFF_LOOM, "cloth off-loom Shawl --picks 3.1/cm")
    found = desk.told("cloth show Shawl")["measured"]["cloth"]
    assert (found["picks_per_cm"], found["picks_state"]) == (3.1, "rested")
    desk.does("cloth off-loom Shawl --state tight")
    assert desk.told("cloth show Shawl")["measured"]["cloth"]["picks_state"] == "tight"


def test_more_is_told_and_corrected_at_the_same_stage_or_a_later_one(desk: Desk) -> None:
    desk.does(PLAN, WOUND)
    assert desk.does("cloth wound Shawl --ends 140").splitlines() == [
        "Shawl: wound, corrected.",
        "  Gorse 1: 6.5 g put back",
    ]
    assert balance(desk, "Gorse 1") == pytest.approx(100 - 140 * 2.6 / 4, abs=0.1)
    desk.does(ON_LOOM, OFF_LOOM, FINISHED, "cloth finished Shawl --ends 150 --thrums 60cm")
    assert balance(desk, "Gorse 1") == pytest.approx(100 - 150 * 2.6 / 4, abs=0.1)
    found = desk.told("cloth show Shawl")
    assert (found["ends"], found["measured"]["cloth"]["thrums_cm"]) == (150, 60)


def test_a_slip_that_took_all_of_a_skein_is_put_right_to_the_gram(desk: Desk) -> None:
    desk.does(PLAN, WOUND)
    left = balance(desk, "Gorse 1")
    assert "less of Gorse 1 than the warp took" in desk.run("cloth wound Shawl --warp 26m").stderr
    assert balance(desk, "Gorse 1") == 0
    desk.does("cloth wound Shawl --warp 2.6m")
    assert balance(desk, "Gorse 1") == pytest.approx(left, abs=0.01)


@pytest.mark.parametrize(
    ("told", "said"),
    [
        ("--ends 1500", r"1500 ends; the plan would have 1\d\d ends\. .+ 150 ends would fit\. To"),
        ("--warp 26m", r"right\? 2600 cm of warp; the plan would have 2\d\d cm of warp\."),
        ("--warp 107cm", "To correct it: farspun cloth wound Shawl --warp …"),
    ],
)
def test_a_warp_far_from_the_plan_is_asked_about_when_it_is_wound(
    desk: Desk, told: str, said: str
) -> None:
    desk.does(PLAN)
    assert re.search(said, desk.run(f"cloth wound Shawl {told}").stderr)
    assert "Is that right" not in desk.run("cloth wound Shawl --ends 150 --warp 2.6m").stderr


def test_a_warp_settled_by_hand_is_the_plan(desk: Desk) -> None:
    desk.does(f"{PLAN} --ends 60 --warp-cut 120cm")
    assert "Is that right" not in desk.run("cloth wound Shawl --ends 66 --warp 1.3m").stderr


def test_one_skein_on_both_sides_is_put_right_for_both(desk: Desk) -> None:
    both = PLAN.replace("Driftwood", '"Gorse 1"').replace("40cmx160cm", "20cmx60cm")
    desk.does(both, "cloth wound Shawl --ends 75 --warp 1.5m", ON_LOOM)
    desk.does("cloth off-loom Shawl --off 22cmx70cm")
    used = 100 - balance(desk, "Gorse 1")
    desk.does("cloth off-loom Shawl --off 22cmx7cm", "cloth off-loom Shawl --ends 60")
    assert 100 - balance(desk, "Gorse 1") < used
    desk.does("cloth off-loom Shawl --ends 75 --off 22cmx70cm")
    assert 100 - balance(desk, "Gorse 1") == pytest.approx(used, abs=0.3)


def test_weft_that_was_not_weighed_follows_what_is_told_of_the_cloth(desk: Desk) -> None:
    desk.does(PLAN, WOUND, ON_LOOM, OFF_LOOM.replace(" --left Driftwood=60g", ""))
    used = 150 - balance(desk, "Driftwood")
    desk.does("cloth finished Shawl --off 46cmx87cm")
    assert 150 - balance(desk, "Driftwood") == pytest.approx(used / 2, rel=0.01)
    desk.does("cloth finished Shawl --picks 6/cm --state rested")
    assert 150 - balance(desk, "Driftwood") == pytest.approx(used, rel=0.01)
    desk.does("cloth finished Shawl --left Driftwood=55g", "cloth finished Shawl --off 46cmx174cm")
    assert balance(desk, "Driftwood") == 55  # the scale knows better


def test_a_tare_comes_off_what_is_left_and_nothing_left_is_nothing(desk: Desk) -> None:
    desk.does(PLAN)
    desk.does("cloth wound Shawl --ends 150 --warp 2.6m --left 'Gorse 1=12g' --tare 5g")
    assert balance(desk, "Gorse 1") == 7
    desk.does(ON_LOOM)
    ran = desk.run("cloth off-loom Shawl --left Driftwood=0g")
    assert ran.stdout.splitlines() == ["Shawl: off the loom.", "  Driftwood: 150 g used"]
    assert "Nothing is left of “Driftwood”" in ran.stderr
    assert balance(desk, "Driftwood") == 0


def test_a_scale_that_cannot_be_right_is_asked_about(desk: Desk) -> None:
    desk.does(PLAN, WOUND, ON_LOOM)
    too_much = (
        "150 g of “Driftwood” before this cloth, and 190 g are left: was a cone or shuttle weighed"
        " too"
    )
    said = desk.refuses("cloth off-loom Shawl --left Driftwood=190g", 3)
    assert too_much in said and "If it is right, add --sure." in said
    assert balance(desk, "Driftwood") == 150
    ran = desk.run("cloth off-loom Shawl --left Driftwood=190g --sure")
    assert too_much in ran.stderr
    desk.does("undo")
    ran = desk.run("cloth off-loom Shawl --left Driftwood=140g")
    assert "by the scale 10 g: is the weight, the length or a reading" in ran.stderr


@pytest.mark.parametrize("slip", ["130g' --sure", "40g'", "20g'"])
def test_what_is_left_weighed_again_after_a_slip_leaves_no_doubt(desk: Desk, slip: str) -> None:
    """Gorse 1 is 100 g and 400 m, and the warp takes 390 m of it."""
    desk.does(PLAN, f"cloth wound Shawl --ends 150 --warp 2.6m --left 'Gorse 1={slip}")
    desk.does("cloth wound Shawl --left 'Gorse 1=2.5g'")
    shown = desk.told(["skein", "show", "Gorse 1"])
    assert (shown["mass_g"], shown["remarks"]) == (2.5, [])
    assert shown["length_m"]["p50"] == pytest.approx(10, rel=0.05)
    desk.does("undo")
    assert balance(desk, "Gorse 1") == float(slip.partition("g")[0])
    desk.does("doctor")


@pytest.mark.parametrize(
    ("left", "went", "slip"),
    [("72g", "112 m (28 g)", "bobbin or cone"), ("50g", "200 m (50 g)", "another ball"),
     ("99g", "4.0 m (1.0 g)", "(--tare)")],
)  # fmt: skip
def test_what_is_left_that_does_not_fit_the_warp_wound_is_asked_about(
    desk: Desk, left: str, went: str, slip: str
) -> None:
    """100 g are 400 m; 150 ends of 260 cm are 390 m."""
    desk.does(PLAN)
    line = f"cloth wound Shawl --ends 150 --warp 2.6m --left 'Gorse 1={left}'"
    ran = desk.run(line)
    said = " ".join(ran.stderr.split())
    assert ran.exit_code == 0
    assert "Is that right? 150 ends of 260 cm take 390 m of Gorse 1" in said
    assert f"by the scale {went} went" in said and slip in said
    assert said.count("by the scale") == 1  # asked once
    assert balance(desk, "Gorse 1") == float(left.removesuffix("g"))


def test_far_more_gone_than_the_warp_takes_names_a_ball_left_out(desk: Desk) -> None:
    """75 ends of 260 cm are 195 m, and 100 g less 5 g are 380 m."""
    desk.does(PLAN)
    line = "cloth wound Shawl --ends 75 --warp 2.6m --left 'Gorse 1=5g'"
    said = " ".join(desk.run(line).stderr.split())
    assert "take 195 m" in said and "380 m (95 g) went: was a ball left out" in said


def test_a_skein_that_was_not_weighed_may_have_given_the_rest_of_the_warp(desk: Desk) -> None:
    both = PLAN.replace('"Gorse 1"', '"Gorse 1" --warp "Gorse 2"')
    desk.does(both)
    desk.does("cloth wound Shawl --ends 150 --warp 2.6m --left 'Gorse 1=72g'")
    assert balance(desk, "Gorse 1") == 72
    # 390 m less 28 g, 112 m, of the one are 278 m of the other: 4 m in a gram
    assert balance(desk, "Gorse 2") == pytest.approx(110 - 278 / 4, abs=1)
    line = "cloth wound Shawl --left 'Gorse 1=72g' --left 'Gorse 2=106g'"
    said = " ".join(desk.run(line).stderr.split())
    assert "390 m of Gorse 1 + Gorse 2, and by the scale 128 m (32 g) went" in said
    said = " ".join(desk.run("cloth on-loom Shawl --left 'Gorse 2=106g'").stderr.split())
    assert "by the scale 128 m (32 g) went" in said


def test_a_take_that_was_forgotten_is_still_doubted(desk: Desk) -> None:
    """By its length the warp leaves 10 m, and 40 g are 160 m."""
    desk.does(PLAN, "cloth wound Shawl --ends 150 --warp 2.6m --left 'Gorse 1=3g'")
    desk.does("cloth wound Shawl --left 'Gorse 1=40g'")
    assert "does not fit together" in desk.told(["skein", "show", "Gorse 1"])["remarks"][0]


def test_what_is_left_of_a_closed_skein_or_one_nobody_weighed_is_refused(desk: Desk) -> None:
    desk.does(PLAN, WOUND, ON_LOOM, "skein close Driftwood --because used")
    assert "it is closed" in desk.refuses("cloth off-loom Shawl --left Driftwood=5g", 3)
    desk.does("cloth off-loom Shawl")
    desk.does(
        "cloth plan Mat --size 20cmx30cm --sett 3/cm --warp 'Gorse 2' --weft Wraps",
        "cloth wound Mat", "cloth on-loom Mat",
    )  # fmt: skip
    refused = desk.refuses("cloth off-loom Mat --left Wraps=5g", 3)
    assert "nobody knows how much of it there was" in refused
    ran = desk.run("cloth off-loom Mat")
    assert ran.exit_code == 0
    assert "By its ledger there was" in ran.stderr


def test_yarn_taken_by_hand_for_the_cloth_is_not_taken_again(desk: Desk) -> None:
    desk.does(PLAN, 'skein take "Gorse 1" 98g --for Shawl')
    assert desk.does(WOUND).splitlines() == ["Shawl: wound."]
    assert balance(desk, "Gorse 1") == 2


def test_every_step_is_undone_whole(desk: Desk) -> None:
    desk.does(PLAN)
    were = []
    for line in (SAMPLE, WOUND, ON_LOOM, OFF_LOOM, FINISHED):
        were.append((desk.told("cloth show Shawl"), desk.told("skein list"), claims(desk, "Shawl")))
        desk.does(line)
    for was in reversed(were):
        desk.does("undo")
        now = desk.told("cloth show Shawl"), desk.told("skein list"), claims(desk, "Shawl")
        assert now == was
    desk.does("doctor")


def test_undo_and_history_say_what_was_told(desk: Desk) -> None:
    desk.does(PLAN, WOUND, ON_LOOM, f"{OFF_LOOM} --tare 2g")
    history = desk.does("skein history Driftwood")
    assert "weft: weighed for Shawl" in history
    said = desk.does("undo")
    assert "cloth off-loom (Shawl: tape 180 cm, thrums 62 cm, off 46 cm wide, 174 cm long" in said
    assert "left Driftwood 60 g, tare 2 g" in said
    assert "warp: about 390 m for Shawl" in desk.does("skein history 'Gorse 1'")


def test_show_tells_what_was_measured_and_used(desk: Desk) -> None:
    desk.does(PLAN, SAMPLE, WOUND, ON_LOOM, OFF_LOOM, FINISHED)
    shown = " ".join(desk.does("cloth show Shawl").split())
    for part in (
        "Shawl (finished)",
        "Warp Gorse 1: 98 g used",
        "Weft Driftwood: 90 g used",
        "Sample 12 cm in the reed; picks 3.1 per cm rested; off the loom 11 cm wide, 10 cm long",
        "in inches: 4.7 in in the reed",
        "Shows draw-in 8.3 %, shrinkage in length 10 %, shrinkage in width 10 %, beat 105 %",
        "Woven 150 ends; warp 260 cm; 180 cm woven by the tape; thrums 62 cm;",
        "washed 41.4 cm wide, 157 cm long; wash gentle; the piece 190 g",
        "Shows loom waste 62 cm, let-off 3.3 %, take-up 12.1 %, draw-in 8 %",
    ):
        assert part in shown
    assert "Will it reach" not in shown
    measured = desk.told("cloth show Shawl")["measured"]
    assert measured["cloth"]["off_length_cm"] == 174
    assert measured["cloth"]["reed_cm"] is None
    assert measured["cloth"]["shows"]["draw_in"] == pytest.approx(0.08)
    assert measured["sample"]["mass_g"] is None


def test_a_planned_cloth_shows_nothing_measured(desk: Desk) -> None:
    desk.does(PLAN)
    assert desk.told("cloth show Shawl")["measured"] == {}
    assert "Shows" not in desk.does("cloth show Shawl")
    desk.does("cloth wound Shawl")
    assert "Woven" not in desk.does("cloth show Shawl")


def test_both_sample_and_cloth_are_told_in_inches_as_well(desk: Desk) -> None:
    desk.does(
        PLAN, "cloth sample Shawl --reed 5in --off 4.6inx4in --washed 4.1inx3.6in --picks 8ppi"
    )
    found = desk.told("cloth show Shawl")["measured"]["sample"]
    assert found["reed_cm"] == pytest.approx(12.7)
    assert found["picks_per_cm"] == pytest.approx(8 / 2.54)
    assert found["shows"]["shrink_length"] == pytest.approx(0.1)


def test_a_whole_life_goes_out_and_comes_in_again(desk: Desk, tmp_path: Path) -> None:
    desk.does(*LIFE, "cloth finished Shawl --washed 4.14cmx156.6cm")
    desk.does("lessons --confirm Shawl 'shrinkage in width'", f"export {tmp_path}/a.json")
    other = Desk(tmp_path / "other")
    other.folder.mkdir()
    other.does(f"import {tmp_path}/a.json", f"export {tmp_path}/b.json")
    assert (tmp_path / "a.json").read_bytes() == (tmp_path / "b.json").read_bytes()
    for line in ("cloth show Shawl", "lessons", "skein list"):
        assert other.does(line) == desk.does(line)
    other.does("doctor", "undo")
    assert other.told("cloth list") == []
    assert other.told("lessons")["cloths"] == 0


def test_weighing_again_is_held_against_what_there_was_before_the_cloth(desk: Desk) -> None:
    desk.does(PLAN, WOUND, ON_LOOM, OFF_LOOM.replace("60g", "40g"))
    ran = desk.run("cloth off-loom Shawl --left Driftwood=60g")
    assert ran.stdout.splitlines()[1] == "  Driftwood: 20 g put back"
    assert ran.stderr == ""
    ran = desk.run("cloth off-loom Shawl --left Driftwood=50g")
    assert ran.stdout.splitlines()[1] == "  Driftwood: 10 g more used"
    assert "before this cloth" not in ran.stderr  # 100 g are a weft take-up to mention, no more
    assert "Weft take-up comes to" in ran.stderr


def test_far_more_left_than_there_ever_was_is_refused(desk: Desk) -> None:
    desk.does(PLAN, WOUND, ON_LOOM, OFF_LOOM)
    before = desk.stash.read_bytes()
    said = desk.refuses("cloth off-loom Shawl --left Driftwood=600g", 3)
    assert "there were 150 g before this cloth" in said and "decimal point" in said
    assert desk.stash.read_bytes() == before


@pytest.mark.parametrize(
    ("told", "asked"),
    [
        ("--warp 26cm", "Is the decimal point right? 260 cm of warp would fit."),
        ("--warp 260in", "Were cm meant? 260 cm of warp would fit."),
        ("--ends 15", "Is the decimal point right? 150 ends would fit."),
        ("--ends 400", ""),
    ],
)
def test_a_warp_unlike_the_plan_is_asked_about_with_the_likely_slip(
    desk: Desk, told: str, asked: str
) -> None:
    desk.does(PLAN.replace("cloth plan Shawl", "cloth plan Shawl --ends 150 --warp-cut 260cm"))
    said = " ".join(desk.run(f"cloth wound Shawl {told}").stderr.split())
    assert "Is that right?" in said
    assert asked in said
    assert bool(asked) == ("would fit" in said)


def test_a_weft_shorter_than_straight_across_is_asked_about_and_teaches_nothing(
    desk: Desk,
) -> None:
    desk.does(PLAN, WOUND, ON_LOOM)
    ran = desk.run(OFF_LOOM.replace("60g", "75g"))  # 75 g are 225 m; 522 picks of 46 cm are 240 m
    said = " ".join(ran.stderr.split())
    assert "the weft weighed comes to 225 m, and straight across the cloth it is 24" in said
    assert "Was a ball left out, or what it was weighed with (--tare)?" in said
    told = next(one for one in desk.told("lessons")["factors"] if one["name"] == "weft take-up")
    assert [one["counts"] for one in told["records"]] == [False]
    desk.does("cloth off-loom Shawl --left Driftwood=65g")  # 85 g are 255 m
    told = next(one for one in desk.told("lessons")["factors"] if one["name"] == "weft take-up")
    assert [one["counts"] for one in told["records"]] == [True]


def test_a_take_up_far_off_the_habit_is_mentioned_when_told(desk: Desk) -> None:
    """240 cm of warp woven up became 190 cm of cloth: 20.8 %."""
    desk.does(PLAN, WOUND, ON_LOOM)
    said = " ".join(desk.run("cloth off-loom Shawl --thrums 20cm --off 46cmx190cm").stderr.split())
    assert "Take-up comes to 20.8 %" in said and "is usual" in said


def test_a_usual_take_up_is_not_mentioned(desk: Desk) -> None:
    desk.does(PLAN, WOUND, ON_LOOM)
    said = desk.run("cloth off-loom Shawl --thrums 62cm --off 46cmx176cm").stderr
    assert "comes to" not in said


@pytest.mark.parametrize(("mass", "asked"), [("120g", True), ("160g", False), ("250g", True)])
def test_a_piece_that_weighs_far_from_its_yarn_is_mentioned(
    desk: Desk, mass: str, asked: bool
) -> None:
    """97.5 g of warp less 62 of 260 cm of thrums, 23.3 g, and 90 g of weft: 164 g."""
    desk.does(PLAN, WOUND, ON_LOOM, OFF_LOOM)
    said = " ".join(
        desk.run(f"cloth finished Shawl --washed 41.4cmx156.6cm --mass {mass}").stderr.split()
    )
    assert asked == ("It took 188 g of yarn, of which about 23 g are thrums" in said)
