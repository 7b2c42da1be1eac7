"""Rewrite the tables of docs/reliability.md from what the fault tests told.

    FARSPUN_OUTCOMES=outcomes.jsonl sh tests/run tests/faults
    python tests/faults/table.py outcomes.jsonl

The first command runs every fault test, those of `long` as well, and appends a line to the file for
each; begin with no such file.
"""

import json
import sys
from collections.abc import Iterable, Sequence
from pathlib import Path

PAGE = Path(__file__).parents[2] / "docs" / "reliability.md"
KINDS = ("tried", "done", "refused", "cut_off", "lost", "half")
KILLED = ("killed between begin and commit", "killed at any moment")
EVERYTHING = "everything"


def summed(lines: Iterable[str]) -> dict[str, dict[str, int]]:
    """How often each thing came of each test, in the order they first came."""
    found: dict[str, dict[str, int]] = {}
    for line in lines:
        told = json.loads(line)
        row = found.setdefault(told["test"], dict.fromkeys(KINDS, 0))
        for kind in KINDS:
            row[kind] += told[kind]
    return dict(sorted(found.items()))


def kills(lines: Iterable[str]) -> dict[str, dict[str, int]]:
    """How often each command was killed in the middle of its transaction, and at any moment."""
    found: dict[str, dict[str, int]] = {}
    for line in lines:
        told = json.loads(line)
        if told["test"] in KILLED:
            row = found.setdefault(told["fault"], dict.fromkeys(KILLED, 0))
            row[told["test"]] += told["tried"]
    return dict(sorted(found.items()))


def table(head: Sequence[str], rows: Iterable[Sequence[object]]) -> str:
    """Rows as a table of the page."""
    lines = [head, ["---"] * len(head), *rows]
    return "\n".join(f"| {' | '.join(str(cell) for cell in line)} |" for line in lines)


def tables(lines: Sequence[str]) -> dict[str, str]:
    """The tables of the page by the name of their markers."""
    rows = [(test, *row.values()) for test, row in summed(lines).items()]
    total = [sum(int(row[at]) for row in rows) for at in range(1, len(KINDS) + 1)]
    head = ("what went wrong", "tried", "done", "refused", "cut off", "lost", "half written")
    killed = [(command, *row.values()) for command, row in kills(lines).items()]
    return {
        "outcomes": table(head, [*rows, (EVERYTHING, *total)]),
        "kills": table(("command", *KILLED), killed),
    }


def with_tables(page: str, lines: Sequence[str]) -> str:
    """The page with its tables made anew."""
    for name, text in tables(lines).items():
        before, begin, rest = page.partition(f"<!-- {name} -->\n")
        _, end, after = rest.partition(f"<!-- end of {name} -->")
        page = f"{before}{begin}\n{text}\n\n{end}{after}"
    return page


def main() -> None:
    """Rewrite the page."""
    lines = Path(sys.argv[1]).read_text(encoding="utf-8").splitlines()
    PAGE.write_text(with_tables(PAGE.read_text(encoding="utf-8"), lines), encoding="utf-8")


if __name__ == "__main__":
    main()
