"""Taking in a file: skeins from a table (CSV), or a whole stash (JSON). All or nothing."""

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from farspun.errors import WrongUse
from farspun.services import importing_csv, importing_json
from farspun.services.backups import before
from farspun.services.csv_reading import maps
from farspun.services.csv_skeins import CsvSkein
from farspun.services.document import StashDocument
from farspun.services.file_asked import ascii_safe, kind_of, text_of
from farspun.services.importing_csv import Progress
from farspun.services.writing import doing
from farspun.store.engine import Stash, reading

MOST_REMARKS = 20  # judgement: what a screen holds
MOST_NAMES = 4  # judgement: what a line holds


@dataclass(frozen=True, slots=True)
class Imported:
    """How much of each kind was new, the names of what was there already, remarks to make."""

    new: dict[str, int]
    passed_over: dict[str, list[str]]
    remarks: list[str]
    dry_run: bool

    @property
    def anything(self) -> bool:
        """Something was new."""
        return any(self.new.values())


def _silent(done: int, of: int) -> None:
    """No progress is shown."""


def import_file(
    stash: Stash,
    path: Path,
    mapped: Sequence[str] = (),
    dry_run: bool = False,
    progress: Progress = _silent,
) -> Imported:
    """Take in a file; what is in the stash already, just so, is passed over.

    `mapped` as for --map; with `dry_run` nothing is stored. Raises UnreadableValue for a file that
    cannot be read, ImpossibleValue listing everything bad in it, WrongUse.
    """
    kind = kind_of(path)
    asked = maps(mapped)
    if kind == "json":
        if mapped:
            raise WrongUse("--map is for CSV files.", "Leave it out.")
        document = importing_json.read_document(path, text_of(path))
        return _import_document(stash, path, document, dry_run)
    skeins = importing_csv.read_skeins(path, text_of(path), asked, progress)
    return _import_skeins(stash, path, skeins, dry_run, progress)


def _import_skeins(
    stash: Stash, path: Path, skeins: list[CsvSkein], dry_run: bool, progress: Progress
) -> Imported:
    with reading(stash) as connection:
        found = importing_csv.new_skeins(connection, path, skeins)
    if found.new and not dry_run:
        said = f"{ascii_safe(Path(path.name))}: {_many(len(found.new), 'skein')}"
        before(stash, "import")
        with doing(stash, "import", said) as deed:
            found = importing_csv.new_skeins(deed.connection, path, skeins)
            importing_csv.take_in(deed, found.new, progress)
    remarks = _gathered(found.new)
    passed_over = {"skeins": found.passed_over}
    return Imported({"skeins": len(found.new)}, passed_over, remarks, dry_run)


def _gathered(skeins: Sequence[CsvSkein]) -> list[str]:
    """Each remark once, with the skeins it is about."""
    about: dict[str, list[str]] = {}
    for one in skeins:
        for remark in one.remarks:
            about.setdefault(remark, []).append(one.name)
    lines = []
    for remark, names in about.items():
        listed = ", ".join(names[:MOST_NAMES])
        more = len(names) - MOST_NAMES
        lines.append(f"{listed}{f' and {more} more' if more > 0 else ''}: {remark}")
    if len(lines) > MOST_REMARKS:
        more = len(lines) - MOST_REMARKS
        lines = [*lines[:MOST_REMARKS], f"… and {_many(more, 'more remark')} of that sort."]
    return lines


def _import_document(stash: Stash, path: Path, document: StashDocument, dry_run: bool) -> Imported:
    with reading(stash) as connection:
        found = importing_json.arriving(connection, path, document)
    if not found.empty and not dry_run:
        many = ", ".join(
            _many(len(things), kind.removesuffix("s"))
            for kind, things in found.new.items()
            if things
        )
        said = f"{ascii_safe(Path(path.name))}: {many}"
        before(stash, "import")
        with doing(stash, "import", said, room=len(found.actions)) as deed:
            found = importing_json.arriving(deed.connection, path, document)
            importing_json.take_in(deed, path, found)
    counts = {kind: len(things) for kind, things in found.new.items()}
    return Imported(counts, found.passed_over, [], dry_run)


def _many(number: int, what: str) -> str:
    return f"{number} {what}" if number == 1 else f"{number} {what}s"
