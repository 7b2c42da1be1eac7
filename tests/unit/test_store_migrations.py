"""A stash of an older schema: copied first, brought up in whole steps, read without a change."""

import sqlite3
import sys
from contextlib import closing
from pathlib import Path
from types import ModuleType

import pytest
from sqlalchemy import inspect
from sqlalchemy.exc import OperationalError

from farspun.store import copies, migrations
from farspun.store.engine import Stash, reading, writing
from farspun.store.estimates import recompute
from farspun.store.trouble import MAGIC
from stashes import add_skein, told

OLD = Path(__file__).parents[2] / "fixtures" / "old-databases"


def stash_of_schema(number: int, folder: Path) -> Stash:
    path = folder / "stash.db"
    connection = sqlite3.connect(path)
    connection.executescript((OLD / f"schema-{number}.sql").read_text(encoding="utf-8"))
    connection.close()
    return Stash(path=path)


def add_step(monkeypatch, *statements: str) -> None:
    """Let there be one more step, at the end."""
    step = ModuleType("step")
    step.NAME, step.statements = "a trial", lambda dialect: list(statements)
    name = "step_9999_trial"
    monkeypatch.setitem(sys.modules, f"farspun.store.migrations.{name}", step)
    monkeypatch.setattr(migrations, "STEPS", (*migrations.STEPS, name))
    monkeypatch.setattr(migrations, "NEWEST", migrations.NEWEST + 1)


def columns_of_skein(stash: Stash) -> set[str]:
    with reading(stash) as connection:
        return {column["name"] for column in inspect(connection).get_columns("skein")}


@pytest.mark.parametrize("number", range(1, migrations.NEWEST + 1))
def test_a_stash_of_every_schema_is_read_and_written(tmp_path, number):
    stash = stash_of_schema(number, tmp_path)
    before = {one["name"]: one for one in told(stash.path, "skein", "list")}
    assert before["Gorse 1"]["mass_g"] == 72.0
    assert before["Driftwood"]["conflict"] is not None
    add_skein(stash, "New", mass="50 g", length="100 m", state="relaxed")
    after = {one["name"] for one in told(stash.path, "skein", "list")}
    assert after == {*before, "New"}


def test_a_stash_is_copied_before_its_schema_changes(tmp_path, monkeypatch):
    stash = stash_of_schema(1, tmp_path)
    add_step(monkeypatch, "ALTER TABLE skein ADD COLUMN trial INTEGER")
    with writing(stash):
        pass
    assert "trial" in columns_of_skein(stash)
    (copy,) = copies.made(stash.path)
    assert copy.name.endswith("-before-step-2.db")
    with closing(sqlite3.connect(copy)) as kept:
        names = {row[1] for row in kept.execute("PRAGMA table_info(skein)")}
        assert "trial" not in names
        assert kept.execute("SELECT count(*) FROM skein").fetchone()[0] > 1


def test_an_earlier_copy_is_never_overwritten(tmp_path):
    for _ in range(2):
        stash = stash_of_schema(1, tmp_path)
        with writing(stash):
            pass
        stash.path.unlink()
    first, second = copies.made(stash.path)
    assert first.read_bytes()[:16] == second.read_bytes()[:16] == MAGIC


def test_reading_an_older_stash_changes_nothing_on_disk(tmp_path, monkeypatch):
    stash = stash_of_schema(1, tmp_path)
    before = stash.path.read_bytes()
    add_step(monkeypatch, "ALTER TABLE skein ADD COLUMN trial INTEGER")
    assert "trial" in columns_of_skein(stash)
    assert stash.path.read_bytes() == before
    assert [one.name for one in tmp_path.iterdir()] == ["stash.db"]


def test_a_step_that_fails_half_way_leaves_the_schema_before_it(tmp_path, monkeypatch):
    stash = stash_of_schema(1, tmp_path)
    with monkeypatch.context() as trial:
        add_step(trial, "ALTER TABLE skein ADD COLUMN trial INTEGER", "ALTER TABLE nonsense")
        with pytest.raises(OperationalError), writing(stash):
            pass
    assert "trial" not in columns_of_skein(stash)
    with writing(stash) as connection:
        recompute(connection)
