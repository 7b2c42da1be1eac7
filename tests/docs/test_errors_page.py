"""docs/errors.md: every kind of error and exit code, with examples that are run."""

import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from docs.pages import ERRORS, answered, examples, odd_files
from farspun import errors
from farspun.errors import FarspunError
from farspun.store.trouble import locked, read_only

PAGE = ERRORS.read_text(encoding="utf-8")


def _kinds(kind: type[FarspunError]) -> Iterator[type[FarspunError]]:
    yield kind
    for below in kind.__subclasses__():
        yield from _kinds(below)


KINDS = list(_kinds(FarspunError))


def test_the_kinds_of_the_page_are_the_ones_there_are() -> None:
    rows = re.findall(r"^\| (\w+) \| `([\w-]+)` \| (\d+) \|$", PAGE, flags=re.MULTILINE)
    assert rows == [(kind.__name__, kind.slug, str(kind.exit_code)) for kind in KINDS]


def test_the_exit_codes_of_the_page_are_the_ones_there_are() -> None:
    codes = {int(code) for code in re.findall(r"^\| (\d+) \| ", PAGE, flags=re.MULTILINE)}
    own = {value for name, value in vars(errors).items() if name.startswith("EXIT_")}
    assert codes == {0} | own | {kind.exit_code for kind in KINDS}


@pytest.mark.parametrize("kind", KINDS[1:], ids=lambda kind: kind.slug)
def test_every_kind_has_a_section_with_an_example(kind: type[FarspunError]) -> None:
    _, _, below = PAGE.partition(f"\n## {kind.slug} ({kind.exit_code})\n")
    section = below.partition("\n## ")[0]
    assert re.search(r"^```", section, flags=re.MULTILINE)


def test_every_example_ends_as_its_section_says(tmp_path: Path) -> None:
    odd_files(tmp_path)
    number = 0
    for section in PAGE.split("\n## ")[1:]:
        code = int(re.findall(r"\((\d+)\)$", section.partition("\n")[0])[0])
        for example in examples(section):
            result = answered(example, tmp_path)
            assert result.output == example.shown, example.line
            assert result.exit_code == code or result.stderr == "", example.line
            number += 1
    assert number >= 8


@pytest.mark.parametrize("error", [locked("stash.db"), read_only("stash.db")])
def test_what_cannot_be_shown_by_an_example_is_quoted_as_it_is(error: FarspunError) -> None:
    assert f"```text\n{error.message}\n{error.hint}\n```" in PAGE
