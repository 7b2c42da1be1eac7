"""What holds of any draft, however it is written."""

import numpy as np
from hypothesis import example, given
from hypothesis import strategies as st

from farspun.cli.draft_drawing import LINE, drawing
from farspun.craft.draft import Draft, draft_of, longest_floats
from farspun.craft.draft_on_loom import on_rigid_heddle
from farspun.craft.draft_text import draft_from_text, draft_text
from farspun.craft.interlacement import Weave
from farspun.craft.weave import satin_moves, weave
from farspun.errors import FarspunError

SMALL = st.integers(1, 8)
PARTS = st.tuples(SMALL, SMALL)
TURNS = st.integers(16, 24)  # every shaft is threaded before the twill turns
WORDS = (
    *("threading", "tie-up", "treadling", "lift plan", "sinking", "\n", "\n", "\n", " ", ":", "# "),
    *("1", "2", "3", "0", "129", "1: 1", "2: 2", "1+2", "#.", ".#", "#", ".", "x", ",", "\t", "\r"),
)


@st.composite
def _satins(draw: st.DrawFn) -> str:
    ends = draw(st.integers(5, 24).filter(satin_moves))
    return f"{ends}-end satin {draw(st.sampled_from(satin_moves(ends)))}"


NAMED = st.one_of(
    st.just("plain"),
    PARTS.map(lambda ab: "{}/{} twill".format(*ab)),
    PARTS.map(lambda ab: "{}/{} S twill".format(*ab)),
    PARTS.map(lambda ab: "basket {}x{}".format(*ab)),
    PARTS.map(lambda ab: "warp rib {}/{}".format(*ab)),
    PARTS.map(lambda ab: "weft rib {}/{}".format(*ab)),
    st.builds("herringbone {0[0]}/{0[1]} x{1}".format, PARTS, TURNS),
    st.builds("point {0[0]}/{0[1]} x{1}".format, PARTS, TURNS),
    _satins(),
).map(weave)


@st.composite
def _drafts(draw: st.DrawFn) -> Draft:
    """Nothing lies loose: every pick leaves a shaft, and of one pick there is the opposite too."""
    shafts = draw(st.integers(2, 6))
    every = frozenset(range(1, shafts + 1))
    threading = (*every, *draw(st.lists(st.sampled_from(sorted(every)), max_size=6)))
    threading = tuple(draw(st.permutations(threading)))
    some = st.frozensets(st.sampled_from(sorted(every)), min_size=1, max_size=shafts - 1)
    lifts = draw(st.lists(some, min_size=1, max_size=6))
    lifts = draw(st.permutations([*lifts, every - lifts[0]]))
    way = draw(st.sampled_from(("lift plan", "a treadle a lift", "a treadle a shaft")))
    if way == "lift plan":
        return Draft(threading, lift_plan=tuple(lifts))
    sinking = draw(st.booleans())
    moved = [every - lift if sinking else lift for lift in lifts]
    if way == "a treadle a shaft":
        order = draw(st.permutations(sorted(every)))
        tie_up = tuple(frozenset({shaft}) for shaft in order)
        trodden = tuple(frozenset(order.index(one) + 1 for one in shafts) for shafts in moved)
    else:
        tie_up = tuple(dict.fromkeys([*moved, *draw(st.lists(some, max_size=2))]))
        trodden = tuple(frozenset({tie_up.index(shafts) + 1}) for shafts in moved)
    return Draft(threading, tie_up, trodden, sinking=sinking)


DRAFTS = _drafts()


def drawn_text(draft: Draft) -> str:
    """The same draft drawn in marks, each part put together by hand."""

    def row(cells: list[bool]) -> str:
        return " ".join("#" if cell else "." for cell in cells)

    shafts = range(draft.shafts, 0, -1)
    lines = ["threading", *(row([one == shaft for one in draft.threading]) for shaft in shafts)]
    if draft.lift_plan:
        lines += ["lift plan"]
        lines += [row([shaft in up for shaft in shafts[::-1]]) for up in draft.lift_plan]
        return "\n".join(lines)
    lines += ["tie-up", *(row([shaft in tied for tied in draft.tie_up]) for shaft in shafts)]
    treadles = range(1, draft.treadles + 1)
    lines += ["treadling"]
    lines += [row([treadle in pick for treadle in treadles]) for pick in draft.treadling]
    return "\n".join([*lines, "sinking"] if draft.sinking else lines)


def by_matrices(draft: Draft) -> np.ndarray:
    """The cloth as the product of treadling, tie-up and threading."""
    shafts = range(1, draft.shafts + 1)
    threading = np.array([[one == shaft for one in draft.threading] for shaft in shafts], dtype=int)
    if draft.lift_plan:
        lifts = np.array([[shaft in up for shaft in shafts] for up in draft.lift_plan], dtype=int)
        return lifts @ threading > 0
    ties = np.array([[shaft in tied for shaft in shafts] for tied in draft.tie_up], dtype=int)
    treadles = range(1, draft.treadles + 1)
    trodden = np.array([[one in pick for one in treadles] for pick in draft.treadling], dtype=int)
    marked = trodden @ ties @ threading > 0
    return ~marked if draft.sinking else marked


@given(NAMED)
def test_the_draft_of_a_named_weave_gives_that_weave_back(found: Weave) -> None:
    draft = draft_of(found)
    assert draft.interlacement == found.interlacement
    assert weave(draft.weave_text).interlacement == found.interlacement
    assert draft.shafts == len({tuple(column) for column in found.up.T.tolist()})
    assert draft.treadles == len({tuple(row) for row in found.up.tolist()})
    assert len(draft.alike) == draft.shafts


@given(DRAFTS)
def test_the_cloth_of_a_draft_is_treadling_times_tie_up_times_threading(draft: Draft) -> None:
    assert np.array_equal(draft.weave.up, by_matrices(draft))
    assert draft.as_lift_plan().interlacement == draft.interlacement


@given(DRAFTS)
def test_a_draft_written_in_numbers_or_drawn_in_marks_reads_back(draft: Draft) -> None:
    assert draft_from_text(draft_text(draft)) == draft
    assert draft_from_text(drawn_text(draft)) == draft


@given(DRAFTS)
def test_put_on_the_fewest_shafts_a_draft_weaves_the_same(draft: Draft) -> None:
    few = draft_of(draft.weave)
    assert few.interlacement == draft.interlacement
    assert few.shafts == len(draft.alike) <= draft.shafts


@given(DRAFTS)
def test_two_rigid_heddles_weave_whatever_three_shafts_weave(draft: Draft) -> None:
    way, few = on_rigid_heddle(draft), len(draft.alike)
    assert (way is None) == (few > 3)
    if way is not None:
        assert way.heddles == (1 if few == 2 else 2)
        assert len(set(way.places)) == few
        assert len(way.moves) == len(draft.lifts)


@given(DRAFTS)
def test_the_floats_of_both_sides_have_the_longest_among_them(draft: Draft) -> None:
    found, floats = draft.weave, longest_floats(draft.weave)
    assert max(floats.warp_on_face, floats.warp_on_back) == found.longest_warp_float
    assert max(floats.weft_on_face, floats.weft_on_back) == found.longest_weft_float
    other = longest_floats(Weave("turned over", tuple(map(tuple, (~found.up).tolist()))))
    assert (other.warp_on_face, other.weft_on_face) == (floats.warp_on_back, floats.weft_on_back)


@given(st.one_of(DRAFTS, NAMED.map(draft_of)))
def test_no_line_of_a_drawing_is_wider_than_the_screen(draft: Draft) -> None:
    lines = list(drawing(draft))
    assert max(map(len, lines)) <= LINE
    cloth = {"#", "."} & set("".join(lines))
    assert cloth == {"#", "."}


@st.composite
def _spoilt(draw: st.DrawFn) -> str:
    """A good draft with a few letters put in, left out or changed."""
    text = draw(DRAFTS.map(draft_text) | DRAFTS.map(drawn_text))
    for _ in range(draw(st.integers(1, 4))):
        at, to = sorted(draw(st.tuples(*[st.integers(0, len(text))] * 2)))
        text = text[:at] + draw(st.sampled_from(["", *WORDS])) + text[min(to, at + 3) :]
    return text


ANY = st.text(max_size=80) | st.lists(st.sampled_from(WORDS), max_size=40).map("".join) | _spoilt()


@given(ANY)
@example("threading 1 2\nlift plan\n1: 1\n2: 2")
@example("threading ,\nlift plan\n1: 1")
@example("threading 1 2\ntie-up\n1: ,\n2: 2\ntreadling , 1 2")
@example("threading " + "9" * 5000)
@example("threading\n" + "#." * 500 + "\ntie-up\n#\ntreadling\n#")
@example("threading\n" + ("#" + " " * 50) * 300)
def test_any_text_is_a_draft_or_is_refused_in_words(text: str) -> None:
    try:
        draft = draft_from_text(text)
    except FarspunError as refused:
        assert refused.hint
        assert len(refused.message) < 400
    else:
        assert draft_from_text(draft_text(draft)) == draft
