"""Whatever is told of a cloth, in whatever order: the ledger and the scale agree, the order of
telling changes nothing, and a correction stands as if it had been told at once."""

from collections.abc import Sequence
from dataclasses import fields, replace
from functools import cache
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cli.running import furnished
from doings import a_folder, hangs_together
from farspun.craft.woven import Told
from farspun.errors import FarspunError
from farspun.services import life, showing
from farspun.services.lessons import lessons
from farspun.services.taught import taught
from farspun.store.engine import Stash, reading
from farspun.units import mass
from lives import PLAN, woven
from properties.tried import tried

PLANNED = PLAN.replace('"Gorse 1"', '"Gorse 1" --warp "Gorse 2"')
TOLD = Told(
    ends=144, warp_cm=250.0, thrums_cm=58.0, spare_cm=3.0, tape_cm=178.0, picks_per_cm=3.2,
    picks_state="rested", off_width_cm=45.0, off_length_cm=170.0, washed_width_cm=40.0,
    washed_length_cm=155.0, wash="hot", mass_g=170.0,
)  # fmt: skip
NAMES = tuple(entry.name for entry in fields(Told) if getattr(TOLD, entry.name) is not None)
# what goes together in one option
TOGETHER = (
    *(("ends",), ("warp_cm",), ("thrums_cm", "spare_cm"), ("tape_cm",)),
    *(("picks_per_cm", "picks_state"), ("off_width_cm", "off_length_cm")),
    *(("washed_width_cm", "washed_length_cm", "wash"), ("mass_g",)),
)


@cache
def finished() -> bytes:
    """A cloth that was finished, of which nothing was measured."""
    with a_folder() as folder:
        desk = furnished(folder)
        desk.does(
            PLANNED, "cloth wound Shawl", "cloth on-loom Shawl", "cloth off-loom Shawl",
            "cloth finished Shawl",
        )  # fmt: skip
        return desk.stash.read_bytes()


@cache
def planned() -> bytes:
    with a_folder() as folder:
        desk = furnished(folder)
        desk.does(PLANNED)
        return desk.stash.read_bytes()


def at(folder: Path, content: bytes) -> Stash:
    (folder / "stash.db").write_bytes(content)
    return Stash(path=folder / "stash.db")


def some_of(names: Sequence[str], told: Told = TOLD) -> Told:
    return Told(**{name: getattr(told, name) for name in names})


def seen(stash: Stash) -> list[tuple[str, str, float, float, str]]:
    """`y` to nine places: what is left of the skeins sums up another way."""
    with reading(stash) as connection:
        found = taught(connection).seen
    return [(one.stage, one.factor, one.observed, round(one.y, 9), one.group) for one in found]


def grams(stash: Stash) -> dict[str, float]:
    return {one.name: one.mass_g or 0.0 for one in showing.show_all(stash)}


@cache
def told_at_once() -> tuple[Any, Any]:
    with a_folder() as folder:
        stash = at(folder, finished())
        life.advance(stash, "Shawl", "finished", TOLD, "")
        return seen(stash), grams(stash)


@tried(3)
@given(order=st.permutations(TOGETHER), cuts=st.sets(st.integers(1, len(TOGETHER) - 1), max_size=3))
def test_the_order_in_which_a_cloth_is_told_changes_nothing(order, cuts):
    with a_folder() as folder:
        stash = at(folder, finished())
        bounds = [0, *sorted(cuts), len(order)]
        for start, end in pairwise(bounds):
            names = [name for group in order[start:end] for name in group]
            life.advance(stash, "Shawl", "finished", some_of(names), "")
        observed, left = told_at_once()
        assert seen(stash) == observed
        assert grams(stash) == pytest.approx(left, abs=0.3)  # half a metre is not corrected


@tried(3)
@given(
    wrong=st.lists(
        st.tuples(st.sampled_from(TOGETHER), st.sampled_from((0.5, 0.9, 1.1, 1.5))), max_size=3
    )
)
def test_a_correction_stands_as_if_it_had_been_told_at_once(wrong):
    with a_folder() as folder:
        stash = at(folder, finished())
        for names, times in wrong:
            slip = {
                name: int(value * times) if isinstance(value, int) else value * times
                for name in names
                if isinstance(value := getattr(TOLD, name), int | float)
            }
            try:
                life.advance(stash, "Shawl", "finished", Told(**slip), "")
            except FarspunError:
                continue  # a part that does not fit by itself
        life.advance(stash, "Shawl", "finished", TOLD, "")
        observed, left = told_at_once()
        assert seen(stash) == observed
        assert grams(stash) == pytest.approx(left, abs=0.3)


MASSES = st.sampled_from((None, "0 g", "2 g", "20 g", "55.5 g", "100 g", "149 g"))
STEPS = ("wound", "on-loom", "off-loom", "off-loom", "finished", "finished")


@tried(3)
@given(
    told=st.lists(
        st.tuples(st.sets(st.sampled_from(TOGETHER), max_size=2), MASSES, MASSES, st.booleans()),
        min_size=len(STEPS),
        max_size=len(STEPS),
    )
)
def test_used_and_left_are_what_was_had_at_every_step(told):
    with a_folder() as folder:
        stash = at(folder, planned())
        had = grams(stash)
        for stage, (groups, warp_left, weft_left, tare) in zip(STEPS, told, strict=True):
            names = [name for group in groups for name in group]
            left = [("Gorse 1", warp_left), ("Driftwood", weft_left)]
            on_scale = [(name, mass(text, zero=True)) for name, text in left if text is not None]
            tube = mass("1 g") if tare and on_scale else None
            before = grams(stash)
            try:
                step = life.advance(stash, "Shawl", stage, some_of(names), "", on_scale, tube)
            except FarspunError:
                assert grams(stash) == before
                life.advance(stash, "Shawl", stage, Told(), "")  # refused: only the step itself
                continue
            now = grams(stash)
            for name, went in step.used_g.items():
                assert before[name] - now[name] == pytest.approx(went, abs=1e-6)
            for name, scale in on_scale:
                net = 0.0 if scale.value == 0 else scale.value - (1.0 if tube else 0.0)
                assert now[name] == pytest.approx(net, abs=1e-6)
            hangs_together(stash)
        assert grams(stash).keys() == had.keys()


@tried(2)
@given(order=st.permutations(range(3)).filter(lambda order: order != [0, 1, 2]))
def test_the_order_in_which_cloths_are_finished_changes_no_belief(order):
    with a_folder() as folder:
        desk = furnished(folder)
        for number in order:
            woven(desk, f"Runner {number}", 84 + 2 * number)
        found = lessons(Stash(path=desk.stash))
        assert _beliefs(found) == pytest.approx(_in_order(), rel=1e-12)


@cache
def _in_order() -> Any:
    with a_folder() as folder:
        desk = furnished(folder)
        for number in range(3):
            woven(desk, f"Runner {number}", 84 + 2 * number)
        return _beliefs(lessons(Stash(path=desk.stash)))


def _beliefs(found: Any) -> dict[str, float]:
    return {
        f"{one.factor} {belief.group} {name}": getattr(belief.now, name)
        for one in found.factors
        for belief in one.beliefs
        for name in ("mean", "sd")
    }


@given(
    first=st.sets(st.sampled_from(NAMES)),
    second=st.sets(st.sampled_from(NAMES)),
    third=st.sets(st.sampled_from(NAMES)),
)
def test_corrections_of_what_was_told_may_be_joined_in_any_way(first, second, third):
    other = replace(TOLD, ends=1, warp_cm=1.0, wash="none", picks_state="tight")
    a, b, c = some_of(sorted(first)), some_of(sorted(second), other), some_of(sorted(third))
    assert a.corrected(b).corrected(c) == a.corrected(b.corrected(c))
    assert a.corrected(Told()) == Told().corrected(a) == a.corrected(a) == a
