"""farspun loom, farspun reed: the looms, reeds and rigid heddles you own."""

from typing import TYPE_CHECKING, Annotated, Any, Literal

import typer

from farspun.cli import options, skein_options
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


Kind = Literal["rigid-heddle", "table", "floor", "frame"]
LoomName = Annotated[str, typer.Argument(metavar="NAME", help="The loom's name.")]
NewName = Annotated[str | None, typer.Option("--name", metavar="NEW", help="Another name.")]
ReedName = Annotated[str, typer.Argument(metavar="NAME", help="The reed's name.")]


@loom.command("add")
def add_loom(
    ctx: typer.Context,
    name: LoomName,
    kind: Annotated[Kind, typer.Option(help="What it is.")],
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
    sure: skein_options.Sure = False,
) -> None:
    """Add a loom."""
    from farspun.services import equipment

    added = equipment.add_loom(stash_to_write(ctx), name, kind, width, waste, tie, shafts, sure)
    _say_loom(added)


@loom.command("change")
def change_loom(
    ctx: typer.Context,
    name: LoomName,
    new_name: NewName = None,
    kind: Annotated[Kind | None, typer.Option(help="What it is.")] = None,
    width: Annotated[
        Quantity | None,
        typer.Option(metavar="LENGTH", parser=_width, help="Widest it weaves, in the reed."),
    ] = None,
    waste: Annotated[
        Quantity | None,
        typer.Option(metavar="LENGTH", parser=_waste, help="Loom waste: 50cm±8cm."),
    ] = None,
    tie: Annotated[
        Literal["knots", "lashed"] | None,
        typer.Option(help="How the warp is tied on at the front."),
    ] = None,
    shafts: Annotated[
        int | None, typer.Option(metavar="N", parser=_shafts, help="How many shafts.")
    ] = None,
    sure: skein_options.Sure = False,
) -> None:
    """Put right what you said of a loom; of one that a cloth uses only its name."""
    from farspun.services import equipment_corrections

    given = {"name": new_name, "kind": kind, "width": width, "waste": waste, "tie": tie,
             "shafts": shafts}  # fmt: skip
    said = {key: value for key, value in given.items() if value is not None}
    _say_loom(equipment_corrections.change_loom(stash_to_write(ctx), name, said, sure))


@loom.command("remove")
def remove_loom(ctx: typer.Context, name: LoomName) -> None:
    """Remove a loom that no cloth uses."""
    from farspun.services import equipment_corrections

    removed = equipment_corrections.remove_loom(stash_to_write(ctx), name)
    say(f"The loom “{removed}” is removed.")


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
    sure: skein_options.Sure = False,
) -> None:
    """Add a reed or a rigid heddle."""
    from farspun.services import equipment

    stash = stash_to_write(ctx)
    added, remark = equipment.add_reed(stash, name, density, rigid_heddle, on, sure)
    _say_reed(added)
    if remark:
        tell(remark)


@reed.command("change")
def change_reed(
    ctx: typer.Context,
    name: ReedName,
    new_name: NewName = None,
    density: Annotated[
        Quantity | None,
        typer.Option("--dents", metavar="DENTS", parser=dents, help="30/10cm, 8 dpi."),
    ] = None,
    rigid_heddle: Annotated[
        bool | None,
        typer.Option(
            "--rigid-heddle/--reed", help="A rigid heddle, or a reed.", show_default=False
        ),
    ] = None,
    on: Annotated[
        str | None,
        typer.Option("--loom", metavar="NAME", help='The loom it belongs to; "" for any it fits.'),
    ] = None,
    sure: skein_options.Sure = False,
) -> None:
    """Put right what you said of a reed; of one that a cloth uses only its name."""
    from farspun.services import equipment_corrections

    given = {"name": new_name, "dents": density, "rigid_heddle": rigid_heddle}
    said: dict[str, Any] = {key: value for key, value in given.items() if value is not None}
    if on is not None:
        said["loom"] = on.strip() or None
    _say_reed(equipment_corrections.change_reed(stash_to_write(ctx), name, said, sure))


@reed.command("remove")
def remove_reed(ctx: typer.Context, name: ReedName) -> None:
    """Remove a reed or rigid heddle that no cloth uses."""
    from farspun.services import equipment_corrections

    removed = equipment_corrections.remove_reed(stash_to_write(ctx), name)
    say(f"“{removed}” is removed.")


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


def _say_loom(added: "Loom") -> None:
    lifts = f", {added.shafts} shafts" if added.shafts else ""
    said = f"{added.kind} loom{lifts}, {say_cm(added.width_cm)} wide, tied with {_tied(added)}"
    say(f"{added.name}: {said}.")
    say(f"{' ' * len(added.name)}  {say_inches(added.width_cm)} wide")


def _say_reed(added: "Reed") -> None:
    what = "rigid heddle" if added.rigid_heddle else "reed"
    say(f"{added.name}: {what}, {added.said}{f', for {added.loom}' if added.loom else ''}.")
    say(f"{' ' * len(added.name)}  {_per_10cm(added)} dents in 10 cm")
    say(f"{' ' * len(added.name)}  {_per_inch(added)} dents per inch")


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
