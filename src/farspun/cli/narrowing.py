"""Building only what is asked for: every command of the tree costs a millisecond to build."""

from collections.abc import Sequence

import typer

HELP = "--help"  # lists them all


def leave_only(app: typer.Typer, words: Sequence[str]) -> None:
    """Take from the tree the commands that no word of a command line names.

    All stay where help is asked of a group, or nothing that is there is named: then the tree tells
    what there is.
    """
    _narrow(app, words)
    for group in app.registered_groups:
        if group.typer_instance is not None and group.name in words:
            _narrow(group.typer_instance, words[words.index(group.name) + 1 :])


def _narrow(app: typer.Typer, words: Sequence[str]) -> None:
    names = set(words)
    groups = [one for one in app.registered_groups if one.name in names]
    commands = [one for one in app.registered_commands if one.name in names]
    found = [one.name for one in groups] + [one.name for one in commands]
    first = min((words.index(name) for name in found if name is not None), default=None)
    if first is not None and HELP not in words[:first]:
        app.registered_groups, app.registered_commands = groups, commands
