"""farspun picture reach, sizes, progress, lessons: what is drawn, refused, said instead."""

import io
import re
from pathlib import Path
from xml.etree import ElementTree

import pytest
from PIL import Image

from chart_texts import off_the_sheet, overlaps
from cli.cloths import SHAWL
from cli.running import Desk, furnished
from farspun.pictures.chart_lessons import lessons_figure
from farspun.pictures.chart_reach import reach_figure
from farspun.services import demo
from farspun.services.chart_lessons import lessons_chart
from farspun.services.chart_reach import reach_chart
from farspun.services.cloths import check_cloths
from farspun.services.lessons import lessons
from farspun.store.engine import Stash
from lives import FINISHED, LIFE, OFF_LOOM, ON_LOOM, PLAN, SAMPLE, WOUND, woven

SIZES = 'picture sizes --warp "Gorse 1" --weft Driftwood --sett 3/cm'


@pytest.fixture
def desk(tmp_path: Path) -> Desk:
    return furnished(tmp_path)


def out(desk: Desk, name: str) -> str:
    return f'--out "{desk.folder / name}"'


def described(desk: Desk, name: str) -> str:
    """What an SVG tells in words."""
    root = ElementTree.fromstring((desk.folder / name).read_bytes())
    return root[1].text or ""


def test_reach_draws_what_cloth_check_tells(desk: Desk) -> None:
    desk.does(SHAWL)
    check = desk.told("cloth check Shawl")
    drawn = desk.told(f"picture reach Shawl {out(desk, 'reach.svg')}")
    assert drawn["file"] == str(desk.folder / "reach.svg")
    assert drawn["title"].startswith(f"Shawl: {check['verdict']}, ")
    for shown, need in zip(drawn["data"]["yarns"], check["warp"] + check["weft"], strict=True):
        assert shown["name"] == " + ".join(need["skeins"])
        for what in ("need_m", "have_m"):
            assert shown[what] == [need[what][point] for point in ("p05", "p50", "p95")]
    shares = [share for _, share in drawn["data"]["doubts"]]
    assert shares == [one["share"] for one in check["drivers"] if one["share"] >= 0.005]
    assert described(desk, "reach.svg") == drawn["told"]


def test_the_command_prints_the_file_and_the_picture_in_words(desk: Desk) -> None:
    desk.does(SHAWL)
    said = desk.does(f"picture reach Shawl {out(desk, 'reach.svg')}")
    first, *rest = said.splitlines()
    assert first == f"Drawn: {desk.folder / 'reach.svg'}"
    assert rest[0].startswith("Words   Shawl: ")
    words = " ".join(" ".join(rest).removeprefix("Words").split())
    assert words == described(desk, "reach.svg")


def test_a_png_is_drawn_as_one_and_has_the_words(desk: Desk) -> None:
    desk.does(SHAWL)
    drawn = desk.told(f"picture reach Shawl {out(desk, 'reach.PNG')}")
    with Image.open(io.BytesIO((desk.folder / "reach.PNG").read_bytes())) as picture:
        assert picture.format == "PNG"
        assert picture.info["Description"] == drawn["told"]


def test_a_yarn_of_unknown_length_is_drawn_as_unknown(desk: Desk) -> None:
    desk.does(f"{SHAWL.replace('Driftwood', 'Wraps')}")
    drawn = desk.told(f"picture reach Shawl {out(desk, 'reach.svg')}")
    assert drawn["data"]["yarns"][1]["have_m"] is None
    assert "have unknown; length not known" in drawn["told"]


def test_sizes_draws_the_table_of_largest(desk: Desk) -> None:
    options = SIZES.removeprefix("picture sizes ")
    table = desk.told(f"largest --sizes {options}")
    drawn = desk.told(f"{SIZES} {out(desk, 'sizes.svg')}")
    sizes = ("width_cm", "length_cm", "ends_it")
    assert [[row[key] for key in sizes] for row in drawn["data"]["sizes"]] == [
        [row[key] for key in sizes] for row in table["sizes"]
    ]
    assert drawn["data"]["asked"] is None
    assert drawn["title"] == "How large a cloth: warp Gorse 1, weft Driftwood"
    assert described(desk, "sizes.svg") == drawn["told"]


@pytest.mark.parametrize("held", ["--width 35cm", "--shape 1:4"])
def test_sizes_marks_the_size_of_the_side_that_is_held(desk: Desk, held: str) -> None:
    found = desk.told(f"largest {SIZES.removeprefix('picture sizes ')} {held}")
    drawn = desk.told(f"{SIZES} {held} --promise 95% {out(desk, 'sizes.svg')}")
    asked = drawn["data"]["asked"]
    assert (asked["width_cm"], asked["length_cm"]) == (
        found["size"]["width_cm"], found["size"]["length_cm"]
    )  # fmt: skip
    assert asked["ends_it"] == found["ends_it"]
    assert drawn["data"]["sizes"]


def test_one_yarn_for_both_sides_is_said_so(desk: Desk) -> None:
    drawn = desk.told(f'picture sizes --weft "Gorse 1" {out(desk, "sizes.svg")}')
    assert drawn["title"] == "How large a cloth: Gorse 1 for warp and weft"


def test_where_no_size_keeps_the_promise_it_is_said_and_nothing_drawn(desk: Desk) -> None:
    line = f"picture sizes --warp Wraps --weft Driftwood {out(desk, 'sizes.svg')}"
    said = " ".join(desk.does(line).split())
    assert said.startswith("No size keeps 95 in 100, so nothing was drawn: the length of Wraps")
    assert desk.told(line)["file"] is None
    assert not (desk.folder / "sizes.svg").exists()


def test_lessons_draws_what_lessons_tells(desk: Desk) -> None:
    desk.does(PLAN, SAMPLE, WOUND, ON_LOOM, OFF_LOOM, FINISHED)
    woven(desk, "Scarf", 55)
    told = {one["name"]: one for one in desk.told("lessons")["factors"]}
    drawn = desk.told(f"picture lessons {out(desk, 'lessons.svg')}")
    assert [one["name"].casefold() for one in drawn["data"]["factors"]] == [
        name for name, one in told.items() if one["records"]
    ]
    for factor in drawn["data"]["factors"]:
        one = told[factor["name"].casefold()]
        assert factor["unit"] == one["unit"]
        assert [
            [(bar["mean"], bar["sd"]) for bar in (group["habit"], group["now"])]
            for group in factor["groups"]
        ] == [
            [(bar["mean"], bar["sd"]) for bar in (belief["habit"], belief["now"])]
            for belief in one["beliefs"]
        ]
        shown = [record for group in factor["groups"] for record in group["records"]]
        assert sorted((r["cloth"], r["observed"], r["counts"]) for r in shown) == sorted(
            (r["cloth"], r["observed"], r["counts"]) for r in one["records"]
        )
    assert "Scarf 45 %, set aside" in drawn["told"]


@pytest.mark.parametrize("json", ["", "--json"])
def test_where_nothing_was_learned_yet_it_is_said_and_nothing_drawn(desk: Desk, json: str) -> None:
    said = desk.does(f"picture lessons {json} {out(desk, 'lessons.svg')}")
    assert "No cloth and no sample has taught anything yet" in " ".join(said.split())
    assert not (desk.folder / "lessons.svg").exists()


@pytest.mark.parametrize(
    ("file", "message"),
    [
        ("chart.pdf", "would be of no known kind."),
        ("chart", "would be of no known kind."),
        ("nowhere/chart.svg", "there is no folder"),
        ("folder.svg", "is a folder."),
        (f"{'x' * 300}.svg", "cannot be written (File name too long)."),
    ],
)
@pytest.mark.parametrize("line", ["picture reach Shawl", SIZES, "picture lessons"])
def test_a_file_that_cannot_be_is_refused(desk: Desk, file: str, message: str, line: str) -> None:
    desk.does(SHAWL)
    (desk.folder / "folder.svg").mkdir()
    assert message in desk.refuses(f"{line} {out(desk, file)}", 2)


def test_a_file_that_is_there_is_kept_unless_it_may_be_drawn_over(desk: Desk) -> None:
    desk.does(SHAWL)
    file = desk.folder / "reach.svg"
    file.write_text("mine", encoding="utf-8")
    line = f"picture reach Shawl {out(desk, 'reach.svg')}"
    nobody = desk.run(line)
    assert nobody.exit_code == 2 and "add --force" in nobody.stderr
    assert desk.run(line, given="n\n").exit_code == 0
    assert file.read_text(encoding="utf-8") == "mine"
    assert desk.run(line, given="y\n").exit_code == 0
    drawn = file.read_bytes()
    assert drawn.startswith(b"<?xml")
    desk.does(f"{line} --force")
    assert file.read_bytes() == drawn
    assert [one.name for one in desk.folder.iterdir() if one.name.startswith(".farspun-")] == []


def test_a_cloth_that_is_not_there_or_is_woven_is_refused(desk: Desk) -> None:
    desk.does(*LIFE)
    assert "There is no cloth called “Shal”." in desk.refuses(
        f"picture reach Shal {out(desk, 'reach.svg')}", 4
    )
    assert "woven already" in desk.refuses(f"picture reach Shawl {out(desk, 'reach.svg')}", 3)
    assert not (desk.folder / "reach.svg").exists()


def test_a_picture_stores_nothing(desk: Desk) -> None:
    desk.does(SHAWL)
    before = desk.stash.read_bytes()
    desk.does(f"picture reach Shawl {out(desk, 'a.svg')}", f"{SIZES} {out(desk, 'b.png')}")
    assert desk.stash.read_bytes() == before


def test_no_words_lie_on_each_other_on_the_demo(tmp_path: Path) -> None:
    stash = Stash(path=tmp_path / "demo.db")
    demo.build(stash, demo.scenario())
    for check in check_cloths(stash):
        figure = reach_figure(reach_chart(check))
        assert (overlaps(figure), off_the_sheet(figure)) == ([], []), check.cloth


def test_no_words_lie_on_each_other_in_what_whole_lives_taught(desk: Desk) -> None:
    desk.does(*LIFE)
    for number in range(3):
        woven(desk, f"Scarf {number}", 88 + number)
    figure = lessons_figure(lessons_chart(lessons(Stash(path=desk.stash))))
    assert (overlaps(figure), off_the_sheet(figure)) == ([], [])


def test_progress_draws_what_cloth_weigh_tells(desk: Desk) -> None:
    desk.does(PLAN, WOUND, ON_LOOM, "cloth weigh Shawl --woven 60cm --ball Driftwood=118g")
    told = desk.told("cloth weigh Shawl")
    (yarn,) = told["yarns"]
    drawn = desk.told(f"picture progress Shawl {out(desk, 'progress.svg')}")
    assert drawn["data"]["weighings"] == [
        [one["woven_cm"], one["mass_g"]] for one in yarn["weighings"]
    ]
    assert drawn["data"]["end_cm"] == told["end_cm"]
    assert drawn["data"]["middle_g"] == [one["middle_g"] for one in yarn["marks"]]
    assert [one["woven_cm"] for one in yarn["marks"]] == pytest.approx(
        [60.0, *(told["end_cm"] * tenth / 10 for tenth in range(4, 11))]
    )
    end = yarn["marks"][-1]
    assert end["middle_g"] == pytest.approx(yarn["left_g"]["mean"])
    assert end["high_g"] - end["low_g"] == pytest.approx(3.2897 * yarn["left_g"]["sd"], rel=1e-3)
    assert described(desk, "progress.svg") == drawn["told"]


def test_progress_of_a_ball_that_gives_out_ends_where_it_does(desk: Desk) -> None:
    desk.does(PLAN, WOUND, ON_LOOM)
    desk.told("cloth weigh Shawl --woven 60cm --ball Driftwood=20g")
    (yarn,) = desk.told("cloth weigh Shawl")["yarns"]
    drawn = desk.told(f"picture progress Shawl {out(desk, 'progress.svg')}")
    first, *rest = [(one["woven_cm"], one["middle_g"]) for one in yarn["marks"]]
    assert all(left_g < 0 for _, left_g in rest[1:])
    # a straight line through the first two marks, by hand: the ball is used up where it is nothing
    (farther_cm, then_g) = rest[0]
    wanted_cm = first[0] + (farther_cm - first[0]) * first[1] / (first[1] - then_g)
    said_cm = float(re.search(r"Used up, by the middle: at ([\d.]+) cm", drawn["told"])[1])
    assert said_cm == pytest.approx(wanted_cm, rel=0.01)
    assert yarn["reaches_cm"] <= said_cm < drawn["data"]["end_cm"]
    assert drawn["data"]["middle_g"][-1] == yarn["marks"][-1]["middle_g"] < 0


def test_progress_is_drawn_of_a_cloth_on_the_loom_and_of_a_weft_of_it(desk: Desk) -> None:
    desk.does(PLAN)
    assert "cloth wound Shawl" in desk.refuses(f"picture progress Shawl {out(desk, 'p.svg')}", 3)
    desk.does(WOUND, ON_LOOM)
    line = f"picture progress Shawl --weft 'Gorse 1' {out(desk, 'p.svg')}"
    assert "Its weft is Driftwood" in desk.refuses(line, 4)
    assert not (desk.folder / "p.svg").exists()
