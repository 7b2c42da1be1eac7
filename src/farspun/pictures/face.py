"""The face of a cloth, thread by thread: which thread is on top, its colour, and its roundness.

Every crossing is one of eight kinds: warp or weft on top, and whether that thread comes up just
before and goes under just behind. The pixels of one kind differ in colour alone, so a cloth is laid
out pixel by pixel of a crossing, all crossings at once. The first pick is on top.

Threads are lit where light is linear, and what their sides lose their backs gain: the mean light of
all that is seen of a warp (and of a weft) is that of its yarn, so a face looks from a step away as
craft/optical_mix.py says.
"""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from farspun.craft.colour_space import light_from_srgb, srgb_from_light
from farspun.craft.interlacement import Weave
from farspun.craft.limits import above_zero, count
from farspun.craft.pooling import NO_YARN, Shades

# name: value          unit        source
BEHIND = (240, 238, 234)  # sRGB    judgement: what is seen between the threads, a pale table
ROUND = 0.42  # of the light        judgement: how much darker a thread is at its sides
LIT_FROM = 0.2  # of the radius     judgement: light comes from the upper left
DIPS = 0.45  # of the light         judgement: how much darker a thread is where it goes under
DIP = 0.34  # of a crossing         judgement: how much of it the dip takes
UNDER = 0.62  # of the light        judgement: what is seen of the thread below
SEEN_AS = 2.2  # power              common practice: from light as it looks to linear light
LEVEL = 0.98  # of the light        judgement: kept as the mean; the rest lets white show its weave
GRAINS = 5  # shades of a heather   judgement: fine noise, not spots
GRAIN = 0.15  # of the light        judgement: the same

KINDS = 8

Pixels = NDArray[np.uint8]
Lights = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class Face:
    """A cloth to be drawn. All crossings are (picks, ends).

    `up`: where the warp is on top; `warp`, `weft`: the shade of both threads there, by its place in
    `colours` (shades, 3), 0–255; NO_YARN where there is no thread. `mixed` (shades,): heathers,
    drawn with fine noise. Spacings and diameters in mm, washed. `kinds` (8,): how often each kind
    of crossing is in the cloth of which this is a part, None where it is whole.
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
    kinds: NDArray[np.intp] | None = None

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
        """The first picks and ends of it, as many as there are, lit as the whole is."""
        here = slice(picks), slice(ends)
        kinds = _often(_states(_threads(self)[0])) if self.kinds is None else self.kinds
        up, warp, weft = self.up[here], self.warp[here], self.weft[here]
        return replace(self, up=up, warp=warp, weft=weft, kinds=kinds)

    @property
    def behind_share(self) -> float:
        """How much of the plane no thread covers."""
        warp, weft = self.warp_mm / self.end_mm, self.weft_mm / self.pick_mm
        return (1 - min(warp, 1.0)) * (1 - min(weft, 1.0))


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
    tile = _tile(face, pick_px, end_px)
    fine = pick_px * end_px == 1  # no pixel is left for where a thread goes under
    state = np.where(up, 4, 0) if fine else _states(up)
    packed = _Colours.of(face, tile, _often(state) if face.kinds is None else face.kinds)
    state *= packed.number
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
                table = packed.lit(tile.light[:, row, column], tile.warp[:, row, column])
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
    """All shades (with their grains, the last what is behind) in linear light, (shades, 3), and how
    far the lights of each side are turned up for each: (2, shades), of the weft and of the warp."""

    shades: Lights
    gains: Lights

    @classmethod
    def of(cls, face: Face, tile: "_Tile", often: NDArray[np.intp]) -> "_Colours":
        """`often`: how many crossings there are of each kind, (8,)."""
        plain = light_from_srgb(face.colours / 255)
        if face.mixed.any():
            grains = 1 + GRAIN * (np.arange(GRAINS) - GRAINS // 2) / (GRAINS // 2)
            plain = np.concatenate([plain * light for light in grains])
        most = 1 / np.maximum(plain.max(axis=1), 1e-6)
        seen = [["behind" not in one for one in row] for row in tile.seen]
        weight = often[:, None, None] * np.array(seen)
        gains = [_gains(tile.light, weight * (tile.warp == side), most) for side in (False, True)]
        shades = np.concatenate([plain, light_from_srgb(np.array([BEHIND]) / 255)])
        return cls(shades, np.pad(gains, ((0, 0), (0, 1)), constant_values=1.0))

    @property
    def number(self) -> int:
        return len(self.shades)

    @property
    def behind(self) -> np.uint32:
        return np.uint32(_packed(self.shades[-1:])[0])

    def lit(self, light: Lights, warp: NDArray[np.bool_]) -> NDArray[np.uint32]:
        """Every shade under the light of each kind of crossing, packed: (kinds × shades,).

        No part of a shade is lit beyond 1: its hue stays."""
        most = 1 / np.maximum(self.shades.max(axis=1), 1e-6)
        lit = np.minimum(light[:, None] * self.gains[warp.astype(int)], most)
        lit[:, -1] = 1.0
        return _packed((self.shades[None] * lit[:, :, None]).reshape(-1, 3))


def _gains(lights: Lights, weight: Lights, most: Lights) -> Lights:
    """How many times brighter `lights` have to be for their mean to be LEVEL, (shades,).

    `weight`: how often each light is seen; `most` (shades,): what no light of a shade goes beyond.

    >>> _gains(np.array([0.5, 1.0]), np.array([1.0, 1.0]), np.array([9.0, 1.0])).round(4).tolist()
    [1.3067, 1.92]
    """
    flat, often = lights.reshape(-1), weight.reshape(-1).astype(float)
    order = np.argsort(-flat)
    order = order[often[order] > 0]
    if not len(order):
        return np.ones(len(most))
    flat, often = flat[order], often[order] / often[order].sum()
    capped = np.cumsum(often) - often  # of the lights before each, which are the brightest
    rest = np.cumsum((flat * often)[::-1])[::-1]
    gains = (LEVEL - most[:, None] * capped) / rest
    first = (gains * flat <= most[:, None] * (1 + 1e-12)).argmax(axis=1)
    return np.asarray(gains[np.arange(len(most)), first])


def _packed(light: Lights) -> NDArray[np.uint32]:
    """Linear light as red, green, blue in the bytes of one number, as pictures have them."""
    srgb = 255 * srgb_from_light(np.clip(light, 0, 1))
    red, green, blue = np.clip(np.rint(srgb), 0, 255).astype(np.uint32).T
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


def _often(states: NDArray[np.intp]) -> NDArray[np.intp]:
    """How often each kind of crossing is there: (8,)."""
    return np.bincount(states.reshape(-1), minlength=KINDS)


@dataclass(frozen=True, slots=True)
class _Tile:
    """One crossing: which thread each pixel shows; its light, and whether it is warp, for each of
    the eight kinds."""

    seen: list[list[str]]
    light: Lights
    warp: NDArray[np.bool_]


def _tile(face: Face, pick_px: int, end_px: int) -> _Tile:
    """A crossing in pixels; what is finer than two pixels is not told apart."""
    u, warp_there = _across(end_px, face.warp_mm / face.end_mm)
    v, weft_there = _across(pick_px, face.weft_mm / face.pick_mm)
    light = np.empty((KINDS, pick_px, end_px))
    warp = np.empty(light.shape, dtype=bool)
    for kind in range(KINDS):
        warp_on_top, rises, sinks = kind & 4, bool(kind & 2), bool(kind & 1)
        if warp_on_top:
            own = np.outer(_along(pick_px, rises, sinks), _round(u))
            other = UNDER * np.outer(_round(v), np.ones(end_px))
            warp[kind] = warp_there[None, :]
            light[kind] = np.where(warp_there[None, :], own, other)
        else:
            own = np.outer(_round(v), _along(end_px, rises, sinks))
            other = UNDER * np.outer(np.ones(pick_px), _round(u))
            warp[kind] = ~weft_there[:, None]
            light[kind] = np.where(weft_there[:, None], own, other)
    seen = [
        [
            _SEEN[bool(warp), bool(weft)]
            for warp in warp_there
        ]
        for weft in weft_there
    ]  # fmt: skip
    return _Tile(seen, light**SEEN_AS, warp)


_SEEN = {
    (True, True): "top",
    (True, False): "warp",
    (False, True): "weft",
    (False, False): "behind",
}


def _across(pixels: int, fill: float) -> tuple[Lights, NDArray[np.bool_]]:
    """Where each pixel lies across a thread, -1 to 1 from edge to edge, and whether it is on it:
    as many pixels as come nearest to its part of the spacing, in the middle."""
    above_zero("diameter over spacing", fill, "")
    wide = covered_px(pixels, fill)
    first = (pixels - wide) // 2
    at = (2 * (np.arange(pixels) - first) + 1) / wide - 1
    return np.clip(at, -1, 1), np.abs(at) < 1


def covered_px(pixels: int, fill: float) -> int:
    """How many pixels of a spacing its thread is drawn with.

    >>> covered_px(8, 0.7), covered_px(8, 0.01), covered_px(8, 1.4)
    (6, 1, 8)
    """
    return max(1, round(pixels * min(fill, 1.0)))


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
