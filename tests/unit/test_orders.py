"""Orders: what is read, what is refused and where, and edges worked out by hand."""

import pytest

from farspun.craft.order_edges import edges
from farspun.craft.order_text import MOST_NESTED, order_from_text, text_of_order
from farspun.craft.orders import (
    Stripe,
    counted,
    counts,
    in_picks,
    number_of_stripes,
    repeat_of,
    shares,
    shuttle_picks,
    stripes,
    threads_in,
)
from farspun.errors import FarspunError, ImpossibleValue, UnreadableValue


def warp(text: str) -> dict[str, int]:
    return counts(order_from_text(text, "warp"))


def laid(text: str) -> list[tuple[int, str]]:
    """The stripes of an order, neighbours of one yarn joined."""
    return [(one.threads, one.yarn) for one in stripes(order_from_text(text, "warp"))]


# --- what is read


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("12 slate, 4 oat, 12 slate", {"slate": 24, "oat": 4}),
        ("12 slate 4 oat 12 slate", {"slate": 24, "oat": 4}),
        ("12slate;4oat", {"slate": 12, "oat": 4}),
        ("(6 slate 2 oat)x8", {"slate": 48, "oat": 16}),
        ("( 6 slate, 2 oat ) X 8, 6 slate", {"slate": 54, "oat": 16}),
        ("(6 slate, 2 oat)×8", {"slate": 48, "oat": 16}),
        ("((6 slate 2 oat)x3, 4 rust)*2", {"slate": 36, "oat": 12, "rust": 8}),
        ("6 slate, 2 oat, 4 rust | mirror", {"slate": 12, "oat": 4, "rust": 4}),
        ("(6 slate, 2 oat | MIRROR)x2, 1 rust", {"slate": 24, "oat": 4, "rust": 1}),
        ("6 slate | mirror", {"slate": 6}),
        ("12 \"Gorse 1\", 4 'Gorse 2', 2 “Gorse 3”", {"Gorse 1": 12, "Gorse 2": 4, "Gorse 3": 2}),
        ('3 "5"" reed", 2 x', {'5" reed': 3, "x": 2}),
        ("2 Ästa's, 1 mirror", {"Ästa's": 2, "mirror": 1}),
        ("007 oat", {"oat": 7}),
        ("10 in, 2 cm", {"in": 10, "cm": 2}),
    ],
)
def test_an_order_is_read_however_it_is_spaced(text: str, found: dict[str, int]) -> None:
    assert warp(text) == found


def test_mirrored_the_last_stripe_stands_once_in_the_middle() -> None:
    assert laid("6 slate, 2 oat, 4 rust | mirror") == [
        (6, "slate"),
        (2, "oat"),
        (4, "rust"),
        (2, "oat"),
        (6, "slate"),
    ]
    assert laid("(4 a, 2 b)x2 | mirror") == [(4, "a"), (2, "b")] * 3 + [(4, "a")]


def test_brackets_that_change_nothing_are_left_out() -> None:
    for text in ("(6 slate), (2 oat)x1", "((6 slate, 2 oat))", "6 slate 2 oat"):
        assert text_of_order(order_from_text(text, "warp")) == "6 slate, 2 oat"
    assert text_of_order(order_from_text("(1 a, 2 b | mirror)", "warp")) == "1 a, 2 b | mirror"


@pytest.mark.parametrize(
    ("text", "written"),
    [
        ("10cm slate, 2.5 cm oat", "10 cm slate, 2.5 cm oat"),
        ("1½in slate, 2 oat", "1 1/2 in slate, 2 oat"),
        ("4 inches 'Gorse 1'", '4 in "Gorse 1"'),
        ("2 cm cm", '2 cm "cm"'),
    ],
)
def test_bands_of_a_weft_are_told_by_length(text: str, written: str) -> None:
    order = order_from_text(text, "weft")
    assert text_of_order(order) == written
    assert order_from_text(written, "weft") == order


def test_a_band_is_the_picks_that_come_nearest() -> None:
    order = order_from_text("(10cm slate, 2cm oat)x3, 1in rust, 2 flax", "weft")
    assert counts(in_picks(order, 3.1)) == {"slate": 93, "oat": 18, "rust": 8, "flax": 2}
    assert shares(order_from_text("10cm slate, 2.5 cm oat", "weft"), 7.3) == pytest.approx(
        {"slate": 0.8, "oat": 0.2}
    )


def test_a_band_of_less_than_half_a_pick_is_refused() -> None:
    order = order_from_text("10cm slate, 1mm oat", "weft")
    with pytest.raises(ImpossibleValue, match="oat cannot be 1 mm: at 3 picks per cm"):
        in_picks(order, 3.0)
    assert counts(in_picks(order, 6.0)) == {"slate": 60, "oat": 1}


# --- what is refused, and where


@pytest.mark.parametrize(
    ("text", "column", "why"),
    [
        ("", 1, "a stripe is wanted here"),
        ("()", 2, "a stripe is wanted here"),
        ("12 slate,", 10, "a stripe is wanted here"),
        ("12 slate,, 4 oat", 10, "a stripe is wanted before this “,”"),
        (", 4 oat", 1, "a stripe is wanted before this “,”"),
        ("| mirror", 1, "a stripe is wanted before this “|”"),
        ("12 slate, (4 oat", 11, "this bracket is never closed"),
        ("12 slate, (4 oat, (2 rust)x2", 11, "this bracket is never closed"),
        ("12 slate, 4 oat)", 16, "this bracket closes none"),
        ("(12 slate, 4 oat))x2", 18, "this bracket closes none"),
        ("(6 slate)x", 11, "how many times over is wanted here"),
        ("(6 slate)x2.5", 11, "how many times over is wanted here"),
        ("6 slate | mirrored", 9, "only “mirror” can stand behind a “|”"),
        ("6 slate | mirror, 2 oat", 17, "nothing but a closing bracket can follow “mirror”"),
        ("slate", 1, "a number of ends is wanted here"),
        ("12 slate, oat", 11, "a number of ends is wanted here"),
        ("-3 slate", 1, "a number of ends is wanted here"),
        ("[6 slate]", 1, "a number of ends is wanted here"),
        ("1.5 slate", 1, "a whole number of ends is wanted here"),
        ("1/2 slate", 1, "a whole number of ends is wanted here"),
        ("12", 3, "no yarn is named after 12"),
        ("12, 4 oat", 3, "no yarn is named after 12"),
        ("12 Gorse 1, 4 oat", 11, "no yarn is named after 1"),
        ('12 "Gorse 1, 4 oat', 4, "this quote is never closed"),
        ("3cm slate", 1, "a warp is told in ends, not in lengths"),
    ],
)
def test_what_cannot_be_read_is_told_with_its_column(text: str, column: int, why: str) -> None:
    with pytest.raises(UnreadableValue) as refused:
        order_from_text(text, "warp")
    assert f"column {column}: {why}." in refused.value.message
    assert "arp order" in refused.value.message


def test_a_name_of_several_words_is_asked_for_in_quotes() -> None:
    for text in ("12 Gorse 1, 4 oat", "12 Gorse bush, 4 oat"):
        with pytest.raises(UnreadableValue) as refused:
            order_from_text(text, "warp")
        assert '12 "Gorse 1"' in refused.value.hint


@pytest.mark.parametrize(
    ("text", "column", "number"),
    [
        ("0 slate", 1, "0"),
        ("12 slate, 1000001 oat", 11, "1000001"),
        ("12 slate, 99999999999999999999999999 oat", 11, "99999999999999999999999999"),
        ("(6 slate)x0", 11, "0"),
        ("(6 slate, 2 oat)x 2000000", 19, "2000000"),
    ],
)
def test_numbers_that_no_warp_has_are_refused_with_their_column(
    text: str, column: int, number: str
) -> None:
    with pytest.raises(ImpossibleValue) as refused:
        order_from_text(text, "warp")
    assert refused.value.message.startswith(
        f"the number in column {column} of the warp order cannot be {number}"
    )


def test_a_band_of_no_length_is_refused_with_its_column() -> None:
    with pytest.raises(ImpossibleValue, match="column 12 of the weft order cannot be 0 cm"):
        order_from_text("10cm slate,0cm oat", "weft")


@pytest.mark.parametrize(
    "text",
    [
        "(" * (MOST_NESTED + 2) + "1 a" + ")" * (MOST_NESTED + 2),
        "1 slate, " * 2000 + "1 slate",
        "((1 a)x1000000)x1000000",
    ],
    ids=["nested", "long", "many"],
)
def test_what_nobody_writes_is_refused(text: str) -> None:
    with pytest.raises(FarspunError):
        order_from_text(text, "warp")


# --- counting


def test_over_the_ends_of_a_warp_the_order_comes_again_and_is_cut_off() -> None:
    order = order_from_text("12 slate, 4 oat, 12 slate", "warp")
    assert threads_in(order) == 28
    # 150 ends are five orders and 10 ends more, which are slate
    assert counted(order, 150) == {"slate": 5 * 24 + 10, "oat": 20}
    assert counted(order, 5) == {"slate": 5, "oat": 0}


def test_what_is_repeated_is_what_stands_in_the_outermost_brackets() -> None:
    order = order_from_text("((6 slate 2 oat)x4)x2", "warp")
    assert text_of_order(repeat_of(order)) == "6 slate, 2 oat"
    assert number_of_stripes(order) == 16
    mirrored = order_from_text("(6 slate 2 oat)x4 | mirror", "warp")
    assert repeat_of(mirrored) == mirrored


# --- edges


def offers(text: str, ends: int, step: int = 1) -> tuple[list[tuple[int, str]], int, str | None]:
    found = edges(order_from_text(text, "warp"), ends, step)
    centred = None if found.centred is None else text_of_order(found.centred)
    return [(one.threads, one.yarn) for one in found.more], found.fewer, centred


def test_a_warp_that_ends_as_it_begins_is_balanced() -> None:
    order = order_from_text("6 slate, 2 oat", "warp")
    for ends in (14, 150, 8 * 1000 + 6):
        found = edges(order, ends)
        assert found.balanced and found.first == found.last == Stripe("slate", 6)
    assert edges(order_from_text("5 slate", "warp"), 7).balanced


def test_odd_ends_are_filled_up_left_out_or_shared_between_the_edges() -> None:
    # 152 = 19 x 8: slate, 6 wide, at the one edge, oat, 2 wide, at the other. Six slate more close
    # it; two left out do too; or three slate stand at each edge
    assert offers("6 slate, 2 oat", 152) == ([(6, "slate")], 2, "3 slate, 2 oat, 3 slate")
    # 151 = 18 x 8 + 7: one oat is begun; an odd number has no middle in stripes that are even
    assert offers("6 slate, 2 oat", 151) == ([(1, "oat"), (6, "slate")], 1, None)
    # of an order of odd length the middle may lie on an end
    assert offers("4 slate, 1 oat", 12)[2] == "3 slate, 1 oat, 1 slate"


def test_of_two_ways_to_centre_the_wider_edge_is_taken() -> None:
    # 154 ends: begun two ends in, four slate at each edge; begun at the oat, two oat
    assert offers("6 slate, 2 oat", 154)[2] == "4 slate, 2 oat, 2 slate"


def test_an_order_with_no_middle_gets_at_least_the_same_edge_stripes() -> None:
    found = edges(order_from_text("12 slate, 4 oat, 2 rust", "warp"), 40)
    assert found.only_alike and found.centred is None and not found.balanced
    assert [(one.threads, one.yarn) for one in found.more] == [(8, "slate")]


def test_in_pairs_only_even_numbers_are_added() -> None:
    assert offers("4 slate, 1 oat", 12)[0] == [(2, "slate")]
    assert offers("4 slate, 1 oat", 11, step=2)[0] == [(3, "slate"), (1, "oat"), (4, "slate")]
    assert offers("4 slate, 2 oat", 11, step=2)[:2] == ([], 0)


def test_an_order_longer_than_the_warp_has_no_edges() -> None:
    with pytest.raises(ImpossibleValue, match="28 ends long"):
        edges(order_from_text("12 slate, 4 oat, 12 slate", "warp"), 27)


# --- two shuttles


@pytest.mark.parametrize(
    ("first_m", "second_m", "picks"),
    [
        (300, 300, (1, 1)),
        (300, 150, (2, 1)),
        (100, 300, (1, 3)),
        (290, 200, (3, 2)),
        (1000, 10, (4, 1)),
    ],
)
def test_two_shuttles_share_the_picks_as_there_is_yarn(
    first_m: float, second_m: float, picks: tuple[int, int]
) -> None:
    assert shuttle_picks(first_m, second_m) == picks


@pytest.mark.parametrize("metres", [0, -1, float("nan"), float("inf")])
def test_shuttles_without_yarn_are_refused(metres: float) -> None:
    with pytest.raises(ImpossibleValue):
        shuttle_picks(metres, 100)
