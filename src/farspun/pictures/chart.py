"""How every chart looks, how wide its words are, and its bytes: SVG or PNG, the same each time.

An SVG has letters as text, so that it can be searched. Room for them is measured in the DejaVu Sans
that matplotlib carries; letters a fifth wider still do not lie on each other. What a chart says in
words stands in its <title> and <desc>, or in the text of a PNG. There a sign that DejaVu Sans has
not is drawn as a box; the words have it.
"""

import io
import logging
import re
import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from functools import cache
from typing import TYPE_CHECKING, Any, Literal
from unicodedata import east_asian_width
from xml.sax.saxutils import escape

from farspun.pictures.sheet import FAMILY
from farspun.units.factors import CM_PER_INCH

if TYPE_CHECKING:
    from matplotlib.figure import Figure

Kind = Literal["svg", "png"]

MM_PER_INCH = 10 * CM_PER_INCH
POINTS_PER_MM = 72 / MM_PER_INCH  # a point is 1/72 inch by definition
SHEET_MM = 180.0  # what a page leaves between its margins
MARGIN_MM = 7.0
SCALE_MM = 6.0  # for the figures of a scale
NAMED_SCALE_MM = 9.0  # and for what they are of, below them or above
SCALE_FOOT_MM = (2.4, 4.0)  # of those figures, from the scale: above it, below it
BAR_MM = 3.0  # high
KEY_MM = 5.0  # for a mark, before what it means
LINE = 1.35  # times the size of the letters, from line to line
TITLE_PT, HEADING_PT, BODY_PT, SMALL_PT = 12.0, 9.5, 8.5, 7.5
DOTS_PER_INCH = 200
ROUND = [1, 2, 2.5, 5, 10]  # of the figures of a scale
MOST_DOTS = 60_000  # of one side of a PNG; more cannot be drawn
INK, PAPER, FAINT = "#000000", "#ffffff", "#c8c8c8"
# dark and light, so that grey tells them apart too; each has its own hatch or mark besides
DARK, LIGHT = "#1f4e79", "#f6d9a8"
HATCH = "#8a6a3a"
OWN_FAMILY = re.compile(r"; font-family: 'DejaVu Sans'")  # as matplotlib writes it at every text
NOT_TURNED = re.compile(r' transform="rotate\(-0 [^"]*\)"')  # and by how much it is turned
SETTINGS: Any = {  # so typed, for its keys are those of matplotlib
    "font.family": ["DejaVu Sans"],
    "font.size": SMALL_PT,
    "axes.labelsize": SMALL_PT,
    "xtick.labelsize": SMALL_PT,
    "ytick.labelsize": SMALL_PT,
    "text.parse_math": False,  # a $ in a name is a $
    "svg.fonttype": "none",  # letters, not outlines
    "svg.hashsalt": "farspun",
    "hatch.linewidth": 0.6,
    "axes.linewidth": 0.6,
    "axes.unicode_minus": True,
    "path.simplify": False,
}


@contextmanager
def settings() -> Iterator[None]:
    """matplotlib as it comes, with SETTINGS, whatever it is told elsewhere; and not talkative."""
    logging.getLogger("matplotlib").setLevel(logging.ERROR)
    import matplotlib

    with matplotlib.rc_context(), warnings.catch_warnings():
        warnings.filterwarnings("ignore", message="Glyph .* missing from")
        matplotlib.rcdefaults()
        matplotlib.rcParams.update(SETTINGS)
        yield


@cache
def text_mm(text: str, points: float, bold: bool = False) -> float:
    """How wide a line of text is; what the letters do not have counts as a square."""
    from matplotlib.font_manager import FontProperties
    from matplotlib.textpath import text_to_path

    letters = FontProperties(family="DejaVu Sans", size=points, weight="bold" if bold else "normal")
    plain = "".join(sign for sign in text if east_asian_width(sign) not in "WF")
    wide, _, _ = text_to_path.get_text_width_height_descent(plain, letters, ismath=False)
    return (float(wide) + points * (len(text) - len(plain))) / POINTS_PER_MM


def line_mm(points: float) -> float:
    """From one line of that size to the next."""
    return LINE * points / POINTS_PER_MM


def lines_of(text: str, room_mm: float, points: float, bold: bool = False) -> list[str]:
    """The text in lines that go into the room; a word too long for one is parted."""
    lines = [""]
    for word in text.split():
        for part in _parts(word, room_mm, points, bold):
            longer = f"{lines[-1]} {part}".strip()
            if text_mm(longer, points, bold) <= room_mm:
                lines[-1] = longer
            else:
                lines.append(part)
    return [line for line in lines if line] or [""]


def _parts(word: str, room_mm: float, points: float, bold: bool) -> Iterator[str]:
    while text_mm(word, points, bold) > room_mm and len(word) > 1:
        fits = next(
            (n for n in range(len(word) - 1, 1, -1) if text_mm(word[:n], points, bold) <= room_mm),
            1,
        )
        yield word[:fits]
        word = word[fits:]
    yield word


def shortened_to(text: str, room_mm: float, points: float) -> str:
    """The text on one line; where there is no room for it, its middle left out.

    Names often differ by a number at their end.
    """
    if text_mm(text, points) <= room_mm:
        return text
    for kept in range(len(text) - 1, 1, -1):
        end = kept // 3
        short = f"{text[: kept - end].rstrip()}…{text[len(text) - end :].lstrip()}"
        if text_mm(short, points) <= room_mm:
            return short
    return "…"


def chart_bytes(figure: "Figure", title: str, told: str, kind: Kind) -> bytes:
    """The chart as a file, with its title and what it tells in words. The same bytes each time."""
    kept = io.BytesIO()
    with settings():
        if kind == "svg":
            figure.savefig(kept, format="svg", metadata={"Date": None, "Creator": None})
            return _with_words(kept.getvalue().decode(), title, told).encode()
        high = figure.get_size_inches()[1]
        words = {"Title": title, "Description": told, "Software": None}
        dots = min(DOTS_PER_INCH, MOST_DOTS / high)
        figure.savefig(kept, format="png", dpi=dots, metadata=words)
        return kept.getvalue()


def _with_words(svg: str, title: str, told: str) -> str:
    """The drawing with <title> and <desc>, as the SVG standard wants them: first in it; the
    family of its letters is told once, for all."""
    start = svg.index("<svg ")
    end = svg.index(">", start)
    opening = (
        f'{svg[start:end]} role="img" aria-labelledby="chart-title chart-desc"'
        f' font-family="{FAMILY}">'
    )
    words = (
        f'\n <title id="chart-title">{escape(title)}</title>'
        f'\n <desc id="chart-desc">{escape(told)}</desc>'
    )
    drawn = NOT_TURNED.sub("", OWN_FAMILY.sub("", svg[end + 1 :]))
    return '<?xml version="1.0" encoding="utf-8"?>\n' + opening + words + drawn
