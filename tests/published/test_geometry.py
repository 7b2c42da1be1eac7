"""Cloth geometry against fixtures/published/geometry.txt."""

import math

import pytest

from farspun.craft.bend import highest_reach_mm, highest_wave_mm, jam_spacing_mm, least_spacing_mm
from farspun.craft.cover import cloth_cover, cover_factor, cover_fraction, mass_g_per_m2
from farspun.craft.geometry import geometry, share_from_warp_crimp, thickness_mm
from farspun.craft.jam import closeness, most_picks_per_cm, share_range
from farspun.craft.peirce import (
    crimp_fraction,
    crossing,
    short_wave_mm,
    spacing_at_wave_mm,
    thread_length_mm,
    wave_mm,
    weave_angle,
)
from farspun.craft.threads import Cloth, Threads, cloth
from farspun.craft.weave import weave
from farspun.craft.yarn import diameter_mm
from farspun.units import (
    CM_PER_INCH,
    GRAMS_PER_OUNCE,
    METRES_PER_YARD,
    MM_PER_INCH,
    tex_from_ne_cotton,
)
from published.published import Row, published

PEIRCE_PER_INCH = 28  # diameters of a number-one cotton yarn side by side


def plain(warp_spacing: float, weft_spacing: float) -> Cloth:
    """Plain weave of equal yarns with D = 1 mm at these spacings in mm."""
    return Cloth(Threads(10 / warp_spacing, 0.5), Threads(10 / weft_spacing, 0.5))


def by_peirce(cotton_count: float) -> float:
    """Diameter in mm of a cotton yarn: 1/(28 √count) inch."""
    return MM_PER_INCH / (PEIRCE_PER_INCH * math.sqrt(cotton_count))


@published("geometry", "square jammed cloth")
def test_a_square_cloth_jams_as_peirce_has_it(row: Row) -> None:
    spacing = jam_spacing_mm(math.sqrt(0.75), 1.0)
    row.check("p", spacing)
    row.check("degrees", math.degrees(weave_angle(spacing, 0.5, 1.0)))
    row.check("l", thread_length_mm(spacing, 0.5, 1.0))
    row.check("crimp", crimp_fraction(spacing, 0.5, 1.0))
    assert closeness(plain(row.number("p"), row.number("p"))) == pytest.approx(1, abs=1e-4)


@published("geometry", "exact solutions")
def test_the_exact_solution_is_forward_and_back_that_of_the_table(row: Row) -> None:
    p, h = crossing(math.radians(row.number("degrees")), row.number("l"), 1.0)
    row.check("p", p)
    row.check("h", h)
    p, h = row.number("p"), row.number("h")
    if row.id == "60 jammed":
        p = math.sqrt(0.75)  # at the jam the angle hangs on more digits than are printed
    assert thread_length_mm(p, h, 1.0) == pytest.approx(row.number("l"), abs=1e-5)
    assert math.degrees(weave_angle(p, h, 1.0)) == pytest.approx(row.number("degrees"), abs=2e-3)
    row.check("crimp", crimp_fraction(p, h, 1.0))
    assert wave_mm(crimp_fraction(p, h, 1.0), p, 1.0) == pytest.approx(h, abs=1e-9)


@published("geometry", "square balanced cloth")
def test_the_crimp_of_a_square_cloth_is_that_of_the_table(row: Row) -> None:
    found = geometry(plain(row.number("p"), row.number("p")))
    row.check("crimp", found.warp_crimp_fraction)
    row.check("crimp", found.weft_crimp_fraction)


@published("geometry", "jam pairs")
def test_spacings_that_jam_together_are_those_of_the_table(row: Row) -> None:
    warp, weft = row.number("p warp"), row.number("p weft")
    row.check("p weft", jam_spacing_mm(warp, 1.0))
    row.check("p warp", jam_spacing_mm(weft, 1.0))
    row.check("p weft", 10 / most_picks_per_cm(plain(warp, 5.0)))
    assert closeness(plain(warp, weft)) == pytest.approx(1, abs=1e-5)
    low, high = share_range(plain(warp, weft))
    assert low == pytest.approx(high, abs=1e-4)
    assert low == pytest.approx(1 - highest_wave_mm(warp, 1.0), abs=1e-4)


@published("geometry", "short form")
def test_the_short_form_is_as_far_off_as_the_table_has_it(row: Row) -> None:
    spacing = row.number("p")
    short = short_wave_mm(crimp_fraction(spacing, 0.5, 1.0), spacing)
    row.check("above", short / 0.5 - 1)


@published("geometry", "straight system")
def test_a_thread_jammed_against_straight_ones_bends_to_a_right_angle(row: Row) -> None:
    length = row.number("l")
    assert highest_wave_mm(row.number("p"), 1.0) == pytest.approx(row.number("h"))
    assert highest_reach_mm(length, 1.0) == pytest.approx(row.number("h"), abs=1e-4)
    row.check("p", least_spacing_mm(row.number("h"), 1.0))
    row.check("degrees", math.degrees(weave_angle(row.number("p"), row.number("h"), 1.0)))
    row.check("crimp", crimp_fraction(row.number("p"), row.number("h"), 1.0))
    assert spacing_at_wave_mm(length, 0.0, 1.0) == pytest.approx(length)


@published("geometry", "thickness")
def test_the_thickness_is_that_of_the_thicker_side(row: Row) -> None:
    warp, weft, crimp = row.number("warp mm"), row.number("weft mm"), row.number("warp crimp")
    wave = short_wave_mm(crimp, row.number("pick spacing mm"))
    row.check("warp side mm", wave + warp)
    row.check("weft side mm", warp + weft - wave + weft)
    row.check("thickness mm", thickness_mm(wave, warp + weft - wave, warp, weft))
    woven = Cloth(Threads(15.0, warp), Threads(10 / row.number("pick spacing mm"), weft))
    exact = geometry(woven, share_from_warp_crimp(woven, crimp))
    row.check("warp side mm", exact.warp_wave_mm + warp)
    row.check("weft side mm", exact.weft_wave_mm + weft)
    row.check("thickness mm", exact.thickness_mm)


@published("geometry", "cloth weight")
def test_the_weight_of_a_cloth_is_as_worked(row: Row) -> None:
    mass = mass_g_per_m2(
        row.number("ends per inch") / CM_PER_INCH,
        row.number("picks per inch") / CM_PER_INCH,
        tex_from_ne_cotton(row.number("warp cotton count")),
        tex_from_ne_cotton(row.number("weft cotton count")),
        row.number("warp crimp"),
        row.number("weft crimp"),
    )
    row.check("g per m²", mass)


@published("geometry", "ounces per square yard")
def test_an_ounce_to_the_square_yard_is_so_many_grams_to_the_square_metre(row: Row) -> None:
    row.check("g per m²", row.number("oz per yd²") * GRAMS_PER_OUNCE / METRES_PER_YARD**2)


@published("geometry", "ounces per square yard of cotton")
def test_cotton_threads_of_one_system_weigh_so_many_ounces_to_the_square_yard(row: Row) -> None:
    row.check("oz per yd²", _one_system_g_per_m2(row) * METRES_PER_YARD**2 / GRAMS_PER_OUNCE)


@published("geometry", "grams per square metre of cotton")
def test_cotton_threads_of_one_system_weigh_so_many_grams_to_the_square_metre(row: Row) -> None:
    row.check("g per m²", _one_system_g_per_m2(row))


def _one_system_g_per_m2(row: Row) -> float:
    """Straight threads alone: those of the other system are too fine to weigh anything."""
    per_cm = row.number("per inch") / CM_PER_INCH
    tex = tex_from_ne_cotton(row.number("cotton count"))
    return float(mass_g_per_m2(per_cm, 1.0, tex, 1e-9, 0.0, 0.0))


@published("geometry", "cover factor in tex of cotton's")
def test_a_cover_factor_of_cotton_counts_is_so_much_in_tex(row: Row) -> None:
    per_inch = row.number("cotton cover factor")  # of 1s, whose root is 1
    row.check("cover factor", cover_factor(per_inch / CM_PER_INCH, tex_from_ne_cotton(1.0)))


@published("geometry", "cover factor in tex")
def test_the_cover_factor_is_threads_times_root_tex_over_ten(row: Row) -> None:
    row.check("cover factor", cover_factor(row.number("per cm"), row.number("tex")))


@published("geometry", "cover factor of cotton")
def test_cotton_threads_touch_at_a_cover_factor_of_28(row: Row) -> None:
    count, per_inch = row.number("cotton count"), row.number("per inch")
    row.check("cover factor", per_inch / math.sqrt(count))
    row.check("cover", cover_fraction(per_inch / CM_PER_INCH, by_peirce(count)))
    packed = diameter_mm(tex_from_ne_cotton(count), 1.0, 1 / 1.1)  # 1.1 cm³ to the gram
    row.check("cover", cover_fraction(per_inch / CM_PER_INCH, packed))


@published("geometry", "cover of the cloth")
def test_the_cover_of_the_cloth_is_that_of_both_systems_crossed(row: Row) -> None:
    warp, weft = (row.number(side) / PEIRCE_PER_INCH for side in ("warp factor", "weft factor"))
    row.check("cloth factor", PEIRCE_PER_INCH * cloth_cover(warp, weft))


@published("geometry", "closest square cloth of cotton")
def test_the_closest_square_cloth_of_cotton_has_peirces_cover_factor(row: Row) -> None:
    count = row.number("cotton count")
    spacing = jam_spacing_mm(2 * by_peirce(count) * math.sqrt(0.75), 2 * by_peirce(count))
    row.check("cover factor", MM_PER_INCH / spacing / math.sqrt(count))


@published("geometry", "closest square setts")
def test_floats_let_a_square_cloth_be_closer(row: Row) -> None:
    square = cloth(weave(row.text("weave")), 1.0, 1.0, 1.0, 1.0)
    threads_per_mm = square.warp.per_cm / closeness(square) / 10
    row.check("threads", threads_per_mm)
    jammed = square.set_at(10 * threads_per_mm, 10 * threads_per_mm)
    assert 10 * row.number("threads") == pytest.approx(most_picks_per_cm(jammed), abs=1e-4)
