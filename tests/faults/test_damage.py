"""A file cut short, and files in which one bit fell over: never a wrong answer, never a traceback.

Every answer is the one the whole file gives, or the stash is said to be damaged, to be no stash, or
to be of a later farspun.
"""

import random
import shlex
import sqlite3
from contextlib import closing
from functools import cache
from pathlib import Path

import pytest

from cli.running import Desk
from faults.nursery import Ended, Nursery, a_place
from faults.outcomes import Outcome
from faults.stash_state import FURNITURE, furnished, made_by

QUESTIONS = (
    "skein list --json",
    "skein history Gorse --json",
    "cloth check --json",
    "loom list --json",
)
WRITING = "skein take Gorse 50m --for Shawl"
EVERYWHERE = 8  # bits of a byte
# more yarn, so that there is hardly a page without something on it
SHELF = (
    *FURNITURE,
    *(f"skein add 'Skein {n}' --mass {60 + n}g --wpi {10 + n % 8}wpi" for n in range(25)),
)


def asked(place: Path, line: str) -> Ended:
    """In this process, for hundreds are asked."""
    desk = Desk(place.parent)
    result = desk.run(line)
    return Ended(result.exit_code, result.stdout, result.stderr)


@cache
def told(content: bytes) -> dict[str, Ended]:
    """What the whole file answers."""
    with a_place(content) as place:
        return {line: asked(place, line) for line in QUESTIONS}


def judged(ended: Ended, whole: Ended) -> str:
    if (ended.code, ended.out) == (0, whole.out):
        return "done"
    assert ended.plain, ended
    return "refused" if ended.code == 5 else "half"


def ask_everything(outcome: Outcome, content: bytes, whole: bytes) -> None:
    """Every question, each of a file that nobody opened before, and a command that writes."""
    for line in QUESTIONS:
        with a_place(content) as place:
            outcome.count(judged(asked(place, line), told(whole)[line]))
    with a_place(content) as place:
        ended = asked(place, WRITING)
        assert ended.code == 0 or ended.plain, ended
        # it may be written where nothing that counts is hurt; then the answers are as of the whole
        with a_place(whole) as unhurt:
            asked(unhurt, WRITING)
            expected = asked(unhurt, QUESTIONS[0]).out
        if ended.code == 0:
            outcome.count("done" if asked(place, QUESTIONS[0]).out == expected else "half")
        else:
            outcome.count("refused" if place.read_bytes() == content else "half")


@pytest.mark.parametrize("times", [25, pytest.param(100, marks=pytest.mark.long)])
def test_one_bit_that_fell_over(times: int) -> None:
    whole = made_by(SHELF)
    chance = random.Random(times)
    outcome = Outcome("one bit that fell over", "anywhere in the file")
    for _ in range(times):
        at, bit = chance.randrange(len(whole)), chance.randrange(EVERYWHERE)
        content = bytearray(whole)
        content[at] ^= 1 << bit
        ask_everything(outcome, bytes(content), whole)
    outcome.tell()


def test_one_bit_that_fell_over_in_the_head() -> None:
    """The first hundred bytes say how the rest is to be read."""
    whole = furnished()
    outcome = Outcome("one bit that fell over in the head", "the first 100 bytes")
    for at in range(100):
        content = bytearray(whole)
        content[at] ^= 1 << (at % EVERYWHERE)
        with a_place(bytes(content)) as place:
            outcome.count(judged(asked(place, QUESTIONS[0]), told(whole)[QUESTIONS[0]]))
    outcome.tell()


def test_one_bit_that_fell_over_in_what_she_wrote() -> None:
    """Inside a name, a number or a note, where SQLite itself sees nothing amiss."""
    whole = furnished()
    outcome = Outcome("one bit that fell over in what she wrote", "names and readings")
    for word in (b"Gorse", b"Heather", b"Shawl", b"wool", b"900 g", b"counted", b"unwashed"):
        places = [at for at in range(len(whole)) if whole.startswith(word, at)]
        assert places
        for at in places:
            content = bytearray(whole)
            content[at + 1] ^= 1
            with a_place(bytes(content)) as place:
                ended = asked(place, QUESTIONS[0])
                assert ended.plain, ended
                assert "damaged" in ended.err
                outcome.count("refused")
    outcome.tell()


def test_a_file_cut_short() -> None:
    whole = furnished()
    outcome = Outcome("a file cut short", "at 40 places")
    chance = random.Random(1)
    lengths = [1, 15, 16, 99, 100, 4095, 4096, 4097, 8192, len(whole) - 1, len(whole) - 4096]
    lengths += [chance.randrange(len(whole)) for _ in range(29)]
    for length in lengths:
        content = whole[:length]
        with a_place(content) as place:
            outcome.count(judged(asked(place, QUESTIONS[0]), told(whole)[QUESTIONS[0]]))
        with a_place(content) as place:
            ended = asked(place, WRITING)
            if content.ljust(len(whole), b"\0") == whole:
                # only noughts at the end of the last page are lacking, and SQLite reads them so
                assert ended.code == 0, ended
                outcome.count("done")
                continue
            assert ended.plain, ended
            outcome.count("refused" if place.read_bytes() == content else "half")
    outcome.tell()


def test_a_log_beside_the_stash_cut_short(nursery: Nursery) -> None:
    """What SQLite writes first: cut off, the last command is not there, and all before it is."""
    outcome = Outcome("a log beside the stash cut short", "at 12 places")
    with a_place(furnished()) as place:
        before = asked(place, QUESTIONS[0]).out
        with closing(sqlite3.connect(place, isolation_level=None)) as reader:
            # one who reads the old state keeps the log from being folded in
            reader.execute("BEGIN")
            reader.execute("SELECT count(*) FROM skein").fetchone()
            assert nursery.run(place, *shlex.split(WRITING)).code == 0
            log = place.with_name("stash.db-wal").read_bytes()
            content = place.read_bytes()
        after = asked(place, QUESTIONS[0]).out
    assert content == furnished()
    for part in range(13):
        with a_place(content) as place:
            place.with_name("stash.db-wal").write_bytes(log[: len(log) * part // 12])
            expected, kind = (after, "done") if part == 12 else (before, "cut_off")
            outcome.count(kind if asked(place, QUESTIONS[0]).out == expected else "half")
    outcome.tell()
