"""docs/cli.md is what the commands say of themselves."""

from collections.abc import Iterator
from typing import Any

import pytest
import typer

from docs.pages import CLI, cli_page
from farspun.cli.app import app


def _commands(command: Any, path: str) -> Iterator[tuple[str, Any]]:
    yield path, command
    for name, below in getattr(command, "commands", {}).items():
        yield from _commands(below, f"{path} {name}")


COMMANDS = dict(_commands(typer.main.get_command(app), "farspun"))


def test_the_page_is_in_step_with_the_commands() -> None:
    assert CLI.read_text(encoding="utf-8") == cli_page(), "run: python tests/docs/pages.py"


@pytest.mark.parametrize("path", COMMANDS)
def test_every_command_has_its_heading_and_its_options_on_the_page(path: str) -> None:
    _, _, below = cli_page().partition(f"# {path}\n")
    section = below.partition("\n## ")[0].partition("\n### ")[0]
    assert section
    for parameter in COMMANDS[path].params:
        assert f"| `{parameter.opts[0]}" in section or parameter.param_type_name == "argument"


@pytest.mark.parametrize("path", COMMANDS)
def test_every_command_and_option_says_what_it_is_for_in_a_sentence(path: str) -> None:
    command = COMMANDS[path]
    told = [command.help, *(parameter.help for parameter in command.params)]
    assert [text for text in told if not (text and text.rstrip().endswith((".", "?")))] == []
