"""docs/cutting.md shows what the program prints and the figures it uses."""

import re
from pathlib import Path

import pytest

from docs.pages import TOP, answered, demo_stash, examples
from farspun.craft import lay
from farspun.services.packing import MEASURES, MOST_TRIES

PAGE = (TOP / "docs" / "cutting.md").read_text(encoding="utf-8")
TEXT = " ".join(PAGE.split())
GLOSSARY = (TOP / "docs" / "glossary.md").read_text(encoding="utf-8")


def test_the_example_prints_what_the_page_shows(tmp_path: Path) -> None:
    demo_stash(tmp_path)
    (example,) = examples(PAGE)
    assert answered(example, tmp_path).output == example.shown


def test_the_figures_worked_through_are_those_of_the_answer() -> None:
    shown = examples(PAGE)[0].shown
    side = lay.cut_size_cm(16, lay.SEAM_CM, lay.RAW_EDGE_CM)
    assert (side, lay.cut_size_cm(20, lay.SEAM_CM, lay.RAW_EDGE_CM)) == (20, 24)
    assert re.search(r"^side 1 .* 20\.0 +24\.0$", shown, flags=re.MULTILINE)
    assert re.search(r"^strap 1 .* 8\.0 +48\.0$", shown, flags=re.MULTILINE)
    waste = 1 - 1344 / 1440
    assert f"{100 * waste:.0f} % of it is left over" in shown
    assert f"so {100 * waste:.0f} % is left over" in TEXT


@pytest.mark.parametrize(
    ("option", "cm"),
    [("seam", lay.SEAM_CM), ("raw-edge", lay.RAW_EDGE_CM), ("selvedge", lay.SELVEDGE_CM)],
)
def test_what_is_taken_is_on_the_page(option: str, cm: float) -> None:
    assert f"| `--{option}` | {cm:g} cm " in PAGE


def test_the_limits_of_the_page_are_the_ones_used() -> None:
    assert f"At most {lay.MOST_PIECES} pieces" in TEXT
    assert f"up to {MOST_TRIES} lays" in TEXT
    assert len(MEASURES) == 5 and "by five measures" in TEXT


@pytest.mark.parametrize(
    "word", ["lay", "piece", "seam", "raw edge", "grain", "nap", "panels", "re-sley", "care",
             "from left", "from start", "wide", "long"]
)  # fmt: skip
def test_its_words_are_in_the_glossary(word: str) -> None:
    assert re.search(rf"\*\*{word}\*\*", GLOSSARY, re.IGNORECASE), word
