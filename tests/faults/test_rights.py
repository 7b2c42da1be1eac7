"""Somebody without the right to write: a file, a folder, or a disk that may only be read."""

import shlex
from pathlib import Path

import pytest

from farspun.store import copies
from faults.nursery import Ended, Nursery, a_place
from faults.outcomes import Outcome
from faults.stash_state import FURNITURE, furnished, made_by, rows

WRITING = (
    "skein add Nettle --mass 50g",
    "skein take Gorse 50m --for Shawl",
    "cloth give-up Shawl --yes",
    "undo",
    "backup",
    "restore {folder}/mine.db --yes",
)
READING = ("skein list --json", "cloth check --json", "skein history Gorse --json")
MODES = {
    "the file may only be read": (0o777, 0o444),
    "the folder may only be read": (0o555, 0o666),
    "file and folder may only be read": (0o555, 0o444),
}


def run(nursery: Nursery, place: Path, line: str) -> Ended:
    """As somebody who owns nothing where root runs these tests, else as whoever runs them."""
    return nursery.run(place, *shlex.split(line.format(folder=place.parent)), nobody=True)


def lay_out(place: Path, folder_mode: int, file_mode: int) -> None:
    mine = place.parent / "mine.db"
    mine.write_bytes(made_by(FURNITURE[:1]))
    for one in (place, mine):
        one.chmod(file_mode)
    place.parent.chmod(folder_mode)


@pytest.mark.parametrize("modes", MODES)
def test_what_may_only_be_read_is_read_and_writing_is_refused(nursery: Nursery, modes: str) -> None:
    outcome = Outcome("what may only be read is read and writing is refused", modes)
    for line in WRITING:
        with a_place(furnished()) as place:
            lay_out(place, *MODES[modes])
            before = rows(place)
            beside = {one.name for one in place.parent.iterdir()}
            ended = run(nursery, place, line)
            if line == "backup" and "folder" not in modes:
                assert ended.code == 0, ended  # a copy beside it is possible
                assert len(copies.made(place)) == 1
                outcome.count("done")
                continue
            assert ended.plain, ended
            assert ended.code == 5
            same = rows(place) == before and {one.name for one in place.parent.iterdir()} == beside
            assert same, (line, list(place.parent.rglob("*")))
            outcome.count("refused" if same else "half")
    outcome.tell()


@pytest.mark.parametrize("modes", MODES)
def test_reading_answers_as_ever_without_the_right_to_write(nursery: Nursery, modes: str) -> None:
    outcome = Outcome("reading answers as ever without the right to write", modes)
    for line in READING:
        with a_place(furnished()) as place:
            told = nursery.run(place, *shlex.split(line)).out
            lay_out(place, *MODES[modes])
            ended = run(nursery, place, line)
            outcome.count("done" if (ended.code, ended.out) == (0, told) else "half")
    outcome.tell()


def test_what_may_not_even_be_read_is_refused(nursery: Nursery) -> None:
    outcome = Outcome("what may not even be read is refused", "no right to read")
    for line in (*WRITING, *READING, "doctor"):
        with a_place(furnished()) as place:
            lay_out(place, 0o777, 0o000)
            ended = run(nursery, place, line)
            assert ended.plain, ended
            place.chmod(0o644)
            outcome.count("refused" if place.read_bytes() == furnished() else "half")
    outcome.tell()


def test_the_doctor_says_who_may_not_write(nursery: Nursery) -> None:
    outcome = Outcome("the doctor says who may not write", "the file may only be read")
    with a_place(furnished()) as place:
        lay_out(place, 0o755, 0o444)
        ended = run(nursery, place, "doctor")
        assert ended.code == 5
        assert f"You may read {place} and not write it." in ended.out
        outcome.count("done")
    outcome.tell()
