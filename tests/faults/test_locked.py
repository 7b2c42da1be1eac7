"""Another program holds the stash: it is waited for, and then the command says so."""

import sqlite3
import threading
import time
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path

import pytest

from farspun.store import copies
from farspun.store.engine import BUSY_TIMEOUT_S
from faults.nursery import Nursery, a_place
from faults.outcomes import Outcome
from faults.stash_state import FURNITURE, furnished, made_by, rows

WRITING = (
    ("skein", "add", "Nettle", "--mass", "50g"),
    ("skein", "take", "Gorse", "50m", "--for", "Shawl"),
    ("cloth", "give-up", "Shawl", "--yes"),
    ("undo",),
    ("restore", "mine.db", "--yes"),
)
SHORT_S = 0.2  # as long as the tests of every day wait


@contextmanager
def held(place: Path) -> Iterator[sqlite3.Connection]:
    """The stash, being written by this process."""
    with closing(sqlite3.connect(place, isolation_level=None, check_same_thread=False)) as other:
        other.execute("BEGIN IMMEDIATE")
        yield other


def at(place: Path, words: tuple[str, ...]) -> list[str]:
    """The words, with the copy's whole name."""
    mine = place.parent / "mine.db"
    mine.write_bytes(made_by(FURNITURE[:2]))
    return [str(mine) if word == "mine.db" else word for word in words]


@pytest.mark.parametrize(
    "patience_s", [SHORT_S, pytest.param(BUSY_TIMEOUT_S, marks=pytest.mark.long)]
)
@pytest.mark.parametrize("words", WRITING, ids=" ".join)
def test_a_stash_held_longer_than_that_is_said_to_be_held(
    nursery: Nursery, words: tuple[str, ...], patience_s: float
) -> None:
    outcome = Outcome("a stash held longer than that is said to be held", words[0])
    with a_place(furnished()) as place, held(place) as other:
        before = rows(place)
        began = time.monotonic()
        ended = nursery.run(place, *at(place, words), patience_s=patience_s)
        assert time.monotonic() - began > 0.4 * patience_s  # SQLite looks now and then
        assert ended.plain, ended
        assert "is being written by another program" in ended.err
        other.execute("ROLLBACK")
        same = rows(place) == before and not copies.made(place)
        outcome.count("refused" if same else "half")
    outcome.tell()


@pytest.mark.parametrize("held_s", [SHORT_S, pytest.param(9.0, marks=pytest.mark.long)])
@pytest.mark.parametrize("words", WRITING, ids=" ".join)
def test_a_stash_let_go_in_time_is_written(
    nursery: Nursery, words: tuple[str, ...], held_s: float
) -> None:
    outcome = Outcome("a stash let go in time is written", words[0])
    with a_place(furnished()) as place, held(place) as other:
        before = rows(place)
        let_go = threading.Timer(held_s, other.execute, ["ROLLBACK"])
        let_go.start()
        ended = nursery.run(place, *at(place, words), patience_s=BUSY_TIMEOUT_S)
        let_go.join()
        assert ended.code == 0, ended
        outcome.count("done" if rows(place) != before else "lost")
    outcome.tell()


def test_a_stash_being_written_is_read_and_copied_as_it_was(nursery: Nursery) -> None:
    outcome = Outcome("a stash being written is read and copied as it was", "skein list, backup")
    with a_place(furnished()) as place:
        told = nursery.run(place, "skein", "list", "--json").out
        before = rows(place)
        with held(place) as other:
            other.execute("UPDATE skein SET note = 'unfinished'")
            ended = nursery.run(place, "skein", "list", "--json", patience_s=SHORT_S)
            outcome.count("done" if (ended.code, ended.out) == (0, told) else "half")
            assert nursery.run(place, "backup", patience_s=SHORT_S).code == 0
        (copy,) = copies.made(place)
        outcome.count("done" if rows(copy) == before else "half")
    outcome.tell()
