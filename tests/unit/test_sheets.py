"""Sheets of pictures: nothing written meets or leaves the sheet, whatever is drawn."""

import io
import itertools
import re
from dataclasses import replace
from xml.etree import ElementTree

import numpy as np
import pytest
from PIL import Image

from farspun.craft.colour_space import light_from_srgb
from farspun.craft.draft import Draft
from farspun.craft.drawn import drawn_draft
from farspun.craft.pooling import NO_YARN, strand
from farspun.craft.weave import weave
from farspun.craft.yarn_colour import Lie, Shade, Stretch, YarnColour
from farspun.pictures.cloth import ClothSeen, cloth_sheet
from farspun.pictures.draft import AGAIN, LINES, draft_sheet
from farspun.pictures.face import BEHIND, Face, face_pixels, interlaced
from farspun.pictures.shades import laid_out, mean_hex, parts_of, strand_colours
from farspun.pictures.sheet import (
    BODY,
    FAINT,
    INK,
    LEAST,
    SMALL,
    Sheet,
    cut_in_the_middle,
    fitted,
    words_width,
    wrapped,
)
from farspun.pictures.stash import SkeinSeen, stash_sheet
from farspun.pictures.stripes import SidePlan, stripes_sheet

LONG = "Wind-bitten heather from above the long wall, second skein"
NAMES = ("Gorse", LONG, "<Oat & “Slate”>", "羊毛 羊毛 羊毛")


def shade(at: int) -> Shade:
    return Shade(f"shade {at}", ((37 * at % 101) / 100, (61 * at % 97) / 96, 0.4), "given")


def plain(at: int) -> YarnColour:
    return YarnColour(Lie.SOLID, (Stretch(shade(at), 1.0),))


def check(sheet: Sheet) -> None:
    """All words are on the sheet, none meet, and both files can be read."""
    for box in sheet.boxes:
        assert box.left >= 0 and box.right <= sheet.width, box
        assert box.top >= 0 and box.bottom <= sheet.height, box
    met = [pair for pair in itertools.combinations(sheet.boxes, 2) if pair[0].meets(pair[1])]
    assert not met, met[:3]
    assert min(mark.size for mark in sheet.marks if hasattr(mark, "anchor")) >= LEAST
    root = ElementTree.fromstring(sheet.svg())
    assert [child.tag.split("}")[1] for child in root[:2]] == ["title", "desc"]
    assert (root[0].text, root[1].text) == (sheet.title, sheet.told)
    with Image.open(io.BytesIO(sheet.png())) as image:
        assert image.size == (round(sheet.width), round(sheet.height))
        assert (image.text["Title"], image.text["Description"]) == (sheet.title, sheet.told)


def side(number: int, threads: int, thing: str, names: tuple[str, ...] = NAMES) -> SidePlan:
    stripes = [(names[at % len(names)], 1 + at % 13) for at in range(number)]
    if number == 1:
        stripes = [(names[0], threads)]
    once = sum(each for _, each in stripes)
    totals = tuple((yarn, threads // len(names)) for yarn in dict.fromkeys(y for y, _ in stripes))
    return SidePlan(
        "Warp" if thing == "end" else "Weft", thing, threads, tuple(stripes),
        threads // once, threads % once, totals, "skein after skein, as each runs out",
    )  # fmt: skip


@pytest.mark.parametrize("number", [1, 7, 29, 200, pytest.param(900, marks=pytest.mark.long)])
def test_stripe_plans_are_legible_from_one_stripe_to_many(number: int) -> None:
    colours = {name: plain(at) for at, name in enumerate(NAMES)}
    sides = [side(number, 1400, "end"), side(number, 6000, "pick")]
    check(stripes_sheet(sides, colours, f"{LONG}: stripes", "told"))


def test_stripe_plans_take_forty_yarns_of_long_names() -> None:
    names = tuple(f"{at} {LONG}" for at in range(40))
    colours = {name: plain(at) for at, name in enumerate(names)}
    sides = [side(200, 90, "end", names), side(1, 1, "pick", names)]
    check(stripes_sheet(sides, colours, LONG, "told"))


def test_the_stripes_of_a_side_are_as_wide_as_their_threads() -> None:
    """12 and 4 ends over 20: the second time only 4 of 12 are left."""
    plan = SidePlan("Warp", "end", 20, (("Gorse", 12), ("Oat", 4)), 1, 4, ())
    assert list(plan.laid()) == [("Gorse", 12), ("Oat", 4), ("Gorse", 4)]


def words_of(sheet: Sheet) -> list[str]:
    return [box.words for box in sheet.boxes]


def test_a_side_of_one_yarn_is_drawn_once_with_its_letter() -> None:
    sides = [
        SidePlan("Warp", "end", 20, (("Gorse", 12), ("Oat", 4)), 1, 4, ()),
        SidePlan("Weft", "pick", 90, (("Oat", 90),), 1, 0, ()),
    ]
    sheet = stripes_sheet(sides, {"Gorse": plain(1), "Oat": plain(2)}, "Runner", "told")
    words = words_of(sheet)
    assert "all 90 picks, B, from the first pick" in words
    assert [one for one in words if one.startswith("one repeat")] == [
        "one repeat, 16 ends: letter of the yarn above, its ends below; then counted up:"
    ]
    assert words.count("90") == 0 and words.count("to 16") == 1


def test_what_is_not_counted_at_the_bar_of_a_repeat_is_said() -> None:
    fine = tuple((("Gorse", "Oat")[at % 2], 1) for at in range(200))
    wide = (*fine[:20], ("Oat", 180))
    for stripes, said in ((fine, "one repeat, 200 ends; its stripes"), (wide, "is room; then")):
        side = SidePlan("Warp", "end", 200, stripes, 1, 0, ())
        sheet = stripes_sheet([side], {"Gorse": plain(1), "Oat": plain(2)}, "Runner", "told")
        assert [one for one in words_of(sheet) if said in one]


def test_long_names_in_a_list_of_stripes_are_not_cut_short_where_two_columns_have_room() -> None:
    stripes = (("Heather from the far wall, second", 4), ("Oat", 2)) * 3
    side = SidePlan("Warp", "end", 18, stripes, 1, 0, ())
    colours = {name: plain(at) for at, (name, _) in enumerate(stripes[:2])}
    sheet = stripes_sheet([side], colours, "Runner", "told")
    assert words_of(sheet).count(stripes[0][0]) == 3 + 1  # and once among the yarns
    assert {mark.size for mark in sheet.marks if getattr(mark, "words", "") == stripes[0][0]} == {
        SMALL
    }


@pytest.mark.parametrize(
    "text", ["plain", "2/2 twill", "8-end satin", "herringbone 2/2 x31", "basket 5x5"]
)
def test_drafts_of_any_size_are_legible(text: str) -> None:
    check(draft_sheet(drawn_draft(text), f"{LONG}: {text}", "told"))


def test_a_draft_on_many_shafts_and_a_lift_plan_are_legible() -> None:
    many = Draft(tuple(range(1, 33)), lift_plan=tuple(
        frozenset((at + k) % 32 + 1 for k in range(16)) for at in range(100)))  # fmt: skip
    check(draft_sheet(many, "your draft", "told"))


def test_the_squares_of_a_draft_are_those_of_its_drawdown() -> None:
    """2/2 twill three times each way: half of 144 squares, 12 of the threading, 8 of the tie-up,
    12 of the treadling."""
    sheet = draft_sheet(drawn_draft("2/2 twill"), "2/2 twill", "told")
    filled = [mark for mark in sheet.marks if getattr(mark, "fill", None)]
    assert len(filled) == 72 + 12 + 8 + 12
    black = [mark for mark in filled if mark.fill == "#1a1a1a"]
    assert len(black) == 8 + 4 + 8 + 4  # of one repeat


def test_squares_side_by_side_can_be_counted() -> None:
    """Of an 8-end satin seven of eight squares are filled: lines are drawn over them, and are seen
    on paper, on black and on grey (a difference of 40 of 255 or more)."""
    sheet = draft_sheet(drawn_draft("8-end satin"), "8-end satin", "told")
    pixels = np.asarray(sheet.image(2).convert("L")).astype(int)
    dark = (pixels < 60).astype(int)
    edges = np.diff(dark, axis=0, prepend=0, append=0)
    starts, ends = np.argwhere(edges.T == 1), np.argwhere(edges.T == -1)
    square = 2 * 16  # two pixels a unit, 16 units a square
    long = np.unique(starts[(ends - starts)[:, 1] > square, 0])
    assert len(long) <= 4 * 2 * 2  # the frames of four blocks, two pixels thick
    levels = [255, int(INK[1:3], 16), int(AGAIN[1:3], 16)]
    assert all(abs(int(LINES[1:3], 16) - one) >= 40 for one in levels)


@pytest.mark.parametrize("number", [1, 5, 40, 200])
def test_a_stash_of_any_size_is_legible(number: int) -> None:
    skeins = [
        SkeinSeen(
            f"{NAMES[at % 4]} {at}", ("wool", "linen", "alpaca", "hemp")[at % 11 % 4],
            "wool 55, mohair 25, silk 15, nylon 5",
            plain(at) if at % 3 else YarnColour(Lie.UNKNOWN, ()),
            None if at % 7 == 6 else 31.0 * (at % 40),
            ("", LONG, "slate", NAMES[3])[at % 4],
        )
        for at in range(number)
    ]  # fmt: skip
    check(stash_sheet(skeins, f"The stash: {number} skeins", "told"))


def cloth(picks: int, ends: int, **more: float) -> ClothSeen:
    up = interlaced(weave("2/2 twill"), picks, ends)
    zeros = np.zeros((picks, ends), dtype=np.int16)
    colours = np.array([[200, 60, 30], [20, 40, 90]], dtype=np.uint8)
    face = Face(
        up, zeros, zeros + np.int16(1), colours, np.zeros(2, dtype=bool), 2.0, 2.5, 1.4, 1.4
    )
    caption = (LONG, "about 40 cm x 160 cm", "98 in 100 that the yarn reaches")
    return ClothSeen(face, caption, **more)


@pytest.mark.parametrize("close_up", [False, True])
@pytest.mark.parametrize("number", [1, 2, 6])
@pytest.mark.parametrize("threads", [(3, 2), (640, 200), (40, 700)])
def test_cloths_of_any_shape_stand_side_by_side(
    threads: tuple[int, int], number: int, close_up: bool
) -> None:
    cloths = [cloth(*threads, fringe_mm=10.0, hem_mm=1.0)] * number
    check(cloth_sheet(cloths, f"{LONG}: the finished cloth", "told", close_up))


def test_the_yarns_of_a_cloth_stand_below_it_each_with_its_colour() -> None:
    yarns = ((f"warp {LONG}: rust", plain(3)), ("weft Oat: cream", plain(5)))
    for close_up in (False, True):
        sheet = cloth_sheet([replace(cloth(64, 20), yarns=yarns)] * 3, "x", "told", close_up)
        check(sheet)
        said = " ".join(words_of(sheet))
        assert said.count("weft Oat: cream") == 3
        assert said.replace("\n", " ").count(f"warp {LONG}: rust") == 3
        fills = [getattr(mark, "fill", None) for mark in sheet.marks]
        assert [fills.count(colour.stretches[0].shade.hex) for _, colour in yarns] == [3, 3]


def test_a_swatch_keeps_its_colour_among_the_many_of_a_cloth() -> None:
    """A PNG has 256 colours; of a picture of far more a small part would else be moved."""
    rng = np.random.default_rng(5)
    sheet = Sheet(300, 300, "x", "told")
    sheet.picture(0, 0, rng.integers(0, 256, (280, 300, 3), dtype=np.uint8))
    sheet.rect(10, 285, 20, 9, "#d0fefe")
    with Image.open(io.BytesIO(sheet.png())) as image:
        assert image.convert("RGB").getpixel((20, 290)) == (0xD0, 0xFE, 0xFE)


def test_cloths_are_drawn_to_one_scale_and_to_their_shape() -> None:
    one, other = cloth(200, 100), cloth(400, 50)  # 200 x 500 mm and 100 x 1000 mm
    sheet = cloth_sheet([one, other], "two", "told")
    first, second = [mark for mark in sheet.marks if hasattr(mark, "pixels")]
    assert first.width / second.width == pytest.approx(2, rel=0.01)
    assert second.height / first.height == pytest.approx(2, rel=0.01)
    assert second.height / second.width == pytest.approx(10, rel=0.02)


def test_the_scale_beside_a_cloth_is_as_long_as_it_says() -> None:
    """A cloth of 500 mm is drawn 720 units high: 10 cm is 144."""
    sheet = cloth_sheet([cloth(200, 100)], "one", "told")
    said = next(box.words for box in sheet.boxes if re.fullmatch(r"\d+ cm", box.words))
    bar = next(mark for mark in sheet.marks if hasattr(mark, "points"))
    long = bar.points[1][0] - bar.points[0][0]
    assert (said, long) == ("10 cm", pytest.approx(144))


def test_a_fringe_is_bare_warp() -> None:
    sheet = cloth_sheet([cloth(100, 40, fringe_mm=25.0)], "fringed", "told")
    pixels = next(mark.pixels for mark in sheet.marks if hasattr(mark, "pixels")).astype(int)
    rows = pixels.mean(axis=1)
    part = round(25 / 300 * len(rows))
    for fringe in (rows[: part - 3], rows[-part + 3 :]):
        assert (fringe[:, 0] > fringe[:, 2]).all()  # red warp
    assert rows[len(rows) // 2, 0] < rows[0, 0]


def test_a_cloth_made_smaller_keeps_the_mean_of_its_light() -> None:
    """Black and white crossings seen from far away: half the light is sRGB 188 (IEC 61966-2-1)."""
    from farspun.pictures.cloth import _made_smaller

    chess = np.indices((60, 60)).sum(axis=0) % 2 * 255
    small = _made_smaller(np.repeat(chess[..., None], 3, axis=2).astype(np.uint8), 10, 10)
    assert abs(small.astype(int) - 188).max() <= 1


def test_words_that_do_not_fit_become_smaller_and_then_shorter() -> None:
    wide = words_width(LONG, 12)
    assert fitted(LONG, 12, wide) == (LONG, 12)
    words, size = fitted(LONG, 12, 0.8 * wide)
    assert (words, size) == (LONG, pytest.approx(9.6))
    words, size = fitted(LONG, 12, 0.3 * wide)
    assert (words[:5], words[-4:], size) == (LONG[:5], "…" + LONG[-3:], LEAST)
    assert words_width(words, size) <= 0.3 * wide
    assert fitted("Gorse 12", 12, 1.7 * LEAST)[0] in ("…12", "…2")


def test_words_are_measured_as_wide_as_they_are_drawn() -> None:
    sheet = Sheet(600, 40, "t", "d")
    wide = sheet.text(10, 25, LONG, 14)
    ink = np.asarray(sheet.image().convert("L")) < 128
    columns = np.flatnonzero(ink.any(axis=0))
    assert columns[-1] - columns[0] == pytest.approx(wide, abs=4)
    rows = np.flatnonzero(ink.any(axis=1))
    assert sheet.boxes[0].top <= rows[0] and rows[-1] <= sheet.boxes[0].bottom


def test_swatches_show_shades_by_their_shares_and_a_heather_as_one() -> None:
    black, white = (Shade(name, (value,) * 3, "given") for name, value in (("b", 0.0), ("w", 1.0)))
    told = (Stretch(black, 0.5), Stretch(white, 0.5))
    assert parts_of(YarnColour(Lie.MARL, told)) == [("#000000", 0.5), ("#ffffff", 0.5)]
    # half the light: 188 of 255 by IEC 61966-2-1, 0xbc
    assert parts_of(YarnColour(Lie.HEATHER, told)) == [("#bcbcbc", 1.0)]
    assert mean_hex(YarnColour(Lie.MARL, told)) == "#bcbcbc"
    heather = YarnColour(Lie.HEATHER, told)
    assert strand_colours(heather, strand(heather, 100, "Gorse")).tolist() == [[188] * 3]
    assert len({hex_ for hex_, _ in parts_of(YarnColour(Lie.UNKNOWN, ()))}) == 1


def test_a_large_swatch_shows_how_the_shades_lie() -> None:
    black, white = (Shade(name, (value,) * 3, "given") for name, value in (("b", 0.0), ("w", 1.0)))
    told = (Stretch(black, 0.75), Stretch(white, 0.25))
    striped = laid_out(YarnColour(Lie.STRIPING, told))
    assert striped == [("#000000", 0.25), ("#ffffff", pytest.approx(1 / 12))] * 3
    gradient = laid_out(YarnColour(Lie.GRADIENT, told))
    assert (gradient[0][0], gradient[-1][0]) == ("#000000", "#ffffff")
    assert [one for one, _ in gradient] == sorted(one for one, _ in gradient)
    assert sum(share for _, share in gradient) == pytest.approx(1)
    assert len(laid_out(YarnColour(Lie.HEATHER, told))) == 1


def test_a_note_that_is_long_is_cut_in_the_middle() -> None:
    said = cut_in_the_middle(LONG, 10, 0.5 * words_width(LONG, 10))
    assert words_width(said, 10) <= 0.5 * words_width(LONG, 10)
    assert (said[:5], said[-5:], said.count("…")) == (LONG[:5], LONG[-5:], 1)
    assert cut_in_the_middle("Gorse", 10, 400) == "Gorse"


def test_yarn_that_is_not_there_is_blank_in_an_outline_and_hatched() -> None:
    one = cloth(100, 60)
    for shades in (one.face.warp, one.face.weft):
        shades[70:] = NO_YARN
        shades[:, 50:] = NO_YARN
    sheet = cloth_sheet([one], "one", "told")
    shown = next(mark for mark in sheet.marks if hasattr(mark, "pixels"))
    high, wide = shown.pixels.shape[:2]
    for part in (shown.pixels[round(0.72 * high) :], shown.pixels[:, round(0.85 * wide) :]):
        assert (part == BEHIND).all()
    outlines = [mark for mark in sheet.marks if hasattr(mark, "fill") and mark.stroke == INK]
    sizes = [(mark.width / wide, mark.height / high) for mark in outlines]
    assert sizes == [pytest.approx((1, 0.3)), pytest.approx((1 / 6, 0.7))]
    hatching = [mark for mark in sheet.marks if getattr(mark, "stroke", "") == FAINT]
    assert len(hatching) > 20


def test_captions_are_wrapped_in_one_size_and_keep_their_numbers() -> None:
    note = "the weft's stripes drift by a whole repeat in 12345678901234567890 picks of 3.5 cm"
    one = cloth(400, 20)
    many = [ClothSeen(one.face, (LONG, note, "washed: 12.5 ends, 10.25 picks per cm"))] * 5
    sheet = cloth_sheet(many, "five", "told")
    said = " ".join(box.words for box in sheet.boxes)
    assert said.count("12345678901234567890 picks") == 5
    assert said.count("12.5 ends") == 5
    for room in range(40, 140):  # wherever the line ends
        lines = wrapped("of it the first 39 % is used", SMALL, room)
        assert any("39 %" in line for line in lines)
        assert max(words_width(line, SMALL) for line in lines) <= room
    assert "…" not in said
    assert {mark.size for mark in sheet.marks if hasattr(mark, "words")} == {SMALL, 1.2 * BODY}


def test_a_cloth_from_far_away_has_the_light_of_the_same_cloth_close_by() -> None:
    one = cloth(144, 96)  # gaps between all ends
    sheet = cloth_sheet([one], "one", "told")
    shown = next(mark.pixels for mark in sheet.marks if hasattr(mark, "pixels"))
    far, close = (
        light_from_srgb(seen / 255).mean() for seen in (shown, face_pixels(one.face, 20, 20))
    )
    assert far == pytest.approx(close, rel=0.06)
