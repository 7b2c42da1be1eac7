"""farspun cloth weigh: the ball on the scale, half-way through a cloth."""

from typing import TYPE_CHECKING, Annotated

import typer

from farspun.cli.life import Name, skein_and_mass
from farspun.cli.opening import stash_to_read, stash_to_write
from farspun.cli.options import Json, length_option, option, reader
from farspun.cli.printing import labelled, print_json, say, tell
from farspun.errors import WrongUse
from farspun.units import Quantity, mass

if TYPE_CHECKING:
    from farspun.services.halfway_answers import HalfwayAnswer


def add_to(cloth: typer.Typer) -> None:
    """Hang the command on `farspun cloth`."""
    cloth.command("weigh")(weigh)


def weigh(
    ctx: typer.Context,
    name: Name,
    woven: Annotated[
        Quantity | None, length_option("woven", "Woven so far, by the tape, tight.")
    ] = None,
    ball: Annotated[
        list[str] | None,
        typer.Option(
            "--ball",
            metavar="SKEIN=MASS",
            help="A skein's ball and loaded shuttle, weighed; 0g if used up. Once for each skein.",
        ),
    ] = None,
    tare: Annotated[
        Quantity | None,
        option("tare", "MASS", reader(mass, "tare"), "Of the bare shuttle, in each --ball."),
    ] = None,
    json: Json = False,
) -> None:
    """Weigh the ball while the cloth is on the loom: will it last to the end?

    Without --woven: what the balls weighed so far say.
    """
    from farspun.services.halfway import look_at_cloth, weigh_cloth

    if woven is None:
        if ball or tare is not None:
            raise WrongUse("How much is woven was not told.", "Give it with the ball: --woven 58cm")
        answer = look_at_cloth(stash_to_read(ctx), name)
    else:
        balls = [skein_and_mass(text, "ball") for text in ball or ()]
        answer = weigh_cloth(stash_to_write(ctx), name, woven, balls, tare)
    if json:
        print_json(answer)
    else:
        _print(answer)


def _print(answer: "HalfwayAnswer") -> None:
    from farspun.services.halfway_words import heading, rows, verdict_sentence, way_sentence

    for yarn in answer.yarns:
        say(verdict_sentence(yarn, answer))
    say("", heading(answer))
    for yarn in answer.yarns:
        if len(answer.yarns) > 1:
            say("", " + ".join(yarn.skeins))
        for label, text in rows(yarn):
            say(*labelled(label, text))
        if yarn.ways:
            say("", "What can be done:")
            for way in yarn.ways:
                say(*labelled("-", way_sentence(way, yarn)))
    tell(*answer.remarks)
