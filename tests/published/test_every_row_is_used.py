"""Nothing typed from a source lies unused: a forgotten row fails the run.

The check reads the test modules instead of watching them run, so that it holds however the tests
are divided between processes. Rows of a section that is taken cannot be left out, because
`published` runs the test for all of them and fails where a cell was not read.
"""

import ast
from collections.abc import Iterator
from pathlib import Path

from published.published import FOLDER, sections

TESTS = Path(__file__).resolve().parents[1]


def _taken(module: Path) -> Iterator[tuple[str, str]]:
    """(file, section) of each `@published("file", "section")` above a test of a module."""
    for node in ast.walk(ast.parse(module.read_text(encoding="utf-8"))):
        if isinstance(node, ast.FunctionDef) and node.name.startswith("test_"):
            for decorator in node.decorator_list:
                if isinstance(decorator, ast.Call) and ast.unparse(decorator.func) == "published":
                    name, section = (ast.literal_eval(argument) for argument in decorator.args)
                    yield name, section


def test_every_section_of_every_published_table_is_taken_by_a_test() -> None:
    taken = {pair for module in TESTS.rglob("test_*.py") for pair in _taken(module)}
    typed = {
        (path.stem, section) for path in FOLDER.glob("*.txt") for section in sections(path.stem)
    }
    assert typed, "fixtures/published is empty"
    assert not typed - taken, "typed in but taken by no test"


def test_only_tables_the_reader_understands_lie_in_the_folder() -> None:
    assert [path.name for path in FOLDER.iterdir() if path.suffix != ".txt"] == []
