"""docs/sources.md names every table of published figures and every source the code cites."""

import re
import tomllib

import pytest

from docs.pages import TOP

PAGE = (TOP / "docs" / "sources.md").read_text(encoding="utf-8")
TABLES = sorted((TOP / "fixtures" / "published").glob("*.txt"))
CITED = {
    "Ashenhurst": "1884",
    "Taylor": "1909",
    "Brooks": "1892",
    "Peirce": "1937",
    "Blanco": "1917",
    "Fenton": "1960",
    "Owen": "1956",
    "Morton": "ch. 5",
    "Henderson": "mixed-model",
    "D2260": "Table 1",
    "D1909": "Regains",
    "ISO 7211-3": "crimp",
    "Korobov": "lattice",
}
ROWS = [line for line in PAGE.splitlines() if line.startswith("| ")]


@pytest.mark.parametrize("table", TABLES, ids=lambda path: path.name)
def test_every_published_table_is_listed(table: object) -> None:
    assert f"| fixtures/published/{getattr(table, 'name', '')} |" in PAGE


@pytest.mark.parametrize(("name", "sign"), CITED.items())
def test_every_cited_source_has_its_row(name: str, sign: str) -> None:
    assert [row for row in ROWS if name in row and sign in row]


def test_no_author_is_cited_in_the_code_that_the_page_does_not_know() -> None:
    """A name with a year, as "Brooks, Cotton Manufacturing, 1892" or "Ashenhurst 1884"."""
    cited = set()
    for module in (TOP / "src" / "farspun").rglob("*.py"):
        for line in module.read_text(encoding="utf-8").splitlines():
            cited.update(re.findall(r"\b(?:[A-Z]\. )*([A-Z][a-z]{3,})\b,? .*?\b1[89]\d\d\b", line))
    assert {"Ashenhurst", "Brooks", "Blanco", "Taylor"} <= cited
    assert {name for name in cited if name not in PAGE} - {"Exact", "Source"} == set()


@pytest.mark.parametrize("mark", ["common practice, no source", "from memory", "judgement"])
def test_the_three_marks_of_the_code_are_explained(mark: str) -> None:
    assert f"**{mark}**" in PAGE


def test_the_changelog_begins_with_the_version_there_is() -> None:
    project = tomllib.loads((TOP / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    page = (TOP / "docs" / "changelog.md").read_text(encoding="utf-8")
    first = re.findall(r"^## (\S+) – (\d{4}-\d\d-\d\d)$", page, flags=re.MULTILINE)[0]
    assert first[0] == project["version"]
