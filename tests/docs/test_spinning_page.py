"""docs/spinning.md shows what the program prints, and its worked figures are those of to-spin."""

import json
import math
import re
from pathlib import Path
from typing import Any

import pytest

from docs.pages import TOP, Example, answered, demo_stash, examples
from farspun.craft import spinning
from farspun.units.spinning import STEEPEST_DEG

PAGE = (TOP / "docs" / "spinning.md").read_text(encoding="utf-8")
WORKED = " ".join(PAGE.partition("By hand")[2].partition("\n## ")[0].split())
GLOSSARY = (TOP / "docs" / "glossary.md").read_text(encoding="utf-8")


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    place = tmp_path_factory.mktemp("spinning")
    demo_stash(place)
    return place


@pytest.fixture(scope="module")
def spin(folder: Path) -> dict[str, Any]:
    result = answered(Example("farspun to-spin Collar --json", ""), folder)
    (work,) = json.loads(result.stdout)
    assert work["yarn"] == "Harebell"
    return dict(work["spin"])


def test_the_example_prints_what_the_page_shows(folder: Path) -> None:
    (example,) = examples(PAGE)
    assert answered(example, folder).output == example.shown


def test_what_is_worked_by_hand_is_what_it_answers(spin: dict[str, Any]) -> None:
    per_100m = 100 / spin["length_m"]
    single = spin["singles"][0]
    for figure in (
        f"is {spin['tex']:.1f} tex",
        f"= {spin['mass_g'] * per_100m:.2f} g of yarn",
        f"334.3/1000 = {spin['sure_g'] * per_100m:.2f} g of yarn",
        f"/0.90 = {spin['fibre_g'] * per_100m:.2f} g",
        f"= {single['tex']:.1f} tex each",
        f"= {single['length_m'] * per_100m:.1f} m of each single",
        f"{spin['wraps_per_cm']:.3f} wraps per cm",
        f"= {spin['twist_per_cm']:.3f} turns per cm for the plying",
        f"= {single['wraps_per_cm']:.2f} times per cm",
        f"with {single['twist_per_cm']:.3f} turns",
        f"/0.85 = {spin['unwashed_m']['p50'] * per_100m:.1f} m",
        f"= {spin['unwashed_m']['at_promise'] * per_100m:.1f} m to keep 95",
        f"10 m weigh {spin['card']['washed_g']:.3f} g washed",
        f"{spin['card']['off_the_wheel_g']:.3f} g, and",
        f"single {single['card_off_the_wheel_g']:.3f} g",
    ):
        assert figure in WORKED, figure


def test_the_hand_arithmetic_holds_by_itself() -> None:
    """With the page's own figures and nothing else."""
    tex, wraps = 334.3, 6.978
    single = tex / 2 / 1.05
    around = math.pi / wraps
    tan = math.tan(math.radians(25))
    assert f"{single:.1f} tex each" in WORKED
    assert f"{around:.4f} cm" in WORKED and f"= {tan:.4f}" in WORKED
    assert f"= {tan / around:.3f} turns" in WORKED
    assert f"{math.sqrt(single / tex):.2f} of that" in WORKED
    assert f"= {100 / 0.85 * math.exp(1.645 * 0.10 / 0.85):.1f} m" in WORKED


def test_the_constants_of_the_page_are_the_ones_used() -> None:
    text = " ".join(PAGE.split())
    assert f"{100 * spinning.PREPARATION_LOSS:.0f} ± 5 % of the prepared fibre" in text
    assert f"{100 * spinning.PLYING_TAKE_UP:.0f} ± 3 % added" in text
    assert f"{spinning.WARP_ANGLE_DEG:.0f} ± 5° for warp, {spinning.WEFT_ANGLE_DEG:.0f}" in text
    assert f"singles {spinning.SINGLES_TWIST}, plied {spinning.PLY_TWIST};" in text
    assert f"More than {STEEPEST_DEG:.0f}° is refused" in text


def test_every_label_of_the_answer_is_in_the_glossary() -> None:
    terms = {
        " ".join(term.split()).casefold()
        for term in re.findall(r"\*\*(.+?)\*\*", GLOSSARY, re.DOTALL)
    }
    labels = re.findall(r"^  ([A-Z]\w+) +\S", examples(PAGE)[0].shown, flags=re.MULTILINE)
    assert len(labels) >= 7
    assert {label.casefold() for label in labels} - terms == set()
    assert {"fits", "differs", "set-up", "to use", "twist angle", "preparation loss"} <= terms
