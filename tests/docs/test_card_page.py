"""docs/card.md shows what the program prints and the figures it uses."""

import re
from pathlib import Path

import pytest

from docs.pages import TOP, answered, examples
from farspun.cards import tags
from farspun.craft import bouts, cautions, halfway, lashing, marks
from farspun.services import carding

PAGE = (TOP / "docs" / "card.md").read_text(encoding="utf-8")
TEXT = " ".join(PAGE.split())
GLOSSARY = (TOP / "docs" / "glossary.md").read_text(encoding="utf-8")
TYPST = (TOP / "src" / "farspun" / "cards" / "warping.typ").read_text(encoding="utf-8")


def test_the_example_prints_what_the_page_shows(tmp_path: Path) -> None:
    (example,) = examples(PAGE)
    assert answered(example, tmp_path).output == example.shown


def test_the_figures_of_the_page_are_the_ones_used() -> None:
    assert f"are {bouts.LEAST_BOUT} to {bouts.MOST_BOUT} ends" in TEXT
    assert f"and {lashing.TAILS_CM:g} cm to tie off" in TEXT
    assert (lashing.NARROW_CM, lashing.NARROWER_CM) == (2.54, 1.27)
    assert f"from {carding.CLOSE_SETT_PER_CM:g} ends per cm on" in TEXT
    assert f"the knots {carding.LASH_GAP_CM:g} cm from the bar" in TEXT
    assert f"the bar {carding.LASH_ROD_CM:g} cm thick" in TEXT
    assert f"in the reed and {carding.SEPARATOR_OVER_CM:g} cm more" in TEXT
    assert f"ten minutes at {cautions.SCALDS_SLOWLY_C:g} °C" in TEXT
    assert f"seconds at {cautions.SCALDS_AT_ONCE_C:g} °C" in TEXT
    assert "smaller than 8 points" in TEXT and "#let least = 8\n" in TYPST


def test_the_spreads_of_the_marks_are_told() -> None:
    assert f"A stretch of {marks.STRETCH_CM:g} cm".lower() in TEXT.lower()
    assert f"takes {100 * halfway.STRAY:g} % more or less" in TEXT
    assert f"({100 * marks.UNEVENNESS:g} % of its grist" in TEXT
    assert f"evens out over {halfway.YARN_LENGTH_M:g} m" in TEXT
    assert f"off by {100 * halfway.SCALE_FRACTION:g} % of" in TEXT
    assert (
        halfway.drift_of_yarn(1e9) == pytest.approx(0.3e9)
        and "three tenths of the unevenness" in TEXT
    )
    assert marks.SCALE_STEP_G == 1.0 and "whole grams" in TEXT


def test_a_sheet_holds_as_many_tags_as_the_page_says() -> None:
    skein = tags.Tag("Gorse", "wool", False, 2, None, "semi", False, None, 90.0, None, None, None,
                     None, None, None, None, None)  # fmt: skip
    for paper, each in (("A4", 8), ("A5", 6)):
        sheet = carding.checked_paper(paper)
        assert _pages(tags.tags_pdf([skein] * each, sheet)) == 1
        assert _pages(tags.tags_pdf([skein] * (each + 1), sheet)) == 2


def _pages(pdf: bytes) -> int:
    from pdf_boxes import text_of

    return len(text_of(pdf))


@pytest.mark.parametrize(
    "word",
    ["card", "bout", "warp separator", "lashing cord", "peg", "loop", "mark", "think below",
     "should weigh", "tag"],
)  # fmt: skip
def test_its_words_are_in_the_glossary(word: str) -> None:
    assert re.search(rf"\*\*{word}\*\*", GLOSSARY, re.IGNORECASE), word
