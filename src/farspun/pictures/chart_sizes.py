"""The sizes that given skeins weave: for each width the longest cloth that keeps the promise.

Between two widths nothing was reckoned; the hatched part is what the marks vouch for, every cloth
no wider and no longer than one of them (on the same loom and reed: another sett is another cloth).
The shape of a mark tells which yarn ends it there.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING

from farspun.pictures.chart import (
    DARK,
    HATCH,
    INK,
    LIGHT,
    MARGIN_MM,
    NAMED_SCALE_MM,
    PAPER,
    SHEET_MM,
    SMALL_PT,
    TITLE_PT,
    settings,
    text_mm,
)
from farspun.pictures.chart_sheet import Place, Sheet, bare, scales_across, scales_up
from farspun.units import say_cm, say_inches
from farspun.units.factors import CM_PER_INCH

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

HEIGHT_MM, FIGURES_MM = 85.0, 13.0  # of the axes; beside them, for the figures of the scales
MARK_PT, LABEL_PT = 6.0, 6.5
MARKS = ("o", "s", "^", "D", "v", "P", "X", "p", "<", ">", "h", "d")


@dataclass(frozen=True, slots=True)
class SizeMark:
    """The longest cloth of a width, its odds in words, and what ends it one cm further on."""

    width_cm: float
    length_cm: float
    odds: str
    ends_it: str


@dataclass(frozen=True, slots=True)
class SizesChart:
    """What is drawn. `asked`: the size found for the side that was held, if one was."""

    title: str
    said: str
    promise: str
    sizes: Sequence[SizeMark]
    asked: SizeMark | None


def sizes_figure(chart: SizesChart) -> "Figure":
    """The whole picture."""
    with settings():
        sheet = Sheet()
        sheet.paragraph(chart.title, TITLE_PT, bold=True)
        sheet.paragraph(chart.said)
        sheet.skip(2)
        _field(sheet, chart)
        for ends_it, mark in marks_of(chart).items():
            sheet.key(f"{ends_it} is what ends it there", mark, DARK)
        if chart.asked is not None:
            sheet.key(_asked_said(chart.asked), "*", PAPER, size=9)
        sheet.skip(1)
        sheet.paragraph(
            "Hatched: no wider and no longer than a mark; on the same loom and reed that keeps"
            f" {chart.promise} too.",
            SMALL_PT,
        )
        return sheet.figure()


def marks_of(chart: SizesChart) -> dict[str, str]:
    """The shape of a mark, by what ends the cloth."""
    ends = dict.fromkeys(one.ends_it for one in chart.sizes)
    return {name: MARKS[number % len(MARKS)] for number, name in enumerate(ends)}


def _field(sheet: Sheet, chart: SizesChart) -> None:
    sheet.skip(NAMED_SCALE_MM)
    left = MARGIN_MM + FIGURES_MM
    place = Place(left, sheet.down_mm, SHEET_MM - 2 * left, HEIGHT_MM)
    sheet.axes(place, lambda axes: _draw(axes, chart, place))
    sheet.skip(HEIGHT_MM + NAMED_SCALE_MM)


def _draw(axes: "Axes", chart: SizesChart, place: Place) -> None:
    every = [*chart.sizes, *([chart.asked] if chart.asked else [])]
    widest, longest = (max(getattr(one, f"{side}_cm") for one in every) for side in
                       ("width", "length"))  # fmt: skip
    bare(axes, frame=True)
    label_mm = max(text_mm(line, LABEL_PT) for one in every for line in _label(one).split("\n"))
    axes.set_xlim(0, widest * place.width_mm / (place.width_mm - label_mm - 3))
    axes.set_ylim(0, longest * place.height_mm / (place.height_mm - 11))
    scales_across(axes, CM_PER_INCH, ("cm wide", "in wide"))
    scales_up(axes, CM_PER_INCH, ("cm long", "in long"))
    if chart.sizes:
        _steps(axes, chart.sizes)
        _marks(axes, chart)
        _labels(axes, chart.sizes, label_mm, place.width_mm / axes.get_xlim()[1])
    if chart.asked is not None:
        at = chart.asked.width_cm, chart.asked.length_cm
        axes.plot([at[0], at[0], 0], [0, at[1], at[1]], color=INK, lw=0.8, ls=(0, (4, 2)))
        (star,) = axes.plot([at[0]], [at[1]], marker="*", ms=11, mfc=PAPER, mec=INK, zorder=4)
        star.set_gid("asked")


def _steps(axes: "Axes", sizes: Sequence[SizeMark]) -> None:
    """What the marks vouch for."""
    wide = [0.0, *(one.width_cm for one in sizes)]
    long = [sizes[0].length_cm, *(one.length_cm for one in sizes)]
    axes.fill_between(
        wide, long, step="pre", facecolor=LIGHT, edgecolor=HATCH, hatch="////", linewidth=0
    )
    axes.step([*wide, wide[-1]], [*long, 0.0], where="pre", color=INK, lw=1)


def _marks(axes: "Axes", chart: SizesChart) -> None:
    for number, (ends_it, mark) in enumerate(marks_of(chart).items()):
        own = [one for one in chart.sizes if one.ends_it == ends_it]
        (drawn,) = axes.plot(
            [one.width_cm for one in own],
            [one.length_cm for one in own],
            linestyle="none",
            marker=mark,
            ms=MARK_PT,
            mfc=DARK,
            mec=INK,
            mew=0.6,
            zorder=3,
        )
        drawn.set_gid(f"sizes-{number}")


def _labels(axes: "Axes", sizes: Sequence[SizeMark], label_mm: float, mm_per_cm: float) -> None:
    """How long, right above each mark; of marks too close for that, every other one or fewer."""
    apart = min(
        (b.width_cm - a.width_cm for a, b in pairwise(sizes)),
        default=math.inf,
    )
    every = max(1, math.ceil((label_mm + 1) / (apart * mm_per_cm)))
    for one in sizes[::every]:
        axes.annotate(
            _label(one),
            (one.width_cm, one.length_cm),
            xytext=(2, 4),
            textcoords="offset points",
            fontsize=LABEL_PT,
            linespacing=1.1,
        )


def _label(one: SizeMark) -> str:
    return f"{one.length_cm:.0f} cm\n{one.length_cm / CM_PER_INCH:.0f} in"


def _asked_said(one: SizeMark) -> str:
    return f"{_size_said(one)}, {one.odds}; {one.ends_it} is what ends it"


def _size_said(one: SizeMark) -> str:
    wide = f"{say_cm(one.width_cm)} ({say_inches(one.width_cm)}) wide"
    return f"{wide}, {say_cm(one.length_cm)} ({say_inches(one.length_cm)}) long"


def sizes_told(chart: SizesChart) -> str:
    """The picture in words: every figure of it."""
    parts = [f"{chart.title}. {chart.said}"]
    if chart.asked is not None:
        parts.append(f"{_asked_said(chart.asked)}.")
    parts += [f"{_size_said(one)}: {one.odds}, ends with {one.ends_it}." for one in chart.sizes]
    return " ".join(parts)
