"""A sheet to draw on: rectangles, lines, words and pictures, written out as SVG or as PNG.

Everything is measured in units: a pixel of an SVG drawing shown as large as it is. Words go through
`text` alone: it makes them fit the room they have and remembers the box they fill, so that a test
can see whether any two of them meet.
"""

import base64
import io
import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from functools import lru_cache
from importlib.util import find_spec
from itertools import pairwise
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal
from unicodedata import east_asian_width
from xml.sax.saxutils import escape

import numpy as np
from numpy.typing import NDArray

from farspun.errors import one_line

if TYPE_CHECKING:
    from PIL.Image import Image

# name: value          unit     source
INK = "#1a1a1a"  #              judgement: as are all that follow
FAINT = "#8c8c8c"  #            lines that only guide
PAPER = "#ffffff"
BODY = 12.0  # units            words
SMALL = 10.0  # units           words beside a picture
LEAST = 8.0  # units            smaller cannot be read
RISE, FALL = 0.82, 0.25  # of the size: how far letters go above and below their line
ENDING = 3  # signs             kept of words that are shortened
COLOURS = 256  #                what a palette of PNG holds
MOST_KEPT = 64  # colours       of fills that are kept as they are in it
MEASURED_AT = 100  # the size at which letters are measured
UNIT = re.compile(r"(\d) (?=(?:cm|mm|m|in|ends?|picks?)\b|%)")
FAMILY = "'DejaVu Sans', Verdana, sans-serif"

Anchor = Literal["start", "middle", "end"]
Point = tuple[float, float]
Pixels = NDArray[np.uint8]


@dataclass(frozen=True, slots=True)
class Box:
    """Where words stand."""

    left: float
    top: float
    right: float
    bottom: float
    words: str

    def meets(self, other: "Box") -> bool:
        """Whether two boxes share more than an edge."""
        across = min(self.right, other.right) - max(self.left, other.left)
        along = min(self.bottom, other.bottom) - max(self.top, other.top)
        return across > 1e-6 and along > 1e-6


@dataclass(frozen=True, slots=True)
class _Rect:
    left: float
    top: float
    width: float
    height: float
    fill: str | None
    stroke: str | None
    thick: float


@dataclass(frozen=True, slots=True)
class _Line:
    points: tuple[Point, ...]
    stroke: str
    thick: float
    dash: tuple[float, float] | None


@dataclass(frozen=True, slots=True)
class _Words:
    x: float
    y: float
    words: str
    size: float
    anchor: Anchor
    bold: bool


@dataclass(frozen=True, slots=True, eq=False)
class _Picture:
    left: float
    top: float
    width: float
    height: float
    pixels: Pixels


@dataclass(slots=True, eq=False)
class Sheet:
    """A sheet of `width` x `height` units; `title` and `told` go with it for those who do not see
    it. What is drawn later lies above."""

    width: float
    height: float
    title: str
    told: str
    boxes: list[Box] = field(default_factory=list)
    marks: list[Any] = field(default_factory=list)

    def rect(
        self, left: float, top: float, width: float, height: float, fill: str | None = None,
        stroke: str | None = None, thick: float = 1.0,
    ) -> None:  # fmt: skip
        """A rectangle, filled, edged, or both; colours as #rrggbb."""
        self.marks.append(_Rect(left, top, width, height, fill, stroke, thick))

    def line(
        self, *points: Point, stroke: str = INK, thick: float = 1.0,
        dash: tuple[float, float] | None = None,
    ) -> None:  # fmt: skip
        """A line from point to point; `dash` is how long each dash is and each gap."""
        self.marks.append(_Line(points, stroke, thick, dash))

    def picture(
        self, left: float, top: float, pixels: Pixels, width: float = 0, height: float = 0
    ) -> None:
        """Pixels (height, width, 3), 0-255; each a unit wide where no size is told."""
        high, wide = pixels.shape[:2]
        self.marks.append(_Picture(left, top, width or wide, height or high, pixels))

    def text(
        self, x: float, y: float, words: str, size: float = BODY, anchor: Anchor = "start",
        room: float | None = None, bold: bool = False,
    ) -> float:  # fmt: skip
        """A line of words at `x`, standing on `y`; gives back how wide it is.

        In a `room` that is too narrow they become smaller, then shorter, with … at the end.
        """
        words = one_line(words)
        if room is not None:
            words, size = fitted(words, size, room, bold)
        wide = words_width(words, size, bold)
        left = x - {"start": 0.0, "middle": wide / 2, "end": wide}[anchor]
        self.boxes.append(Box(left, y - RISE * size, left + wide, y + FALL * size, words))
        self.marks.append(_Words(x, y, words, size, anchor, bold))
        return wide

    def svg(self) -> str:
        """The sheet as SVG: title and description first, then what was drawn."""
        size = f'width="{_n(self.width)}" height="{_n(self.height)}"'
        return "\n".join(
            [
                f'<svg xmlns="http://www.w3.org/2000/svg" {size}'
                f' viewBox="0 0 {_n(self.width)} {_n(self.height)}" role="img"'
                f' font-family="{FAMILY}" fill="{INK}">',
                f"<title>{escape(one_line(self.title))}</title>",
                f"<desc>{escape(one_line(self.told))}</desc>",
                f'<rect width="100%" height="100%" fill="{PAPER}"/>',
                *(line for mark in self.marks for line in _svg(mark)),
                "</svg>\n",
            ]
        )

    def image(self, scale: int = 1) -> "Image":
        """The sheet in pixels, `scale` of them a unit."""
        from PIL import Image, ImageDraw

        size = round(self.width * scale), round(self.height * scale)
        found = Image.new("RGB", size, PAPER)
        pen = ImageDraw.Draw(found)
        for mark in self.marks:
            _put(found, pen, mark, scale)
        return found

    def png(self, scale: int = 1) -> bytes:
        """The sheet as PNG, title and description in its text."""
        from PIL.PngImagePlugin import PngInfo

        told = PngInfo()
        told.add_itxt("Title", one_line(self.title))
        told.add_itxt("Description", one_line(self.told))
        into = io.BytesIO()
        fills = [mark.fill for mark in self.marks if isinstance(mark, _Rect) and mark.fill]
        _few_colours(self.image(scale), fills).save(into, "PNG", pnginfo=told)
        return into.getvalue()


def fitted(words: str, size: float, room: float, bold: bool = False) -> tuple[str, float]:
    """Words and the size at which they go into the room: smaller down to `LEAST`, then shorter.

    What is left out stands before the end of a name, for there two skeins differ.

    >>> fitted("Gorse", 12.0, 400.0)
    ('Gorse', 12.0)
    """
    wide = words_width(words, size, bold)
    if wide <= room:
        return words, size
    smaller = max(min(LEAST, size), size * room / wide)
    if words_width(words, smaller, bold) <= room + 1e-9:
        return words, smaller
    kept, end = words[:-ENDING], words[-ENDING:]
    while kept and words_width(f"{kept.rstrip()}…{end}", smaller, bold) > room:
        kept = kept[:-1]
    while end and not kept and words_width(f"…{end}", smaller, bold) > room:
        end = end[1:]
    return f"{kept.rstrip()}…{end}", smaller


def cut_in_the_middle(words: str, size: float, room: float) -> str:
    """Words of that size that go into the room: a long one keeps its beginning and its end.

    >>> cut_in_the_middle("slate with oat flecks, a little madder", 10.0, 130.0)
    'slate with o…ittle madder'
    """
    words = one_line(words)
    kept = len(words)
    said = words
    while kept > 1 and words_width(said, size) > room:
        kept -= 1
        first = (kept + 1) // 2
        said = f"{words[:first].rstrip()}…{words[len(words) - kept + first :].lstrip()}"
    return said


def wrapped(words: str, size: float, room: float, bold: bool = False) -> list[str]:
    """Words in lines that go into the room, all of them; a word too long for it is broken, a number
    and its unit stay whole.

    >>> wrapped("98 in 100 that the yarn reaches", 10.0, 90.0)
    ['98 in 100 that', 'the yarn reaches']
    """
    lines: list[str] = []
    for word in UNIT.sub("\\1\u00a0", one_line(words)).split(" "):
        joined = f"{lines[-1]} {word}" if lines else word
        if lines and words_width(joined, size, bold) <= room:
            lines[-1] = joined
            continue
        while words_width(word, size, bold) > room and len(word) > 1:
            kept = next(
                (at for at in range(len(word) - 1, 1, -1)
                 if words_width(word[:at], size, bold) <= room
                 and not (word[at - 1].isdigit() and word[at].isdigit())),
                1,
            )  # fmt: skip
            lines.append(word[:kept])
            word = word[kept:]
        lines.append(word)
    return [line.replace("\u00a0", " ") for line in lines]


def words_width(words: str, size: float, bold: bool = False) -> float:
    """How wide a line of words is, in units; what the letters do not have counts as a square."""
    plain = "".join(sign for sign in words if east_asian_width(sign) not in "WF")
    wide: float = _letters(MEASURED_AT, bold).getlength(plain) / MEASURED_AT
    return (wide + len(words) - len(plain)) * size


@lru_cache(maxsize=64)
def _letters(size: int, bold: bool = False) -> Any:
    """The letters that PNG is written with and all words are measured by."""
    from PIL import ImageFont

    found = find_spec("matplotlib")
    assert found is not None and found.submodule_search_locations
    fonts = Path(found.submodule_search_locations[0]) / "mpl-data" / "fonts" / "ttf"
    return ImageFont.truetype(str(fonts / f"DejaVuSans{'-Bold' if bold else ''}.ttf"), size)


def _n(number: float) -> str:
    """A number as SVG has it, as short as can be."""
    return f"{round(number, 2):g}" if abs(number) < 1e5 else f"{number:.0f}"


def _svg(mark: Any) -> Iterator[str]:
    if isinstance(mark, _Rect):
        edge = f' stroke="{mark.stroke}" stroke-width="{_n(mark.thick)}"' if mark.stroke else ""
        yield (
            f'<rect x="{_n(mark.left)}" y="{_n(mark.top)}" width="{_n(mark.width)}"'
            f' height="{_n(mark.height)}" fill="{mark.fill or "none"}"{edge}/>'
        )
    elif isinstance(mark, _Line):
        dash = f' stroke-dasharray="{_n(mark.dash[0])} {_n(mark.dash[1])}"' if mark.dash else ""
        points = " ".join(f"{_n(x)},{_n(y)}" for x, y in mark.points)
        yield (
            f'<polyline points="{points}" fill="none" stroke="{mark.stroke}"'
            f' stroke-width="{_n(mark.thick)}"{dash}/>'
        )
    elif isinstance(mark, _Words):
        bold = ' font-weight="bold"' if mark.bold else ""
        anchor = f' text-anchor="{mark.anchor}"' if mark.anchor != "start" else ""
        yield (
            f'<text x="{_n(mark.x)}" y="{_n(mark.y)}" font-size="{_n(mark.size)}"{anchor}{bold}>'
            f"{escape(mark.words)}</text>"
        )
    else:
        yield (
            f'<image x="{_n(mark.left)}" y="{_n(mark.top)}" width="{_n(mark.width)}"'
            f' height="{_n(mark.height)}" preserveAspectRatio="none"'
            f' href="data:image/png;base64,{_base64_png(mark.pixels)}"/>'
        )


def _base64_png(pixels: Pixels) -> str:
    from PIL import Image

    into = io.BytesIO()
    _few_colours(Image.fromarray(np.ascontiguousarray(pixels))).save(into, "PNG")
    return base64.b64encode(into.getvalue()).decode()


def _few_colours(image: "Image", kept: Iterable[str] = ()) -> "Image":
    """With a palette: a third of the size, and no difference that can be seen. Colours that are
    `kept`, as those of small swatches, are in it as they are."""
    from PIL import Image, ImageColor

    few = list(dict.fromkeys(kept))[:MOST_KEPT]
    found = image.quantize(COLOURS - len(few), Image.Quantize.MEDIANCUT, dither=Image.Dither.NONE)
    if not few:
        return found
    own = [part for one in few for part in ImageColor.getrgb(one)]
    palette = Image.new("P", (1, 1))
    palette.putpalette([*own, *(found.getpalette() or [])][: 3 * COLOURS])
    return image.quantize(palette=palette, dither=Image.Dither.NONE)


def _put(image: "Image", pen: Any, mark: Any, scale: int) -> None:
    """One mark, in pixels."""
    if isinstance(mark, _Rect):
        left, top = round(mark.left * scale), round(mark.top * scale)
        right = max(left, round((mark.left + mark.width) * scale) - 1)
        bottom = max(top, round((mark.top + mark.height) * scale) - 1)
        thick = max(1, round(mark.thick * scale)) if mark.stroke else 0
        pen.rectangle((left, top, right, bottom), mark.fill, mark.stroke, thick)
    elif isinstance(mark, _Line):
        thick = max(1, round(mark.thick * scale))
        for start, end in _dashes(mark):
            pen.line((*_px(start, scale), *_px(end, scale)), mark.stroke, thick)
    elif isinstance(mark, _Words):
        letters = _letters(max(1, round(mark.size * scale)), mark.bold)
        place = {"start": "ls", "middle": "ms", "end": "rs"}[mark.anchor]
        pen.text(_px((mark.x, mark.y), scale), mark.words, INK, letters, place)
    else:
        from PIL import Image

        picture = Image.fromarray(np.ascontiguousarray(mark.pixels))
        size = max(1, round(mark.width * scale)), max(1, round(mark.height * scale))
        if size != picture.size:
            picture = picture.resize(size, Image.Resampling.BOX)
        image.paste(picture, _whole((mark.left, mark.top), scale))


def _px(point: Point, scale: int) -> Point:
    return point[0] * scale, point[1] * scale


def _whole(point: Point, scale: int) -> tuple[int, int]:
    return round(point[0] * scale), round(point[1] * scale)


def _dashes(line: _Line) -> Iterator[tuple[Point, Point]]:
    """The pieces of a line that are drawn."""
    for start, end in pairwise(line.points):
        if line.dash is None:
            yield start, end
            continue
        (x, y), (across, along) = start, (end[0] - start[0], end[1] - start[1])
        whole = (across**2 + along**2) ** 0.5
        at = 0.0
        while at < whole:
            upto = min(whole, at + line.dash[0])
            yield (
                (x + across * at / whole, y + along * at / whole),
                (x + across * upto / whole, y + along * upto / whole),
            )
            at += sum(line.dash)
