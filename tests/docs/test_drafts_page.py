"""docs/drafts.md shows what the program prints, and the layout and the heddles it knows."""

import re
from pathlib import Path

import pytest

from docs.pages import TOP, answered, examples
from farspun.craft.draft_on_loom import ONE_HEDDLE, TWO_HEDDLES
from farspun.craft.draft_parts import LIFTED, MOST_LETTERS, TREADLED, parts_of
from farspun.craft.draft_text import draft_from_text
from farspun.craft.interlacement import MOST_THREADS

PAGE = (TOP / "docs" / "drafts.md").read_text(encoding="utf-8")
GLOSSARY = (TOP / "docs" / "glossary.md").read_text(encoding="utf-8")
TEXTS = re.findall(r"^```text\n(.*?)^```", PAGE, flags=re.DOTALL | re.MULTILINE)


def test_the_examples_print_what_the_page_shows(tmp_path: Path) -> None:
    (tmp_path / "diamonds.txt").write_text(TEXTS[0], encoding="utf-8")
    shown = examples(PAGE)
    assert len(shown) == 2
    for example in shown:
        assert answered(example, tmp_path).output == example.shown, example.line


def test_every_layout_of_the_page_is_the_same_draft() -> None:
    first, *others = map(draft_from_text, TEXTS)
    assert others
    assert all(other == first for other in others)


def test_every_part_of_a_draft_has_its_row() -> None:
    rows = re.findall(r"^\| `([\w -]+)` \| ", PAGE, flags=re.MULTILINE)
    assert rows == [*TREADLED, *LIFTED[1:], "sinking"]
    assert set(parts_of(TEXTS[0])) == set(TREADLED)


@pytest.mark.parametrize("table", [ONE_HEDDLE, TWO_HEDDLES], ids=["one heddle", "two heddles"])
def test_every_move_of_the_heddles_is_on_the_page(table: dict[frozenset[str], str]) -> None:
    rows = dict(re.findall(r"^\| ([a-z ]+) \| ([a-z, ]+) \|$", PAGE, flags=re.MULTILINE))
    for places, move in table.items():
        assert {place.rstrip("s") for place in rows[move].split(", ")} == places


def test_the_limits_of_the_page_are_the_ones_there_are() -> None:
    assert f"at most {MOST_THREADS} ends" in PAGE
    assert f"{MOST_LETTERS:,} letters".replace(",", " ") in PAGE


def test_every_label_of_the_answer_is_explained_in_the_glossary(tmp_path: Path) -> None:
    (tmp_path / "diamonds.txt").write_text(TEXTS[0], encoding="utf-8")
    labels = set()
    for example in examples(PAGE):
        found = re.findall(
            r"^  ([A-Z]\w+) {2,}\S", answered(example, tmp_path).output, re.MULTILINE
        )
        labels |= set(found)
    assert {"Weave", "Drawn", "Floats", "Edges", "Heddle"} == labels
    for label in (*labels, "Loom", "Note"):
        assert re.search(rf"\*\*{label}\*\*", GLOSSARY, re.IGNORECASE), label
