"""The command tree, and the one place where an error becomes a message.

Nothing heavy is imported here: `farspun --help` must stay as quick as Typer itself.
"""

import os
import sys
from typing import Annotated, Any, Literal, get_args, get_origin

import typer
from typer.core import TyperGroup

from farspun.errors import EXIT_FAULT, FarspunError

# as `--help` lists them: what she does first comes first
ORDER = (
    "demo",
    "web",
    "skein",
    "cloth",
    "shortfalls",
    "share-out",
    "to-spin",
    "lessons",
    "reach",
    "match",
    "largest",
    "loom",
    "reed",
    "picture",
    "undo",
    "import",
    "export",
    "backup",
    "restore",
    "doctor",
    "sett",
    "geometry",
    "draft",
    "grist",
    "reckon",
    "lash",
    "odds",
)


class FarspunGroup(TyperGroup):
    """Runs a command and turns every error into two plain lines and an exit code."""

    def list_commands(self, ctx: Any) -> list[str]:
        """What she does first comes first, groups among commands."""
        known = [name for name in ORDER if name in self.commands]
        return known + [name for name in self.commands if name not in ORDER]

    def invoke(self, ctx: Any) -> Any:
        """As TyperGroup, but no traceback reaches the person."""
        try:
            return super().invoke(ctx)
        except FarspunError as error:
            said = error.message[:1].upper() + error.message[1:]
            listed = [f"  {fault}" for fault in error.faults]
            print(said, *listed, error.hint, sep="\n", file=sys.stderr)
            raise typer.Exit(error.exit_code) from None
        except typer.BadParameter as bad:
            choices = _choices(bad.param)
            if not choices:
                raise
            print(*_choice_lines(bad, choices), sep="\n", file=sys.stderr)
            raise typer.Exit(bad.exit_code) from None
        except BrokenPipeError:
            # the reader (head, less) has seen enough: silence the flush at exit too
            os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
            raise typer.Exit(0) from None
        except Exception as fault:
            if isinstance(fault, typer.Exit | typer.Abort) or hasattr(fault, "exit_code"):
                raise
            raise typer.Exit(_report_fault(fault)) from None


def _choices(param: Any) -> list[str]:
    """The few words that an option takes; none where it takes others."""
    annotation = getattr(getattr(param, "type_descriptor", None), "annotation", None)
    return list(get_args(annotation)) if get_origin(annotation) is Literal else []


def _choice_lines(bad: Any, choices: list[str]) -> tuple[str, str]:
    """Of an option that takes one of a few words: what was wrong, and which words there are."""
    option = bad.param.opts[0]
    given = bad.message.removeprefix("Value error, ").split(" is not one of ")
    said = f"{option} cannot be {given[0]}." if len(given) > 1 else f"{option} was not said."
    return said, f"Say one of: {option} {', '.join(choices)}."


def _report_fault(fault: Exception) -> int:
    """Write the traceback to the log, one sentence to stderr; return the exit code."""
    from farspun.services.faults import write_down

    where = write_down(fault, sys.argv[1:])
    print(f"This is a fault of farspun itself, not of yours; {where}.", file=sys.stderr)
    print("The stash holds only what was finished before. Please try again.", file=sys.stderr)
    return EXIT_FAULT


app = typer.Typer(
    name="farspun",
    cls=FarspunGroup,
    help="Will my handspun reach? Keeps your skeins, and tells before a warp is cut.",
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
)


def _print_version(asked: bool) -> None:
    if asked:
        from importlib.metadata import version

        print(f"farspun {version('farspun')}")
        raise typer.Exit(0)


@app.callback()
def stash_option(
    ctx: typer.Context,
    version: Annotated[
        bool,
        typer.Option(
            "--version", callback=_print_version, is_eager=True, help="Print the version and exit."
        ),
    ] = False,
    stash: Annotated[
        str | None,
        typer.Option(
            "--stash",
            envvar="FARSPUN_STASH",
            metavar="PATH_OR_URL",
            help="The stash to use, else a file in your data folder.",
            show_envvar=True,
        ),
    ] = None,
) -> None:
    """Remember which stash is meant."""
    ctx.obj = stash


def _add_commands() -> None:
    """Each module of a command group adds itself to the tree."""
    from farspun.cli import commands

    commands.add_to(app)


_add_commands()
