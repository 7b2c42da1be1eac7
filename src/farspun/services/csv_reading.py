"""Reading a CSV file: its lines by their number, its columns by our names."""

import csv
import io
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from farspun.errors import FarspunError, UnreadableValue, WrongUse, nearest_names
from farspun.services.csv_cells import COLUMNS, QUANTITIES
from farspun.services.file_asked import refusal
from farspun.units.number import shown

DELIMITERS = ",;\t"
MOST_CELL = 10_000  # characters; judgement: a note has 2000 at most
LEFT_OUT = "-"
BARE = re.compile(r"[0-9]+([.,/ ][0-9]+)*")  # a number that was written without its unit
THOUSANDS = re.compile("[1-9][0-9]{0,2}(?:,[0-9]{3})+(?![0-9])")
# what others call our columns; for a question only, never taken for granted
ALSO_CALLED = {
    "name": ("skein", "yarn", "title"),
    "fibre": ("fiber", "content", "material", "blend"),
    "mass": ("weight", "grams", "ounces", "gram", "oz", "g"),
    "length": ("yards", "yardage", "metres", "meters", "metre", "yd", "m"),
    "wpi": ("wraps", "wraps per inch"),
    "place": ("where", "location", "box", "shelf"),
    "note": ("notes", "remarks", "comment", "comments"),
    "colour": ("color", "colours", "colors"),
    "spun": ("date", "finished"),
}
DECIMAL_COMMA = re.compile("(?<=[0-9]),(?=[0-9])")
ADVICE = "Mend the file and import it again; docs/csv.md tells the columns."

MAP_ADVICE = "Name a column by --map “THEIRS=ours”, leave one out by --map “THEIRS=-”."


@dataclass(frozen=True, slots=True)
class Line:
    """A line of the table: where it begins in the file, and its cells by our column."""

    number: int
    cells: dict[str, str]


@dataclass(frozen=True, slots=True)
class Bad:
    """A cell, or a whole line, that cannot be."""

    line: int
    column: str
    value: str
    why: str

    def __str__(self) -> str:
        value = f" “{shown(self.value)}”" if self.value else ""
        where = f", {self.column}{value}" if self.column else value
        return f"line {self.line}{where}: {self.why}"


@dataclass(frozen=True, slots=True)
class Maps:
    """Their columns by our names (None: left out), whether the decimal mark is a comma, and the
    unit of each of their columns whose numbers are written without one."""

    columns: dict[str, str | None] = field(default_factory=dict)
    decimal_comma: bool = False
    units: dict[str, str] = field(default_factory=dict)


def maps(texts: Sequence[str]) -> Maps:
    """Read what --map was given. Raises WrongUse.

    >>> maps(["Weight=mass oz", "Price=-", "decimal=,"])
    Maps(columns={'Weight': 'mass', 'Price': None}, decimal_comma=True, units={'Weight': 'oz'})
    """
    columns: dict[str, str | None] = {}
    units: dict[str, str] = {}
    decimal_comma = False
    for text in texts:
        theirs, sign, ours = (part.strip() for part in text.rpartition("="))
        if (theirs.casefold(), ours) == ("decimal", ","):
            decimal_comma = True
            continue
        if not sign or not theirs or not ours:
            raise WrongUse(
                f"“{shown(text)}” maps nothing.",
                "Write --map “THEIR COLUMN=our_column”, “Weight=mass oz”, “THEIRS=-” or"
                " “decimal=,”.",
            )
        ours, _, unit = ours.partition(" ")
        if unit and ours not in QUANTITIES:
            raise WrongUse(
                f"The column “{shown(ours)}” has no unit.",
                f"Only these have one: {', '.join(QUANTITIES)}.",
            )
        if unit:
            units[theirs] = unit.strip()
        if ours != LEFT_OUT and ours not in COLUMNS:
            raise WrongUse(f"There is no column “{shown(ours)}” here.", _offer(ours))
        if theirs in columns:
            raise WrongUse(f"“{shown(theirs)}” is mapped twice.", "Map each column once.")
        columns[theirs] = None if ours == LEFT_OUT else ours
    return Maps(columns, decimal_comma, units)


def _offer(name: str) -> str:
    words = re.split(r"[^a-z]+", name.casefold())
    for ours, others in ALSO_CALLED.items():
        if any(word in others for word in words):
            return f"Is it “{ours}”? --map “{name}={ours}”"
    near = nearest_names(name, COLUMNS, most=1)
    return f"Did you mean “{near[0]}”?" if near else f"The columns are {', '.join(COLUMNS)}."


@dataclass(frozen=True, slots=True)
class _Row:
    """A row of the file: the line it begins on, its cells' number, whether nothing is in them."""

    line: int
    cells: int
    blank: bool


def csv_lines(path: Path, text: str, asked: Maps) -> list[Line]:
    """The lines below the heading, blank ones left out. Raises UnreadableValue, ImpossibleValue."""
    delimiter = _delimiter(text, asked)
    rows = _rows(path, text, delimiter)
    while rows and rows[0].blank:
        rows.pop(0)
    if not rows:
        raise UnreadableValue("the file", str(path), "there is nothing in its cells", ADVICE)
    head = rows[0]
    table = "\n".join(text.split("\n")[head.line - 1 :])
    names = next(csv.reader(io.StringIO(table), delimiter=delimiter))
    ours = _columns(path, head.line, names, asked)
    units = {at: asked.units.get(names[at].strip()) for at in ours}
    ragged = [
        Bad(row.line, "", "", f"cells: {row.cells}, in the heading: {head.cells}")
        for row in rows
        if not row.blank and row.cells != head.cells
    ]
    if ragged:
        raise refusal(path, [str(one) for one in ragged], "line", ADVICE)
    cells = _cells(table, delimiter, max(row.cells for row in rows), ours, units, asked)
    return [
        Line(row.line, dict(zip(ours.values(), found, strict=True)))
        for row, found in zip(rows, cells, strict=True)
        if row is not head and not row.blank
    ]


def _delimiter(text: str, asked: Maps) -> str:
    """The one that makes most known columns out of the heading; a comma of equals."""
    head = text.lstrip("\n").partition("\n")[0]
    known = {name.casefold() for name in (*COLUMNS, *asked.columns)}

    def makes(delimiter: str) -> tuple[int, int]:
        names = next(csv.reader([head], delimiter=delimiter), [])
        return sum(name.strip().casefold() in known for name in names), len(names)

    return max(DELIMITERS, key=makes)


def _rows(path: Path, text: str, delimiter: str) -> list[_Row]:
    """Every row. A line break in quotes ends no row, but counts as a line of the file."""
    reader = csv.reader(io.StringIO(text), delimiter=delimiter, strict=True)
    rows, begins = [], 1
    try:
        for row in reader:
            rows.append(_Row(begins, len(row), not any(cell.strip() for cell in row)))
            begins = reader.line_num + 1
    except csv.Error as trouble:
        why = str(trouble)
        if "unexpected end" in why:
            why = "a quotation mark is not closed"
        elif "field limit" in why:
            why = "a cell is too long to be one"
        raise UnreadableValue("the file", str(path), f"line {begins}: {why}", ADVICE) from None
    return rows


def _columns(path: Path, line: int, names: Sequence[str], asked: Maps) -> dict[int, str]:
    """Our name of each of their columns that is read, by its position."""
    ours: dict[int, str] = {}
    bad = [
        Bad(line, "column", name, "it is mapped, and the file has no such column")
        for name in sorted(set(asked.columns) - {name.strip() for name in names})
    ]
    for at, name in enumerate(one.strip() for one in names):
        if name in asked.columns:
            column = asked.columns[name]
        elif name.casefold() in COLUMNS:
            column = name.casefold()
        else:
            column = None
            why = f"there is no such column. {_offer(name)}" if name else "it has no name"
            bad.append(Bad(line, "column", name, why))
        if column in ours.values():
            bad.append(Bad(line, "column", name, f"“{column}” is there twice"))
        elif column is not None:
            ours[at] = column
    if not bad and "name" not in ours.values():
        bad.append(Bad(line, "column", "name", "it is missing, and every skein has a name"))
    if bad:
        raise refusal(path, [str(one) for one in bad], "column", MAP_ADVICE)
    return ours


def _cells(
    table: str,
    delimiter: str,
    width: int,
    ours: Mapping[int, str],
    units: Mapping[int, str | None],
    asked: Maps,
) -> Iterator[tuple[str, ...]]:
    """The cells of our columns, row by row, read by pandas as they stand."""
    from pandas import read_csv

    frame = read_csv(
        io.StringIO(table),
        sep=delimiter,
        header=None,
        names=list(range(width)),
        usecols=list(ours),
        dtype=str,
        na_filter=False,
        skip_blank_lines=False,
        index_col=False,
    )
    for at, column in ours.items():
        if units[at]:
            bare = frame[at].str.strip().str.fullmatch(BARE)
            frame[at] = frame[at].str.strip() + bare.map({True: f" {units[at]}", False: ""})
        if asked.decimal_comma and column in QUANTITIES:
            # “1,200” may be either: it is left as it is, and so asked about
            one_thing = ~frame[at].str.contains(THOUSANDS)
            pointed = frame[at].str.replace(DECIMAL_COMMA, ".", regex=True)
            frame[at] = frame[at].where(~one_thing, pointed)
    return zip(*(frame[at].str.strip().tolist() for at in ours), strict=True)


def too_long(line: Line) -> Iterator[Bad]:
    """Cells that no skein can have."""
    if max(map(len, line.cells.values())) <= MOST_CELL:
        return
    for column, value in line.cells.items():
        if len(value) > MOST_CELL:
            why = f"{len(value)} characters, and at most {MOST_CELL} are read"
            yield Bad(line.number, column, value, why)


def reason(error: FarspunError) -> str:
    """Why, and what would do, on one line."""
    why = getattr(error, "allowed", None) or error.message
    return f"{str(why).rstrip('.')}. {error.hint}".strip()
