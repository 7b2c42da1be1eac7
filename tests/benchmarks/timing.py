"""Timing whole commands against what their imports alone take, in turn, so that both meet the
same machine; and the large material that is timed.
"""

import json
import os
import statistics
import subprocess
import sys
import time
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from faker import Faker

from cli.running import Desk
from farspun.store.engine import Stash, writing
from farspun.store.estimates import recompute
from farspun.store.ledger import add_entry, new_action
from farspun.store.skeins import add_evidence, add_skein

SEED = 20250301
FIBRES = ("wool", "wool 80, silk 20", "linen", "cotton", "alpaca")
STATES = ("relaxed", "unwashed", "under-tension", "not said")
ONE_THREAD = {"OMP_NUM_THREADS": "1", "OPENBLAS_NUM_THREADS": "1"}


@dataclass(frozen=True)
class Timed:
    """Median seconds of a command and of what it is compared with."""

    name: str
    seconds: float
    reference_s: float

    @property
    def ratio(self) -> float:
        return self.seconds / self.reference_s

    def row(self, most: float) -> str:
        """A line of the table that is printed."""
        return (
            f"{self.name:<34}{self.seconds * 1000:>8.0f} ms"
            f"{self.reference_s * 1000:>8.0f} ms{self.ratio:>7.2f} times (at most {most:g})"
        )


def farspun(*words: str) -> list[str]:
    return [sys.executable, "-m", "farspun", *words]


def imports(modules: str) -> list[str]:
    """A process that imports these and leaves."""
    return [sys.executable, "-c", f"import {modules}"]


def seconds(command: Sequence[str], folder: Path, compiled: Path | None = None) -> float:
    """One whole process, output piped; it must be answered.

    What Python compiles is kept in `compiled`, as it is beside the source for those who use it.
    """
    home = {"HOME": str(folder), "XDG_STATE_HOME": str(folder), **ONE_THREAD}
    if compiled is not None:
        home |= {"PYTHONPYCACHEPREFIX": str(compiled), "PYTHONDONTWRITEBYTECODE": ""}
    start = time.perf_counter()
    done = subprocess.run(command, capture_output=True, env=os.environ | home, check=False)
    took = time.perf_counter() - start
    assert done.returncode == 0, done.stderr.decode()
    return took


def timed(
    name: str, command: Sequence[str], reference: Sequence[str], folder: Path, runs: int
) -> Timed:
    """Medians of `runs` of both in turn, after one of each that does not count."""
    kept = folder / "compiled"
    both = [[seconds(one, folder, kept) for one in (command, reference)] for _ in range(runs + 1)]
    own, other = zip(*both[1:], strict=True)
    return Timed(name, statistics.median(own), statistics.median(other))


def loaded_by(*words: str) -> set[str]:
    """Every module in memory after `farspun WORDS`."""
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
    return set(done.stderr.splitlines()[-1].split("|"))


def measured(program: str) -> dict[str, float]:
    """The figures a Python program prints as one JSON object, run on its own."""
    done = subprocess.run(
        [sys.executable, "-c", program],
        capture_output=True,
        text=True,
        env=os.environ | ONE_THREAD,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    found: dict[str, float] = json.loads(done.stdout)
    return found


def many_skeins(path: Path, number: int) -> None:
    """A stash of so many invented skeins, written in one go."""
    fake = Faker()
    fake.seed_instance(SEED)
    with writing(Stash(path=path)) as connection:
        action = new_action(connection, datetime.now(UTC), "test", "")
        for at in range(number):
            described = {
                "fibre": fake.random_element(FIBRES),
                "draw": fake.random_element(("woollen", "semi", "worsted")),
                "superwash": False,
                "mill": fake.boolean(10),
                "place": fake.word(),
                "note": fake.sentence(),
            }
            skein = add_skein(connection, action, f"{fake.first_name()} {at}", **described)
            for kind, values in _readings(fake):
                add_evidence(connection, action, skein, kind, fake.word(), **values)
                if kind == "weighed":
                    mass_mg = values["mass_mg"]
                    add_entry(connection, action, skein, "made", mass_mg, "as weighed")
        recompute(connection)


def _readings(fake: Faker) -> list[tuple[str, Mapping[str, Any]]]:
    """A mass, a count on one of a few tools, and perhaps wraps."""
    mass_g, m_per_g = fake.random_int(20, 250), fake.random_int(150, 700) / 100
    state, tool = fake.random_element(STATES), f"tool {fake.random_int(1, 5)}"
    length_mm = round(1000 * mass_g * m_per_g)
    found: list[tuple[str, Mapping[str, Any]]] = [
        ("weighed", {"mass_mg": 1000 * mass_g, "step_ug": 1_000_000}),
        ("counted", {"length_mm": length_mm, "state": state, "tool": tool}),
    ]
    if fake.boolean():
        found.append(("wrapped", {"wraps_per_100m": fake.random_int(25_000, 90_000)}))
    return found


def planned(folder: Path) -> Path:
    """A stash with one cloth of three skeins planned; its path."""
    desk = Desk(folder)
    desk.does(
        'skein add "Gorse 1" --mass 100g --length 400m --state unwashed --wpi 15wpi',
        'skein add "Gorse 2" --mass 110g --length 440m --state unwashed --wpi 15wpi',
        "skein add Driftwood --mass 150g --length 450m --state relaxed",
        "loom add Table --kind table --width 60cm",
        "reed add R30 30/10cm",
        'cloth plan Shawl --size 40cmx160cm --warp "Gorse 1" --warp "Gorse 2" --weft Driftwood',
    )
    return desk.stash
