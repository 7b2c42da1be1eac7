"""farspun cloth cut: pieces laid out on a cloth, and the cloth planned for them."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from farspun.cli.cloth_options import CM, takes_cloth_options
from farspun.cli.options import Json, length_option
from farspun.units import Quantity, cut_piece

if TYPE_CHECKING:
    from farspun.services.cloth_asked import ClothAsked
    from farspun.services.cutting import CutAsked

# of the cloth's own options: what a cloth to be cut settles by itself, or has not
LEFT_OUT = (
    *("size", "pieces", "cut", "hem", "side_hem", "fringe", "fringe_from_waste", "gap"),
    "default",
)

Name = Annotated[str, typer.Argument(metavar="NAME", help="The cloth's name, new or planned.")]
Pieces = Annotated[
    list[str] | None,
    typer.Option(
        "--piece",
        metavar="PIECE",
        help='Name, finished width x length, how many: "front 34cmx38cm x2"; "free" behind it if'
        " it may be turned. Again for each.",
        show_default=False,
    ),
]
Width = Annotated[
    Quantity | None,
    length_option(
        "width",
        "Finished width of the cloth, else as planned; of a new one, what takes least yarn.",
        zero=False,
    ),
]
Seam = Annotated[
    Quantity | None, length_option("seam", "Turned in at each edge of a piece, else 1.5 cm.")
]
RawEdge = Annotated[
    Quantity | None,
    length_option("raw edge", "Lost of each cut edge to fraying and its stitches, else 0.5 cm."),
]
Selvedge = Annotated[
    Quantity | None, length_option("selvedge", "Cut off each side of the cloth, else 1 cm.")
]
Grain = Annotated[
    str | None,
    typer.Option(
        metavar="fixed|free",
        help="free: pieces may be turned by a quarter; fixed: not, as where nothing is said.",
        show_default=False,
    ),
]
Nap = Annotated[
    bool, typer.Option("--nap", help="The cloth lies one way: every piece with its top up.")
]
Panels = Annotated[
    bool, typer.Option("--panels", help="Sew what is too wide for the loom from strips.")
]
Out = Annotated[
    Path | None,
    typer.Option("--out", metavar="FILE.svg", help="Draw the lay.", show_default=False),
]


def add_to(commands: typer.Typer) -> None:
    """Hang the command among those of cloths."""
    commands.command("cut", short_help="Lay out pieces to cut, and plan the cloth for them.")(
        takes_cloth_options(*LEFT_OUT)(cut)
    )


def cut(
    ctx: typer.Context,
    name: Name,
    asked: "ClothAsked",
    piece: Pieces = None,
    width: Width = None,
    seam: Seam = None,
    raw_edge: RawEdge = None,
    selvedge: Selvedge = None,
    grain: Grain = None,
    nap: Nap = False,
    panels: Panels = False,
    out: Out = None,
    imperial: Annotated[
        bool, typer.Option("--imperial", help="Where each piece lies, in inches.")
    ] = False,
    dry_run: Annotated[
        bool, typer.Option("--dry-run", help="Only tell what it would come to; store nothing.")
    ] = False,
    json: Json = False,
) -> None:
    """Lay out pieces to be cut, plan the cloth long enough for them, and tell if it will reach."""
    from farspun.cli.lay_words import print_cut
    from farspun.services.cutting import cut_cloth
    from farspun.services.opening import stash_at

    wanted = _cut_asked(piece or [], nap, panels, grain, width=width, seam=seam,
                        raw_edge=raw_edge, selvedge=selvedge)  # fmt: skip
    print_cut(cut_cloth(stash_at(ctx.obj), name, asked, wanted, out, dry_run), json, imperial)


def _cut_asked(
    pieces: list[str], nap: bool, panels: bool, grain: str | None, **lengths: Quantity | None
) -> "CutAsked":
    """The options as plain numbers, in cm; what was not said is left to its default."""
    from farspun.errors import ImpossibleValue
    from farspun.services.cutting import CutAsked

    if grain not in (None, "fixed", "free"):
        raise ImpossibleValue("grain", f"“{grain}”", "fixed or free")
    said: dict[str, Any] = {}
    for name, quantity in lengths.items():
        if quantity is not None:
            if quantity.sd is not None:
                what = name.replace("_", " ")
                raise ImpossibleValue(what, quantity.said, "one length, without ±")
            said[f"{name}_cm"] = quantity.value * CM
    read = tuple(cut_piece(text) for text in pieces)
    return CutAsked(read, free=grain == "free", nap=nap, panels=panels, **said)
