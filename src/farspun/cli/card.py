"""farspun cloth card, farspun skein tag: what is printed, to hang at the loom and on the skein."""

from pathlib import Path
from typing import Annotated

import typer

from farspun.cli.opening import stash_to_read
from farspun.cli.options import Json, length_option
from farspun.cli.printing import print_json, say
from farspun.errors import WrongUse
from farspun.units import CM_PER_METRE, Quantity

Name = Annotated[str, typer.Argument(metavar="NAME", help="The cloth's name.")]
Names = Annotated[list[str], typer.Argument(metavar="NAME...", help="Skeins by name.")]
Out = Annotated[Path | None, typer.Option("--out", metavar="FILE.pdf", help="The PDF to write.")]
PaperSize = Annotated[str, typer.Option("--paper", metavar="PAPER", help="A4, A5 or letter.")]
Force = Annotated[bool, typer.Option("--force", help="Write over the file.")]
Gap = Annotated[
    Quantity | None,
    length_option("gap", "Of the lashing: from the bar to the knots, else 8 cm.", zero=False),
]
Rod = Annotated[
    Quantity | None,
    length_option("rod", "Of the lashing: how thick the bar is, else 2 cm.", zero=False),
]


def add_to(cloth: typer.Typer) -> None:
    """Hang the command on `farspun cloth`."""
    cloth.command("card", short_help="A card to print: warping, sleying, marks to weigh at.")(card)


def add_tag_to(skein: typer.Typer) -> None:
    """Hang the command on `farspun skein`."""
    skein.command("tag", short_help="Tags to print and hang on skeins.")(tag)


def card(
    ctx: typer.Context,
    name: Name,
    out: Out = None,
    paper: PaperSize = "A4",
    gap: Gap = None,
    rod: Rod = None,
    force: Force = False,
    json: Json = False,
) -> None:
    """Print a cloth's card: one sheet, two sides, to have at the loom."""
    from farspun.services import carding

    if out is None and not json:
        raise WrongUse("Nothing says where the card is to go.", "Give --out FILE.pdf, or --json.")
    if out is not None:
        paper = carding.checked_out(out, paper, force).name
    gap_cm, rod_cm = (None if one is None else one.value * CM_PER_METRE for one in (gap, rod))
    found = carding.card_of_cloth(stash_to_read(ctx), name, gap_cm, rod_cm)
    if out is not None:
        carding.print_card(found, out, paper, force)
    if json:
        print_json(found)
    else:
        say(f"{found.cloth}: its card is in {out}, on {paper}, two sides.")


def tag(
    ctx: typer.Context,
    names: Names,
    out: Annotated[Path, typer.Option("--out", metavar="FILE.pdf", help="The PDF to write.")],
    qr: Annotated[
        bool, typer.Option("--qr", help="With a QR code of name, grams and metres.")
    ] = False,
    paper: PaperSize = "A4",
    force: Force = False,
) -> None:
    """Print tags of skeins, to cut out and hang on them."""
    from farspun.services import carding, tagging

    paper = carding.checked_out(out, paper, force).name
    tags = tagging.tags_of(stash_to_read(ctx), names)
    tagging.print_tags(tags, out, paper, qr, force)
    say(f"{len(tags)} tag{'' if len(tags) == 1 else 's'} in {out}, on {paper}.")
