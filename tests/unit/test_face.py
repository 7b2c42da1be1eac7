"""The drawn face of a cloth, against the interlacement walked crossing by crossing."""

from dataclasses import replace

import numpy as np
import pytest
from coloraide import Color

from farspun.craft.interlacement import Weave
from farspun.craft.optical_mix import warp_share
from farspun.craft.pooling import NO_YARN
from farspun.craft.weave import weave
from farspun.errors import ImpossibleValue
from farspun.pictures.face import BEHIND, Face, face_pixels, interlaced

LINEAR = np.array(
    [Color("srgb", [one / 255] * 3).convert("srgb-linear").coords()[0] for one in range(256)]
)
RED, BLUE = (200, 0, 0), (0, 0, 200)


def face(
    woven: Weave, picks: int, ends: int, thick: float = 0.8, mixed: tuple[bool, bool] = (False,) * 2
) -> Face:
    """Red warp, blue weft, a thread each mm."""
    warp = np.zeros((picks, ends), dtype=np.int16)
    colours = np.array([RED, BLUE], dtype=np.uint8)
    up = interlaced(woven, picks, ends)
    return Face(up, warp, warp + np.int16(1), colours, np.array(mixed), 1.0, 1.0, thick, thick)


def is_red(pixel: np.ndarray) -> bool:
    return bool(pixel[0] > pixel[2])


@pytest.mark.parametrize("name", ["plain", "2/2 S twill", "5-end satin", "weft rib 2/1"])
@pytest.mark.parametrize("px", [1, 3, 5])
def test_the_thread_that_the_weave_has_on_top_is_seen_at_every_crossing(name: str, px: int) -> None:
    woven = weave(name)
    found = face_pixels(face(woven, 17, 13), px, px)
    assert found.shape == (17 * px, 13 * px, 3)
    for pick in range(17):
        for end in range(13):
            up = woven.interlacement[pick % woven.picks][end % woven.ends]
            assert is_red(found[pick * px + px // 2, end * px + px // 2]) == up


def test_beside_the_thread_on_top_the_one_below_is_seen_and_in_the_corners_neither() -> None:
    found = face_pixels(face(weave("plain"), 2, 2, thick=0.5), 8, 8)
    assert is_red(found[0, 4])  # above the first pick: the end alone
    assert not is_red(found[4, 0])  # beside the first end: the pick alone
    assert tuple(found[0, 0]) == BEHIND
    assert np.mean((found == BEHIND).all(axis=2)) == pytest.approx(0.25)  # (1 - ½)²


def test_a_float_is_one_thread_and_a_thread_that_goes_under_is_darker_there() -> None:
    """Satin: an end goes over four picks; no step of light inside, a dip at both its ends."""
    woven = weave("5-end satin")
    found = face_pixels(face(woven, 20, 5, thick=1.0), 9, 9)
    end = 0
    under = [pick for pick in range(20) if not woven.interlacement[pick % 5][end]]
    light = found[:, end * 9 + 4, 0].astype(int)
    first, last = 9 * (under[0] + 1), 9 * under[1]
    inside = light[first + 4 : last - 4]
    assert len(set(inside)) == 1
    assert light[first] < inside[0] - 20
    assert light[last - 1] < inside[0] - 20


def test_a_thread_is_lightest_near_its_middle() -> None:
    found = face_pixels(face(weave("5-end satin"), 5, 5, thick=1.0), 9, 9)
    across = found[2 * 9 + 4, 9 : 2 * 9, 0]  # end 2 at pick 3, on top there
    assert is_red(found[2 * 9 + 4, 9 + 4])
    assert across.argmax() in (3, 4)
    assert across[0] < across[3] > across[-1]


def test_where_the_weft_has_given_out_only_the_warp_is_there() -> None:
    cloth = face(weave("plain"), 4, 4, thick=0.5)
    cloth.weft[2:] = NO_YARN
    found = face_pixels(cloth, 4, 4)
    below = found[2 * 4 :]
    assert all(is_red(pixel) for pixel in below[:, 1::4].reshape(-1, 3))
    assert (below[:, 0::4] == BEHIND).all()


def test_where_an_end_is_lacking_only_the_weft_is_there() -> None:
    cloth = face(weave("plain"), 2, 4)
    cloth.warp[:, 3] = NO_YARN
    assert [is_red(pixel) for pixel in face_pixels(cloth, 1, 1)[0]] == [True, False, True, False]
    assert not any(is_red(pixel) for pixel in face_pixels(cloth, 1, 1)[:, 3])


def test_only_a_heather_has_grain_and_about_its_own_shade() -> None:
    plain = face_pixels(face(weave("plain"), 60, 60), 1, 1)
    heather = face_pixels(face(weave("plain"), 60, 60, mixed=(True, False)), 1, 1)
    up = interlaced(weave("plain"), 60, 60)
    assert (heather[~up] == plain[~up]).all()
    assert len(np.unique(heather[up][:, 0])) == 5
    assert heather[up][:, 0].mean() == pytest.approx(plain[up][:, 0].mean(), abs=2)


def test_a_part_of_a_cloth_is_drawn_as_in_the_whole() -> None:
    cloth = face(weave("2/2 twill"), 16, 16, thick=1.0)
    whole, part = face_pixels(cloth, 4, 4), face_pixels(cloth.part(8, 8), 4, 4)
    assert (whole[: 7 * 4, : 7 * 4] == part[: 7 * 4, : 7 * 4]).all()


PAIRS = [((200, 0, 0), (0, 0, 200)), ((255, 255, 255),) * 2, ((243, 239, 228), (217, 199, 155)),
         ((20, 20, 24), (250, 248, 240)), ((40, 40, 40), (40, 40, 40))]  # fmt: skip


@pytest.mark.parametrize("colours", PAIRS)
@pytest.mark.parametrize("name", ["plain", "2/2 twill", "5-end satin", "3/1 twill"])
@pytest.mark.parametrize(("warp_mm", "weft_mm"), [(1.0, 1.0), (0.75, 0.5), (1.3, 0.25)])
def test_the_mean_light_of_a_face_is_that_of_the_optical_mix(
    colours: tuple[tuple[int, int, int], ...], name: str, warp_mm: float, weft_mm: float
) -> None:
    """To 3 %, in light as coloraide has it; between the threads the ground shows."""
    whole = face(weave(name), 60, 60)
    cloth = replace(
        whole, colours=np.array(colours, dtype=np.uint8), warp_mm=warp_mm, weft_mm=weft_mm
    )
    drawn = face_pixels(cloth, 8, 8).reshape(-1, 3)
    mean = LINEAR[drawn].mean(axis=0)
    covers = min(warp_mm, 1.0), min(weft_mm, 1.0)
    share = warp_share(*covers, float(cloth.up.mean()))
    warp, weft = (LINEAR[list(one)] for one in colours)
    behind = (1 - covers[0]) * (1 - covers[1])
    mixed = (1 - behind) * (share * warp + (1 - share) * weft) + behind * LINEAR[list(BEHIND)]
    assert mean == pytest.approx(mixed, rel=0.03, abs=1e-3)
    assert cloth.behind_share == pytest.approx(behind)


def test_one_white_both_ways_still_shows_its_weave() -> None:
    cloth = replace(face(weave("plain"), 8, 8), colours=np.full((2, 3), 255, dtype=np.uint8))
    light = face_pixels(cloth, 8, 8)[..., 0].astype(int)
    assert light.min() < 240
    assert light.max() == 255


def test_no_pixels_and_no_threads_are_refused() -> None:
    with pytest.raises(ImpossibleValue):
        face_pixels(face(weave("plain"), 2, 2), 0, 1)
    with pytest.raises(ImpossibleValue):
        interlaced(weave("plain"), 0, 3)
