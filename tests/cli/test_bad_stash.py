"""A stash that cannot be used: exit code 5, two plain lines, and nothing in it is touched."""

import os
import shutil
import sqlite3
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from cli.running import Desk
from farspun.store import engine
from stashes import farspun, told

WRITE = ("skein", "add", "New", "--mass", "100 g")
READ = ("skein", "list")
NOBODY = 65534  # the user id that owns nothing, by custom


@pytest.fixture
def place(tmp_path: Path) -> Path:
    place = tmp_path / "stash.db"
    farspun(place, "skein", "add", "Gorse", "--mass", "100 g", "--length", "250 m")
    return place


def refused(place: Path | str, *words: str) -> str:
    """What is said when the stash is refused."""
    result = farspun(place, *words)
    assert (result.exit_code, result.stdout) == (5, "")
    first, second = result.stderr.splitlines()
    assert first.endswith(".")
    assert second.endswith(".")
    return result.stderr


@pytest.mark.parametrize("words", [WRITE, READ, ("skein", "show", "Gorse", "--json")])
def test_what_is_no_stash_is_refused(tmp_path, words):
    text, other = tmp_path / "diary.txt", tmp_path / "other.db"
    text.write_text("dear diary, today I spun")
    with sqlite3.connect(other) as foreign:
        foreign.execute("CREATE TABLE recipe (name TEXT)")
    foreign.close()
    assert "it is a folder" in refused(tmp_path, *words)
    assert "some other kind of file" in refused(text, *words)
    assert "another program" in refused(other, *words)
    assert "“gopher://”" in refused("gopher://host/stash", *words)
    assert text.read_text() == "dear diary, today I spun"


def test_a_device_is_no_stash():
    assert "it is not a file" in refused("/dev/null", *READ)


def test_a_later_stash_is_refused(place):
    with sqlite3.connect(place) as later:
        later.execute("INSERT INTO schema_step VALUES (99, 'later', '')")
    later.close()
    for words in (WRITE, READ):
        assert "later farspun" in refused(place, *words)


def test_a_damaged_stash_is_refused_with_what_to_do(place):
    whole = place.read_bytes()
    place.write_bytes(whole[:3000] + b"\xff" * (len(whole) - 3000))
    for words in (WRITE, READ):
        said = refused(place, *words)
        assert "damaged" in said
        assert "latest copy" in said


def test_a_stash_cut_short_is_refused(place):
    place.write_bytes(place.read_bytes()[:5000])
    for words in (WRITE, READ):
        assert "damaged" in refused(place, *words)


def test_a_stash_being_written_is_read_and_not_written(place, monkeypatch):
    monkeypatch.setattr(engine, "BUSY_TIMEOUT_S", 0.05)
    writer = sqlite3.connect(place, isolation_level=None)
    writer.execute("BEGIN IMMEDIATE")
    assert "being written by another program" in refused(place, *WRITE)
    assert [one["name"] for one in told(place, "skein", "list")] == ["Gorse"]
    writer.close()


def test_a_folder_that_is_not_there_is_named(tmp_path):
    assert "there is no folder" in refused(tmp_path / "none" / "stash.db", *WRITE)


@contextmanager
def without_rights() -> Iterator[None]:
    """As a user who owns nothing: root may write anything, whatever a file's mode."""
    if os.geteuid() != 0:
        yield
        return
    os.seteuid(NOBODY)
    try:
        yield
    finally:
        os.seteuid(0)


@pytest.fixture
def shared_place(place: Path) -> Iterator[Path]:
    """The stash in a folder that anyone may enter."""
    with tempfile.TemporaryDirectory() as folder:
        Path(folder).chmod(0o755)
        yield Path(shutil.copy(place, folder))
        Path(folder).chmod(0o755)


@pytest.mark.parametrize(
    ("folder_mode", "file_mode"), [(0o555, 0o444), (0o555, 0o666), (0o777, 0o444)]
)
def test_a_stash_that_may_only_be_read_is_read(shared_place, folder_mode, file_mode):
    shared_place.chmod(file_mode)
    shared_place.parent.chmod(folder_mode)
    with without_rights():
        assert [one["name"] for one in told(shared_place, "skein", "list")] == ["Gorse"]
        assert "can be read but not written" in refused(shared_place, *WRITE)
    assert [one.name for one in shared_place.parent.iterdir()] == ["stash.db"]


def test_a_stash_that_may_not_even_be_read_is_refused(shared_place):
    shared_place.chmod(0o000)
    with without_rights():
        for words in (WRITE, READ):
            assert "cannot be read" in refused(shared_place, *words)


@pytest.mark.parametrize(
    ("line", "code"),
    [
        ("cloth plan Rug --size 30cmx40cm --warp A --weft B", 4),
        ("cloth claim Rug", 4),
        ("cloth change Rug --size 30cmx40cm", 4),
        ("cloth give-up Rug --yes", 4),
        ("skein take Moss 5g", 4),
        ("skein weigh Moss 5g", 4),
        ("skein measure Moss --mass 5g", 4),
        ("skein close Moss --because used", 4),
        ("undo", 2),
        ("backup", 5),
    ],
)
def test_a_command_that_needs_something_in_the_stash_makes_none(tmp_path, line, code):
    desk = Desk(tmp_path)
    desk.refuses(line, code)
    assert list(tmp_path.iterdir()) == []
