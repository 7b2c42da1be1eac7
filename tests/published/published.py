"""Reads fixtures/published: tables typed from printed sources, the spine of the tests.

A file begins with comment lines (``#``), among them ``# source:``, ``# units:`` and
``# verified:``. Then come sections: a title in square brackets, a line of column names, and rows,
cells separated by ``|``. The first column is ``id`` and no id is used twice in a file::

    [reed numbers]
    id         | dents | per inch | source
    metric 30  | 30    | 7.62     | arithmetic

A test takes a whole section and is run once for each of its rows::

    @published("setts", "reed numbers")
    def test_a_metric_reed_is_not_an_inch_reed(row):
        row.check("per inch", dents_per_inch(row.number("dents")))

So that nothing typed in is left unused, a test that did not read every cell of its row fails, and
tests/published/test_every_row_is_used.py fails for a section no test takes. Columns named in
`ABOUT` are for the reader of the file and need not be read.
"""

import functools
import re
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import pytest

FOLDER = Path(__file__).resolve().parents[2] / "fixtures" / "published"
ABOUT = {"id", "source", "note", "tolerance"}
HEADINGS = ("source:", "units:", "verified:")


@dataclass
class Row:
    """One printed line: its cells as typed, and which of them a test has read."""

    file: str
    section: str
    cells: dict[str, str]
    read: set[str] = field(default_factory=set)

    @property
    def id(self) -> str:
        return self.cells["id"]

    def text(self, column: str) -> str:
        """The cell as typed."""
        self.read.add(column)
        return self.cells[column]

    def number(self, column: str) -> float:
        """The cell as a number: 29.5, 1/28 (ratio), 12% (0.12)."""
        return _number(self.text(column))

    def numbers(self, column: str) -> list[float]:
        """A cell of several numbers separated by spaces or commas."""
        return [_number(part) for part in re.split(r"[,\s]+", self.text(column)) if part]

    def tolerance(self, column: str) -> float:
        """One unit of the last printed digit, or what the row's own `tolerance` cell says.

        That cell is a number in the column's unit ("0.5") or a part of the printed value ("0.3%").
        """
        given = self.cells.get("tolerance", "")
        if not given:
            return last_digit(self.cells[column])
        size = _number(given)
        return abs(_number(self.cells[column])) * size if given.endswith("%") else size

    def check(self, column: str, got: float) -> None:
        """Fail unless `got` is within the tolerance of the printed value."""
        printed, tolerance = self.number(column), self.tolerance(column)
        if not abs(float(got) - printed) <= tolerance * (1 + 1e-9):
            pytest.fail(
                f"{self.file} [{self.section}] {self.id}: {column} is printed as "
                f"{self.cells[column]}, calculated {float(got)!r} (tolerance {tolerance:g})"
            )

    def unread(self) -> list[str]:
        """Columns with something in them that no test looked at."""
        return [name for name, cell in self.cells.items() if cell and name not in self.read | ABOUT]


def _number(text: str) -> float:
    if text.endswith("%"):
        return float(text[:-1]) / 100
    top, _, bottom = text.partition("/")
    return float(top) / float(bottom) if bottom else float(text)


def last_digit(printed: str) -> float:
    """One unit of the last digit of a number as printed.

    >>> last_digit("29.5"), last_digit("240"), last_digit("8.0%")
    (0.1, 1.0, 0.001)
    """
    digits = printed.removesuffix("%")
    unit = 10.0 ** -len(digits.partition(".")[2])
    return round(unit / 100, 12) if printed.endswith("%") else unit


def sections(name: str, folder: Path = FOLDER) -> dict[str, list[Row]]:
    """Every section of fixtures/published/NAME.txt, with its rows."""
    path = folder / f"{name}.txt"
    lines = path.read_text(encoding="utf-8").splitlines()
    _check_header(path, [line for line in lines if line.startswith("#")])
    found: dict[str, list[Row]] = {}
    columns: list[str] | None = None
    section = ""
    for number, line in enumerate(lines, start=1):
        if line.startswith("#") or not line.strip():
            continue
        if line.startswith("["):
            section, columns = line.strip()[1:-1], None
            assert section not in found, f"{path.name}:{number}: section used twice"
            found[section] = []
            continue
        cells = [cell.strip() for cell in line.split("|")]
        if columns is None:
            columns = cells
            assert section and columns[0] == "id", f"{path.name}:{number}: columns start with id"
        else:
            row = dict(zip(columns, cells, strict=True))
            found[section].append(Row(name, section, row))
    _check_rows(path, found)
    return found


def _check_header(path: Path, comments: Iterable[str]) -> None:
    said = [line.lstrip("# ").casefold() for line in comments]
    for heading in HEADINGS:
        if not any(line.startswith(heading) for line in said):
            raise AssertionError(f"{path.name}: no comment line “# {heading} …”")


def _check_rows(path: Path, found: dict[str, list[Row]]) -> None:
    ids = [row.id for rows in found.values() for row in rows]
    twice = {one for one in ids if ids.count(one) > 1}
    assert not twice, f"{path.name}: ids used twice: {sorted(twice)}"
    empty = [title for title, rows in found.items() if not rows]
    assert found and not empty, f"{path.name}: sections without rows: {empty}"


def published(name: str, section: str) -> Callable[[Callable[..., None]], Any]:
    """Run a test for each row of one section; the test must read the whole `row`.

    Write both arguments as plain strings: the check that every section is used reads them.
    """
    rows = sections(name)[section]

    def decorate(test: Callable[..., None]) -> Any:
        @functools.wraps(test)
        def reads_the_whole_row(row: Row, **others: Any) -> None:
            row.read.clear()
            test(row=row, **others)
            if unread := row.unread():
                pytest.fail(f"{row.file} [{row.section}] {row.id}: not read by the test: {unread}")

        return pytest.mark.parametrize("row", rows, ids=[row.id for row in rows])(
            reads_the_whole_row
        )

    return decorate
