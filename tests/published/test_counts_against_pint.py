"""The same conversions by the unit library pint, where pint is right.

pint knows tex, dtex, denier, English cotton and metric counts, and masses and lengths. It has no
worsted, run, cut or lea, and reads `ypp` and `ppi` as other quantities, so those are not asked.
"""

import pint
import pytest

from farspun import units

TEXTILE = pint.UnitRegistry()
SAMPLES_TEX = (0.5, 7.4, 20.0, 36.9, 250.0, 590.541, 2000.0)
SYSTEMS = {
    "tex": "tex",
    "dtex": "dtex",
    "denier": "denier",
    "nm": "number_meter",
    "ne_cotton": "number_english",
}


def in_textile(amount: float, unit: str, wanted: str) -> float:
    """`amount` of `unit` in `wanted`, both linear densities or counts."""
    with TEXTILE.context("textile"):
        return float(TEXTILE.Quantity(amount, unit).to(wanted).magnitude)


@pytest.mark.parametrize("tex", SAMPLES_TEX)
@pytest.mark.parametrize("system", SYSTEMS)
def test_a_count_from_tex_is_as_pint_has_it(system, tex):
    expected = in_textile(tex, "tex", SYSTEMS[system])
    assert units.all_counts(tex)[system] == pytest.approx(expected, rel=1e-12)


@pytest.mark.parametrize("tex", SAMPLES_TEX)
def test_yards_per_pound_and_metres_per_100_g_are_as_pint_has_them(tex):
    yards = in_textile(tex, "tex", "yard/pound")
    metres = in_textile(tex, "tex", "meter/gram") * 100
    assert units.yd_per_lb_from_tex(tex) == pytest.approx(yards, rel=1e-12)
    assert units.m_per_100g_from_tex(tex) == pytest.approx(metres, rel=1e-12)


@pytest.mark.parametrize(
    ("text", "amount", "unit"),
    [
        ("40 tex", 40, "tex"),
        ("200 dtex", 200, "dtex"),
        ("15 den", 15, "denier"),
        ("Ne 16", 16, "number_english"),
        ("16s cotton", 16, "number_english"),
        ("2/8 cotton", 4, "number_english"),
        ("Nm 50", 50, "number_meter"),
        ("Nm 8/2", 4, "number_meter"),
        ("1700 yd/lb", 1700, "yard/pound"),
        ("90 yd/oz", 90, "yard/ounce"),
        ("2.3 m/g", 2.3, "meter/gram"),
        ("500 m/kg", 500, "meter/kilogram"),
    ],
)
def test_a_count_is_read_as_pint_has_it(text, amount, unit):
    assert units.count(text).value == pytest.approx(in_textile(amount, unit, "tex"), rel=1e-12)


@pytest.mark.parametrize(
    ("text", "amount", "unit"),
    [
        ("3.75 oz", 3.75, "ounce"),
        ("3 3/4 oz", 3.75, "ounce"),
        ("1/4 lb", 0.25, "pound"),
        ("112 g", 112, "gram"),
        ("250 mg", 250, "milligram"),
        ("1.2 kg", 1.2, "kilogram"),
        ("25 grains", 25, "grain"),
    ],
)
def test_a_mass_is_read_as_pint_has_it(text, amount, unit):
    expected = TEXTILE.Quantity(amount, unit).to("gram").magnitude
    assert units.mass(text).value == pytest.approx(expected, rel=1e-12)


@pytest.mark.parametrize(
    ("text", "amount", "unit"),
    [
        ("12 yd 18 in", 12.5, "yard"),
        ("14 in", 14, "inch"),
        ("6 ft", 6, "foot"),
        ("40 cm", 40, "centimeter"),
        ("4 mm", 4, "millimeter"),
        ("1.2 km", 1.2, "kilometer"),
        ("271 m", 271, "meter"),
    ],
)
def test_a_length_is_read_as_pint_has_it(text, amount, unit):
    expected = TEXTILE.Quantity(amount, unit).to("meter").magnitude
    assert units.length(text).value == pytest.approx(expected, rel=1e-12)


@pytest.mark.parametrize(
    ("constant", "unit", "wanted"),
    [
        (units.GRAMS_PER_OUNCE, "ounce", "gram"),
        (units.GRAMS_PER_POUND, "pound", "gram"),
        (units.METRES_PER_YARD, "yard", "meter"),
        (units.METRES_PER_FOOT, "foot", "meter"),
        (units.METRES_PER_INCH, "inch", "meter"),
        (units.CM_PER_INCH, "inch", "centimeter"),
        (units.MM_PER_INCH, "inch", "millimeter"),
    ],
)
def test_the_constants_are_as_pint_has_them(constant, unit, wanted):
    assert constant == pytest.approx(TEXTILE.Quantity(1, unit).to(wanted).magnitude, rel=1e-14)
