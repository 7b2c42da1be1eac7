"""What a command loads before it does its work: help and lists must stay quick."""

import resource
import subprocess
import sys
from pathlib import Path

import pytest

from farspun.store.engine import Stash, writing
from farspun.store.estimates import recompute
from farspun.store.skeins import add_evidence
from farspun.store.skeins import add_skein as add_row
from stashes import add_skein

HEAVY = {"numpy", "scipy", "pandas", "sqlmodel", "sqlalchemy", "rich", "matplotlib", "PIL"}
LIST_AT_MOST = 1.7  # times what importing typer, sqlmodel and numpy takes


def loaded_by(*words: str) -> set[str]:
    """Top-level modules in memory after `farspun WORDS`."""
    program = (
        "import sys\n"
        "from farspun.cli import main\n"
        f"sys.argv = ['farspun', *{list(words)!r}]\n"
        "try: main()\n"
        "finally: print('|'.join(sys.modules), file=sys.stderr)\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", program], capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stderr
    return {name.split(".")[0] for name in done.stderr.splitlines()[-1].split("|")}


@pytest.mark.parametrize(
    "words",
    [
        ["--help"],
        ["skein", "--help"],
        ["skein", "add", "--help"],
        ["reed", "--help"],
        ["picture", "--help"],
        ["picture", "reach", "--help"],
    ],
)
def test_help_loads_nothing_heavy(words):
    assert loaded_by(*words) & HEAVY == set()


def test_a_piped_list_loads_the_database_and_no_arithmetic(tmp_path):
    stash = Stash(path=tmp_path / "stash.db")
    add_skein(stash, "A", mass="100 g", length="280 m", state="relaxed")
    loaded = loaded_by("--stash", str(stash.path), "skein", "list")
    assert "sqlmodel" in loaded
    assert loaded & {"numpy", "scipy", "pandas", "rich"} == set()


def a_thousand_skeins(path: Path) -> None:
    with writing(Stash(path=path)) as connection:
        from datetime import UTC, datetime

        from farspun.store.ledger import add_entry, new_action

        action = new_action(connection, datetime.now(UTC), "test", "")
        for number in range(1000):
            skein = add_row(
                connection, action, f"Skein {number}", fibre="wool", draw="semi",
                superwash=False, mill=False,
            )  # fmt: skip
            mass_mg = 40_000 + 50 * number
            add_evidence(
                connection, action, skein, "weighed", "x", mass_mg=mass_mg, step_ug=1_000_000
            )
            length = {"length_mm": 100_000 + 200 * number, "state": "unwashed"}
            add_evidence(connection, action, skein, "counted", "x", **length)
            add_entry(connection, action, skein, "made", mass_mg, "x")
        recompute(connection)


def processor_seconds(command: list[str]) -> float:
    """What a command costs, whatever else the machine is doing."""
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    subprocess.run(command, check=True, stdout=subprocess.DEVNULL)
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    return after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime


@pytest.mark.bench
def test_a_thousand_skeins_are_listed_in_little_more_than_the_imports(tmp_path):
    path = tmp_path / "stash.db"
    a_thousand_skeins(path)
    to_import = [sys.executable, "-c", "import typer, sqlmodel, numpy"]
    to_list = [sys.executable, "-m", "farspun", "--stash", str(path), "skein", "list"]
    pairs = [(processor_seconds(to_import), processor_seconds(to_list)) for _ in range(7)]
    imports, listing = (min(column) for column in zip(*pairs, strict=True))
    print(f"list of 1000: {listing:.2f} s, imports {imports:.2f} s, {listing / imports:.2f} times")
    assert listing <= LIST_AT_MOST * imports
