"""docs/geometry.md shows what the program prints, and its worked figures come out."""

import math
import re
import shlex

import pytest
from typer.testing import CliRunner

from docs.pages import TOP
from farspun.cli.app import app
from farspun.craft.cover import COMPACT_PACKING, cloth_cover, compact_diameter_mm, mass_g_per_m2
from farspun.craft.fibres import FIBRES, blend
from farspun.craft.jam import JAMMED, WRITTEN
from farspun.craft.peirce import crimp_fraction, thread_length_mm, weave_angle

PAGE = (TOP / "docs" / "geometry.md").read_text(encoding="utf-8")
WORKED = " ".join(PAGE.partition("## An example")[2].split())
EXAMPLES = re.findall(r"```\n\$ farspun (.+?)\n(.+?)```", PAGE, flags=re.DOTALL)
GLOSSARY = (TOP / "docs" / "glossary.md").read_text(encoding="utf-8")
LABEL = 14  # characters of a label in the answer
ROWS = {
    "wool and its like": "wool",
    "cotton, linen, hemp": "plant",
    "silk": "silk",
    "man-made": "man-made",
}


def test_the_examples_print_what_the_page_shows() -> None:
    assert EXAMPLES
    for command, shown in EXAMPLES:
        assert CliRunner().invoke(app, shlex.split(command)).stdout == shown


def test_the_figures_worked_through_are_those_of_the_formulas() -> None:
    warp, weft = (compact_diameter_mm(tex, blend("wool")) for tex in (250.0, 100_000 / 230))
    D = warp + weft
    assert f"= {warp:.3f} mm" in WORKED and f"d₂ = {weft:.3f} mm" in WORKED
    assert f"D = {D:.3f} mm" in WORKED and f"h = {D / 2:.3f} mm" in WORKED
    crimps = []
    for spacing in (2.5, 2.0):
        angle = weave_angle(spacing, D / 2, D)
        length = thread_length_mm(spacing, D / 2, D)
        crimps.append(crimp_fraction(spacing, D / 2, D))
        assert f"{length - D * angle:.3f} mm" in WORKED
        assert f"θ = {math.degrees(angle):.1f}°" in WORKED
        assert f"l = {length:.3f} mm" in WORKED
        assert f"{100 * crimps[-1]:.1f} %" in WORKED
    mass = mass_g_per_m2(5.0, 4.0, 250.0, 100_000 / 230, *crimps)
    assert f"= {mass:.0f} g/m²" in WORKED
    covers = warp / 2, weft / 2.5
    assert f"together {covers[0]:.3f} + {covers[1]:.3f}" in WORKED
    assert f"= {cloth_cover(*covers):.3f}." in WORKED
    assert f"= {D / 2 + weft:.2f} mm" in WORKED


def test_the_jam_worked_through_solves_its_equation() -> None:
    ratios = [float(one) for one in re.findall(r"√\(1 − (0\.\d+)²\)", WORKED)]
    assert len(ratios) == 2
    assert sum(math.sqrt(1 - one**2) for one in ratios) == pytest.approx(1, abs=0.002)
    setts = re.search(r"At ([\d.]+) ends and ([\d.]+) picks", WORKED)
    assert setts
    assert f"at {setts[1]} ends and {setts[2]} picks per cm" in EXAMPLES[0][1]


def test_the_packings_of_the_page_are_the_ones_used() -> None:
    assert set(ROWS.values()) == {fibre.family for fibre in FIBRES.values()} == set(COMPACT_PACKING)
    for family, fill in COMPACT_PACKING.items():
        (fibres,) = (fibres for fibres, name in ROWS.items() if name == family)
        assert f"| {fibres} | {fill:.2f} |" in PAGE


def test_the_limits_of_the_page_are_the_ones_used() -> None:
    assert f"Within {100 * (1 - JAMMED):.0f} % of" in PAGE
    assert f"{100 * WRITTEN:g} % past the limit" in PAGE


def test_every_label_of_the_answer_is_in_the_glossary() -> None:
    terms = {
        " ".join(term.split()).casefold()
        for term in re.findall(r"\*\*(.+?)\*\*", GLOSSARY, re.DOTALL)
    }
    labels = {
        line[2 : 2 + LABEL].strip().casefold()
        for line in EXAMPLES[0][1].splitlines()
        if line.startswith("  ") and line[2 : 2 + LABEL].endswith(" ")
    } - {""}
    assert len(labels) >= 7
    assert labels - terms == set()


def test_the_words_of_geometry_are_terms_of_their_own() -> None:
    for word in ("crimp", "crimp share", "cover", "cover factor", "jam", "jammed", "fibre fill"):
        assert f"**{word}" in GLOSSARY.casefold()
