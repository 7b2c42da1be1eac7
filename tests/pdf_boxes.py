"""Where the words of a PDF lie: read from its own drawing commands and the widths of its fonts."""

import io
import re
from dataclasses import dataclass
from itertools import combinations
from typing import Any

from pypdf import PdfReader

ASCENT, DESCENT = 0.68, 0.21  # of the size; what letters of a book face take, common practice
TOUCHING_PT = 0.6  # less than this far into one another is not seen


@dataclass(frozen=True)
class Box:
    """One run of text on a page, in points from the lower left corner."""

    left: float
    bottom: float
    right: float
    top: float
    size: float


def text_of(pdf: bytes) -> list[str]:
    """The text of each page; where a word may be broken, or a line not, is no part of it."""
    pages = PdfReader(io.BytesIO(pdf)).pages
    return [page.extract_text().replace("\u200b", "").replace("\xa0", " ") for page in pages]


def text_boxes(pdf: bytes) -> list[tuple[Box, list[Box]]]:
    """The sheet and every run of text on it, for each page."""
    return [(_sheet(page), list(_boxes(page))) for page in PdfReader(io.BytesIO(pdf)).pages]


def _sheet(page: Any) -> Box:
    box = page.mediabox
    return Box(float(box.left), float(box.bottom), float(box.right), float(box.top), 0.0)


def _boxes(page: Any) -> Any:
    """Only what Typst writes is understood: upright text, its matrix without turn or slant."""
    own = page["/Resources"]["/Font"].items()
    fonts = {name: _widths(font) for name, font in own}
    spaces = {name: _spaces(font) for name, font in own}
    kept: list[tuple[float, ...]] = []
    matrix: tuple[float, ...] = (1, 0, 0, 1, 0, 0)
    text, font, size = matrix, "", 0.0
    for operands, operator in page.get_contents().operations:
        if operator == b"q":
            kept.append(matrix)
        elif operator == b"Q":
            matrix = kept.pop()
        elif operator == b"cm":
            matrix = _product(tuple(map(float, operands)), matrix)
        elif operator == b"Tf":
            font, size = str(operands[0]), float(operands[1])
        elif operator == b"Tm":
            text = tuple(map(float, operands))
        elif operator in (b"TJ", b"Tj"):
            shown = operands[0] if operator == b"TJ" else operands
            wide = _wide(shown, fonts[font], spaces[font]) * size / 1000
            a, b, c, _, x, y = _product(text, matrix)
            assert b == c == 0
            high = abs(a)
            yield Box(x, y - DESCENT * size * high, x + wide * a, y + ASCENT * size * high, size)


def patches(pdf: bytes) -> list[list[Box]]:
    """Every area of each page that is filled with a colour and outlined."""
    return [list(_patches(page)) for page in PdfReader(io.BytesIO(pdf)).pages]


def _patches(page: Any) -> Any:
    kept: list[tuple[float, ...]] = []
    matrix: tuple[float, ...] = (1, 0, 0, 1, 0, 0)
    coloured, corners = False, []
    for operands, operator in page.get_contents().operations:
        if operator == b"q":
            kept.append(matrix)
        elif operator == b"Q":
            matrix, coloured = kept.pop(), False
        elif operator == b"cm":
            matrix = _product(tuple(map(float, operands)), matrix)
        elif operator == b"scn":
            coloured = len(operands) == 3
        elif operator in (b"m", b"l"):
            at = (1, 0, 0, 1, *map(float, operands))
            corners = [*([] if operator == b"m" else corners), _product(at, matrix)[4:]]
        elif operator == b"B" and coloured:
            across, up = zip(*corners, strict=True)
            yield Box(min(across), min(up), max(across), max(up), 0.0)


def _product(one: tuple[float, ...], other: tuple[float, ...]) -> tuple[float, ...]:
    a, b, c, d, e, f = one
    g, h, i, j, k, m = other
    return (a * g + b * i, a * h + b * j, c * g + d * i, c * h + d * j, e * g + f * i + k,
            e * h + f * j + m)  # fmt: skip


def _widths(font: Any) -> dict[int, float]:
    """Of every glyph of a font, in thousandths of its size."""
    told = list(font.get_object()["/DescendantFonts"][0].get_object()["/W"])
    found: dict[int, float] = {}
    while told:
        first, second = int(told.pop(0)), told.pop(0)
        if isinstance(second, list):
            found.update({first + at: float(width) for at, width in enumerate(second)})
        else:
            width = float(told.pop(0))
            found.update(dict.fromkeys(range(first, int(second) + 1), width))
    return found


def _spaces(font: Any) -> set[int]:
    """The glyphs that print nothing: a space behind the last word of a line is no text."""
    told = font.get_object()["/ToUnicode"].get_data()
    return {int(glyph, 16) for glyph in re.findall(rb"<([0-9A-Fa-f]{4})> ?<0020>", told)}


def _wide(shown: Any, widths: dict[int, float], spaces: set[int]) -> float:
    """From the first sign to the end of the last that is printed."""
    total = printed = 0.0
    for part in shown:
        if isinstance(part, str | bytes):
            codes = part.original_bytes if hasattr(part, "original_bytes") else part
            for high, low in zip(codes[::2], codes[1::2], strict=True):
                total += widths[high << 8 | low]
                printed = printed if (high << 8 | low) in spaces else total
        else:
            total -= float(part)
    return printed


def overlapping(boxes: list[Box]) -> list[tuple[Box, Box]]:
    """Every two runs that lie on one another."""
    return [
        (one, other)
        for one, other in combinations(boxes, 2)
        if min(one.right, other.right) - max(one.left, other.left) > TOUCHING_PT
        and min(one.top, other.top) - max(one.bottom, other.bottom) > TOUCHING_PT
    ]


def outside(sheet: Box, boxes: list[Box], margin_pt: float) -> list[Box]:
    """Every run that comes nearer to an edge of the sheet than that."""
    return [
        one
        for one in boxes
        if one.left < sheet.left + margin_pt - TOUCHING_PT
        or one.right > sheet.right - margin_pt + TOUCHING_PT
        or one.bottom < sheet.bottom + margin_pt - TOUCHING_PT
        or one.top > sheet.top - margin_pt + TOUCHING_PT
    ]
