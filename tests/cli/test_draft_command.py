"""farspun draft: a weave or a file drawn, what is said of it, and what a loom makes of it."""

from pathlib import Path
from typing import Any

import pytest

from cli.running import Desk

KEYS = [
    *("weave", "rows", "shafts", "fewest_shafts", "treadles", "threading", "tie_up", "treadling"),
    *("lift_plan", "sinking", "longest_floats", "edges", "rigid_heddle", "loom", "notes", "text"),
]
DIAMONDS = """\
# small diamonds
threading   1 2 3 4 3 2
tie-up      1: 1 2
            2: 2 3
            3: 3 4
            4: 4 1
treadling   1 2 3 4 3 2
"""


@pytest.fixture
def desk(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Desk:
    """A desk in a folder of its own, with a draft in it and looms in its stash."""
    monkeypatch.chdir(tmp_path)
    (tmp_path / "diamonds.txt").write_text(DIAMONDS, encoding="utf-8")
    return Desk(tmp_path)


@pytest.fixture
def looms(desk: Desk) -> Desk:
    desk.does(
        "loom add Small --kind table --width 40cm --shafts 4",
        "loom add Large --kind floor --width 90cm --shafts 8",
        "loom add Old --kind floor --width 90cm",
        "loom add Window --kind rigid-heddle --width 60cm",
    )
    return desk


def row(shown: str, label: str) -> str:
    """What is said under a label, its lines joined."""
    found: list[str] = []
    for line in shown.splitlines():
        if line.startswith(f"  {label} ") or (found and line.startswith(" " * 11)):
            found.append(line[11:])
        elif found:
            break
    return " ".join(found)


def test_a_weave_is_said_in_a_sentence_then_drawn_then_explained(desk: Desk) -> None:
    shown = desk.does("draft '2/2 twill'")
    assert shown.splitlines()[:11] == [
        "2/2 twill: a repeat of 4 ends and 4 picks, on 4 shafts and 4 treadles.",
        "",
        "4  . . . #   . . # #",
        "3  . . # .   . # # .",
        "2  . # . .   # # . .",
        "1  # . . .   # . . #",
        "",
        "1  # # . .   # . . .",
        "2  . # # .   . # . .",
        "3  . . # #   . . # .",
        "4  # . . #   . . . #",
    ]
    assert "tie-up in the corner, # where the shaft rises" in row(shown, "Drawn")
    assert row(shown, "Floats") == (
        "longest on the face: warp over 2 picks, weft over 2 ends; on the back: warp over 2 picks,"
        " weft over 2 ends"
    )
    assert row(shown, "Edges").startswith("both caught if the first pick comes in from the right;")
    assert row(shown, "Heddle").startswith("no rigid heddle: two do the work of 3 shafts")
    assert "  Weave " not in shown and "\x1b" not in shown
    assert max(map(len, shown.splitlines())) <= 88


@pytest.mark.parametrize(
    ("weave", "said"),
    [
        ("plain", "one rigid heddle: shaft 1 in slots; shaft 2 in holes; picks down, up"),
        (
            "2/1 twill",
            "two rigid heddles: shaft 1 in slots of both; shaft 2 in holes of the front one; shaft"
            " 3 in holes of the back one; picks back down, both up, front down",
        ),
    ],
)
def test_what_a_rigid_heddle_can_weave_is_told_move_by_move(
    desk: Desk, weave: str, said: str
) -> None:
    assert row(desk.run(["draft", weave]).stdout, "Heddle") == said


@pytest.mark.parametrize(
    ("weave", "said"),
    [
        ("plain", "both caught, from whichever side"),
        ("2/2 S twill", "both caught if the first pick comes in from the left"),
        ("warp rib 2/2", "the weft misses an edge end from whichever side it begins: floating"),
    ],
)
def test_edges_the_weft_misses_are_told(desk: Desk, weave: str, said: str) -> None:
    assert row(desk.run(["draft", weave]).stdout, "Edges").startswith(said)


def test_a_file_is_drawn_and_its_weave_written_out_for_other_commands(desk: Desk) -> None:
    shown = desk.does("draft diamonds.txt")
    assert shown.startswith("This draft: a repeat of 6 ends and 6 picks, on 4 shafts and 4 tre")
    rows = row(shown, "Weave")
    assert rows == "##...#/.##.##/..###./#..#../..###./.##.##"
    assert desk.told(["draft", rows])["rows"] == rows
    assert desk.told(["sett", "--wpi", "15wpi", "--weave", rows])["weave"]["name"] == rows


def test_the_lift_plan_weaves_the_same_without_treadles(desk: Desk) -> None:
    tied, lifted = desk.told("draft diamonds.txt"), desk.told("draft diamonds.txt --lift-plan")
    assert (tied["treadles"], lifted["treadles"]) == (4, None)
    assert (lifted["tie_up"], lifted["treadling"]) == (None, None)
    assert tied["rows"] == lifted["rows"]
    assert tied["lift_plan"] == lifted["lift_plan"]
    assert tied["lift_plan"][:2] == [[1, 2], [2, 3]]
    shown = desk.does("draft diamonds.txt --lift-plan")
    assert shown.startswith("This draft: a repeat of 6 ends and 6 picks, on 4 shafts, by a lift")
    assert "lift plan at the side, shaft 1 leftmost" in row(shown, "Drawn")


def test_the_json_has_the_draft_as_data_and_as_text(desk: Desk) -> None:
    found = desk.told("draft '2/1 twill'")
    assert list(found) == KEYS
    assert found["weave"] == {"name": "2/1 twill", "ends": 3, "picks": 3, "intersections": 2.0}
    assert (found["shafts"], found["fewest_shafts"], found["treadles"]) == (3, 3, 3)
    assert found["threading"] == [1, 2, 3]
    assert found["tie_up"] == [[1, 2], [2, 3], [1, 3]]
    assert found["treadling"] == [[1], [2], [3]]
    assert found["longest_floats"] == {
        "warp_on_face": 2,
        "weft_on_face": 1,
        "warp_on_back": 1,
        "weft_on_back": 2,
    }
    assert found["edges"] == {
        "first_pick_from": "left",
        "missed_from_left": [],
        "missed_from_right": [],
    }
    assert found["rigid_heddle"]["heddles"] == 2
    assert (found["loom"], found["notes"], found["sinking"]) == (None, [], False)
    (desk.folder / "again.txt").write_text(found["text"], encoding="utf-8")
    again = desk.told("draft again.txt")
    assert again["weave"].pop("name") == again["rows"] == found["rows"]
    assert {key: again[key] for key in KEYS[1:]} == {key: found[key] for key in KEYS[1:]}


def test_sinking_sheds_are_said_to_sink(desk: Desk) -> None:
    (desk.folder / "s.txt").write_text(DIAMONDS + "sinking\n", encoding="utf-8")
    assert "# where the shaft goes down" in row(desk.does("draft s.txt"), "Drawn")
    found = desk.told("draft s.txt")
    assert found["sinking"]
    assert (found["tie_up"][0], found["lift_plan"][0]) == ([1, 2], [3, 4])


def test_what_is_odd_about_a_draft_is_noted(desk: Desk) -> None:
    (desk.folder / "odd.txt").write_text(
        "threading 1 2 1 3\ntie-up 1: 1\n2: 2 3\n3: 1 2\ntreadling 1 2", encoding="utf-8"
    )
    notes = desk.told("draft odd.txt")["notes"]
    assert len(notes) == 2
    assert "goes on 2" in notes[0] and "never trodden: treadle 3" in notes[1]
    (note,) = desk.told("draft 'weft rib 2/1'")["notes"]
    assert "go through one hole or slot together" in note


def test_the_loom_named_has_the_shafts_or_is_refused(looms: Desk) -> None:
    shown = looms.does("draft '2/2 twill' --loom small --lift-plan")
    assert row(shown, "Loom") == "Small has 4 shafts: enough"
    assert "  Note " not in shown
    said = looms.refuses(["draft", "5-end satin", "--loom", "Small"], 3)
    assert "it needs 5 shafts, and Small has 4" in said
    assert looms.told("draft '5-end satin' --loom Large")["loom"] == {
        "name": "Large",
        "kind": "floor",
        "shafts": 8,
    }


def test_a_table_loom_is_sent_to_the_lift_plan(looms: Desk) -> None:
    assert "--lift-plan" in row(looms.does("draft '2/2 twill' --loom Small"), "Note")


def test_a_loom_whose_shafts_were_not_said_is_taken_with_a_word(looms: Desk) -> None:
    shown = looms.does("draft '2/2 twill' --loom Old")
    assert row(shown, "Loom") == "Old: how many shafts it has is not known"
    assert "compare them" in row(shown, "Note")


def test_more_treadles_than_a_floor_loom_mostly_has_are_noted(looms: Desk) -> None:
    (looms.folder / "many.txt").write_text(
        "threading 1 2 3 4\nlift plan\n##..\n.##.\n..##\n#..#\n#.#.\n.#.#\n###.", encoding="utf-8"
    )
    text = looms.told(["draft", looms.told("draft many.txt")["rows"]])["text"]
    (looms.folder / "tied.txt").write_text(text, encoding="utf-8")
    (note, *_) = [
        note for note in looms.told("draft tied.txt --loom Old")["notes"] if "treadles" in note
    ]
    assert note.startswith("That is 7 treadles, and a floor loom of 4 shafts mostly has two more")
    assert looms.told("draft tied.txt --loom Large")["notes"] == []


def test_a_rigid_heddle_loom_is_judged_by_its_heddles(looms: Desk) -> None:
    shown = looms.does("draft '2/1 twill' --loom Window")
    assert row(shown, "Loom") == "Window is a rigid-heddle loom: as above"
    note = row(looms.does("draft '2/2 twill' --loom Window"), "Note")
    assert "it needs 4 shafts, and two rigid heddles do the work of 3" in note
    assert "pick the rest up by hand" in note


def test_a_loom_that_is_not_there_is_refused_with_the_nearest(looms: Desk) -> None:
    assert "“Small”" in looms.refuses("draft plain --loom Smal", 4)


def test_no_stash_is_opened_or_made_where_no_loom_is_named(desk: Desk) -> None:
    assert desk.run("draft plain").stderr == ""
    assert not desk.stash.exists()


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "it is empty"),
        ("threading 1 2\n", "without tie-up"),
        ("threading 1 2\nlift plan\n1: 1\n2: 3\n", "pick 2 (line 4) cannot be raised by shaft 3"),
        ("threading 1 2\ntie-up\n1: 1\n2: 2\ntreadling 1 1\n", "so it would lie loose"),
        ("threading 1 two\nlift plan\n1: 1", "line 1 “two” cannot be read"),
        ("PK\0\1", "holds a NUL byte"),
    ],
)
def test_a_file_that_is_no_draft_is_refused_with_its_line(desk: Desk, text: str, said: str) -> None:
    (desk.folder / "bad.txt").write_text(text, encoding="utf-8")
    assert said.casefold() in desk.refuses("draft bad.txt", 3).casefold()


@pytest.mark.parametrize(
    ("said", "code", "told"),
    [
        ("nowhere.txt", 4, "no weave or file called “nowhere.txt”"),
        ("2/2 twil", 4, "“2/2 twill”"),
        ("6-end satin", 3, "no step spreads"),
        ("#./#.", 3, "would lie loose"),
        ("x" * 5000, 4, "no weave or file"),
        ("a\0b", 4, "no weave or file"),
        ("folder", 3, "it is a folder"),
    ],
)
def test_what_is_neither_weave_nor_file_is_refused(
    desk: Desk, said: str, code: int, told: str
) -> None:
    (desk.folder / "folder").mkdir()
    assert told in desk.refuses(["draft", said], code)


YARN = "--mass 100g --length 400m --state relaxed --wpi 15wpi --wrap snug"


@pytest.fixture
def stash(desk: Desk) -> Desk:
    desk.does(f"skein add Moss {YARN}", f"skein add Peat {YARN}")
    return desk


def planned(desk: Desk, name: str, more: str) -> dict[str, Any]:
    line = f"cloth plan {name} --size 20cmx50cm --warp Moss --weft Peat --sett 3/cm {more}"
    desk.does(line)
    found: dict[str, Any] = desk.told(f"cloth check {name}")
    return found


def codes(check: dict[str, Any]) -> list[str]:
    return [one["code"] for one in check["warnings"]]


def test_a_cloth_keeps_the_draft_of_a_file_and_draws_it_again(stash: Desk) -> None:
    planned(stash, "Mat", "--weave diamonds.txt")
    drawn = stash.told("draft diamonds.txt")
    (stash.folder / "diamonds.txt").unlink()
    assert stash.told("draft --cloth Mat") == drawn
    assert "your draft, everyday" in stash.run("cloth show Mat").stdout


def test_a_draft_weaves_as_its_rows_do(stash: Desk) -> None:
    by_file = planned(stash, "Mat", "--weave diamonds.txt")
    rows = stash.told("draft diamonds.txt")["rows"]
    stash.does("cloth give-up Mat --yes")
    by_rows = planned(stash, "Rug", f"--weave {rows}")
    for key in ("odds", "setup", "cloth_now", "assumptions"):
        assert by_file[key] == by_rows[key]


def test_a_file_that_is_no_draft_is_refused_by_its_line_and_nothing_is_stored(stash: Desk) -> None:
    (stash.folder / "bad.txt").write_text(DIAMONDS.replace("4: 4 1", "4: 4 7"), encoding="utf-8")
    line = "cloth plan Mat --size 20cmx50cm --warp Moss --weft Peat --weave bad.txt"
    refused = stash.run(line)
    assert refused.exit_code == 3 and "line 6" in refused.stderr
    assert stash.told("cloth list") == []


def test_of_her_looms_one_that_lifts_the_draft_is_taken(looms: Desk, stash: Desk) -> None:
    assert planned(stash, "Mat", "--weave '5-end satin'")["cloth"] == "Mat"
    assert "on Large" in stash.run("cloth show Mat").stdout


def test_a_loom_of_too_few_shafts_is_refused_and_stores_nothing(looms: Desk, stash: Desk) -> None:
    line = "cloth plan Mat --size 20cmx50cm --warp Moss --weft Peat --weave '5-end satin'"
    refused = stash.run(f"{line} --loom Small")
    assert refused.exit_code == 3
    assert "it needs 5 shafts, and Small has 4" in refused.stderr
    assert stash.told("cloth list") == []


def test_a_loom_that_does_not_lift_the_draft_is_taken_only_if_named(stash: Desk) -> None:
    stash.does("loom add Window --kind rigid-heddle --width 60cm")
    line = (
        "cloth plan Mat --size 20cmx50cm --warp Moss --weft Peat --sett 3/cm --weave diamonds.txt"
    )
    refused = stash.run(line)
    assert refused.exit_code == 3 and "--loom Window" in refused.stderr
    assert stash.run(f"{line} --loom Window").exit_code == 0


def test_picks_in_one_shed_are_told(desk: Desk) -> None:
    (desk.folder / "twice.txt").write_text(
        "threading 1 2\nlift plan\n#.\n#.\n.#\n", encoding="utf-8"
    )
    assert "picks 1 and 2" in row(desk.does("draft twice.txt"), "Note")


def test_a_draft_is_read_wherever_a_weave_is_asked(desk: Desk) -> None:
    rows = desk.told("draft diamonds.txt")["rows"]
    for line in (
        "sett --wpi 15wpi",
        "geometry --warp-count 200tex --weft-count 200tex --ends 5/cm --picks 5/cm",
    ):
        by_file, by_rows = (desk.told(f"{line} --weave {one}") for one in ("diamonds.txt", rows))
        assert by_file == by_rows


def test_on_a_rigid_heddle_the_rest_is_picked_up(looms: Desk, stash: Desk) -> None:
    picked = planned(stash, "Mat", "--weave diamonds.txt --loom Window")
    assert "shafts" in codes(picked)
    assert "pick the rest up by hand" in stash.run("cloth check Mat").stdout
    stash.does("cloth give-up Mat --yes")
    assert "two rigid heddles, one behind" in str(
        planned(stash, "B", "--weave '2/1 twill' --loom Window")["warnings"]
    )
    stash.does("cloth give-up B --yes")
    assert "shafts" not in codes(planned(stash, "C", "--loom Window"))


def test_whose_draft_must_be_said_once(desk: Desk) -> None:
    for line in ("draft", "draft plain --cloth Mat"):
        assert desk.run(line).exit_code == 2


def test_a_weave_with_an_edge_end_never_caught_asks_for_floating_ends(stash: Desk) -> None:
    found = planned(stash, "Mat", "--weave 'basket 2x2'")
    assert "floating-selvedge" in codes(found)


def test_a_cloth_of_a_draft_is_exported_and_comes_back(stash: Desk) -> None:
    planned(stash, "Mat", "--weave diamonds.txt")
    stash.does("export all.json")
    other = Desk(stash.folder / "other")
    other.folder.mkdir()
    other.does(["import", str(stash.folder / "all.json")])
    assert other.told("draft --cloth Mat") == stash.told("draft --cloth Mat")
