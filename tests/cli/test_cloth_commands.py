"""farspun cloth: planning, asking, changing, giving up; what scripts and weavers rely on."""

import json
import math
import sqlite3
from pathlib import Path
from typing import Any

import pytest

from cli.running import Desk, furnished

KEYS = ["cloth", "status", "verdict", "promise", "odds", "warp", "weft", "setup"]
KEYS += ["allowance_for_size", "drivers", "settle", "warnings", "assumptions"]
NEED = ["skeins", "need_m", "have_m", "odds", "short_m", "short_g"]
POINTS = ["p05", "p50", "p95"]
MORE_SETUP = ["sett_ends_per_cm", "reed", "per_dent", "picks_per_cm"]
SHAWL = 'cloth plan Shawl --size 40cmx160cm --sett 3/cm --warp "Gorse 1" --weft Driftwood'
SCARF = ["--size", "20cmx50cm", "--sett", "3/cm", "--warp", "Driftwood", "--weft", "Fresh"]
EXACT = "--draw-in 0% --take-up 0% --shrink-width 0% --shrink-length 0% --waste 50cm --give 0%"


@pytest.fixture
def desk(tmp_path: Path) -> Desk:
    return furnished(tmp_path)


def plan(desk: Desk, more: str, name: str = "Cloth", size: str = "40cmx160cm") -> dict[str, Any]:
    """Plan a cloth at 3 ends and picks per cm; its JSON."""
    line = f'cloth plan "{name}" --size {size} --sett 3/cm --picks 3/cm {more}'
    found: dict[str, Any] = desk.told(line)
    return found


def middle(need: dict[str, Any]) -> float:
    return float(need["need_m"]["p50"])


def claims(desk: Desk, name: str) -> dict[tuple[str, str], float]:
    """Grams that a cloth claims, by side and skein."""
    shown = desk.told(["cloth", "show", name])
    return {(yarn["side"], yarn["skein"]): yarn["claimed_g"] for yarn in shown["yarns"]}


def assumption(found: dict[str, Any], name: str) -> tuple[float, float, str]:
    one = next(one for one in found["assumptions"] if one["name"] == name)
    return one["mean"], one["sd"], one["from"]


# --- what it prints


def test_the_answer_has_exactly_the_keys_that_scripts_rely_on(desk: Desk) -> None:
    found = desk.told(SHAWL)
    reckoned = desk.told("reckon --width 40cm --length 160cm --sett 3/cm --picks 3/cm")
    assert list(found) == KEYS
    assert list(found["odds"]) == ["yarn", "warp", "weft", "size", "all"]
    assert list(found["setup"]) == [*reckoned, *MORE_SETUP]
    assert list(found["allowance_for_size"]) == ["length_cm", "ends", "yarn_m"]
    for need in (*found["warp"], *found["weft"]):
        assert list(need) == NEED
        assert (list(need["need_m"]), list(need["have_m"])) == (POINTS, POINTS)
    for one in found["assumptions"]:
        assert list(one) == ["name", "mean", "sd", "from"]
    for one in found["warnings"]:
        assert list(one) == ["code", "text"]
    for one in found["drivers"]:
        assert list(one) == ["cause", "share"]
    assert sum(one["share"] for one in found["drivers"]) == pytest.approx(1)
    assert found["settle"] is None or list(found["settle"]) == ["do", "odds_after"]


def test_planning_checking_and_changing_nothing_give_the_same_answer(desk: Desk) -> None:
    planned = desk.told(SHAWL)
    assert desk.told("cloth check Shawl") == planned
    assert desk.told("cloth check") == [planned]
    assert desk.told("cloth check --all") == [planned]
    assert desk.told("cloth claim Shawl") == planned
    assert desk.told("cloth change Shawl") == planned


def test_check_with_no_cloth_is_an_empty_list(desk: Desk) -> None:
    assert desk.told("cloth check") == []
    assert desk.does("cloth check") == "No cloth is planned.\n"
    assert desk.told("cloth list") == desk.told("shortfalls") == []


def test_a_name_and_all_together_are_refused(desk: Desk) -> None:
    desk.does(SHAWL)
    desk.refuses("cloth check Shawl --all", 2)


def test_json_on_stdout_is_alone_even_where_there_is_much_to_warn_of(desk: Desk) -> None:
    result = desk.run(
        "cloth plan Rag --size 2mx20cm --sett 40/cm --warp Wraps --weft Fresh --json"
        " --shrink-width 0% --draw-in 0% --loom Floor --direct --ends 4801"
    )
    assert result.exit_code == 3  # 2 m on 120 cm
    result = desk.run(
        "cloth plan Rag --size 90cmx20cm --sett 40/cm --warp Wraps --weft Fresh --json"
        " --shrink-width 0% --draw-in 0% --direct --ends 3601"
    )
    found = json.loads(result.stdout)
    codes = {one["code"] for one in found["warnings"]}
    assert codes >= {"length-unknown", "wider-than-long", "odd-ends", "no-reed"}
    assert result.stderr == ""


def test_in_words_the_verdict_comes_first_and_both_systems_have_lines_of_their_own(
    desk: Desk,
) -> None:
    lines = desk.does(SHAWL).splitlines()
    assert lines[0] == "Shawl"
    assert lines[1].startswith("Falls short: ")
    assert "that both yarns reach (you asked for 95)" in lines[1]
    starts = [line.split()[0] for line in lines[2:] if line and not line.startswith(" ")]
    assert starts[:4] == ["Warp", "Weft", "Size", "Loom"]
    metric, imperial = [line for line in lines if " m" in line], [" yards", " inches"]
    assert metric
    for line in lines:
        assert not any(unit in line for unit in imperial) or " cm" not in line
    assert "Taken from habit, not from your records" in "\n".join(lines)


def test_list_and_show_say_what_is_planned(desk: Desk) -> None:
    desk.does(SHAWL)
    (row,) = desk.told("cloth list")
    assert (row["name"], row["status"], row["priority"]) == ("Shawl", "planned", 100)
    assert row["verdict"] == "falls short"
    shown = desk.told("cloth show shawl")
    assert (shown["name"], shown["status"], shown["loom"]) == ("Shawl", "planned", "Table")
    assert [(yarn["skein"], yarn["side"]) for yarn in shown["yarns"]] == [
        ("Gorse 1", "warp"),
        ("Driftwood", "weft"),
    ]
    words = desk.does("cloth show Shawl")
    assert "40 cm wide, 160 cm long" in words and "kept for it" in words


# --- exit codes


@pytest.mark.parametrize(
    ("length", "verdict", "code"),
    [("50cm", "reaches", 0), ("170cm", "uncertain", 10), ("3m", "falls short", 11)],
)
def test_the_verdict_is_in_the_exit_code_only_where_asked(
    desk: Desk, length: str, verdict: str, code: int
) -> None:
    found = plan(desk, '--warp "Gorse 1" --weft Driftwood', size=f"36.5cmx{length}")
    assert found["verdict"] == verdict
    assert desk.run("cloth check Cloth").exit_code == 0
    assert desk.run("cloth check Cloth --exit-code").exit_code == code
    asked = desk.run("cloth check Cloth --exit-code --json")
    assert (asked.exit_code, json.loads(asked.stdout)) == (code, found)


def test_of_several_cloths_the_worst_is_the_exit_code(desk: Desk) -> None:
    plan(desk, "--warp Driftwood --weft Driftwood", "Fine", "10cmx50cm")
    assert desk.run("cloth check --exit-code").exit_code == 0
    plan(desk, '--warp "Gorse 1" --weft "Gorse 2"', "Doubtful", "36.5cmx170cm")
    assert desk.run("cloth check --exit-code").exit_code == 10
    plan(desk, "--warp Fresh --weft Cone", "Short", "50cmx3m")
    assert desk.run("cloth check --exit-code").exit_code == 11
    assert desk.run("cloth check --all --exit-code").exit_code == 11
    desk.does("cloth give-up Short --yes")
    assert desk.run("cloth check --exit-code").exit_code == 10


# --- the yarns of a side


def test_skeins_without_a_number_are_one_yarn_and_their_lengths_are_added(desk: Desk) -> None:
    found = plan(desk, '--warp "Gorse 1" --warp "Gorse 2" --weft Driftwood')
    (warp,) = found["warp"]
    assert warp["skeins"] == ["Gorse 1", "Gorse 2"]
    alone = [desk.told(["skein", "show", one])["length_m"]["p50"] for one in warp["skeins"]]
    assert warp["have_m"]["p50"] == pytest.approx(sum(alone), rel=2e-3)
    ends = found["setup"]["ends"] * found["setup"]["warp_cut_cm"] / 100
    assert middle(warp) == pytest.approx(ends, rel=1e-3)


def test_ends_are_parts_of_the_repeat_in_the_order_given(desk: Desk) -> None:
    found = plan(desk, f'--ends 50 {EXACT} --warp "Gorse 1:4" --warp Driftwood:3 --weft Fresh')
    assert [need["skeins"] for need in found["warp"]] == [["Gorse 1"], ["Driftwood"]]
    cut_m = found["setup"]["warp_cut_cm"] / 100
    # seven whole repeats and one end more, which falls to the first yarn
    assert [middle(need) / cut_m for need in found["warp"]] == pytest.approx([29, 21], rel=1e-3)
    turned = plan(
        desk, f'--ends 50 {EXACT} --warp Driftwood:3 --warp "Gorse 1:4" --weft Fresh', "Turned"
    )
    assert [middle(need) / cut_m for need in turned["warp"]] == pytest.approx([22, 28], rel=1e-3)


def test_a_yarn_may_come_again_in_the_order_and_still_gives_its_length_once(desk: Desk) -> None:
    order = '--warp "Gorse 1:4" --warp Driftwood:2 --warp "Gorse 1:1" --weft Fresh'
    found = plan(desk, f"--ends 70 {EXACT} {order}")
    first, _, again = found["warp"]
    cut_m = found["setup"]["warp_cut_cm"] / 100
    assert [middle(n) / cut_m for n in found["warp"]] == pytest.approx([40, 20, 10], rel=1e-3)
    assert again["have_m"]["p50"] == pytest.approx(first["have_m"]["p50"] - middle(first), rel=2e-3)


def test_an_order_longer_than_the_warp_is_refused(desk: Desk) -> None:
    said = desk.refuses(
        "cloth plan Narrow --size 5cmx50cm --sett 3/cm --warp Driftwood:200 --warp Fresh:2"
        ' --weft "Gorse 1"',
        3,
    )
    assert "202 ends" in said


@pytest.mark.parametrize("shares", [("25%", "75%"), ("0.25", "0.75"), ("1/4", "3/4")])
def test_shares_are_parts_of_the_picks_adding_to_one(desk: Desk, shares: tuple[str, str]) -> None:
    whole = plan(desk, '--warp "Gorse 1" --weft Driftwood')
    desk.does("cloth give-up Cloth --yes")
    first, second = shares
    parts = plan(desk, f'--warp "Gorse 1" --weft Driftwood:{first} --weft Fresh:{second}', "Bands")
    assert [need["skeins"] for need in parts["weft"]] == [["Driftwood"], ["Fresh"]]
    assert [middle(need) for need in parts["weft"]] == pytest.approx(
        [middle(whole["weft"][0]) * part for part in (0.25, 0.75)], rel=1e-6
    )


@pytest.mark.parametrize("shares", [("20%", "70%"), ("60%", "60%"), ("1", "1")])
def test_shares_that_do_not_add_to_one_are_refused(desk: Desk, shares: tuple[str, str]) -> None:
    line = f'{SHAWL.rsplit(" ", 2)[0]} --weft "Driftwood:{shares[0]}" --weft "Fresh:{shares[1]}"'
    assert "together" in desk.refuses(line, 3)


@pytest.mark.parametrize(
    "yarns",
    [
        '--warp "Gorse 1:4" --warp "Gorse 2" --weft Driftwood',
        '--warp "Gorse 1" --weft Driftwood:50% --weft Fresh',
    ],
)
def test_mixing_yarns_with_and_without_a_number_is_wrong_use(desk: Desk, yarns: str) -> None:
    said = desk.refuses(f"cloth plan Mixed --size 40cmx160cm --sett 3/cm {yarns}", 2)
    assert "or to none" in said


@pytest.mark.parametrize(
    "yarns",
    [
        '--warp "Gorse 1" --warp "gorse 1" --weft Driftwood',
        '--warp "Gorse 1" --weft Driftwood --weft Driftwood',
        '--warp "Gorse 1" --weft Driftwood:50% --weft driftwood:50%',
    ],
)
def test_a_skein_named_twice_does_not_count_twice(desk: Desk, yarns: str) -> None:
    said = desk.refuses(f"cloth plan Twice --size 40cmx160cm --sett 3/cm {yarns}", 2)
    assert "named twice" in said


@pytest.mark.parametrize("number", ["0", "-1", "1.5", "x", ""])
def test_ends_that_are_no_whole_number_are_refused(desk: Desk, number: str) -> None:
    words = ["cloth", "plan", "A", "--size", "40cmx160cm", "--weft", "Fresh", "--warp"]
    assert "nds of Gorse 1" in desk.refuses([*words, f"Gorse 1:{number}"], 3)


@pytest.mark.parametrize("number", ["0%", "-5%", "101%", "2", "nan", ""])
def test_a_share_that_is_no_part_is_refused(desk: Desk, number: str) -> None:
    words = ["cloth", "plan", "A", "--size", "40cmx160cm", "--warp", "Fresh", "--weft"]
    assert "hare of Gorse 1" in desk.refuses([*words, f"Gorse 1:{number}"], 3)


def test_the_whole_text_is_first_tried_as_a_name(desk: Desk) -> None:
    for name in ("Gorse 1:4", "A=B", "Fresh:50%"):
        desk.does(f'skein add "{name}" --mass 100g --length 400m --state relaxed')
    found = plan(desk, '--warp "Gorse 1:4" --weft "Fresh:50%"')
    assert found["warp"][0]["skeins"] == ["Gorse 1:4"]
    assert found["weft"][0]["skeins"] == ["Fresh:50%"]
    split = plan(desk, '--warp "Gorse 1:4:2" --warp "A=B:1" --weft "fresh:50%"', "Split")
    assert [need["skeins"] for need in split["warp"]] == [["Gorse 1:4"], ["A=B"]]


def test_a_skein_on_both_sides_serves_the_warp_first(desk: Desk) -> None:
    found = plan(desk, "--warp Driftwood --weft Driftwood", size="20cmx100cm")
    (warp,), (weft,) = found["warp"], found["weft"]
    left = warp["have_m"]["p50"] - middle(warp)
    assert weft["have_m"]["p50"] == pytest.approx(left, rel=5e-3)
    held = claims(desk, "Cloth")
    total = held["warp", "Driftwood"] + held["weft", "Driftwood"]
    assert held["warp", "Driftwood"] > held["weft", "Driftwood"] > 0
    assert total <= 150


def test_a_skein_without_known_length_makes_it_uncertain_and_is_to_be_weighed(desk: Desk) -> None:
    found = plan(desk, "--warp Wraps --weft Driftwood")
    (warp,) = found["warp"]
    assert warp["have_m"] == {"p05": None, "p50": None, "p95": None}
    assert (warp["odds"], warp["short_m"], warp["short_g"]) == (None, None, None)
    assert found["odds"]["yarn"] is found["odds"]["warp"] is found["odds"]["all"] is None
    assert found["odds"]["weft"] == 1.0
    assert found["verdict"] == "uncertain"
    assert found["settle"] == {"do": "weigh Wraps", "odds_after": None}
    assert desk.run("cloth check Cloth --exit-code").exit_code == 10


def test_grams_are_null_where_only_the_length_is_known(desk: Desk) -> None:
    desk.does("skein add Counted --length 100m --state relaxed")
    found = plan(desk, "--warp Counted --weft Driftwood")
    (warp,) = found["warp"]
    assert warp["short_m"] > 300 and warp["short_g"] is None
    (row,) = desk.told("shortfalls")
    assert row["get"] == {"spin": {"length_m": row["short_m"], "mass_g": None}}
    assert "more Counted" in desk.does("cloth check Cloth")


# --- names


def test_two_cloths_cannot_have_one_name_in_any_case(desk: Desk) -> None:
    desk.does(SHAWL)
    for name in ("Shawl", "shawl", " SHAWL "):
        said = desk.refuses(["cloth", "plan", name, *SCARF], 3)
        assert "there is a cloth “Shawl” already" in said
    assert len(desk.told("cloth list")) == 1


@pytest.mark.parametrize(
    "name",
    ["O'Neil's \"best\"", "A:B", "a=b", "Wolle 🧶", "שלום עולם", "x" * 200, "%s {0} \\n", "日本"],
)
def test_a_name_is_kept_as_entered_and_found_again(desk: Desk, name: str) -> None:
    words = SCARF
    assert desk.told(["cloth", "plan", name, *words])["cloth"] == name
    assert desk.told(["cloth", "check", name])["cloth"] == name
    assert desk.told(["cloth", "show", name])["name"] == name
    assert name in desk.does("cloth list")


def test_names_are_composed_so_that_one_word_is_one_cloth(desk: Desk) -> None:
    words = SCARF
    desk.told(["cloth", "plan", "Café", *words])
    assert desk.told(["cloth", "check", "Cafe\u0301"])["cloth"] == "Café"
    assert desk.run(["cloth", "plan", "CAFE\u0301", *words]).exit_code == 3


@pytest.mark.parametrize("name", ["", "   ", "x" * 201, "x" * 300, "a\nb", "a\tb", "a\x1b[31mb"])
def test_a_name_that_cannot_be_is_refused(desk: Desk, name: str) -> None:
    words = SCARF
    said = desk.refuses(["cloth", "plan", name, *words], 3)
    assert "\x1b" not in said


@pytest.mark.parametrize("command", ["check", "show", "change", "claim", "give-up --yes"])
def test_a_cloth_that_is_not_there_is_answered_with_the_nearest_names(
    desk: Desk, command: str
) -> None:
    desk.does(SHAWL)
    said = desk.refuses(f"cloth {command} Shwal", 4)
    assert said == "There is no cloth called “Shwal”.\nDid you mean “Shawl”?\n"


@pytest.mark.parametrize(
    ("more", "said"),
    [
        ('--warp "Gorse 3" --weft Fresh', "“Gorse 1”"),
        ("--warp Fresh --weft Drfitwood", "“Driftwood”"),
        ("--warp Fresh --weft Drfitwood:50%", "“Driftwood”"),
        ("--warp Fresh --weft Cone --loom Tabel", "“Table”"),
        ("--warp Fresh --weft Cone --reed R8", "farspun reed list"),
        ('--warp Fresh --weft Cone --weave "2/2 twil"', "“2/2 twill”"),
    ],
)
def test_what_is_not_owned_or_known_is_answered_with_the_nearest(
    desk: Desk, more: str, said: str
) -> None:
    assert said in desk.refuses(f"cloth plan A --size 20cmx50cm {more}", 4)
    assert desk.told("cloth list") == []


# --- the set-up


def test_a_cloth_wider_than_its_loom_is_refused_with_panels_that_do(desk: Desk) -> None:
    for width, more in ((55, ""), (80, ""), (150, "--side-hem 2cm"), (399, "--repeat 16")):
        line = f"--sett 3/cm --picks 3/cm --warp Driftwood --weft Fresh --loom Table {more}"
        said = desk.refuses(f"cloth plan Wide --size {width}cmx200cm {line}", 3)
        assert "on Table: it needs" in said and "the loom takes 60 cm" in said
        _, hint = said.splitlines()
        size, _, pieces = hint.partition("--size ")[2].partition("… --pieces ")
        panels = int(pieces.rstrip("."))
        assert panels * float(size.removesuffix("cmx")) >= width + 2 * panels
        desk.told(f"cloth plan {width} --size {size}200cm --pieces {panels} {line}")


def test_a_loom_too_narrow_for_panels_says_so(desk: Desk) -> None:
    desk.does("loom add Band --kind frame --width 3cm")
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


# --- assumptions and promises


def test_assumptions_by_hand_appear_as_given_and_are_exact_without_a_spread(desk: Desk) -> None:
    given = (
        "--take-up 10% --draw-in +10% --shrink-width 12%±3% --shrink-length 8%+-2% --let-off 3%"
        " --waste 60cm±5cm --beat 4% --warp Driftwood --weft Fresh"
    )
    found = plan(desk, given)
    own = "as you gave it"
    assert assumption(found, "take-up") == (0.1, 0.0, own)
    draw_in, sd, origin = assumption(found, "draw-in")
    assert draw_in == pytest.approx(0.1 / 1.1, abs=1e-6)
    assert (sd, origin) == (0.0, own)
    assert assumption(found, "shrinkage in width") == (0.12, 0.03, own)
    assert assumption(found, "shrinkage in length") == (0.08, 0.02, own)
    assert assumption(found, "let-off") == (0.03, 0.0, own)
    assert assumption(found, "loom waste") == (60.0, 5.0, own)
    assert assumption(found, "beat") == (1.0, 0.04, own)
    assert assumption(found, "weft crimp")[2] != own


def test_a_weft_take_up_by_hand_takes_the_place_of_crimp_and_joins(desk: Desk) -> None:
    found = plan(desk, f"{EXACT} --weft-take-up 10% --beat 0% --warp Driftwood --weft Fresh")
    names = [one["name"] for one in found["assumptions"]]
    assert "weft take-up" in names and "weft crimp" not in names
    assert found["setup"]["pick_length_cm"] == pytest.approx(40 * 1.10)
    points = found["weft"][0]["need_m"]
    assert points["p05"] == points["p95"] == pytest.approx(480 * 0.44)


def test_with_everything_exact_the_size_is_kept_for_sure(desk: Desk) -> None:
    found = plan(desk, f"{EXACT} --warp Driftwood --weft Fresh")
    assert found["odds"]["size"] == 1.0
    assert found["allowance_for_size"] == {"length_cm": 0, "ends": 0, "yarn_m": 0}
    assert (found["setup"]["ends"], found["setup"]["warp_cut_cm"]) == (120, 210)


def test_a_spread_that_says_nothing_is_refused(desk: Desk) -> None:
    line = "cloth plan A --size 20cmx50cm --sett 3/cm --warp Driftwood --weft Fresh"
    for more in ("--shrink-width 99.9%±99%", "--draw-in 95%±20%", "--waste 1cm±10m"):
        assert "less doubtful" in desk.refuses(f"{line} {more}", 3)


def test_the_size_promise_buys_size_with_yarn(desk: Desk) -> None:
    before = 0
    for promise in ("60%", "80%", "95%", "99%"):
        found = plan(desk, f"--size-promise {promise} --warp Driftwood --weft Fresh", promise)
        assert found["odds"]["size"] >= float(promise.rstrip("%")) / 100 - 0.005
        assert found["setup"]["ends"] > before
        before = found["setup"]["ends"]
    assert plan(desk, "--warp Driftwood --weft Fresh", "Usual")["odds"]["size"] >= 0.795


def test_give_makes_the_set_up_smaller(desk: Desk) -> None:
    ends = [
        plan(desk, f"--give {give} --warp Driftwood --weft Fresh", give)["setup"]["ends"]
        for give in ("10%", "5%", "0%")
    ]
    assert ends == sorted(set(ends))
    usual = plan(desk, "--warp Driftwood --weft Fresh", "Usual")["setup"]["ends"]
    assert usual == ends[1]


def test_the_promise_asked_for_is_kept_and_said(desk: Desk) -> None:
    line = '--warp "Gorse 1" --weft Driftwood --give 1% --promise'
    for promise, value in (("99.9%", 0.999), ("0.6", 0.6), ("2 in 3", 2 / 3), ("50.1%", 0.501)):
        found = plan(desk, f'{line} "{promise}"', promise, "30cmx120cm")
        assert found["promise"] == pytest.approx(value, abs=1e-6)


@pytest.mark.parametrize("option", ["--promise", "--size-promise"])
@pytest.mark.parametrize("promise", ["50%", "0.5", "99.91%", "100%", "0%", "-1%", "95", "nan"])
def test_a_promise_out_of_range_is_refused(desk: Desk, option: str, promise: str) -> None:
    line = f"cloth plan A --size 20cmx50cm --warp Driftwood --weft Fresh {option} {promise}"
    assert "romise" in desk.refuses(line, 3)


# --- pieces to be cut


def test_for_pieces_to_be_cut_nothing_is_given_and_the_size_joins_the_verdict(desk: Desk) -> None:
    desk.does("skein add Much --mass 2kg --length 9km --state relaxed")
    yarns = "--warp Much --weft Much"
    usual, cut = plan(desk, yarns, "Usual"), plan(desk, f"--cut {yarns}", "Cut")
    assert cut["odds"]["size"] > 0.97 > usual["odds"]["size"]
    assert cut["odds"]["all"] >= 0.945 and cut["verdict"] == "reaches"
    assert cut["setup"]["ends"] > usual["setup"]["ends"]
    given = plan(desk, f"--cut --give 5% {yarns}", "Given")
    assert given["setup"]["ends"] < cut["setup"]["ends"]


def test_a_set_up_too_small_for_its_pieces_is_not_mended_with_yarn(desk: Desk) -> None:
    desk.does("skein add Much --mass 2kg --length 9km --state relaxed")
    found = plan(desk, "--cut --ends 140 --warp Much --weft Much")
    assert found["odds"]["yarn"] == 1.0 and found["odds"]["size"] < 0.95
    assert found["verdict"] != "reaches"
    assert [need["short_m"] for need in (*found["warp"], *found["weft"])] == [0.0, 0.0]
    (notice,) = [one for one in found["warnings"] if one["code"] == "set-up-too-small"]
    assert notice["text"].startswith("The set-up, not the yarn, is too small")
    assert desk.told("shortfalls") == []


def test_what_is_short_of_a_cloth_to_be_cut_counts_yarn_and_size_together(desk: Desk) -> None:
    size = "30cmx180cm"
    found = plan(desk, '--cut --warp "Gorse 1" --weft Driftwood', size=size)
    assert found["verdict"] == "falls short"
    short_m, setup = found["warp"][0]["short_m"], found["setup"]
    desk.does("cloth give-up Cloth --yes")
    by_hand = f"--ends {setup['ends']} --warp-cut {setup['warp_cut_cm']}cm"
    usual = plan(desk, f'{by_hand} --warp "Gorse 1" --weft Driftwood', "Usual", size)
    assert short_m > usual["warp"][0]["short_m"] > 0
    exact = f"--length {short_m + 0.01:.2f}m --mass {(short_m + 0.01) / 4:.4f}g --state relaxed"
    desk.does("cloth give-up Usual --yes", f"skein add More {exact}")
    mended = plan(desk, '--cut --warp "Gorse 1" --warp More --weft Driftwood', "Mended", size)
    assert mended["odds"]["all"] == pytest.approx(0.95, abs=0.02)


# --- short


def test_the_metres_that_are_short_make_it_keep_its_promise(desk: Desk) -> None:
    found = plan(desk, '--warp "Gorse 1" --weft Driftwood', size="38cmx2m")
    shorts = [(need["short_m"], need["short_g"]) for need in (*found["warp"], *found["weft"])]
    assert found["verdict"] == "falls short" and shorts[0][0] > 0
    desk.does("cloth give-up Cloth --yes")
    for name, (short_m, _) in zip(("W1", "W2"), shorts, strict=True):
        exact = f"--length {short_m + 0.01:.2f}m --mass {(short_m + 0.01) / 4:.4f}g"
        desk.does(f"skein add {name} {exact} --state relaxed --tool {name}")
    yarns = '--warp "Gorse 1" --warp W1 --weft Driftwood --weft W2'
    assert plan(desk, yarns, "Mended", "38cmx2m")["odds"]["yarn"] == pytest.approx(0.95, abs=0.02)


def test_grams_short_are_the_metres_at_the_yarns_grist(desk: Desk) -> None:
    found = plan(desk, '--warp "Gorse 1" --weft Driftwood', size="38cmx3m")
    for need, name in zip((*found["warp"], *found["weft"]), ("Gorse 1", "Driftwood"), strict=True):
        tex = desk.told(["skein", "show", name])["tex"]["p50"]
        assert need["short_g"] == pytest.approx(need["short_m"] * tex / 1000, rel=1e-3)


# --- woven as it was spun


def test_yarn_woven_as_spun_is_longer_and_the_cloth_shrinks_more_never_both(desk: Desk) -> None:
    washed = plan(desk, "--warp Fresh --weft Driftwood", "Washed", "20cmx50cm")
    desk.does("cloth give-up Washed --yes")
    spun = plan(desk, "--as-spun --warp Fresh --weft Driftwood", "Spun", "20cmx50cm")
    assert spun["warp"][0]["have_m"]["p50"] == pytest.approx(270, rel=0.02)
    assert washed["warp"][0]["have_m"]["p50"] == pytest.approx(270 * 0.85, rel=0.03)
    assert assumption(spun, "relaxation in length")[:2] == pytest.approx((0.15, 0.10))
    assert "relaxation in length" not in [one["name"] for one in washed["assumptions"]]
    assert spun["setup"]["off_loom_length_cm"] == pytest.approx(50 / (0.9 * 0.85))
    assert spun["setup"]["off_loom_width_cm"] == washed["setup"]["off_loom_width_cm"]


def test_washed_yarn_is_the_same_as_spun(desk: Desk) -> None:
    washed = plan(desk, "--warp Driftwood --weft Driftwood", "Washed")
    desk.does("cloth give-up Washed --yes")
    spun = plan(desk, "--as-spun --warp Driftwood --weft Driftwood", "Spun")
    assert washed | {"cloth": "Spun"} == spun


# --- changing and giving up


def test_a_change_is_as_if_planned_so_and_the_rest_stays(desk: Desk) -> None:
    desk.does(SHAWL)
    changed = desk.told("cloth change Shawl --size 30cmx120cm --promise 90% --take-up 8%")
    desk.does("cloth give-up Shawl --yes")
    anew = desk.told(
        f"{SHAWL} --promise 90% --take-up 8%".replace("Shawl", "Anew").replace(
            "40cmx160", "30cmx120"
        )
    )
    assert changed | {"cloth": "Anew"} == anew


def test_a_flag_can_be_taken_back(desk: Desk) -> None:
    before = desk.told(SHAWL)
    assert desk.told("cloth change Shawl --cut --direct --as-spun") != before
    after = desk.told("cloth change Shawl --not-cut --not-direct --not-as-spun")
    assert after == before


def test_a_given_up_cloth_keeps_its_plan_but_can_no_longer_be_changed(desk: Desk) -> None:
    desk.does(SHAWL)
    assert "is given up; its yarn is free again" in desk.does("cloth give-up shawl --yes")
    assert desk.told("cloth list")[0]["status"] == "given-up"
    assert desk.told("cloth show Shawl")["status"] == "given-up"
    assert desk.told("cloth check") == desk.told("shortfalls") == []
    for line in ("change Shawl --cut", "claim Shawl", "give-up Shawl --yes"):
        assert "given up" in desk.refuses(f"cloth {line}", 3)


def test_giving_up_asks_first_and_no_changes_nothing(desk: Desk) -> None:
    desk.does(SHAWL)
    assert desk.run("cloth give-up Shawl", given="n\n").exit_code == 0
    assert desk.told("cloth show Shawl")["status"] == "planned"
    assert desk.run("cloth give-up Shawl", given="y\n").exit_code == 0
    assert desk.told("cloth show Shawl")["status"] == "given-up"


def test_giving_up_where_nobody_can_answer_is_refused_and_changes_nothing(desk: Desk) -> None:
    desk.does(SHAWL)
    result = desk.run("cloth give-up Shawl", given="")
    assert result.exit_code == 2
    assert desk.told("cloth show Shawl")["status"] == "planned"


def test_priority_comes_first_and_ties_go_by_age(desk: Desk) -> None:
    for name, more in (
        ("Old", ""),
        ("New", ""),
        ("Last", "--priority 200"),
        ("First", "--priority 1"),
    ):
        plan(desk, f"{more} --warp Driftwood --weft Fresh", name, "10cmx30cm")
    names = [row["name"] for row in desk.told("cloth list")]
    assert names == ["First", "Old", "New", "Last"]
    assert [one["cloth"] for one in desk.told("cloth check")] == names
    desk.does("cloth change New --priority 2")
    assert [row["name"] for row in desk.told("cloth list")] == ["First", "New", "Old", "Last"]
    for priority in ("0", "-1", "1.5", "first"):
        desk.refuses(f"cloth change New --priority {priority}", 3)


def test_a_refused_plan_leaves_nothing_behind(desk: Desk) -> None:
    before = desk.stash.read_bytes()
    desk.refuses("cloth plan Wide --size 4mx2m --warp Driftwood --weft Fresh", 3)
    desk.refuses("cloth plan A --size 20cmx50cm --warp Driftwood", 2)
    desk.refuses("cloth plan A --warp Driftwood --weft Fresh", 2)
    with sqlite3.connect(desk.stash) as connection:
        for table in ("cloth", "cloth_yarn", "cloth_spread", "claim"):
            assert connection.execute(f"SELECT count(*) FROM {table}").fetchone() == (0,)
    connection.close()
    assert len(desk.stash.read_bytes()) == len(before)


def test_a_closed_skein_can_no_longer_be_planned_with(desk: Desk) -> None:
    desk.does("skein close Fresh --because lost")
    line = "cloth plan A --size 20cmx50cm --warp Driftwood --weft Fresh"
    assert "closed" in desk.refuses(line, 3)


def test_reading_commands_make_no_stash(tmp_path: Path) -> None:
    desk = Desk(tmp_path)
    for line in ("cloth list", "cloth check", "shortfalls"):
        assert desk.told(line) == []
    desk.refuses("cloth show Shawl", 4)
    desk.refuses("reach Driftwood --size 20cmx50cm", 4)
    assert not desk.stash.exists()


def test_every_number_is_one_that_json_knows(desk: Desk) -> None:
    text = desk.run(f"{SHAWL} --json").stdout
    assert "NaN" not in text and "Infinity" not in text
    found = json.loads(text, parse_constant=lambda name: pytest.fail(name))
    assert all(
        math.isfinite(value) for value in found["setup"].values() if isinstance(value, float)
    )
