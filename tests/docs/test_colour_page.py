"""docs/colour.md shows what the program prints, and its figures are the ones there are."""

import re
from pathlib import Path

import pytest

from docs.pages import COLOUR, answered, examples
from farspun.craft.colour_notes import yarn_colour
from farspun.craft.colour_terms import AMOUNTS, BITS, SHIFTS
from farspun.craft.optical_mix import AKIN, CLOSE, SAME, SHOWS, SUBTLE, mean_srgb, warp_share
from farspun.craft.yarn_colour import Lie, Shade

PAGE = COLOUR.read_text(encoding="utf-8")
WORDS = " ".join(PAGE.split())


def test_every_command_of_the_page_answers_what_is_written_below_it(tmp_path: Path) -> None:
    shown = examples(PAGE)
    assert len(shown) >= 8
    for example in shown:
        output = answered(example, tmp_path).output
        assert example.shown == output, f"farspun {example.words}: write docs/colour.md anew"


def test_every_way_to_lie_has_its_row() -> None:
    rows = re.findall(r"^\| ([a-z]+) \| ", PAGE, flags=re.MULTILINE)
    assert set(rows) == {one.value for one in Lie} - {"unknown"}


def test_shares_of_words_are_the_ones_there_are() -> None:
    for word, share in (AMOUNTS | BITS).items():
        if said := re.search(rf"\*{word}\* (\d+) %", PAGE):
            assert int(said[1]) == round(100 * share), word
    assert len(re.findall(r"\*[a-z ]+\* \d+ %", PAGE)) >= 5
    assert BITS["flecks"] == AMOUNTS["a little"] == AMOUNTS["a touch"] == 0.1


def test_shifts_are_the_ones_there_are() -> None:
    for word, by in (("light", "+12"), ("pale", "+18"), ("dark", "-14"), ("deep", "-10")):
        assert f"*{word}* {by}" in WORDS
        assert f"{SHIFTS[word][0]:+g}" == by


def test_limits_of_contrast_and_likeness_are_the_ones_there_are() -> None:
    assert f"Under {SUBTLE:g} the weave vanishes" in WORDS
    assert f"from {SUBTLE:g} to {SHOWS:g} it is subtle" in WORDS
    assert f"from {SHOWS:g} it shows" in WORDS
    assert f"under {SAME:g} the same to the eye" in WORDS
    assert f"under {CLOSE:g} close, under {AKIN:g} akin" in WORDS


def test_what_is_worked_by_hand_is_what_it_answers() -> None:
    assert warp_share(0.4, 0.56, 0.5) == pytest.approx((0.176 + 0.112) / 0.736)
    assert "/ 0.736 = 39 %" in WORDS
    assert round(100 * warp_share(0.4, 0.56, 0.5)) == 39
    srgb = mean_srgb(yarn_colour("black, white"))
    assert srgb is not None
    assert f"half black and half white is `{Shade('', srgb, '').hex}`" in WORDS
