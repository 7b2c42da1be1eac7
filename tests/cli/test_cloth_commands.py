"""farspun cloth: what it prints, exit codes, names, changing, giving up."""

import json
import math
import sqlite3
from pathlib import Path

import pytest

from cli.cloths import SCARF, SHAWL, plan
from cli.running import Desk, furnished

KEYS = ["cloth", "status", "verdict", "promise", "odds", "warp", "weft", "setup"]
KEYS += ["allowance_for_size", "drivers", "settle", "warnings", "cloth_now", "assumptions"]
NEED = ["skeins", "need_m", "have_m", "odds", "short_m", "short_g", "in_hand_m"]
POINTS = ["p05", "p50", "p95"]
MORE_SETUP = ["sett_ends_per_cm", "reed", "per_dent", "picks_per_cm", "warp_order", "weft_order"]


@pytest.fixture
def desk(tmp_path: Path) -> Desk:
    return furnished(tmp_path)


# --- what it prints


SETTLE = ["do", "odds_after", "clear_yes", "size_after"]


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
        assert list(one) == ["name", "mean", "sd", "from", "told_by"]
    for one in found["warnings"]:
        assert list(one) == ["code", "text"]
    for one in found["drivers"]:
        assert list(one) == ["cause", "share"]
    assert sum(one["share"] for one in found["drivers"]) == pytest.approx(1)
    assert found["settle"] is None or list(found["settle"]) == SETTLE


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
    plan(desk, '--warp "Gorse 1" --weft "Gorse 2"', "Doubtful", "37.5cmx170cm")
    assert desk.run("cloth check --exit-code").exit_code == 10
    plan(desk, "--warp Fresh --weft Cone", "Short", "50cmx3m")
    assert desk.run("cloth check --exit-code").exit_code == 11
    assert desk.run("cloth check --all --exit-code").exit_code == 11
    desk.does("cloth give-up Short --yes")
    assert desk.run("cloth check --exit-code").exit_code == 10


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
    assert "is given up; the yarn it claimed is free again" in desk.does(
        "cloth give-up shawl --yes"
    )
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
    desk.does("skein close Fresh --because lost --sure")
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


def test_a_change_tells_what_was_before_and_with_dry_run_stores_nothing(desk: Desk) -> None:
    desk.does(SHAWL)
    before = desk.stash.read_bytes()
    ran = desk.run("cloth change Shawl --size 30cmx100cm --dry-run")
    assert "Before" in ran.stderr and "Nothing was stored" in ran.stderr
    assert desk.stash.read_bytes() == before
    tried = desk.told("cloth change Shawl --size 30cmx100cm --dry-run")
    assert desk.told("cloth change Shawl --size 30cmx100cm") == tried


def test_yarn_that_is_not_kept_is_told_until_it_is_claimed(desk: Desk) -> None:
    desk.does(SHAWL)
    changed = desk.told("cloth change Shawl --weft Fresh")
    (notice,) = [one["text"] for one in changed["warnings"] if one["code"] == "not-kept"]
    assert notice.startswith("Of Fresh nothing is kept for it, and it wants ")
    assert "farspun cloth claim Shawl" in notice
    for line in ("cloth claim Shawl", "cloth check Shawl"):
        assert "not-kept" not in [one["code"] for one in desk.told(line)["warnings"]]


def test_a_reed_that_would_do_is_named_where_the_yarn_falls_short(desk: Desk) -> None:
    desk.does("skein add Fine --mass 60g --length 290m --state relaxed --wpi 14wpi")
    desk.does("reed add Close 60/10cm --loom Table")
    line = "cloth plan Scarf --size 20cmx150cm --warp Fine --weft Driftwood --loom Table"
    found = desk.told(line)
    told = {one["code"]: one["text"] for one in found["warnings"]}
    assert found["verdict"] == "falls short"
    assert "which you do not have" in told["other-reed"]
    desk.does("reed add Open 30/10cm --loom Table")
    again = {one["code"]: one["text"] for one in desk.told("cloth check Scarf")["warnings"]}
    assert again["other-reed"].startswith("With Open (3.6 per cm): --reed Open: ")
    assert "Open comes nearer (--reed)" in again["reed-far-off"]


def test_a_cloth_given_up_leaves_the_list_and_asks_for_nothing(desk: Desk) -> None:
    desk.does(SHAWL, "cloth give-up Shawl --yes")
    ran = desk.run("cloth list")
    assert "Shawl" not in ran.stdout and "Given up and not shown: 1" in ran.stderr
    assert "Shawl" in desk.run("cloth list --all").stdout
    assert "it is given up" in desk.refuses("cloth check Shawl", 3)
