"""Colour in `farspun match`: contrast and likeness are told with their reasons, and the order goes
by them where that is asked."""

from pathlib import Path
from typing import Any

import pytest
from coloraide import Color

from cli.running import Desk
from farspun.craft.colour_words import shades

SIZE = "--size 25cmx80cm"
WARP = f"match --warp Hill {SIZE}"  # the weft is sought
ADD = "skein add {name} --mass 100g --length {metres}m --state relaxed --plies 2 --colour {colour}"


def add(name: str, colour: str, metres: int = 400) -> str:
    return ADD.format(name=f'"{name}"', metres=metres, colour=f'"{colour}"')


def stash(folder: Path, *lines: str, hill: str = "navy") -> Desk:
    folder.mkdir(exist_ok=True)
    desk = Desk(folder)
    desk.does(add("Hill", hill), *lines)
    return desk


def ranked(desk: Desk, line: str) -> list[str]:
    return [" + ".join(one["skeins"]) for one in desk.told(line)["matches"]]


def reason(desk: Desk, line: str, name: str, criterion: str) -> dict[str, Any]:
    for one in desk.told(line)["matches"]:
        if one["skeins"] == [name]:
            (told,) = [each for each in one["criteria"] if each["name"] == criterion]
            return dict(told)
    raise AssertionError(f"{name} is not among the matches")


def lab(name: str) -> Color:
    return Color(shades()[name].hex).convert("lab-d65")


# what is asked, the shade that stands before, the one after, the criterion
TURNS = [
    ("--like madder", "rust", "teal", "likeness"),
    ("--like '#2e8b57'", "green", "red", "likeness"),
    ("--like 'lab 30 5 5'", "moorit", "cream", "likeness"),
    ("--like Target", "madder", "teal", "likeness"),
    ("--contrast most", "cream", "slate", "contrast"),
    ("--contrast least", "slate", "cream", "contrast"),
]


@pytest.mark.parametrize(("asked", "better", "worse", "criterion"), TURNS)
def test_turning_a_colour_round_turns_the_pair_round_for_the_reason_told(
    tmp_path: Path, asked: str, better: str, worse: str, criterion: str
) -> None:
    for first in (better, worse):
        second = worse if first == better else better
        lines = [add("A", first), add("B", second)]
        if "Target" in asked:
            lines.append("skein add Target --colour rust")
        desk = stash(tmp_path / first, *lines)
        good, bad = ("A", "B") if first == better else ("B", "A")
        line = f"{WARP} {asked}"
        assert ranked(desk, line) == [good, bad]
        told = [reason(desk, line, name, criterion)["value"] for name in (good, bad)]
        least = criterion == "likeness" or "least" in asked
        assert (abs(told[0]) < abs(told[1])) == least
        above = desk.told(f"{line} --explain {bad}")["explained"]["above"]
        unit = "ΔE2000" if criterion == "likeness" else "L*"
        assert above == (
            f"{good} stands before it: {criterion} {round(abs(told[0]))} {unit},"
            f" and of this {round(abs(told[1]))} {unit}"
        )


def test_values_are_those_that_coloraide_has(tmp_path: Path) -> None:
    desk = stash(tmp_path, add("A", "madder"))
    contrast = reason(desk, WARP, "A", "contrast")["value"]
    assert contrast == pytest.approx(lab("madder")["l"] - lab("navy")["l"], abs=1e-4)
    likeness = reason(desk, WARP, "A", "likeness")["value"]
    assert likeness == pytest.approx(lab("madder").delta_e(lab("navy"), method="2000"), abs=1e-4)
    line = f"{WARP} --like rust"
    wished = reason(desk, line, "A", "likeness")["value"]
    assert wished == pytest.approx(lab("madder").delta_e(lab("rust"), method="2000"), abs=1e-4)


def test_without_a_wish_colours_are_told_and_change_no_place(tmp_path: Path) -> None:
    for order in (("teal", "madder"), ("madder", "teal")):
        desk = stash(tmp_path / order[0], add("A", order[0], 330), add("B", order[1], 460))
        said = desk.told(WARP)
        plain = {one["skeins"][0]: (one["against"], one["mind"]) for one in said["matches"]}
        for one in said["matches"]:
            names = [each["name"] for each in one["criteria"]]
            assert names[-3:] == ["contrast", "likeness", "left over"]
            assert all(each["stands"] == "well" for each in one["criteria"][-3:])
        assert said["wished"] == []
        assert "likest" not in said["order"]
        if plain["A"] == plain["B"]:
            assert ranked(desk, WARP) == ["A", "B"]


def test_what_reaches_stands_before_what_is_liker(tmp_path: Path) -> None:
    desk = stash(tmp_path, add("Short", "madder", 60), add("Long", "teal", 400))
    assert ranked(desk, f"{WARP} --like madder") == ["Long", "Short"]


def test_likeness_goes_before_what_is_against(tmp_path: Path) -> None:
    desk = stash(tmp_path, add("Sea", "madder, bleeds"), add("Gorse", "teal"))
    assert ranked(desk, WARP) == ["Gorse", "Sea"]
    assert ranked(desk, f"{WARP} --like madder") == ["Sea", "Gorse"]


def test_a_yarn_without_a_known_colour_stands_last_and_says_so(tmp_path: Path) -> None:
    desk = stash(tmp_path, add("Odd", "quuxy"), add("Teal", "teal"))
    desk.does("skein add Bare --mass 100g --length 400m --state relaxed --plies 2")
    line = f"{WARP} --like madder"
    assert ranked(desk, line)[0] == "Teal"
    assert reason(desk, line, "Odd", "likeness") == {
        "name": "likeness", "value": None, "stands": "well",
        "why": "its colour note tells no shade: “quuxy”",
    }  # fmt: skip
    assert reason(desk, line, "Bare", "contrast")["why"] == "no colour is noted"
    above = desk.told(f"{line} --explain Odd")["explained"]["above"]
    assert above.endswith("and of this not known")


def test_where_the_other_side_has_no_colour_contrast_is_not_known(tmp_path: Path) -> None:
    desk = stash(tmp_path, add("A", "teal"), hill="undyed")
    assert reason(desk, WARP, "A", "contrast")["why"] == "of the warp no shade is known"
    assert ranked(desk, f"{WARP} --contrast most") == ["A"]


def test_several_shades_are_taken_by_their_light(tmp_path: Path) -> None:
    desk = stash(tmp_path, add("A", "60% navy 40% sand"))
    light = [Color(shades()[name].hex).convert("srgb-linear").coords() for name in ("navy", "sand")]
    mixed = Color("srgb-linear", [0.6 * one + 0.4 * two for one, two in zip(*light, strict=True)])
    expected = mixed.convert("lab-d65")["l"] - lab("navy")["l"]
    assert reason(desk, WARP, "A", "contrast")["value"] == pytest.approx(expected, abs=1e-4)


def test_a_combination_has_the_colour_of_its_skeins(tmp_path: Path) -> None:
    parts = [add(f"Sloe {at}", "madder", metres) for at, metres in ((1, 80), (2, 70))]
    desk = stash(tmp_path, *parts, add("Other", "teal", 90))
    line = f"{WARP} --like madder"
    found = desk.told(line)["matches"][0]
    assert found["skeins"] == ["Sloe 1", "Sloe 2"]
    values = {each["name"]: each["value"] for each in found["criteria"]}
    assert values["likeness"] == pytest.approx(0, abs=1e-6)


def test_the_reason_tells_what_the_cloth_looks_like_by_sett_and_weave(tmp_path: Path) -> None:
    desk = stash(tmp_path, add("A", "cream"))

    def face(more: str) -> tuple[float, float]:
        """L* of the cloth's shade, and the share that is weft, in per cent."""
        why = reason(desk, f"{WARP} {more}", "A", "contrast")["why"]
        value = why.split("(")[1].split(")")[0]
        return Color(value).convert("lab-d65")["l"], float(why.split(", ")[-1].split(" %")[0])

    plain, more_weft = face("--sett 5/cm --picks 5/cm"), face("--sett 5/cm --picks 7/cm")
    warp_up = face("--sett 5/cm --picks 5/cm --weave '3/1 twill'")
    assert plain[1] == 50
    assert more_weft[1] > 50 > warp_up[1]
    assert more_weft[0] > plain[0] > warp_up[0]  # the weft is the lighter


def test_the_answer_in_words_tells_the_wish_and_the_rule(tmp_path: Path) -> None:
    desk = stash(tmp_path, add("A", "rust"), add("B", "cream"))
    said = " ".join(desk.does(f"{WARP} --like madder --contrast most").split())
    assert "likeness: ΔE2000" in said
    assert "contrast: " in said
    assert "L* lighter than the warp: the weave" in said
    assert (
        "then the likest to madder (in ΔE2000), to the whole number; then the most contrast"
        " (in L*), to the whole number; then the fewest points against" in said
    )


@pytest.mark.parametrize(
    ("asked", "words"),
    [
        ("--like quuxy", "“quuxy” cannot be read: it is no skein of yours"),
        ("--like ''", "cannot be read"),
        ("--like Bare", "--like cannot be Bare: no colour of it is known"),
    ],
)
def test_a_wish_that_cannot_be_is_said_in_two_lines(tmp_path: Path, asked: str, words: str) -> None:
    desk = stash(tmp_path, "skein add Bare", add("A", "teal"))
    said = desk.refuses(f"{WARP} {asked}", 3)
    assert words in " ".join(said.split())
    assert len(said.strip().splitlines()) == 2


def test_what_is_nearer_in_colour_and_cut_off_is_named_with_its_odds(tmp_path: Path) -> None:
    desk = stash(
        tmp_path, add("Long", "teal"), add("Longer", "teal", 500), add("Dip", "madder", 60)
    )
    line = f"{WARP} --like madder"
    whole = {" + ".join(one["skeins"]): one for one in desk.told(line)["matches"]}
    assert desk.told(line)["nearer"] == []  # all are listed
    told = desk.told(f"{line} --limit 2")
    assert [one["skeins"] for one in told["matches"]] == [["Long"], ["Longer"]]
    (dip,) = told["nearer"]
    assert (dip["rank"], dip["skeins"], dip["odds"]) == (3, ["Dip"], whole["Dip"]["odds"])
    assert dip["likeness"] == pytest.approx(0, abs=1e-6)
    said = " ".join(desk.does(f"{line} --limit 2").split())
    assert "nearer in colour but less likely: Dip, " in said
    assert "nearer" not in desk.does(f"{WARP} --limit 2")


def test_where_nothing_likely_is_near_in_colour_none_is_put_forward(tmp_path: Path) -> None:
    desk = stash(tmp_path, add("Long", "teal"), add("Dip", "madder", 60))
    line = f"{WARP} --like madder --limit 1"
    apart = lab("teal").delta_e(lab("madder"), method="2000")
    assert desk.told(line)["far_off"] == pytest.approx(apart, abs=1e-4)
    said = " ".join(desk.does(line).split())
    assert "nothing that would reach is near madder in colour: Long, the nearest of that" in said
    assert f"ΔE2000 {apart:.0f} away" in said
    assert "the first of them" not in said
    near = desk.does(f"{WARP} --like teal --limit 1")
    assert "the first of them" in near and "is near" not in near


def test_a_note_read_in_part_is_told_and_stands_behind_one_as_near_that_was_read(
    tmp_path: Path,
) -> None:
    desk = stash(tmp_path, add("A", "wibbled gold"), add("B", "gold"), add("C", "teal"))
    for wish in ("--like gold", "--contrast most"):
        line = f"{WARP} {wish}"
        assert ranked(desk, line)[:2] == ["B", "A"]
        for criterion in ("likeness", "contrast"):
            assert "not read in its note: wibbled" in reason(desk, line, "A", criterion)["why"]
            assert "not read" not in reason(desk, line, "B", criterion)["why"]
        told = desk.told(f"{line} --explain A")["explained"]["above"]
        assert told == "B stands before it: its colour note was read whole, and this one's not"
    said = " ".join(desk.does(f"{WARP} --like gold").split())
    assert "to the whole number; then those whose colour note was read whole; then" in said


def test_a_mossy_yarn_with_bits_of_gold_is_no_gold(tmp_path: Path) -> None:
    desk = stash(tmp_path, add("A", "sort of mossy, with bits of gold"), add("B", "gold"))
    line = f"{WARP} --like gold"
    assert ranked(desk, line) == ["B", "A"]
    assert reason(desk, line, "A", "likeness")["value"] > 3
