"""How long the face of a cloth of 400 ends and 600 picks takes to draw, in one process.

Time of the processor, as far as it works for this process: others do not count.
"""

import time
from collections.abc import Callable

import numpy as np
import pytest

from farspun.craft.pooling import Joined, pooled, strand
from farspun.craft.weave import weave
from farspun.craft.yarn_colour import Lie, Shade, Stretch, YarnColour
from farspun.pictures.face import Face, face_pixels, interlaced

ENDS, PICKS = 400, 600
MOST_MS = {1: 20.0, 4: 150.0}  # by pixels of a thread
SLOW_DOWN = 10  # times, in every test run: only a disaster breaks it


def cloth() -> Face:
    """A striping weft over a warp of one shade."""
    shades = [Shade(name, (0.5, 0.5, 0.5), "given") for name in ("madder", "woad")]
    told = tuple(Stretch(shade, 0.5, 1.3) for shade in shades)
    yarn = Joined((strand(YarnColour(Lie.STRIPING, told), 1000.0, "Gorse"),), (1000.0,))
    weft = pooled(np.zeros(PICKS, dtype=np.intp), [yarn], 0.92, ENDS)
    warp = np.full((PICKS, ENDS), 2, dtype=np.int16)
    colours = np.array([[180, 50, 40], [40, 50, 130], [225, 215, 190]], dtype=np.uint8)
    up = interlaced(weave("2/2 twill"), PICKS, ENDS)
    return Face(up, warp, weft, colours, np.zeros(3, dtype=bool), 1.6, 1.7, 0.9, 0.9)


def fastest_ms(draw: Callable[[], object], runs: int = 5) -> float:
    found = []
    for _ in range(runs):
        start = time.process_time()
        draw()
        found.append(1000 * (time.process_time() - start))
    return min(found)


@pytest.mark.bench
@pytest.mark.parametrize("px", [1, 4])
def test_a_cloth_is_drawn_in_the_time_promised(px: int) -> None:
    took = fastest_ms(lambda: face_pixels(cloth(), px, px))
    print(f"400 x 600 threads, shades and pixels, {px} px a thread: {took:.1f} ms")
    assert took <= MOST_MS[px]


@pytest.mark.parametrize("px", [1, 4])
def test_a_cloth_is_never_drawn_many_times_slower(px: int) -> None:
    assert fastest_ms(lambda: face_pixels(cloth(), px, px), 3) <= SLOW_DOWN * MOST_MS[px]
