"""The chart of the sizes that skeins weave at the promise."""

from pathlib import Path

from farspun.pictures.chart_sizes import SizeMark, SizesChart, sizes_figure, sizes_told
from farspun.services.charts import draw
from farspun.services.cloth_asked import ClothAsked
from farspun.services.largest import Largest, SizeOdds, Wish, both_sides, largest
from farspun.services.picture_file import Drawn
from farspun.store.engine import Stash
from farspun.units import say_odds


def draw_sizes(stash: Stash, asked: ClothAsked, wish: Wish, file: Path) -> Drawn | str:
    """Draw them; in words, where no size keeps the promise. Raises as `largest`, and WrongUse."""
    found = largest(stash, asked, wish)
    if found.size is None and not found.sizes:
        return f"No size keeps {say_odds(found.promise)}, so nothing was drawn: {found.why}."
    chart = sizes_chart(found, asked)
    return draw(file, chart, sizes_figure, sizes_told(chart))


def sizes_chart(found: Largest, asked: ClothAsked) -> SizesChart:
    """The answer as it is drawn."""
    promise = say_odds(found.promise)
    said = f"Each mark is the longest of its width that keeps the promise, {promise}."
    if found.size is None and found.why is not None:
        said = f"{said} What you asked for: {found.why}."
    return SizesChart(
        title=f"How large a cloth: {_yarn_said(both_sides(asked))}",
        said=said,
        promise=promise,
        sizes=[_mark(row, row.ends_it, found.promise) for row in found.sizes],
        asked=None if found.size is None else _mark(found.size, found.ends_it or "", found.promise),
    )


def _yarn_said(asked: ClothAsked) -> str:
    warp = " + ".join(asked.warp or ()) or asked.warp_order
    weft = " + ".join(asked.weft or ()) or asked.weft_order
    if warp == weft:
        return f"{warp} for warp and weft"
    return ", ".join(f"{side} {yarn}" for side, yarn in (("warp", warp), ("weft", weft)) if yarn)


def _mark(size: SizeOdds, ends_it: str, promise: float) -> SizeMark:
    odds = say_odds(size.odds or 0.0, promise)
    return SizeMark(size.width_cm, size.length_cm, odds, ends_it)
