"""The chart of what cloths and samples taught."""

from pathlib import Path

from farspun.craft.spread import Spread
from farspun.pictures.chart_lessons import (
    FactorRows,
    GroupRows,
    LessonsChart,
    RecordMark,
    SpreadBar,
    lessons_figure,
    lessons_told,
)
from farspun.services.charts import draw
from farspun.services.lessons import Belief, FactorLesson, Lessons, RecordShown, lessons
from farspun.services.picture_file import Drawn
from farspun.services.questions import usual_said
from farspun.store.engine import Stash
from farspun.store.records import SAMPLE
from farspun.units import say_inches

NOTHING_YET = (
    "No cloth and no sample has taught anything yet, so nothing was drawn. What is taken from"
    " habit: farspun lessons"
)
WHAT = {  # is measured, for who does not know the word
    "take_up": "warp lost to its waves",
    "draw_in": "width lost from the reed to rested cloth",
    "weft_take_up": "yarn of a pick beyond the width in the reed",
    "shrink_length": "lost in the wash",
    "shrink_width": "lost in the wash",
    "beat": "picks woven, of those you meant",
    "waste_cm": "warp never woven, front and back",
    "let_off": "length lost from tight to rested cloth",
}


def draw_lessons(stash: Stash, file: Path) -> Drawn | str:
    """Draw them; in words, where nothing was learned yet. Raises WrongUse for the file."""
    found = lessons(stash)
    chart = lessons_chart(found)
    if not chart.factors:
        return NOTHING_YET
    return draw(file, chart, lessons_figure, lessons_told(chart))


def lessons_chart(found: Lessons) -> LessonsChart:
    """The lessons as they are drawn: factors of which a record speaks."""
    return LessonsChart(
        title="What your cloths taught",
        said=f"From {_many(found.cloths, 'cloth')} and {_many(found.samples, 'sample')}.",
        factors=[
            FactorRows(
                name=one.name[:1].upper() + one.name[1:],
                unit=one.unit,
                groups=[_group(one, belief) for belief in one.beliefs],
                what=WHAT.get(one.factor, ""),
            )
            for one in found.factors
            if one.records
        ],
    )


def _many(number: int, word: str) -> str:
    return f"{number} {word}{'s' if number != 1 else ''}"


def _group(factor: FactorLesson, belief: Belief) -> GroupRows:
    own = [one for one in factor.records if one.group == belief.group]
    one_habit = len({(one.habit.mean, one.habit.sd) for one in own}) < 2
    like = "" if one_habit or belief.like is None else f" (habit for one like {belief.like})"
    return GroupRows(
        group=belief.group + like,
        habit=_bar(belief.habit, factor.factor),
        now=_bar(belief.now, factor.factor),
        rests_on=_rests_on(belief),
        records=[_record(one, factor.factor) for one in own],
    )


def _rests_on(belief: Belief) -> str:
    others = f" and {_many(belief.other_cloths, 'other')}" if belief.other_cloths else ""
    return f"from {_many(belief.cloths, 'cloth')}{others}"


def _record(one: RecordShown, factor: str) -> RecordMark:
    inches = f" ({say_inches(one.observed)})" if factor == "waste_cm" else ""
    return RecordMark(
        cloth=one.cloth,
        sample=one.stage == SAMPLE,
        observed=one.observed,
        said=one.said + inches,
        habit=_bar(one.habit, factor),
        counts=one.counts,
        asked=one.question is not None,
    )


def _bar(spread: Spread, factor: str) -> SpreadBar:
    return SpreadBar(spread.mean, spread.sd, usual_said(spread, factor))
