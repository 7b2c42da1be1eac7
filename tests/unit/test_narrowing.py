"""Only the commands that a command line names are built; where none is, all are there."""

import typer

from farspun.cli.narrowing import narrowed


def tree() -> typer.Typer:
    """Two commands, and a group of two."""
    app, group = typer.Typer(), typer.Typer()
    for name in ("undo", "reach"):
        app.command(name)(lambda: None)
    for name in ("check", "plan"):
        group.command(name)(lambda: None)
    app.add_typer(group, name="cloth")
    return app


def left(*words: str) -> tuple[list[str | None], list[str | None]]:
    """Names at the top, and in the group where it is still there."""
    whole = tree()
    before = names_of(whole)
    app = narrowed(whole, words)
    assert names_of(whole) == before  # a command that runs others, as the demo does, needs it
    return names_of(app)


def names_of(app: typer.Typer) -> tuple[list[str | None], list[str | None]]:
    """Names at the top, and in its groups."""
    groups = app.registered_groups
    top = [one.name for one in (*groups, *app.registered_commands)]
    inner = [one.typer_instance for one in groups if one.typer_instance]
    return top, [one.name for group in inner for one in group.registered_commands]


def test_the_command_named_is_left_alone():
    assert left("undo", "--dry-run") == (["undo"], [])
    assert left("--stash", "my.db", "cloth", "check", "Shawl") == (["cloth"], ["check"])


def test_a_value_that_is_called_like_a_command_keeps_it_too():
    assert left("--stash", "undo", "cloth", "check", "plan") == (
        ["cloth", "undo"],
        ["check", "plan"],
    )


def test_help_of_a_group_lists_all_of_it():
    assert left("--help") == (["cloth", "undo", "reach"], ["check", "plan"])
    assert left("--help", "undo") == (["cloth", "undo", "reach"], ["check", "plan"])
    assert left("cloth", "--help", "check") == (["cloth"], ["check", "plan"])
    assert left("cloth", "check", "--help") == (["cloth"], ["check"])


def test_what_is_not_there_is_answered_from_the_whole_tree():
    assert left("clot", "chek") == (["cloth", "undo", "reach"], ["check", "plan"])
    assert left("cloth", "chek") == (["cloth"], ["check", "plan"])
    assert left() == (["cloth", "undo", "reach"], ["check", "plan"])
