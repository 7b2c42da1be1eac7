"""farspun skein: the skeins of the stash, what is known of them, and what was used."""

from typing import TYPE_CHECKING, Annotated, Literal

import typer

from farspun import units
from farspun.cli import card, corrections, options
from farspun.cli import skein_options as asked
from farspun.cli.opening import stash_to_read, stash_to_write
from farspun.cli.printing import print_json, print_table, say, tell
from farspun.cli.skein_words import (
    describe,
    estimate_lines,
    history_row,
    list_row,
    reading_lines,
    yarn,
)
from farspun.units import Quantity, mass, say_mass, say_mass_imperial

if TYPE_CHECKING:
    from farspun.services.skeins import Understood

skein = typer.Typer(
    help="Your skeins: add, measure, weigh, take, list.",
    no_args_is_help=True,
    rich_markup_mode=None,
)


def add_to(app: typer.Typer) -> None:
    """Hang the group on the tree."""
    corrections.add_to(skein)
    card.add_tag_to(skein)
    app.add_typer(skein, name="skein")


@skein.command("add")
def add(
    ctx: typer.Context,
    name: asked.Name,
    mass: asked.Mass = None,
    tare: asked.Tare = None,
    strands: asked.Strands = None,
    once_round: asked.OnceRound = None,
    state: asked.State = None,
    tool: asked.Tool = None,
    length: asked.Length = None,
    test_length: asked.TestLengths = None,
    wpi: asked.Wraps = None,
    wrap: asked.WrapStyle = None,
    label: asked.Label = None,
    tug: asked.Tug = None,
    fibre: asked.Fibre = "wool",
    plies: asked.Plies = None,
    draw: asked.Draw = None,
    twist: asked.Twist = None,
    superwash: asked.Superwash = False,
    mill: asked.Mill = False,
    rebuy: asked.Rebuy = None,
    colour: asked.Colour = None,
    spun: asked.Spun = None,
    place: asked.Place = None,
    note: asked.Note = None,
    cloth: asked.SpunFor = None,
) -> None:
    """Add a skein, with whatever you have measured of it."""
    from farspun.cli.fit_words import fit_lines
    from farspun.services import skeins
    from farspun.services.readings import Measured

    description = skeins.Description(
        name=name,
        fibre=fibre,
        plies=plies,
        draw=draw,
        twist=twist,
        superwash=superwash,
        mill=mill,
        rebuy=rebuy,
        wrap=wrap,
        colour=colour,
        spun=spun,
        place=place,
        note=note,
        tug=tug,
    )
    measured = Measured(
        mass=mass,
        tare=tare,
        strands=strands,
        once_round=once_round,
        state=state,
        tool=tool,
        length=length,
        test_lengths=tuple(units.test_length(one) for one in test_length or ()),
        wpi=tuple(wpi or ()),
        label=label,
    )
    understood = skeins.add(stash_to_write(ctx), description, measured, cloth)
    say(f"  {'yarn':<12} {yarn(understood.skein)}")
    _say_understood(understood)
    if understood.fit is not None:
        say(*fit_lines(understood.skein.name, understood.fit))


@skein.command("measure")
def measure(
    ctx: typer.Context,
    name: asked.Name,
    mass: asked.Mass = None,
    tare: asked.Tare = None,
    strands: asked.Strands = None,
    once_round: asked.OnceRound = None,
    state: asked.State = None,
    tool: asked.Tool = None,
    length: asked.Length = None,
    test_length: asked.TestLengths = None,
    wpi: asked.Wraps = None,
    wrap: asked.WrapStyle = None,
    label: asked.Label = None,
    tug: asked.Tug = None,
) -> None:
    """Add readings to a skein; the earlier ones are kept and count too."""
    from farspun.services import skeins
    from farspun.services.readings import Measured

    measured = Measured(
        mass=mass,
        tare=tare,
        strands=strands,
        once_round=once_round,
        state=state,
        tool=tool,
        length=length,
        test_lengths=tuple(units.test_length(one) for one in test_length or ()),
        wpi=tuple(wpi or ()),
        label=label,
    )
    _say_understood(skeins.measure(stash_to_write(ctx), name, measured, wrap, tug))


@skein.command("show")
def show(ctx: typer.Context, name: asked.Name, json: options.Json = False) -> None:
    """What is known of a skein: how long, how fine, how sure, and from which readings."""
    from farspun.services import showing

    shown = showing.show(stash_to_read(ctx), name)
    if json:
        print_json(shown)
        return
    say(*estimate_lines(shown), *describe(shown), *reading_lines(shown))


@skein.command("list")
def list_all(
    ctx: typer.Context,
    closed: Annotated[bool, typer.Option("--closed", help="Closed skeins too.")] = False,
    imperial: Annotated[
        bool, typer.Option("--imperial", help="In yards, ounces and wraps per inch.")
    ] = False,
    json: options.Json = False,
) -> None:
    """Every skein, from the estimates kept in the stash."""
    from farspun.services import showing

    shown = showing.show_all(stash_to_read(ctx), coloured=json)
    if json:
        print_json(shown)
        return
    listed = [one for one in shown if closed or one.status == "open"]
    if listed:
        units = ("yd", "yd/lb", "wpi") if imperial else ("m", "m/100 g", "wraps/cm")
        headings = ["skein", units[0], "from-to", "free", units[1], units[2], "mass", "fibre", ""]
        print_table(headings, [list_row(one, imperial) for one in listed], right=(1, 2, 3, 4, 5, 6))
    elif not shown:
        tell("There are no skeins yet: farspun skein add NAME …")
    if len(shown) > len(listed):
        tell(f"Closed and not shown: {len(shown) - len(listed)}. To see them: --closed")


@skein.command("weigh")
def weigh(
    ctx: typer.Context,
    name: asked.Name,
    on_scale: Annotated[
        Quantity, typer.Argument(metavar="MASS", parser=mass, help="On the scale: 71 g.")
    ],
    tare: asked.Tare = None,
    used: Annotated[
        bool, typer.Option("--used", help="What it weighs less than before was used since.")
    ] = False,
) -> None:
    """Weigh a skein, or what is left of it."""
    from farspun.services import balance

    moved = balance.weigh(stash_to_write(ctx), name, on_scale, tare, used or None)
    tell(*moved.remarks)
    if moved.skein.conflict is not None:
        tell(moved.skein.conflict.why)
    say(*_left(moved.skein.mass_g, moved.skein.name), *estimate_lines(moved.skein))


@skein.command("take")
def take(
    ctx: typer.Context,
    name: asked.Name,
    amount: Annotated[
        str, typer.Argument(metavar="AMOUNT", help="A mass or a length: 40 g, 50 m.")
    ],
    cloth: Annotated[
        str | None, typer.Option("--for", metavar="CLOTH", help="The cloth whose claim it is.")
    ] = None,
) -> None:
    """Write down that yarn was taken."""
    from farspun.services import balance

    moved = balance.take(stash_to_write(ctx), name, balance.amount(amount), cloth)
    tell(*moved.remarks)
    say(f"Taken: {say_mass(-moved.change_g)} ({say_mass_imperial(-moved.change_g)}).")
    say(*_left(moved.skein.mass_g, moved.skein.name), *estimate_lines(moved.skein))


@skein.command("close")
def close(
    ctx: typer.Context,
    name: asked.Name,
    because: Annotated[
        Literal["used", "given", "sold", "lost", "spoiled"],
        typer.Option("--because", help="Why nothing is left of it."),
    ],
) -> None:
    """Close a skein: it leaves the list, and keeps its history and its name."""
    from farspun.services import skein_closing

    moved = skein_closing.close(stash_to_write(ctx), name, because)
    tell(*moved.remarks)
    say(f"“{moved.skein.name}” is closed ({because}).")


@skein.command("reopen")
def reopen(ctx: typer.Context, name: asked.Name) -> None:
    """Open a closed skein again, with what was left of it."""
    from farspun.services import skein_closing

    moved = skein_closing.reopen(stash_to_write(ctx), name)
    say(f"“{moved.skein.name}” is open again.")
    say(*_left(moved.skein.mass_g, moved.skein.name), *estimate_lines(moved.skein))


@skein.command("history")
def history(ctx: typer.Context, name: asked.Name, json: options.Json = False) -> None:
    """What was measured, taken and weighed of a skein, and when."""
    from farspun.services import history as service

    lines = service.history(stash_to_read(ctx), name)
    if json:
        print_json(lines)
        return
    print_table(
        ["when", "what", "said", "change", "left"],
        [history_row(line) for line in lines],
        right=(3, 4),
    )


def _left(mass_g: float | None, name: str) -> list[str]:
    if mass_g is None:
        return []
    return [f"Left of “{name}”: {say_mass(mass_g)} ({say_mass_imperial(mass_g)})."]


def _say_understood(understood: "Understood") -> None:
    """What was understood, then what it comes to; doubts go to stderr."""
    tell(*understood.remarks)
    say(*(f"  {kind:<12} {said}" for kind, said in understood.readings))
    say(*estimate_lines(understood.skein))
    if understood.skein.conflict is not None:
        tell(understood.skein.conflict.why)
    tell(*understood.skein.remarks)
