"""`farspun match` on a large stash: time, memory and growth, the whole process; a small one too."""

import os
import sqlite3
import subprocess
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path

import pytest

from benchmarks.timing import ONE_THREAD, farspun, imports, many_skeins, seconds
from farspun.store.engine import Stash, writing

SEEDLING = 1000  # skeins that are invented; the rest are told again under other names
RUNS = 7
MODULES = "typer, sqlmodel, numpy, scipy.special"
IMPORTS_S = 0.75  # what those take on the machine the bound is for; on a slower one in proportion
MATCH = ("--warp", "Hill", "--size", "40cmx160cm")
HILL = ("skein", "add", "Hill", "--mass", "300g", "--length", "1200m", "--state", "relaxed")


@dataclass(frozen=True)
class Ran:
    """Of one whole process: seconds, those of the processor, and the most memory it held."""

    seconds: float
    peak_mb: float
    processor_s: float = 0.0


def grown(path: Path, number: int) -> Path:
    """A stash of so many skeins: SEEDLING of them with all they hold, again and again."""
    many_skeins(path, min(number, SEEDLING))
    subprocess.run(farspun("--stash", str(path), *HILL), check=True, capture_output=True)
    with closing(sqlite3.connect(path)) as connection, connection:
        connection.execute(
            "CREATE TEMP TABLE own AS SELECT id FROM skein WHERE id <= ?", [SEEDLING]
        )
        for again in range(1, number // SEEDLING):
            for table in ("skein", "estimate", "evidence", "entry"):
                _again(connection, table, again)
        connection.execute("PRAGMA user_version = 0")  # it is sealed anew below
    with writing(Stash(path=path)):
        pass
    return path


def _again(connection: sqlite3.Connection, table: str, again: int) -> None:
    """The rows of the first skeins once more, under ids and names of their own."""
    columns = [row[1] for row in connection.execute(f"PRAGMA table_info({table})")]
    shift = again * 1_000_000
    skein = "id" if table == "skein" else "skein_id"
    new = {
        "id": f"id + {shift}",
        "skein_id": f"skein_id + {shift}",
        "name": f"name || ' {again}'",
        "name_key": f"name_key || ' {again}'",
        "balance_mg": "NULL",  # the entries add up to it
    }
    values = ", ".join(new.get(name, f'"{name}"') for name in columns)
    names = ", ".join(f'"{name}"' for name in columns)
    connection.execute(
        f"INSERT INTO {table} ({names}) SELECT {values} FROM {table}"
        f" WHERE {skein} IN (SELECT id FROM own)"
    )


def ran(path: Path, *words: str) -> Ran:
    """`farspun match` once, as she would start it: what Python compiles is kept."""
    command = farspun("--stash", str(path), "match", *words)
    kept = {"PYTHONPYCACHEPREFIX": str(path.parent / "compiled"), "PYTHONDONTWRITEBYTECODE": ""}
    environment = os.environ | {"HOME": str(path.parent)} | ONE_THREAD | kept
    before = os.times()
    process = subprocess.Popen(command, env=environment, stdout=subprocess.DEVNULL)
    _, status, usage = os.wait4(process.pid, 0)
    process.returncode = os.waitstatus_to_exitcode(status)
    assert process.returncode == 0
    elapsed = os.times().elapsed - before.elapsed
    return Ran(elapsed, usage.ru_maxrss / 1024, usage.ru_utime + usage.ru_stime)


def best(path: Path, *words: str) -> Ran:
    """The quickest of RUNS, after one that does not count."""
    runs = [ran(path, *words) for _ in range(RUNS + 1)][1:]
    return Ran(min(one.seconds for one in runs), max(one.peak_mb for one in runs))


def test_a_stash_of_a_thousand_is_matched_in_a_moment(tmp_path: Path) -> None:
    """Bounds that only a disaster breaks; the other side of a skein that is there, both ways."""
    path = grown(tmp_path / "stash.db", SEEDLING)
    for side in ("--warp", "--weft"):
        found = ran(path, side, *MATCH[1:])
        assert found.seconds < 15
        assert found.peak_mb < 400


@pytest.mark.bench
@pytest.mark.parametrize("side", ["--warp", "--weft"])
def test_a_hundred_thousand_skeins_take_under_two_seconds(tmp_path: Path, side: str) -> None:
    few = best(grown(tmp_path / "few.db", 10_000), side, *MATCH[1:])
    many = best(grown(tmp_path / "many.db", 100_000), side, *MATCH[1:])
    reference = imports(MODULES)
    alone = min(seconds(reference, tmp_path, tmp_path / "compiled") for _ in range(RUNS))
    most = 2.0 * max(1.0, alone / IMPORTS_S)
    print(
        f"\nmatch {side} on 100 000 skeins: {many.seconds:.2f} s, {many.peak_mb:.0f} MB (at most"
        f" {most:.2f} s, 500 MB; the imports alone {alone:.2f} s); on 10 000: {few.seconds:.2f} s"
    )
    assert many.seconds < most
    assert many.peak_mb < 500
    assert many.seconds / few.seconds < 10**1.1
