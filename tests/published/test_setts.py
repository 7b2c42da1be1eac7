"""Setts, reed numbers and sleyings against fixtures/published/setts.txt."""

import pytest

from farspun.craft.fibres import blend
from farspun.craft.reed import (
    best_sleying,
    dents_per_10cm_from_number,
    ends_per_cm_from_bradford_sett,
    width_in_reed_cm,
)
from farspun.craft.sett import sett_from_grist, threads_share, upper_bound
from farspun.craft.weave import weave
from farspun.craft.yarn import diameters_per_inch
from farspun.units import CM_PER_INCH, dents, tex_from_yd_per_lb, threads
from published.published import Row, published


@published("setts", "share of the diameters")
def test_the_ends_take_up_the_printed_share_of_the_width(row: Row) -> None:
    row.check("share", threads_share(weave(row.text("weave"))))


@published("setts", "tightest sett")
def test_the_tightest_sett_is_that_share_of_the_diameters(row: Row) -> None:
    tex = tex_from_yd_per_lb(row.number("yd/lb"))
    per_inch = diameters_per_inch(tex, row.number("K"))
    row.check("ends", per_inch * threads_share(weave(row.text("weave"))))
    assert per_inch == pytest.approx(row.number("per inch"), abs=0.5)


@published("setts", "working sett")
def test_the_sett_from_grist_is_a_working_part_of_the_bound(row: Row) -> None:
    draw, fibre = row.text("draw"), blend(row.text("fibre"))
    assert draw == "woollen" or draw == "semi" or draw == "worsted"
    everyday = sett_from_grist(150.0, fibre, draw, row.text("mill") == "yes", weave("plain"))
    part = everyday / upper_bound(150.0, fibre, draw, weave("plain"))
    assert row.number("least") <= part <= row.number("most")


@published("setts", "reed numbers")
def test_an_old_reed_number_gives_its_ends_per_inch(row: Row) -> None:
    numbering = row.text("numbering")
    assert numbering == "stockport" or numbering == "huddersfield" or numbering == "silk"
    dents_per_inch = dents_per_10cm_from_number(row.number("number"), numbering) * CM_PER_INCH / 10
    row.check("ends", row.number("per dent") * dents_per_inch)


@published("setts", "Bradford sett")
def test_a_bradford_sett_gives_its_ends_per_inch(row: Row) -> None:
    row.check("ends", ends_per_cm_from_bradford_sett(row.number("number")) * CM_PER_INCH)


@published("setts", "metric reeds")
def test_a_metric_reed_is_not_an_inch_reed(row: Row) -> None:
    row.check("per inch", dents(row.text("said")).value / 10 * CM_PER_INCH)


@published("setts", "sleying")
def test_the_reed_is_sleyed_as_it_is_done_in_practice(row: Row) -> None:
    ends, reed = threads(f"{row.text('ends')} epi"), dents(f"{row.text('dents')} dpi")
    best = best_sleying(ends.value, reed.value)
    assert list(best.per_dent) == row.numbers("per dent")
    assert best.off_fraction == pytest.approx(0, abs=1e-12)


@published("setts", "metric reed for an inch reed")
def test_ends_meant_for_an_inch_reed_stand_wider_in_a_metric_one(row: Row) -> None:
    ends = int(row.number("ends"))
    for reed, width in (("meant for", "cm meant"), ("in reed", "cm wide")):
        per_10cm = dents(row.text(reed)).value
        row.check(width, width_in_reed_cm(ends, best_sleying(per_10cm / 10, per_10cm)))
