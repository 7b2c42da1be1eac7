"""What a child process of the fault tests does to SQLite, as its environment says.

Only tests load this; farspun itself knows nothing of it. Every connection that is made afterwards
looks at each statement SQLite is about to carry out:

FARSPUN_PAUSE=NUMBER:FILE   at the NUMBERth statement of a writing transaction (of those after BEGIN
                            IMMEDIATE, COMMIT being the last), or the NUMBERth page of a copy into
                            a stash, write the statement into FILE and wait to be killed
FARSPUN_COUNT=FILE          write into FILE how many such statements there were
FARSPUN_PAGES=NUMBER        the disk has room for so many pages of a file, and no more
"""

import os
import sqlite3
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

BEGIN = "BEGIN IMMEDIATE"
LONG_S = 120.0  # nobody waits so long: the killer has come, or the test has failed

_connect = sqlite3.connect
_seen = 0


class Looked(sqlite3.Connection):
    """A connection whose statements are looked at."""

    def __init__(self, database: Any, *args: Any, **kwargs: Any) -> None:
        super().__init__(database, *args, **kwargs)
        self.writing = False
        room = os.environ.get("FARSPUN_PAGES")
        if room and str(database) != ":memory:":
            self.execute(f"PRAGMA max_page_count = {room}")
        self.set_trace_callback(self.look)

    def look(self, statement: str) -> None:
        """Called before SQLite carries it out."""
        if self.writing:
            _one_more(statement)
        self.writing = statement == BEGIN or (
            self.writing and not statement.startswith(("COMMIT", "ROLLBACK"))
        )

    def backup(self, target: sqlite3.Connection, **how: Any) -> None:
        """Copying page by page into a stash is a transaction too, without statements."""
        if how.get("pages") == 1:
            how["progress"] = _counting(how["progress"])
        super().backup(target, **how)


def _counting(progress: Callable[[int, int, int], None]) -> Callable[[int, int, int], None]:
    def counted(status: int, remaining: int, total: int) -> None:
        progress(status, remaining, total)
        if remaining:
            _one_more(f"page {total - remaining} of {total}")

    return counted


def _one_more(statement: str) -> None:
    global _seen
    _seen += 1
    count = os.environ.get("FARSPUN_COUNT")
    if count:
        Path(count).write_text(str(_seen), encoding="utf-8")
    number, _, marker = os.environ.get("FARSPUN_PAUSE", "").partition(":")
    if marker and _seen == int(number):
        Path(marker).write_text(statement, encoding="utf-8")
        time.sleep(LONG_S)


def _connect_looked(*args: Any, **kwargs: Any) -> sqlite3.Connection:
    return _connect(*args, **{"factory": Looked, **kwargs})


def install() -> None:
    """From now on."""
    vars(sqlite3)["connect"] = _connect_looked
