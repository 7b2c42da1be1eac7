"""farspun lessons: what your cloths and samples taught, and what to look at again."""

from collections.abc import Iterator
from typing import TYPE_CHECKING, Annotated, Any

import typer

from farspun.cli.opening import stash_to_read, stash_to_write
from farspun.cli.options import Json
from farspun.cli.printing import labelled_rows, print_json, say, tell
from farspun.services.wording_lessons import (
    all_question_lines,
    factor_rows,
    lessons_opening,
    question_lines,
    usual_figure,
)

if TYPE_CHECKING:
    from farspun.craft.spread import Spread
    from farspun.services.lessons import Belief, Lessons, RecordShown

__all__ = ["add_to", "all_question_lines", "question_lines"]

HOW = {  # to measure what no record speaks of yet
    "take_up": "--thrums and --off",
    "draw_in": "--off",
    "weft_take_up": "--picks, --off and --left of the weft, some of it left",
    "shrink_length": "--off and --washed",
    "shrink_width": "--off and --washed",
    "beat": "--picks",
    "waste_cm": "--thrums",
    "let_off": "--tape and --off",
}


def add_to(app: typer.Typer) -> None:
    """Hang the command on the tree."""
    app.command("lessons")(lessons)


def lessons(
    ctx: typer.Context,
    confirm: Annotated[
        tuple[str, str] | None,
        typer.Option(
            "--confirm",
            metavar="CLOTH FACTOR",
            help="That record was asked about and is right: let it count.",
        ),
    ] = None,
    json: Json = False,
) -> None:
    """What your cloths and samples taught: for each factor the habit, the records, and what is
    expected now."""
    from farspun.services import lessons as service

    if confirm is not None:
        _confirm(ctx, *confirm, quiet=json)
    found = service.lessons(stash_to_read(ctx))
    if json:
        print_json(_document(found))
    elif confirm is None:
        _print(found)


def _confirm(ctx: typer.Context, cloth: str, factor: str, quiet: bool) -> None:
    from farspun.services.lessons import confirm

    done = confirm(stash_to_write(ctx), cloth, factor)
    how = "counted already" if done.already else "counts from now on"
    line = f"{done.cloth}: its {done.name}, {done.said}, {how}."
    (tell if quiet else say)(line)


def _print(found: "Lessons") -> None:
    say(lessons_opening(found))
    for factor in found.factors:
        if factor.records:
            say("", factor.name.capitalize(), *labelled_rows(factor_rows(factor)))
    say("", *_not_seen(found))


def _not_seen(found: "Lessons") -> Iterator[str]:
    """What is still habit, and how to come to know it."""
    rest = [one for one in found.factors if not one.records]
    if not rest:
        yield "Every factor was seen at least once."
        return
    yield "Still habit, for no record speaks of it:"
    width = max(len(one.name) for one in rest) + 2
    for one in rest:
        (belief,) = one.beliefs
        figure = usual_figure(belief.habit, one.factor)
        yield f"  {one.name:<{width}}{figure:<14}to know it: {HOW[one.factor]}"
    yield "Tell them with farspun cloth sample, off-loom or finished."


def _document(found: "Lessons") -> dict[str, Any]:
    """As one JSON object, as docs/life.md tells it."""
    return {
        "cloths": found.cloths,
        "samples": found.samples,
        "factors": [
            {
                "factor": one.factor,
                "name": one.name,
                "unit": one.unit,
                "records": [_record(shown) for shown in one.records],
                "beliefs": [_belief(belief) for belief in one.beliefs],
            }
            for one in found.factors
        ],
        "questions": found.questions,
    }


def _record(one: "RecordShown") -> dict[str, Any]:
    return {
        "cloth": one.cloth,
        "stage": one.stage,
        "group": one.group,
        "observed": one.observed,
        "habit": _spread(one.habit),
        "spreads_off": one.spreads_off,
        "counts": one.counts,
        "confirmed": one.confirmed,
        "asked": one.question is not None,
    }


def _belief(one: "Belief") -> dict[str, Any]:
    return {
        "group": one.group,
        "like": one.like,
        "habit": _spread(one.habit),
        "now": _spread(one.now),
        "cloths": one.cloths,
        "other_cloths": one.other_cloths,
    }


def _spread(one: "Spread") -> dict[str, Any]:
    return {"mean": one.mean, "sd": one.sd, "from": one.origin}
