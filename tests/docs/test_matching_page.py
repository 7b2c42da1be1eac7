"""docs/matching.md shows what the program prints, and the limits and words it goes by."""

import re
from pathlib import Path

import pytest

from docs.pages import MATCHING, answered, examples
from farspun.cli.match_words import NAMES
from farspun.craft.combining import LIKE_GRIST, MOST_TOGETHER
from farspun.craft.dye_notes import BLEEDING, DEEP
from farspun.craft.largest import RUNG, SCANNED
from farspun.craft.matching import (
    FLUFFY_WARP,
    LOFT_APART,
    LOFTY_WARP,
    PUCKER_AGAINST,
    PUCKER_MIND,
    RATIOS,
    SHEDS,
)
from farspun.services.matching import DRAWN, ORDER, REFINED

PAGE = MATCHING.read_text(encoding="utf-8")
WORDS = " ".join(PAGE.split())


def test_every_command_of_the_page_answers_what_is_written_below_it(tmp_path: Path) -> None:
    shown = examples(PAGE)
    assert len(shown) >= 8
    for example in shown:
        output = answered(example, tmp_path).output
        assert example.shown == output, f"farspun {example.words}: write docs/matching.md anew"


def test_every_criterion_has_its_row() -> None:
    rows = re.findall(r"^\| (?!…)([a-z ]+?)(?:, as warp)? \| ", PAGE, flags=re.MULTILINE)
    assert set(rows) == set(NAMES.values()) | {"criterion"}


@pytest.mark.parametrize("purpose", ["everyday", "weft-faced", "warp-faced"])
def test_the_limits_of_the_grist_ratio_are_the_ones_there_are(purpose: str) -> None:
    (low, high), (lowest, highest) = RATIOS[purpose]
    row = next(
        line
        for line in PAGE.splitlines()
        if line.startswith("| grist ratio" if purpose == "everyday" else f"| … {purpose}")
    )
    assert f"not between {low:g} and {high:g}" in row
    assert f"not between {lowest:g} and {highest:g}" in row
    assert RATIOS["everyday"] == RATIOS["firm"] == RATIOS["drape"]


def test_the_other_limits_are_the_ones_there_are() -> None:
    for said in (
        f"under {LOFTY_WARP:g}",
        f"under {FLUFFY_WARP:g}",
        f"more than {LOFT_APART:g} times apart",
        f"more than {100 * PUCKER_MIND:g} points",
        f"more than {100 * PUCKER_AGAINST:g} points",
        f"steps of {100 * LIKE_GRIST:g} %",
        f"at most {MOST_TOGETHER}",
        f"the first {REFINED}",
        f"The first {DRAWN} are drawn",
        f"each {100 * (RUNG - 1):.0f} % larger",
    ):
        assert said in WORDS, said
    assert SCANNED == 8
    assert "next eight cm" in WORDS


def test_the_words_that_are_looked_for_are_named() -> None:
    assert {one for one in (*DEEP, *SHEDS) if one not in WORDS} == set()
    assert {"bleeds", "runs", "crocks"} <= BLEEDING
    for one in ("Bleeds", "runs", "crocks", "not fast"):
        assert f"*{one}*" in PAGE


def test_the_rule_of_the_page_is_the_one_that_is_printed() -> None:
    steps = re.findall(r"^\d\. ", PAGE, flags=re.MULTILINE)
    assert len(steps) == 7
    for part in ("the fewest", "least left over", "best odds", "added first", "to the hundredth"):
        assert part in ORDER
        assert part in WORDS
    assert ORDER.index("of the need){wish}; then the fewest") > 0  # as the page has it
    assert WORDS.index("3. with `--like` or `--contrast`") < WORDS.index("4. the fewest criteria")
