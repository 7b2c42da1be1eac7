"""Pieces to be cut: how they are written, how large they are cut, and what a lay must hold to."""

import math
from collections.abc import Callable
from dataclasses import replace
from xml.etree import ElementTree

import pytest

from farspun.cli.lay_words import drawing
from farspun.craft.lay import (
    Laid,
    Lay,
    Piece,
    cut_size_cm,
    faults,
    panel_width_cm,
    panels_for,
    shortest_cm,
)
from farspun.errors import FarspunError, ImpossibleValue
from farspun.pictures.lay import lay_svg
from farspun.services.packing import laid_out
from farspun.units import cut_piece

FRONT = Piece("front", 38, 42, 2)
STRAP = Piece("strap", 10, 94)
TAB = Piece("tab", 7, 16, 5, turnable=True)
BAG = [FRONT, STRAP, TAB]
SVG = "{http://www.w3.org/2000/svg}"


@pytest.mark.parametrize(
    ("said", "name", "sides", "many", "grain"),
    [
        ("front 34cmx38cm x2", "front", (0.34, 0.38), 2, None),
        ("pocket 2 15cm x 18cm", "pocket 2", (0.15, 0.18), 1, None),
        ("side panel 12in x 1 yd 3 in x3 FREE", "side panel", (0.3048, 0.9906), 3, "free"),
        ("strap 6cmx1.2m fixed", "strap", (0.06, 1.2), 1, "fixed"),
    ],
)
def test_a_piece_is_read_from_its_end(
    said: str, name: str, sides: tuple[float, float], many: int, grain: str | None
) -> None:
    piece = cut_piece(said)
    assert (piece.name, piece.count, piece.grain) == (name, many, grain)
    assert (piece.size.width_m, piece.size.length_m) == pytest.approx(sides)


@pytest.mark.parametrize(
    "said",
    ["", "front", "34cmx38cm", "front 34x38", "front 34cm", "front 34cmx38cm x0", "a 1cmx2cm xx",
     "-a 1cmx2cm", "a 0cmx2cm", "a 1cmx2cmx3cm"],
)  # fmt: skip
def test_what_is_no_piece_is_refused(said: str) -> None:
    with pytest.raises(FarspunError) as refused:
        cut_piece(said)
    assert refused.value.exit_code == 3


def test_a_piece_is_cut_with_seam_and_raw_edge_at_both_ends_of_a_side() -> None:
    assert cut_size_cm(34, 1.5, 0.5) == 38
    assert cut_size_cm(34, 0, 0) == 34
    for bad in ((0, 1, 1), (34, -1, 0), (34, 0, math.nan)):
        with pytest.raises(ImpossibleValue):
            cut_size_cm(*bad)


@pytest.mark.parametrize("finished_cm", [20.0, 54.0, 54.1, 90.0, 161.9, 162.1, 500.0])
def test_the_fewest_panels_go_into_the_cloth_and_one_fewer_does_not(finished_cm: float) -> None:
    def cut(panels: int) -> float:
        return cut_size_cm(panel_width_cm(finished_cm, panels), 1.5, 0.5)

    panels = panels_for(finished_cm, 58.0, 1.5, 0.5)
    assert cut(panels) <= 58.0
    assert panels == 1 or cut(panels - 1) > 58.0


def test_where_the_seams_alone_are_too_wide_there_are_no_panels() -> None:
    with pytest.raises(ImpossibleValue):
        panels_for(50.0, 4.0, 1.5, 0.5)


def test_a_lay_of_a_bag_has_no_fault_and_is_as_long_as_it_says() -> None:
    lay = laid_out(BAG, 50, 1, one_way=False)
    assert faults(lay, BAG) == []
    assert lay.length_cm == max(one.end_cm for one in lay.pieces) >= shortest_cm(BAG, 48)
    area = sum(piece.area_cm2 for piece in BAG)
    assert lay.waste_fraction == pytest.approx(1 - area / (50 * lay.length_cm))


def test_it_is_the_same_lay_every_time() -> None:
    assert laid_out(BAG, 50, 1, one_way=False) == laid_out(BAG, 50, 1, one_way=False)


def test_with_a_nap_nothing_is_turned_whatever_its_grain() -> None:
    tabs = [replace(TAB, width_cm=10, length_cm=20, count=2)]
    lay, free = (laid_out(tabs, 22, 1, one_way) for one_way in (True, False))
    assert faults(lay, tabs) == faults(free, tabs) == []
    assert [one.turned for one in lay.pieces] == [False, False]
    assert laid_out([replace(tabs[0], count=1)], 22, 1, one_way=False).length_cm == 10


def test_a_piece_that_only_fits_turned_is_turned_only_where_it_may_be() -> None:
    free = Piece("strap", 94, 10, turnable=True)
    (laid,) = laid_out([free], 30, 1, one_way=False).pieces
    assert (laid.turned, laid.width_cm, laid.length_cm) == (True, 10, 94)
    for piece, one_way in ((replace(free, turnable=False), False), (free, True)):
        with pytest.raises(ImpossibleValue):
            laid_out([piece], 30, 1, one_way)


@pytest.mark.parametrize("pieces", [[], [Piece("tile", 5, 5, 101)]])
def test_no_piece_and_more_than_can_be_laid_are_refused(pieces: list[Piece]) -> None:
    with pytest.raises(ImpossibleValue):
        laid_out(pieces, 50, 1, one_way=False)


def test_a_hundred_pieces_are_laid_without_a_fault() -> None:
    pieces = [Piece(f"p{n}", 6 + n % 9, 8 + n % 7, 5, n % 2 == 0) for n in range(20)]
    assert faults(laid_out(pieces, 62, 1, one_way=False), pieces) == []


SPOILED: dict[str, Callable[[Laid], Laid]] = {
    "lies on": lambda one: replace(one, left_cm=1.0, start_cm=0.0),
    "off the cloth": lambda one: replace(one, left_cm=0.5),
    "off the cloth ": lambda one: replace(one, start_cm=-1.0),
    "too small": lambda one: replace(one, length_cm=one.length_cm - 1),
    "against its grain": lambda one: replace(
        one, turned=True, width_cm=one.length_cm, length_cm=one.width_cm
    ),
    "left out": lambda one: replace(one, number=9),
}


@pytest.mark.parametrize("fault", SPOILED)
def test_every_fault_of_a_lay_is_seen(fault: str) -> None:
    lay = laid_out([FRONT, STRAP], 50, 1, one_way=False)
    last = lay.pieces[-1]
    spoiled = replace(lay, pieces=(*lay.pieces[:-1], SPOILED[fault](last)))
    assert any(fault.strip() in one for one in faults(spoiled, [FRONT, STRAP]))


def test_the_picture_has_every_piece_in_its_place() -> None:
    lay = laid_out(BAG, 50, 1, one_way=False)
    root = ElementTree.fromstring(lay_svg(lay, "Bag <1> & “2”", 2.0))
    rects = [
        tuple(float(one.get(key, "nan")) for key in ("x", "y", "width", "height"))
        for one in root.iter(f"{SVG}rect")
        if one.get("class") == "piece"
    ]
    assert rects == [
        pytest.approx((one.left_cm, one.start_cm, one.width_cm, one.length_cm))
        for one in lay.pieces
    ]
    words = [one.text or "" for one in root.iter(f"{SVG}text")]
    assert words[0].startswith("Bag <1> & “2”: 50 cm x ")
    for one in lay.pieces:
        assert f"{one.name} {one.number}" in words


@pytest.mark.parametrize(("nap", "heads"), [(True, 1), (False, 2)])
def test_an_arrow_has_one_head_where_there_is_a_nap(nap: bool, heads: int) -> None:
    lay = laid_out([FRONT], 50, 1, one_way=nap)
    root = ElementTree.fromstring(lay_svg(lay, "Bag", 2.0))
    assert len(list(root.iter(f"{SVG}polygon"))) == heads * 2


def test_words_stay_inside_their_piece() -> None:
    lay = laid_out([Piece("a piece with a very long name indeed", 9, 12, 2)], 50, 1, one_way=False)
    root = ElementTree.fromstring(lay_svg(lay, "Bag", 2.0))
    for one in root.iter(f"{SVG}text"):
        if (one.text or "").startswith("a piece"):
            assert 0.6 * float(one.get("font-size", "0")) * len(one.text or "") <= 9


def test_the_drawing_in_letters_names_every_piece_and_is_no_wider_than_a_screen() -> None:
    lay = Lay(50, 1, laid_out(BAG, 50, 1, one_way=False).pieces)
    lines = drawing(lay)
    assert max(map(len, lines)) <= 61
    assert len(lines) <= 47
    for one in lay.pieces:
        assert any(one.name in line for line in lines)
    assert all(line.startswith((":", "+")) for line in lines)
