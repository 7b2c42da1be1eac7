"""The face of a cloth, thread by thread: which thread is on top, its colour, and its roundness.

Every crossing is one of eight kinds: warp or weft on top, and whether that thread comes up just
before and goes under just behind. The pixels of one kind differ in colour alone, so a cloth is laid
out pixel by pixel of a crossing, all crossings at once. The first pick is on top.
"""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from farspun.craft.interlacement import Weave
from farspun.craft.limits import above_zero, count
from farspun.craft.pooling import NO_YARN, Shades

# name: value          unit        source
BEHIND = (232, 230, 226)  # sRGB    judgement: what is seen between the threads, a pale table
ROUND = 0.42  # of the light        judgement: how much darker a thread is at its sides
LIT_FROM = 0.2  # of the radius     judgement: light comes from the upper left
DIPS = 0.45  # of the light         judgement: how much darker a thread is where it goes under
DIP = 0.34  # of a crossing         judgement: how much of it the dip takes
UNDER = 0.62  # of the light        judgement: what is seen of the thread below
WEFT_LIGHT = 0.94  # of the warp's  judgement: so that one colour both ways still shows its weave
GRAINS = 5  # shades of a heather   judgement: fine noise, not spots
GRAIN = 0.07  # of the light        judgement: the same

Pixels = NDArray[np.uint8]
Lights = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class Face:
    """A cloth to be drawn. All crossings are (picks, ends).

    `up`: where the warp is on top; `warp`, `weft`: the shade of both threads there, by its place in
    `colours` (shades, 3), 0–255; NO_YARN where there is no thread. `mixed` (shades,): heathers,
    drawn with fine noise. Spacings and diameters in mm, washed.
    """

    up: NDArray[np.bool_]
    warp: Shades
    weft: Shades
    colours: Pixels
    mixed: NDArray[np.bool_]
    end_mm: float
    pick_mm: float
    warp_mm: float
    weft_mm: float

    @property
    def picks(self) -> int:
        """Picks drawn."""
        return len(self.up)

    @property
    def ends(self) -> int:
        """Ends drawn."""
        return len(self.up[0])

    @property
    def size_mm(self) -> tuple[float, float]:
        """Across and along."""
        return self.ends * self.end_mm, self.picks * self.pick_mm

    def part(self, picks: int, ends: int) -> "Face":
        """The first picks and ends of it, as many as there are."""
        here = slice(picks), slice(ends)
        return replace(self, up=self.up[here], warp=self.warp[here], weft=self.weft[here])


def interlaced(weave: Weave, picks: int, ends: int) -> NDArray[np.bool_]:
    """Where the warp is on top in a cloth of so many picks and ends: (picks, ends).

    >>> from farspun.craft.weave import weave
    >>> interlaced(weave("plain"), 2, 3).tolist()
    [[True, False, True], [False, True, False]]
    """
    count("number of picks", picks)
    count("number of ends", ends)
    rows = weave.up[np.arange(picks) % weave.picks]
    return np.asarray(rows[:, np.arange(ends) % weave.ends])


def face_pixels(face: Face, pick_px: int, end_px: int) -> Pixels:
    """The cloth with so many pixels along and across a crossing: (picks x, ends x, 3), 0–255.

    >>> from farspun.craft.weave import weave
    >>> up = interlaced(weave("plain"), 2, 2)
    >>> warp, weft = np.zeros((2, 2), dtype=np.int16), np.ones((2, 2), dtype=np.int16)
    >>> colours = np.array([[200, 0, 0], [0, 0, 200]], dtype=np.uint8)
    >>> cloth = Face(up, warp, weft, colours, np.zeros(2, dtype=bool), 1.0, 1.0, 1.0, 1.0)
    >>> [[pixel.argmax().item() for pixel in row] for row in face_pixels(cloth, 1, 1)]
    [[0, 2], [2, 0]]
    """
    count("pixels of a pick", pick_px)
    count("pixels of an end", end_px)
    up, top, warp, weft = _threads(face)
    packed = _Colours.of(face)
    tile = _tile(face, pick_px, end_px)
    fine = pick_px * end_px == 1  # no pixel is left for where a thread goes under
    state = (np.where(up, 4, 0) if fine else _states(up)) * packed.number
    there = {seen for row in tile.seen for seen in row}
    threads = {"top": top, "warp": warp, "weft": weft}
    codes = {seen: state + shade for seen, shade in threads.items() if seen in there}
    found = np.empty((face.picks * pick_px, face.ends * end_px), dtype="<u4")
    for row in range(pick_px):
        for column in range(end_px):
            seen = tile.seen[row][column]
            into = found[row::pick_px, column::end_px]
            if seen == "behind":
                into[...] = packed.behind
            else:
                table = packed.lit(tile.light[:, row, column])
                np.take(table, codes[seen], out=into, mode="clip")
    return found.view(np.uint8).reshape(*found.shape, 4)[..., :3]


def _threads(
    face: Face,
) -> tuple[NDArray[np.bool_], NDArray[np.intp], NDArray[np.intp], NDArray[np.intp]]:
    """(warp on top, shade on top, of the warp, of the weft); a lacking thread leaves the other."""
    none = len(face.colours)  # the place of what is behind
    warp, weft, up = face.warp.astype(np.intp), face.weft.astype(np.intp), face.up
    if face.mixed.any():
        warp, weft = _grained(warp, face, none), _grained(weft, face, none)
    lacking = [one == NO_YARN for one in (warp, weft)]
    if any(one.any() for one in lacking):
        last = none * GRAINS if face.mixed.any() else none
        warp, weft = (
            np.where(one, last, shade) for one, shade in zip(lacking, (warp, weft), strict=True)
        )
        up = (up | lacking[1]) & ~lacking[0]
    return up, np.where(up, warp, weft), warp, weft


def _grained(shades: NDArray[np.intp], face: Face, number: int) -> NDArray[np.intp]:
    """Shades with a grain of their own at each crossing, where they are mixed."""
    rows, columns = (np.arange(n, dtype=np.uint32) for n in shades.shape)
    noise = rows[:, None] * np.uint32(2654435761) ^ columns[None, :] * np.uint32(2246822519)
    noise = (noise ^ (noise >> np.uint32(13))) * np.uint32(3266489917)
    grain = ((noise >> np.uint32(16)) % np.uint32(GRAINS)).astype(np.intp)
    own = np.where(face.mixed[shades], grain, GRAINS // 2)
    return np.where(shades == NO_YARN, NO_YARN, shades + number * own)


@dataclass(frozen=True, slots=True)
class _Colours:
    """All shades (with their grains, the last what is behind) as linear numbers to be lit."""

    shades: NDArray[np.float64]
    fixed: int

    @classmethod
    def of(cls, face: Face) -> "_Colours":
        plain = face.colours.astype(float)
        if face.mixed.any():
            lights = 1 + GRAIN * (np.arange(GRAINS) - GRAINS // 2) / (GRAINS // 2)
            plain = np.concatenate([plain * light for light in lights])
        return cls(np.concatenate([plain, [BEHIND]]), len(plain))

    @property
    def number(self) -> int:
        return len(self.shades)

    @property
    def behind(self) -> np.uint32:
        return np.uint32(_packed(np.array([BEHIND], dtype=float))[0])

    def lit(self, light: Lights) -> NDArray[np.uint32]:
        """Every shade under the light of each kind of crossing, packed: (kinds × shades,)."""
        seen = self.shades[None] * light[:, None, None]
        seen[:, self.fixed] = BEHIND
        return _packed(seen.reshape(-1, 3))


def _packed(colours: NDArray[np.float64]) -> NDArray[np.uint32]:
    """Red, green, blue in the bytes of one number, as pictures have them."""
    red, green, blue = np.clip(np.rint(colours), 0, 255).astype(np.uint32).T
    return np.asarray(red | green << 8 | blue << 16 | np.uint32(255 << 24), dtype="<u4")


def _states(up: NDArray[np.bool_]) -> NDArray[np.intp]:
    """The kind of each crossing: 4 where the warp is up, 2 where the thread on top comes up just
    before, 1 where it goes under just behind. The edges count as floats that go on."""
    found = np.where(up, 4, 0)
    along = up[1:] != up[:-1]  # an end changes face between two picks
    across = up[:, 1:] != up[:, :-1]
    before, behind = np.zeros_like(up), np.zeros_like(up)
    before[1:] |= up[1:] & along
    behind[:-1] |= up[:-1] & along
    before[:, 1:] |= ~up[:, 1:] & across
    behind[:, :-1] |= ~up[:, :-1] & across
    return np.asarray(found + 2 * before + behind, dtype=np.intp)


@dataclass(frozen=True, slots=True)
class _Tile:
    """One crossing: which thread each pixel shows, and its light for each of the eight kinds."""

    seen: list[list[str]]
    light: Lights


def _tile(face: Face, pick_px: int, end_px: int) -> _Tile:
    """A crossing in pixels; what is finer than two pixels is not told apart."""
    u, warp_there = _across(end_px, face.warp_mm / face.end_mm)
    v, weft_there = _across(pick_px, face.weft_mm / face.pick_mm)
    light = np.empty((8, pick_px, end_px))
    for kind in range(8):
        warp_on_top, rises, sinks = kind & 4, bool(kind & 2), bool(kind & 1)
        if warp_on_top:
            own = np.outer(_along(pick_px, rises, sinks), _round(u))
            other = UNDER * WEFT_LIGHT * np.outer(_round(v), np.ones(end_px))
            light[kind] = np.where(warp_there[None, :], own, other)
        else:
            own = WEFT_LIGHT * np.outer(_round(v), _along(end_px, rises, sinks))
            other = UNDER * np.outer(np.ones(pick_px), _round(u))
            light[kind] = np.where(weft_there[:, None], own, other)
    seen = [
        [
            _SEEN[bool(warp), bool(weft)]
            for warp in warp_there
        ]
        for weft in weft_there
    ]  # fmt: skip
    return _Tile(seen, light)


_SEEN = {
    (True, True): "top",
    (True, False): "warp",
    (False, True): "weft",
    (False, False): "behind",
}


def _across(pixels: int, fill: float) -> tuple[Lights, NDArray[np.bool_]]:
    """Where each pixel lies across a thread, -1 to 1 from edge to edge, and whether it is on it."""
    above_zero("diameter over spacing", fill, "")
    at = (2 * np.arange(pixels) + 1) / pixels - 1  # -1 to 1 over the spacing
    wide = max(min(fill, 1.0), 1.0 / pixels)
    if pixels == 1:
        return np.zeros(1), np.ones(1, dtype=bool)
    there = np.abs(at) <= wide + 1e-9
    return np.clip(at / wide, -1, 1), there


def _round(u: Lights) -> Lights:
    """Light across a thread: brightest a little off its middle."""
    found: Lights = 1 - ROUND * (u + LIT_FROM) ** 2 / (1 + LIT_FROM) ** 2
    return found


def _along(pixels: int, rises: bool, sinks: bool) -> Lights:
    """Light along a thread in one crossing: darker where it comes up and where it goes under."""
    at = (np.arange(pixels) + 0.5) / pixels
    light = np.ones(pixels)
    if rises:
        light -= DIPS * np.clip(1 - at / DIP, 0, 1) ** 2
    if sinks:
        light -= DIPS * np.clip(1 - (1 - at) / DIP, 0, 1) ** 2
    return light
