"""Amounts of yarn as printed in the mill books, and cloths worked through by hand."""

import pytest

from farspun.craft.amounts import (
    Amounts,
    Wanted,
    amounts,
    finished,
    mill_contraction,
    off_loom,
    reed_width,
    warp_length,
    woven_from_warp,
)
from farspun.units import (
    CM_PER_INCH,
    CM_PER_METRE,
    GRAMS_PER_POUND,
    METRES_PER_YARD,
    addition,
    crimp_from_take_up,
    loss,
    take_up_from_crimp,
    tex_from_ne_cotton,
)
from published.published import Row, published

YARDS_PER_HANK = 840
ANY_SETT_PER_INCH = 60.0


def _mill_piece(row: Row, ends_per_inch: float, picks_per_inch: float) -> Amounts:
    return amounts(
        Wanted(
            width_cm=row.number("reed in") * CM_PER_INCH,
            length_cm=row.number("yards") * METRES_PER_YARD * CM_PER_METRE,
            sett_per_cm=ends_per_inch / CM_PER_INCH,
            picks_per_cm=picks_per_inch / CM_PER_INCH,
        )
    )


def _hanks(yarn_m: float) -> float:
    return yarn_m / METRES_PER_YARD / YARDS_PER_HANK


def _pounds(yarn_m: float, count: float) -> float:
    return yarn_m * tex_from_ne_cotton(count) / 1000 / GRAMS_PER_POUND


@published("amounts", "hanks of weft")
def test_hanks_of_weft_in_a_piece_are_as_printed(row: Row) -> None:
    piece = _mill_piece(row, ANY_SETT_PER_INCH, row.number("picks per inch"))
    row.check("hanks", _hanks(piece.weft_yarn_m))


@published("amounts", "pounds of weft")
def test_pounds_of_weft_in_a_piece_are_as_printed(row: Row) -> None:
    piece = _mill_piece(row, ANY_SETT_PER_INCH, row.number("picks per inch"))
    row.check("lb", _pounds(piece.weft_yarn_m, row.number("count")))


@published("amounts", "warp of a piece")
def test_warp_of_a_piece_is_as_printed(row: Row) -> None:
    piece = _mill_piece(row, row.number("ends per inch"), ANY_SETT_PER_INCH)
    assert piece.ends == row.number("ends")
    row.check("hanks", _hanks(piece.warp_yarn_m))
    row.check("lb", _pounds(piece.warp_yarn_m, row.number("count")))


@published("amounts", "contraction")
def test_contraction_of_mill_cloth_is_as_printed(row: Row) -> None:
    per_cm = row.number("intersections per inch") / CM_PER_INCH
    contraction = mill_contraction(per_cm, row.number("weft count"), row.number("k"))
    row.check("percent", contraction * 100)


@published("amounts", "rugs")
def test_the_rugs_worked_by_hand_come_out(row: Row) -> None:
    rugs = amounts(
        Wanted(
            width_cm=row.number("width cm"),
            length_cm=row.number("length m") * CM_PER_METRE,
            sett_per_cm=row.number("sett per 10 cm") / 10,
            picks_per_cm=2,
            pieces=int(row.number("pieces")),
            take_up=loss(f"+{row.text('added take-up')}", "take-up").value,
            fringe_cm=row.number("fringe cm"),
            waste_cm=row.number("waste cm"),
            floating_selvedges=int(row.number("edge ends")),
        )
    )
    assert rugs.ends == row.number("ends")
    assert rugs.warp_cut_cm == pytest.approx(row.number("warp m") * CM_PER_METRE)
    assert rugs.warp_yarn_cut_m == pytest.approx(row.number("yarn m"))
    row.check("warp m", rugs.warp_length_cm / CM_PER_METRE)
    row.check("yarn m", rugs.warp_yarn_m)


@published("amounts", "cloth to be cut")
def test_the_cloth_to_be_cut_worked_by_hand_comes_out(row: Row) -> None:
    cloth = amounts(
        Wanted(
            width_cm=row.number("width cm"),
            length_cm=row.number("length cm"),
            sett_per_cm=row.number("sett per cm"),
            picks_per_cm=row.number("picks per cm"),
            draw_in=row.number("draw-in"),
            take_up=row.number("take-up"),
            weft_take_up=addition(row.text("weft take-up"), "weft take-up").value,
            shrink_width=row.number("shrink width"),
            shrink_length=row.number("shrink length"),
            waste_cm=row.number("waste cm"),
        )
    )
    needed_cm = reed_width(cloth.off_loom_width_cm, row.number("draw-in"))
    row.check("reed cm before rounding", needed_cm)
    assert (cloth.ends, cloth.picks) == (row.number("ends"), row.number("picks"))
    row.check("reed cm", cloth.reed_width_cm)
    row.check("off loom cm", cloth.off_loom_length_cm)
    row.check("warp cm", cloth.warp_length_cm)
    row.check("warp m", cloth.warp_yarn_m)
    row.check("weft m", cloth.weft_yarn_m)


@published("amounts", "losses in series")
def test_losses_in_series_multiply(row: Row) -> None:
    rested_cm = off_loom(1.0, 0.0, row.number("first"))
    in_reed_cm = reed_width(rested_cm, row.number("second"))
    row.check("divided by", in_reed_cm)
    row.check("kept", 1 / in_reed_cm)


@published("amounts", "crimp and take-up")
def test_crimp_is_of_the_cloth_and_take_up_of_the_yarn(row: Row) -> None:
    yarn, cloth = row.number("yarn"), row.number("cloth")
    crimp = (yarn - cloth) / cloth
    row.check("crimp", crimp)
    row.check("take-up", take_up_from_crimp(crimp))
    assert warp_length(cloth, take_up_from_crimp(crimp)) == pytest.approx(yarn)
    assert crimp_from_take_up(row.number("take-up")) == pytest.approx(crimp, abs=1e-4)


@published("amounts", "yarn for a cloth")
def test_yarn_for_a_cloth_of_known_crimp_is_as_worked(row: Row) -> None:
    row.check("yarn m", warp_length(row.number("cloth m"), take_up_from_crimp(row.number("crimp"))))


@published("amounts", "cloth from a warp")
def test_cloth_from_a_warp_of_known_crimp_is_as_worked(row: Row) -> None:
    take_up = take_up_from_crimp(row.number("crimp"))
    row.check("cloth m", woven_from_warp(row.number("warp m"), take_up))


@published("amounts", "two meanings of 20 %")
def test_adding_the_percentage_that_is_lost_falls_short(row: Row) -> None:
    wanted, shrink = row.number("wanted"), loss(row.text("percent"), "shrinkage").value
    added = loss(f"+{row.text('percent')}", "shrinkage").value
    row.check("weave divided", off_loom(wanted, 0.0, shrink))
    row.check("weave added", off_loom(wanted, 0.0, added))
    row.check("ends at", finished(off_loom(wanted, 0.0, added), 0.0, shrink))
