"""Looking a stash through from top to bottom, and rebuilding what is only worked out."""

from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from shlex import quote

from farspun.errors import DamagedStash, WrongUse
from farspun.services.lost import lost_stash
from farspun.store import copies, engine, examining, files, migrations, seal
from farspun.store.engine import Stash, reading, writing
from farspun.store.estimates import recompute
from farspun.store.examining import MEND, PUT_BACK, Finding

__all__ = ["Finding", "Report", "examine"]

OTHERS_WRITE = 0o002
AS_IT_IS = (
    "If it was you, with another program, take it as it is: farspun doctor --as-it-is. Else put"
    " back the latest copy: farspun restore FILE."
)


@dataclass(slots=True)
class Report:
    """What a stash looks like: what is wrong, what is only worth knowing, what was rebuilt."""

    stash: str
    wrong: list[Finding] = field(default_factory=list)
    notices: list[Finding] = field(default_factory=list)
    mended: bool = False
    sealed_anew: bool = False

    @property
    def healthy(self) -> bool:
        """Nothing is wrong."""
        return not self.wrong

    def add(self, *findings: Finding) -> None:
        """Put each where it belongs."""
        for one in findings:
            (self.wrong if one.serious else self.notices).append(one)


def examine(stash: Stash, mend: bool = False, as_it_is: bool = False) -> Report:
    """Look the stash through.

    With `mend` what is worked out from the readings is rebuilt, if nothing but that is wrong, and
    nothing else is touched. With `as_it_is` a stash that another program changed is sealed as it
    is, if nothing else is wrong. Raises StashError where it cannot be looked through at all.
    """
    if mend and as_it_is:
        raise WrongUse("--mend and --as-it-is do not go together.", "Give one of them.")
    report = _examined(stash)
    if mend and report.wrong and all(one.do == MEND for one in report.wrong):
        with writing(stash) as connection:
            recompute(connection)
        report = _examined(stash)
        report.mended = True
    elif as_it_is and [one.code for one in report.wrong] == ["seal"]:
        with writing(stash, sealed=False):
            pass
        report = _examined(stash)
        report.sealed_anew = True
    return report


def _examined(stash: Stash) -> Report:
    report = Report(stash.where)
    if not stash.exists:
        lost = lost_stash(stash)
        if lost is not None:
            report.add(Finding("gone", lost.message, lost.hint))
            return report
        report.add(_notice("empty", "Nothing is stored yet.", "farspun skein add makes the stash."))
        return report
    left_over = stash.path is not None and _beside(stash.path, "-wal")
    try:
        if stash.path is not None:
            for finding in _of_the_file(stash.path):
                report.add(finding)
        with reading(stash, sealed=False) as connection:
            report.add(*examining.examined(connection))
    except DamagedStash as damage:
        report.add(Finding("damaged", damage.message, _put_back(stash)))
    if stash.path is not None:
        report.add(*_beside_the_file(stash.path, left_over))
    return report


def _put_back(stash: Stash) -> str:
    """What to do about damage, with the newest copy by name."""
    made = [] if stash.path is None else copies.made(stash.path)
    return f"{PUT_BACK} The newest: {made[-1]}" if made else PUT_BACK


def _of_the_file(path: Path) -> Iterator[Finding]:
    """Who may write it, its schema, its seal. Raises DamagedStash."""
    if not files.may_write(path):
        line = f"You may read {path} and not write it."
        do = "Give yourself the right to write the file and its folder."
        yield Finding("read-only", line, do)
    if path.stat().st_mode & OTHERS_WRITE:
        line = f"Everybody on this computer may write {path}."
        yield _notice("open-to-all", line, f"If that is not meant: chmod o-w {quote(str(path))}")
    with copies.source(path, engine.BUSY_TIMEOUT_S) as connection:
        step = files.step_in(connection, str(path))
        if 0 < step < migrations.NEWEST:
            line = f"Its schema is step {step} of {migrations.NEWEST}."
            do = "The next command that writes brings it up, after a copy."
            yield _notice("older-schema", line, do)
        if not seal.fits(connection):
            yield Finding(
                "seal", "What the file holds is not what farspun last wrote in it.", AS_IT_IS
            )


def _beside_the_file(path: Path, left_over: bool) -> list[Finding]:
    """The folder, and what lies in it."""
    found = []
    if left_over:
        if _beside(path, "-wal"):
            line = "Another program has the stash open, or the last one was broken off."
            do = "Close it if you can. What it finished is safe; the next command tidies up."
        else:
            line = "A command was broken off; what it had finished was in a file beside the stash."
            do = "Nothing: it is in the stash now."
        found.append(_notice("left-over", line, do))
    for one in copies.unfinished(path):
        line = f"{one} is a copy that was never finished."
        found.append(_notice("unfinished", line, "Delete it, or leave it to the next backup."))
    if not copies.made(path):
        line = f"There is no copy of it in {copies.folder_of(path)}."
        found.append(_notice("no-copy", line, "Make one: farspun backup"))
    return found


def _beside(path: Path, name: str) -> bool:
    one = path.with_name(path.name + name)
    return one.exists() and one.stat().st_size > 0


def _notice(code: str, text: str, do: str) -> Finding:
    return Finding(code, text, do, serious=False)
