"""Writing the stash to a file: skeins as a table (CSV), or everything (JSON)."""

import json
from dataclasses import dataclass
from pathlib import Path

from farspun.services.csv_table import csv_table
from farspun.services.file_asked import ascii_safe, kind_of, refuse_no_place, write_whole
from farspun.services.stash_document import stash_document
from farspun.store.engine import Stash, reading

KINDS = ("skeins", "cloths", "looms", "reeds")


@dataclass(frozen=True, slots=True)
class Exported:
    """How much of each kind was written, and what was left out, in words."""

    written: dict[str, int]
    left_out: list[str]


def is_there(path: Path) -> bool:
    """Whether a file would be written over. Raises WrongUse for another kind, or no such place."""
    kind_of(path)
    refuse_no_place(path)
    return path.is_file()


def shown(path: Path) -> str:
    """The name as it can be printed."""
    return ascii_safe(path)


def export(stash: Stash, path: Path) -> Exported:
    """Write the stash to `path`, over what is there. Raises WrongUse."""
    if kind_of(path) == "csv":
        with reading(stash) as connection:
            table = csv_table(connection)
        write_whole(path, table.text)
        return Exported({"skeins": table.skeins}, table.left_out)
    with reading(stash) as connection:
        document = stash_document(connection)
    text = json.dumps(document, ensure_ascii=False, indent=1, allow_nan=False)
    write_whole(path, text + "\n")
    return Exported({kind: len(document[kind]) for kind in KINDS}, [])
