"""Any commands in any order leave a stash in which everything holds, step after step.

A machine does things to a stash at random and keeps beside it, in a plain list, what was to be seen
before each command that stands. What is undone must come back to that, what is refused must change
nothing, and what is exported must come in again the same.
"""

import csv
import io
from collections.abc import Callable
from contextlib import ExitStack
from dataclasses import dataclass
from functools import cache
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest
from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import (
    Bundle,
    RuleBasedStateMachine,
    initialize,
    invariant,
    rule,
    run_state_machine_as_test,
)
from sqlalchemy import func, select

from doings import (
    CLOTHS,
    LENGTHS,
    MASSES,
    NAMES,
    NOTHING,
    PRELUDE,
    STAGES,
    a_folder,
    carry_out,
    do_all,
    exported,
    hangs_together,
    seen,
    without_numbers,
)
from farspun.errors import FarspunError, WrongUse
from farspun.services import backups, balance, cloths, doctor
from farspun.services.importing import import_file
from farspun.services.undoing import undo
from farspun.store import tables
from farspun.store.engine import Stash, reading
from farspun.units import mass
from faults.stash_state import rows

TO_SKEINS = ("measure", "measure", "measure", "strike", "describe", "close")
TO_CLOTHS = ("plan", "plan", "change", "claim", "claim", "give up")
LIFE = ("next", "next", "next", "sample", "on-loom", "off-loom", "finished", "confirm")
NEXT = dict(pairwise(("planned", *STAGES)))
WHICH = st.integers(0, 7)  # below 6 one of the skeins that are there, if any; else any name
N = st.integers(0, 5)
GRAMS, METRES = st.sampled_from(MASSES), st.sampled_from(LENGTHS)
TAKEN = st.sampled_from(
    ("0.001 g", "0.5 g", "3 g", "7 g", "1 1/2 oz", "112 g", "1 m", "9.5 m", "100 yd")
)
LOWERING = {  # a skein's balance
    *("measure", "weigh", "strike", "describe", "close", "undo", "import", "restore"),
    *STAGES,
}
# what she may have in a file of another's: skeins, a cloth that claims yarn, one overclaimed
ANOTHERS = (
    ("add", 2, "112 g", "400 m", 2),
    ("add", 3, "98.5 g", "296 yd", 0),
    ("loom", 2, "7 g", "95.5 m", 1),
    ("plan", 2, "7 g", "95.5 m", 3),
    ("take for", 2, "7 g", "95.5 m", 1),
    ("weigh", 2, "7 g", "95.5 m", 0),
    ("undo", 0, "7 g", "95.5 m", 0),
    ("weigh", 3, "41 g", "95.5 m", 0),
    ("measure", 2, "7 g", "95.5 m", 4),
    ("reed", 2, "7 g", "95.5 m", 1),
)


def _table(found: list[dict[str, str]]) -> str:
    """As a person keeps it."""
    text = io.StringIO()
    columns = list(dict.fromkeys(column for row in found for column in row))
    writer = csv.DictWriter(text, columns, restval="")
    writer.writeheader()
    writer.writerows(found)
    return text.getvalue()


TABLES = st.lists(
    st.fixed_dictionaries(
        {"name": st.sampled_from((*NAMES, "Fern"))},
        optional={
            "fibre": st.sampled_from(("wool", "linen", "wool 80, silk 20", "wool 50")),
            "mass": GRAMS,
            "length": METRES,
            "state": st.sampled_from(("relaxed", "unwashed", "wet")),
            "wpi": st.sampled_from(("15 wpi", "14 wpi; 6 wraps/cm", "15")),
            "note": st.sampled_from(('"quoted"', "a; b\tc", "two, three", "ü")),
        },
    ),
    min_size=1,
    max_size=3,
).map(_table)
ANOTHERS_FILES = st.tuples(st.sampled_from(("csv", "json", "json")), st.integers(2, len(ANOTHERS)))


@dataclass(frozen=True)
class Moment:
    """A stash at one time: what is to be seen, and what was before each command that stands."""

    now: Any
    before: tuple[Any, ...]


@dataclass(frozen=True)
class Copy:
    """A copy of the stash, and what it must bring back."""

    path: Path
    rows: Any
    moment: Moment


@cache
def anothers(end: str, until: int) -> bytes:
    """What somebody else exported."""
    with a_folder() as folder:
        stash = Stash(path=folder / "stash.db")
        assert do_all(stash, ANOTHERS[:until]) == until
        return exported(stash, f"anothers.{end}")


@cache
def begun(until: int) -> tuple[bytes, Moment]:
    """A stash with two skeins, and then a loom and a cloth; made once, for it takes a while."""
    with a_folder() as folder:
        stash = Stash(path=folder / "stash.db")
        moments = [seen(stash)]
        for one in PRELUDE[:until]:
            carry_out(stash, *one)
            moments.append(seen(stash))
        return stash.path.read_bytes(), Moment(moments[-1], tuple(moments[:-1]))


class StashMachine(RuleBasedStateMachine):
    """Everything the services do to a stash."""

    files = Bundle("files")
    copies = Bundle("copies")

    def __init__(self) -> None:
        super().__init__()
        self.opened = ExitStack()
        self.folder = self.opened.enter_context(a_folder())
        self.stash = Stash(path=self.folder / "stash.db")
        self.moment = Moment(NOTHING, ())
        self.rows: Any = rows(self.stash.path)
        self.over: set[str] = set()  # skeins of which cloths claim more than there is
        self.looked_at: Any = None
        self.last = ""
        self.number = 0

    def teardown(self) -> None:
        self.opened.close()

    def new_file(self, end: str) -> Path:
        self.number += 1
        return self.folder / f"{self.number}.{end}"

    def names(self) -> list[str]:
        """Of skeins that are there."""
        return [one.name for one, _ in self.moment.now[0]]

    def skein(self, which: int) -> str:
        """The name of one that is there, mostly."""
        there = [name for name in self.names() if name in NAMES]
        return there[which % len(there)] if there and which < 6 else NAMES[which % len(NAMES)]

    @initialize(target=copies, full=st.sampled_from((True, True, True, False)))
    def begin(self, full: bool) -> Copy:
        if full:
            content, self.moment = begun(len(PRELUDE))
            self.stash.path.write_bytes(content)
            self.rows = rows(self.stash.path)
        assert seen(self.stash) == self.moment.now
        older, path = begun(2), self.new_file("db")
        path.write_bytes(older[0])
        return Copy(path, rows(path), older[1])

    def tried(self, what: str, act: Callable[[], Any], wrote: Callable[[Any], bool] = bool) -> None:
        """Do it; if it is refused nothing is to have changed, else it can be taken back."""
        self.last = what
        try:
            found = act()
        except FarspunError as refused:
            said_plainly(refused)
            assert rows(self.stash.path) == self.rows
            return
        self.rows, was = rows(self.stash.path), self.rows
        if found is not None and not wrote(found):
            assert self.rows == was
            return
        another = Stash(path=self.new_file("db"))
        another.path.write_bytes(self.stash.path.read_bytes())
        undo(another)
        assert seen(another) == self.moment.now
        self.moment = Moment(seen(self.stash), (*self.moment.before, self.moment.now))

    def do(self, what: str, which: int, grams: str, metres: str, n: int) -> None:
        at = NAMES.index(self.skein(which))
        self.tried(what, lambda: carry_out(self.stash, what, at, grams, metres, n))

    @rule(which=WHICH, grams=GRAMS, metres=METRES, n=N)
    def add(self, which: int, grams: str, metres: str, n: int) -> None:
        free = [name for name in NAMES if name not in self.names()]
        name = free[which % len(free)] if free else self.skein(which)
        at = NAMES.index(name)
        self.tried("add", lambda: carry_out(self.stash, "add", at, grams, metres, n))

    @rule(what=st.sampled_from(TO_SKEINS), which=WHICH, grams=GRAMS, metres=METRES, n=N)
    def do_to_a_skein(self, what: str, which: int, grams: str, metres: str, n: int) -> None:
        self.do(what, which, grams, metres, n)

    @rule(what=st.sampled_from(TO_CLOTHS), which=WHICH, n=N)
    def do_to_a_cloth(self, what: str, which: int, n: int) -> None:
        self.do(what, which, MASSES[0], LENGTHS[0], n)

    @rule(what=st.sampled_from(LIFE), which=WHICH, grams=GRAMS, n=N)
    def live(self, what: str, which: int, grams: str, n: int) -> None:
        """A step of a cloth's life: mostly the next of one that is there."""
        at = NAMES.index(self.skein(which))
        there = [one.plan for one in self.moment.now[3] if one.plan.name == CLOTHS[at % 2]]
        if what == "next" and there:
            what = NEXT.get(there[0].status, "finished")
        elif what == "next":
            what = "wound"
        self.tried(what, lambda: carry_out(self.stash, what, at, grams, LENGTHS[0], n))

    @rule(what=st.sampled_from(("loom", "reed")), which=WHICH, metres=METRES, n=N)
    def own(self, what: str, which: int, metres: str, n: int) -> None:
        self.do(what, which, MASSES[0], metres, n)

    @rule(which=WHICH, grams=GRAMS, tare=st.sampled_from((None, "2 g", "41 g")))
    def weigh(self, which: int, grams: str, tare: str | None) -> None:
        name, tube = self.skein(which), mass(tare) if tare else None
        self.tried("weigh", lambda: balance.weigh(self.stash, name, mass(grams), tube))

    @rule(which=WHICH, amount=TAKEN, cloth=st.sampled_from((None, "Rug", *CLOTHS)))
    def take(self, which: int, amount: str, cloth: str | None) -> None:
        name, asked = self.skein(which), balance.amount(amount)
        self.tried("take", lambda: balance.take(self.stash, name, asked, cloth))

    @rule(times=st.integers(1, 3))
    def take_back(self, times: int) -> None:
        """What is to be seen is what was before the command; only of nothing is it refused."""
        self.last = "undo"
        for _ in range(times):
            if not self.moment.before:
                with pytest.raises(WrongUse):
                    undo(self.stash)
                assert rows(self.stash.path) == self.rows
                return
            undo(self.stash)
            self.moment = Moment(self.moment.before[-1], self.moment.before[:-1])
            assert seen(self.stash) == self.moment.now
            self.rows = rows(self.stash.path)

    @rule(target=files, end=st.sampled_from(("csv", "json")))
    def export(self, end: str) -> Path:
        self.last = "export"
        path = self.new_file(end)
        exported(self.stash, path.name)
        assert rows(self.stash.path) == self.rows
        return path

    @rule(file=files, dry_run=st.sampled_from((False, False, True)))
    def take_in(self, file: Path, dry_run: bool) -> None:
        self.tried(
            "import",
            lambda: import_file(self.stash, file, dry_run=dry_run),
            lambda found: found.anything and not dry_run,
        )

    @rule(content=st.one_of(TABLES, ANOTHERS_FILES))
    def take_in_anothers(self, content: tuple[str, int] | str) -> None:
        if isinstance(content, str):
            path = self.new_file("csv")
            path.write_text(content, encoding="utf-8", newline="")
        else:
            path = self.new_file(content[0])
            path.write_bytes(anothers(*content))
        self.take_in(path, dry_run=False)

    @rule(target=copies, named=st.booleans())
    def back_up(self, named: bool) -> Copy:
        self.last = "backup"
        path = self.new_file("db") if named else None
        try:
            path = backups.backup(self.stash, path).path
        except FarspunError as refused:
            said_plainly(refused)
            assert not self.stash.exists
            path = self.folder / "no copy"
        assert rows(self.stash.path) == self.rows
        return Copy(path, self.rows, self.moment)

    @rule(copy=copies)
    def put_back(self, copy: Copy) -> None:
        """What is replaced is kept; an automatic copy may have been cleared away since."""
        self.last = "restore"
        if not copy.path.exists():
            with pytest.raises(FarspunError):
                backups.restore(self.stash, copy.path)
            assert rows(self.stash.path) == self.rows
            return
        there, was = self.stash.exists, self.rows
        kept = backups.restore(self.stash, copy.path).kept
        assert rows(kept) == was if kept else not there
        self.rows = rows(self.stash.path)
        assert self.rows == copy.rows
        self.moment = copy.moment
        assert seen(self.stash) == self.moment.now

    @rule()
    def move_house(self) -> None:
        """All of it into a new stash, and on with that one; what was before is not known there."""
        self.last = "import"
        exported(self.stash, "all.json")
        self.stash = Stash(path=self.new_file("db"))
        came = import_file(self.stash, self.folder / "all.json").anything
        now = seen(self.stash)
        assert without_numbers(now) == without_numbers(self.moment.now)
        self.moment = Moment(now, (NOTHING,) if came else ())
        self.rows = rows(self.stash.path)

    @invariant()
    def all_is_well(self) -> None:
        if self.looked_at == self.rows:
            return
        hangs_together(self.stash)
        found = doctor.examine(self.stash)
        assert [one.text for one in found.wrong] == []
        self.no_gram_is_promised_twice_unsaid(found.notices)
        self.what_goes_out_comes_in()
        assert rows(self.stash.path) == self.rows
        self.looked_at = self.rows

    def no_gram_is_promised_twice_unsaid(self, found: list[doctor.Finding]) -> None:
        """Only what lowers a balance leaves more claimed than there is, and then it is said."""
        over = overclaimed(self.stash)
        assert over <= self.over or self.last in LOWERING
        self.over = over
        notices = [one.text for one in found if one.code == "overclaimed"]
        assert len(notices) == len(over)
        assert all(any(f" of “{name}”, " in text for text in notices) for name in over)
        if not over:
            return
        for check in cloths.check_cloths(self.stash):
            warned = [one.text for one in check.warnings if one.code == "overclaimed"]
            for name in {name for need in check.needs for name in need.skeins} & over:
                assert any(text.startswith(f"{name} is promised") for text in warned)

    def what_goes_out_comes_in(self) -> None:
        for end in ("json", "csv"):
            first = exported(self.stash, f"out.{end}")
            with a_folder() as folder:
                new = Stash(path=folder / "new.db")
                import_file(new, self.folder / f"out.{end}")
                assert exported(new, f"again.{end}") == first


def overclaimed(stash: Stash) -> set[str]:
    """Skeins of which cloths claim more than there is."""
    claimed = func.sum(tables.claim.c.mass_mg)
    with reading(stash) as connection:
        found = connection.execute(
            select(tables.skein.c.name)
            .join_from(tables.skein, tables.claim)
            .group_by(tables.skein.c.id)
            .having(claimed > func.coalesce(tables.skein.c.balance_mg, 0))
        )
        return set(found.scalars())


def said_plainly(refused: FarspunError) -> None:
    """What happened, and what to do."""
    assert refused.message.strip() and refused.hint.strip()
    assert refused.exit_code in (2, 3, 4, 5)


def run(examples: int, steps: int) -> None:
    run_state_machine_as_test(
        StashMachine,
        settings=settings(
            StashMachine.TestCase.settings,
            max_examples=examples,
            stateful_step_count=steps,
            deadline=None,
        ),
    )


def test_whatever_is_done_to_a_stash_everything_holds_after_each_step() -> None:
    run(examples=3, steps=10)


@pytest.mark.long
def test_five_hundred_stashes_hold_after_each_step() -> None:
    run(examples=500, steps=12)
