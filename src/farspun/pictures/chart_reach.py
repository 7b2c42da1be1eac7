"""Need against have for each yarn of a cloth, and what makes the answer doubtful.

Need is light and hatched, have is dark with a white middle: they differ on grey paper too. A bar
runs from the 5 to the 95 in 100 point, its tick is the middle. The scale starts at nothing; what
there is of a yarn beyond twice the most that any needs runs out of the picture with an arrow.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from farspun.pictures.chart import (
    BAR_MM,
    BODY_PT,
    DARK,
    FAINT,
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
    text_mm,
)
from farspun.pictures.chart_sheet import Place, Sheet, Span, bare, scales_across, span_bar
from farspun.units.factors import METRES_PER_YARD

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

ROW_MM = 5.0
NARROW_MM = 2.5  # a bar with no room for a white middle
NAMES_MM = 11.0  # for "need" and "have"
BEYOND = 2.0  # times the most that is needed: as far as the scale goes; judgement
ENOUGH_MM = 60.0  # of bars, whatever the figures beside them take


@dataclass(frozen=True, slots=True)
class YarnBars:
    """One yarn: its side and name, and its odds in words.

    `need_m` and `have_m` (None: unknown): the 5, 50 and 95 in 100 points.
    """

    side: str
    name: str
    need_m: Span
    have_m: Span | None
    odds: str


@dataclass(frozen=True, slots=True)
class ReachChart:
    """What is drawn. `doubts`: causes with their share (fraction), of the yarn `weakest`."""

    title: str
    said: str
    yarns: Sequence[YarnBars]
    weakest: str | None
    doubts: Sequence[tuple[str, float]]


def reach_figure(chart: ReachChart) -> "Figure":
    """The whole picture."""
    with settings():
        sheet = Sheet()
        sheet.paragraph(chart.title, TITLE_PT, bold=True)
        sheet.paragraph(chart.said)
        _yarns(sheet, chart.yarns)
        if chart.weakest and chart.doubts:
            sheet.skip(3)
            sheet.paragraph(f"What makes it doubtful, in {chart.weakest}", HEADING_PT, bold=True)
            _doubts(sheet, chart.doubts)
        sheet.skip(1)
        sheet.paragraph(
            "Bars: from the 5 to the 95 in 100 point, with the middle marked. Need is hatched,"
            f" have is dark.{_arrow_said(chart.yarns)}",
            SMALL_PT,
        )
        return sheet.figure()


def span_said(span: Span) -> str:
    """The 5 to 95 span in m, and in yd.

    >>> span_said((195.2, 206.0, 218.4))
    '195-218 m (213-239 yd)'
    """
    ends = [
        dict.fromkeys(f"{end / unit:.0f}" for end in (span[0], span[2]))
        for unit in (1.0, METRES_PER_YARD)
    ]
    metres, yards = ("-".join(one) for one in ends)
    return f"{metres} m ({yards} yd)"


def farthest_m(yarns: Sequence[YarnBars]) -> float:
    """Where the scale ends."""
    needed = max(yarn.need_m[2] for yarn in yarns)
    had = max((yarn.have_m[2] for yarn in yarns if yarn.have_m), default=0.0)
    return 1.03 * max(min(max(needed, had), BEYOND * needed), 1e-3)


def _yarns(sheet: Sheet, yarns: Sequence[YarnBars]) -> None:
    """Heading, need and have of each, over one scale in m below and in yd above."""
    figures = [span_said(span) for yarn in yarns for span in (yarn.need_m, yarn.have_m) if span]
    wide = max(text_mm(figure, SMALL_PT) for figure in figures)
    left = MARGIN_MM + NAMES_MM
    across = max(ENOUGH_MM, SHEET_MM - MARGIN_MM - wide - 3 - left)
    sheet.skip(SCALE_MM)
    top = sheet.down_mm
    sheet.text(left - 3, top - SCALE_FOOT_MM[0], "yd", at="right")
    rows: list[tuple[float, YarnBars]] = []
    for yarn in yarns:
        room = sheet.room_mm - text_mm(yarn.odds, BODY_PT, bold=True) - 6
        for number, line in enumerate(lines_of(f"{yarn.side}: {yarn.name}", room, BODY_PT, True)):
            sheet.skip(line_mm(BODY_PT))
            sheet.text(MARGIN_MM, sheet.down_mm, line, BODY_PT, bold=True)
            if not number:
                right = SHEET_MM - MARGIN_MM
                sheet.text(right, sheet.down_mm, yarn.odds, BODY_PT, at="right", bold=True)
        sheet.skip(1)
        rows.append((sheet.down_mm - top, yarn))
        for number, (word, span) in enumerate((("need", yarn.need_m), ("have", yarn.have_m))):
            foot = sheet.down_mm + (number + 0.68) * ROW_MM
            sheet.text(left - 1.5, foot, word, at="right")
            said = span_said(span) if span else "unknown"
            sheet.text(left + across + 2, foot, said)
        sheet.skip(2 * ROW_MM + 1.5)
    place = Place(left, top, across, sheet.down_mm - top)
    sheet.axes(place, lambda axes: _bars(axes, rows, place))
    sheet.text(left - 3, sheet.down_mm + SCALE_FOOT_MM[1], "m", at="right")
    sheet.skip(SCALE_MM)


def _arrow_said(yarns: Sequence[YarnBars]) -> str:
    """What an arrow means, where there is one."""
    far = farthest_m(yarns)
    if any(span[2] > far for yarn in yarns for span in (yarn.need_m, yarn.have_m) if span):
        return " An arrow: there is more than is drawn, as much as the figure beside it says."
    return ""


def _bars(axes: "Axes", rows: Sequence[tuple[float, YarnBars]], place: Place) -> None:
    """Each row from so many mm below the top of the axes."""
    bare(axes)
    axes.set_xlim(0, farthest_m([yarn for _, yarn in rows]))
    axes.set_ylim(place.height_mm, 0)
    scales_across(axes, METRES_PER_YARD)
    narrow_m = NARROW_MM * axes.get_xlim()[1] / place.width_mm
    for number, (below, yarn) in enumerate(rows):
        axes.vlines(
            axes.get_xticks()[1:-1], below, below + 2 * ROW_MM, color=FAINT, lw=0.5, zorder=0
        )
        for half, what, span in ((0.5, "need", yarn.need_m), (1.5, "have", yarn.have_m)):
            if span is not None:
                _bar(axes, below + half * ROW_MM, span, f"{what}-{number}", narrow_m)


def _bar(axes: "Axes", at: float, span: Span, name: str, narrow_m: float) -> None:
    """A bar; an arrow where it goes on beyond the picture."""
    span_bar(axes, at, span, name.startswith("have"), name, narrow_m)
    far = axes.get_xlim()[1]
    if span[2] > far:
        axes.plot([far], [at], marker=">", color=INK, ms=5, clip_on=False, mec=PAPER, mew=0.5)


def _doubts(sheet: Sheet, doubts: Sequence[tuple[str, float]]) -> None:
    """Each cause with a bar as long as its share."""
    wide = max(text_mm(cause, SMALL_PT) for cause, _ in doubts)
    left = MARGIN_MM + wide + 2
    place = Place(left, sheet.down_mm, SHEET_MM - MARGIN_MM - left - 14, ROW_MM * len(doubts))
    for number, (cause, _) in enumerate(doubts):
        foot = sheet.down_mm + (number + 0.68) * ROW_MM
        sheet.text(left - 2, foot, cause, at="right")

    def draw(axes: "Axes") -> None:
        from farspun.units import say_percent

        bare(axes)
        axes.spines["left"].set_visible(True)
        axes.tick_params(bottom=False, labelbottom=False)
        axes.set_xlim(0, 1)
        axes.set_ylim(place.height_mm, 0)
        for number, (_, share) in enumerate(doubts):
            at = (number + 0.5) * ROW_MM
            (bar,) = axes.barh(at, share, BAR_MM, facecolor=DARK, edgecolor=INK, linewidth=0.6)
            bar.set_gid(f"doubt-{number}")
            said = say_percent(round(share, 2))
            axes.text(share + 0.01, at, said, va="center", fontsize=SMALL_PT)

    sheet.axes(place, draw)
    sheet.skip(place.height_mm)


def reach_told(chart: ReachChart) -> str:
    """The picture in words: every figure of it."""
    parts = [f"{chart.title}. {chart.said}"]
    for yarn in chart.yarns:
        need, have = (_three(span) for span in (yarn.need_m, yarn.have_m))
        odds = f"; {yarn.odds}" if yarn.odds else ""
        parts.append(f"{yarn.side} {yarn.name}: need {need}, have {have}{odds}.")
    if chart.weakest and chart.doubts:
        from farspun.units import say_percent

        shares = ", ".join(f"{cause} {say_percent(round(s, 2))}" for cause, s in chart.doubts)
        parts.append(f"What makes it doubtful, in {chart.weakest}: {shares}.")
    return " ".join(parts)


def _three(span: Span | None) -> str:
    if span is None:
        return "unknown"
    low, middle, high = span
    return (
        f"{middle:.0f} m, 5 to 95 in 100 {low:.0f} to {high:.0f} m ({middle / METRES_PER_YARD:.0f}"
        f" yd, {low / METRES_PER_YARD:.0f} to {high / METRES_PER_YARD:.0f} yd)"
    )
