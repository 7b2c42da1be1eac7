"""A process killed with SIGKILL at any moment: in the middle of its transaction, or anywhere.

Afterwards the stash holds what it held before, or all of the command; and all of it where the
command had told that it was done.
"""

import random
import shlex
import sqlite3
import time
from contextlib import closing
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import pytest

from farspun.services import backups
from farspun.store import copies
from faults.nursery import Child, Ended, Nursery, a_place, wait_for
from faults.outcomes import Outcome
from faults.stash_state import FURNITURE, Rows, found_wrong, furnished, made_by, rows

OLD = Path(__file__).parents[2] / "fixtures" / "old-databases" / "schema-1.sql"
TABLE = "name,mass,length,state\nNettle,50 g,150 m,relaxed\nClover,60 g,170 m,unwashed\n"


def _nothing() -> bytes:
    return b""


def _stale() -> bytes:
    """Estimates that are not what the readings say."""
    with a_place(furnished()) as place:
        with closing(sqlite3.connect(place, isolation_level=None)) as other:
            other.execute("UPDATE estimate SET ln_tex = ln_tex + 0.1")
            other.execute("PRAGMA user_version = 0")
        return place.read_bytes()


def _old() -> bytes:
    with a_place() as place:
        with closing(sqlite3.connect(place)) as old:
            old.executescript(OLD.read_text(encoding="utf-8"))
            old.execute("DELETE FROM claim")
        return place.read_bytes()


def _given_up() -> bytes:
    return made_by((*FURNITURE, "skein take Heather 5g", "cloth give-up Shawl --yes"))


def _two_planned() -> bytes:
    """The later one is wanted first, and the other keeps the yarn."""
    scarf = "cloth plan Scarf --size 40cmx200cm --warp Gorse --weft Heather --priority 1"
    return made_by((*FURNITURE, scarf))


LIFE = (
    "cloth wound Shawl --warp 2m",
    "cloth on-loom Shawl",
    "cloth off-loom Shawl --thrums 4m --off 33cmx110cm",
)


def _wound() -> bytes:
    return made_by((*FURNITURE, *LIFE[:1]))


def _on_loom() -> bytes:
    return made_by((*FURNITURE, *LIFE[:2]))


def _off_loom() -> bytes:
    """With thrums that are asked about."""
    return made_by((*FURNITURE, LIFE[0].replace("2m", "6m"), *LIFE[1:]))


# every command that writes: what it begins with, and how it is typed
COMMANDS = {
    "first skein add": (_nothing, "skein add Nettle --mass 50g --wpi 12wpi"),
    "skein add": (furnished, "skein add Nettle --mass 50g --length 150m --tool Mill"),
    "skein measure": (furnished, "skein measure Heather --test-length 10m=2.6g --length 439m"),
    "skein weigh": (furnished, "skein weigh Bracken 140g"),
    "skein take": (furnished, "skein take Gorse 50m --for Shawl"),
    "skein close": (furnished, "skein close Bracken --because sold"),
    "loom add": (furnished, "loom add Floor --kind floor --width 120cm"),
    "reed add": (furnished, "reed add Fine 40/10cm --loom Table"),
    "cloth plan": (furnished, "cloth plan Scarf --size 20cmx150cm --warp Gorse --weft Bracken"),
    "cloth change": (furnished, "cloth change Shawl --size 25cmx90cm --weft Bracken"),
    "cloth cut": (
        furnished,
        "cloth cut Bag --piece 'side 10cmx12cm x2' --warp Gorse --weft Bracken",
    ),
    "cloth claim": (furnished, "cloth claim Shawl"),
    "cloth give-up": (furnished, "cloth give-up Shawl --yes"),
    "cloth sample": (furnished, "cloth sample Shawl --reed 12cm --off 11cmx10cm --picks 3/cm"),
    "cloth wound": (furnished, "cloth wound Shawl --ends 90 --warp 2m --left Gorse=829g"),
    "cloth on-loom": (_wound, "cloth on-loom Shawl --ends 84 --picks 3/cm"),
    "cloth weigh": (_on_loom, "cloth weigh Shawl --woven 40cm --ball Heather=90g"),
    "cloth off-loom": (_on_loom, "cloth off-loom Shawl --off 33cmx110cm --left Heather=40g"),
    "cloth finished": (_off_loom, "cloth finished Shawl --washed 30cmx98cm --wash hot"),
    "lessons --confirm": (_off_loom, "lessons --confirm Shawl 'loom waste'"),
    "share-out --keep": (_two_planned, "share-out --keep --yes"),
    "undo": (_given_up, "undo"),
    "import": (furnished, "import {folder}/table.csv"),
    "restore": (furnished, "restore {folder}/mine.db --yes"),
    "doctor --mend": (_stale, "doctor --mend"),
    "the first writing with a newer farspun": (_old, "skein close Driftwood --because lost"),
    "backup": (furnished, "backup"),
}


@dataclass(frozen=True, slots=True)
class Run:
    """A command on its stash, carried out in peace: before, after, how long, how many statements.

    `wrong`: what the doctor finds before and after it, for some begin with something wrong.
    """

    content: bytes
    line: str
    before: Rows
    after: Rows
    wrong: tuple[list[str], list[str]]
    lasts_s: float
    statements: int


def lay_out(place: Path) -> None:
    """The files that commands name."""
    (place.parent / "table.csv").write_text(TABLE, encoding="utf-8")
    (place.parent / "mine.db").write_bytes(made_by(FURNITURE[:4]))


def start(nursery: Nursery, line: str, place: Path, **env: str) -> Child:
    return nursery.start(place, *shlex.split(line.format(folder=place.parent)), **env)


@cache
def in_peace(nursery: Nursery, name: str) -> Run:
    """What the command does when nobody disturbs it."""
    make, line = COMMANDS[name]
    content = make()
    with a_place(content or None) as place:
        lay_out(place)
        before, wrong_before = rows(place), found_wrong(place)
        start(nursery, line, place).ended()  # a first time, to be as quick as the others
        place.unlink(missing_ok=True)
        if content:
            place.write_bytes(content)
        count = place.parent / "count"
        began = time.monotonic()
        ended = start(nursery, line, place, FARSPUN_COUNT=str(count)).ended()
        lasts_s = time.monotonic() - began
        assert ended.code == 0, ended
        statements = int(count.read_text(encoding="utf-8")) if count.exists() else 0
        after, wrong = rows(place), (wrong_before, found_wrong(place))
    assert name == "backup" or before != after
    return Run(content, line, before, after, wrong, lasts_s, statements)


def judged(run: Run, place: Path, ended: Ended) -> str:
    """What came of it."""
    for copy in copies.made(place):
        backups.look(copy)
    now = rows(place)
    if found_wrong(place) not in run.wrong or now not in (run.before, run.after):
        return "half"
    to_copy = run.before == run.after
    done = bool(copies.made(place)) if to_copy else now == run.after
    if ended.acknowledged and not done:
        return "lost"
    return "done" if done else "cut_off"


@pytest.mark.parametrize("times", [1, pytest.param(10, marks=pytest.mark.long)])
@pytest.mark.parametrize("name", [name for name in COMMANDS if name != "backup"])
def test_killed_between_begin_and_commit(nursery: Nursery, name: str, times: int) -> None:
    run = in_peace(nursery, name)
    assert run.statements >= 2
    chance = random.Random(f"{name} {times}")
    outcome = Outcome("killed between begin and commit", name)
    for number in range(times):
        at = run.statements if number == 0 else chance.randint(1, run.statements)
        with a_place(run.content or None) as place:
            lay_out(place)
            marker = place.parent / "marker"
            child = start(nursery, run.line, place, FARSPUN_PAUSE=f"{at}:{marker}")
            assert wait_for(marker)
            ended = child.kill()
            assert ended.code < 0
            assert not ended.acknowledged
            outcome.count(judged(run, place, ended))
    outcome.tell()
    assert outcome.cut_off == times  # what was not committed is as if it had never begun


@pytest.mark.parametrize("times", [1, pytest.param(9, marks=pytest.mark.long)])
@pytest.mark.parametrize("name", COMMANDS)
def test_killed_at_any_moment(nursery: Nursery, name: str, times: int) -> None:
    run = in_peace(nursery, name)
    chance = random.Random(f"{name} {times}")
    outcome = Outcome("killed at any moment", name)
    for _ in range(times):
        with a_place(run.content or None) as place:
            lay_out(place)
            child = start(nursery, run.line, place)
            time.sleep(chance.uniform(0.0, 1.1 * run.lasts_s))
            outcome.count(judged(run, place, child.kill()))
    outcome.tell()


def test_what_restore_replaces_is_kept_however_it_ends(nursery: Nursery) -> None:
    run = in_peace(nursery, "restore")
    outcome = Outcome("what restore replaces is kept however it ends", "restore")
    for at in (1, run.statements // 2, run.statements):
        with a_place(run.content) as place:
            lay_out(place)
            marker = place.parent / "marker"
            child = start(nursery, run.line, place, FARSPUN_PAUSE=f"{at}:{marker}")
            assert wait_for(marker).startswith("page")
            ended = child.kill()
            (kept,) = copies.made(place)
            assert rows(kept) == run.before
            outcome.count(judged(run, place, ended))
    outcome.tell()
