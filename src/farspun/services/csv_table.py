"""The stash's open skeins as a CSV table, and what such a table has no place for."""

import csv
import io
from dataclasses import dataclass

from sqlalchemy import Connection, RowMapping, select

from farspun.services.csv_cells import COLUMNS, Read, cells
from farspun.store import tables
from farspun.store.ledger import touched_skeins
from farspun.store.rows import in_sight, stands
from farspun.store.skeins import in_order
from farspun.units import name_key


@dataclass(frozen=True, slots=True)
class CsvTable:
    """The text of the file, how many skeins are in it, and what was left out, in words."""

    text: str
    skeins: int
    left_out: list[str]


def csv_table(connection: Connection) -> CsvTable:
    """Every open skein, by name."""
    rows = connection.execute(select(tables.skein).where(in_sight(tables.skein))).mappings().all()
    kept = sorted(
        (row for row in rows if row["status"] == "open"),
        key=lambda row: (in_order(row["name"]), name_key(row["name"])),
    )
    read = stored_readings(connection)
    file = io.StringIO()
    writer = csv.DictWriter(file, COLUMNS, lineterminator="\n")
    writer.writeheader()
    later = 0
    for row in kept:
        found, left = cells(row, read.get(row["id"], []))
        writer.writerow(found)
        later += left
    left_out = _left_out(connection, {row["id"] for row in kept}, len(rows) - len(kept), later)
    return CsvTable(file.getvalue(), len(kept), left_out)


def stored_readings(connection: Connection) -> dict[int, list[Read]]:
    """The readings that stand, by skein, in the order they were made."""
    rows = connection.execute(
        select(tables.evidence).where(stands(tables.evidence)).order_by(tables.evidence.c.id)
    ).mappings()
    found: dict[int, list[Read]] = {}
    for row in rows:
        found.setdefault(row["skein_id"], []).append(Read.stored(row))
    return found


def _left_out(connection: Connection, kept: set[int], closed: int, later: int) -> list[str]:
    used = len(touched_skeins(connection, None) & kept)
    counts: list[tuple[int, str, str]] = [
        (later, "later reading", "later readings"),
        (used, "skein's takes and weighings", "skeins' takes and weighings"),
        (closed, "closed skein", "closed skeins"),
        *(_count(connection, kind) for kind in ("cloth", "loom", "reed")),
    ]
    return [f"{many} {one if many == 1 else more}" for many, one, more in counts if many]


def _count(connection: Connection, kind: str) -> tuple[int, str, str]:
    table = getattr(tables, kind)
    query = select(table.c.id)
    rows: list[RowMapping] = list(
        connection.execute(
            query.where(in_sight(table)) if table is tables.cloth else query
        ).mappings()
    )
    return len(rows), kind, f"{kind}s"
