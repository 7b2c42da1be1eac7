"""The seal of a stash file: a checksum of all it holds, renewed with every command that writes.

SQLite notices damage to its own structure, but not a bit that fell over inside a number or a name.
The seal does. It stands in the file's head (SQLite's `user_version`, which counts as part of the
transaction), so it is kept or lost together with what it seals. 0 means not sealed: a stash of the
first schema, or one made where Python cannot see the file's pages.
"""

import sqlite3
from pathlib import Path
from zlib import crc32

from farspun.store.trouble import damaged

HEAD = 100  # bytes before the first page's content; some of them change without a command
HELD = ((16, 18), (28, 40), (56, 60))  # in the head: page size, number of pages, free ones, text
NOT_SEALED = 0
Marks = tuple[int, int, int, int, int]
_CHECKED: dict[Path, Marks] = {}  # for those who read one stash again and again
BROKEN_OFF = f"PRAGMA user_version = {NOT_SEALED}"  # until it is sealed again


def renew(connection: sqlite3.Connection) -> None:
    """Seal what the open transaction holds; to be called last before its end."""
    connection.execute(f"PRAGMA user_version = {_checksum(connection)}")


def fits(connection: sqlite3.Connection) -> bool:
    """Whether what the file holds is what was sealed; true where nothing was."""
    alone = not connection.in_transaction
    if alone:
        connection.execute("BEGIN")
    sealed = connection.execute("PRAGMA user_version").fetchone()[0]
    fit = sealed == NOT_SEALED or _checksum(connection) in (sealed, NOT_SEALED)
    if alone:
        connection.execute("ROLLBACK")
    return fit


def check(connection: sqlite3.Connection, where: str, keep: Path | None = None) -> None:
    """Raises DamagedStash where the seal does not fit; `keep`: remember that this file's did."""
    marks = None if keep is None else _marks(keep)
    if not fits(connection):
        raise damaged(where, "what it holds is not what farspun wrote")
    if keep is not None and marks is not None:
        _CHECKED[keep] = marks


def is_as_checked(path: Path) -> bool:
    """Whether nobody wrote to the file since its seal was found to fit."""
    marks = _marks(path)
    return marks is not None and _CHECKED.get(path) == marks


def _marks(path: Path) -> Marks | None:
    """What changes with every write: file, size and time, of the stash and its log."""
    try:
        found = path.stat()
    except OSError:
        return None
    try:
        log = path.with_name(path.name + "-wal").stat()
    except OSError:
        return found.st_ino, found.st_size, found.st_mtime_ns, 0, 0
    if not log.st_size:  # readers make an empty one
        return found.st_ino, found.st_size, found.st_mtime_ns, 0, 0
    return found.st_ino, found.st_size, found.st_mtime_ns, log.st_size, log.st_mtime_ns


def _checksum(connection: sqlite3.Connection) -> int:
    """Of every page as the open transaction sees it, as a signed number of 32 bits; never 0."""
    if not hasattr(connection, "serialize"):
        return NOT_SEALED
    pages = memoryview(connection.serialize())
    total = crc32(pages[HEAD:])
    for start, end in HELD:
        total = crc32(pages[start:end], total)
    return int.from_bytes((total or 1).to_bytes(4), signed=True)
