"""Building only what is asked for: every command of the tree costs a millisecond to build."""

from collections.abc import Sequence
from copy import copy

import typer

HELP = "--help"  # lists them all


def narrowed(app: typer.Typer, words: Sequence[str]) -> typer.Typer:
    """The tree with only the commands that a word of a command line names; `app` stays whole.

    All are there where help is asked of a group, or nothing that is there is named: then the tree
    tells what there is.
    """
    names = set(words)
    groups = [one for one in app.registered_groups if one.name in names]
    commands = [one for one in app.registered_commands if one.name in names]
    found = [one.name for one in groups] + [one.name for one in commands]
    first = min((words.index(name) for name in found if name is not None), default=None)
    if first is None or HELP in words[:first]:
        return app
    lean = copy(app)
    lean.registered_groups = [copy(one) for one in groups]
    lean.registered_commands = commands
    for group in lean.registered_groups:
        if group.typer_instance is not None and group.name is not None:
            inner = words[words.index(group.name) + 1 :]
            group.typer_instance = narrowed(group.typer_instance, inner)
    return lean
