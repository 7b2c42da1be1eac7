"""farspun picture reach, sizes, progress, lessons: charts, and what they tell in words."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from farspun.cli.cloth_options import CM, takes_cloth_options
from farspun.cli.largest import Length, Shape, Width
from farspun.cli.opening import stash_to_read
from farspun.cli.options import Json
from farspun.cli.printing import ask_before, labelled, print_json, say

if TYPE_CHECKING:
    from farspun.services.charts import Drawn
    from farspun.services.cloth_asked import ClothAsked

Out = Annotated[
    Path,
    typer.Option(
        "--out",
        metavar="FILE.svg|FILE.png",
        help="Where to draw it: .svg is lines, for print; .png is dots.",
        show_default=False,
    ),
]
Force = Annotated[bool, typer.Option("--force", help="Draw over the file without asking.")]
Name = Annotated[str, typer.Argument(metavar="NAME", help="The cloth's name.")]


def add_charts(group: typer.Typer) -> None:
    """Hang the charts among the pictures."""
    group.command("reach")(reach)
    group.command("sizes")(
        takes_cloth_options("size", "ends", "warp_cut", "priority", "default")(sizes)
    )
    group.command("progress")(progress)
    group.command("lessons")(lessons)


def reach(
    ctx: typer.Context, name: Name, out: Out, force: Force = False, json: Json = False
) -> None:
    """Of a cloth: what each yarn needs against what there is, and what makes it doubtful."""
    from farspun.services.chart_reach import draw_reach

    _ask_before(out, force)
    _tell(draw_reach(stash_to_read(ctx), name, out), json)


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

    _ask_before(out, force)
    held = [None if side is None else side.value * CM for side in (width, length)]
    wish = Wish(held[0], held[1], shape, table=True)
    _tell(draw_sizes(stash_to_read(ctx), asked, wish, out), json)


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

    _ask_before(out, force)
    _tell(draw_progress(stash_to_read(ctx), name, skein, out), json)


def lessons(ctx: typer.Context, out: Out, force: Force = False, json: Json = False) -> None:
    """What your cloths taught: for each factor the habit, the records, and what is expected now."""
    from farspun.services.chart_lessons import draw_lessons

    _ask_before(out, force)
    _tell(draw_lessons(stash_to_read(ctx), out), json)


def _ask_before(out: Path, force: bool) -> None:
    """Where the file is there already."""
    from farspun.services.charts import is_there, shown

    if is_there(out):
        ask_before(f"{shown(out)} is there already. Draw over it?", force, "--force")


def _tell(drawn: "Drawn | str", json: bool) -> None:
    """The file, and the picture in words; or why there is none."""
    if isinstance(drawn, str):
        if json:
            print_json({"file": None, "why": drawn})
        else:
            say(*labelled("", drawn))
    elif json:
        print_json(drawn)
    else:
        say(f"Drawn: {drawn.file}", *labelled("Words", drawn.told))
