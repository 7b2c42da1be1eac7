"""Weaves: every spelling, the interlacement drawn out, and what follows from it."""

import pytest

from farspun.craft.interlacement import rows_name
from farspun.craft.weave import EXAMPLES, practice_family, satin_moves, weave
from farspun.errors import ImpossibleValue, NotFound

DRAWN = {
    "plain": "#./.#",
    "2/1 twill": "##./.##/#.#",
    "1/3 twill": "#.../.#../..#./...#",
    "2/2 twill": "##../.##./..##/#..#",
    "2/2 S twill": "##../#..#/..##/.##.",
    "5-end satin": ".####/##.##/####./#.###/###.#",
    "5-end satin 3": ".####/###.#/#.###/####./##.##",
    "basket 2x2": "##../##../..##/..##",
    "basket 3x1": "###.../...###",
    "warp rib 2/2": "#./#./.#/.#",
    "weft rib 2/1": "##./..#",
    "herringbone 2/2 x4": "##..##../.##.#..#/..##..##/#..#.##.",
    "point 2/2 x4": "##...#/.##.##/..###./#..#..",
}


@pytest.mark.parametrize("name", DRAWN)
def test_a_weave_is_drawn_as_the_trade_draws_it(name: str) -> None:
    assert rows_name(weave(name).interlacement) == DRAWN[name]
    assert weave(name).name == name


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ("Plain weave", "plain"),
        ("tabby", "plain"),
        ("1/1 twill", "plain"),
        ("2/2", "2/2 twill"),
        ("twill 2/2", "2/2 twill"),
        (" 2 / 2  Twill ", "2/2 twill"),
        ("2/2 Z twill", "2/2 twill"),
        ("2/2 s twill", "2/2 S twill"),
        ("S twill 2/2", "2/2 S twill"),
        ("02/2 twill", "2/2 twill"),
        ("5 end satin", "5-end satin"),
        ("satin 8 3", "8-end satin"),
        ("8-end satin 5", "8-end satin 5"),
        ("2x2 basket", "basket 2x2"),
        ("basket 2×2", "basket 2x2"),
        ("basket 1x1", "plain"),
        ("2/2 warp rib", "warp rib 2/2"),
        ("warp rib 1/1", "plain"),
        ("weft rib 1/1", "plain"),
        ("2/2 herringbone x8", "herringbone 2/2 x8"),
        ("point twill 2/2 x8", "point 2/2 x8"),
        ("# . / . #", "#./.#"),
    ],
)
def test_a_weave_is_read_in_its_other_spellings_and_said_back_in_one(text: str, name: str) -> None:
    assert weave(text).name == name


@pytest.mark.parametrize("name", EXAMPLES)
def test_the_spellings_offered_can_be_read(name: str) -> None:
    assert weave(weave(name).name) == weave(name)


@pytest.mark.parametrize(
    ("text", "near"),
    [
        ("twill", "2/2 twill"),
        ("satin", "5-end satin"),
        ("herringbone 2/2", "herringbone 2/2 x8"),
        ("bascet 2x2", "basket 2x2"),
    ],
)
def test_a_weave_not_known_is_refused_with_the_nearest(text: str, near: str) -> None:
    with pytest.raises(NotFound) as refused:
        weave(text)
    assert near in refused.value.nearest


def test_a_text_like_no_weave_is_refused_with_the_spellings() -> None:
    with pytest.raises(NotFound) as refused:
        weave("blue")
    assert "basket 2x2" in refused.value.hint


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("6-end satin", "no step spreads"),
        ("4-end satin", "no step spreads"),
        ("5-end satin 4", "one of 2, 3"),
        ("8-end satin 2", "one of 3, 5"),
        ("0/2 twill", "1 or more"),
        ("99/99 twill", "at most 128"),
        ("basket 65x64", "at most 128"),
        ("herringbone 2/2 x1", "at least 2"),
        ("point 2/2 x2", "at least 3"),
        ("#./#.", "end 1 never goes under a pick: it would lie loose"),
        (".#/.#", "end 1 never goes over a pick: it would lie loose"),
        ("##./..#/...", "pick 3 never goes under an end: it would lie loose"),
        ("##/.#/#.", "pick 1 never goes over an end: it would lie loose"),
        ("##/.", "rows of one length"),
        ("/", "rows of one length"),
    ],
)
def test_a_weave_that_cannot_be_woven_is_refused_with_why(text: str, why: str) -> None:
    with pytest.raises(ImpossibleValue, match=why):
        weave(text)


def test_a_long_name_is_cut_short_in_the_message() -> None:
    with pytest.raises(ImpossibleValue) as refused:
        weave("/".join(["#" * 100] * 100))
    assert len(refused.value.message) < 200


@pytest.mark.parametrize(
    ("name", "ends", "picks", "intersections"),
    [
        ("plain", 2, 2, 2),
        ("2/1 twill", 3, 3, 2),
        ("2/2 twill", 4, 4, 2),
        ("5-end satin", 5, 5, 2),
        ("warp rib 2/2", 2, 4, 2),
        ("weft rib 2/2", 4, 2, 2),
        ("herringbone 2/2 x4", 8, 4, 5),
    ],
)
def test_the_repeat_and_its_intersections_are_counted_along_the_picks(
    name: str, ends: int, picks: int, intersections: float
) -> None:
    found = weave(name)
    assert (found.ends, found.picks, found.intersections) == (ends, picks, intersections)
    assert found.pick_intersections.mean() == intersections


def test_a_rib_interlaces_differently_along_ends_and_picks() -> None:
    rib = weave("warp rib 2/2")
    assert rib.pick_intersections.tolist() == [2, 2, 2, 2]
    assert rib.end_intersections.tolist() == [2, 2]
    assert (rib.warp_float, rib.weft_float) == (2.0, 1.0)


@pytest.mark.parametrize(
    ("name", "warp", "weft"),
    [
        ("plain", 1, 1),
        ("3/1 twill", 3, 3),
        ("8-end satin", 7, 7),
        ("basket 3x2", 2, 3),
        ("point 2/2 x8", 2, 3),
        ("herringbone 2/2 x8", 2, 2),
    ],
)
def test_the_longest_floats_are_found_across_the_repeat(name: str, warp: int, weft: int) -> None:
    assert weave(name).longest_warp_float == warp
    assert weave(name).longest_weft_float == weft


@pytest.mark.parametrize(
    ("name", "share", "balance"),
    [("plain", 0.5, 0.0), ("3/1 twill", 0.75, 0.5), ("5-end satin", 0.8, 0.6)],
)
def test_the_share_of_warp_on_the_face_is_counted(name: str, share: float, balance: float) -> None:
    assert weave(name).warp_face_share == pytest.approx(share)
    assert weave(name).balance == pytest.approx(balance)


@pytest.mark.parametrize(
    ("name", "start", "from_left", "from_right"),
    [
        ("plain", "left", (), ()),
        ("2/2 twill", "right", ("left", "right"), ()),
        ("2/2 S twill", "left", (), ("left", "right")),
        ("2/1 twill", "left", (), ()),
        ("basket 2x2", None, ("right",), ("left",)),
        ("warp rib 2/2", None, ("right",), ("left",)),
    ],
)
def test_edge_ends_the_weft_misses_are_found_for_either_start(
    name: str, start: str | None, from_left: tuple[str, ...], from_right: tuple[str, ...]
) -> None:
    found = weave(name)
    assert found.start_from == start
    assert found.loose_edges("left") == from_left
    assert found.loose_edges("right") == from_right


@pytest.mark.parametrize(
    ("name", "purpose", "family"),
    [
        ("plain", "everyday", "plain"),
        ("weft rib 2/2", "drape", "plain"),
        ("warp rib 2/2", "everyday", "twill or basket"),
        ("2/1 twill", "firm", "twill or basket"),
        ("basket 2x2", "everyday", "twill or basket"),
        ("8-end satin", "everyday", "twill or basket"),
        ("plain", "weft-faced", "weft-faced"),
        ("2/2 twill", "warp-faced", "warp-faced"),
    ],
)
def test_take_up_goes_by_purpose_then_by_the_float_of_the_warp(
    name: str, purpose: str, family: str
) -> None:
    assert practice_family(weave(name), purpose) == family


def test_a_purpose_not_known_is_refused() -> None:
    with pytest.raises(ImpossibleValue, match="drape, everyday"):
        practice_family(weave("plain"), "sturdy")


def test_satins_have_only_moves_that_spread_their_stitches() -> None:
    assert {ends: satin_moves(ends) for ends in (4, 5, 6, 7, 8, 10)} == {
        4: [],
        5: [2, 3],
        6: [],
        7: [2, 3, 4, 5],
        8: [3, 5],
        10: [3, 7],
    }


def test_the_interlacement_cannot_be_changed() -> None:
    with pytest.raises(ValueError, match="read-only"):
        weave("plain").up[0, 0] = False
