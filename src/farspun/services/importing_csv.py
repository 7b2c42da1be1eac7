"""Taking in skeins from a CSV table, all or none, many at once."""

import math
from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from itertools import count
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, select

from farspun.services.csv_cells import BETWEEN, SEVERAL, cells
from farspun.services.csv_reading import ADVICE, Bad, Maps, csv_lines
from farspun.services.csv_skeins import CsvSkein, CsvSkeins
from farspun.services.csv_table import stored_readings
from farspun.services.file_asked import refusal
from farspun.services.skeins import BY_GRIST
from farspun.services.writing import Deed
from farspun.store import tables
from farspun.store.bulk import insert_rows, next_id
from farspun.store.estimates import recompute
from farspun.units import name_key

Progress = Callable[[int, int], None]
MEASURED = (
    *("mass", "tare", "strands", "once_round", "state", "tool", "length", "wrap", "label", "tug"),
)


@dataclass(frozen=True, slots=True)
class NewSkeins:
    """Those of a table that the stash does not have, and the names of those it has."""

    new: list[CsvSkein]
    passed_over: list[str]


def read_skeins(path: Path, text: str, asked: Maps, progress: Progress) -> list[CsvSkein]:
    """Every skein of the table. Raises ImpossibleValue listing every cell that is bad."""
    lines = csv_lines(path, text, asked)
    reader = CsvSkeins()
    found = []
    for at, line in enumerate(lines):
        progress(at, 2 * len(lines))  # the other half is storing them
        one = reader.understood(line)
        if one is not None:
            found.append(one)
    _refuse(path, reader.bad)
    return found


def _refuse(path: Path, bad: Sequence[Bad]) -> None:
    if bad:
        advice = ADVICE
        if any("decimal mark" in one.why for one in bad):
            advice += " If commas are its decimal marks: --map decimal=,"
        bare = sorted({one.column for one in bad if "needs its unit" in one.why})
        if bare:
            advice += (
                f" Numbers without a unit, in {', '.join(bare)}: --map “THEIR"
                f" COLUMN={bare[0]} UNIT” gives them all one."
            )
        raise refusal(path, [str(one) for one in bad], "cell", advice)


def new_skeins(connection: Connection, path: Path, skeins: Sequence[CsvSkein]) -> NewSkeins:
    """What the stash does not have yet. Raises ImpossibleValue where a name is there and the
    table says other things of it."""
    there = {row["name_key"]: row for row in connection.execute(select(tables.skein)).mappings()}
    named = [(one, there.get(name_key(one.name))) for one in skeins]
    read = stored_readings(connection) if any(row for _, row in named) else {}
    new, passed_over, bad = [], [], []
    for one, row in named:
        if row is None:
            new.append(one)
            continue
        stored, _ = cells(row, read.get(row["id"], []))
        odd = _difference(one.cells, stored)
        if odd is None:
            passed_over.append(one.name)
        else:
            why = f"“{row['name']}” is in the stash already, with {_or_none(stored[odd])}"
            bad.append(Bad(one.line, odd, one.cells[odd] or "(empty)", why))
    _refuse(path, bad)
    return NewSkeins(new, passed_over)


def _difference(came: Mapping[str, str], stored: Mapping[str, str]) -> str | None:
    """The first column in which the table says something else than the stash. What was measured
    since is not missed in the table."""
    for column, text in came.items():
        if column in SEVERAL:
            more = Counter(text.split(BETWEEN)) - Counter(stored[column].split(BETWEEN))
            if text and more:
                return column
        elif text != stored[column] and (text or column not in MEASURED):
            return column
    return None


def _or_none(text: str) -> str:
    return f"“{text}”" if text else "nothing"


def take_in(deed: Deed, skeins: Sequence[CsvSkein], progress: Progress) -> None:
    """Store the skeins, their readings, and what each holds."""
    connection, action_id = deed.connection, deed.action_id
    first = next_id(connection, tables.skein)
    own = {"action_id": action_id, "status": "open"}
    numbered = list(zip(count(first), skeins))
    rows = [
        {**one.described, **own, "id": number, "name": one.name, "name_key": name_key(one.name)}
        for number, one in numbered
    ]
    insert_rows(connection, tables.skein, rows)
    insert_rows(connection, tables.evidence, _evidence(connection, action_id, numbered))
    progress(2, 3)
    recompute(connection)
    progress(9, 10)
    made = _balances(connection, first, numbered)
    ids = count(next_id(connection, tables.entry))
    entries = [
        {
            "id": next(ids),
            "action_id": action_id,
            "skein_id": number,
            "kind": "made",
            "delta_mg": mass_mg,
            "said": said,
        }
        for number, mass_mg, said in made
    ]
    insert_rows(connection, tables.entry, entries)


def _evidence(
    connection: Connection, action_id: int, numbered: Sequence[tuple[int, CsvSkein]]
) -> list[dict[str, Any]]:
    own = {"id", "action_id", "skein_id", "kind", "said", "written"}
    empty = dict.fromkeys(column.name for column in tables.evidence.c if column.name not in own)
    ids = count(next_id(connection, tables.evidence))
    return [
        {
            **empty,
            **one.values,
            "id": next(ids),
            "action_id": action_id,
            "skein_id": number,
            "kind": one.kind,
            "said": one.said,
            "written": one.written,
        }
        for number, skein in numbered
        for one in skein.readings
    ]


def _balances(
    connection: Connection, first: int, numbered: Sequence[tuple[int, CsvSkein]]
) -> list[tuple[int, int, str]]:
    """(skein id, mg, how that is known): as weighed, else the length at the grist, if known."""
    estimate = tables.estimate
    known = {
        row.skein_id: row.ln_length + row.ln_tex
        for row in connection.execute(
            select(estimate.c.skein_id, estimate.c.ln_length, estimate.c.ln_tex).where(
                estimate.c.skein_id >= first, estimate.c.length_known, estimate.c.tex_known
            )
        )
    }
    found = []
    for number, skein in numbered:
        masses = [one for one in skein.readings if one.kind == "weighed"]
        if masses:
            found.append((number, masses[-1].values["mass_mg"], masses[-1].said))
        elif number in known:
            found.append((number, max(1, round(math.exp(known[number]))), BY_GRIST))
    return found
