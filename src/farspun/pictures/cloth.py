"""Cloths side by side, to one scale: whole, with hems and fringe, or a few centimetres of them."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from farspun.craft.colour_space import light_from_srgb, srgb_from_light
from farspun.craft.pooling import NO_YARN
from farspun.craft.yarn_colour import YarnColour
from farspun.pictures.face import Face, Pixels, covered_px, face_pixels
from farspun.pictures.shades import as_pixels
from farspun.pictures.sheet import BODY, FAINT, INK, SMALL, Sheet, fitted, words_width, wrapped
from farspun.pictures.stripes import swatch

# name: value             unit    source
WIDE, HIGH = 960.0, 720.0  # units judgement: what a screen shows
CLOSE_PX = 12.0  # of an end units judgement: a thread's shading is seen
CLOSE_MM = 50.0  # of a cloth mm   judgement: a few centimetres
CLOSE_WIDE = 480.0  # units        judgement: what they take of the sheet, if not more
MARGIN, GAP = 24.0, 32.0  # units  judgement
LEAST_WIDE = 180.0  # units        judgement: the room captions need
LINE = 1.35  # of the size         judgement: from line to line
MOST_PX = 12_000_000  # pixels     judgement: drawn at once, before they are made smaller
FINE = 8  # pixels of a thread     judgement: gaps between threads keep their share
HATCH = 9.0  # units               judgement: from line to line of what is missing
SWATCH, KEY = 22.0, 28.0  # units  judgement: of a yarn's colours, and from them to its words
BARS_MM = (1, 2, 5, 10, 20, 50, 100, 200, 500, 1000, 2000, 5000, 10_000)


@dataclass(frozen=True, slots=True, eq=False)
class ClothSeen:
    """A piece of cloth and what is said below it; lengths in mm, finished.

    `yarns`: what is said of each, and its colours, below the caption. `fringe_mm`: at each end;
    `hem_mm`, `side_hem_mm`: how far from the edge they are sewn.
    """

    face: Face
    caption: tuple[str, ...]
    fringe_mm: float = 0.0
    hem_mm: float = 0.0
    side_hem_mm: float = 0.0
    yarns: tuple[tuple[str, YarnColour], ...] = ()

    @property
    def size_mm(self) -> tuple[float, float]:
        """Across and along, fringes too."""
        across, along = self.face.size_mm
        return across, along + 2 * self.fringe_mm


def cloth_sheet(
    cloths: Sequence[ClothSeen], title: str, told: str, close_up: bool = False
) -> Sheet:
    """The cloths beside one another, all to one scale, each with its caption below."""
    mm_px = _close_scale(cloths) if close_up else _whole_scale(cloths)
    shown = [_close(one, mm_px, len(cloths)) if close_up else one for one in cloths]
    sizes = [tuple(max(1.0, round(mm_px * mm)) for mm in one.size_mm) for one in shown]
    columns = [max(size[0], _room(len(cloths))) for size in sizes]
    sheet_wide = max(sum(columns) + GAP * (len(columns) - 1) + 2 * MARGIN, 2 * LEAST_WIDE)
    captions = [_lines(one.caption, column) for one, column in zip(shown, columns, strict=True)]
    keys = [_keys(one.yarns, column - KEY) for one, column in zip(shown, columns, strict=True)]
    lines = max(
        len(caption) + sum(len(words) for words, _ in key)
        for caption, key in zip(captions, keys, strict=True)
    )
    top = MARGIN + 2.4 * BODY
    high = max(size[1] for size in sizes)
    below = top + high + 1.6 * BODY
    tall = below + (lines + 1) * LINE * SMALL + 2.6 * BODY + MARGIN
    sheet = Sheet(math.ceil(sheet_wide), math.ceil(tall), title, told)
    room = sheet.width - 2 * MARGIN
    sheet.text(MARGIN, MARGIN + BODY, title, 1.2 * BODY, room=room, bold=True)
    left = MARGIN
    for one, size, column, caption, key in zip(shown, sizes, columns, captions, keys, strict=True):
        _draw(sheet, one, left, top, size, mm_px)
        _say(sheet, caption, left, below)
        _say_yarns(sheet, key, left, below + len(caption) * LINE * SMALL)
        left += column + GAP
    _bar(sheet, mm_px, MARGIN, tall - MARGIN, room)
    return sheet


def _room(cloths: int) -> float:
    """The least a cloth and its caption have, side by side."""
    return max(LEAST_WIDE, min(2.2 * LEAST_WIDE, (WIDE - GAP * (cloths - 1)) / cloths))


def _whole_scale(cloths: Sequence[ClothSeen]) -> float:
    """Pixels of a mm at which all go side by side, and none is taller than the sheet."""
    across = sum(one.size_mm[0] for one in cloths)
    along = max(one.size_mm[1] for one in cloths)
    return min((WIDE - GAP * (len(cloths) - 1)) / across, HIGH / along)


def _close_scale(cloths: Sequence[ClothSeen]) -> float:
    """An end of the finest cloth is `CLOSE_PX` wide; of coarse cloths more, to fill the sheet."""
    wide = min(CLOSE_WIDE, (WIDE - GAP * (len(cloths) - 1)) / len(cloths))
    return max(CLOSE_PX / min(one.face.end_mm for one in cloths), wide / CLOSE_MM)


def _close(one: ClothSeen, mm_px: float, cloths: int) -> ClothSeen:
    """A few cm from the first corner, without hems and fringe."""
    most_mm = min(CLOSE_MM, 0.8 * HIGH / mm_px, (WIDE - GAP * (cloths - 1)) / cloths / mm_px)
    face = one.face
    picks, ends = (max(1, round(most_mm / mm)) for mm in (face.pick_mm, face.end_mm))
    return ClothSeen(face.part(picks, ends), one.caption, yarns=one.yarns)


def _draw(
    sheet: Sheet, one: ClothSeen, left: float, top: float, size: tuple[float, ...], mm_px: float
) -> None:
    wide, high = int(size[0]), int(size[1])
    sheet.picture(left, top, _sized(_with_fringe(one), wide, high))
    fringe = one.fringe_mm * mm_px
    if not fringe:
        sheet.rect(left, top, wide, high, stroke=FAINT, thick=0.6)  # white cloth on white paper
    for first, last, from_end, to_end in _missing(one.face):
        along, across = (high - 2 * fringe) / one.face.picks, wide / one.face.ends
        corner = left + from_end * across, top + fringe + first * along
        _hatch(sheet, *corner, (to_end - from_end) * across, (last - first) * along)
    for at in _sewn(one.hem_mm, one.face.size_mm[1]):
        y = top + fringe + at * mm_px
        _dashed(sheet, (left, y), (left + wide, y))
    for at in _sewn(one.side_hem_mm, one.face.size_mm[0]):
        x = left + at * mm_px
        _dashed(sheet, (x, top + fringe), (x, top + high - fringe))


def _missing(face: Face) -> list[tuple[int, int, int, int]]:
    """Parts without any yarn: first pick and the one behind the last, and so the ends."""
    blank = (face.warp == NO_YARN) & (face.weft == NO_YARN)
    if not blank.any():
        return []
    rows = blank.all(axis=1)
    first = 0 if rows.all() else face.picks - int(np.argmin(rows[::-1]))
    found = [(first, face.picks, 0, face.ends)] if first < face.picks else []
    edges = np.flatnonzero(np.diff(blank[:first].all(axis=0), prepend=False, append=False))
    if first:
        found += [(0, first, int(one), int(two)) for one, two in edges.reshape(-1, 2)]
    return found


def _hatch(sheet: Sheet, left: float, top: float, wide: float, high: float) -> None:
    """Slanting lines in an outline: what is not there."""
    at = HATCH
    while at < wide + high:
        start = left + min(at, wide), top + max(0.0, at - wide)
        end = left + max(0.0, at - high), top + min(at, high)
        sheet.line(start, end, stroke=FAINT, thick=0.8)
        at += HATCH
    sheet.rect(left, top, wide, high, stroke=INK)


def _dashed(sheet: Sheet, start: tuple[float, float], end: tuple[float, float]) -> None:
    """Seen on any cloth: dark dashes with light ones between."""
    sheet.line(start, end, stroke="#ffffff", thick=1.6)
    sheet.line(start, end, stroke=INK, thick=1.6, dash=(5, 5))


def _sewn(hem_mm: float, whole_mm: float) -> tuple[float, ...]:
    return (hem_mm, whole_mm - hem_mm) if 0 < hem_mm < whole_mm / 2 else ()


def _with_fringe(one: ClothSeen) -> Face:
    """The face with bare warp before and behind it."""
    face = one.face
    rows = round(one.fringe_mm / face.pick_mm)
    if not rows:
        return face
    bare = np.full((rows, face.ends), NO_YARN, dtype=np.int16)
    first, last = (np.repeat(face.warp[at][None], rows, axis=0) for at in (0, -1))
    return replace(
        face,
        up=np.concatenate([bare == NO_YARN, face.up, bare == NO_YARN]),
        warp=np.concatenate([first, face.warp, last]),
        weft=np.concatenate([bare, face.weft, bare]),
    )


def _sized(face: Face, wide: int, high: int) -> Pixels:
    """The face in so many pixels: drawn larger, and its light then shared out among them."""
    fills = face.warp_mm / face.end_mm, face.weft_mm / face.pick_mm
    end_px, pick_px = _finer(wide / face.ends, fills[0]), _finer(high / face.picks, fills[1])
    while end_px * pick_px > 1 and face.picks * face.ends * end_px * pick_px > MOST_PX:
        end_px, pick_px = max(1, end_px - 1), max(1, pick_px - 1)
    drawn = face_pixels(face, pick_px, end_px)
    if drawn.shape[:2] == (high, wide):
        return drawn
    return _made_smaller(drawn, wide, high)


def _finer(px: float, fill: float) -> int:
    """Pixels a thread is drawn with, to be made `px` of: as many, or enough to be told apart, and
    as many more as let it cover what it covers."""
    if abs(px - round(px)) < 1e-6 and px >= FINE:
        return round(px)
    least = max(FINE, math.ceil(px))
    fill = min(fill, 1.0)
    return min(range(least, least + 5), key=lambda one: abs(covered_px(one, fill) / one - fill))


def _made_smaller(drawn: Pixels, wide: int, high: int) -> Pixels:
    """Each pixel the mean light of those it stands for: colours mix as in the eye."""
    from PIL import Image

    channels = []
    for channel in np.moveaxis(drawn, -1, 0):
        light = Image.fromarray(_LIGHT[channel])
        channels.append(np.asarray(light.resize((wide, high), Image.Resampling.BILINEAR)))
    return as_pixels(srgb_from_light(np.clip(np.stack(channels, axis=-1), 0, 1)))


_LIGHT: NDArray[np.float32] = light_from_srgb(np.repeat(np.arange(256)[:, None], 3, axis=1) / 255)[
    :, 0
].astype(np.float32)


def _lines(caption: Sequence[str], room: float) -> list[tuple[str, bool]]:
    """A caption in lines of one size, the first of its parts in bold."""
    return [
        (line, number == 0)
        for number, part in enumerate(caption)
        for line in wrapped(part, SMALL, room, number == 0)
    ]


def _say(sheet: Sheet, caption: Sequence[tuple[str, bool]], left: float, top: float) -> None:
    for number, (line, bold) in enumerate(caption):
        sheet.text(left, top + (number + 0.5) * LINE * SMALL, line, SMALL, bold=bold)


Key = tuple[list[str], YarnColour]  # the lines of a yarn's words, and its colours


def _keys(yarns: Sequence[tuple[str, YarnColour]], room: float) -> list[Key]:
    return [(wrapped(words, SMALL, room), colour) for words, colour in yarns]


def _say_yarns(sheet: Sheet, keys: Sequence[Key], left: float, top: float) -> None:
    """Each yarn with a swatch, so that it is known again in the cloth."""
    y = top + 0.5 * LINE * SMALL
    for words, colour in keys:
        swatch(sheet, left, y - 0.8 * SMALL, SWATCH, 0.9 * SMALL, colour)
        for line in words:
            sheet.text(left + KEY, y, line, SMALL)
            y += LINE * SMALL


def _bar(sheet: Sheet, mm_px: float, left: float, y: float, room: float) -> None:
    """A scale: how long a round number of mm or cm is."""
    most = min(room, 200.0)
    mm = max((one for one in BARS_MM if one * mm_px <= most), default=BARS_MM[0])
    words = f"{mm} mm" if mm < 10 else f"{mm // 10} cm" if mm < 1000 else f"{mm // 1000} m"
    long = mm * mm_px
    sheet.line((left, y), (left + long, y), thick=2)
    for end in (left, left + long):
        sheet.line((end, y - 4), (end, y + 4), thick=2)
    said, size = fitted(words, SMALL, room)
    if words_width(said, size) + 8 + long <= room:
        sheet.text(left + long + 8, y + 3.5, said, size)
    else:
        sheet.text(left, y - 8, said, size)
