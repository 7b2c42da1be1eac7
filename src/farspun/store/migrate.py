"""Bringing a stash to the newest schema: numbered steps, each in one transaction."""

from datetime import UTC, datetime
from importlib import import_module

from sqlalchemy import Connection, Engine, inspect, text

from farspun.store import migrations, seal
from farspun.store.files import APPLICATION_ID


def bring_up(engine: Engine) -> None:
    """Do every step the stash has not had; another program may do the same at the same time."""
    for number in range(1, migrations.NEWEST + 1):
        with engine.begin() as connection:
            if number > _step_of(connection):
                _take_step(connection, number)


def _step_of(connection: Connection) -> int:
    """The last step done; looked at inside the transaction that may do the next."""
    if not inspect(connection).has_table("schema_step"):
        return 0
    return connection.execute(text("SELECT max(number) FROM schema_step")).scalar() or 0


def _take_step(connection: Connection, number: int) -> None:
    step = import_module(f"farspun.store.migrations.{migrations.STEPS[number - 1]}")
    if number == 1:
        connection.exec_driver_sql(
            "CREATE TABLE schema_step (number INTEGER NOT NULL PRIMARY KEY,"
            " name VARCHAR NOT NULL, at VARCHAR NOT NULL)"
        )
        if connection.dialect.name == "sqlite":
            connection.exec_driver_sql(f"PRAGMA application_id = {APPLICATION_ID}")
    if connection.dialect.name == "sqlite":
        connection.exec_driver_sql(seal.BROKEN_OFF)
    for statement in step.statements(connection.dialect.name):
        connection.exec_driver_sql(statement)
    connection.execute(
        text("INSERT INTO schema_step (number, name, at) VALUES (:number, :name, :at)"),
        {"number": number, "name": step.NAME, "at": datetime.now(UTC).isoformat("T", "seconds")},
    )
