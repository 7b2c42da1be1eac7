"""The shades of yarns as they are drawn: of each strand, and of a swatch."""

import numpy as np
from numpy.typing import NDArray

from farspun.craft.colour_space import light_from_srgb, srgb_from_light
from farspun.craft.optical_mix import mean_srgb
from farspun.craft.pooling import Strand, strand
from farspun.craft.yarn_colour import Lie, Shade, YarnColour

TIMES = {Lie.STRIPING: 3, Lie.VARIEGATED: 3, Lie.MARL: 8}  # in a swatch; judgement
NOT_TOLD = Shade("not told", (0.72, 0.71, 0.69), "given")  # a middling grey; judgement

Pixels = NDArray[np.uint8]


def strand_colours(colour: YarnColour, own: Strand) -> Pixels:
    """Red, green, blue of each shade of a strand, 0-255: (shades, 3); grey where none was told.

    Mixed shades are the mean of their light, each by its share.
    """
    told = [one.shade.srgb for one in colour.stretches] or [NOT_TOLD.srgb]
    mixes = own.mixes if own.mixes.shape[1] else np.ones((1, 1))
    light = mixes @ light_from_srgb(told)
    return as_pixels(srgb_from_light(np.clip(light, 0, 1)))


def as_pixels(srgb: NDArray[np.float64]) -> Pixels:
    """Values 0-1 as whole numbers 0-255."""
    return np.asarray(np.rint(255 * np.clip(srgb, 0, 1)), dtype=np.uint8)


def is_mixed(colour: YarnColour) -> bool:
    """Whether it is drawn with the fine noise of blended fibres."""
    return colour.lie == Lie.HEATHER and len(colour.stretches) > 1


def parts_of(colour: YarnColour) -> list[tuple[str, float]]:
    """A yarn's shades as #rrggbb with their shares, as a swatch shows them side by side.

    A heather is one mixed shade; what was not told is grey.
    """
    if not colour.stretches:
        return [(NOT_TOLD.hex, 1.0)]
    if is_mixed(colour):
        return [(mean_hex(colour), 1.0)]
    whole = sum(one.share for one in colour.stretches)
    return [(one.shade.hex, one.share / whole) for one in colour.stretches]


def laid_out(colour: YarnColour) -> list[tuple[str, float]]:
    """A yarn's shades as #rrggbb with their part of a large swatch: a gradient from end to end,
    what lies in stretches several times over, a heather mixed."""
    if colour.lie == Lie.GRADIENT and len(colour.stretches) > 1:
        steps = strand_colours(colour, strand(colour, 1.0, ""))
        return [("#" + bytes(step).hex(), 1 / len(steps)) for step in steps]
    parts = parts_of(colour)
    times = TIMES.get(colour.lie, 1) if len(parts) > 1 else 1
    return [(hex_, share / times) for hex_, share in parts] * times


def mean_hex(colour: YarnColour) -> str:
    """The one shade that a yarn has from far away: the mean of its light."""
    mixed = mean_srgb(colour)
    return NOT_TOLD.hex if mixed is None else Shade("mixed", mixed, "given").hex
