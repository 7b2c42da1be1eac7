"""What free notes of colours are read as; shifted and mixed shades against coloraide."""

import math
import random
import re

import pytest
from coloraide import Color
from hypothesis import example, given
from hypothesis import strategies as st

from farspun.craft import colour_notes, colour_parts, colour_words
from farspun.craft.colour_notes import MOST_READ, MOST_SHADES, yarn_colour
from farspun.craft.colour_reader import Reader
from farspun.craft.colour_terms import AMOUNTS, BITS, SHIFTS
from farspun.craft.colour_words import shades
from farspun.craft.yarn_colour import Lie, YarnColour


def said(note: str | None) -> list[tuple[str, float]]:
    """Names and shares in percent."""
    return [(one.shade.name, round(100 * one.share, 1)) for one in yarn_colour(note).stretches]


def hexes(note: str) -> list[str]:
    return [one.shade.hex for one in yarn_colour(note).stretches]


READ = [
    ("slate with oat flecks, a little madder", Lie.MARL,
     [("slate", 80), ("oat", 10), ("madder", 10)]),
    ("60% navy 40% sand", Lie.VARIEGATED, [("navy", 60), ("sand", 40)]),
    ("navy 60%, sand 40%", Lie.VARIEGATED, [("navy", 60), ("sand", 40)]),
    ("navy 60, sand 40", Lie.VARIEGATED, [("navy", 60), ("sand", 40)]),
    ("navy (60 per cent), sand", Lie.VARIEGATED, [("navy", 60), ("sand", 40)]),
    ("1/3 red 2/3 blue", Lie.VARIEGATED, [("red", 33.3), ("blue", 66.7)]),
    ("3 parts navy, 1 part sand", Lie.VARIEGATED, [("navy", 75), ("sand", 25)]),
    ("half red, half blue", Lie.VARIEGATED, [("red", 50), ("blue", 50)]),
    ("mostly cream, some rust", Lie.VARIEGATED, [("cream", 75), ("rust", 25)]),
    ("flecks of oat on slate", Lie.MARL, [("oat", 10), ("slate", 90)]),
    ("slate flecked with oat", Lie.MARL, [("slate", 90), ("oat", 10)]),
    ("from cream to walnut", Lie.GRADIENT, [("cream", 50), ("walnut", 50)]),
    ("cream through fawn to moorit", Lie.GRADIENT,
     [("cream", 33.3), ("fawn", 33.3), ("moorit", 33.3)]),
    ("gradient: navy, teal", Lie.GRADIENT, [("navy", 50), ("teal", 50)]),
    ("navy > teal > navy", Lie.GRADIENT, [("navy", 33.3), ("teal", 33.3), ("navy", 33.3)]),
    ("heathered grey and white", Lie.HEATHER, [("grey", 50), ("white", 50)]),
    ("grey heather", Lie.HEATHER, [("grey", 100)]),
    ("heather", Lie.SOLID, [("heather", 100)]),
    ("marled navy and oat", Lie.MARL, [("navy", 50), ("oat", 50)]),
    ("navy plied with oat", Lie.MARL, [("navy", 50), ("oat", 50)]),
    ("solid teal", Lie.SOLID, [("teal", 100)]),
    ("variegated red/blue", Lie.VARIEGATED, [("red", 50), ("blue", 50)]),
    ("blue-grey", Lie.SOLID, [("blue grey", 100)]),
    ("blue grey", Lie.SOLID, [("blue grey", 100)]),
    ("blue, grey", Lie.VARIEGATED, [("blue", 50), ("grey", 50)]),
    ("GRAY", Lie.SOLID, [("grey", 100)]),
    ("navies", Lie.SOLID, [("navy", 100)]),
    ("onion skins", Lie.SOLID, [("onion skin", 100)]),
    ("bluish", Lie.SOLID, [("blue", 100)]),
    ("skyblue", Lie.SOLID, [("sky blue", 100)]),
    ("sort of mossy, with bits of gold", Lie.VARIEGATED, [("moss", 90), ("gold", 10)]),
    ("teal with mossy bits", Lie.VARIEGATED, [("teal", 90), ("moss", 10)]),
    ("kind of rusty", Lie.SOLID, [("rust", 100)]),
    ("inky", Lie.SOLID, [("ink", 100)]),
    ("cream, a whisper of rust", Lie.VARIEGATED, [("cream", 95), ("rust", 5)]),
    ("blue, very pale", Lie.SOLID, [("very pale blue", 100)]),
    ("more green than blue", Lie.VARIEGATED, [("green", 75), ("blue", 25)]),
    ("peachy to brick", Lie.GRADIENT, [("peach", 50), ("brick", 50)]),
    ("almost moorit", Lie.SOLID, [("almost moorit", 100)]),
    ("grey overdyed with madder", Lie.SOLID, [("madder over grey", 100)]),
    ("blue over cream", Lie.SOLID, [("blue over cream", 100)]),
    ("woad on grey fleece", Lie.SOLID, [("woad over grey", 100)]),
    ("blue, dyed with red cabbage", Lie.SOLID, [("blue", 100)]),
    ("green, dyed with weld and indigo", Lie.SOLID, [("green", 100)]),
    ("dyed with madder", Lie.SOLID, [("madder", 100)]),
    ("gradient from walnut brown to cream", Lie.GRADIENT, [("walnut brown", 50), ("cream", 50)]),
    ("light to dark blue", Lie.GRADIENT, [("light blue", 50), ("dark blue", 50)]),
    ("light/dark grey marl", Lie.MARL, [("light grey", 50), ("dark grey", 50)]),
    ("pale to deep moorit", Lie.GRADIENT, [("pale moorit", 50), ("deep moorit", 50)]),
    ("silver birch bark", Lie.SOLID, [("silver birch bark", 100)]),
    ("black Welsh Mountain", Lie.SOLID, [("black", 100)]),
    ("Blue-faced Leicester, cream", Lie.SOLID, [("cream", 100)]),
    ("Shetland, moorit", Lie.SOLID, [("moorit", 100)]),
    ("bleached linen", Lie.SOLID, [("bleached", 100)]),
    ("unbleached", Lie.SOLID, [("unbleached", 100)]),
    ("madder, alum 15%, copper 2%", Lie.SOLID, [("madder", 100)]),
    ("15% alum, weld", Lie.SOLID, [("weld", 100)]),
    ("copper 60%, navy 40%", Lie.VARIEGATED, [("copper", 60), ("navy", 40)]),
    ("grey fleece, natural", Lie.SOLID, [("grey", 100)]),
    ("natural grey", Lie.SOLID, [("natural grey", 100)]),
    ("black-brown, almost black", Lie.SOLID, [("black brown, black", 100)]),
    ("rust, #a1b2c3", Lie.SOLID, [("#a1b2c3", 100)]),
]  # fmt: skip


@pytest.mark.parametrize(("note", "lie", "shares"), READ, ids=[note for note, *_ in READ])
def test_a_note_is_read_as_it_is_meant(
    note: str, lie: Lie, shares: list[tuple[str, float]]
) -> None:
    assert said(note) == shares
    assert yarn_colour(note).lie is lie
    assert yarn_colour(note).unknown_words == ()


NONE = ["Jacob", "Romney fleece", "alum 15%", "dyed with red cabbage", "undyed", "rinsed", "fast",
        "not fast", "vat", "no red", "without black", "by Hazel", "bought at Sand Mill", "", "   ",
        None, "stone house", "batch 3"]  # fmt: skip


@pytest.mark.parametrize("note", NONE)
def test_what_tells_of_something_else_is_no_colour(note: str | None) -> None:
    read = yarn_colour(note)
    assert (read.lie, read.stretches, read.unknown_words) == (Lie.UNKNOWN, (), ())


@pytest.mark.parametrize(
    ("note", "only"),
    [
        ("Indigo vat, rinsed, fast", "indigo"),
        ("madder, alum mordant, light-fast", "madder"),
        ("grey wool from the white farm", "grey"),
        ("slate, from the white farm", "slate"),
        ("rust, spun at Silver Mill", "rust"),
        ("undyed fawn", "fawn"),
        ("teal, dyed by Rose", "teal"),
        ("natural moorit", "moorit"),
        ("navy, batch 12", "navy"),
        ("straw, but no green", "straw"),
    ],
)
def test_a_note_that_tells_more_makes_no_colours_of_it(note: str, only: str) -> None:
    assert said(note) == [(only, 100.0)]
    assert yarn_colour(note).unknown_words == ()


def test_lengths_of_stretches_make_stripes_in_the_order_told() -> None:
    read = yarn_colour("navy > teal > sand, each about 20 m")
    assert read.lie is Lie.STRIPING
    assert [(one.shade.name, one.length_m) for one in read.stretches] == [
        ("navy", 20.0), ("teal", 20.0), ("sand", 20.0),
    ]  # fmt: skip
    assert said("navy > teal > sand, each about 20 m")[0] == ("navy", 33.3)


def test_longer_stretches_have_the_larger_share() -> None:
    read = yarn_colour("self-striping: red 5 m, green 10 m, blue 5 yd")
    lengths_m = [5.0, 10.0, 5 * 0.9144]
    assert [one.length_m for one in read.stretches] == pytest.approx(lengths_m)
    assert [one.share for one in read.stretches] == pytest.approx(
        [one / sum(lengths_m) for one in lengths_m]
    )


def test_a_length_beside_one_shade_is_not_taken_for_a_stretch() -> None:
    read = yarn_colour("red, 300 m")
    assert read.lie is Lie.SOLID
    assert read.stretches[0].length_m is None
    assert "not read" in read.assumed[0]


@pytest.mark.parametrize(
    ("note", "hex_value"),
    [("#a1b2c3", "#a1b2c3"), ("rust #a1b2c3", "#a1b2c3"), ("#FFFFFF", "#ffffff")],
)
def test_a_value_that_is_given_is_taken_as_it_is(note: str, hex_value: str) -> None:
    assert hexes(note)[-1] == hex_value
    assert yarn_colour(note).stretches[-1].shade.source == "given"


@pytest.mark.parametrize("lab", [(52, 12, -8), (80.5, -10, 20), (20, 5, 5), (100, 0, 0)])
def test_l_a_b_is_the_shade_that_coloraide_has_for_it(lab: tuple[float, ...]) -> None:
    theirs = Color("lab-d65", lab).convert("srgb").to_string(hex=True)
    for note in ("lab {} {} {}", "Lab {}, {}, {}", "LAB({}, {}, {})"):
        read = yarn_colour(note.format(*lab))
        assert read.unknown_words == ()
        own = Color(read.stretches[0].shade.hex).to_string(hex=True)
        assert own == theirs


def test_what_no_screen_shows_is_brought_in_and_said() -> None:
    read = yarn_colour("lab 50 -120 60")
    assert "more vivid than sRGB shows" in read.assumed[0]
    shown = Color("srgb", read.stretches[0].shade.srgb).convert("lab-d65")
    assert shown["l"] == pytest.approx(50, abs=1e-3)
    assert shown["b"] / shown["a"] == pytest.approx(-0.5, abs=1e-3)  # the hue stays


@pytest.mark.parametrize("note", ["lab 120 0 0", "lab -5 0 0", "lab 50 999 0"])
def test_l_a_b_that_cannot_be_is_listed(note: str) -> None:
    read = yarn_colour(note)
    assert read.stretches == ()
    assert read.unknown_words == (note,)


@pytest.mark.parametrize("word", ["light", "dark", "pale", "deep", "dusty"])
def test_lighter_and_darker_words_shift_the_shade_as_they_say(word: str) -> None:
    note = f"{word} moorit"  # no name of its own
    assert note not in shades()
    read = yarn_colour(note)
    before = Color(shades()["moorit"].hex).convert("lab-d65")
    after = Color("srgb", read.stretches[0].shade.srgb).convert("lab-d65")
    lighter, chroma = SHIFTS[word]
    assert after["l"] - before["l"] == pytest.approx(lighter, abs=0.01)
    size = math.hypot(before["a"], before["b"])
    assert math.hypot(after["a"], after["b"]) == pytest.approx(chroma * size, rel=1e-3)
    assert f"“{note}” is taken as moorit" in read.assumed[0]


def test_a_pair_that_is_a_name_of_its_own_is_not_shifted() -> None:
    assert hexes("dark brown") == [shades()["dark brown"].hex]
    assert yarn_colour("dark brown").assumed == ()


def test_almost_a_shade_is_a_little_nearer_to_the_middle_and_that_is_said() -> None:
    for note, shade, lighter in (("almost moorit", "moorit", 6), ("nearly cream", "cream", -6)):
        read = yarn_colour(note)
        before = Color(shades()[shade].hex).convert("lab-d65")
        after = Color("srgb", read.stretches[0].shade.srgb).convert("lab-d65")
        assert after["l"] - before["l"] == pytest.approx(lighter, abs=0.01)
        assert read.assumed == (f"“{note}” is taken as {shade}, {lighter:+d} L*",)


def test_a_value_wins_over_the_words_beside_it_and_what_is_no_word_is_listed() -> None:
    read = yarn_colour("red #ff0000 nope")
    assert said("red #ff0000 nope") == [("#ff0000", 100.0)]
    assert (read.unknown_words, read.partly_read) == (("nope",), True)
    assert said("#ff0000, #00ff00") == [("#ff0000", 50.0), ("#00ff00", 50.0)]
    assert not yarn_colour("red").partly_read
    assert not yarn_colour("wibble").partly_read  # nothing is read


def test_a_dark_brown_that_is_almost_black_is_one_dark_brown() -> None:
    read = yarn_colour("black-brown, almost black")
    shade = Color("srgb", read.stretches[0].shade.srgb).convert("lab-d65")
    assert 0 < shade["l"] < Color(shades()["black brown"].hex).convert("lab-d65")["l"]
    assert shade["a"] > 0 < shade["b"]


def test_a_shade_that_is_told_in_ish_lies_a_third_of_the_way() -> None:
    read = yarn_colour("reddish moorit")
    ends = [Color(shades()[name].hex) for name in ("moorit", "red")]
    theirs = ends[0].mix(ends[1], 1 / 3, space="lab-d65").convert("srgb").coords()
    assert read.stretches[0].shade.srgb == pytest.approx(tuple(theirs), abs=1e-4)
    assert read.assumed


def test_a_dye_over_another_multiplies_their_light() -> None:
    read = yarn_colour("indigo over weld, rinsed")
    light = [
        Color(shades()[name].hex).convert("srgb-linear").coords() for name in ("indigo", "weld")
    ]
    product = [one * two for one, two in zip(*light, strict=True)]
    theirs = Color("srgb-linear", product).convert("srgb").coords()
    assert read.stretches[0].shade.srgb == pytest.approx(tuple(theirs), abs=1e-6)
    assert "multiplied" in read.assumed[0]


def test_words_that_are_not_known_are_listed_once_and_never_guessed() -> None:
    read = yarn_colour("quuxy red, quuxy blue, Wibble 🐑")
    assert [one.shade.name for one in read.stretches] == ["red", "blue"]
    assert read.unknown_words == ("quuxy", "wibble", "🐑")
    alone = yarn_colour("quuxy")
    assert (alone.lie, alone.stretches, alone.unknown_words) == (Lie.UNKNOWN, (), ("quuxy",))
    assert yarn_colour("light").unknown_words == ("light",)


def test_shares_over_the_whole_are_taken_in_proportion_and_said() -> None:
    assert said("80% red, 50% blue") == [("red", 61.5), ("blue", 38.5)]
    assert "shares add to 130 %, taken in proportion" in yarn_colour("80% red, 50% blue").assumed
    assert "shares add to 60 %, taken in proportion" in yarn_colour("60% red").assumed
    read = yarn_colour("80% red, 30% blue, green")
    assert "nothing is left for green: 10 % each is taken" in read.assumed
    assert said("0% white, red") == [("red", 100.0)]


@pytest.mark.parametrize("word", [*AMOUNTS, *BITS])
def test_amounts_in_words_have_their_share_and_are_said(word: str) -> None:
    note = f"{word} madder, slate" if word in AMOUNTS else f"slate, madder {word}"
    share = AMOUNTS.get(word, BITS.get(word, 0.0))
    read = yarn_colour(note)
    assert dict(said(note)) == {
        "madder": round(100 * share, 1),
        "slate": round(100 - 100 * share, 1),
    }
    assert any(f"“{word}” madder" in one for one in read.assumed)


def test_fleece_and_dye_words_go_before_the_survey_and_that_before_the_web() -> None:
    sources = {name: shades()[name].source for name in ("cream", "madder", "slate", "thistle")}
    assert sources == {"cream": "memory", "madder": "memory", "slate": "survey", "thistle": "css"}


def test_a_note_of_ten_thousand_characters_is_read_in_part_and_said() -> None:
    read = yarn_colour("red, quux " * 1000)
    assert f"only the first {MOST_READ} characters are read" in read.assumed
    assert len(read.stretches) == MOST_SHADES
    assert sum(one.share for one in read.stretches) == pytest.approx(1)


@pytest.mark.parametrize(
    "note",
    ["%", "%%%", "#", "#12", "#gggggg", "lab", "lab 1 2", "0/0 red", "1/0", "> > >", "to to",
     "over", "red over", "over red", "each", "each 20 m", "from", "from to", "\x00", "🐑🐑",
     "½ red", "٣ red", "0% red", "0 parts red", "-5% red", "1e400% red", "9" * 400 + "% red",
     "9" * 400 + " m red, blue", "ñandú", "red" * 300, "(", ")(", "a little", "flecks",
     "flecked with", "lighter darker", "very"],
)  # fmt: skip
def test_a_strange_note_is_read_without_a_fault(note: str) -> None:
    _is_whole(yarn_colour(note))


def _is_whole(read: YarnColour) -> None:
    """Shares of one, colours within sRGB, and a lie where there are shades."""
    assert (read.lie is Lie.UNKNOWN) == (not read.stretches)
    if read.stretches:
        assert sum(one.share for one in read.stretches) == pytest.approx(1)
    for one in read.stretches:
        assert 0 <= one.share <= 1
        assert all(0 <= value <= 1 for value in one.shade.srgb)
        assert re.fullmatch("#[0-9a-f]{6}", one.shade.hex)
        assert one.length_m is None or one.length_m > 0


WORDS = st.sampled_from(
    ["red", "navy", "oat", "dark", "very", "reddish", "10%", "60 %", "3 parts", "20 m", "5yd", ",",
     ">", "to", "from", "over", "with", "and", "flecks", "a little", "each", "marl", "heather",
     "#a1b2c3", "lab 50 10 10", "no", "quux", "in all", "1/2", "7", "of", "(", ")", "—", "at", "Ω"]
)  # fmt: skip


@given(st.one_of(st.text(max_size=300), st.lists(WORDS, max_size=14).map(" ".join)))
def test_whatever_is_written_reading_never_fails_and_shares_add_up(note: str) -> None:
    _is_whole(yarn_colour(note))


@given(st.permutations(["navy", "teal", "sand", "moorit", "weld"]))
def test_the_order_of_a_list_does_not_change_what_is_there(names: list[str]) -> None:
    read = yarn_colour(", ".join(names))
    assert {one.shade.name for one in read.stretches} == set(names)
    assert [one.shade.name for one in read.stretches] == names


SEGMENT = st.lists(
    st.sampled_from(
        ["red", "navy", "pale", "moorit", "reddish", "10%", "60 %", "a little", "mostly", "half",
         "flecks", "neps", "of", "5 m", "quux", "no", "from", "marl", "each", "in all", "and",
         "flecked", "2 parts", "fast", "stone", "house", "very", "at",
         "near", "by"]
    ),
    min_size=1,
    max_size=6,
).map(" ".join)  # fmt: skip


@example("copper grey at flecks")
@example("navy near oat flecks")
@given(SEGMENT)
def test_the_short_way_through_a_segment_comes_to_what_the_reader_finds(text: str) -> None:
    assert colour_parts.segment(text) == Reader(text).read()


def _forget() -> None:
    """Clear every cache that grows with what is read; tables that are built once stay."""
    for module in (colour_notes, colour_parts, colour_words):
        for one in vars(module).values():
            if hasattr(one, "cache_clear") and one.cache_parameters()["maxsize"] > 1000:
                one.cache_clear()


# few parts, so that they come again from note to note; those that tell of their neighbours
PARTS = st.lists(
    st.sampled_from(
        ["red", "pale moorit", "navy flecks", "a little pale moorit", "from red", "10%", "mostly",
         "20 m", "each 5 m", "natural", "almost black", "reddish", "red flecked with", "dark",
         "#a1b2c3", "marl"]
    ),
    min_size=1,
    max_size=4,
)  # fmt: skip
NOTE = st.builds(lambda mark, parts: mark.join(parts), st.sampled_from([", ", " > ", " "]), PARTS)
NOTES = st.lists(st.one_of(NOTE, st.lists(WORDS, max_size=8).map(" ".join)), max_size=12)


@given(NOTES, st.randoms())
def test_what_is_kept_of_notes_read_before_changes_no_answer(
    notes: list[str], draw: random.Random
) -> None:
    alone = {}
    for note in notes:
        _forget()
        alone[note] = yarn_colour(note)
    for _ in range(2):  # what was kept the first time is used the second
        draw.shuffle(notes)
        assert {note: yarn_colour(note) for note in notes} == alone
        colour_notes._read.cache_clear()


def test_what_is_kept_is_forgotten_where_the_test_above_says_so() -> None:
    yarn_colour("60% pale moorit, flecks of reddish quux")
    _forget()
    kept = (colour_notes._read, colour_parts._kept, colour_parts._alone, colour_words.plain,
            colour_words.tinting, colour_words.shifted, colour_words.between)  # fmt: skip
    assert [one.cache_info().currsize for one in kept] == [0] * len(kept)
