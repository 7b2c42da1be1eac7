"""farspun to-spin: shortfalls turned into work at the wheel, or into packs to buy."""

from typing import Annotated, Any

import typer

from farspun.cli.opening import stash_to_read
from farspun.cli.options import Json, loss_option, option, reader
from farspun.cli.printing import print_json, say
from farspun.units import Quantity, angle, crimp_from_take_up, plies


def add_to(app: typer.Typer) -> None:
    """Hang the command on the tree."""
    app.command("to-spin", short_help="What to spin or buy, and how.")(to_spin)


Angle = Annotated[
    Quantity | None,
    option(
        "angle",
        "DEG",
        reader(angle, "twist angle"),
        "Slant of the twist to the yarn's length: 25 or 25deg, else 30 for warp, 25 for weft.",
    ),
]
Plies = Annotated[
    Any,
    option(
        "plies",
        "N",
        reader(plies, "plies"),
        "Singles twisted together: 2; 1:2 for two, one twice as thick. Else as the yarn has.",
    ),
]
PreparationLoss = Annotated[
    Quantity | None,
    loss_option("preparation loss", "Prepared fibre lost on the way to yarn, else 10%."),
]
PlyingTakeUp = Annotated[
    Quantity | None,
    loss_option("plying take-up", "Singles lost to going round each other, else +5%."),
]


def to_spin(
    ctx: typer.Context,
    cloth: Annotated[
        str | None, typer.Argument(metavar="CLOTH", help="One cloth, else all of them.")
    ] = None,
    angle: Angle = None,
    plies: Plies = None,
    preparation_loss: PreparationLoss = None,
    plying_take_up: PlyingTakeUp = None,
    json: Json = False,
) -> None:
    """What to spin for every yarn that is short: fibre, singles, twist, and a card to check by."""
    from farspun.cli.spin_words import work_document, work_lines
    from farspun.services import to_spin as service

    asked = service.SpinAsked(
        angle_deg=None if angle is None else angle.value,
        plies=plies,
        preparation_loss=None if preparation_loss is None else preparation_loss.value,
        plying_take_up=(
            None if plying_take_up is None else crimp_from_take_up(plying_take_up.value)
        ),
    )
    found = service.to_spin(stash_to_read(ctx), asked, cloth)
    if json:
        print_json([work_document(one) for one in found])
    else:
        say(*work_lines(found))
