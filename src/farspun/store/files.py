"""The stash as a file: whether it is one, which schema it has, and opening it, even where nothing
may be written."""

import errno
import os
import sqlite3
from pathlib import Path

from farspun.errors import NewerStash, StashError
from farspun.store import migrations
from farspun.store.trouble import MAGIC, damaged, not_a_stash, read_only

APPLICATION_ID = 0x66617273  # in the file's head: "fars"
SMALLEST_PAGE = 512  # bytes; no SQLite file with anything in it is smaller


def is_there(path: Path) -> bool:
    """False where there is no file or an empty one; raises StashError for what cannot be one.

    A file that may be a stash is never opened but by SQLite: on POSIX systems closing a file lets
    go of every lock this process has on it, also of those of a transaction that is going on.
    """
    where = str(path)
    try:
        if not path.exists():
            return False
        if not path.is_file():
            raise not_a_stash(where, "it is a folder" if path.is_dir() else "it is not a file")
        size = path.stat().st_size
    except OSError as trouble:
        raise _unreadable(where, trouble.strerror) from trouble
    if not _may(path, os.R_OK):
        raise _unreadable(where, os.strerror(errno.EACCES))
    if 0 < size < SMALLEST_PAGE:
        # SQLite would take it for an empty one
        if MAGIC.startswith(path.read_bytes()[: len(MAGIC)]):
            raise damaged(where, f"only {size} bytes of it are left")
        raise not_a_stash(where, "it is some other kind of file")
    return size > 0


def _unreadable(where: str, why: str | None) -> StashError:
    return StashError(
        f"The stash {where} cannot be read ({why}).",
        "Look whether you have the right to read it.",
    )


def connect(path: Path, options: str, timeout_s: float) -> sqlite3.Connection:
    """A connection that begins no transaction by itself; `options` as in an SQLite file address."""
    return sqlite3.connect(
        f"{path.absolute().as_uri()}?{options}",
        uri=True,
        isolation_level=None,
        timeout=timeout_s,
        check_same_thread=False,
    )


def connect_to_write(path: Path, timeout_s: float) -> sqlite3.Connection:
    """Made if it is not there; foreign keys, write-ahead log, safe against power loss.

    Raises StashError, and leaves what is not a stash as it was.
    """
    if not path.parent.is_dir():
        raise StashError(
            f"The stash {path} cannot be made: there is no folder {path.parent}.",
            "Make the folder first, or name another place with --stash.",
        )
    if path.exists() and not may_write(path):
        raise read_only(str(path))
    connection = connect(path, "mode=rwc", timeout_s)
    try:
        step_in(connection, str(path))
        connection.execute("PRAGMA foreign_keys = ON")
        connection.execute("PRAGMA synchronous = FULL")
        if connection.execute("PRAGMA journal_mode").fetchone()[0] != "wal":
            connection.execute("PRAGMA journal_mode = WAL")
    except BaseException as trouble:
        connection.close()
        if "unable to open" in str(trouble) and path.exists():
            raise read_only(str(path)) from trouble
        raise
    return connection


def connect_to_read(path: Path, timeout_s: float) -> sqlite3.Connection:
    """A connection that writes nothing, also where file or folder may not be written.

    Reading alongside a writer needs two small files beside the stash. One who may not write the
    stash must not leave them there, so where no writer has made them it is opened as a file that
    does not change.
    """
    at_rest = not path.with_name(path.name + "-wal").exists()
    if at_rest and not may_write(path):
        return _connect_to_file_at_rest(path, timeout_s)
    connection = connect(path, "mode=rw", timeout_s)
    try:
        connection.execute("SELECT count(*) FROM sqlite_master")
    except sqlite3.OperationalError as trouble:
        connection.close()
        if "unable to open" not in str(trouble) and "readonly" not in str(trouble):
            raise
        if not at_rest:
            raise read_only(str(path)) from trouble
        return _connect_to_file_at_rest(path, timeout_s)
    connection.execute("PRAGMA query_only = ON")
    return connection


def _connect_to_file_at_rest(path: Path, timeout_s: float) -> sqlite3.Connection:
    return connect(path, "mode=ro&immutable=1", timeout_s)


def may_write(path: Path) -> bool:
    """Whether this person may write the file."""
    return _may(path, os.W_OK)


def _may(path: Path, what: int) -> bool:
    return os.access(path, what, effective_ids=os.access in os.supports_effective_ids)


def step_in(connection: sqlite3.Connection, where: str) -> int:
    """The schema step of the stash, 0 for a file without any tables.

    Raises NotAStash, NewerStash or DamagedStash.
    """
    # one transaction: another program may be making the stash at this moment
    connection.execute("BEGIN")
    tables = {row[0] for row in connection.execute("SELECT name FROM sqlite_master")}
    mark = connection.execute("PRAGMA application_id").fetchone()[0]
    named = "schema_step" in tables
    numbers = "SELECT max(number) FROM schema_step" if named else "SELECT 0"
    step = connection.execute(numbers).fetchone()[0] or 0
    connection.execute("ROLLBACK")
    if not tables and mark == 0:
        return 0
    if mark != APPLICATION_ID:
        raise not_a_stash(where, "it is the database of another program")
    if step < 1:
        raise damaged(where, "its schema is not named")
    if step > migrations.NEWEST:
        raise NewerStash(
            f"The stash {where} was written by a later farspun"
            f" (its schema is step {step}, this one knows {migrations.NEWEST}).",
            "Use the later farspun, or the copy made before it changed the stash.",
        )
    return int(step)


def copy_in_memory(source: sqlite3.Connection | None) -> sqlite3.Connection:
    """A stash that is on no disk: what `source` holds, or nothing."""
    memory = sqlite3.connect(":memory:", isolation_level=None, check_same_thread=False)
    if source is not None:
        source.backup(memory)
    return memory


def make_folder(folder: Path) -> None:
    """Make `folder` and those above it."""
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as trouble:
        raise StashError(
            f"The folder {folder} cannot be made ({trouble.strerror}).",
            "Make it yourself, or name a stash elsewhere with --stash.",
        ) from trouble
