"""farspun demo: the three questions, answered from an invented stash."""

import shlex
import sys
from collections.abc import Mapping
from contextlib import redirect_stderr
from pathlib import Path
from textwrap import fill
from typing import Any

import typer

from farspun.cli.printing import say

LINE = 79  # characters
OTHERWISE = {
    "reaches": "would reach",
    "uncertain": "would still be uncertain",
    "falls short": "would still fall short",
}
OPENING = (
    "Will my handspun reach? An invented shelf of {skeins} skeins, {looms} looms and {cloths}"
    " planned cloths was built just now, in a file of its own; your own stash is not touched."
    " After each $ stands what you would type for yours, and below it what farspun answers."
)


def add_to(app: typer.Typer) -> None:
    """Hang the command on the tree."""
    app.command("demo")(demo)


def demo() -> None:
    """See it at work on an invented stash; your own is not touched."""
    from typer.main import get_command

    from farspun.cli.app import app
    from farspun.services import demo as service

    whole = get_command(app)  # this command was built alone

    data = service.scenario()
    place = service.made(data)
    numbers = {f"{kind}s": len(data[kind]) for kind in ("skein", "loom", "cloth")}
    say(fill(OPENING.format(**numbers), LINE))
    for step in data["walk"]:
        _show(step, place, whole)
    say(*_going_on(place))


def _show(step: Mapping[str, Any], place: Path, farspun: Any) -> None:
    """A step's words, then each of its command lines with what `farspun` answers."""
    if "title" in step:
        say("", step["title"], "-" * len(step["title"]))
    say("", fill(step["words"], LINE))
    for line in step["run"]:
        say("", f"$ {line.strip()}")
        _run(line, place, farspun)
    if "but_for" in step:
        say("", fill(_but_for(place, **step["but_for"]), LINE))


def _run(line: str, place: Path, farspun: Any) -> None:
    """Run a command line on the stash at `place`, its messages among its answers."""
    words = shlex.split(line.replace("\\\n", " "))[1:]
    with redirect_stderr(sys.stdout):
        farspun.main(["--stash", str(place), *words], prog_name="farspun", standalone_mode=False)


def _but_for(place: Path, cloth: str, other: str) -> str:
    from farspun.services import demo as service
    from farspun.units import say_odds

    check = service.but_for(place, cloth, other)
    odds = "" if check.asked_odds is None else f": {say_odds(check.asked_odds, check.promise)}"
    return f"But for the yarn kept for {other}, {cloth} {OTHERWISE[check.verdict]}{odds}."


def _going_on(place: Path) -> list[str]:
    where = shlex.quote(str(place))
    return [
        "",
        "And now yours",
        "-------------",
        "",
        "Your own stash is made with the first skein you add:",
        "",
        "  farspun skein add NAME --mass 112g --strands 180 --once-round 1.5m --state relaxed",
        "  farspun skein add --help      all that can be said of a skein",
        "  farspun loom add --help       looms; reeds and heddles: farspun reed add --help",
        "  farspun cloth plan --help     plan a cloth; without storing it: farspun reach --help",
        "",
        "This demo's stash stays where it is, to look around in and to try things on:",
        "",
        f"  farspun --stash {where} skein list",
        "",
        "Nothing else reads that file. Delete its folder whenever you like.",
    ]
