"""README.md: its two commands, its five minutes run in order, and the links of every page."""

import re
from pathlib import Path

import pytest

from docs.pages import README, TOP, Example, answered, examples, same

PAGES = [README, *sorted(TOP.glob("docs/**/*.md")), TOP / "DEVELOPERS.md"]
LINK = re.compile(r"\]\(([^)#\s]+)(?:#[^)\s]*)?\)")


def test_every_command_of_the_readme_answers_what_is_written_below_it(tmp_path: Path) -> None:
    shown = examples(README.read_text(encoding="utf-8"))
    assert len(shown) >= 12
    for example in shown:
        output = answered(example, tmp_path).output
        if not same(example, output):
            assert example.shown == output, f"farspun {example.words}: write README.md anew"


def test_the_readme_begins_with_the_job_and_its_two_commands() -> None:
    page = README.read_text(encoding="utf-8")
    first = page.index("```")
    assert page.startswith("# farspun\n\nWill my handspun reach?")
    assert page[first:].startswith("```\nsh src/run demo\nsh tests/run\n```\n")


def test_a_json_answer_may_differ_only_beyond_the_ninth_figure() -> None:
    example = Example("farspun grist --json", '{"tex": 123.456789012}\n')
    assert same(example, '{"tex": 123.4567890121}\n')
    assert not same(example, '{"tex": 123.4568}\n')
    assert not same(example, '{"nm": 123.456789012}\n')


@pytest.mark.parametrize("page", PAGES, ids=lambda path: path.name)
def test_the_links_of_a_page_lead_somewhere(page: Path) -> None:
    links = LINK.findall(page.read_text(encoding="utf-8"))
    assert [link for link in links if not (page.parent / link).exists()] == []
