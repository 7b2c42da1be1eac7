"""farspun skein tag: what is printed is what the skein's JSON says, each tag in its place."""

import re
from pathlib import Path

import pytest
import segno

from cards import LONG, ODD, RIGHT_TO_LEFT
from cli.running import Desk
from farspun.cards.tag_facts import Length, Tag
from farspun.cards.tags import qr_svg, qr_text, tag_lines
from pdf_boxes import outside, overlapping, patches, text_boxes, text_of

NAMES = ("Gorse", "Counted", "Wraps", "Mass", "Cone", ODD, RIGHT_TO_LEFT, LONG, "W" * 60)
MARGIN_PT = 8.5 / 25.4 * 72


@pytest.fixture(scope="module")
def desk(tmp_path_factory: pytest.TempPathFactory) -> Desk:
    made = Desk(tmp_path_factory.mktemp("tags"))
    made.does(
        "skein add Gorse --mass 112g --length 271m --state relaxed --wpi 15wpi --wrap snug"
        " --plies 2 --twist S --draw woollen --colour 'rust, flecked' --spun 2024-11",
        "skein add Counted --mass 84g --strands 102 --once-round 1.8m --state unwashed",
        "skein add Wraps --wpi 11wpi --wrap loose",
        "skein add Mass --mass 40g",
        "skein add Cone --mill --label '400 m/100g' --mass 1.2kg --superwash",
    )
    for name in NAMES[5:]:
        made.does(f"skein add '{name}' --mass 90g --length 200m --state relaxed --wpi 12wpi")
    return made


def tagged(desk: Desk, *names: str, more: str = "") -> bytes:
    out = desk.folder / "tags.pdf"
    named = " ".join(f"'{name}'" for name in names)
    desk.does(f"skein tag {named} --out {out} --force {more}")
    return out.read_bytes()


def test_a_tag_says_what_the_skein_says(desk: Desk) -> None:
    (page,) = text_of(tagged(desk, "Gorse"))
    shown = desk.told("skein show Gorse")
    lines = page.splitlines()
    assert lines[0] == "Gorse"
    assert lines[1] == "wool, 2-ply, S twist, woollen draw, washed"
    length, yard = shown["length_m"], 0.9144
    for line in (
        "112 g",
        "4.0 oz",
        f"about {length['p50']:.0f} m ({length['p05']:.0f}-{length['p95']:.0f})",
        f"about {length['p50'] / yard:.0f} yd"
        f" ({length['p05'] / yard:.0f}-{length['p95'] / yard:.0f})",
        f"{shown['m_per_100g']:.0f} m per 100 g",
        f"{shown['yd_per_lb']:.0f} yd per lb",
        f"{shown['wraps_per_cm']:.1f} wraps per cm, wrapped snug",
        f"{shown['wpi']:.1f} wraps per inch, wrapped snug",
        "rust, flecked",
        "spun 2024-11",
    ):
        assert line in lines


@pytest.mark.parametrize(
    ("name", "told"),
    [
        ("Counted", "not washed yet"),
        ("Wraps", "length not known"),
        ("Mass", "somewhere from"),
        ("Cone", "mill-spun"),
    ],
)
def test_what_is_not_known_is_left_out_or_said(desk: Desk, name: str, told: str) -> None:
    text = " ".join(text_of(tagged(desk, name))[0].split())
    assert told in text
    assert "None" not in text and "unknown" not in text


def test_a_tag_says_where_the_skein_lies_and_what_was_noted(desk: Desk) -> None:
    long = "spun at the fair, two bobbins; the second is a little thicker and wants to be mixed in"
    desk.does(f"skein add Placed --mass 50g --place 'chest, left' --note '{long}'")
    text = " ".join(text_of(tagged(desk, "Placed"))[0].split())
    assert "place: chest, left" in text
    (told,) = re.findall(r"note: (.*) …", text)
    assert long.startswith(told) and 40 < len(told) < 60
    (plain,) = text_of(tagged(desk, "Mass"))
    assert "place" not in plain and "note" not in plain


def test_a_skein_that_is_used_up_says_so_and_names_no_span(tmp_path: Path) -> None:
    desk = Desk(tmp_path)
    desk.does("skein add Spent --mass 50g --length 150m --state relaxed", "skein take Spent 50g")
    assert desk.told("skein show Spent")["mass_g"] == 0
    text = " ".join(text_of(tagged(desk, "Spent"))[0].split())
    assert "used up" in text and "m per 100 g" in text
    assert not re.search(r"\b0 (g|m|cm|yd|oz)\b|0-0", text)
    assert qr_text(_tag("Spent", 0.0, Length(0.0, 0.0, 0.0))) == "Spent\nused up"


@pytest.mark.parametrize("more", ["", "--qr"])
@pytest.mark.parametrize("paper", ["A4", "A5", "letter"])
def test_words_neither_overlap_nor_leave_the_page(desk: Desk, paper: str, more: str) -> None:
    pages = text_boxes(tagged(desk, *NAMES, more=f"--paper {paper} {more}"))
    assert pages
    for sheet, boxes in pages:
        assert boxes
        assert overlapping(boxes) == []
        assert outside(sheet, boxes, MARGIN_PT) == []


@pytest.mark.parametrize("more", ["", "--qr"])
def test_a_patch_of_colour_lies_on_no_word(desk: Desk, more: str) -> None:
    names = [f"Full {number}{more}" for number in range(3)]
    for name in names:
        desk.does(
            f"skein add '{name}' --mass 90g --length 200m --state unwashed --wpi 12wpi --plies 2"
            " --fibre 'wool 80, silk 20' --colour 'dark madder' --spun 2024-11 --wrap snug"
        )
    pdf = tagged(desk, *names, more=more)
    (found,), ((_, words),) = patches(pdf), text_boxes(pdf)
    assert len(found) == 3
    assert overlapping([*found, *words]) == []


@pytest.mark.parametrize(("paper", "fits"), [("A4 --qr", True), ("A5", True), ("A5 --qr", False)])
def test_a_tag_that_says_all_there_is_to_say_still_fits(desk: Desk, paper: str, fits: bool) -> None:
    name, words = f"Everything {paper}", "as many words as there is room for " * 5
    desk.does(
        f"skein add '{name}' --mass 90g --length 200m --state unwashed --wpi 12wpi --plies 2"
        " --twist S --fibre 'wool 60, silk 20, alpaca 20' --superwash --spun 2024-11 --wrap snug"
        f" --colour 'slate with oat flecks, a little madder' --place '{words}' --note '{words}'"
    )
    pdf = tagged(desk, name, more=f"--paper {paper}")
    assert ("note: as many" in text_of(pdf)[0]) == fits  # left out where it is too full
    for sheet, boxes in text_boxes(pdf):
        assert overlapping(boxes) == [] and outside(sheet, boxes, MARGIN_PT) == []


def test_every_tag_is_whole_on_one_page(desk: Desk) -> None:
    names = [f"Many {number}" for number in range(1, 24)]
    for name in names:
        desk.does(f"skein add '{name}' --mass 90g --length 200m --state relaxed")
    pages = text_of(tagged(desk, *names))
    assert len(pages) == 3  # eight to a page
    for page in pages:
        assert page.count("Many ") == page.count(" m per 100 g") == page.count("3.2 oz")
    assert [re.findall(r"Many \d+", page) for page in pages] == [names[:8], names[8:16], names[16:]]


def test_names_are_printed_as_they_are(desk: Desk) -> None:
    text = " ".join(text_of(tagged(desk, ODD, LONG, RIGHT_TO_LEFT))[0].split())
    assert ODD in text and LONG in text
    assert RIGHT_TO_LEFT in text or RIGHT_TO_LEFT[::-1] in text


def test_small_pictures_are_printed_too(desk: Desk) -> None:
    name = "Schäfchen 🐑 🧶 😀"
    desk.does(f"skein add '{name}' --mass 90g --length 200m --state relaxed")
    assert name in " ".join(text_of(tagged(desk, name))[0].split())


def test_the_same_skeins_are_the_same_bytes(desk: Desk) -> None:
    assert tagged(desk, *NAMES, more="--qr") == tagged(desk, *NAMES, more="--qr")


def test_the_code_is_plain_text_of_name_grams_and_metres() -> None:
    known = Length(258.0, 271.0, 284.0)
    assert qr_text(_tag("Gorse “1”", 112.0, known)) == "Gorse “1”\n112 g\n271 m"
    assert qr_text(_tag("Gorse", None, None)) == "Gorse"
    assert qr_text(_tag("Gorse", 40.0, Length(10.0, 100.0, 1000.0))) == "Gorse\n40 g"


def test_the_squares_drawn_are_those_of_the_code() -> None:
    """The path of the picture, drawn again square by square, is segno's own matrix."""
    text = "Gorse “1”\n112 g\n271 m"
    matrix = [list(row) for row in segno.make_qr(text, error="m").matrix]
    path = re.findall(r'd="([^"]+)"', qr_svg(text))[-1]
    drawn = [[0] * len(matrix) for _ in matrix]
    x = y = 0.0
    for sign, first, second in re.findall(r"([Mmh])(-?[\d.]+)(?:[ ,]?(-?[\d.]+))?", path):
        if sign == "h":
            for at in range(int(float(first))):
                drawn[int(y - 4)][int(x - 4) + at] = 1
            x += float(first)
        else:
            x, y = (float(first), float(second)) if sign == "M" else (
                x + float(first), y + float(second)
            )  # fmt: skip
    assert drawn == matrix


def _tag(name: str, mass_g: float | None, length: Length | None) -> Tag:
    return Tag(name, "wool", False, 2, None, "semi", False, None, mass_g, length, None, None,
               None, None, None, None, None)  # fmt: skip


def test_no_line_mixes_the_two_unit_systems() -> None:
    full = Tag("Gorse", "wool", False, 2, "S", "semi", False, True, 112.0,
               Length(258.0, 271.0, 284.0), 242.0, 1200.0, 6.0, "snug", "rust", None,
               "2024")  # fmt: skip
    for line, other in tag_lines(full):
        assert bool(re.search(r"\d (oz|yd)|per inch", line)) == other, line


@pytest.mark.parametrize(
    ("line", "code", "told"),
    [
        ("skein tag Gorse --out {0}/a.txt", 2, ".pdf"),
        ("skein tag Gorse --out {0}/none/a.pdf", 2, "no folder"),
        ("skein tag Gorse --out {0}/there.pdf", 2, "--force"),
        ("skein tag Gorse Gors --out {0}/a.pdf", 4, "Gorse"),
        ("skein tag Gorse gorse --out {0}/a.pdf", 2, "twice"),
        ("skein tag Gorse --out {0}/a.pdf --paper B5", 3, "A4, A5, letter"),
    ],
)
def test_what_cannot_be_printed_is_refused_and_leaves_nothing(
    desk: Desk, tmp_path: Path, line: str, code: int, told: str
) -> None:
    (tmp_path / "there.pdf").write_bytes(b"hers")
    assert told in desk.refuses(line.format(tmp_path), code)
    assert [one.name for one in tmp_path.iterdir()] == ["there.pdf"]
    assert (tmp_path / "there.pdf").read_bytes() == b"hers"
