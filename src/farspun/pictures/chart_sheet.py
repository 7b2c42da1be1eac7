"""A sheet of paper that a chart is drawn on, with its bars and scales.

A sheet is as wide as a page and as long as it needs: what is set on it comes from the top down, in
mm, and every line of text is measured before it is set, so that lines are wrapped and never lie on
each other.
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Literal

from farspun.pictures.chart import (
    BAR_MM,
    BODY_PT,
    DARK,
    INK,
    KEY_MM,
    LIGHT,
    MARGIN_MM,
    MM_PER_INCH,
    PAPER,
    ROUND,
    SHEET_MM,
    SMALL_PT,
    line_mm,
    lines_of,
)

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

Span = tuple[float, float, float]  # low, middle and high
Setting = Callable[["Figure", float], None]  # on a figure so many mm high


@dataclass(frozen=True, slots=True)
class Place:
    """Where axes lie on the sheet, in mm: from its left edge and from its top."""

    left_mm: float
    top_mm: float
    width_mm: float
    height_mm: float


class Sheet:
    """A chart from the top down; `down_mm` is how far it has come."""

    def __init__(self) -> None:
        self.down_mm = MARGIN_MM - 3.0  # a line brings some room of its own
        self._settings: list[Setting] = []

    @property
    def room_mm(self) -> float:
        """Between the margins."""
        return SHEET_MM - 2 * MARGIN_MM

    def skip(self, mm: float) -> None:
        """Leave so much room."""
        self.down_mm += mm

    def paragraph(self, text: str, points: float = BODY_PT, bold: bool = False) -> None:
        """Set a text in as many lines as it takes."""
        for line in lines_of(text, self.room_mm, points, bold):
            self.down_mm += line_mm(points)
            self.text(MARGIN_MM, self.down_mm, line, points, bold=bold)
        self.down_mm += 0.3 * line_mm(points)

    def text(
        self,
        x_mm: float,
        y_mm: float,
        text: str,
        points: float = SMALL_PT,
        at: Literal["left", "right"] = "left",
        bold: bool = False,
    ) -> None:
        """Set one line, its foot at `y_mm` from the top."""

        def put(figure: "Figure", height_mm: float) -> None:
            figure.text(
                x_mm / SHEET_MM,
                1 - y_mm / height_mm,
                text,
                fontsize=points,
                ha=at,
                va="baseline",
                fontweight="bold" if bold else "normal",
                color=INK,
            )

        self._settings.append(put)

    def key(self, text: str, mark: str, fill: str, size: float = 6.0) -> None:
        """What a mark means: the mark, and a text that goes on below itself."""
        for number, line in enumerate(lines_of(text, self.room_mm - KEY_MM, SMALL_PT)):
            self.down_mm += line_mm(SMALL_PT)
            self.text(MARGIN_MM + KEY_MM, self.down_mm, line)
            if not number:
                self._settings.append(_mark(self.down_mm - 0.9, mark, fill, size))

    def axes(self, place: Place, draw: Callable[["Axes"], None]) -> None:
        """Draw in axes that lie there."""

        def put(figure: "Figure", height_mm: float) -> None:
            axes = figure.add_axes(
                (
                    place.left_mm / SHEET_MM,
                    1 - (place.top_mm + place.height_mm) / height_mm,
                    place.width_mm / SHEET_MM,
                    place.height_mm / height_mm,
                )
            )
            draw(axes)

        self._settings.append(put)

    def figure(self) -> "Figure":
        """The whole sheet; call it within `settings`."""
        from matplotlib.figure import Figure

        height_mm = self.down_mm + MARGIN_MM
        figure = Figure(figsize=(SHEET_MM / MM_PER_INCH, height_mm / MM_PER_INCH), facecolor=PAPER)
        for put in self._settings:
            put(figure, height_mm)
        return figure


def _mark(down_mm: float, mark: str, fill: str, size: float) -> Setting:
    def put(figure: "Figure", height_mm: float) -> None:
        from matplotlib.lines import Line2D

        at = (MARGIN_MM + KEY_MM / 2) / SHEET_MM, 1 - down_mm / height_mm
        line = Line2D([at[0]], [at[1]], marker=mark, ms=size, mfc=fill, mec=INK, mew=0.6,
                      linestyle="none", transform=figure.transFigure)  # fmt: skip
        figure.add_artist(line)

    return put


def bare(axes: "Axes", frame: bool = False) -> None:
    """Axes without a frame or a scale of their own; both are put where they are wanted."""
    for side in ("left", "right", "top", "bottom"):
        axes.spines[side].set_visible(frame)
    axes.set_facecolor("none")
    axes.tick_params(left=False, labelleft=False, length=2, width=0.6)


def span_bar(
    axes: "Axes", at: float, span: Span, dark: bool, name: str, narrow: float = 0.0
) -> None:
    """A bar from the first figure to the last, its middle marked: hatched, or dark.

    Of a bar narrower than `narrow` the middle is a thin line, so that the bar still shows.
    """
    low, middle, high = span
    (bar,) = axes.barh(
        at,
        high - low,
        BAR_MM,
        left=low,
        facecolor=DARK if dark else LIGHT,
        hatch=None if dark else "//////",
        edgecolor=INK,
        linewidth=0.6,
    )
    bar.set_gid(name)
    slim, ends = high - low < narrow, (at - BAR_MM / 2, at + BAR_MM / 2)
    if not slim:
        axes.plot([middle, middle], ends, color=INK, lw=2.4, solid_capstyle="butt")
    colour, wide = (INK, 0.5) if slim else (PAPER, 1.2)
    (tick,) = axes.plot([middle, middle], ends, color=colour, lw=wide, solid_capstyle="butt")
    tick.set_gid(f"{name}-middle")


def _both_ways(other: float) -> tuple[Callable[[Any], Any], Callable[[Any], Any]]:
    return (lambda figure: figure / other), (lambda figure: figure * other)


def scales_across(axes: "Axes", other: float, names: tuple[str, str] = ("", "")) -> None:
    """A scale below, and above it one in a unit that is `other` of the first; 0: none."""
    from matplotlib.ticker import MaxNLocator

    axes.spines["bottom"].set_visible(True)
    axes.xaxis.set_major_locator(MaxNLocator(6, steps=ROUND))
    axes.set_xlabel(names[0], labelpad=1)
    if not other:
        return
    above = axes.secondary_xaxis("top", functions=_both_ways(other))
    above.xaxis.set_major_locator(MaxNLocator(6, steps=ROUND))
    above.tick_params(length=2, width=0.6)
    axes.set_xlabel(names[0], labelpad=1)
    above.set_xlabel(names[1], labelpad=3)


def scales_up(axes: "Axes", other: float, names: tuple[str, str]) -> None:
    """The same at the left and at the right."""
    from matplotlib.ticker import MaxNLocator

    axes.tick_params(axis="y", left=True, labelleft=True)
    axes.yaxis.set_major_locator(MaxNLocator(6, steps=ROUND))
    right = axes.secondary_yaxis("right", functions=_both_ways(other))
    right.yaxis.set_major_locator(MaxNLocator(6, steps=ROUND))
    right.tick_params(length=2, width=0.6)
    axes.set_ylabel(names[0], labelpad=2)
    right.set_ylabel(names[1], labelpad=4)
