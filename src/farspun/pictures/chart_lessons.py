"""What cloths and samples taught: for each factor the habit, the records, and what is expected now.

One row each, on one scale a factor. The habit is light and hatched, what is expected now is dark;
both reach one spread to each side of their middle, which is marked. A thin line beside a record is
the habit of that very cloth. Only the last records of a group are drawn, and a record set aside may
lie far outside the scale; then an arrow stands at its edge, and its figure beside it.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from farspun.pictures.chart import (
    HEADING_PT,
    INK,
    MARGIN_MM,
    PAPER,
    SCALE_FOOT_MM,
    SCALE_MM,
    SHEET_MM,
    SMALL_PT,
    TITLE_PT,
    line_mm,
    lines_of,
    settings,
    shortened_to,
)
from farspun.pictures.chart_sheet import Place, Sheet, bare, scales_across, span_bar
from farspun.units.factors import CM_PER_INCH

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

ROW_MM = 4.4
NAMES_MM, SAID_MM = 54.0, 36.0  # left and right of the rows
MOST_RECORDS = 40  # of a group; judgement: more are a blur
CLOTH, SAMPLE, ASIDE = "o", "D", "x"
PER_CENT = 100
FAR_OFF = 0.5  # of the scale: farther outside, what is set aside is only an arrow; judgement
ASIDE_SAID = (
    "set aside: it is asked about, and teaches nothing until confirmed; an arrow, where it lies"
    " outside the scale"
)


@dataclass(frozen=True, slots=True)
class SpreadBar:
    """A middle value with one spread to each side, and how both are said."""

    mean: float
    sd: float
    said: str


@dataclass(frozen=True, slots=True)
class RecordMark:
    """One record: its cloth, what was observed, the habit of that cloth, whether it counts."""

    cloth: str
    sample: bool
    observed: float
    said: str
    habit: SpreadBar
    counts: bool
    asked: bool


@dataclass(frozen=True, slots=True)
class GroupRows:
    """One group of a factor; `rests_on`: how many cloths, in words."""

    group: str
    habit: SpreadBar
    now: SpreadBar
    rests_on: str
    records: Sequence[RecordMark]


@dataclass(frozen=True, slots=True)
class FactorRows:
    """One factor; `unit` of its figures: fraction, ratio or cm; `what` is measured, in words."""

    name: str
    unit: str
    groups: Sequence[GroupRows]
    what: str = ""

    @property
    def heading(self) -> str:
        """Its name, and what is measured."""
        return f"{self.name}: {self.what}" if self.what else self.name


@dataclass(frozen=True, slots=True)
class LessonsChart:
    """What is drawn: the factors of which there are records."""

    title: str
    said: str
    factors: Sequence[FactorRows]


def lessons_figure(chart: LessonsChart) -> "Figure":
    """The whole picture."""
    with settings():
        sheet = Sheet()
        sheet.paragraph(chart.title, TITLE_PT, bold=True)
        sheet.paragraph(chart.said)
        for number, factor in enumerate(chart.factors):
            _factor(sheet, factor, number)
        sheet.skip(2)
        sheet.key("a cloth", CLOTH, INK)
        sheet.key("its sample", SAMPLE, PAPER)
        sheet.key(ASIDE_SAID, ASIDE, INK)
        sheet.skip(1)
        sheet.paragraph(
            "Bars: one spread to each side of the middle; about two cloths in three come out within"
            " it. The habit is hatched, what is expected now is dark; the line beside a record is"
            " the habit of that very cloth.",
            SMALL_PT,
        )
        return sheet.figure()


def _factor(sheet: Sheet, factor: FactorRows, number: int) -> None:
    """A heading, then its rows over one scale."""
    inches = factor.unit == "cm"
    sheet.skip(3)
    sheet.paragraph(factor.heading, HEADING_PT, bold=True)
    left = MARGIN_MM + NAMES_MM
    if inches:
        sheet.skip(SCALE_MM)
        sheet.text(left - 3, sheet.down_mm - SCALE_FOOT_MM[0], "in", at="right")
    top = sheet.down_mm
    rows = list(_rows(sheet, factor))
    place = Place(left, top, SHEET_MM - MARGIN_MM - SAID_MM - left, sheet.down_mm - top)
    unit = "cm" if inches else "%"
    sheet.text(left - 3, sheet.down_mm + SCALE_FOOT_MM[1], unit, at="right")
    sheet.axes(place, lambda axes: _draw(axes, factor, rows, place.height_mm, number))
    sheet.skip(SCALE_MM)


Row = tuple[float, "SpreadBar | RecordMark", bool]  # mm from the top; a bar of now is dark


def _rows(sheet: Sheet, factor: FactorRows) -> Iterator[Row]:
    """Each row with how far it lies below the first; its words are set on the sheet."""
    top = sheet.down_mm

    def row(name: str, said: str) -> float:
        foot = sheet.down_mm + 0.68 * ROW_MM
        name = shortened_to(name, NAMES_MM - 4, SMALL_PT)
        sheet.text(MARGIN_MM + NAMES_MM - 2, foot, name, at="right")
        right = SHEET_MM - MARGIN_MM - SAID_MM + 2
        sheet.text(right, foot, shortened_to(said, SAID_MM - 2, SMALL_PT))
        sheet.skip(ROW_MM)
        return sheet.down_mm - ROW_MM / 2 - top

    for group in factor.groups:
        for line in lines_of(group.group, sheet.room_mm, SMALL_PT, bold=True):
            sheet.skip(line_mm(SMALL_PT))
            sheet.text(MARGIN_MM, sheet.down_mm, line, bold=True)
        sheet.skip(1)
        yield row("habit", group.habit.said), group.habit, False
        shown = drawn_of(group)
        if len(shown) < len(group.records):
            row(f"{len(group.records) - len(shown)} earlier records", "not drawn")
        for one in shown:
            yield row(name_of(one), record_said(one)), one, False
        yield row(f"now, {group.rests_on}", group.now.said), group.now, True
        sheet.skip(1)


def drawn_of(group: GroupRows) -> Sequence[RecordMark]:
    """The records that are drawn: the last ones."""
    return group.records[-MOST_RECORDS:]


def name_of(one: RecordMark) -> str:
    """Whose record it is."""
    return f"{one.cloth}, its sample" if one.sample else one.cloth


def record_said(one: RecordMark) -> str:
    """The figure, and whether it is in doubt."""
    return one.said + (", set aside" if not one.counts else ", asked about" if one.asked else "")


def scale_of(unit: str) -> float:
    """What a figure is multiplied by as it is drawn: fractions and ratios in percent."""
    return 1.0 if unit == "cm" else PER_CENT


def limits(factor: FactorRows) -> tuple[float, float]:
    """The ends of the scale: all bars and records go in, but what is set aside and far off."""
    by, groups = scale_of(factor.unit), factor.groups
    records = [one for group in groups for one in drawn_of(group)]
    bars = [bar for group in groups for bar in (group.habit, group.now)]
    bars += [one.habit for one in records]
    ends = [bar.mean + sign * bar.sd for bar in bars for sign in (-1, 1)]
    ends += [one.observed for one in records if one.counts]
    low, high = min(ends), max(ends)
    near = FAR_OFF * (high - low)
    aside = [one.observed for one in records if not one.counts]
    ends += [one for one in aside if low - near <= one <= high + near]
    room = 0.06 * by * (max(ends) - min(ends)) or 1.0
    return by * min(ends) - room, by * max(ends) + room


def _draw(
    axes: "Axes", factor: FactorRows, rows: Sequence[Row], height_mm: float, number: int
) -> None:
    bare(axes)
    axes.set_xlim(*limits(factor))
    axes.set_ylim(height_mm, 0)
    if factor.unit == "cm":
        scales_across(axes, CM_PER_INCH)
    else:
        scales_across(axes, 0.0)
    by = scale_of(factor.unit)
    for at, (down, one, dark) in enumerate(rows):
        name = f"factor-{number}-row-{at}"
        if isinstance(one, SpreadBar):
            span = (by * (one.mean - one.sd), by * one.mean, by * (one.mean + one.sd))
            span_bar(axes, down, span, dark, name)
        else:
            _record(axes, down, one, by, name)


def _record(axes: "Axes", down: float, one: RecordMark, by: float, name: str) -> None:
    own = [by * (one.habit.mean - one.habit.sd), by * (one.habit.mean + one.habit.sd)]
    axes.plot(own, [down, down], color=INK, lw=0.7)
    mark = ASIDE if not one.counts else SAMPLE if one.sample else CLOTH
    fill = PAPER if one.sample else INK
    (drawn,) = axes.plot(
        [by * one.observed], [down], marker=mark, ms=5, mfc=fill, mec=INK, mew=0.9, zorder=3
    )
    drawn.set_gid(name)
    low, high = axes.get_xlim()
    for edge, arrow, outside in (
        (low, "<", by * one.observed < low),
        (high, ">", by * one.observed > high),
    ):
        if outside:
            axes.plot([edge], [down], marker=arrow, color=INK, ms=5, clip_on=False)


def lessons_told(chart: LessonsChart) -> str:
    """The picture in words: every figure of it."""
    parts = [f"{chart.title}. {chart.said}"]
    for factor in chart.factors:
        for group in factor.groups:
            seen = "; ".join(f"{name_of(one)} {record_said(one)}" for one in group.records)
            parts.append(
                f"{factor.heading}; {group.group}: habit {group.habit.said};"
                f" seen {seen or 'nothing'}; now {group.now.said}, {group.rests_on}."
            )
    return " ".join(parts)
