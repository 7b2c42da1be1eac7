"""farspun lessons: what your cloths and samples taught, and what to look at again."""

from collections.abc import Iterator
from itertools import groupby
from typing import TYPE_CHECKING, Annotated, Any

import typer

from farspun.cli.opening import stash_to_read, stash_to_write
from farspun.cli.options import Json
from farspun.cli.printing import labelled, print_json, say, tell
from farspun.units import say_inches

if TYPE_CHECKING:
    from farspun.craft.spread import Spread
    from farspun.services.lessons import Belief, FactorLesson, Lessons, RecordShown
    from farspun.services.questions import Question

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
    if not found.cloths and not found.samples:
        say("No cloth and no sample has taught anything yet: all of this is habit.")
    else:
        said = " and ".join(
            _counted(number, word)
            for number, word in ((found.cloths, "cloth"), (found.samples, "sample"))
            if number
        )
        say(f"What your cloths taught, from {said}.")
    for factor in found.factors:
        if factor.records:
            say("", *_lines(factor))
    say("", *_not_seen(found))


def _counted(number: int, word: str) -> str:
    return f"{number} {word}{'s' if number != 1 else ''}"


def _lines(factor: "FactorLesson") -> Iterator[str]:
    yield factor.name.capitalize()
    for belief in factor.beliefs:
        records = [one for one in factor.records if one.group == belief.group]
        yield from _belief_lines(factor.factor, belief, records)
    asked = [one.question for one in factor.records if one.question is not None]
    for question in asked:
        lines = list(question_lines([question]))
        yield from labelled("Ask", lines[0])
        for line in lines[1:]:
            yield from labelled("", line.strip())


def _belief_lines(factor: str, belief: "Belief", records: "list[RecordShown]") -> Iterator[str]:
    yield from labelled("For", belief.group)
    alike = len({(one.habit.mean, one.habit.sd) for one in records}) == 1
    like = "" if alike else f" for a cloth like {belief.like}"
    yield from labelled("Habit", f"{_said(belief.habit, factor)}{like}")
    each = [_seen(one, factor, alike) for one in records]
    yield from labelled("Seen", "; ".join(each))
    yield from labelled("Now", f"{_said(belief.now, factor)}, {_rests_on(belief)}")
    if factor == "waste_cm":
        habit, now = (
            f"{say_inches(one.mean).removesuffix(' in')} ± {say_inches(one.sd)}"
            for one in (belief.habit, belief.now)
        )
        yield from labelled("", f"in inches: habit {habit}, now {now}")


def _seen(one: "RecordShown", factor: str, alike: bool) -> str:
    whose = f"{one.cloth}, its sample" if one.stage == "sample" else one.cloth
    own = "" if alike else f" (habit {_said(one.habit, factor)})"
    state = "" if one.counts else ", not counted"
    state += ", confirmed by you" if one.confirmed else ""
    return f"{whose}: {one.said}{own}{state}"


def _said(spread: "Spread", factor: str) -> str:
    from farspun.services.questions import usual_said

    return usual_said(spread, factor)


def _rests_on(belief: "Belief") -> str:
    if not belief.cloths and not belief.other_cloths:
        return "still the habit"
    parts = []
    if belief.cloths:
        parts.append(f"{_counted(belief.cloths, 'cloth')} of this kind")
    if belief.other_cloths:
        parts.append(f"{_counted(belief.other_cloths, 'other cloth')}")
    return f"from {' and '.join(parts)}"


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
        figure = _said(belief.habit, one.factor)
        yield f"  {one.name:<{width}}{figure:<14}to know it: {HOW[one.factor]}"
    yield "Tell them with farspun cloth sample, off-loom or finished."


def question_lines(asked: "list[Question]") -> Iterator[str]:
    """Questions that one slip may be behind: what can hardly be, the slip, what to do."""
    for one in asked:
        yield f"Is that right? {one.why[:1].upper()}{one.why[1:]}"
    yield from (f"  {slip}" for slip in dict.fromkeys(one.slip for one in asked) if slip)
    if asked[0].tell_again is not None:
        yield f"  To correct it: {asked[0].tell_again}"
    for one in asked:
        until = "it counts until then" if one.counts else "until then it teaches nothing"
        yield f"  If it is right: {one.confirm} ({until})."


def all_question_lines(asked: "list[Question]") -> Iterator[str]:
    """The same for several, those with one way to correct them together."""
    for _, alike in groupby(asked, key=lambda one: one.tell_again):
        yield from question_lines(list(alike))


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
