"""farspun picture reach, sizes, progress, lessons: charts, and what they tell in words."""

from typing import TYPE_CHECKING, Annotated

import typer

from farspun.cli.cloth_options import CM, takes_cloth_options
from farspun.cli.drawing import Force, Name, Out, ask_before_drawing, tell_drawn
from farspun.cli.largest import Length, Shape, Width
from farspun.cli.opening import stash_to_read
from farspun.cli.options import Json

if TYPE_CHECKING:
    from farspun.services.cloth_asked import ClothAsked


def add_charts(group: typer.Typer) -> None:
    """Hang the charts among the pictures."""
    group.command("reach", short_help="Its yarns: need against have, and doubt.")(reach)
    group.command("sizes", short_help="How wide and how long it can be.")(
        takes_cloth_options("size", "ends", "warp_cut", "priority", "default")(sizes)
    )
    group.command("progress", short_help="On the loom: how far its ball lasts.")(progress)
    group.command("lessons", short_help="What your cloths taught.")(lessons)


def reach(
    ctx: typer.Context, name: Name, out: Out, force: Force = False, json: Json = False
) -> None:
    """Of a cloth: what each yarn needs against what there is, and what makes it doubtful."""
    from farspun.services.chart_reach import draw_reach

    ask_before_drawing(out, force)
    tell_drawn(draw_reach(stash_to_read(ctx), name, out), json)


def sizes(
    ctx: typer.Context,
    asked: "ClothAsked",
    out: Out,
    width: Width = None,
    length: Length = None,
    shape: Shape = None,
    force: Force = False,
    json: Json = False,
) -> None:
    """How wide and how long a cloth these skeins weave, as farspun largest --sizes tells it.

    --width, --length or --shape marks that cloth as well.
    """
    from farspun.services.chart_sizes import draw_sizes
    from farspun.services.largest import Wish

    ask_before_drawing(out, force)
    held = [None if side is None else side.value * CM for side in (width, length)]
    wish = Wish(held[0], held[1], shape, table=True)
    tell_drawn(draw_sizes(stash_to_read(ctx), asked, wish, out), json)


def progress(
    ctx: typer.Context,
    name: Name,
    out: Out,
    skein: Annotated[
        str | None,
        typer.Option(
            "--weft",
            metavar="SKEIN",
            help="Which of several wefts; else the one likeliest to give out.",
        ),
    ] = None,
    force: Force = False,
    json: Json = False,
) -> None:
    """Of a cloth on the loom: what its ball weighed, and what it should weigh to the end."""
    from farspun.services.chart_progress import draw_progress

    ask_before_drawing(out, force)
    tell_drawn(draw_progress(stash_to_read(ctx), name, skein, out), json)


def lessons(ctx: typer.Context, out: Out, force: Force = False, json: Json = False) -> None:
    """What your cloths taught: for each factor the habit, the records, and what is expected now."""
    from farspun.services.chart_lessons import draw_lessons

    ask_before_drawing(out, force)
    tell_drawn(draw_lessons(stash_to_read(ctx), out), json)
