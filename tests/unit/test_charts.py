"""Charts: words that do not lie on each other, the same bytes each time, and figures as given."""

import io
import re
import warnings
from collections.abc import Callable
from typing import Any
from xml.etree import ElementTree

import numpy as np
import pytest
from matplotlib.figure import Figure
from PIL import Image

from chart_texts import boxes, by_name, off_the_sheet, overlaps
from farspun.pictures import chart, sheet
from farspun.pictures.chart import chart_bytes, lines_of, shortened_to, text_mm
from farspun.pictures.chart_lessons import (
    MOST_RECORDS,
    FactorRows,
    GroupRows,
    LessonsChart,
    RecordMark,
    SpreadBar,
    lessons_figure,
    lessons_told,
    limits,
)
from farspun.pictures.chart_progress import ProgressChart, progress_figure, progress_told
from farspun.pictures.chart_reach import (
    ReachChart,
    YarnBars,
    farthest_m,
    reach_figure,
    reach_told,
    span_said,
)
from farspun.pictures.chart_sheet import Sheet
from farspun.pictures.chart_sizes import SizeMark, SizesChart, sizes_figure, sizes_told

LONG = "Bracken and bramble, the second half of it, spun by the door"  # 60 signs
UNBROKEN = "W" * 60
METRES_PER_YARD = 0.9144  # international yard and pound agreement, 1959
CM_PER_INCH = 2.54
SVG = "{http://www.w3.org/2000/svg}"


def reach_chart(yarns: int = 2, name: str = "Bracken", far: bool = False) -> ReachChart:
    bars = []
    for number in range(yarns):
        need = 12.5 * (number + 1) ** 1.8
        have = (40 if far else 1.1) * need
        bars.append(
            YarnBars(
                "Warp" if number < yarns / 2 else "Weft",
                name,
                (0.93 * need, need, 1.08 * need),
                None if number == 7 else (0.9 * have, have, 1.15 * have),
                "length not known" if number == 7 else "over 99 in 100",
            )
        )
    doubts = [("what unwashed yarn still loses in width", 0.61), ("beat", 0.3), ("the rest", 0.09)]
    said = "Asked for: 95 in 100 that the yarn reaches. Finished size 30 cm x 110 cm."
    return ReachChart(f"{name}: uncertain, 71 in 100", said, bars, name, doubts)


def sizes_chart(rows: int = 12, name: str = "Gorse", ends: int = 1, step: float = 10) -> SizesChart:
    sizes = [
        SizeMark(step * at, round(4000 / at), "95 in 100", f"{name} {at % ends}")
        for at in range(1, rows + 1)
    ]
    asked = SizeMark(2.5 * step, 1500.0, "96 in 100", f"{name} 1")
    said = "Each mark is the longest of its width that keeps the promise, 95 in 100."
    return SizesChart(f"How large a cloth: {name}", said, "95 in 100", sizes, asked)


def lessons_chart(records: int = 5, name: str = "Shawl", aside: float = 0.45) -> LessonsChart:
    habit, now = SpreadBar(0.1, 0.05, "10 ± 5 %"), SpreadBar(0.096, 0.03, "9.6 ± 3 %")
    each = [
        RecordMark(
            cloth=f"{name} {at}",
            sample=at % 3 == 1,
            observed=aside if at == 2 else 0.08 + 0.004 * (at % 9),
            said="45 %" if at == 2 else f"{8 + 0.4 * (at % 9):.1f} %",
            habit=habit,
            counts=at != 2,
            asked=at in (2, 3),
        )
        for at in range(records)
    ]
    waste = SpreadBar(65, 15, "65 ± 15 cm"), SpreadBar(63.7, 8.6, "63.7 ± 8.6 cm")
    thrums = RecordMark(name, False, 62.0, "62 cm (24.4 in)", waste[0], True, False)
    return LessonsChart(
        "What your cloths taught",
        "From 5 cloths and 1 sample.",
        [
            FactorRows(
                "Shrinkage in length",
                "fraction",
                [
                    GroupRows("wool cloths, gentle wash", habit, now, "from 4 cloths", each),
                    GroupRows(f"linen like {name}", habit, now, "from 1 cloth and 3 others", []),
                ],
            ),
            FactorRows(
                "Loom waste", "cm", [GroupRows("on Table", *waste, "from 1 cloth", [thrums])]
            ),
        ],
    )


def progress_chart(weighings: int = 3, name: str = "Runner", cm: float = 127) -> ProgressChart:
    woven = np.linspace(0, cm, 30)
    left = {"low_g": 0.9, "middle_g": 0.8, "high_g": 0.7}
    band = {key: (84 * (1 - part * woven / cm)).tolist() for key, part in left.items()}
    told = [(cm * at / 31, 84 - 2.5 * at) for at in range(weighings)]
    return ProgressChart(f"{name}, half-way", "It will reach.", woven.tolist(), **band,
                         weighings=told, end_cm=cm)  # fmt: skip


def _case(name: str, figure: Callable[[Any], Figure], told: Callable[[Any], str], data: Any) -> Any:
    return pytest.param(figure, told, data, id=name)


CASES = [
    _case("reach", reach_figure, reach_told, reach_chart()),
    _case("reach 1 yarn", reach_figure, reach_told, reach_chart(1)),
    _case("reach 12 yarns, long names", reach_figure, reach_told, reach_chart(12, LONG)),
    _case("reach unbroken", reach_figure, reach_told, reach_chart(12, UNBROKEN, far=True)),
    _case("reach many skeins", reach_figure, reach_told, reach_chart(3, " + ".join([LONG] * 12))),
    _case("sizes", sizes_figure, sizes_told, sizes_chart()),
    _case("sizes 1 row", sizes_figure, sizes_told, sizes_chart(1)),
    _case("sizes 12 yarns, long names", sizes_figure, sizes_told, sizes_chart(12, LONG, 12)),
    _case("sizes unbroken", sizes_figure, sizes_told, sizes_chart(12, UNBROKEN, 12, step=1)),
    _case("lessons", lessons_figure, lessons_told, lessons_chart()),
    _case("lessons 1 record", lessons_figure, lessons_told, lessons_chart(1)),
    _case("lessons 30 records, long names", lessons_figure, lessons_told, lessons_chart(30, LONG)),
    _case("lessons 90 unbroken", lessons_figure, lessons_told, lessons_chart(90, UNBROKEN, 0.21)),
    _case("progress", progress_figure, progress_told, progress_chart()),
    _case("progress none", progress_figure, progress_told, progress_chart(0)),
    _case("progress 30, long", progress_figure, progress_told, progress_chart(30, LONG, 9876.5)),
]


@pytest.mark.parametrize(("figure", "told", "data"), CASES)
def test_no_words_lie_on_others_or_leave_the_sheet(
    figure: Callable[[Any], Figure], told: Callable[[Any], str], data: Any
) -> None:
    drawn = figure(data)
    assert overlaps(drawn) == []
    assert off_the_sheet(drawn) == []


def test_words_that_do_lie_on_each_other_are_found() -> None:
    figure = Figure()
    figure.text(0.5, 0.5, "one")
    figure.text(0.51, 0.5, "other")
    figure.text(0.99, 0.2, "runs off")
    assert overlaps(figure) == [("one", "other")]
    assert off_the_sheet(figure) == ["runs off"]


@pytest.mark.parametrize("kind", ["svg", "png"])
@pytest.mark.parametrize(("figure", "told", "data"), CASES[::5])
def test_the_same_data_give_the_same_bytes(
    figure: Callable[[Any], Figure], told: Callable[[Any], str], data: Any, kind: Any
) -> None:
    first, second = (chart_bytes(figure(data), data.title, told(data), kind) for _ in range(2))
    assert first == second


def test_an_svg_has_its_words_and_nothing_of_the_machine() -> None:
    data = reach_chart(name="Moth & “wing” <2>")
    svg = chart_bytes(reach_figure(data), data.title, reach_told(data), "svg").decode()
    root = ElementTree.fromstring(svg)
    assert root[0].tag == f"{SVG}title" and root[0].text == data.title
    assert root[1].tag == f"{SVG}desc" and root[1].text == reach_told(data)
    assert root.get("role") == "img"
    assert root.get("aria-labelledby") == f"{root[0].get('id')} {root[1].get('id')}"
    assert not re.search(r"20\d\d-\d\d-\d\d|Matplotlib|matplotlib.org", svg)


@pytest.mark.parametrize(("figure", "told", "data"), CASES[::3])
def test_every_word_that_is_seen_in_an_svg_is_text_in_it(
    figure: Callable[[Any], Figure], told: Callable[[Any], str], data: Any
) -> None:
    drawn = figure(data)
    svg = chart_bytes(drawn, data.title, told(data), "svg")
    root = ElementTree.fromstring(svg)
    read = {"".join(one.itertext()).strip() for one in root.iter(f"{SVG}text")}
    seen = {line for text, _ in boxes(drawn) for line in text.split("\n")}
    assert seen <= read
    assert root.get("font-family") == sheet.FAMILY and b"font-family:" not in svg


# DejaVu Serif and DejaVu Sans Mono come with matplotlib: lines of a chart are up to 2 % wider in
# the first than in DejaVu Sans, and up to 22 % in the second.
@pytest.mark.parametrize("family", ["DejaVu Serif", "DejaVu Sans Mono"])
@pytest.mark.parametrize(("figure", "told", "data"), CASES)
def test_letters_wider_than_those_measured_by_do_not_lie_on_each_other(
    figure: Callable[[Any], Figure], told: Callable[[Any], str], data: Any, family: str
) -> None:
    drawn = figure(data)
    assert overlaps(drawn, family) == []
    if family == "DejaVu Serif":
        assert off_the_sheet(drawn, family) == []


def test_signs_that_the_letters_do_not_have_are_given_a_square() -> None:
    # Unicode, annex 11: a wide sign takes a square of the size of the letters
    assert text_mm("織物", 9) == pytest.approx(2 * 9 / chart.POINTS_PER_MM)
    assert text_mm("織物 wool", 9) == pytest.approx(text_mm("織物", 9) + text_mm(" wool", 9))


def test_a_png_has_its_words_too() -> None:
    data = reach_chart(name="Čapľa ± 織")
    with Image.open(
        io.BytesIO(chart_bytes(reach_figure(data), data.title, reach_told(data), "png"))
    ) as drawn:
        assert drawn.info["Title"] == data.title
        assert drawn.info["Description"] == reach_told(data)
        assert "Software" not in drawn.info
        assert drawn.width == round(chart.SHEET_MM / 25.4 * chart.DOTS_PER_INCH)


@pytest.mark.parametrize("name", ["织物", "خيط", "🧶 wool", "a$b$c", "x_1^2 \\alpha", "é" * 60])
def test_any_name_is_drawn_without_a_word_of_complaint(name: str) -> None:
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        data = reach_chart(name=name)
        drawn = reach_figure(data)
        assert overlaps(drawn) == []
        assert chart_bytes(drawn, data.title, reach_told(data), "svg")


def test_what_is_set_elsewhere_changes_nothing() -> None:
    import matplotlib

    data = sizes_chart()
    before = chart_bytes(sizes_figure(data), data.title, "", "svg")
    with matplotlib.rc_context({"font.size": 30, "svg.fonttype": "none", "axes.facecolor": "red"}):
        assert chart_bytes(sizes_figure(data), data.title, "", "svg") == before


def test_the_bars_of_need_and_have_are_the_figures_given() -> None:
    data = reach_chart(9, far=True)
    drawn = by_name(reach_figure(data))
    for number, yarn in enumerate(data.yarns):
        for what, span in (("need", yarn.need_m), ("have", yarn.have_m)):
            bar = drawn.get(f"{what}-{number}")
            if span is None:
                assert bar is None
                continue
            low, middle, high = span
            assert (bar.get_x(), bar.get_width()) == pytest.approx((low, high - low))
            assert list(drawn[f"{what}-{number}-middle"].get_xdata()) == [middle, middle]
    for number, (_, share) in enumerate(data.doubts):
        assert drawn[f"doubt-{number}"].get_width() == pytest.approx(share)


def test_need_and_have_differ_without_colour() -> None:
    drawn = by_name(reach_figure(reach_chart()))
    need, have = drawn["need-0"], drawn["have-0"]
    assert need.get_hatch() and not have.get_hatch()
    grey = [
        sum(w * c for w, c in zip((0.2126, 0.7152, 0.0722), one.get_facecolor(), strict=False))
        for one in (need, have)
    ]  # fmt: skip  weights of luminance: ITU-R BT.709
    assert grey[0] - grey[1] > 0.5


def test_the_scale_ends_at_twice_the_need_and_what_goes_on_has_an_arrow() -> None:
    data = reach_chart(2, far=True)
    needed = max(yarn.need_m[2] for yarn in data.yarns)
    assert farthest_m(data.yarns) == pytest.approx(1.03 * 2 * needed)
    (axes, _) = reach_figure(data).axes
    assert [line.get_marker() for line in axes.lines].count(">") == 2
    (near, _) = reach_figure(reach_chart()).axes
    assert ">" not in [line.get_marker() for line in near.lines]


def test_an_arrow_is_explained_where_there_is_one() -> None:
    for far in (True, False):
        said = " ".join(text.get_text() for text in reach_figure(reach_chart(2, far=far)).texts)
        assert ("An arrow: there is more than is drawn" in said) == far


def laid_out(figure: Figure) -> Figure:
    """Only a drawn second scale has its ends."""
    figure.draw_without_rendering()
    return figure


def test_the_second_scale_of_each_chart_is_the_first_in_the_other_unit() -> None:
    (bars, _) = laid_out(reach_figure(reach_chart())).axes
    (yards,) = bars.child_axes
    assert yards.get_xlim()[1] * METRES_PER_YARD == pytest.approx(bars.get_xlim()[1])
    (field,) = laid_out(sizes_figure(sizes_chart())).axes
    across, up = field.child_axes
    assert across.get_xlim()[1] * CM_PER_INCH == pytest.approx(field.get_xlim()[1])
    assert up.get_ylim()[1] * CM_PER_INCH == pytest.approx(field.get_ylim()[1])
    (tape,) = laid_out(progress_figure(progress_chart())).axes
    # 28.349523125 g to the ounce: international yard and pound agreement, 1959
    assert tape.child_axes[1].get_ylim()[1] * 28.349523125 == pytest.approx(tape.get_ylim()[1])


def test_the_marks_of_sizes_are_the_figures_given_and_tell_their_yarn_by_shape() -> None:
    data = sizes_chart(12, ends=3)
    drawn = by_name(sizes_figure(data))
    marks = [artist for name, artist in drawn.items() if name.startswith("sizes-")]
    points = {(float(x), float(y)) for one in marks for x, y in zip(*one.get_data(), strict=True)}
    assert points == {(one.width_cm, one.length_cm) for one in data.sizes}
    assert len({one.get_marker() for one in marks}) == len(marks) == 3
    assert data.asked is not None
    star = [float(side[0]) for side in drawn["asked"].get_data()]
    assert star == [data.asked.width_cm, data.asked.length_cm]


def test_the_hatched_part_vouches_for_no_more_than_the_marks_do() -> None:
    data = sizes_chart(4)
    (axes,) = sizes_figure(data).axes
    (part,) = [one for one in axes.collections if one.get_hatch()]
    corners = part.get_paths()[0].vertices
    longest = {one.width_cm: one.length_cm for one in data.sizes}
    for wide, long in corners:
        assert any(wide <= w + 1e-9 and long <= most + 1e-9 for w, most in longest.items())


def test_the_rows_of_lessons_are_the_figures_given() -> None:
    data = lessons_chart(5)
    drawn = by_name(lessons_figure(data))
    group = data.factors[0].groups[0]
    habit = drawn["factor-0-row-0"]
    assert habit.get_x() == pytest.approx(5) and habit.get_width() == pytest.approx(10)
    for at, one in enumerate(group.records):
        mark = drawn[f"factor-0-row-{at + 1}"]
        assert list(mark.get_xdata()) == pytest.approx([100 * one.observed])
    now = drawn["factor-0-row-6"]
    assert now.get_x() == pytest.approx(6.6) and now.get_width() == pytest.approx(6)
    assert list(drawn["factor-1-row-1"].get_xdata()) == [62.0]


def test_a_record_set_aside_has_its_own_mark_and_an_arrow_where_it_is_far_off() -> None:
    far, near = lessons_chart(5, aside=0.45), lessons_chart(5, aside=0.18)
    for data, outside in ((far, True), (near, False)):
        figure = lessons_figure(data)
        marks = [by_name(figure)[f"factor-0-row-{at}"].get_marker() for at in range(1, 6)]
        assert marks == ["o", "D", "x", "o", "D"]
        low, high = limits(data.factors[0])
        assert (low <= 100 * data.factors[0].groups[0].records[2].observed <= high) != outside
        assert (">" in [line.get_marker() for line in figure.axes[0].lines]) == outside


def test_of_very_many_records_the_last_are_drawn_and_the_others_counted() -> None:
    figure = lessons_figure(lessons_chart(MOST_RECORDS + 7))
    said = [text.get_text() for text in figure.texts]
    assert "7 earlier records" in said
    assert f"Shawl {MOST_RECORDS + 6}, its sample" in said and "Shawl 8" in said
    assert "Shawl 6" not in said


def test_the_marks_of_progress_are_the_figures_given() -> None:
    data = progress_chart()
    drawn = by_name(progress_figure(data))
    weighed = [tuple(point) for point in zip(*drawn["weighings"].get_data(), strict=True)]
    assert weighed == [tuple(one) for one in data.weighings]
    assert list(drawn["middle"].get_ydata()) == data.middle_g
    assert list(drawn["end"].get_xdata()) == [data.end_cm, data.end_cm]
    corners = {tuple(np.round(point, 6)) for point in drawn["band"].get_paths()[0].vertices}
    for edge in (data.low_g, data.high_g):
        want = {tuple(np.round(p, 6)) for p in zip(data.woven_cm, edge, strict=True)}
        assert want <= corners


def test_a_ball_that_gives_out_is_drawn_as_far_as_it_goes_and_marked_there() -> None:
    """20 g at 30 cm and 12 g lacking at 70 cm: nothing is left 20/32 of the way, at 55 cm."""
    data = ProgressChart(
        "Runner", "It will hardly last.", [30.0, 70.0, 110.0],
        [19.0, -13.0, -45.0], [20.0, -12.0, -44.0], [21.0, -11.0, -43.0], [(30.0, 20.0)], 110.0,
    )  # fmt: skip
    figure = progress_figure(data)
    drawn = by_name(figure)
    assert [side[0] for side in drawn["used-up"].get_data()] == [pytest.approx(55), 0]
    assert figure.axes[0].get_ylim()[0] == 0 and list(drawn["middle"].get_ydata()) == data.middle_g
    told = progress_told(data)
    assert "Used up, by the middle: at 55 cm (21.7 in) on the tape. Long enough" in told
    assert "Expected at 110 cm (43.3 in): 0 g (0 oz), 5 to 95 in 100 0 g (0 oz) to 0 g" in told
    assert "used-up" not in by_name(progress_figure(progress_chart()))
    assert "sed up" not in progress_told(progress_chart())


def test_a_factor_says_what_is_measured() -> None:
    data = lessons_chart()
    told = FactorRows("Let-off", "fraction", data.factors[0].groups, "lost when it rests")
    chart_told = LessonsChart(data.title, data.said, [told])
    heading = "Let-off: lost when it rests"
    assert heading in [text.get_text() for text in lessons_figure(chart_told).texts]
    assert f"{heading}; wool cloths, gentle wash: habit" in lessons_told(chart_told)


def test_the_words_have_every_figure_in_both_systems() -> None:
    told = reach_told(reach_chart(1))
    assert "need 12 m, 5 to 95 in 100 12 to 14 m (14 yd, 13 to 15 yd)" in told
    assert "have 14 m, 5 to 95 in 100 12 to 16 m (15 yd, 14 to 17 yd); over 99 in 100" in told
    assert "what unwashed yarn still loses in width 61 %, beat 30 %, the rest 9 %" in told
    told = sizes_told(sizes_chart(2))
    assert "10 cm (3.9 in) wide, 4000 cm (1575 in) long: 95 in 100, ends with Gorse 0." in told
    assert "25 cm (9.8 in) wide, 1500 cm (591 in) long, 96 in 100" in told
    told = lessons_told(lessons_chart(4))
    assert "habit 10 ± 5 %; seen Shawl 0 8.0 %; Shawl 1, its sample 8.4 %;" in told
    assert "Shawl 2 45 %, set aside; Shawl 3 9.2 %, asked about; now 9.6 ± 3 %" in told
    told = progress_told(progress_chart(2))
    assert "Weighed: at 0 cm (0 in) 84 g (3.0 oz); at 4.1 cm (1.6 in) 82 g (2.9 oz)." in told
    assert told.endswith("Long enough, stop there: at 127 cm (50 in) on the tape.")


def test_a_span_is_said_once_where_both_ends_are_the_same() -> None:
    assert span_said((195.2, 206.0, 218.4)) == "195-218 m (213-239 yd)"
    assert span_said((200.1, 200.2, 200.3)) == "200 m (219 yd)"


def test_lines_hold_all_words_and_none_is_wider_than_its_room() -> None:
    for text in (LONG, UNBROKEN, f"{LONG} {UNBROKEN}", "", "one"):
        lines = lines_of(text, 40, 9)
        assert "".join(lines).replace(" ", "") == text.replace(" ", "")
        assert all(text_mm(line, 9) <= 40 for line in lines)


def test_a_shortened_name_fits_shows_that_it_is_and_keeps_its_end() -> None:
    assert shortened_to("Gorse", 40, 9) == "Gorse"
    assert shortened_to(f"{LONG} 12", 40, 9).endswith(" 12")
    short = shortened_to(UNBROKEN, 40, 9)
    assert re.fullmatch("W+…W+", short) and text_mm(short, 9) <= 40 < text_mm(UNBROKEN, 9)


def test_a_very_long_sheet_is_still_drawn() -> None:
    long = Sheet()
    long.skip(10_000)  # 10 m: at 200 dots to the inch more than can be drawn
    assert 10_000 / 25.4 * chart.DOTS_PER_INCH > chart.MOST_DOTS
    with Image.open(io.BytesIO(chart_bytes(long.figure(), "", "", "png"))) as drawn:
        assert drawn.height == pytest.approx(chart.MOST_DOTS, abs=1)
