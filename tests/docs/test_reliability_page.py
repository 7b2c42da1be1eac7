"""The tables of docs/reliability.md: whole, of these very tests, and nothing lost in them."""

import ast
import re
from pathlib import Path

from faults.table import EVERYTHING, KINDS, summed, table, with_tables
from faults.test_killed import COMMANDS

TOP = Path(__file__).parents[2]
PAGE = (TOP / "docs" / "reliability.md").read_text(encoding="utf-8")
LEAST_KILLS, LEAST_OF_EACH = 300, 10


def rows(name: str) -> list[list[str]]:
    text = PAGE.partition(f"<!-- {name} -->")[2].partition(f"<!-- end of {name} -->")[0]
    found = re.findall(r"^\| (.*) \|$", text, flags=re.MULTILINE)
    return [row.split(" | ") for row in found[2:]]


def names_that_tell() -> set[str]:
    """The names that the fault tests give their outcomes."""
    found = set()
    for path in (TOP / "tests" / "faults").glob("test_*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Call) and getattr(node.func, "id", "") == "Outcome":
                found.add(ast.literal_eval(node.args[0]))
    return found


def test_every_fault_test_has_its_row_and_no_other() -> None:
    assert {row[0] for row in rows("outcomes")} == names_that_tell() | {EVERYTHING}


def test_nothing_was_lost_and_nothing_half_written() -> None:
    for test, *counts in rows("outcomes"):
        tried, done, refused, cut_off, lost, half = map(int, counts)
        assert (lost, half) == (0, 0), test
        assert tried == done + refused + cut_off > 0, test


def test_the_last_row_adds_the_others_up() -> None:
    *single, total = [[int(count) for count in row[1:]] for row in rows("outcomes")]
    assert [sum(column) for column in zip(*single, strict=True)] == total


def test_every_command_that_writes_was_killed_often_enough() -> None:
    kills = {command: [int(one) for one in counts] for command, *counts in rows("kills")}
    assert kills.keys() == COMMANDS.keys()
    assert all(sum(each) >= LEAST_OF_EACH for each in kills.values())
    between, anywhere = (sum(column) for column in zip(*kills.values(), strict=True))
    assert between + anywhere >= LEAST_KILLS
    assert between >= (between + anywhere) / 2 - 1


def test_the_tables_are_made_of_what_the_tests_tell() -> None:
    line = (
        '{"test": "killed at any moment", "fault": "undo", "tried": 3, "done": 1, "refused": 0,'
        ' "cut_off": 2, "lost": 0, "half": 0}'
    )
    assert list(summed([line, line])["killed at any moment"].values()) == [6, 2, 0, 4, 0, 0]
    page = with_tables("<!-- outcomes -->\nold\n<!-- end of outcomes -->\n", [line])
    assert "old" not in page and "| killed at any moment | 3 | 1 | 0 | 2 | 0 | 0 |" in page
    assert len(KINDS) == page.splitlines()[2].count("|") - 2
    assert table(("a", "b"), [(1, 2)]) == "| a | b |\n| --- | --- |\n| 1 | 2 |"
