"""Drafts: reading the layout, the weave that comes of it, and what a loom makes of it."""

from collections.abc import Iterable
from typing import Any

import pytest

from farspun.cli.draft_drawing import LINE, drawing
from farspun.craft.draft import Draft, Floats, draft_of, longest_floats
from farspun.craft.draft_on_loom import (
    ONE_HEDDLE,
    TWO_HEDDLES,
    check_loom,
    many_treadles,
    on_rigid_heddle,
    share_a_place,
)
from farspun.craft.draft_parts import MOST_LETTERS
from farspun.craft.draft_text import draft_from_text, draft_text
from farspun.craft.plan import Loom
from farspun.craft.weave import EXAMPLES, weave
from farspun.errors import FarspunError, ImpossibleValue, UnreadableValue

TWILL = "threading 1 2 3 4\ntie-up 1: 1 2\n2: 2 3\n3: 3 4\n4: 4 1\ntreadling 1 2 3 4"
TIED = "tie-up\n1: 1\n2: 2\n"


def sets(*numbers: Iterable[int]) -> tuple[frozenset[int], ...]:
    return tuple(map(frozenset, numbers))


def loom(kind: str, shafts: int | None = None) -> Loom:
    return Loom("Elm", kind, 60.0, shafts=shafts)


def refused(text: str, kind: type[FarspunError] = ImpossibleValue) -> str:
    with pytest.raises(kind) as error:
        draft_from_text(text)
    assert error.value.hint
    return error.value.message


@pytest.mark.parametrize(
    "text",
    [
        TWILL,
        TWILL.upper().replace("TIE-UP", "Tie up"),
        TWILL.replace("1 2 3 4", "1, 2,3 4 "),
        TWILL.replace("1: 1 2", "1 : 1+2").replace("\n", "\r\n"),
        "# a twill\n####\n\n" + TWILL.replace("\n2:", "  # treadle one\n\n  2:"),
        "treadling: 1 2\n3 4\nthreading:\n 1 2\n 3 4\ntie-up: 1: 1 2\n2: 2 3\n3: 3 4\n4: 4 1",
        "threading\n...#\n..#.\n.#..\n#...\ntie-up\n..##\n.##.\n##..\n#..#\n"
        "treadling\n#...\n.#..\n..#.\n...#",
        "threading 1 2 3 4\ntie-up\n. . # #  # shaft 4\n. # # .\n# # . .\n# . . #  # shaft 1\n"
        "treadling 1 2 3 4",
        "threading 1 2 3 4\nlift plan\n1: 1 2\n2: 2 3\n3: 3 4\n4: 4 1",
        "threading 1 2 3 4\nlift-plan\n##..\n.##.\n..##\n#..#",
        "threading 1 2 3 4\ntie-up 1: 1\n2: 2\n3: 3\n4: 4\ntreadling 1+2 3+2 4+3 1+4",
        "threading 1 2 3 4\ntie-up 1: 3 4\n2: 1 4\n3: 1 2\n4: 2 3\ntreadling 1 2 3 4\nsinking",
    ],
    ids=range(12),
)
def test_a_layout_is_read_in_numbers_or_in_marks(text: str) -> None:
    assert draft_from_text(text).weave_text == "##../.##./..##/#..#"


def test_sinking_sheds_leave_the_other_shafts_up() -> None:
    plain = "threading 1 2 3\ntie-up 1: 1\n2: 2\n3: 3\ntreadling 1 2 3"
    assert draft_from_text(plain).weave_text == "#../.#./..#"
    assert draft_from_text(plain + "\nsinking").weave_text == ".##/#.#/##."


def test_treadles_pressed_together_raise_the_shafts_of_both() -> None:
    found = draft_from_text("threading 1 2 3\ntie-up 1: 1\n2: 2\n3: 3 2\ntreadling 1+2 3 1")
    assert found.lifts == sets({1, 2}, {2, 3}, {1})


def test_a_drawn_part_has_shaft_1_lowest_and_its_first_pick_on_top() -> None:
    found = draft_from_text("threading\n..#\n.#.\n#..\nlift plan\n#..\n.#.\n..#")
    assert found == Draft((1, 2, 3), lift_plan=sets({1}, {2}, {3}))
    tied = draft_from_text("threading 1 2 3\ntie-up\n#.\n.#\n.#\ntreadling\n#.\n.#")
    assert (tied.tie_up, tied.treadling) == (sets({3}, {1, 2}), sets({1}, {2}))


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "the draft cannot be empty"),
        ("# only words", "the draft cannot be empty"),
        ("threading 1 2", "the draft cannot be without tie-up"),
        ("threading 1 2\n" + TIED, "the draft cannot be without treadling"),
        ("threading 1 2\ntreadling 1 2", "the draft cannot be without tie-up"),
        ("lift plan\n1: 1\n2: 2", "the draft cannot be without threading"),
        ("threading 1\n0\n" + TIED + "treadling 1 2", "the shaft of end 2 (line 2) cannot be 0"),
        ("threading 1 129\n" + TIED + "treadling 1 2", "(line 1) cannot be 129: shafts are"),
        (
            "threading 1 2 4 5 4\n" + TIED + "treadling 1 2",
            "the shaft of end 4 (line 1) cannot be 5: no end is on shaft 3",
        ),
        (
            "threading 1 2\n" + TIED + "treadling 1 2\n1 3",
            "pick 4 (line 6) cannot be on treadle 3: the tie-up has treadles 1 to 2",
        ),
        (
            "threading 1 2\n" + TIED + "treadling 0 2",
            "pick 1 (line 5) cannot be on treadle 0",
        ),
        (
            "threading 1 2\ntie-up\n1: 1\n2: 3\ntreadling 1 2",
            "treadle 2 (line 4) cannot be tied to shaft 3: the threading has shafts 1 to 2",
        ),
        (
            "threading 1 2\ntie-up\n1: 1\n2: # none\ntreadling 1 2",
            "treadle 2 (line 4) cannot be without a shaft",
        ),
        (
            "threading 1 2\ntie-up\n#.\n#.\ntreadling 1 1",
            "treadle 2 (line 3) cannot be without a shaft",
        ),
        (
            "threading 1 2\ntie-up\n1: 1\n3: 2\ntreadling 1 3",
            "the treadle in line 4 cannot be 3: treadle 2 comes next",
        ),
        (
            "threading 1 2\nlift plan\n1: 1\n1: 2",
            "the pick in line 4 cannot be 1: pick 2 comes next",
        ),
        (
            "threading 1 2\nlift plan\n1: 1\n2: 2 7",
            "pick 2 (line 4) cannot be raised by shaft 7: the threading has shafts 1 to 2",
        ),
        (
            "threading\n..#\n#..\nlift plan\n1: 1\n2: 2",
            "end 2 (lines 2 to 3) cannot be unthreaded",
        ),
        (
            "threading\n.##\n#.#\nlift plan\n1: 1\n2: 2",
            "end 3 (lines 2 to 3) cannot be on shafts 1 and 2: each end is on one shaft",
        ),
        (
            "threading\n...\n.#.\n#.#\nlift plan\n1: 1\n2: 2",
            "shaft 3 (line 2) cannot be without an end",
        ),
        (
            "threading 1 2 3\nlift plan\n1: 1\n2: 2\n3: 1",
            "end 3 (line 1) cannot be woven: shaft 3 is raised on no pick, so it would lie loose",
        ),
        (
            "threading 1 2 3\nlift plan\n1: 1 3\n2: 1 2",
            "end 1 (line 1) cannot be woven: shaft 1 is raised on every pick",
        ),
        (
            "threading 1 2\nlift plan\n1: 1\n2: 2\n3: 1 2",
            "pick 3 (line 5) cannot be woven: every shaft is raised, so it would lie loose",
        ),
        (
            "threading 1 2\nlift plan\n#.\n..\n.#",
            "pick 2 (line 4) cannot be woven: no shaft is raised",
        ),
        ("threading " + "1 2 " * 65 + "\n" + TIED + "treadling 1 2", "of 130 ends: from 1 to 128"),
        ("threading 1 2\n" + TIED + "treadling" + " 1 2" * 65, "of 130 picks: from 1 to 128"),
        ("#" * (MOST_LETTERS + 1), f"at most {MOST_LETTERS} letters"),
    ],
)
def test_what_cannot_be_is_refused_with_its_line_and_the_limit(text: str, said: str) -> None:
    assert said in refused(text)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("1 2 3", "line 1 “1 2 3” cannot be read: no heading stands above it"),
        ("threading 1 2\ntie-up\ntreadling 1 2", "line 2 “tie-up” cannot be read: nothing stands"),
        ("threading ,\n" + TIED, "line 1 “threading” cannot be read: nothing stands under it"),
        ("threading 1 b", "line 1 “b” cannot be read: it is not a number"),
        ("threading 1 ２", "line 1 “２” cannot be read: it is not a number"),
        ("threading 1 -2", "line 1 “-2” cannot be read: it is not a number"),
        ("threading 1+2", "line 1 “1+2” cannot be read: it is not a number"),
        ("threading 1 9999999", "line 1 “9999999” cannot be read: it is too large"),
        ("threading 1 2\nthreading 2 1", "threading stands in line 1 already"),
        ("threading\n#..\n.#\n", "line 3 “.#” cannot be read: the rows are ragged"),
        ("threading\n#.\n1 2\n", "line 3 “1 2” cannot be read: marks and numbers under threading"),
        ("threading 1 2\ntie-up\n1 2\n", "does not begin with a treadle and a colon"),
        ("threading 1 2\nlift plan\n1 2\n", "does not begin with a pick and a colon"),
        ("threading 1 2\nlift plan\n#..\n.#.", "line 3 “#..” cannot be read: it has 3 marks"),
        ("threading 1 2\n" + TIED + "treadling\n#..", "line 6 “#..” cannot be read: it has 3"),
        ("threading 1 2\n" + TIED + "treadling 1 2+", "line 5 “2+” cannot be read: it is not"),
        ("threading 1 2\ntie-up\n#.", "1 rows stand under it, and the threading has 2 shafts"),
        ("threading 1 2\n" + TIED + "lift plan\n#.\n.#", "line 2 “tie-up” cannot be read"),
        ("threading 1 2\nsinking\nlift plan\n#.\n.#", "line 2 “sinking” cannot be read"),
        (TWILL + "\nsinking 1 2", "line 7 “1 2” cannot be read: nothing stands under sinking"),
    ],
)
def test_a_line_that_is_no_part_of_a_draft_is_refused_by_its_number(text: str, said: str) -> None:
    for part, least in (("tie-up", TIED), ("treadling", "treadling 1 2")):
        if part not in text and "lift plan" not in text:
            text += "\n" + least
    assert said in refused(text, UnreadableValue)


@pytest.mark.parametrize(
    ("parts", "said"),
    [
        ({"threading": ()}, "the threading cannot be left out or empty"),
        ({"threading": (1, 2)}, "the tie-up cannot be left out or empty"),
        (
            {"threading": (1, 2), "tie_up": sets({1}, {2}), "treadling": sets({1}, ())},
            "pick 2 cannot be without a treadle",
        ),
        (
            {"threading": (1, 2), "tie_up": sets({1}, {2}), "lift_plan": sets({1}, {2})},
            "the draft cannot be of both kinds",
        ),
        (
            {"threading": (1, 2), "lift_plan": sets({1}, {2}), "sinking": True},
            "the draft cannot be of both kinds",
        ),
        (
            {"threading": (1, 2), "tie_up": sets(*[{1}] * 129), "treadling": sets({1})},
            "of 129 treadles: from 1 to 128 treadles",
        ),
    ],
)
def test_a_draft_made_by_hand_is_checked_as_one_from_a_text(
    parts: dict[str, Any], said: str
) -> None:
    with pytest.raises(ImpossibleValue, match=said):
        Draft(**parts)


@pytest.mark.parametrize(
    ("name", "threading", "tie_up", "treadling"),
    [
        ("plain", [1, 2], [{1}, {2}], [1, 2]),
        ("2/2 twill", [1, 2, 3, 4], [{1, 2}, {2, 3}, {3, 4}, {1, 4}], [1, 2, 3, 4]),
        ("point 2/2 x4", [1, 2, 3, 4, 3, 2], [{1, 2}, {2, 3}, {3, 4}, {1, 4}], [1, 2, 3, 4]),
        ("warp rib 2/2", [1, 2], [{1}, {2}], [1, 1, 2, 2]),
        ("weft rib 2/2", [1, 1, 2, 2], [{1}, {2}], [1, 2]),
        ("5-end satin", [1, 2, 3, 4, 5], [{2, 3, 4, 5}, {1, 2, 4, 5}, {1, 2, 3, 4}, {1, 3, 4, 5},
                                          {1, 2, 3, 5}], [1, 2, 3, 4, 5]),
    ],
)  # fmt: skip
def test_a_named_weave_is_threaded_straight_or_in_a_point_on_the_fewest_shafts(
    name: str, threading: list[int], tie_up: list[set[int]], treadling: list[int]
) -> None:
    found = draft_of(weave(name))
    assert found.threading == tuple(threading)
    assert found.tie_up == sets(*tie_up)
    assert found.treadling == sets(*([one] for one in treadling))


@pytest.mark.parametrize("name", EXAMPLES)
def test_every_weave_offered_has_a_draft_that_reads_back(name: str) -> None:
    draft = draft_of(weave(name))
    assert draft.interlacement == weave(name).interlacement
    assert draft.weave.name == draft.weave_text
    assert draft_from_text(draft_text(draft)) == draft
    assert draft.as_lift_plan().interlacement == draft.interlacement


@pytest.mark.parametrize(
    ("name", "floats"),
    [
        ("plain", Floats(1, 1, 1, 1)),
        ("3/1 twill", Floats(3, 1, 1, 3)),
        ("1/3 twill", Floats(1, 3, 3, 1)),
        ("8-end satin", Floats(7, 1, 1, 7)),
        ("basket 3x2", Floats(2, 3, 2, 3)),
        ("point 2/2 x8", Floats(2, 3, 2, 3)),
        ("weft rib 3/1", Floats(1, 3, 1, 3)),
    ],
)
def test_the_longest_floats_are_told_for_face_and_back(name: str, floats: Floats) -> None:
    assert longest_floats(weave(name)) == floats


@pytest.mark.parametrize(
    ("name", "heddles"),
    [
        ("plain", 1),
        ("warp rib 2/2", 1),
        ("basket 2x2", 1),
        ("2/1 twill", 2),
        ("1/2 twill", 2),
        ("2/2 twill", None),
        ("5-end satin", None),
    ],
)
def test_one_rigid_heddle_lifts_as_two_shafts_and_two_as_three(
    name: str, heddles: int | None
) -> None:
    way = on_rigid_heddle(draft_of(weave(name)))
    assert (way.heddles if way else None) == heddles


HEIGHTS = {"up": 1, "down": -1, "rest": 0}


def upper_layer(heddles: int, move: str) -> set[str]:
    """The places that stand higher than the others once the heddles have moved."""
    if heddles == 1:
        heights = {"slot": 0, "hole": HEIGHTS[move]}
    else:
        which, how = move.split()
        moved = {"front", "back"} if which == "both" else {which}
        heights = {"slot": 0}
        for heddle in ("front", "back"):
            heights[f"{heddle} hole"] = HEIGHTS[how if heddle in moved else "rest"]
    low, high = sorted(set(heights.values()))
    return {place for place, height in heights.items() if height == high > low}


def test_a_heddle_that_moves_lifts_what_the_table_says() -> None:
    assert len(ONE_HEDDLE) == 2**2 - 2
    assert len(TWO_HEDDLES) == 2**3 - 2
    for heddles, table in ((1, ONE_HEDDLE), (2, TWO_HEDDLES)):
        for places, move in table.items():
            assert upper_layer(heddles, move) == places


@pytest.mark.parametrize("name", ["plain", "weft rib 2/1", "2/1 twill", "1/2 twill", "##./#.#/.#."])
def test_the_moves_of_the_heddles_weave_the_cloth(name: str) -> None:
    draft = draft_of(weave(name))
    way = on_rigid_heddle(draft)
    assert way is not None
    woven = tuple(
        tuple(way.places[shaft - 1] in upper_layer(way.heddles, move) for shaft in draft.threading)
        for move in way.moves
    )
    assert woven == draft.interlacement


def test_shafts_that_rise_alike_share_a_place_on_the_heddle() -> None:
    draft = draft_from_text("threading 1 2 3 4\nlift plan\n#.#.\n.#.#")
    assert draft.alike == ((1, 3), (2, 4))
    way = on_rigid_heddle(draft)
    assert way is not None
    assert way.places == ("slot", "hole", "slot", "hole")
    assert not share_a_place(draft)
    assert share_a_place(draft_of(weave("weft rib 2/2")))


def test_slots_take_the_group_with_most_ends() -> None:
    draft = draft_from_text("threading 1 2 3 2\nlift plan\n#..\n.#.\n..#")
    way = on_rigid_heddle(draft)
    assert way is not None
    assert way.places == ("front hole", "slot", "back hole")
    assert way.moves == ("front up", "both down", "back up")


@pytest.mark.parametrize(
    ("name", "on", "why"),
    [
        ("5-end satin", loom("table", 4), "it needs 5 shafts, and Elm has 4"),
        ("plain", loom("frame", 1), "it needs 2 shafts, and Elm has 1"),
        ("2/2 twill", loom("rigid-heddle"), "it needs 4 shafts, and two rigid heddles do the work"),
    ],
)
def test_a_loom_with_too_few_shafts_is_refused(name: str, on: Loom, why: str) -> None:
    with pytest.raises(ImpossibleValue, match=why):
        check_loom(draft_of(weave(name)), on)


def test_shafts_that_rise_alike_are_offered_as_one_where_that_helps() -> None:
    draft = draft_from_text("threading 1 2 3 4\nlift plan\n#.#.\n.#.#")
    with pytest.raises(ImpossibleValue) as error:
        check_loom(draft, loom("table", 2))
    assert "The same weave goes on 2" in error.value.hint
    with pytest.raises(ImpossibleValue) as error:
        check_loom(draft, loom("table", 1))
    assert "a loom with 2 shafts" in error.value.hint


@pytest.mark.parametrize(
    ("name", "on"),
    [
        ("2/2 twill", loom("table", 4)),
        ("2/2 twill", loom("floor")),
        ("2/1 twill", loom("rigid-heddle")),
        ("plain", loom("rigid-heddle", 1)),
    ],
)
def test_a_loom_that_can_is_taken(name: str, on: Loom) -> None:
    check_loom(draft_of(weave(name)), on)


def test_many_treadles_are_doubted_on_a_floor_loom_only() -> None:
    rows = draft_from_text(
        "threading 1 2 3 4\ntreadling 1 2 3 4 5 6 7\ntie-up\n"
        "1: 1 2\n2: 2 3\n3: 3 4\n4: 4 1\n5: 1 3\n6: 2 4\n7: 1"
    )
    assert many_treadles(rows, loom("floor", 4))
    assert many_treadles(rows, loom("floor"))
    assert not many_treadles(rows, loom("floor", 5))
    assert not many_treadles(rows, loom("table", 4))


def test_the_drawing_stands_as_books_print_it() -> None:
    draft = draft_from_text("threading 1 2 3 2\ntie-up\n1: 1 2\n2: 2 3\n3: 1\ntreadling 1 2 3 2")
    assert list(drawing(draft)) == [
        "3  . . # .   . # .",
        "2  . # . #   # # .",
        "1  # . . .   # . #",
        "",
        "1  # # . #   # . .",
        "2  . # # #   . # .",
        "3  # . . .   . . #",
        "4  . # # #   . # .",
    ]


def test_beside_a_lift_plan_the_corner_is_empty() -> None:
    assert list(drawing(draft_of(weave("2/1 twill")).as_lift_plan())) == [
        "3  . . #",
        "2  . # .",
        "1  # . .",
        "",
        "1  # # .   # # .",
        "2  . # #   . # #",
        "3  # . #   # . #",
    ]


def test_a_drawing_too_wide_is_cut_into_strips_that_have_it_all() -> None:
    draft = draft_of(weave("herringbone 2/2 x60"))
    lines = list(drawing(draft))
    assert max(map(len, lines)) <= LINE
    headings = [line for line in lines if "ends" in line]
    assert headings == ["ends 1 to 85", "ends 86 to 120, treadles 1 to 4"]
    strips = [lines[: lines.index(headings[1]) - 1], lines[lines.index(headings[1]) :]]
    drawn = ["".join(strip[at].split()[1] for strip in strips) for at in (*range(6, 10),)]
    assert "/".join(drawn) == draft.weave_text


def test_a_side_too_wide_for_the_screen_stands_in_strips_of_its_own() -> None:
    draft = draft_of(weave("64/64 twill"))
    headings = [line for line in drawing(draft) if " to " in line]
    assert headings == ["ends 1 to 83", "ends 84 to 128", "treadles 1 to 83", "treadles 84 to 128"]
    assert max(map(len, drawing(draft))) <= LINE
