"""docs/charts.md shows what the program says, and its pictures are what the program draws."""

import re
from pathlib import Path

import pytest

from docs.pages import PICTURES, TOP, answered, demo_stash, examples, prepare, same_picture
from farspun.pictures import chart
from farspun.pictures.chart_lessons import MOST_RECORDS
from farspun.pictures.chart_reach import BEYOND

PAGE = (TOP / "docs" / "charts.md").read_text(encoding="utf-8")
GLOSSARY = (TOP / "docs" / "glossary.md").read_text(encoding="utf-8")
TEXT = " ".join(PAGE.split())


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Where the page's commands were run, each answering as the page says."""
    place = tmp_path_factory.mktemp("charts")
    demo_stash(place)
    prepare(PAGE, place)
    for example in examples(PAGE):
        assert answered(example, place).output == example.shown
    return place


def test_the_pictures_of_the_page_are_what_its_commands_draw(folder: Path) -> None:
    shown = re.findall(r"!\[.+\]\(pictures/(.+)\)", PAGE)
    drawn = sorted(one.name for one in folder.glob("*.svg"))
    assert sorted(shown) == drawn and len(drawn) == 4
    for name in drawn:
        kept, svg = ((place / name).read_text(encoding="utf-8") for place in (PICTURES, folder))
        assert same_picture(kept, svg), f"{name}: write docs/charts.md anew"


def test_the_words_of_a_picture_are_those_printed(folder: Path) -> None:
    for example in examples(PAGE):
        first, *words = example.shown.splitlines()
        said = " ".join(" ".join(words).removeprefix("Words").split())
        svg = (folder / first.removeprefix("Drawn: ")).read_text(encoding="utf-8")
        assert f">{said}</desc>" in svg


def test_pictures_differ_by_a_number_or_a_word_but_not_by_the_names_of_parts() -> None:
    one = '<path d="M 1.5 2 L 30.25 4" id="mab12cd34ef"/><desc>need 3 m</desc>'
    assert same_picture(one, one.replace("mab12cd34ef", "m0000000000").replace("1.5", "1.5001"))
    for old, new in (("1.5", "1.6"), ("need", "have"), ("3 m", "4 m"), ("30.25", "-30.25")):
        assert not same_picture(one, one.replace(old, new)), old


def test_the_figures_of_the_page_are_the_ones_used() -> None:
    assert f"PNG, {chart.DOTS_PER_INCH} to the inch" in TEXT
    assert f"The sheet is {chart.SHEET_MM:g} mm wide" in TEXT
    assert f"more than {MOST_RECORDS} records the last {MOST_RECORDS} are drawn" in TEXT
    assert BEYOND == 2 and "beyond twice the most that any yarn needs" in TEXT


@pytest.mark.parametrize("word", ["drawn", "words", "need", "have", "set aside"])
def test_its_words_are_in_the_glossary(word: str) -> None:
    assert re.search(rf"\*{word}\*", GLOSSARY, re.IGNORECASE), word
