"""How answers reach the screen: text or one JSON document to stdout, messages to stderr."""

import json
import math
import sys
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import asdict, is_dataclass
from textwrap import wrap
from typing import Any

from farspun.errors import WrongUse
from farspun.services.wording import Row, in_100, to_have, to_weigh

__all__ = [
    "LABEL",
    "LINE",
    "ask_before",
    "cells",
    "in_100",
    "labelled",
    "labelled_rows",
    "left",
    "print_json",
    "print_table",
    "say",
    "table_lines",
    "tell",
    "to_have",
    "to_weigh",
]

LINE = 92  # characters
LABEL = 8  # characters before what is said


def print_json(answer: Any) -> None:
    """Print one JSON document; dataclasses become objects, unknown (NaN) becomes null."""
    print(json.dumps(_plain(answer), ensure_ascii=False, indent=2, allow_nan=False))


def _plain(value: Any) -> Any:
    if is_dataclass(value) and not isinstance(value, type):
        return _plain(asdict(value))
    if isinstance(value, Mapping):
        return {str(key): _plain(item) for key, item in value.items()}
    if isinstance(value, str) or value is None or isinstance(value, bool):
        return value
    if hasattr(value, "tolist"):
        return _plain(value.tolist())
    if isinstance(value, float):
        return value if math.isfinite(value) else None
    if isinstance(value, Iterable):
        return [_plain(item) for item in value]
    return value


def say(*lines: str) -> None:
    """Print lines of an answer to stdout."""
    for line in lines:
        print(line)


def tell(*lines: str) -> None:
    """Print a message (a warning, a word on what was read) to stderr."""
    for line in lines:
        print(line, file=sys.stderr)


def ask_before(question: str, yes: bool, option: str = "--yes") -> None:
    """Ask before something is given up; `yes`, of `option`, skips it. No leaves things be."""
    import typer

    if yes:
        return
    try:
        agreed = typer.confirm(question, err=True)
    except typer.Abort:
        raise WrongUse(
            "Nobody answered, so nothing was changed.",
            f"To go on without being asked, add {option}.",
        ) from None
    if not agreed:
        tell("Nothing was changed.")
        raise typer.Exit(0)


def cells(text: str) -> int:
    """How many places of a line the text takes: some signs take two, some none."""
    if text.isascii():
        return len(text)
    from rich.cells import cell_len

    return cell_len(text)


def left(text: str, width: int) -> str:
    """The text, filled with spaces to so many places."""
    return text + " " * (width - cells(text))


def labelled(label: str, text: str) -> Iterator[str]:
    """A label and what belongs to it, wrapped under itself."""
    first, rest = label.ljust(LABEL), " " * LABEL
    yield from wrap(
        text, LINE, initial_indent=first, subsequent_indent=rest, break_on_hyphens=False
    )


def labelled_rows(rows: Iterable[Row]) -> Iterator[str]:
    """Labels and what belongs to them, one after another."""
    for label, text in rows:
        yield from labelled(label, text)


def print_table(
    headings: Sequence[str], rows: Sequence[Sequence[str]], right: Sequence[int] = ()
) -> None:
    """Rows under headings: drawn by rich in a terminal, plain columns when piped.

    `right` names the columns (from 0) that are set to the right. Nothing is cut off when piped.
    """
    if sys.stdout.isatty():
        from rich.console import Console
        from rich.table import Table
        from rich.text import Text

        table = Table(box=None, pad_edge=False, header_style="bold")
        for number, heading in enumerate(headings):
            table.add_column(
                Text(heading), justify="right" if number in right else "left", overflow="fold"
            )
        for row in rows:
            table.add_row(*(Text(cell) for cell in row))
        Console(highlight=False).print(table)
        return
    say(*table_lines(headings, rows, right))


def table_lines(
    headings: Sequence[str], rows: Sequence[Sequence[str]], right: Sequence[int] = ()
) -> Iterator[str]:
    """Rows under headings in plain columns; `right` names those (from 0) set to the right."""
    widths = [max(cells(cell) for cell in column) for column in zip(headings, *rows, strict=True)]
    for row in (headings, *rows):
        filled = (
            cell.rjust(width) if number in right else left(cell, width)
            for number, (cell, width) in enumerate(zip(row, widths, strict=True))
        )
        yield "  ".join(filled).rstrip()
