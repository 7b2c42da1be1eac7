"""What cloths and samples taught: labels and what belongs to them; and questions in sentences."""

from collections.abc import Iterator
from itertools import groupby
from typing import TYPE_CHECKING

from farspun.services.wording import Row, counted
from farspun.units import say_inches

if TYPE_CHECKING:
    from farspun.craft.spread import Spread
    from farspun.services.lessons import Belief, FactorLesson, Lessons, RecordShown
    from farspun.services.questions import Question


def lessons_opening(found: "Lessons") -> str:
    """From how much it comes."""
    if not found.cloths and not found.samples:
        return "No cloth and no sample has taught anything yet: all of this is habit."
    said = " and ".join(
        counted(number, word)
        for number, word in ((found.cloths, "cloth"), (found.samples, "sample"))
        if number
    )
    return f"What your cloths taught, from {said}."


def factor_rows(factor: "FactorLesson") -> Iterator[Row]:
    """What was seen of a factor, group by group, and what is asked about it."""
    for belief in factor.beliefs:
        records = [one for one in factor.records if one.group == belief.group]
        yield from _belief_rows(factor.factor, belief, records)
    asked = [one.question for one in factor.records if one.question is not None]
    for question in asked:
        lines = list(question_lines([question]))
        yield ("Ask", lines[0])
        for line in lines[1:]:
            yield ("", line.strip())


def _belief_rows(factor: str, belief: "Belief", records: "list[RecordShown]") -> Iterator[Row]:
    yield ("For", belief.group)
    alike = len({(one.habit.mean, one.habit.sd) for one in records}) == 1
    like = "" if alike else f" for a cloth like {belief.like}"
    yield ("Habit", f"{usual_figure(belief.habit, factor)}{like}")
    each = [_seen(one, factor, alike) for one in records]
    yield ("Seen", "; ".join(each))
    of = " of the picks meant, 100 % being as planned" if factor == "beat" else ""
    yield ("Now", f"{usual_figure(belief.now, factor)}{of}, {_rests_on(belief)}")
    if factor == "waste_cm":
        habit, now = (
            f"{say_inches(one.mean).removesuffix(' in')} ± {say_inches(one.sd)}"
            for one in (belief.habit, belief.now)
        )
        yield ("", f"in inches: habit {habit}, now {now}")


def _seen(one: "RecordShown", factor: str, alike: bool) -> str:
    whose = f"{one.cloth}, its sample" if one.stage == "sample" else one.cloth
    own = "" if alike else f" (habit {usual_figure(one.habit, factor)})"
    state = "" if one.counts else ", not counted"
    state += ", confirmed by you" if one.confirmed else ""
    return f"{whose}: {one.said}{own}{state}"


def usual_figure(spread: "Spread", factor: str) -> str:
    """A habit or belief as it is said."""
    from farspun.services.questions import usual_said

    return usual_said(spread, factor)


def _rests_on(belief: "Belief") -> str:
    if not belief.cloths and not belief.other_cloths:
        return "still the habit"
    parts = []
    if belief.cloths:
        parts.append(f"{counted(belief.cloths, 'cloth')} of this kind")
    if belief.other_cloths:
        parts.append(f"{counted(belief.other_cloths, 'other cloth')}")
    return f"from {' and '.join(parts)}"


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
