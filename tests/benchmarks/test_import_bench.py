"""Ten thousand skeins from a table: how long, against pandas alone, and how much memory."""

import csv
import random
import resource
import subprocess
import sys
import time
from pathlib import Path

import pytest

from farspun.services.csv_cells import COLUMNS
from farspun.services.importing import import_file
from farspun.store.engine import Stash

PROGRAM = """
import resource, sys, time
from pathlib import Path
import pandas, scipy.special
from farspun.services.importing import import_file
from farspun.store.engine import Stash
path = Path(sys.argv[1])
began = time.process_time()
pandas.read_csv(path, dtype=str)
alone = time.process_time() - began
before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
began = time.process_time()
assert import_file(Stash(path=path.with_name("stash.db")), path).new["skeins"] == int(sys.argv[2])
took = time.process_time() - began
print(alone, took, (resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before) / 1024)
"""
MOST_S, MOST_MB = 12.0, 300.0  # of one processor of a small machine


def a_table(path: Path, many: int) -> Path:
    """A table of so many skeins, each a little different."""
    chance = random.Random(7)
    with path.open("w", newline="", encoding="utf-8") as file:
        writer = csv.DictWriter(file, COLUMNS)
        writer.writeheader()
        for number in range(many):
            writer.writerow(
                {
                    "name": f"Skein {number}",
                    "fibre": chance.choice(["wool", "alpaca", "wool 80, silk 20", "linen"]),
                    "plies": chance.choice("1234"),
                    "mass": f"{chance.randint(300, 1500) / 10} g",
                    "strands": chance.randint(50, 250),
                    "once_round": "1.5 m",
                    "state": chance.choice(["relaxed", "unwashed"]),
                    "tool": chance.choice(["ash", "oak", "reel"]),
                    "test_lengths": f"10 m={chance.randint(20, 60) / 10} g" if number % 3 else "",
                    "wpi": f"{chance.randint(8, 20)} wpi",
                    "wrap": "snug",
                    "note": "a note, with a comma",
                }
            )
    return path


@pytest.mark.bench
def test_ten_thousand_skeins_come_in_in_a_few_seconds(tmp_path):
    path = a_table(tmp_path / "in.csv", 10_000)
    done = subprocess.run(
        [sys.executable, "-c", PROGRAM, str(path), "10000"],
        capture_output=True, text=True, check=True,
    )  # fmt: skip
    alone, took, memory_mb = map(float, done.stdout.split())
    print(
        f"10,000 skeins: {took:.1f} s, {took / alone:.0f} times pandas.read_csv alone"
        f" ({alone:.3f} s), {memory_mb:.0f} MB more"
    )
    assert took < MOST_S
    assert memory_mb < MOST_MB


def test_many_skeins_take_little_more_for_each_than_a_few(tmp_path):
    """Nothing grows faster than the number of lines."""
    few, many = a_table(tmp_path / "few.csv", 100), a_table(tmp_path / "many.csv", 1000)
    import_file(Stash(path=tmp_path / "warm.db"), few)
    began = time.process_time()
    import_file(Stash(path=tmp_path / "few.db"), few)
    between = time.process_time()
    import_file(Stash(path=tmp_path / "many.db"), many)
    took = time.process_time() - between
    assert took < 30 * (between - began)
    assert resource.getrusage(resource.RUSAGE_SELF).ru_maxrss < 2_000_000
