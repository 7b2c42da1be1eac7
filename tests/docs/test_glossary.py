"""docs/glossary.md knows every heading and label on the screen, and every assumption's name."""

import re
import shlex
from pathlib import Path

import pytest

from docs.pages import TOP, Example, answered
from farspun.cli import largest_words, match_words
from farspun.services import demo
from farspun.services.causes import CAUSES
from farspun.services.habits_for import FACTORS
from farspun.store.engine import Stash

PAGE = (TOP / "docs" / "glossary.md").read_text(encoding="utf-8")
TERMS = {
    " ".join(term.split()).casefold() for term in re.findall(r"\*\*(.+?)\*\*", PAGE, re.DOTALL)
}
EVERY_TERM = " ".join(PAGE.replace("*", "").split()).casefold()

TABLES = [
    "skein list",
    "skein list --imperial",
    "skein history Hearth",
    "loom list",
    "reed list",
    "cloth list",
]
# one cloth of the demo that is woven, with a slip
LIVED = [
    "sample 'Winter scarf' --reed 12cm --off 11cmx10cm --washed 10cmx9cm",
    "wound 'Winter scarf'",
    "on-loom 'Winter scarf' --picks 3/cm",
    "off-loom 'Winter scarf' --tape 1.8m --thrums 50cm --off 25cmx17cm",
]
# (indent, characters of the label), command
LABELLED = [
    (2, 9, "skein show Harebell"),
    (2, 9, "skein show 'Bracken 1'"),
    (2, 9, "skein show Lichen"),
    (2, 9, "skein show Puddle"),
    (2, 13, "skein add Gooseberry --mass 76g --length 180m --wpi 13wpi --test-length 10m=4.1g"),
    (0, 8, "cloth check 'Table runner'"),
    (0, 8, "cloth check 'Lap rug'"),
    (0, 8, "cloth show Collar"),
    (0, 8, "cloth show 'Winter scarf'"),
    (0, 8, "lessons"),
    (0, 8, "reach Hearth Harebell --size 30cmx40cm --warp-order '4 Hearth, 2 Harebell'"),
    (2, 6, "shortfalls"),
    (0, 8, "share-out"),
    (0, 8, "reach Hearth --size 30cmx40cm"),
    (0, 8, "largest --weft Rushlight --width 30cm"),
    (0, 8, "match 'Lap rug'"),
    (2, 12, "sett --wpi 15wpi --count 1200yd/lb --weave '2/2 twill' --reed 8dpi --reed 40/10cm"),
    (2, 12, "grist --count 1200yd/lb --fibre wool"),
    (
        2,
        14,
        "reckon --width 35cm --length 84cm --sett 3/cm --picks 3/cm --draw-in 8% --let-off 4%",
    ),
]


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder whose stash is that of the demo."""
    place = tmp_path_factory.mktemp("glossary")
    demo.build(Stash(path=place / "stash.db"), demo.scenario())
    for line in LIVED:
        assert answered(Example(f"farspun cloth {line}", ""), place).exit_code == 0, line
    return place


def _shown(folder: Path, line: str) -> list[str]:
    result = answered(Example(f"farspun {line}", ""), folder)
    assert result.exit_code == 0, result.output
    return result.stdout.splitlines()


def _label(line: str, indent: int, width: int) -> str:
    """What stands before the answer in a line, "" where the line goes on from the one above."""
    label = line[indent : indent + width]
    whole = len(line) > indent + width and not line[:indent].strip() and label.endswith(" ")
    return label.strip().casefold() if whole and not label.startswith(" ") else ""


@pytest.mark.parametrize("line", TABLES)
def test_every_heading_of_a_table_is_explained(folder: Path, line: str) -> None:
    heading = _shown(folder, line)[0]
    headings = {one.casefold() for one in re.split(r"\s{2,}", heading.strip())}
    assert len(headings) >= 4
    assert headings - TERMS == set()


@pytest.mark.parametrize(("indent", "width", "line"), LABELLED)
def test_every_label_of_an_answer_is_explained(
    folder: Path, indent: int, width: int, line: str
) -> None:
    labels = {_label(shown, indent, width) for shown in _shown(folder, line)} - {""}
    assert len(labels) >= 2
    assert labels - TERMS == set()


@pytest.mark.parametrize("term", [*largest_words.HEADINGS, *match_words.NAMES.values()])
def test_headings_of_sizes_and_criteria_of_matching_are_terms_of_their_own(term: str) -> None:
    assert term in TERMS


@pytest.mark.parametrize("name", [*FACTORS.values(), *CAUSES.values()])
def test_every_assumption_and_cause_of_doubt_is_explained(name: str) -> None:
    assert name.casefold() in EVERY_TERM


@pytest.mark.parametrize(
    "word",
    shlex.split(
        "evidence cloth sample claim reach odds promise shortfall 'to spin' tight rested washed"
        " take-up crimp draw-in let-off shrinkage 'weft take-up' 'of the larger thing'"
    ),
)
def test_the_words_that_answers_hang_on_are_terms_of_their_own(word: str) -> None:
    assert word in TERMS
