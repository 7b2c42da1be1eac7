"""farspun reckon: figures to the last digit, both unit systems, and what is refused."""

import json
import re

import pytest
from typer.testing import CliRunner, Result

from farspun.cli.app import app

KEYS = [
    "reed_width_cm",
    "ends",
    "off_loom_length_cm",
    "off_loom_width_cm",
    "woven_length_cm",
    "tape_length_cm",
    "warp_length_cm",
    "warp_cut_cm",
    "warp_yarn_m",
    "warp_yarn_cut_m",
    "picks",
    "pick_length_cm",
    "weft_yarn_m",
]
TO_CUT = (
    "--width 35cm --length 84cm --sett 3/cm --picks 3/cm --draw-in 8% --take-up 10% "
    "--weft-take-up 10% --shrink-width 12% --shrink-length 10% --waste 65cm"
)
TWO_RUGS = (
    "--width 82cm --length 2m --pieces 2 --sett 3/cm --picks 2/cm --take-up +15% "
    "--fringe 10cm --waste 60cm --floating-selvedges 4"
)
SIZE = "--width 40cm --length 160cm --sett 4/cm --picks 4/cm"


def reckon(options: str, *more: str) -> Result:
    return CliRunner().invoke(app, ["reckon", *options.split(), *more])


def reckoned(options: str) -> dict[str, float]:
    result = reckon(options, "--json")
    assert (result.exit_code, result.stderr) == (0, "")
    answer: dict[str, float] = json.loads(result.stdout)
    assert list(answer) == KEYS
    return answer


def test_the_cloth_to_be_cut_comes_out_to_the_last_digit() -> None:
    assert reckoned(TO_CUT) == pytest.approx(
        {
            "reed_width_cm": 130 / 3,
            "ends": 130,
            "off_loom_length_cm": 84 / 0.9,
            "off_loom_width_cm": 35 / 0.88,
            "woven_length_cm": 84 / 0.9,
            "tape_length_cm": 84 / 0.9,
            "warp_length_cm": 84 / 0.81 + 65,
            "warp_cut_cm": 169,
            "warp_yarn_m": 1.3 * (84 / 0.81 + 65),
            "warp_yarn_cut_m": 219.7,
            "picks": 280,
            "pick_length_cm": 130 / 3 * 1.1,
            "weft_yarn_m": 2.8 * 130 / 3 * 1.1,
        },
        rel=1e-12,
    )


def test_the_two_rugs_come_out_to_the_last_digit() -> None:
    assert reckoned(TWO_RUGS) == pytest.approx(
        {
            "reed_width_cm": 82,
            "ends": 250,
            "off_loom_length_cm": 200,
            "off_loom_width_cm": 82,
            "woven_length_cm": 400,
            "tape_length_cm": 400,
            "warp_length_cm": 560,
            "warp_cut_cm": 560,
            "warp_yarn_m": 1400,
            "warp_yarn_cut_m": 1400,
            "picks": 800,
            "pick_length_cm": 82,
            "weft_yarn_m": 656,
        },
        rel=1e-12,
    )


def test_whole_numbers_stay_whole_in_json() -> None:
    answer = reckoned(TO_CUT)
    assert all(isinstance(answer[key], int) for key in ("ends", "warp_cut_cm", "picks"))


def test_what_is_not_given_is_nothing_and_no_habit_is_used() -> None:
    answer = reckoned(SIZE)
    assert (answer["reed_width_cm"], answer["warp_cut_cm"]) == (40, 160)
    assert answer["weft_yarn_m"] == answer["warp_yarn_m"] == 256


def test_inches_and_yards_mean_the_same_cloth() -> None:
    metric = "--width 35.56cm --length 228.6cm --sett 8/in --picks 8/in --waste 50.8cm"
    inches = '--width 14in --length 90" --sett 8epi --picks 8ppi --waste 20in'
    assert reckoned(inches) == pytest.approx(reckoned(metric), rel=1e-12)


def test_every_option_moves_what_it_should() -> None:
    plain = reckoned(SIZE)
    for option, key in {
        "--pieces 2": "woven_length_cm",
        "--draw-in 7%": "reed_width_cm",
        "--take-up 9%": "warp_length_cm",
        "--weft-take-up 5%": "pick_length_cm",
        "--let-off 4%": "tape_length_cm",
        "--shrink-width 10%": "off_loom_width_cm",
        "--shrink-length 10%": "off_loom_length_cm",
        "--hem 2cm": "off_loom_length_cm",
        "--side-hem 2cm": "off_loom_width_cm",
        "--fringe 10cm": "warp_cut_cm",
        "--header 3cm": "woven_length_cm",
        "--sample 12cm": "picks",
        "--waste 60cm": "warp_yarn_m",
        "--floating-selvedges 2": "ends",
        "--repeat 7": "ends",
    }.items():
        assert reckoned(f"{SIZE} {option}")[key] > plain[key], option
    pieces = f"{SIZE} --pieces 3 --waste 30cm --fringe 10cm"
    assert reckoned(f"{pieces} --gap 5cm")["warp_cut_cm"] == 480 + 30 + 60 + 10
    assert reckoned(f"{pieces} --fringe-from-waste")["warp_cut_cm"] == 480 + 30 + 40


def test_the_answer_comes_first_and_the_set_up_after_it() -> None:
    lines = reckon(TO_CUT).stdout.splitlines()
    assert lines[0] == "This takes 220 m of warp and 133 m of weft"
    assert lines[1] == "(240 yd of warp and 146 yd of weft)."
    text = "\n".join(lines)
    assert "130 ends" in text and "43.3 cm at 3.0 per cm" in text
    assert "280 picks at 3.0 per cm, 47.7 cm each" in text
    assert "169 cm" in text and "39.8 cm wide, 93.3 cm long" in text


@pytest.mark.parametrize("options", [TO_CUT, TWO_RUGS, f"{SIZE} --let-off 4%"])
def test_no_line_mixes_the_two_unit_systems(options: str) -> None:
    lines = reckon(options).stdout.splitlines()
    metric = {line for line in lines if re.search(r"\d c?m\b|per cm", line)}
    imperial = {line for line in lines if re.search(r"\d (in|yd)\b|per inch", line)}
    assert metric and imperial and not metric & imperial


def test_percentages_are_said_back_in_words() -> None:
    text = reckon(f"{SIZE} --shrink-length 20% --take-up +15% --weft-take-up 10%").stdout
    assert "shrinkage in length 20 % of the larger (divide by 0.80)" in text
    assert "take-up +15 % added, which is a loss of 13.0 %" in text
    assert "weft take-up 10 % added (multiply by 1.10)" in text


def test_what_was_taken_as_nothing_is_named() -> None:
    text = " ".join(reckon(TWO_RUGS).stdout.split())
    assert "Taken as 0 draw-in, weft take-up, let-off, shrinkage in width" in text
    assert "loom waste" not in text.split("Taken as 0")[1]


def test_the_tape_is_named_only_where_a_let_off_was_given() -> None:
    assert "by the tape" not in reckon(SIZE).stdout
    assert "160 cm rested, 167 cm by the tape on the loom" in reckon(f"{SIZE} --let-off 4%").stdout


def test_floating_selvedges_and_pieces_are_named_where_there_are_any() -> None:
    text = reckon(TWO_RUGS).stdout
    assert "250 ends, 4 of them floating selvedges" in text
    assert "each of 2 pieces" in text
    assert (
        "floating" not in reckon(SIZE).stdout
        and "pieces" not in reckon(SIZE).stdout.split("Taken as 0")[0]
    )


def test_whole_repeats_are_named_where_they_were_asked() -> None:
    assert "161 ends in whole repeats of 7" in reckon(f"{SIZE} --repeat 7").stdout
    assert "repeats" not in reckon(SIZE).stdout


def test_a_cloth_wider_than_long_is_answered_with_a_warning_apart() -> None:
    result = reckon("--width 160cm --length 40cm --sett 4/cm --picks 4/cm", "--json")
    assert (result.exit_code, json.loads(result.stdout)["ends"]) == (0, 640)
    assert "wider than it is long: 160 cm wide, 40 cm long" in result.stderr
    assert reckon(SIZE).stderr == ""


def test_a_spread_is_read_and_said_to_be_left_out() -> None:
    result = reckon(f"{SIZE} --shrink-length 10%±5% --waste 50cm+-8cm", "--json")
    assert json.loads(result.stdout)["warp_cut_cm"] == 228
    assert "± of shrinkage in length, loom waste is left out" in result.stderr


@pytest.mark.parametrize(
    ("option", "hint"),
    [
        ("--width 35", "cm"),
        ("--width 0cm", "more than 0"),
        ("--width -3cm", "minus"),
        ("--length nan", "cm"),
        ("--sett 3", "/cm"),
        ("--picks 3cm", "/cm"),
        ("--hem 3,5cm", "3.5"),
        ("--hem -1cm", "minus"),
        ("--take-up 10", "10%"),
        ("--take-up 100%", "below 100 %"),
        ("--shrink-width -5%", "0 % or more"),
        ("--waste 50g", "length"),
        ("--pieces 0", "a whole number"),
        ("--pieces two", "figures"),
        ("--repeat 0", "a whole number"),
        ("--floating-selvedges -1", "a whole number"),
        ("--width 0.0000001mm", "1 or more"),
    ],
)
def test_a_value_that_cannot_be_is_refused_with_what_would_do(option: str, hint: str) -> None:
    result = reckon(f"{SIZE} {option}", "--json")
    assert (result.exit_code, result.stdout) == (3, "")
    assert len(result.stderr.splitlines()) == 2
    assert hint in result.stderr


@pytest.mark.parametrize("missing", ["--width", "--length", "--sett", "--picks"])
def test_the_size_the_sett_and_the_picks_must_be_given(missing: str) -> None:
    pairs = dict(zip(SIZE.split()[::2], SIZE.split()[1::2], strict=True))
    left = [part for name, value in pairs.items() if name != missing for part in (name, value)]
    result = CliRunner().invoke(app, ["reckon", *left])
    assert (result.exit_code, result.stdout) == (2, "")
    assert missing in result.stderr
