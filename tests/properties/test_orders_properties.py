"""Orders counted against laying out every thread, and read back as they were written.

The written order and its threads are made here side by side, without the code that is tested.
"""

from collections import Counter
from itertools import cycle, groupby, islice

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from farspun.craft.order_edges import edges
from farspun.craft.order_text import order_from_text, text_of_order
from farspun.craft.orders import (
    counted,
    counts,
    in_picks,
    number_of_stripes,
    renamed,
    repeat_of,
    shares,
    shuttle_picks,
    stripes,
    threads_in,
)
from farspun.errors import FarspunError, ImpossibleValue, UnreadableValue

YARNS = ("slate", "oat", "Gorse 1", "rust", "cm", 'two "x3"', "Ästa's", "12", "a,b", "mirror")
MOST_LAID = 60  # stripes, so that laying them out stays quick
unhurried = settings(deadline=None)  # on a machine that may be busy
COMMAS = st.sampled_from([", ", " , ", "; ", ",", " "])


def quoted(yarn: str) -> str:
    return '"' + yarn.replace('"', '""') + '"'


# an order as (how it is written, its stripes one by one as (yarn, threads))
Laid = tuple[str, list[tuple[str, int]]]
STRIPES: st.SearchStrategy[Laid] = st.tuples(st.sampled_from(YARNS), st.integers(1, 7)).map(
    lambda one: (f"{one[1]} {quoted(one[0])}", [one])
)


def bracketed(inner: st.SearchStrategy[Laid]) -> st.SearchStrategy[Laid]:
    return st.builds(group, st.lists(inner, min_size=1, max_size=4), COMMAS, st.booleans()).flatmap(
        lambda laid: st.sampled_from(["", "x2", " x 3", "×1", "*2"]).map(
            lambda times: (f"({laid[0]}){times}", laid[1] * int(times[-1:] or 1))
        )
    )


def group(parts: list[Laid], comma: str, mirrored: bool) -> Laid:
    text = comma.join(written for written, _ in parts)
    laid = [one for _, stripes in parts for one in stripes]
    return (f"{text} | mirror", laid + laid[-2::-1]) if mirrored else (text, laid)


ORDERS = st.builds(
    group,
    st.lists(st.recursive(STRIPES, bracketed, max_leaves=5), min_size=1, max_size=4),
    COMMAS,
    st.booleans(),
).filter(lambda laid: len(laid[1]) <= MOST_LAID)


def shortest(every: list[str]) -> list[str]:
    """What every thread is a repeat of."""
    long = len(every)
    parts = (every[:n] for n in range(1, long + 1) if long % n == 0)
    return next(part for part in parts if part * (long // len(part)) == every)


def threads(laid: list[tuple[str, int]]) -> list[str]:
    """Every thread, one by one."""
    return [yarn for yarn, number in laid for _ in range(number)]


@unhurried
@given(ORDERS)
def test_an_order_is_counted_as_its_threads_are_laid_out(laid: Laid) -> None:
    order = order_from_text(laid[0], "warp")
    assert counts(order) == Counter(threads(laid[1]))
    assert threads_in(order) == len(threads(laid[1]))
    assert number_of_stripes(order) == len(laid[1])
    assert list(counts(order)) == list(dict.fromkeys(threads(laid[1])))


@unhurried
@given(ORDERS, st.integers(0, 2000))
def test_over_any_number_of_ends_the_count_is_that_of_the_threads(laid: Laid, ends: int) -> None:
    every = threads(laid[1])
    found = counted(order_from_text(laid[0], "warp"), ends)
    assert found == dict.fromkeys(every, 0) | Counter(islice(cycle(every), ends))
    assert sum(found.values()) == ends


@unhurried
@given(ORDERS)
def test_the_stripes_are_those_of_the_threads(laid: Laid) -> None:
    found = [(one.yarn, one.threads) for one in stripes(order_from_text(laid[0], "warp"))]
    assert found == [(yarn, len(list(one))) for yarn, one in groupby(threads(laid[1]))]


@unhurried
@given(ORDERS)
def test_an_order_written_and_read_again_is_the_same(laid: Laid) -> None:
    order = order_from_text(laid[0], "warp")
    written = text_of_order(order)
    assert order_from_text(written, "warp") == order
    assert text_of_order(order_from_text(written, "warp")) == written


SCRAPS = (
    *("(", ")", "|", ",", ";", '"', "'", "“", "”", " ", "mirror", "x", "x2", "×3", "*", "\n", "\0"),
    *("0", "1", "12", "7.5", "1/2", "½", "-3", "99999999", "cm", "in", "slate", "a b", "é", "½in"),
)


@unhurried
@given(
    st.lists(st.sampled_from(SCRAPS), max_size=15).map("".join), st.sampled_from(["warp", "weft"])
)
def test_whatever_is_written_is_read_or_refused_in_words(text: str, side: str) -> None:
    try:
        order = order_from_text(text, side)
    except FarspunError as error:
        assert error.message and error.hint
        assert isinstance(error, UnreadableValue | ImpossibleValue)
    else:
        assert order_from_text(text_of_order(order), side) == order


@unhurried
@given(ORDERS)
def test_the_repeat_laid_again_and_again_is_the_order(laid: Laid) -> None:
    order = order_from_text(laid[0], "warp")
    once = [one.yarn for one in stripes(repeat_of(order)) for _ in range(one.threads)]
    every = threads(laid[1])
    assert len(every) % len(once) == 0
    assert once * (len(every) // len(once)) == every


@unhurried
@given(ORDERS)
def test_other_names_change_no_count(laid: Laid) -> None:
    order = order_from_text(laid[0], "warp")
    names = {yarn: f"{yarn} again" for yarn in YARNS}
    assert counts(renamed(order, names)) == {names[y]: n for y, n in counts(order).items()}
    assert renamed(renamed(order, names), {new: old for old, new in names.items()}) == order


@unhurried
@given(ORDERS, st.integers(0, 300), st.sampled_from([1, 2]))
def test_edges_are_those_of_the_threads(laid: Laid, over: int, step: int) -> None:
    every = threads(laid[1])
    ends = len(every) + over
    warp = list(islice(cycle(every), ends))
    found = edges(order_from_text(laid[0], "warp"), ends, step)
    sides = [(yarn, len(list(one))) for yarn, one in groupby(warp)]
    assert (found.first.yarn, found.first.threads) == sides[0]
    assert (found.last.yarn, found.last.threads) == sides[-1]
    assert found.balanced == (warp == warp[::-1])
    more = [one.yarn for one in found.more for _ in range(one.threads)]
    longer = list(islice(cycle(every), ends + len(more)))
    assert longer == warp + more
    assert len(more) % step == 0
    if not found.balanced:
        least = next(
            (
                n
                for n in range(0, 2 * len(every) + 1, step)
                if (tried := list(islice(cycle(every), ends + n))) == tried[::-1]
            ),
            None,
        )
        fewest = next(
            (
                n
                for n in range(0, ends - len(shortest(every)) + 1, step)
                if (tried := warp[: ends - n]) == tried[::-1]
            ),
            0,
        )
        assert found.fewer == (0 if found.only_alike else fewest)
        assert found.only_alike == (least is None)
        assert found.only_alike or len(more) == least
        if found.only_alike and more:
            begun = [(yarn, len(list(one))) for yarn, one in groupby(longer)]
            assert begun[0] == begun[-1]


@unhurried
@given(ORDERS, st.integers(0, 300))
def test_a_centred_order_reads_the_same_from_both_sides(laid: Laid, over: int) -> None:
    every = threads(laid[1])
    ends = len(every) + over
    found = edges(order_from_text(laid[0], "warp"), ends)
    assume(not found.balanced)
    turned = [(every * 2)[at : at + len(every)] for at in range(len(every))]
    warps = [list(islice(cycle(one), ends)) for one in turned]
    can = [warp for warp in warps if warp == warp[::-1]]
    assert (found.centred is None) == (not can)
    if found.centred is not None:
        begun = [one.yarn for one in stripes(found.centred) for _ in range(one.threads)]
        warp = list(islice(cycle(begun), ends))
        assert warp in can
        edge = len(list(next(groupby(warp))[1]))
        assert edge == max(len(list(next(groupby(one))[1])) for one in can)


@unhurried
@given(
    st.lists(st.tuples(st.sampled_from(YARNS), st.integers(5, 400)), min_size=1, max_size=6),
    st.integers(1, 9),
    st.floats(2.0, 12.0),
)
def test_bands_by_length_are_their_nearest_picks(
    bands: list[tuple[str, int]], times: int, per_cm: float
) -> None:
    text = f"({', '.join(f'{mm} mm {quoted(yarn)}' for yarn, mm in bands)})x{times}"
    order = order_from_text(text, "weft")
    wanted: Counter[str] = Counter()
    for yarn, mm in bands:
        wanted[yarn] += round(mm / 10 * per_cm) * times
    found = counts(in_picks(order, per_cm))
    assert found == pytest.approx(dict(wanted), abs=len(bands) * times * 1e-9)
    long_mm = sum(mm for _, mm in bands)
    part = {yarn: sum(mm for one, mm in bands if one == yarn) / long_mm for yarn, _ in bands}
    assert shares(order, per_cm) == pytest.approx(part)


@unhurried
@given(st.floats(1, 5000), st.floats(1, 5000))
def test_the_shuttles_taken_the_other_way_round_are_the_same(one_m: float, other_m: float) -> None:
    first, second = shuttle_picks(one_m, other_m)
    assert 1 <= first <= 4 and 1 <= second <= 4
    turned = shuttle_picks(other_m, one_m)
    off = (first / second) / (one_m / other_m)
    again = (turned[0] / turned[1]) / (other_m / one_m)
    assert max(off, 1 / off) == pytest.approx(max(again, 1 / again))


def test_millions_of_threads_are_counted_without_being_laid_out() -> None:
    order = order_from_text("((1000 a, 1 b)x999, 7 a | mirror)x400, 3 c", "warp")
    once = 2 * 999 * 1000 + 7
    assert counts(order) == {"a": once * 400, "b": 2 * 999 * 400, "c": 3}
    long = threads_in(order)
    assert counted(order, long - 3)["c"] == 0
    assert counted(order, long * 1 - 2)["c"] == 1
    # one time there: 999 of b, then 7 a, then back
    there = 999 * 1001 + 7
    assert counted(order, there)["b"] == 999
    assert counted(order, there + 1)["b"] == 1000
    assert counted(order, there + 1001) == {"a": 999_000 + 7 + 1000, "b": 1000, "c": 0}
