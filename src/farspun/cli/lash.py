"""farspun lash: the cord that lashes a warp to its bar."""

from collections.abc import Iterator
from typing import TYPE_CHECKING, Annotated

import typer

from farspun.cli import options
from farspun.cli.options import length_option
from farspun.cli.printing import print_json, say
from farspun.units import CM_PER_METRE, Quantity, say_cm, say_inches, say_length_imperial

if TYPE_CHECKING:
    from farspun.craft.lashing import Lashing

Width = Annotated[
    Quantity, length_option("width", "How wide the warp stands in the reed.", zero=False)
]
Bundle = Annotated[
    Quantity, length_option("bundle", "How wide each knotted bundle is: 1in, 1.3cm.", zero=False)
]
Gap = Annotated[Quantity, length_option("gap", "From the bar to the knots: 8cm.")]
Rod = Annotated[
    Quantity, length_option("rod", "How thick the bar is, straight through.", zero=False)
]


def add_to(app: typer.Typer) -> None:
    """Hang the command on the tree."""
    app.command("lash", short_help="The cord that lashes a warp to its bar.")(lash)


def lash(width: Width, bundle: Bundle, gap: Gap, rod: Rod, json: options.Json = False) -> None:
    """How long a cord lashes a warp to its bar, bundle by bundle. It must not stretch."""
    from farspun.craft.lashing import lashing

    cm = (one.value * CM_PER_METRE for one in (width, bundle, gap, rod))
    found = lashing(*cm)
    if json:
        print_json(found)
    else:
        say(*_lines(found))


def _lines(found: "Lashing") -> Iterator[str]:
    """The cord, how it comes about, and what it must be like."""
    many = f"{found.bundles} bundle{'' if found.bundles == 1 else 's'}"
    yield f"This takes {say_cm(found.cord_cm)} of cord through {many}"
    yield f"({say_inches(found.cord_cm)}, or {say_length_imperial(found.cord_cm / CM_PER_METRE)})."
    for say_it in (say_cm, say_inches):
        yield (
            f"  each {say_it(found.bundle_cm)} wide and {say_it(found.gap_cm)} from the bar:"
            f" {say_it(found.loop_cm)} of cord; {say_it(found.tails_cm)} over for the ends"
        )
    yield "Take a smooth cord that does not stretch: it must slip, to even itself out."
