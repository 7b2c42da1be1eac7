"""Lays of any pieces: nothing overlaps, nothing is turned against its grain, hardly any is long."""

from hypothesis import event, given
from hypothesis import strategies as st

from farspun.craft.lay import Piece, faults, shortest_cm
from farspun.services.packing import laid_out
from properties.tried import tried
from shortest_lay import shortest_length

MOST_LONGER = 1.10  # times the shortest there is
SIDES = st.integers(1, 8)
# a fifth piece may keep the exhaustive search for minutes
SMALL = st.lists(st.tuples(SIDES, SIDES, st.booleans()), min_size=1, max_size=4)
SIZES = st.floats(0.5, 60).map(lambda cm: round(cm, 2))
ANY = st.lists(
    st.tuples(SIZES, SIZES, st.integers(1, 3), st.booleans()), min_size=1, max_size=8
)  # fmt: skip


@tried(25)
@given(ANY, st.floats(62.5, 150), st.booleans())
def test_no_lay_has_a_fault_and_none_is_shorter_than_can_be(
    sizes: list[tuple[float, float, int, bool]], width_cm: float, one_way: bool
) -> None:
    pieces = [Piece(f"p{n}", *size) for n, size in enumerate(sizes)]
    lay = laid_out(pieces, width_cm, 1.0, one_way)
    assert faults(lay, pieces) == []
    event("something turned" if any(one.turned for one in lay.pieces) else "nothing turned")
    assert lay.length_cm >= shortest_cm(pieces, width_cm - 2) - 1e-6


@tried(50)
@given(SMALL, st.integers(4, 9))
def test_a_lay_of_a_few_pieces_is_at_most_a_tenth_longer_than_the_shortest(
    sizes: list[tuple[int, int, bool]], across: int
) -> None:
    sizes = [
        (min(w, across), h, turnable and h <= across) for w, h, turnable in sizes
    ]  # fmt: skip
    pieces = [Piece(f"p{n}", w, h, 1, turnable) for n, (w, h, turnable) in enumerate(sizes)]
    lay = laid_out(pieces, float(across), 0.0, one_way=False)
    assert faults(lay, pieces) == []
    shortest = shortest_length(sizes, across)
    event("the shortest" if lay.length_cm <= shortest else "longer")
    assert shortest <= lay.length_cm <= MOST_LONGER * shortest


def test_the_exhaustive_search_knows_a_few_lays() -> None:
    assert shortest_length([(2, 2, False)] * 4, 4) == 4
    assert shortest_length([(3, 2, False), (2, 3, False)], 4) == 5
    assert shortest_length([(3, 2, False), (2, 3, True)], 4) == 4
    assert shortest_length([(1, 5, True), (5, 1, True), (3, 3, False)], 5) == 5
