"""docs/amounts.md shows what the program prints and the habits it has."""

import re
import runpy
import shlex
from pathlib import Path

import pytest
from typer.testing import CliRunner

from farspun.cli.app import app
from farspun.craft import habits

DOCS = Path(__file__).resolve().parents[2] / "docs"
PAGE = (DOCS / "amounts.md").read_text(encoding="utf-8")
LAWS_PAGE = (DOCS / "design" / "take-up.md").read_text(encoding="utf-8")
TAKE_UP = runpy.run_path(str(DOCS / "design" / "take_up.py"))
EXAMPLES = re.findall(r"```\n\$ farspun (.+?)\n(.+?)```", PAGE, flags=re.DOTALL)
SHRINKAGE_ROWS = {
    "wool, alpaca, mohair, cashmere, camel, yak, llama, angora": habits.WOOL_SHRINKAGE["gentle"],
    "superwash wool": habits.FIRM_SHRINKAGE["superwash wool"],
    "cotton, viscose, lyocell": habits.FIRM_SHRINKAGE["cotton"],
    "linen, hemp, ramie": habits.FIRM_SHRINKAGE["linen"],
    "silk": habits.FIRM_SHRINKAGE["silk"],
    "nylon, polyester, acrylic": habits.FIRM_SHRINKAGE["man-made"],
}


def _percent(pair: tuple[float, float]) -> str:
    return f"{pair[0] * 100:g} ± {pair[1] * 100:g}"


def test_the_examples_print_what_the_page_shows() -> None:
    assert EXAMPLES
    for command, shown in EXAMPLES:
        assert CliRunner().invoke(app, shlex.split(command)).stdout == shown


@pytest.mark.parametrize(("fibres", "shrinkage"), SHRINKAGE_ROWS.items())
def test_the_gentle_wash_of_the_page_is_the_one_taken(
    fibres: str, shrinkage: habits.Shrinkage
) -> None:
    length, width = map(_percent, shrinkage)
    assert f"| {fibres} | {length}/{width} % |" in PAGE


@pytest.mark.parametrize("family", habits.TAKE_UP)
def test_the_take_up_of_the_page_is_the_one_taken(family: str) -> None:
    assert f"{family} {_percent(habits.TAKE_UP[family])} %" in PAGE


@pytest.mark.parametrize("loom", habits.WASTE_CM)
def test_the_loom_waste_of_the_page_is_the_one_taken(loom: str) -> None:
    mean, sd = habits.WASTE_CM[loom]
    assert re.search(f"{loom.replace('-', ' ')} {mean:g} (cm )?± {sd:g}", PAGE)


def test_the_table_of_take_up_by_weave_and_sett_is_what_is_taken() -> None:
    heading = " | ".join(f"{part:g}" for part in TAKE_UP["PARTS"])
    assert f"| ends to a wrap | {heading} |" in PAGE
    for row in TAKE_UP["rows"](TAKE_UP["used"]):
        assert row in PAGE


@pytest.mark.parametrize("law", TAKE_UP["LAWS"])
def test_the_laws_that_were_compared_give_what_the_note_says(law: str) -> None:
    plain = next(iter(TAKE_UP["rows"](TAKE_UP["LAWS"][law])))
    figures = plain.removeprefix("| plain | ").removesuffix(" |").replace(" | ", ", ")
    (line,) = (one for one in LAWS_PAGE.splitlines() if one.startswith(f"| {law} |"))
    assert line.endswith(f"| {figures} |")
