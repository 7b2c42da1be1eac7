"""farspun loom, farspun reed: the looms, reeds and rigid heddles you own."""

from typing import TYPE_CHECKING, Annotated, Literal

import typer

from farspun.cli import options
from farspun.cli.opening import stash_to_read, stash_to_write
from farspun.cli.printing import print_json, print_table, say, tell
from farspun.units import CM_PER_INCH, Quantity, dents, length, say_cm, say_inches, whole

if TYPE_CHECKING:
    from farspun.services.equipment import Loom, Reed

loom = typer.Typer(help="Your looms.", no_args_is_help=True, rich_markup_mode=None)
reed = typer.Typer(
    help="Your reeds and rigid heddles.", no_args_is_help=True, rich_markup_mode=None
)

CM_PER_10CM = 10


def add_to(app: typer.Typer) -> None:
    """Hang both groups on the tree."""
    app.add_typer(loom, name="loom")
    app.add_typer(reed, name="reed")


def _width(text: str) -> Quantity:
    return length(text, "width")


def _waste(text: str) -> Quantity:
    return length(text, "waste", zero=True)


def _shafts(text: str | int) -> int:
    return whole(str(text), "shafts")


LoomName = Annotated[str, typer.Argument(metavar="NAME", help="The loom's name.")]
ReedName = Annotated[str, typer.Argument(metavar="NAME", help="The reed's name.")]


@loom.command("add")
def add_loom(
    ctx: typer.Context,
    name: LoomName,
    kind: Annotated[
        Literal["rigid-heddle", "table", "floor", "frame"], typer.Option(help="What it is.")
    ],
    width: Annotated[
        Quantity,
        typer.Option(metavar="LENGTH", parser=_width, help="Widest it weaves, in the reed."),
    ],
    waste: Annotated[
        Quantity | None,
        typer.Option(
            metavar="LENGTH",
            parser=_waste,
            help="Loom waste, if you know yours: 50cm±8cm. Not said: as usual for its kind.",
        ),
    ] = None,
    tie: Annotated[
        Literal["knots", "lashed"], typer.Option(help="How the warp is tied on at the front.")
    ] = "knots",
    shafts: Annotated[
        int | None, typer.Option(metavar="N", parser=_shafts, help="How many shafts.")
    ] = None,
) -> None:
    """Add a loom."""
    from farspun.services import equipment

    added = equipment.add_loom(stash_to_write(ctx), name, kind, width, waste, tie, shafts)
    lifts = f", {added.shafts} shafts" if added.shafts else ""
    said = f"{kind} loom{lifts}, {say_cm(added.width_cm)} wide, tied with {_tied(added)}"
    say(f"{added.name}: {said}.")
    say(f"{' ' * len(added.name)}  {say_inches(added.width_cm)} wide")


@loom.command("list")
def list_looms(ctx: typer.Context, json: options.Json = False) -> None:
    """Every loom."""
    from farspun.services import equipment

    looms = equipment.list_looms(stash_to_read(ctx))
    if json:
        print_json(looms)
    elif looms:
        print_table(
            ["loom", "kind", "width", "", "waste", "front", "shafts"],
            [_loom_row(one) for one in looms],
            right=(2, 3, 6),
        )


@reed.command("add")
def add_reed(
    ctx: typer.Context,
    name: ReedName,
    density: Annotated[
        Quantity, typer.Argument(metavar="DENTS", parser=dents, help="30/10cm, 8 dpi.")
    ],
    rigid_heddle: Annotated[
        bool, typer.Option("--rigid-heddle", help="A rigid heddle: holes and slots.")
    ] = False,
    on: Annotated[
        str | None, typer.Option("--loom", metavar="NAME", help="The loom it belongs to.")
    ] = None,
) -> None:
    """Add a reed or a rigid heddle."""
    from farspun.services import equipment

    stash = stash_to_write(ctx)
    added, remark = equipment.add_reed(stash, name, density, rigid_heddle, on)
    what = "rigid heddle" if rigid_heddle else "reed"
    say(f"{added.name}: {what}, {added.said}{f', for {added.loom}' if added.loom else ''}.")
    say(f"{' ' * len(added.name)}  {_per_10cm(added)} dents in 10 cm")
    say(f"{' ' * len(added.name)}  {_per_inch(added)} dents per inch")
    if remark:
        tell(remark)


@reed.command("list")
def list_reeds(ctx: typer.Context, json: options.Json = False) -> None:
    """Every reed and rigid heddle."""
    from farspun.services import equipment

    reeds = equipment.list_reeds(stash_to_read(ctx))
    if json:
        print_json(reeds)
    elif reeds:
        print_table(
            ["reed", "as given", "per 10 cm", "per inch", "kind", "loom"],
            [_reed_row(one) for one in reeds],
            right=(2, 3),
        )


def _tied(one: "Loom") -> str:
    return "knots" if one.tie == "knots" else "lashing"


def _loom_row(one: "Loom") -> list[str]:
    waste = "as usual"
    if one.waste_cm is not None:
        waste = say_cm(one.waste_cm)
        if one.waste_sd_cm:
            waste += f" ± {say_cm(one.waste_sd_cm)}"
    shafts = str(one.shafts or "")
    width = (say_cm(one.width_cm), say_inches(one.width_cm))
    return [one.name, one.kind, *width, waste, _tied(one), shafts]


def _reed_row(one: "Reed") -> list[str]:
    kind = "rigid heddle" if one.rigid_heddle else "reed"
    return [one.name, one.said, _per_10cm(one), _per_inch(one), kind, one.loom or ""]


def _per_10cm(one: "Reed") -> str:
    return f"{one.dents_per_10cm:.1f}"


def _per_inch(one: "Reed") -> str:
    return f"{one.dents_per_10cm / CM_PER_10CM * CM_PER_INCH:.2f}"
