"""farspun reckon: set-up, warp and weft of a cloth from what is given alone."""

from collections.abc import Iterator
from textwrap import wrap
from typing import TYPE_CHECKING

import typer

from farspun.cli import options
from farspun.cli.printing import print_json, say, tell
from farspun.units import (
    Quantity,
    say_cm,
    say_inches,
    say_length,
    say_length_imperial,
    say_per_cm,
    say_per_inch,
)

if TYPE_CHECKING:
    from farspun.services.reckon import Asked, Reckoned

LABEL = 14  # characters before what is said
LINE = 88  # characters


def add_to(app: typer.Typer) -> None:
    """Hang the command on the tree."""
    app.command("reckon")(reckon)


def reckon(
    width: options.Width,
    length: options.Length,
    sett: options.Sett,
    picks: options.Picks,
    pieces: options.Pieces = 1,
    draw_in: options.DrawIn = None,
    take_up: options.TakeUp = None,
    weft_take_up: options.WeftTakeUp = None,
    let_off: options.LetOff = None,
    shrink_width: options.ShrinkWidth = None,
    shrink_length: options.ShrinkLength = None,
    hem: options.Hem = None,
    side_hem: options.SideHem = None,
    fringe: options.FringeAsCut = None,
    gap: options.Gap = None,
    header: options.Header = None,
    sample: options.Sample = None,
    waste: options.Waste = None,
    floating_selvedges: options.FloatingSelvedges = 0,
    repeat: options.Repeat = 1,
    fringe_from_waste: options.FringeFromWaste = False,
    json: options.Json = False,
) -> None:
    """Reckon reed, ends, warp and weft for a size. What is not given is 0: no habits, no odds."""
    from farspun.services import reckon as service

    asked = service.Asked(
        width=width,
        length=length,
        sett=sett,
        picks=picks,
        pieces=pieces,
        draw_in=draw_in,
        take_up=take_up,
        weft_take_up=weft_take_up,
        let_off=let_off,
        shrink_width=shrink_width,
        shrink_length=shrink_length,
        hem=hem,
        side_hem=side_hem,
        fringe=fringe,
        gap=gap,
        header=header,
        sample=sample,
        waste=waste,
        floating_selvedges=floating_selvedges,
        repeat=repeat,
        fringe_from_waste=fringe_from_waste,
    )
    answer = service.reckon(asked)
    tell(*answer.warnings)
    if json:
        print_json(answer.amounts)
    else:
        say(*_lines(asked, answer))


def _lines(asked: "Asked", answer: "Reckoned") -> Iterator[str]:
    """The answer first, then the set-up in both systems, then how the question was read."""
    warp_m, weft_m = answer.amounts.warp_yarn_cut_m, answer.amounts.weft_yarn_m
    yield f"This takes {say_length(warp_m)} of warp and {say_length(weft_m)} of weft"
    yield f"({say_length_imperial(warp_m)} of warp and {say_length_imperial(weft_m)} of weft)."
    for label, metric, imperial in _rows(asked, answer):
        yield f"  {label:<{LABEL}}{metric}"
        yield f"  {'':<{LABEL}}{imperial}"
    for place, words in enumerate(answer.read):
        yield f"  {'Read as' if place == 0 else '':<{LABEL}}{words}"
    if answer.not_given:
        indent = " " * (LABEL + 2)
        first = f"  {'Taken as 0':<{LABEL}}"
        yield from wrap(
            f"{', '.join(answer.not_given)}: not given",
            LINE,
            initial_indent=first,
            subsequent_indent=indent,
        )


def _rows(asked: "Asked", answer: "Reckoned") -> Iterator[tuple[str, str, str]]:
    """(what, in cm, in inches) from the reed to the cloth off the loom."""
    found, sett, picks = answer.amounts, asked.sett.value, asked.picks.value
    ends = f"{found.ends} ends"
    if asked.repeat > 1:
        ends += f" in whole repeats of {asked.repeat}"
    if asked.floating_selvedges:
        ends += f", {asked.floating_selvedges} of them floating selvedges"
    yield (
        "In the reed",
        f"{say_cm(found.reed_width_cm)} at {say_per_cm(sett)}: {ends}",
        f"{say_inches(found.reed_width_cm)} at {say_per_inch(sett)}",
    )
    yield "Warp cut", say_cm(found.warp_cut_cm), say_inches(found.warp_cut_cm)
    yield (
        "Weft",
        f"{found.picks} picks at {say_per_cm(picks)}, {say_cm(found.pick_length_cm)} each",
        f"at {say_per_inch(picks)}, {say_inches(found.pick_length_cm)} each",
    )
    yield "To weave", *_to_weave(found.woven_length_cm, found.tape_length_cm, asked.let_off)
    wide, long = found.off_loom_width_cm, found.off_loom_length_cm
    yield (
        "Off the loom",
        f"{say_cm(wide)} wide, {say_cm(long)} long, before washing" + _each(asked.pieces),
        f"{say_inches(wide)} wide, {say_inches(long)} long",
    )


def _to_weave(rested_cm: float, tape_cm: float, let_off: Quantity | None) -> tuple[str, str]:
    """Rested, and where a let-off was given what the tape shows on the tight cloth."""
    if let_off is None:
        return f"{say_cm(rested_cm)}, rested", f"{say_inches(rested_cm)}, rested"
    return (
        f"{say_cm(rested_cm)} rested, {say_cm(tape_cm)} by the tape on the loom",
        f"{say_inches(rested_cm)} rested, {say_inches(tape_cm)} by the tape on the loom",
    )


def _each(pieces: int) -> str:
    return f", each of {pieces} pieces" if pieces > 1 else ""
