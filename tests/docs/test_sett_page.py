"""docs/sett.md shows what the program prints and the figures it uses."""

import re
import shlex
from pathlib import Path

import pytest
from typer.testing import CliRunner

from farspun.cli.app import app
from farspun.craft import sett
from farspun.craft.fibres import ALIASES, FIBRES, WOOL_K, Fibre
from farspun.craft.weave import PURPOSES
from farspun.craft.yarn import STIFF_PACKING, WOOL_PACKING

PAGE = (Path(__file__).resolve().parents[2] / "docs" / "sett.md").read_text(encoding="utf-8")
EXAMPLES = re.findall(r"```\n\$ farspun (.+?)\n(.+?)```", PAGE, flags=re.DOTALL)


def test_the_examples_print_what_the_page_shows() -> None:
    assert EXAMPLES
    for command, shown in EXAMPLES:
        assert CliRunner().invoke(app, shlex.split(command)).stdout == shown


@pytest.mark.parametrize("fibre", FIBRES.values(), ids=list(FIBRES))
def test_the_fibres_of_the_page_are_the_ones_used(fibre: Fibre) -> None:
    regain = f"{100 * fibre.regain_fraction:g} %"
    assert f"| {fibre.name} | {fibre.density_g_cm3:g} | {regain} |" in PAGE
    if fibre.family == "man-made":
        assert f"{fibre.name} {fibre.ashenhurst_k:.2f}" in PAGE


@pytest.mark.parametrize("alias", ALIASES)
def test_the_other_names_of_fibres_are_on_the_page(alias: str) -> None:
    assert alias in PAGE.casefold()


@pytest.mark.parametrize("purpose", PURPOSES)
def test_the_purposes_of_the_page_are_the_ones_used(purpose: str) -> None:
    factor = {str(name): one for name, one in sett.PURPOSE_FACTORS.items()}[purpose]
    assert re.search(rf"\| {purpose} \| {factor:g}( of plain weave, everyday)? \|", PAGE)
    assert f"a further {sett.FULLED_FACTOR:g}" in PAGE


def test_the_figures_of_the_wool_rules_are_on_the_page() -> None:
    rule, k = sett.GRIST_RULE_WOOL, WOOL_K
    drawn = f"woollen-drawn {rule['woollen']:.2f}, semi {rule['semi']:.2f}"
    assert f"{drawn}, worsted-drawn {rule['worsted']:.2f}" in PAGE
    assert f"worsted-drawn {sett.MILL_WORSTED_RULE}" in PAGE
    assert f"cotton, linen | {sett.PLANT_RULE}" in PAGE
    assert f"× {sett.THICK_YARN_FACTOR} for yarn below {sett.THICK_YARN_YD_PER_LB:g}" in PAGE
    for draw, label in (
        ("worsted", "worsted-drawn"),
        ("semi", "semi"),
        ("woollen", "woollen-drawn"),
    ):
        assert re.search(rf"{label} \| {k[draw]:.2f} \|", PAGE)


def test_the_packings_of_the_page_are_the_ones_used() -> None:
    wool = [WOOL_PACKING[wrap] for wrap in ("snug", "loose", None)]
    assert " / ".join(f"{one.median:g}" for one in wool) in PAGE
    assert " / ".join(f"{one.log_sd:.2f}" for one in wool) in PAGE
    for handspun, mill in STIFF_PACKING.values():
        assert f"| {mill.median:.2f} / {handspun.median:.2f} | {mill.log_sd:.2f}" in PAGE
