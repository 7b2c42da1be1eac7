"""Where the words of a chart stand: every text drawn, and which of them lie on each other."""

from collections.abc import Iterator
from itertools import combinations
from typing import Any

from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from matplotlib.text import Text

from farspun.pictures.chart import settings

TOUCH_DOTS = 0.5  # of 100 to the inch: less is rounding


def boxes(figure: Figure, family: str | None = None) -> list[tuple[str, Any]]:
    """Each text that shows, with its box in dots as the renderer measures it; in letters of another
    family where one is named."""
    with settings():
        canvas = FigureCanvasAgg(figure)
        canvas.draw()
        for text in _texts(figure) if family else ():
            text.set_fontfamily(family)
        renderer = canvas.get_renderer()
        return [
            (text.get_text(), text.get_window_extent(renderer))
            for text in _texts(figure)
            if text.get_visible() and text.get_text().strip()
        ]


def _texts(figure: Figure) -> Iterator[Text]:
    yield from figure.texts
    for axes in figure.axes:
        yield from axes.texts
        for every in (axes, *axes.child_axes):
            for axis in (every.xaxis, every.yaxis):
                if axis.get_visible():
                    yield axis.label
                    yield from _figures_of(axis)


def _figures_of(axis: Any) -> Iterator[Text]:
    low, high = sorted(axis.get_view_interval())
    for tick in axis.get_major_ticks():
        if low - 1e-9 <= tick.get_loc() <= high + 1e-9:
            yield from (label for label in (tick.label1, tick.label2) if label.get_visible())


def overlaps(figure: Figure, family: str | None = None) -> list[tuple[str, str]]:
    """Every two texts that lie on each other."""
    return [
        (one, other)
        for (one, a), (other, b) in combinations(boxes(figure, family), 2)
        if min(a.x1, b.x1) - max(a.x0, b.x0) > TOUCH_DOTS
        and min(a.y1, b.y1) - max(a.y0, b.y0) > TOUCH_DOTS
    ]


def off_the_sheet(figure: Figure, family: str | None = None) -> list[str]:
    """Every text that does not lie whole on the sheet."""
    sheet = figure.bbox
    return [
        text
        for text, box in boxes(figure, family)
        if box.x0 < sheet.x0 or box.y0 < sheet.y0 or box.x1 > sheet.x1 or box.y1 > sheet.y1
    ]


def by_name(figure: Figure) -> dict[str, Any]:
    """The named artists of all axes."""
    found = [artist for axes in figure.axes for artist in axes.get_children()]
    return {artist.get_gid(): artist for artist in found if artist.get_gid()}
