"""What the eye sees from a step away, against mixes worked by hand and by coloraide."""

import numpy as np
import pytest
from coloraide import Color
from hypothesis import given
from hypothesis import strategies as st

from farspun.craft.colour_notes import yarn_colour
from farspun.craft.cover import cloth_cover, cover_fraction
from farspun.craft.optical_mix import (
    AKIN,
    CLOSE,
    SAME,
    SHOWS,
    SUBTLE,
    contrast_words,
    lightness_contrast,
    likeness_words,
    mean_srgb,
    mixed_srgb,
    nearest_name,
    warp_share,
)
from farspun.craft.weave import weave
from farspun.errors import ImpossibleValue

NAVY, SAND = (0x01, 0x15, 0x3E), (0xE2, 0xCA, 0x76)
SHARE = st.floats(0.01, 1.0)


def by_hand(parts: list[tuple[tuple[int, int, int], float]]) -> list[float]:
    """Parts of 8-bit colours mixed in linear light, by the formulas of IEC 61966-2-1 as printed."""
    mixed = []
    for channel in range(3):
        light = 0.0
        for colour, share in parts:
            value = colour[channel] / 255
            curved = ((value + 0.055) / 1.055) ** 2.4
            light += share * (value / 12.92 if value <= 0.04045 else curved)
        mixed.append(12.92 * light if light <= 0.0031308 else 1.055 * light ** (1 / 2.4) - 0.055)
    return mixed


def test_a_yarn_of_two_shades_is_seen_as_their_light_mixed() -> None:
    seen = mean_srgb(yarn_colour("60% navy 40% sand"))
    assert seen == pytest.approx(by_hand([(NAVY, 0.6), (SAND, 0.4)]), abs=1e-9)
    plain = [0.6 * navy / 255 + 0.4 * sand / 255 for navy, sand in zip(NAVY, SAND, strict=True)]
    assert all(light > dark for light, dark in zip(seen, plain, strict=True))  # lighter than sRGB


def test_black_and_white_in_equal_parts_are_the_grey_of_half_the_light() -> None:
    theirs = Color("srgb-linear", [0.5, 0.5, 0.5]).convert("srgb").coords()
    assert mean_srgb(yarn_colour("black, white")) == pytest.approx(tuple(theirs), abs=1e-6)


def test_a_yarn_of_no_known_shade_has_none() -> None:
    assert mean_srgb(yarn_colour("undyed")) is None


def test_a_balanced_plain_weave_shows_both_alike() -> None:
    for cover in (0.2, 0.5, 0.9, 1.0):
        assert warp_share(cover, cover, weave("plain").warp_face_share) == pytest.approx(0.5)


def test_warp_is_seen_between_the_picks_and_at_its_crossings() -> None:
    # 6 ends of 1 mm and 3 picks of 1 mm in a cm: a square cm holds 0.6·0.7 of bare warp, 0.3·0.4
    # of bare weft and 0.6·0.3 of crossings; of those a 3/1 twill has the warp on top of three in 4
    bare_warp, bare_weft, crossings = 0.6 * 0.7, 0.3 * 0.4, 0.6 * 0.3
    covers = cover_fraction(6.0, 1.0), cover_fraction(3.0, 1.0)
    for name, top in (("plain", 1 / 2), ("3/1 twill", 3 / 4), ("1/3 twill", 1 / 4)):
        warp = bare_warp + top * crossings
        expected = warp / (bare_warp + bare_weft + crossings)
        assert warp_share(*covers, weave(name).warp_face_share) == pytest.approx(expected)


def test_counting_points_of_a_drawn_cloth_comes_to_the_same_share() -> None:
    twill = weave("2/1 twill")
    warp_width, weft_width, steps = 0.7, 0.4, 200
    grid = (np.arange(steps) + 0.5) / steps
    end_there, pick_there = grid < warp_width, grid < weft_width
    warp = weft = 0
    for pick in range(twill.picks):
        for end in range(twill.ends):
            both = np.outer(pick_there, end_there)
            only_warp = np.outer(~pick_there, end_there).sum()
            only_weft = np.outer(pick_there, ~end_there).sum()
            warp += only_warp + (both.sum() if twill.up[pick, end] else 0)
            weft += only_weft + (0 if twill.up[pick, end] else both.sum())
    assert warp_share(warp_width, weft_width, twill.warp_face_share) == pytest.approx(
        warp / (warp + weft), abs=1e-9
    )


@pytest.mark.parametrize(("ends", "picks"), [(5.0, 5.0), (8.0, 5.0), (5.0, 8.0)])
@pytest.mark.parametrize(("name", "top"), [("plain", 0.5), ("3/1 twill", 0.75)])
def test_sett_and_weave_change_the_mix_by_the_computed_amount(
    ends: float, picks: float, name: str, top: float
) -> None:
    diameter_mm = 0.8
    warp_cover, weft_cover = ends * diameter_mm / 10, picks * diameter_mm / 10
    crossings = warp_cover * weft_cover
    share = (warp_cover - crossings + top * crossings) / (warp_cover + weft_cover - crossings)
    covers = cover_fraction(ends, diameter_mm), cover_fraction(picks, diameter_mm)
    seen = mixed_srgb(
        [one / 255 for one in NAVY],
        [one / 255 for one in SAND],
        warp_share(*covers, weave(name).warp_face_share),
    )
    assert seen == pytest.approx(by_hand([(NAVY, share), (SAND, 1 - share)]), abs=1e-9)


@given(SHARE, SHARE, st.floats(0.0, 1.0))
def test_what_is_warp_on_the_face_is_weft_on_the_cloth_turned(
    warp: float, weft: float, top: float
) -> None:
    share = warp_share(warp, weft, top)
    assert 0 <= share <= 1
    assert share + warp_share(weft, warp, 1 - top) == pytest.approx(1)
    both_faces = share + warp_share(warp, weft, 1 - top)
    covered = cloth_cover(warp, weft)
    assert both_faces == pytest.approx((2 * warp - warp * weft) / covered)


@given(SHARE, st.floats(0.0, 0.9))
def test_more_of_the_warp_never_shows_less_of_it(weft: float, top: float) -> None:
    shares = warp_share(np.linspace(0.05, 1.0, 20), weft, top)
    assert (np.diff(shares) >= -1e-12).all()
    tops = warp_share(0.5, weft, np.linspace(0.0, 1.0, 20))
    assert (np.diff(tops) >= 0).all()


def test_contrast_is_the_step_of_lightness_that_coloraide_has() -> None:
    navy, sand = (Color("srgb", [one / 255 for one in colour]) for colour in (NAVY, SAND))
    theirs = sand.convert("lab-d65")["l"] - navy.convert("lab-d65")["l"]
    own = lightness_contrast([one / 255 for one in SAND], [one / 255 for one in NAVY])
    assert own == pytest.approx(theirs, abs=1e-6)
    assert contrast_words(own) == contrast_words(-own) == "shows"


def test_words_change_at_their_thresholds() -> None:
    steps = [(0.0, "vanishes"), (SUBTLE - 0.01, "vanishes"), (SUBTLE, "is subtle")]
    for step, said in [*steps, (SHOWS - 0.01, "is subtle"), (SHOWS, "shows")]:
        assert contrast_words(step) == contrast_words(-step) == said
    told = [likeness_words(one - 0.01) for one in (SAME, CLOSE, AKIN)]
    assert told == ["the same to the eye", "close", "akin"]
    told = [likeness_words(one) for one in (SAME, CLOSE, AKIN)]
    assert told == ["close", "akin", "another colour"]


def test_the_nearest_word_of_a_named_shade_is_its_own() -> None:
    for name in ("madder", "moorit", "slate", "navy"):
        assert nearest_name(mean_srgb(yarn_colour(name))) == name


@pytest.mark.parametrize("bad", [-0.1, 1.1, float("nan")])
def test_what_is_no_share_is_refused(bad: float) -> None:
    for triple in ((bad, 0.5, 0.5), (0.5, bad, 0.5), (0.5, 0.5, bad)):
        with pytest.raises(ImpossibleValue):
            warp_share(*triple)
    with pytest.raises(ImpossibleValue):
        mixed_srgb([0.0, 0.0, 0.0], [1.0, 1.0, 1.0], bad)
