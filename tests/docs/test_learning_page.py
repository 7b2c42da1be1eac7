"""docs/learning.md states the constants that are used, and what they come to."""

import re

import numpy as np
import pytest

from calibration import learning_study
from docs.pages import TOP
from farspun.craft import beliefs, outliers, records
from farspun.craft.fibres import blend
from farspun.craft.habits import shrink_length_habit
from farspun.craft.learned import Learned, spreads_off
from farspun.craft.learning import Lessons, Question
from farspun.craft.records import Record, record_columns
from farspun.craft.spread import Spread
from farspun.craft.student_t import DEGREES
from farspun.services.habits_for import FACTORS

PAGE = (TOP / "docs" / "learning.md").read_text(encoding="utf-8")
FLAT = " ".join(PAGE.split())
SHRINKAGE = shrink_length_habit(blend("wool"), False, "gentle")
LINEN = shrink_length_habit(blend("linen"), False, "gentle")


def _row(name: str) -> list[list[float]]:
    """The numbers in each cell of the table row that begins with `name`."""
    (line,) = re.findall(rf"^\| {re.escape(name)} \|.*$", PAGE, flags=re.MULTILINE)
    return [[float(x) for x in re.findall(r"[\d.]+", cell)] for cell in line.split("|")[2:-1]]


def test_the_priors_of_the_page_are_the_ones_used() -> None:
    within = [beliefs.WITHIN.tolist(), beliefs.WITHIN_PRIOR.tolist()]
    scale = [beliefs.SCALE.tolist(), beliefs.SCALE_PRIOR.tolist()]
    assert _row("part within, w") == within
    assert _row("scale, c") == scale
    assert beliefs.WITHIN_PRIOR.sum() == pytest.approx(1, abs=1e-15)
    assert beliefs.SCALE_PRIOR.sum() == pytest.approx(1, abs=1e-15)


def test_the_study_draws_weavers_from_the_priors_of_the_page() -> None:
    assert [list(learning_study.WITHIN), list(learning_study.WITHIN_CHANCE)] == _row(
        "part within, w"
    )
    assert [list(learning_study.SCALE), list(learning_study.SCALE_CHANCE)] == _row("scale, c")


def test_the_other_constants_of_the_page_are_the_ones_used() -> None:
    assert beliefs.GROUP_PART == beliefs.SAMPLE_SHARED == 0.5
    assert "| v | of its group | c(1 − w)/2 |" in PAGE
    assert "| e | of this one reading | c·w/2 |" in PAGE
    assert f"Student's t with {DEGREES:g} degrees" in FLAT
    assert f"under 1 in {1 / outliers.DOUBTFUL_P:,.0f}, either side" in PAGE
    assert outliers.MOST_ASIDE == 3
    assert "| a third of a factor's records |" in PAGE
    assert f"| {records.MOST_OFF:,.0f} spreads |" in PAGE


def test_every_factor_stands_with_its_group() -> None:
    said = {"fibre family": "family of the fibre"}
    for factor, traits in records.GROUPED_BY.items():
        group = " and ".join(said.get(trait, trait) for trait in traits)
        (line,) = re.findall(rf"^\| {group} \| (.*) \|$", PAGE, flags=re.MULTILINE)
        assert FACTORS[factor] in line.split(", ")


def _told(
    observed: list[float],
    group: str = "wool, gentle",
    piece: str = "next",
    habit: Spread = SHRINKAGE,
) -> Spread:
    """Shrinkage in length after wool cloths that lost these parts."""
    rows = [
        Record("shrink_length", "wool, gentle", str(number), float(spreads_off(x, SHRINKAGE)))
        for number, x in enumerate(observed)
    ]
    asked = Question("shrink_length", group, piece, habit)
    return Lessons(record_columns(rows)).spreads([asked])[0]


EIGHT = [0.14, 0.13, 0.15, 0.14, 0.12, 0.14, 0.15, 0.13]


@pytest.mark.parametrize(
    ("told", "words"),
    [
        (_told([0.14]), "to"),
        (_told([0.14, 0.13, 0.15]), "bring it to"),
        (_told(EIGHT), "to 15 %, to"),
        (_told([0.14, 0.06, 0.17]), "but only to"),
        (_told(EIGHT, group="linen, gentle", habit=LINEN), "is expected at"),
        (_told([0.14], piece="0"), "than another cloth does:"),
        (_told([0.14]), "where one other cloth gives"),
    ],
)
def test_the_examples_of_the_page_come_out_so(told: Spread, words: str) -> None:
    assert isinstance(told, Learned)
    assert f"{words} {100 * told.mean:.1f} ± {100 * told.sd:.1f} %" in FLAT


def test_what_a_sample_leaves_of_the_doubt_is_as_said() -> None:
    sample = record_columns([Record("beat", "", "Shawl", 0.0)])
    sd = float(beliefs.beliefs(sample, sample).sd[0])
    assert f"it is {sd:.2f} of the sd, ± {8 * sd:.1f} %" in FLAT
    w, c = beliefs.WITHIN[1], beliefs.SCALE[1]
    left = float(c * (1 - (1 - w + beliefs.SAMPLE_SHARED * w) ** 2))
    sd = float(np.sqrt(left))
    assert f"= {left:.2f} of the variance, {sd:.2f} of the sd" in FLAT
    assert f"becomes ± {8 * sd:.1f} %" in FLAT
