"""Any commands and any undos leave a stash that hangs together, and undo goes back exactly."""

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from doings import DOINGS, LIVED, PRELUDE, a_folder, do, do_all, hangs_together, seen
from farspun.services.undoing import undo
from farspun.store.engine import Stash
from properties.tried import tried

UNDO = ("undo", 0, "7 g", "271 m", 0)


def undone_again(before: list, after: list) -> None:
    """As many undos as commands were done leave what was there before them."""
    with a_folder() as folder:
        stash = Stash(path=folder / "stash.db")
        do_all(stash, before)
        was = seen(stash)
        done = do_all(stash, [doing for doing in after if doing[0] != "undo"])
        for _ in range(done):
            undo(stash)
        assert seen(stash) == was
        if stash.exists:
            hangs_together(stash)


def done_and_looked_at(doings: list) -> None:
    """The stash hangs together after each thing."""
    with a_folder() as folder:
        stash = Stash(path=folder / "stash.db")
        do_all(stash, PRELUDE)
        for doing in doings:
            do(stash, *doing)
            hangs_together(stash)


@tried(3)
@given(before=DOINGS, after=DOINGS)
def test_undoing_as_many_commands_as_were_done_leaves_what_was_before(before, after):
    undone_again([*PRELUDE, *before], after)


@tried(3)
@given(after=DOINGS)
def test_everything_can_be_taken_back_to_an_empty_stash(after):
    undone_again([], [*PRELUDE, *after])


@tried(3)
@given(doings=DOINGS, undos=st.integers(0, 6))
def test_whatever_is_done_and_undone_the_stash_hangs_together(doings, undos):
    done_and_looked_at([*doings, *[UNDO] * undos])


def test_a_whole_life_of_a_cloth_goes_back_step_by_step():
    with a_folder() as folder:
        stash = Stash(path=folder / "stash.db")
        assert do_all(stash, PRELUDE) == len(PRELUDE)
        were = []
        for doing in LIVED:
            were.append(seen(stash))
            assert do(stash, *doing), doing
            hangs_together(stash)
        for was in reversed(were):
            undo(stash)
            assert seen(stash) == was
            hangs_together(stash)


@tried(2)
@given(after=DOINGS)
@example(after=[("confirm", 1, "7 g", "95.5 m", 5)])  # it counted already: nothing is stored
def test_what_comes_after_a_whole_life_goes_back_to_it(after):
    undone_again([*PRELUDE, *LIVED], after)


@pytest.mark.long
@tried(100)
@given(before=DOINGS, after=DOINGS)
def test_undo_goes_back_exactly_a_hundred_times(before, after):
    undone_again([*PRELUDE, *before], after)


@pytest.mark.long
@tried(100)
@given(doings=DOINGS, undos=st.integers(0, 6))
def test_the_stash_hangs_together_a_hundred_times(doings, undos):
    done_and_looked_at([*doings, *[UNDO] * undos])
