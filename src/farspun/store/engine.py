"""The one place that opens a stash: to read (`reading`) or to write (`writing`).

A writing transaction begins with BEGIN IMMEDIATE, so two programs never build on the same old
state. Reading changes nothing on disk, not even the schema of an older stash: that is read
from a copy in memory.
"""

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from sqlalchemy import Connection, Engine, create_engine, event, make_url
from sqlalchemy.exc import DBAPIError
from sqlalchemy.pool import NullPool, StaticPool

from farspun.errors import StashError
from farspun.store import copies, files, migrate, migrations, seal
from farspun.store.trouble import stash_error

BUSY_TIMEOUT_S = 10.0  # how long another writer is waited for; judgement
WRITER_LOCK = 0x66617273  # the one PostgreSQL advisory lock: one writer at a time, as in SQLite


@dataclass(frozen=True, slots=True)
class Stash:
    """Where a stash is: a file, or a PostgreSQL address.

    `make_folder`: its folder is ours to make when something is first stored. `read_often`: whoever
    holds it reads again and again, so a file that nobody wrote to meanwhile is not compared with
    its seal each time.
    """

    path: Path | None = None
    url: str | None = None
    make_folder: bool = False
    read_often: bool = False

    @property
    def where(self) -> str:
        """As said in messages; an address without its password."""
        if self.path is not None:
            return str(self.path)
        return make_url(str(self.url)).render_as_string(hide_password=True)

    @property
    def exists(self) -> bool:
        """False for a file that has not been made yet, or is still empty."""
        return self.path is None or files.is_there(self.path)


@contextmanager
def writing(stash: Stash, sealed: bool = True) -> Iterator[Connection]:
    """One writing transaction: all of it is kept at the end, or nothing.

    Makes the stash where there is none; brings an older one to the newest schema, after a copy.
    Raises a StashError where it cannot be used; `sealed` false takes one whose seal does not fit.
    """
    with _plain_errors(stash):
        engine = _writing_engine(stash, sealed)
        try:
            with engine.begin() as connection:
                yield connection
                _seal(connection)
        finally:
            engine.dispose()


@contextmanager
def reading(stash: Stash, sealed: bool = True) -> Iterator[Connection]:
    """A consistent view that writes nothing; a stash that is not there yet reads as empty.

    Raises a StashError where it cannot be used; `sealed` false takes one whose seal does not fit.
    """
    with _plain_errors(stash):
        engine = _reading_engine(stash, sealed)
        try:
            with engine.connect() as connection:
                yield connection
        finally:
            engine.dispose()


@contextmanager
def rehearsing(stash: Stash) -> Iterator[Connection]:
    """A writing transaction on a copy in memory, gone afterwards; the stash stays as it is.

    Raises a StashError where it cannot be used.
    """
    with _plain_errors(stash):
        engine = _copied_engine(stash)
        try:
            with engine.begin() as connection:
                yield connection
        finally:
            engine.dispose()


def _copied_engine(stash: Stash) -> Engine:
    """A stash on a server is not copied: what is rehearsed there is rolled back."""
    if stash.path is None:
        raise StashError(
            f"The stash {stash.where} is on a server, where nothing can be tried out first.",
            "Store it, and take it back with undo if it was not meant so.",
        )
    source = files.connect_to_read(stash.path, BUSY_TIMEOUT_S) if stash.exists else None
    memory = files.copy_in_memory(source)
    if source is not None:
        source.close()
    engine = _file_engine(memory, "BEGIN")
    migrate.bring_up(engine)
    return engine


@contextmanager
def _plain_errors(stash: Stash) -> Iterator[None]:
    """A database's complaint about the stash becomes a StashError."""
    try:
        yield
    except (DBAPIError, sqlite3.Error, UnicodeDecodeError) as error:
        original = error.orig if isinstance(error, DBAPIError) else error
        plain = stash_error(stash.where, original or error)
        if plain is None:
            raise
        raise plain from error


def _writing_engine(stash: Stash, sealed: bool) -> Engine:
    if stash.path is None:
        engine = _server_engine(stash, "READ COMMITTED")
        _begin_with(engine, f"SELECT pg_advisory_xact_lock({WRITER_LOCK})")
        migrate.bring_up(engine)
        return engine
    files.is_there(stash.path)
    if stash.make_folder:
        files.make_folder(stash.path.parent)
    connection = files.connect_to_write(stash.path, BUSY_TIMEOUT_S)
    with _closed_on_error(connection):
        step = files.step_in(connection, stash.where)
        if sealed:
            seal.check(connection, stash.where)
        if 0 < step < migrations.NEWEST:
            copies.automatic(connection, stash.path, f"step {step + 1}")
        if step == migrations.NEWEST:
            return _shared_engine(connection, "BEGIN IMMEDIATE")
        engine = _file_engine(connection, "BEGIN IMMEDIATE")
        migrate.bring_up(engine)
    return engine


def _reading_engine(stash: Stash, sealed: bool) -> Engine:
    if stash.path is None:
        return _server_engine(stash, "REPEATABLE READ")
    memory = None
    if stash.exists:
        connection = files.connect_to_read(stash.path, BUSY_TIMEOUT_S)
        with _closed_on_error(connection):
            step = files.step_in(connection, stash.where)
            if sealed and not (stash.read_often and seal.is_as_checked(stash.path)):
                seal.check(connection, stash.where, stash.path if stash.read_often else None)
            if step == migrations.NEWEST:
                return _shared_engine(connection, "BEGIN")
            memory = files.copy_in_memory(connection)
        connection.close()
    engine = _file_engine(memory or files.copy_in_memory(None), "BEGIN")
    migrate.bring_up(engine)
    return engine


def _seal(connection: Connection) -> None:
    """A server seals its own pages."""
    own = connection.connection.driver_connection
    if isinstance(own, sqlite3.Connection):
        seal.renew(own)


@contextmanager
def _closed_on_error(connection: sqlite3.Connection) -> Iterator[None]:
    try:
        yield
    except BaseException:
        connection.close()
        raise


def _file_engine(connection: sqlite3.Connection, begin: str) -> Engine:
    """An engine on this one connection."""
    engine = create_engine("sqlite://", creator=lambda: connection, poolclass=StaticPool)
    _begin_with(engine, begin)
    return engine


_HANDED: ContextVar[sqlite3.Connection] = ContextVar("handed")


def _shared_engine(connection: sqlite3.Connection, begin: str) -> Engine:
    """The one engine of its kind, to be connected once, at once, on this connection.

    Statements are put into words once for an engine; a server that asks the same again and again
    would spend a quarter of its time on that.
    """
    _HANDED.set(connection)
    return _engine_beginning_with(begin)


@cache
def _engine_beginning_with(begin: str) -> Engine:
    engine = create_engine("sqlite://", creator=_HANDED.get, poolclass=NullPool)
    _begin_with(engine, begin)
    return engine


def _begin_with(engine: Engine, statement: str) -> None:
    """Every transaction of this engine starts with `statement`."""

    @event.listens_for(engine, "begin")
    def _begin(connection: Connection) -> None:
        connection.exec_driver_sql(statement)


def _server_engine(stash: Stash, isolation: str) -> Engine:
    url = make_url(str(stash.url)).set(drivername="postgresql+psycopg")
    try:
        return create_engine(url, poolclass=NullPool, isolation_level=isolation)
    except ModuleNotFoundError as missing:
        raise StashError(
            f"The stash {stash.where} needs the PostgreSQL driver, which is not installed here.",
            "Install the Python package psycopg, or use a stash file with --stash PATH.",
        ) from missing
