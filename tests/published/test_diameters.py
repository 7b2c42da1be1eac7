"""Yarn diameters against fixtures/published/diameters.txt."""

import pytest

from farspun.craft.fibres import blend
from farspun.craft.yarn import CLOSE_PACKED, diameter_mm, diameters_per_inch, tex_from_diameter_mm
from farspun.units import MM_PER_INCH, tex_from_ne_cotton
from published.published import Row, published


@published("diameters", "round yarn")
def test_a_round_yarn_has_the_diameter_of_its_area(row: Row) -> None:
    yarn = row.number("tex"), row.number("density"), row.number("packing")
    row.check("diameter mm", diameter_mm(*yarn))


@published("diameters", "closest packing")
def test_round_fibres_pack_no_closer_than_they_can(row: Row) -> None:
    row.check("packing", CLOSE_PACKED)


@published("diameters", "Peirce cotton")
def test_cotton_yarn_is_as_thick_as_peirce_has_it(row: Row) -> None:
    tex, packed = tex_from_ne_cotton(row.number("cotton count")), 1 / row.number("cm³ per g")
    diameter_in = diameter_mm(tex, 1.0, packed) / MM_PER_INCH
    row.check("reciprocal inch", 1 / diameter_in / row.number("cotton count") ** 0.5)


@published("diameters", "side by side")
def test_diameters_per_inch_are_as_taylor_printed_them(row: Row) -> None:
    k = 1 - row.number("less")
    row.check("per inch", diameters_per_inch(tex_from_ne_cotton(row.number("cotton count")), k))


@published("diameters", "one from another")
def test_diameters_of_one_count_follow_from_those_of_another(row: Row) -> None:
    known = tex_from_ne_cotton(row.number("from count"))
    k = row.number("from per inch") / diameters_per_inch(known, 1.0)
    row.check("per inch", diameters_per_inch(tex_from_ne_cotton(row.number("cotton count")), k))


@published("diameters", "Ashenhurst K")
def test_k_is_that_of_the_textbooks(row: Row) -> None:
    draw = row.text("draw")
    assert draw == "woollen" or draw == "worsted"
    assert blend(row.text("fibre")).ashenhurst_k(draw) == pytest.approx(row.number("K"))


def test_the_diameter_turned_back_is_the_grist_again() -> None:
    assert tex_from_diameter_mm(diameter_mm(84.0, 1.52, 0.6), 1.52, 0.6) == pytest.approx(84.0)
