"""farspun draft: a weave drawn as threading, tie-up and treadling, or as a lift plan."""

from collections.abc import Iterator
from textwrap import wrap
from typing import TYPE_CHECKING, Annotated

import typer

from farspun.cli import options
from farspun.cli.opening import stash_to_read
from farspun.cli.printing import print_json, say
from farspun.errors import WrongUse

if TYPE_CHECKING:
    from farspun.services.drafts import DraftAnswer, Edges

LABEL = 9  # characters before what is said
LINE = 88  # characters


def add_to(app: typer.Typer) -> None:
    """Hang the command on the tree."""
    app.command("draft")(draft)


def draft(
    ctx: typer.Context,
    weave: Annotated[
        str | None,
        typer.Argument(
            metavar="WEAVE|FILE", help="Plain, 2/2 twill …, or a text file with a draft."
        ),
    ] = None,
    cloth: Annotated[
        str | None,
        typer.Option("--cloth", metavar="NAME", help="Your cloth: its draft, on its loom."),
    ] = None,
    loom: Annotated[
        str | None,
        typer.Option("--loom", metavar="NAME", help="Your loom: has it the shafts for it?"),
    ] = None,
    lift_plan: Annotated[
        bool, typer.Option("--lift-plan", help="The shafts of each pick, without treadles.")
    ] = False,
    json: options.Json = False,
) -> None:
    """Draw a weave as threading, tie-up and treadling, and say what it takes of a loom."""
    from farspun.cli.draft_drawing import drawing
    from farspun.services.drafts import draft_of_cloth, show_draft

    if (weave is None) == (cloth is None):
        raise WrongUse("Whose draft?", "Name a weave, a file with a draft, or --cloth NAME.")
    if cloth is not None:
        shown = draft_of_cloth(stash_to_read(ctx), cloth, lift_plan, loom)
    else:
        stash = None if loom is None else stash_to_read(ctx)
        shown = show_draft(weave or "", lift_plan, loom, stash)
    if json:
        print_json(shown.answer)
        return
    say(*_first_line(shown.answer), "", *drawing(shown.draft), "", *_rows(shown.answer))


def _first_line(answer: "DraftAnswer") -> list[str]:
    woven = answer.weave
    name = "This draft" if woven.name == answer.rows else woven.name[:1].upper() + woven.name[1:]
    on = f"{answer.shafts} shafts"
    on += f" and {answer.treadles} treadles" if answer.treadles else ", by a lift plan"
    return [f"{name}: a repeat of {woven.ends} ends and {woven.picks} picks, on {on}."]


def _rows(answer: "DraftAnswer") -> Iterator[str]:
    """What is said of it, label first."""
    for label, said in (
        *_written_out(answer),
        ("Drawn", _how_drawn(answer)),
        *_floats(answer),
        ("Edges", _edges(answer.edges)),
        ("Heddle", _heddle(answer)),
        *((("Loom", _loom(answer)),) if answer.loom else ()),
        *(("Note", note) for note in answer.notes),
    ):
        yield from wrap(
            said,
            LINE,
            initial_indent=f"  {label:<{LABEL}}",
            subsequent_indent=" " * (LABEL + 2),
            break_long_words=True,
        )


def _written_out(answer: "DraftAnswer") -> Iterator[tuple[str, str]]:
    """For a draft of her own: the weave as other commands read it, where it is short enough."""
    if answer.weave.name == answer.rows:
        short = len(answer.rows) <= LINE - LABEL - 2
        yield "Weave", answer.rows if short else "long to write out: see rows in --json"


def _how_drawn(answer: "DraftAnswer") -> str:
    moved = "goes down" if answer.sinking else "rises"
    side = (
        f"tie-up in the corner, # where the shaft {moved}; treadling at the side"
        if answer.treadles
        else "lift plan at the side, shaft 1 leftmost, # where it rises"
    )
    return (
        f"threading on top, shaft 1 lowest; {side}; cloth below, first pick on top, # where the "
        "warp is up"
    )


def _floats(answer: "DraftAnswer") -> Iterator[tuple[str, str]]:
    longest = answer.longest_floats
    face = _crossed(longest.warp_on_face, longest.weft_on_face)
    back = _crossed(longest.warp_on_back, longest.weft_on_back)
    yield "Floats", f"longest on the face: {face}; on the back: {back}"


def _crossed(warp: int, weft: int) -> str:
    return f"warp over {_count(warp, 'pick')}, weft over {_count(weft, 'end')}"


def _count(number: int, thing: str) -> str:
    return f"{number} {thing}{'' if number == 1 else 's'}"


def _edges(edges: "Edges") -> str:
    if edges.first_pick_from is None:
        return "the weft misses an edge end from whichever side it begins: floating selvedges"
    if edges.missed_from_left or edges.missed_from_right:
        side = edges.first_pick_from
        return f"both caught if the first pick comes in from the {side}; else floating selvedges"
    return "both caught, from whichever side the first pick comes in"


def _heddle(answer: "DraftAnswer") -> str:
    """What one or two rigid heddles can do."""
    way = answer.rigid_heddle
    if way is None:
        few = answer.fewest_shafts
        return f"no rigid heddle: two do the work of 3 shafts, and this takes {few}"
    many = "one rigid heddle" if way.heddles == 1 else "two rigid heddles"
    places = "; ".join(
        f"{_shafts(way.places, place)} in {named}"
        for place, named in (
            ("slot", "slots" if way.heddles == 1 else "slots of both"),
            ("hole", "holes"),
            ("front hole", "holes of the front one"),
            ("back hole", "holes of the back one"),
        )
        if place in way.places
    )
    return f"{many}: {places}; picks {', '.join(way.moves)}"


def _shafts(places: tuple[str, ...], place: str) -> str:
    numbers = [str(shaft) for shaft, one in enumerate(places, start=1) if one == place]
    return f"shaft{'' if len(numbers) == 1 else 's'} {' and '.join(numbers)}"


def _loom(answer: "DraftAnswer") -> str:
    loom = answer.loom
    if loom is None:
        return ""
    if loom.kind == "rigid-heddle":
        return f"{loom.name} is a rigid-heddle loom: as above"
    if loom.shafts is None:
        return f"{loom.name}: how many shafts it has is not known"
    return f"{loom.name} has {loom.shafts} shafts: enough"
