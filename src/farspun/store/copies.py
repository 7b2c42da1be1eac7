"""Whole copies of a stash file: made while it is in use, looked through, put in their place.

Those farspun makes by itself lie in a folder `backups` beside the stash, named by the time (UTC).
The newest ten are kept. Copies with a name of hers are never cleared away.
"""

import os
import re
import sqlite3
from collections.abc import Callable, Collection, Iterator
from contextlib import closing, contextmanager, suppress
from datetime import UTC, datetime
from glob import escape
from pathlib import Path
from time import monotonic, time

from farspun.errors import ReadOnlyStash, StashError
from farspun.store import files, seal
from farspun.store.trouble import damaged, locked, not_a_stash, read_only, stash_error

FOLDER = "backups"
KEPT = 10  # copies farspun made by itself; judgement
UNFINISHED = ".unfinished"
FORSAKEN_S = 3600  # an unfinished copy this old belongs to a command that was broken off; judgement
BESIDE = ("-wal", "-shm", "-journal")  # what SQLite keeps beside a file in use
TIME = "%Y-%m-%dT%H-%M-%SZ"
WHEN = r"-(\d{4}-\d\d-\d\dT\d\d-\d\d-\d\dZ)(?:-(\d+))?(?:-before-[a-z0-9-]+)?"
MOST_IN_A_SECOND = 1000  # copies; judgement

AnyCopy = tuple[str, int]  # its time, and its number among those of that second


def automatic(
    connection: sqlite3.Connection, stash: Path, why: str = "", spare: Collection[Path] = ()
) -> Path:
    """A copy in the stash's folder of backups, made before `why`; its path.

    Older ones beyond the newest ten are cleared away, but none of `spare`. Raises StashError.
    """
    for copy in _free_names(stash, why):
        with suppress(FileExistsError):
            copy_to(connection, copy, like=stash)
            _clear_away(stash, {copy, *spare})
            return copy
    raise _not_written(folder_of(stash), "it is full")


def copy_to(connection: sqlite3.Connection, copy: Path, like: Path, over: bool = False) -> None:
    """A whole copy of the open stash, as private as the file `like`: all of it, or nothing.

    Raises FileExistsError where `copy` is there (unless `over`), DamagedStash where what is copied
    is damaged, StashError where it cannot be written.
    """
    _clear_unfinished(copy.parent, copy.name)
    unfinished = copy.with_name(f"{copy.name}.{os.getpid()}{UNFINISHED}")
    with _said_of_copy(copy, like):
        try:
            unfinished.touch(mode=0o600)
            with closing(sqlite3.connect(unfinished)) as target:
                _copied(connection, target)
            with closing(files.connect(unfinished, "mode=ro&immutable=1", 0)) as written:
                look_through(written, str(like))
            unfinished.chmod(like.stat().st_mode & 0o777)
            _put(unfinished, copy, over)
        finally:
            for one in _with_those_beside(unfinished):
                one.unlink(missing_ok=True)


def copy_of_bytes(stash: Path, why: str) -> Path:
    """A stash too damaged to be read, byte for byte, with what lies beside it; never cleared away.

    Raises StashError.
    """
    for name in _free_names(stash, why):
        copy = name.with_name(name.name + ".damaged")
        with suppress(FileExistsError), _said_of_copy(copy, stash):
            pairs = zip(_with_those_beside(stash), _with_those_beside(copy), strict=True)
            for one, its_copy in pairs:
                if one.exists():
                    _put_bytes(one, its_copy)
            return copy
    raise _not_written(folder_of(stash), "it is full")


def look_through(connection: sqlite3.Connection, where: str) -> None:
    """Raises DamagedStash unless the file is whole, as SQLite sees it."""
    found = connection.execute("PRAGMA integrity_check(1)").fetchone()[0]
    if found != "ok":
        raise damaged(where, " ".join(found.split()))
    astray = connection.execute("PRAGMA foreign_key_check").fetchone()
    if astray is not None:
        raise damaged(where, f"a row of {astray[0]} belongs to nothing")


@contextmanager
def source(stash: Path, timeout_s: float) -> Iterator[sqlite3.Connection]:
    """The stash, open to be read, to copy from. Raises StashError."""
    with _said_of(stash), closing(files.connect_to_read(stash, timeout_s)) as connection:
        yield connection


def opened(copy: Path, timeout_s: float) -> sqlite3.Connection:
    """A copy read into memory and looked through, as a stash that farspun can use.

    Raises NotAStash, NewerStash, DamagedStash or StashError.
    """
    where = str(copy)
    with _said_of(copy):
        with source(copy, timeout_s) as connection:
            memory = files.copy_in_memory(connection)
        if files.step_in(memory, where) == 0:
            raise not_a_stash(where, "there is nothing in it")
        seal.check(memory, where)
        look_through(memory, where)
    return memory


def put_back(
    content: sqlite3.Connection, stash: Path, timeout_s: float, keep: Callable[[], None]
) -> None:
    """Make the stash hold what `content` holds, in one transaction of its own.

    `keep` is called when no other program can write any more and before anything is changed. A
    program that has the stash open finds the new content at its next look. Raises LockedStash;
    DamagedStash where SQLite cannot open what is there.
    """
    if stash.exists() and not files.may_write(stash):
        raise read_only(str(stash))
    deadline = monotonic() + timeout_s
    kept = False

    def step(status: int, remaining: int, total: int) -> None:
        nonlocal kept
        if status in (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED):
            if monotonic() >= deadline:
                raise locked(str(stash))
        elif status == sqlite3.SQLITE_OK and not kept:
            kept = True
            keep()

    with _said_of(stash), closing(files.connect(stash, "mode=rwc", timeout_s)) as target:
        target.execute("PRAGMA synchronous = FULL")
        target.execute("PRAGMA journal_mode = WAL")
        # page by page: the first takes the writer's lock, and the last ends the transaction
        content.backup(target, pages=1, progress=step, sleep=0.02)


def put_in_place(content: sqlite3.Connection, stash: Path) -> None:
    """Put a new file where one lies that SQLite cannot open."""
    ready = stash.with_name(stash.name + ".restored")
    copy_to(content, ready, like=stash, over=True)
    with _said_of_copy(stash, stash):
        for one in _with_those_beside(stash)[1:]:
            one.unlink(missing_ok=True)
        _put(ready, stash, over=True)


def made(stash: Path) -> list[Path]:
    """The automatic copies of a stash, newest first."""
    try:
        named = {one: _place(stash, one.name) for one in folder_of(stash).iterdir()}
    except OSError:
        return []
    known = [(place, one) for one, place in named.items() if place is not None]
    return [one for _, one in sorted(known, reverse=True)]


def is_automatic(stash: Path, copy: Path) -> bool:
    """Whether a file of that name would be cleared away some day."""
    here = copy.parent.resolve() == folder_of(stash)
    return here and _place(stash, copy.name) is not None


def unfinished(stash: Path) -> list[Path]:
    """What commands that were broken off left in the folder of backups."""
    return sorted(folder_of(stash).glob(f"*{UNFINISHED}"))


def folder_of(stash: Path) -> Path:
    """Where the automatic copies of a stash lie: beside the file itself, not a link to it."""
    return stash.resolve().parent / FOLDER


def _free_names(stash: Path, why: str) -> Iterator[Path]:
    files.make_folder(folder_of(stash))
    real = stash.resolve()
    at = datetime.now(UTC).strftime(TIME)
    reason = f"-before-{why.replace(' ', '-')}" if why else ""
    others = (_place(stash, one.name) for one in made(stash))
    last = max((place[1] for place in others if place and place[0] == at), default=0)
    for number in range(last + 1, last + MOST_IN_A_SECOND):
        numbered = f"-{number}" if number > 1 else ""
        yield folder_of(stash) / f"{real.stem}-{at}{numbered}{reason}{real.suffix}"


def _place(stash: Path, name: str) -> AnyCopy | None:
    """Where an automatic copy stands among the others; None for a name that is none of theirs."""
    real = stash.resolve()
    found = re.fullmatch(re.escape(real.stem) + WHEN + re.escape(real.suffix), name)
    return (found[1], int(found[2] or 1)) if found else None


def _clear_away(stash: Path, spare: Collection[Path]) -> None:
    """Remove all but the newest automatic copies, and what broken-off commands left unfinished."""
    _clear_unfinished(folder_of(stash), stash.resolve().stem)
    for one in made(stash)[KEPT:]:
        with suppress(OSError):
            if not any(one.samefile(other) for other in spare):
                one.unlink()


def _clear_unfinished(folder: Path, begins: str) -> None:
    before = time() - FORSAKEN_S
    with suppress(OSError):
        for one in folder.glob(f"{escape(begins)}*{UNFINISHED}*"):
            if one.stat().st_mtime < before:
                one.unlink(missing_ok=True)


def _with_those_beside(file: Path) -> list[Path]:
    return [file, *(file.with_name(file.name + name) for name in BESIDE)]


def _copied(stash: sqlite3.Connection, target: sqlite3.Connection) -> None:
    """As of one moment; other programs may go on writing."""
    alone = not stash.in_transaction
    if alone:
        stash.execute("BEGIN")
    stash.execute("SELECT count(*) FROM sqlite_master").fetchone()
    stash.backup(target)
    if alone:
        stash.execute("ROLLBACK")


def _put(finished: Path, copy: Path, over: bool) -> None:
    """Give a finished file its name at once, and make sure that the disk knows.

    Raises FileExistsError, where `over` is not said.
    """
    if over:
        finished.replace(copy)
    else:
        _link(finished, copy)
    with suppress(OSError):
        folder = os.open(copy.parent, os.O_RDONLY)
        try:
            os.fsync(folder)
        finally:
            os.close(folder)


def _link(finished: Path, copy: Path) -> None:
    try:
        copy.hardlink_to(finished)
    except FileExistsError:
        raise
    except OSError:  # a disk that knows no links
        if copy.exists():
            raise FileExistsError(copy) from None
        finished.rename(copy)


def _put_bytes(file: Path, copy: Path) -> None:
    with copy.open("xb") as target:
        target.write(file.read_bytes())
        target.flush()
        os.fsync(target.fileno())
    copy.chmod(file.stat().st_mode & 0o777)


@contextmanager
def _said_of(file: Path) -> Iterator[None]:
    """What SQLite complains of becomes a StashError about that file."""
    try:
        yield
    except (sqlite3.Error, UnicodeDecodeError) as trouble:
        plain = stash_error(str(file), trouble)
        if plain is None:
            raise
        raise plain from trouble


@contextmanager
def _said_of_copy(copy: Path, stash: Path) -> Iterator[None]:
    """What goes wrong in writing a copy is said of the copy, what in reading, of the stash."""
    try:
        with _said_of(stash):
            yield
    except FileExistsError:
        raise
    except OSError as trouble:
        raise _not_written(copy, trouble.strerror or str(trouble)) from trouble
    except StashError as trouble:
        if type(trouble) in (StashError, ReadOnlyStash) and trouble.__cause__ is not None:
            raise _not_written(copy, str(trouble.__cause__)) from trouble
        raise


def _not_written(copy: Path, why: str) -> StashError:
    return StashError(
        f"The copy {copy} cannot be written ({why.lower()}).",
        "Look whether there is room, and you may write in that folder. Nothing was changed.",
    )
