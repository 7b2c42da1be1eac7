"""Every spelling of a quantity, size, percentage and name, and every refusal."""

import math
import subprocess
import sys
import time
from collections.abc import Callable

import numpy as np
import pytest

from farspun import units
from farspun.errors import FarspunError, ImpossibleValue, UnreadableValue

OUNCE_G = 453.59237 / 16


def near(value: float) -> object:
    return pytest.approx(value, rel=1e-12)


def refused(reader: Callable[..., object], text: str, **options: object) -> FarspunError:
    """The error with which `reader` refuses `text`."""
    with pytest.raises(ImpossibleValue) as caught:
        reader(text, **options)
    return caught.value


@pytest.mark.parametrize(
    ("text", "grams", "step", "said"),
    [
        ("112 g", 112, 1, "112 g"),
        ("3.95oz", 3.95 * OUNCE_G, 0.01 * OUNCE_G, "3.95 oz"),
        ("1/4 lb", 113.3980925, 113.3980925, "1/4 lb"),
        ("3 3/4 oz", 3.75 * OUNCE_G, OUNCE_G / 4, "3 3/4 oz"),
        ("½ oz", OUNCE_G / 2, OUNCE_G / 2, "1/2 oz"),
        ("3½ oz", 3.5 * OUNCE_G, OUNCE_G / 2, "3 1/2 oz"),
        ("3 ⅓oz", (3 + 1 / 3) * OUNCE_G, OUNCE_G / 3, "3 1/3 oz"),
        ("3 3⁄4 oz", 3.75 * OUNCE_G, OUNCE_G / 4, "3 3/4 oz"),
        ("3 3 / 4 oz", 3.75 * OUNCE_G, OUNCE_G / 4, "3 3/4 oz"),
        ("1 lb 4 oz", 20 * OUNCE_G, OUNCE_G, "1 lb 4 oz"),
        ("3 lbs. 2 oz.", 50 * OUNCE_G, OUNCE_G, "3 lb 2 oz"),
        ("112 G", 112, 1, "112 g"),
        ("0112.50 Grams", 112.5, 0.01, "112.50 g"),
        (".5 kg", 500, 100, "0.5 kg"),
        ("3. g", 3, 1, "3 g"),
        ("250 mg", 0.25, 0.001, "250 mg"),
        ("2 kilos", 2000, 1000, "2 kg"),
        ("25 grains", 1.61997275, 0.06479891, "25 grains"),
        ("112\u202fg", 112, 1, "112 g"),
        ("112\u00a0g", 112, 1, "112 g"),
        (" \t112\u2009 g\n", 112, 1, "112 g"),
        ("50 kg", 50_000, 1000, "50 kg"),
    ],
)
def test_a_mass_is_read_in_grams_with_its_step_and_said_back(text, grams, step, said):
    found = units.mass(text)
    assert (found.value, found.step, found.sd, found.said) == (near(grams), near(step), None, said)


@pytest.mark.parametrize(
    ("text", "metres", "step", "said"),
    [
        ("271m", 271, 1, "271 m"),
        ("12 yd 18 in", 11.43, 0.0254, "12 yd 18 in"),
        ("2yd18in", 2.286, 0.0254, "2 yd 18 in"),
        ("12 YARDS 18 inches", 11.43, 0.0254, "12 yd 18 in"),
        ("40cm", 0.4, 0.01, "40 cm"),
        ("35 cm", 0.35, 0.01, "35 cm"),
        ("4 mm", 0.004, 0.001, "4 mm"),
        ("1.2 km", 1200, 100, "1.2 km"),
        ("1 1/2 yard", 1.3716, 0.4572, "1 1/2 yd"),
        ('14"', 0.3556, 0.0254, "14 in"),
        ("14″", 0.3556, 0.0254, "14 in"),
        ("14''", 0.3556, 0.0254, "14 in"),
        ("5' 3\"", 1.6002, 0.0254, "5 ft 3 in"),
        ("5′3½″", 1.6129, 0.0127, "5 ft 3 1/2 in"),
        ("6 feet", 1.8288, 0.3048, "6 ft"),
        ("3 metres", 3, 1, "3 m"),
    ],
)
def test_a_length_is_read_in_metres_with_its_step_and_said_back(text, metres, step, said):
    found = units.length(text)
    assert (found.value, found.step, found.sd, found.said) == (near(metres), near(step), None, said)


def test_lengths_in_cm_are_the_nearest_number_there_is():
    assert [units.length(f"{cm} cm").value for cm in (7, 29, 35, 57)] == [0.07, 0.29, 0.35, 0.57]


@pytest.mark.parametrize(
    ("text", "per_cm", "said"),
    [
        ("15 wpi", 15 / 2.54, "15 wpi"),
        ("15WPI", 15 / 2.54, "15 wpi"),
        ("6 wraps/cm", 6, "6 wraps/cm"),
        ("6 wraps / cm", 6, "6 wraps/cm"),
        ("6 wpc", 6, "6 wpc"),
        ("15 wraps per inch", 15 / 2.54, "15 wraps/in"),
        ("200 wpi", 200 / 2.54, "200 wpi"),
    ],
)
def test_wraps_are_read_per_cm(text, per_cm, said):
    found = units.wraps(text)
    assert (found.value, found.said) == (near(per_cm), said)


@pytest.mark.parametrize(
    ("text", "per_cm", "step", "said"),
    [
        ("3/cm", 3, 1, "3/cm"),
        ("8 epi", 8 / 2.54, 1 / 2.54, "8 epi"),
        ("8 ppi", 8 / 2.54, 1 / 2.54, "8 ppi"),
        ("8/in", 8 / 2.54, 1 / 2.54, "8/in"),
        ('8/"', 8 / 2.54, 1 / 2.54, "8/in"),
        ("30/10cm", 3, 0.1, "30/10 cm"),
        ("30 / 10 cm", 3, 0.1, "30/10 cm"),
        ("3 ends/cm", 3, 1, "3 ends/cm"),
        ("3 picks/cm", 3, 1, "3 picks/cm"),
        ("7 1/2 epi", 7.5 / 2.54, 0.5 / 2.54, "7 1/2 epi"),
        ("7½ ends per inch", 7.5 / 2.54, 0.5 / 2.54, "7 1/2 ends/in"),
        ("30 ends per 10 cm", 3, 0.1, "30 ends/10 cm"),
    ],
)
def test_a_sett_is_read_in_threads_per_cm(text, per_cm, step, said):
    found = units.threads(text)
    assert (found.value, found.step, found.said) == (near(per_cm), near(step), said)


@pytest.mark.parametrize(
    ("text", "per_10cm"),
    [
        ("30/10cm", 30),
        ("8 dpi", 80 / 2.54),
        ("3/cm", 30),
        ("8/in", 80 / 2.54),
        ("30 dents/10cm", 30),
        ("8 dents per inch", 80 / 2.54),
    ],
)
def test_a_reed_is_read_in_dents_per_10_cm(text, per_10cm):
    assert units.dents(text).value == near(per_10cm)


TEX_OF_ONE_YD_PER_LB = 453_592.37 / 0.9144


@pytest.mark.parametrize(
    ("text", "tex", "said"),
    [
        ("230 m/100g", 100_000 / 230, "230 m/100 g"),
        ("230 m per 100 g", 100_000 / 230, "230 m/100 g"),
        ("2.3 m/g", 1000 / 2.3, "2.3 m/g"),
        ("500 m/kg", 2000, "500 m/kg"),
        ("1700 yd/lb", TEX_OF_ONE_YD_PER_LB / 1700, "1700 yd/lb"),
        ("1700 ypp", TEX_OF_ONE_YD_PER_LB / 1700, "1700 yd/lb"),
        ("1700 yards per pound", TEX_OF_ONE_YD_PER_LB / 1700, "1700 yd/lb"),
        ("90 yd/oz", TEX_OF_ONE_YD_PER_LB / 1440, "90 yd/oz"),
        ("210 yd / 3.5 oz", TEX_OF_ONE_YD_PER_LB / 960, "210 yd/3.5 oz"),
        ("40 tex", 40, "40 tex"),
        ("tex 40", 40, "40 tex"),
        ("200 dtex", 20, "200 dtex"),
        ("180 den", 20, "180 den"),
        ("180 Denier", 20, "180 den"),
        ("Nm 50", 20, "Nm 50"),
        ("Nm 8/2", 250, "Nm 8/2 = Nm 4"),
        ("8/2 nm", 250, "8/2 Nm = Nm 4"),
        ("2/8 Nm", 250, "2/8 Nm, read as 8/2 = Nm 4"),
        ("Nm 8/2 cotton", 250, "Nm 8/2 cotton = Nm 4"),
        ("16s cotton", TEX_OF_ONE_YD_PER_LB / (840 * 16), "16s cotton = Ne 16"),
        ("Ne 16", TEX_OF_ONE_YD_PER_LB / (840 * 16), "Ne 16"),
        ("NeC16", TEX_OF_ONE_YD_PER_LB / (840 * 16), "Ne 16"),
        ("2/8 cotton", TEX_OF_ONE_YD_PER_LB / (840 * 4), "2/8 cotton, read as 8/2 = Ne 4"),
        ("8/2 cotton", TEX_OF_ONE_YD_PER_LB / (840 * 4), "8/2 cotton = Ne 4"),
        ("16s worsted", TEX_OF_ONE_YD_PER_LB / (560 * 16), "16s worsted"),
        ("16/2's worsted", TEX_OF_ONE_YD_PER_LB / (560 * 8), "16/2s worsted = 8s worsted"),
        ("8/2 worsted wool", TEX_OF_ONE_YD_PER_LB / 2240, "8/2 worsted wool = 4s worsted"),
        ("40 lea", TEX_OF_ONE_YD_PER_LB / 12_000, "40 lea"),
        ("40 lea linen", TEX_OF_ONE_YD_PER_LB / 12_000, "40 lea linen = 40 lea"),
        ("3 run", TEX_OF_ONE_YD_PER_LB / 4800, "3 run"),
        ("3½ run", TEX_OF_ONE_YD_PER_LB / 5600, "3 1/2 run"),
        ("0 1/16 run", TEX_OF_ONE_YD_PER_LB / 100, "0 1/16 run"),
        ("½ run", TEX_OF_ONE_YD_PER_LB / 800, "½ run"),
        ("10 cut", TEX_OF_ONE_YD_PER_LB / 3000, "10 cut"),
        ("10 cut woollen", TEX_OF_ONE_YD_PER_LB / 3000, "10 cut woollen = 10 cut"),
    ],
)  # fmt: skip
def test_a_count_is_read_in_tex_and_said_back(text, tex, said):
    found = units.count(text)
    assert (found.value, found.said) == (near(tex), said)


@pytest.mark.parametrize(
    ("text", "step_tex"),
    [
        ("40 tex", 1.0),
        ("40.0 tex", 0.1),
        ("200 dtex", 0.1),
        ("Nm 50", 20 / 50),
        ("Nm 8/2", 250 / 8),
        ("250 m/100g", 400 / 250),
    ],
)
def test_the_step_of_a_count_is_one_unit_of_its_last_digit_in_tex(text, step_tex):
    assert units.count(text).step == near(step_tex)


@pytest.mark.parametrize("text", ["16s woollen", "woolen count 3", "2/8 woollen"])
def test_a_bare_woollen_count_is_asked_about(text):
    error = refused(units.count, text)
    assert "256, 300 and 1600 yd/lb" in error.message
    assert "run” (1600 yd/lb)" in error.hint
    assert "cut” (300 yd/lb)" in error.hint


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("8/2", "in which system"),
        ("16s", "in which system"),
        ("2/8 wool", "wool is counted as"),
        ("20/2 silk", "silk is counted as"),
        ("16/2 hemp", "hemp is counted as"),
        ("Ne 16 worsted", "two systems"),
        ("Ne 16 linen", "two systems"),
        ("Nm 16 Ne", "two systems"),
        ("20/2 tex", "plies"),
        ("Nm 8/2.5", "plies is a whole"),
        ("2/8 cotton = Ne 5", "do not say the same"),
        ("15 wpi", "unit of wraps"),
        ("112 g", "unit of mass"),
        ("40 texx", "not a unit of yarn count"),
        ("very fine", "no number"),
    ],
)
def test_a_count_that_may_mean_two_things_is_refused(text, words):
    error = refused(units.count, text)
    assert isinstance(error, UnreadableValue)
    assert words in error.message


@pytest.mark.parametrize(
    "text", ["Ne 0", "0/2 cotton", "0 m/100g", "5 m/0 g", "0.001 tex", "2000000 tex"]
)
def test_a_count_that_cannot_be_is_refused(text):
    assert type(refused(units.count, text)) is ImpossibleValue


def test_the_fibre_settles_a_count_where_one_system_is_usual():
    assert units.count("8/2", fibre="Cotton") == units.count("8/2 cotton")
    assert units.count("40s", fibre="linen") == units.count("40s linen")
    assert units.count("40 tex", fibre="cotton") == units.count("40 tex")
    for text, fibre in [("8/2", "wool"), ("8/2", "wool 80, silk 20"), ("16", "cotton")]:
        refused(units.count, text, fibre=fibre)


@pytest.mark.parametrize(
    ("reader", "text", "value", "sd", "said"),
    [
        (units.length, "50cm±8cm", 0.5, 0.08, "50 cm ± 8 cm"),
        (units.length, "50 ± 8 cm", 0.5, 0.08, "50 cm ± 8 cm"),
        (units.length, "50+-8cm", 0.5, 0.08, "50 cm ± 8 cm"),
        (units.length, '20±3"', 0.508, 0.0762, "20 in ± 3 in"),
        (units.length, "50cm+-8cm", 0.5, 0.08, "50 cm ± 8 cm"),
        (units.length, "50 cm +/- 8 cm", 0.5, 0.08, "50 cm ± 8 cm"),
        (units.length, "50 cm ± 80 mm", 0.5, 0.08, "50 cm ± 80 mm"),
        (units.length, "50 cm ± 0 cm", 0.5, 0.0, "50 cm ± 0 cm"),
        (units.mass, "50g±2g", 50, 2, "50 g ± 2 g"),
        (units.wraps, "6/cm±1/cm", 6, 1, "6/cm ± 1/cm"),
        (units.threads, "30/10cm ± 2/10cm", 3, 0.2, "30/10 cm ± 2/10 cm"),
        (units.count, "40 tex ± 2 tex", 40, 2, "40 tex ± 2 tex"),
        (units.count, "250 m/100g ± 10 m/100g", 400, 16, "250 m/100 g ± 10 m/100 g"),
    ],
)
def test_a_spread_is_read_behind_plus_minus(reader, text, value, sd, said):
    found = reader(text)
    assert (found.value, found.sd, found.said) == (near(value), near(sd), said)


@pytest.mark.parametrize("text", ["50cm±8", "50±8", "50cm±", "±8cm", "50cm±8cm±2cm", "50cm±-8cm"])
def test_a_spread_without_both_units_is_refused(text):
    assert isinstance(refused(units.length, text), UnreadableValue)


def test_a_spread_of_counts_needs_one_unit():
    assert "same plain unit" in refused(units.count, "40 tex ± 20 den").message
    assert "same plain unit" in refused(units.count, "Nm 8/2 ± Nm 1").message


READERS = {
    "g, mg, kg, oz or lb": units.mass,
    "m, cm, mm, km, yd, ft or in": units.length,
    "wpi or wraps/cm": units.wraps,
    "/cm, /10cm, /in, epi or ppi": units.threads,
    "/10cm, /cm, /in or dpi": units.dents,
    "m/100g, yd/lb, tex": units.count,
}


@pytest.mark.parametrize("would_do", READERS)
def test_a_bare_number_is_refused_with_the_units_that_would_do(would_do):
    error = refused(READERS[would_do], "112")
    assert "a number needs its unit" in error.message
    assert would_do in error.hint


@pytest.mark.parametrize("would_do", READERS)
def test_nothing_written_is_refused_with_an_example(would_do):
    for text in ("", "   ", "\t\n"):
        assert "nothing is written" in refused(READERS[would_do], text).message


@pytest.mark.parametrize(
    ("reader", "text", "written"),
    [
        (units.mass, "3,5 g", "Write 3.5 g."),
        (units.mass, "3,5g", "Write 3.5 g."),
        (units.length, "2,25 m", "Write 2.25 m."),
        (units.threads, "3,5/cm", "Write 3.5/cm."),
        (units.count, "2,5 tex", "Write 2.5 tex."),
        (units.mass, "1,700 g", "Write 1700 g or 1.700 g, whichever you mean."),
        (units.mass, "1 700 g", "Write 1700 g."),
        (lambda text: units.loss(text, "shrinkage"), "8,5%", "Write 8.5%."),
        (units.share, "0,4", "Write 0.4."),
    ],
)
def test_a_decimal_comma_is_refused_with_the_right_spelling(reader, text, written):
    assert refused(reader, text).hint == written


@pytest.mark.parametrize(
    "text",
    ["nan g", "inf g", "-inf g", "∞ g", "1e3 g", "0x10 g", "1_000 g", "٣ g", "g", "grams", "1/0 g",
     "3 5/4 oz", "1 2 3 g", "3 oz 2 lb", "2 oz 2 oz", "12 g 3", "+3 g", "5 g and more", "½½ g",
     "½5 g", "1/2/3 g", "1.2.3 g", "9" * 40 + " g", "1" * 5000 + " g", "5 gr"],
)  # fmt: skip
def test_garbage_is_no_mass(text):
    assert isinstance(refused(units.mass, text), UnreadableValue)


@pytest.mark.parametrize("text", ["0 g", "-3 g", "− 4 g", "-.5 g", "50.001 kg", "60 kg", "111 lb"])
def test_a_mass_that_cannot_be_is_refused_with_the_range(text):
    error = refused(units.mass, text)
    assert type(error) is ImpossibleValue
    assert "more than 0 and at most 50 kg" in error.message


def test_more_than_200_wraps_per_inch_are_refused():
    assert "at most 200 wpi" in refused(units.wraps, "201 wpi").message
    assert "at most 200 wpi" in refused(units.wraps, "78.8 wraps/cm").message


def test_nought_is_a_length_only_where_it_is_let():
    assert units.length("0cm", "hem", zero=True).value == 0
    assert units.mass("0 g", "tare", zero=True).value == 0
    assert "hem cannot be 0 cm" in refused(units.length, "0cm", what="hem").message
    assert "0 or more" in refused(units.length, "-1 cm", what="hem", zero=True).message


def test_an_unknown_unit_is_refused_with_the_units_and_the_nearest():
    error = refused(units.mass, "5 ounzes")
    assert "“ounzes” is not a unit of mass" in error.message
    assert error.hint == "Units that would do: g, mg, kg, oz or lb. The nearest is “oz”."


def test_a_unit_of_something_else_is_named_as_that():
    assert "“m” is a unit of length, not of mass" in refused(units.mass, "112 m").message
    assert "“dpi” is a unit of dents" in refused(units.threads, "8 dpi").message
    assert "“epi” is a unit of threads" in refused(units.dents, "8 epi").message


def test_the_error_names_what_was_asked_for():
    assert refused(units.length, "112", what="once-round").message.startswith("once-round “112”")


def test_a_message_stays_one_printable_line():
    error = refused(units.mass, "3\x1b[31m\ngrams\u202e " + "x" * 100)
    assert error.message.isprintable()
    assert len(error.message) < 200


@pytest.mark.parametrize(
    ("text", "width_m", "length_m", "said"),
    [
        ("40cmx160cm", 0.4, 1.6, "40 cm wide, 160 cm long"),
        ("40cmX160cm", 0.4, 1.6, "40 cm wide, 160 cm long"),
        ("40 cm × 160 cm", 0.4, 1.6, "40 cm wide, 160 cm long"),
        ("14in x 2yd 18in", 0.3556, 2.286, "14 in wide, 2 yd 18 in long"),
        ("13½″ × 1 m", 0.3429, 1.0, "13 1/2 in wide, 1 m long"),
    ],
)
def test_a_size_is_width_then_length(text, width_m, length_m, said):
    found = units.size(text)
    assert (found.width_m, found.length_m, found.said) == (near(width_m), near(length_m), said)


@pytest.mark.parametrize(
    ("text", "spelling"),
    [
        ("30x150cm", "30cmx150cm"),
        ("30cmx150", "30cmx150cm"),
        ("30x150", "30cmx150cm, or 30inx150in"),
        ("30", "30cmx150cm"),
        ("40cm", "40cmx160cm"),
        ("40cmx", "40cmx160cm"),
        ("x", "40cmx160cm"),
        ("1cmx2cmx3cm", "40cmx160cm"),
        ("40cm±1cmx160cm", "40cmx160cm"),
    ],
)
def test_a_size_without_both_units_is_refused_with_the_right_spelling(text, spelling):
    assert spelling in refused(units.size, text).hint


def test_a_side_that_cannot_be_is_named():
    assert "size (length) cannot be 0 cm" in refused(units.size, "40cmx0cm").message
    assert "size (width)" in refused(units.size, "4 kgx1 m").message


def test_a_size_wider_than_long_says_so():
    assert units.size("160cmx40cm").is_wider_than_long
    assert not units.size("40cmx40cm").is_wider_than_long


@pytest.mark.parametrize(
    ("text", "fraction", "step", "sd", "said"),
    [
        ("10%", 0.10, 0.01, None, "10 % of the larger (divide by 0.90)"),
        ("0%", 0.0, 0.01, None, "0 % of the larger (divide by 1.00)"),
        ("12½ %", 0.125, 0.005, None, "12 1/2 % of the larger (divide by 0.875)"),
        ("10%±2%", 0.10, 0.01, 0.02, "10 % ± 2 % of the larger (divide by 0.90)"),
        ("10%+-2%", 0.10, 0.01, 0.02, "10 % ± 2 % of the larger (divide by 0.90)"),
        ("+20%", 0.2 / 1.2, 0.01 / 1.44, None, "+20 % added, which is a loss of 16.7 %"),
        ("+20%±5%", 0.2 / 1.2, 0.01 / 1.44, 0.05 / 1.44,
         "+20 % ± 5 % added, which is a loss of 16.7 %"),
        ("10 per cent", 0.10, 0.01, None, "10 % of the larger (divide by 0.90)"),
    ],
)  # fmt: skip
def test_a_loss_is_a_fraction_of_the_larger_thing(text, fraction, step, sd, said):
    found = units.loss(text, "shrinkage")
    assert (found.value, found.step, found.said) == (near(fraction), near(step), said)
    assert found.sd == (None if sd is None else near(sd))


@pytest.mark.parametrize("text", ["100%", "150%", "-5%", "10%±100%"])
def test_a_loss_is_never_the_whole_nor_below_nought(text):
    assert type(refused(units.loss, text, what="shrinkage")) is ImpossibleValue


@pytest.mark.parametrize(
    ("text", "hint"),
    [("10", "Write 10%."), ("0.1", "Write 10%."), ("+10", "Write +10%."), ("ten", "Write 10% or ")],
)
def test_a_loss_without_its_sign_is_refused_with_it(text, hint):
    error = refused(units.loss, text, what="draw-in")
    assert isinstance(error, UnreadableValue)
    assert error.hint.startswith(hint)


@pytest.mark.parametrize("text", ["10%", "+10%", "+ 10 %"])
def test_an_addition_is_the_same_with_and_without_its_plus(text):
    found = units.addition(text, "weft take-up")
    assert (found.value, found.said) == (0.10, "10 % added (multiply by 1.10)")


def test_an_addition_may_have_a_spread_and_may_be_more_than_the_whole():
    assert units.addition("+20%±5%", "crimp").sd == 0.05
    assert units.addition("150%", "crimp").value == 1.5
    for text in ("-1%", "1000%"):
        refused(units.addition, text, what="crimp")


def test_take_up_and_crimp_are_the_published_pairs():
    # yarn 21.2 from cloth 20: crimp 6.0 %, take-up 5.66 %
    assert units.take_up_from_crimp(0.06) == pytest.approx(0.0566, abs=5e-5)
    assert units.crimp_from_take_up(1.2 / 21.2) == near(0.06)


@pytest.mark.parametrize("bad", [-0.1, 1.0, math.nan, np.array([0.1, 1.0]), np.array([math.nan])])
def test_a_take_up_that_cannot_be_is_refused(bad):
    with pytest.raises(ImpossibleValue):
        units.crimp_from_take_up(bad)


@pytest.mark.parametrize("bad", [-0.1, math.inf, math.nan, np.array([0.1, -1.0])])
def test_a_crimp_that_cannot_be_is_refused(bad):
    with pytest.raises(ImpossibleValue):
        units.take_up_from_crimp(bad)


@pytest.mark.parametrize(
    ("text", "value"), [("40%", 0.4), ("0.4", 0.4), ("2/5", 0.4), ("1", 1.0), ("100 %", 1.0)]
)
def test_a_share_is_a_part_of_one(text, value):
    assert units.share(text).value == value


@pytest.mark.parametrize(
    "text", ["40", "0", "0%", "101%", "3/2", "-1", "+40%", "some", "inf", "nan"]
)
def test_what_is_no_part_of_a_whole_is_no_share(text):
    refused(units.share, text)


@pytest.mark.parametrize(
    ("text", "value", "said"),
    [
        ("95%", 0.95, "95 in 100"),
        ("0.95", 0.95, "95 in 100"),
        ("95 in 100", 0.95, "95 in 100"),
        ("19 in 20", 0.95, "19 in 20"),
        ("99.9%", 0.999, "99.9 in 100"),
        ("0.999", 0.999, "99.9 in 100"),
        ("50.1 %", 0.501, "50.1 in 100"),
    ],
)
def test_a_promise_is_read_and_said_in_hundreds(text, value, said):
    found = units.promise(text)
    assert (found.value, found.said) == (value, said)


@pytest.mark.parametrize(
    "text", ["50%", "0.5", "99.95%", "1", "100 in 100", "5 in 0", "120 in 100"]
)
def test_a_promise_is_more_than_even_and_never_certain(text):
    assert type(refused(units.promise, text)) is ImpossibleValue


@pytest.mark.parametrize("text", ["95", "sure", "", "in 100", "..in 3"])
def test_a_promise_that_cannot_be_read_is_refused_with_the_spellings(text):
    assert "95%" in refused(units.promise, text).hint


def test_things_counted_are_whole_numbers():
    assert [units.whole(text, "strands") for text in ("1", " 150 ", "007")] == [1, 150, 7]
    assert units.whole("0", "floating selvedges", least=0) == 0


@pytest.mark.parametrize("text", ["0", "-3", "1.5", "", "abc", "1e3", "½", "٣", "0x10", "9" * 5000])
def test_what_is_not_counted_is_refused(text):
    assert "strands" in refused(units.whole, text, what="strands").message


def test_a_test_length_is_a_length_and_its_mass():
    long, heavy = units.test_length("10 m = 4.3 g")
    assert (long.value, heavy.value, heavy.step) == (10, 4.3, near(0.1))


@pytest.mark.parametrize("text", ["10m", "4.3g=10m", "10m=4.3g=1g", "10=4.3g", "10m=4.3", "=", ""])
def test_a_test_length_without_both_is_refused(text):
    assert "test length" in refused(units.test_length, text).message


def test_a_name_is_trimmed_and_composed():
    assert units.skein_name("  Gorse 1 ") == "Gorse 1"
    assert units.skein_name("e\u0301te\u0301") == "été"
    assert units.skein_name("x" * 200) == "x" * 200
    assert units.skein_name("羊 🐑") == "羊 🐑"


@pytest.mark.parametrize(
    "text",
    ["", " ", "-x", " -x", "a\nb", "a\0b", "a\x7fb", "a\u2028b", "\ud800", "\u200b", "x" * 201],
)
def test_a_name_that_cannot_be_kept_is_refused(text):
    assert isinstance(refused(units.skein_name, text), UnreadableValue)


def test_two_names_are_the_same_ignoring_case_and_composition():
    assert units.name_key(" GORSE 1") == units.name_key("gorse 1")
    assert units.name_key("ÉTÉ") == units.name_key("e\u0301te\u0301")
    assert units.name_key("STRASSE") == units.name_key("straße")
    assert units.name_key("Gorse 1") != units.name_key("Gorse 2")


def test_every_count_system_is_answered_under_its_key():
    assert list(units.all_counts(20.0)) == [
        "tex", "dtex", "denier", "nm", "ne_cotton", "worsted", "woollen_run", "linen_lea",
        "m_per_100g", "yd_per_lb",
    ]  # fmt: skip


CONVERSIONS = [
    (units.dtex_from_tex, units.tex_from_dtex),
    (units.denier_from_tex, units.tex_from_denier),
    (units.nm_from_tex, units.tex_from_nm),
    (units.m_per_100g_from_tex, units.tex_from_m_per_100g),
    (units.yd_per_lb_from_tex, units.tex_from_yd_per_lb),
    (units.ne_cotton_from_tex, units.tex_from_ne_cotton),
    (units.worsted_from_tex, units.tex_from_worsted),
    (units.woollen_run_from_tex, units.tex_from_woollen_run),
    (units.linen_lea_from_tex, units.tex_from_linen_lea),
]


@pytest.mark.parametrize(("there", "back"), CONVERSIONS)
def test_count_systems_refuse_what_is_no_count(there, back):
    for bad in (0.0, -1.0, math.nan, np.array([1.0, 0.0]), np.array([[math.nan]])):
        for convert in (there, back):
            with pytest.raises(ImpossibleValue):
                convert(bad)


@pytest.mark.parametrize(
    ("said", "expected"),
    [
        (units.say_mass(112.3), "112 g"),
        (units.say_mass(4.3), "4.3 g"),
        (units.say_mass(0.428), "0.43 g"),
        (units.say_mass(9.96), "10 g"),
        (units.say_mass(999.4), "999 g"),
        (units.say_mass(999.7), "1.00 kg"),
        (units.say_mass(12_340), "12.3 kg"),
        (units.say_mass(0), "0 g"),
        (units.say_mass(-38.0), "-38 g"),
        (units.say_mass(math.nan), "unknown"),
        (units.say_mass_imperial(112), "4.0 oz"),
        (units.say_mass_imperial(453.0), "1 lb"),
        (units.say_mass_imperial(566.99), "1 lb 4 oz"),
        (units.say_mass_imperial(-566.99), "-1 lb 4 oz"),
        (units.say_mass_imperial(math.inf), "unknown"),
        (units.say_length(271.2), "271 m"),
        (units.say_length(5.6), "5.6 m"),
        (units.say_length(9.97), "10 m"),
        (units.say_length(0.489), "48.9 cm"),
        (units.say_length(12_340), "12.3 km"),
        (units.say_length(math.nan), "unknown"),
        (units.say_length_imperial(271), "296 yd"),
        (units.say_length_imperial(5.0), "5.5 yd"),
        (units.say_length_imperial(1.8288), "72 in"),
        (units.say_length_imperial(1.83), "2.0 yd"),
        (units.say_length_imperial(math.nan), "unknown"),
        (units.say_cm(48.94), "48.9 cm"),
        (units.say_cm(255.4), "255 cm"),
        (units.say_cm(9.0), "9 cm"),
        (units.say_cm(math.nan), "unknown"),
        (units.say_inches(48.94), "19.3 in"),
        (units.say_inches(math.nan), "unknown"),
        (units.say_per_cm(3.1496), "3.1 per cm"),
        (units.say_per_cm(math.nan), "unknown"),
        (units.say_per_inch(8 / 2.54), "8.0 per inch"),
        (units.say_per_inch(math.nan), "unknown"),
        (units.say_percent(1 / 6), "16.7 %"),
        (units.say_percent(0.45), "45 %"),
        (units.say_percent(0.0), "0 %"),
        (units.say_percent(-0.0001), "0 %"),
        (units.say_percent(0.0001), "under 0.1 %"),
        (units.say_percent(math.nan), "unknown"),
    ],
)
def test_numbers_are_said_as_a_weaver_would(said, expected):
    assert said == expected


@pytest.mark.parametrize(
    ("odds", "said"),
    [
        (0.0, "under 1 in 100"),
        (0.0099, "under 1 in 100"),
        (0.01, "1 in 100"),
        (0.97, "97 in 100"),
        (0.966, "97 in 100"),
        (0.99, "99 in 100"),
        (0.991, "over 99 in 100"),
        (1.0, "over 99 in 100"),
        (math.nan, "unknown"),
    ],
)
def test_odds_are_said_in_hundreds_and_never_as_certain(odds, said):
    assert units.say_odds(odds) == said


def test_odds_below_the_promise_are_not_rounded_up_to_it():
    assert units.say_odds(0.9496) == "95 in 100"
    assert units.say_odds(0.9496, promise=0.95) == "94 in 100"
    assert units.say_odds(0.95, promise=0.95) == "95 in 100"


@pytest.mark.parametrize("odds", [-0.01, 1.01, math.inf])
def test_odds_that_cannot_be_are_refused(odds):
    with pytest.raises(ImpossibleValue):
        units.say_odds(odds)


ALL_READERS = [
    units.mass, units.length, units.wraps, units.threads, units.dents, units.count, units.size,
    units.share, units.promise, units.test_length, units.skein_name,
]  # fmt: skip


@pytest.mark.parametrize(
    "text", ["1 " * 40_000, "1/" * 40_000, "1" + " " * 80_000 + "g", "+-" * 40_000, "1in" * 30_000]
)
def test_a_long_text_is_refused_at_once(text):
    began = time.perf_counter()
    for reader in ALL_READERS:
        refused(reader, text)
    assert time.perf_counter() - began < 2


def test_reading_quantities_loads_nothing_heavy():
    heavy = "numpy, scipy, pandas, sqlmodel, rich, fractions, decimal"
    script = (
        "import sys, farspun.units\n"
        f"print([name for name in '{heavy}'.split(', ') if name in sys.modules])"
    )
    run = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True)
    assert run.stdout.strip() == "[]"
