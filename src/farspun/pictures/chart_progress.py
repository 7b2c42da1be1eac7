"""A cloth half woven: what its ball of weft should weigh at each mark on the tape, and what it did.

The band is what is expected, from the 5 to the 95 in 100 point, with its middle dashed; each
weighing is a mark. A ball above the band lasts longer than was thought, one below it less long.
Where the middle comes to nothing before the end, the ball is used up, and that is marked.
"""

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
)
from farspun.pictures.chart_sheet import Place, Sheet, bare, scales_across, scales_up
from farspun.units import say_cm, say_inches, say_mass, say_mass_imperial
from farspun.units.factors import CM_PER_INCH, GRAMS_PER_OUNCE

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

HEIGHT_MM, FIGURES_MM = 80.0, 13.0
MOST_SAID = 3  # weighings below the picture; its words have them all


@dataclass(frozen=True, slots=True)
class ProgressChart:
    """What is drawn.

    `woven_cm`, (n,): marks on the tape, rising; `low_g`, `middle_g`, `high_g`, (n,): the 5, 50 and
    95 in 100 points of what the ball then weighs, below 0 what will be lacking; `weighings`: (cm on
    the tape, g); `end_cm`: the mark at which the cloth is long enough.
    """

    title: str
    said: str
    woven_cm: Sequence[float]
    low_g: Sequence[float]
    middle_g: Sequence[float]
    high_g: Sequence[float]
    weighings: Sequence[tuple[float, float]]
    end_cm: float


def progress_figure(chart: ProgressChart) -> "Figure":
    """The whole picture."""
    with settings():
        sheet = Sheet()
        sheet.paragraph(chart.title, TITLE_PT, bold=True)
        sheet.paragraph(chart.said)
        sheet.skip(NAMED_SCALE_MM)
        left = MARGIN_MM + FIGURES_MM
        sheet.axes(
            Place(left, sheet.down_mm, SHEET_MM - 2 * left, HEIGHT_MM),
            lambda axes: _draw(axes, chart),
        )
        sheet.skip(HEIGHT_MM + NAMED_SCALE_MM)
        sheet.key(_weighed(chart, MOST_SAID), "o", DARK)
        if _used_up_cm(chart) is not None:
            sheet.key(_used_up(chart), "X", PAPER, size=7)
        sheet.key(_stop(chart), "|", INK, size=9)
        sheet.skip(1)
        sheet.paragraph(
            "Hatched: what the ball should weigh, from the 5 to the 95 in 100 point; dashed: its"
            " middle.",
            SMALL_PT,
        )
        return sheet.figure()


def _draw(axes: "Axes", chart: ProgressChart) -> None:
    masses = [*chart.high_g, *(mass for _, mass in chart.weighings)]
    marks = [*chart.woven_cm, *(woven for woven, _ in chart.weighings), chart.end_cm]
    bare(axes, frame=True)
    axes.set_xlim(0, 1.04 * max(*marks, 1.0))
    axes.set_ylim(0, 1.08 * max(*masses, 1.0))
    scales_across(axes, CM_PER_INCH, ("cm on the tape", "in on the tape"))
    scales_up(axes, GRAMS_PER_OUNCE, ("g in the ball", "oz in the ball"))
    band = axes.fill_between(
        chart.woven_cm,
        chart.low_g,
        chart.high_g,
        facecolor=LIGHT,
        edgecolor=HATCH,
        hatch="////",
        linewidth=0.6,
    )
    band.set_gid("band")
    (middle,) = axes.plot(chart.woven_cm, chart.middle_g, color=INK, lw=1, ls=(0, (5, 2)))
    middle.set_gid("middle")
    used_up_cm = _used_up_cm(chart)
    if used_up_cm is not None:
        (cross,) = axes.plot(
            [used_up_cm], [0], marker="X", ms=8, mfc=PAPER, mec=INK, zorder=4, clip_on=False
        )
        cross.set_gid("used-up")
    end = axes.axvline(chart.end_cm, color=INK, lw=1.4)
    end.set_gid("end")
    (weighed,) = axes.plot(
        [woven for woven, _ in chart.weighings],
        [mass for _, mass in chart.weighings],
        linestyle="none",
        marker="o",
        ms=6,
        mfc=DARK,
        mec=INK,
        mew=0.6,
        zorder=3,
        clip_on=False,
    )
    weighed.set_gid("weighings")


def _weighed(chart: ProgressChart, most: int) -> str:
    """All weighings; of very many the last."""
    if not chart.weighings:
        return "weighed: not yet"
    each = [f"at {_both(woven)} {_mass(mass)}" for woven, mass in chart.weighings]
    often = f" {len(each)} times, at last" if len(each) > most else ""
    return f"weighed{often}: {'; '.join(each[-most:])}"


def _used_up_cm(chart: ProgressChart) -> float | None:
    """Where the middle comes to nothing; None where it does not before the end."""
    middles = zip(chart.woven_cm, chart.middle_g, strict=True)
    for (woven, left_g), (farther, then_g) in pairwise(middles):
        if left_g >= 0 > then_g:
            return woven + (farther - woven) * left_g / (left_g - then_g)
    return None


def _used_up(chart: ProgressChart) -> str:
    at_cm = _used_up_cm(chart)
    return "" if at_cm is None else f"used up, by the middle: at {_both(at_cm)} on the tape"


def _stop(chart: ProgressChart) -> str:
    return f"long enough, stop there: at {_both(chart.end_cm)} on the tape"


def _both(cm: float) -> str:
    return f"{say_cm(cm)} ({say_inches(cm)})"


def _mass(mass_g: float) -> str:
    mass_g = max(0.0, mass_g)  # what is lacking is told by where the ball is used up
    return f"{say_mass(mass_g)} ({say_mass_imperial(mass_g)})"


def progress_told(chart: ProgressChart) -> str:
    """The picture in words: start and end of the band, every weighing, where to stop."""
    parts = [f"{chart.title}. {chart.said}"]
    for at in dict.fromkeys((0, len(chart.woven_cm) - 1)):
        parts.append(
            f"Expected at {_both(chart.woven_cm[at])}: {_mass(chart.middle_g[at])}, 5 to 95 in 100"
            f" {_mass(chart.low_g[at])} to {_mass(chart.high_g[at])}."
        )
    said = [_weighed(chart, len(chart.weighings)), _used_up(chart), _stop(chart)]
    return " ".join([*parts, *(f"{one[:1].upper()}{one[1:]}." for one in said if one)])
