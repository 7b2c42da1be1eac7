"""The reader of published tables refuses what would let a figure go unchecked."""

from pathlib import Path

import pytest

from published.published import Row, last_digit, sections

HEADER = "# source: nobody\n# units: none\n# verified: not\n"


def _write(folder: Path, body: str) -> None:
    (folder / "sample.txt").write_text(HEADER + body, encoding="utf-8")


def test_rows_are_read_with_their_cells_as_typed(tmp_path: Path) -> None:
    _write(tmp_path, "[one]\nid | a | b\nx | 29.5 | 8 9\n\n[two]\nid | c\ny | 1/4\n")
    found = sections("sample", tmp_path)
    assert list(found) == ["one", "two"]
    assert found["one"][0].number("a") == 29.5
    assert found["one"][0].numbers("b") == [8, 9]
    assert found["two"][0].number("c") == 0.25


def test_a_cell_no_test_has_read_is_found() -> None:
    row = Row("sample", "one", {"id": "x", "a": "1", "b": "2", "empty": "", "source": "book"})
    row.number("a")
    assert row.unread() == ["b"]


@pytest.mark.parametrize(
    ("printed", "unit"),
    [("29.5", 0.1), ("240", 1.0), ("0.810", 0.001), ("20.92%", 0.0001), ("5", 1.0)],
)
def test_the_tolerance_is_one_unit_of_the_last_printed_digit(printed: str, unit: float) -> None:
    assert last_digit(printed) == pytest.approx(unit)


def test_a_row_may_give_its_own_tolerance() -> None:
    part = Row("sample", "one", {"id": "x", "a": "200", "tolerance": "0.5%"})
    plain = Row("sample", "one", {"id": "x", "a": "200", "tolerance": "3"})
    assert part.tolerance("a") == pytest.approx(1.0)
    assert plain.tolerance("a") == 3.0


def test_a_value_outside_the_tolerance_fails_with_both_numbers() -> None:
    row = Row("sample", "one", {"id": "x", "a": "29.5"})
    row.check("a", 29.6)
    with pytest.raises(pytest.fail.Exception, match=r"printed as 29\.5, calculated 29\.61"):
        row.check("a", 29.61)
    with pytest.raises(pytest.fail.Exception):
        row.check("a", float("nan"))


@pytest.mark.parametrize(
    ("body", "complaint"),
    [
        ("[one]\nid | a\nx | 1\nx | 2\n", "used twice"),
        ("[one]\nid | a\n", "without rows"),
        ("[one]\na | id\n1 | x\n", "start with id"),
        ("[one]\nid | a\nx | 1\n[one]\nid | a\ny | 1\n", "used twice"),
        ("", "without rows"),
    ],
)
def test_a_table_with_a_slip_in_it_is_refused(tmp_path: Path, body: str, complaint: str) -> None:
    _write(tmp_path, body)
    with pytest.raises(AssertionError, match=complaint):
        sections("sample", tmp_path)


def test_a_table_without_its_source_is_refused(tmp_path: Path) -> None:
    (tmp_path / "sample.txt").write_text("[one]\nid | a\nx | 1\n", encoding="utf-8")
    with pytest.raises(AssertionError, match="source"):
        sections("sample", tmp_path)
