"""What cannot be is refused by the option it stands in, with what would do; nothing is stored."""

from pathlib import Path

import pytest

from cli.running import Desk, furnished

PLAN = ["cloth", "plan", "Cloth", "--warp", "Driftwood", "--weft", "Fresh"]
SIZE = ["--size", "20cmx50cm"]
LENGTHS = ("hem", "side-hem", "fringe", "gap", "header", "sample", "warp-cut", "waste")
LOSSES = ("draw-in", "take-up", "let-off", "shrink-width", "shrink-length", "give", "beat")
COUNTS = ("pieces", "ends", "repeat", "floating-selvedges", "priority")


@pytest.fixture
def desk(tmp_path: Path) -> Desk:
    return furnished(tmp_path)


def refused(desk: Desk, option: str, value: str, code: int = 3) -> str:
    """The plan is refused, in two lines, and leaves no cloth; what is said."""
    size = [] if option == "size" else SIZE
    said = desk.refuses([*PLAN, *size, f"--{option}", value], code)
    assert said[0] == said[0].upper()
    assert desk.told("cloth list") == []
    return said


@pytest.mark.parametrize(
    ("size", "hint"),
    [
        ("30x150cm", "30cmx150cm"),
        ("30cmx150", "30cmx150cm"),
        ("30x150", "30cmx150cm, or 30inx150in"),
        ("30", "30cmx150cm"),
        ("30cm", "40cmx160cm"),
        ("", "40cmx160cm"),
        ("x", "40cmx160cm"),
        ("40cmx", "40cmx160cm"),
        ("40cmx160cmx2", "40cmx160cm"),
        ("40cm 160cm", "40cmx160cm"),
        ("40,5cmx160cm", "40.5 cm"),
        ("40cmx160,5cm", "160.5 cm"),
        ("40cm±1cmx160cm", "40cmx160cm"),
        ("40gx160cm", "cm"),
        ("-40cmx160cm", "without the minus"),
        ("0cmx160cm", "more than 0"),
        ("40cmx0cm", "more than 0"),
        ("nancmx160cm", "cm"),
        ("infcmx160cm", "cm"),
        ("1e3cmx160cm", "cm"),
        ("40cmx1000001km", "at most 100 000 km"),
        ("٤٠cmx160cm", "cm"),
        ("40cm" * 60, "40cmx160cm"),
    ],
)
def test_a_size_that_cannot_be_read_is_answered_with_the_right_spelling(
    desk: Desk, size: str, hint: str
) -> None:
    assert hint in refused(desk, "size", size)


@pytest.mark.parametrize(
    ("size", "said"),
    [
        ("40cmx160cm", "40 cm wide, 160 cm long"),
        ("40cm X 160cm", "40 cm wide, 160 cm long"),
        ("400mm×1.6m", "400 mm wide, 1.6 m long"),
        ("14in x 2yd 18in", "14 in wide, 2 yd 18 in long"),
        ("½m x 1 1/2 yd", "1/2 m wide, 1 1/2 yd long"),
    ],
)
def test_a_size_in_any_unit_is_said_back_as_given(desk: Desk, size: str, said: str) -> None:
    desk.told([*PLAN, "--size", size, "--sett", "3/cm"])
    assert desk.told("cloth show Cloth")["size_said"] == said


@pytest.mark.parametrize("option", LENGTHS)
def test_a_length_needs_its_unit_a_point_and_no_minus(desk: Desk, option: str) -> None:
    assert "“5” cannot be read: a number needs its unit" in refused(desk, option, "5")
    assert "Write 5.5 cm." in refused(desk, option, "5,5cm")
    least = "more than 0" if option == "warp-cut" else "0 or more"
    assert least in refused(desk, option, "-5cm")
    for value in ("5 g", "5%", "5 threads", "five cm", "nan cm", "1e3cm", "1000001km", ""):
        refused(desk, option, value)


@pytest.mark.parametrize("option", LOSSES)
def test_a_percentage_needs_its_sign_and_stays_below_the_whole(desk: Desk, option: str) -> None:
    assert "Write 10%" in refused(desk, option, "10")
    assert "Write 10%" in refused(desk, option, "0.1")
    assert "below 100 %" in refused(desk, option, "100%")
    assert "2.5%" in refused(desk, option, "2,5%")
    assert "0 % or more" in refused(desk, option, "-1%")
    for value in ("10%±", "10±2", "10%±-2%", "nan%", "inf%", "10 cm", "%", ""):
        refused(desk, option, value)


def test_a_weft_take_up_is_an_addition_below_a_thousand_per_cent(desk: Desk) -> None:
    assert "under 1000 %" in refused(desk, "weft-take-up", "1000%")
    assert "Write 10%" in refused(desk, "weft-take-up", "10")
    refused(desk, "weft-take-up", "-5%")


@pytest.mark.parametrize("option", COUNTS)
def test_a_number_of_things_is_whole_and_in_figures(desk: Desk, option: str) -> None:
    for value in ("1.5", "two", "½", "٣", "1e3", "", "3cm", "nan", "0x10"):
        assert "not a whole number in figures" in refused(desk, option, value)
    for value in ("-1", "1000000001", "9" * 30):
        assert "a whole number from" in refused(desk, option, value)
    if option != "floating-selvedges":
        assert "a whole number from 1" in refused(desk, option, "0")


@pytest.mark.parametrize("option", ["sett", "picks"])
def test_a_sett_needs_its_unit_and_a_sane_size(desk: Desk, option: str) -> None:
    assert "epi" in refused(desk, option, "8")
    assert "dents" in refused(desk, option, "8 dpi")
    assert "wraps" in refused(desk, option, "15 wpi")
    assert "3.5" in refused(desk, option, "3,5/cm")
    for value in ("0/cm", "-3/cm", "1001/cm", "nan/cm", "3 per mile", "10/0cm", ""):
        refused(desk, option, value)


@pytest.mark.parametrize(
    ("weave", "nearest"),
    [
        ("2/2 twil", "“2/2 twill”"),
        ("tabbyy", "Weaves are written like"),
        ("basket", "“basket 2x2”"),
    ],
)
def test_a_weave_that_is_not_known_is_answered_with_the_nearest(
    desk: Desk, weave: str, nearest: str
) -> None:
    assert nearest in refused(desk, "weave", weave, code=4)


@pytest.mark.parametrize(
    "weave", ["0/2 twill", "4-end satin", "8-end satin 2", "##/##", "999/999 twill"]
)
def test_a_weave_that_cannot_be_woven_is_refused(desk: Desk, weave: str) -> None:
    refused(desk, "weave", weave)


def test_words_that_are_not_offered_are_answered_with_those_that_are(desk: Desk) -> None:
    assert "drape, everyday, firm" in refused(desk, "purpose", "warm")
    assert "gentle, hot, fulled" in refused(desk, "wash", "boiled")


def test_a_fibre_that_is_not_known_is_answered_with_the_nearest(desk: Desk) -> None:
    said = desk.refuses('skein add Odd --mass 100g --fibre "linnen"', 4)
    assert "“linen”" in said
    desk.refuses('skein add Odd --mass 100g --fibre "wool 80, silk 30"', 3)


@pytest.mark.parametrize(
    ("option", "value"),
    [
        ("size", "101mx1m"),
        ("size", "1mx101km"),
        ("hem", "101m"),
        ("waste", "101m"),
        ("waste", "100000km"),
        ("sample", "1001m"),
        ("warp-cut", "1001km"),
        ("ends", "100001"),
        ("pieces", "10001"),
        ("repeat", "10001"),
        ("floating-selvedges", "1001"),
        ("priority", "1000001"),
    ],
)
def test_what_no_loom_can_hold_is_refused_as_a_slip(desk: Desk, option: str, value: str) -> None:
    assert "at most" in refused(desk, option, value)


def test_an_option_twice_or_without_a_value_does_not_pass_unseen(desk: Desk) -> None:
    assert desk.run([*PLAN, "--size"]).exit_code == 2
    assert desk.run([*PLAN, *SIZE, "--cut", "yes"]).exit_code == 2
    assert desk.run([*PLAN, *SIZE, "--warpp", "Cone"]).exit_code == 2
    assert desk.told("cloth list") == []


def test_what_is_left_out_is_asked_for(desk: Desk) -> None:
    for words in (["--warp", "Cone"], ["--weft", "Cone"], []):
        said = desk.refuses(["cloth", "plan", "A", *SIZE, *words], 2)
        assert "--warp SKEIN and --weft SKEIN" in said
    assert "--size" in desk.refuses(PLAN, 2)
    ran = desk.run(["cloth", "plan", *SIZE])
    assert (ran.exit_code, ran.stdout) == (2, "")


def test_a_spread_where_none_is_meant_is_not_passed_over(desk: Desk) -> None:
    for option, value in (
        ("sett", "3/cm±1/cm"),
        ("hem", "2cm±1cm"),
        ("sample", "10cm±2cm"),
        ("warp-cut", "3m±10cm"),
        ("give", "5%±2%"),
        ("beat", "4%±2%"),
    ):
        refused(desk, option, value)


@pytest.mark.parametrize(
    "name", ["a\nb", "a\x1b[31mred", "x" * 300, "\u2028", "\ud800", "Nobody\r\nhere"]
)
def test_a_name_that_is_not_there_is_repeated_on_one_clean_line(desk: Desk, name: str) -> None:
    for words in (
        ["cloth", "check", name],
        ["cloth", "plan", "A", *SIZE, "--warp", name, "--weft", "Fresh"],
        ["cloth", "plan", "A", *SIZE, "--warp", "Fresh", "--weft", f"{name}:40%"],
        ["cloth", "plan", "A", *SIZE, "--warp", "Fresh", "--weft", "Cone", "--loom", name],
        ["cloth", "plan", "A", *SIZE, "--warp", "Fresh", "--weft", "Cone", "--reed", name],
        ["reach", name, *SIZE],
        ["skein", "take", "Fresh", "1g", "--for", name],
    ):
        said = desk.refuses(words, 4)
        assert all(sign.isprintable() or sign == "\n" for sign in said), said
        assert max(map(len, said.splitlines())) < 300


def test_absurd_but_possible_cloths_are_answered(desk: Desk) -> None:
    for size, more in (
        ("1mmx1mm", "--sett 1000/cm --picks 1000/cm"),
        ("1mmx100km", "--sett 3/cm --picks 1/cm"),
        ("40cmx1mm", "--sett 0.02/cm --picks 0.01/cm"),
        ("10cmx10cm", "--pieces 1000 --fringe 5m --sett 3/cm"),
        ("10cmx10cm", "--waste 0cm --sett 3/cm --take-up 0% --shrink-length 0% --shrink-width 0%"),
    ):
        found = desk.told(["reach", "Driftwood", "--size", size, *more.split()])
        assert found["verdict"] in ("reaches", "uncertain", "falls short")
        assert found["setup"]["ends"] >= 1 and found["setup"]["picks"] >= 1


@pytest.mark.parametrize(
    ("line", "first", "second"),
    [
        ("match Shawl --contrast lots", "--contrast cannot be 'lots'.", "--contrast most, least."),
        ("skein close Driftwood", "--because was not said.", "used, given, sold, lost, spoiled."),
        ("skein close Driftwood --because eaten", "cannot be 'eaten'.", "sold, lost, spoiled."),
    ],
)
def test_one_of_a_few_words_is_asked_for_in_two_lines(
    tmp_path: Path, line: str, first: str, second: str
) -> None:
    said = furnished(tmp_path).refuses(line, 2).splitlines()
    assert said[0].endswith(first) and said[1].endswith(second)


def test_a_promise_of_certainty_is_refused_with_the_reason(tmp_path: Path) -> None:
    desk = furnished(tmp_path)
    said = desk.refuses("reach Driftwood --size 20cmx60cm --promise 100%", 3)
    assert "nothing is sure; at most 99.9 in 100" in said
    low = desk.refuses("reach Driftwood --size 20cmx60cm --promise 50%", 3)
    assert "more than 50 and at most 99.9 in 100" in low


def test_a_cloth_planned_again_is_pointed_to_being_changed(tmp_path: Path) -> None:
    desk = furnished(tmp_path)
    line = 'cloth plan "My scarf" --size 20cmx60cm --warp Driftwood --weft Driftwood'
    desk.does(line)
    assert "farspun cloth change 'My scarf'" in desk.refuses(line, 3)


def test_a_copy_into_a_folder_that_is_not_there_names_the_folder(tmp_path: Path) -> None:
    folder = tmp_path / "none"
    said = furnished(tmp_path).refuses(["backup", str(folder / "mine.db")], 5)
    assert f"there is no folder {folder}." in said
    assert not folder.exists()
