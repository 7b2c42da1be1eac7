"""farspun grist, farspun sett: the JSON, the words a weaver reads, what is refused."""

import json
import re
import shlex
from typing import Any

import pytest
from typer.testing import CliRunner, Result

from farspun.cli.app import app

GRIST_KEYS = [
    "tex",
    "dtex",
    "denier",
    "nm",
    "ne_cotton",
    "worsted",
    "woollen_run",
    "linen_lea",
    "m_per_100g",
    "yd_per_lb",
]
SETT_KEYS = [
    "weave",
    "suggested_ends_per_cm",
    "low_ends_per_cm",
    "high_ends_per_cm",
    "upper_bound_ends_per_cm",
    "from_wraps_ends_per_cm",
    "from_grist_ends_per_cm",
    "picks_per_cm",
    "sleyings",
    "notes",
]
INCH_CM = 2.54


def run(line: str) -> Result:
    return CliRunner().invoke(app, shlex.split(line))


def answer(line: str) -> dict[str, Any]:
    result = run(f"{line} --json")
    assert result.exit_code == 0, result.stderr
    found: dict[str, Any] = json.loads(result.stdout)
    return found


def test_grist_from_mass_and_length_has_every_system_and_no_other_key() -> None:
    found = answer("grist --mass 112g --length 271m")
    assert list(found) == GRIST_KEYS
    assert found["tex"] == pytest.approx(1000 * 112 / 271)
    assert found["m_per_100g"] == pytest.approx(100 * 271 / 112)
    assert found["yd_per_lb"] == pytest.approx(271 / 0.9144 / (112 / 453.59237))


def test_grist_from_imperial_measures_is_the_same_yarn() -> None:
    metric = answer("grist --mass 453.59237g --length 914.4m")
    imperial = answer('grist --mass "1 lb" --length "1000 yd"')
    assert imperial == pytest.approx(metric)
    assert imperial["yd_per_lb"] == pytest.approx(1000)


def test_grist_from_a_count_reads_the_trades_way_of_writing_plies() -> None:
    assert answer('grist --count "2/8 cotton"') == answer('grist --count "Ne 4"')


def test_the_fibre_settles_a_count_that_names_no_system() -> None:
    assert answer("grist --count 2/8 --fibre cotton")["ne_cotton"] == pytest.approx(4)
    assert run("grist --count 2/8").exit_code == 3


def test_grist_is_said_in_both_systems_on_lines_of_their_own() -> None:
    out = run("grist --mass 112g --length 271m --fibre wool").stdout
    assert out.startswith("This yarn runs 242 m to 100 g")
    assert "(1200 yd to the pound)" in out
    assert "Snug wraps" in out
    for line in out.splitlines():
        assert not ("per inch" in line and "per cm" in line)
        assert not (" m to" in line and " yd to" in line)


def test_a_count_is_read_back_as_it_was_understood() -> None:
    assert "2/8 cotton, read as 8/2 = Ne 4" in run('grist --count "2/8 cotton"').stdout


@pytest.mark.parametrize(
    "options",
    [
        "",
        "--mass 112g",
        "--length 271m",
        "--count 40tex --mass 112g",
        "--mass 112g --length 271m --count 40tex",
    ],
)
def test_a_grist_that_does_not_fit_together_is_wrong_use(options: str) -> None:
    result = run(f"grist {options} --json")
    assert result.exit_code == 2
    assert result.stdout == ""
    assert "--mass and --length together, or --count alone" in result.stderr


@pytest.mark.parametrize(
    "options",
    [
        "--mass 112 --length 271m",
        "--mass 0g --length 271m",
        "--mass 51kg --length 271m",
        "--mass 3,5g --length 1m",
        '--count "woollen 12s"',
        "--count 0tex",
        "--count nan",
    ],
)
def test_a_measure_that_cannot_be_is_refused_with_empty_stdout(options: str) -> None:
    result = run(f"grist {options} --json")
    assert result.exit_code == 3
    assert result.stdout == ""
    assert len(result.stderr.splitlines()) == 2


def test_more_than_five_kilograms_is_warned_of_but_answered() -> None:
    result = run("grist --mass 6kg --length 20km --json")
    assert result.exit_code == 0
    assert json.loads(result.stdout)["tex"] == pytest.approx(300)
    assert "6 kg" in result.stderr
    assert run("grist --mass 5kg --length 20km").stderr == ""


def test_a_fibre_or_weave_not_known_is_not_found() -> None:
    for line in ("grist --count 40tex --fibre wol", "sett --wpi 15wpi --weave 'broken twil'"):
        result = run(line)
        assert result.exit_code == 4
        assert result.stdout == ""


def test_sett_has_the_keys_others_rely_on() -> None:
    found = answer("sett --wpi 16wpi --wrap snug --reed 12dpi --reed 30/10cm")
    assert list(found) == SETT_KEYS
    assert found["weave"] == {"name": "plain", "ends": 2, "picks": 2, "intersections": 2.0}
    assert list(found["sleyings"][0]) == [
        "reed",
        "dents_per_10cm",
        "per_dent",
        "ends_per_cm",
        "off_fraction",
    ]


def test_half_the_wraps_is_the_sett_of_plain_weave() -> None:
    found = answer("sett --wpi 16wpi --wrap snug")
    assert found["from_wraps_ends_per_cm"] == pytest.approx(8 / INCH_CM)
    assert found["suggested_ends_per_cm"] == pytest.approx(8 / INCH_CM)
    assert found["picks_per_cm"] == pytest.approx(8 / INCH_CM)
    assert found["upper_bound_ends_per_cm"] is None
    assert found["from_grist_ends_per_cm"] is None


def test_the_bound_and_the_grist_rule_come_from_the_count() -> None:
    found = answer('sett --count "1600 yd/lb" --draw woollen --weave "2/2 twill"')
    assert found["upper_bound_ends_per_cm"] == pytest.approx(0.84 * 40 * 2 / 3 / INCH_CM)
    assert found["from_grist_ends_per_cm"] == pytest.approx(0.24 * 40 * 4 / 3 / INCH_CM)
    assert found["from_wraps_ends_per_cm"] is None


@pytest.mark.parametrize(
    ("wpi", "reed", "per_dent"),
    [(32, 12, [1, 1, 2]), (32, 10, [2, 1, 2, 1, 2]), (40, 8, [2, 3]), (20, 8, [1, 1, 1, 2])],
)
def test_each_reed_is_sleyed_as_it_is_done_in_practice(
    wpi: int, reed: int, per_dent: list[int]
) -> None:
    (sleying,) = answer(f"sett --wpi {wpi}wpi --wrap snug --reed {reed}dpi")["sleyings"]
    assert sleying["per_dent"] == per_dent
    assert sleying["off_fraction"] == pytest.approx(0, abs=1e-9)
    assert sleying["reed"] == f"{reed} dpi"


def test_a_rigid_heddle_takes_one_end_a_hole_and_slot() -> None:
    (sleying,) = answer("sett --wpi 12wraps/cm --reed 30/10cm --rigid-heddle")["sleyings"]
    assert sleying["per_dent"] == [1]
    assert sleying["off_fraction"] == pytest.approx(-0.5)


def test_several_wraps_are_the_yarns_of_a_mixed_warp() -> None:
    found = answer("sett --wpi 8wpi --wpi 24wpi --wrap snug")
    assert found["suggested_ends_per_cm"] == pytest.approx(6 / INCH_CM)


def test_the_sett_is_said_first_and_then_both_systems_on_lines_of_their_own() -> None:
    result = run("sett --wpi 15wpi --count 1200yd/lb --reed 8dpi --reed 30/10cm")
    lines = result.stdout.splitlines()
    assert re.fullmatch(
        r"About \d+\.\d ends per inch; anywhere from \d+\.\d to \d+\.\d is reasonable", lines[0]
    )
    assert re.fullmatch(r"\(\d+\.\d per cm, \d+\.\d to \d+\.\d\)\.", lines[1])
    assert not [line for line in lines if "per inch" in line and "per cm" in line]
    for label in ("Picks", "From wraps", "From count", "At most", "Reed"):
        assert any(line.strip().startswith(label) for line in lines)


def test_who_writes_in_centimetres_is_answered_in_them_first() -> None:
    assert "ends per cm" in run("sett --wpi 6wraps/cm").stdout.splitlines()[0]


def test_the_nearest_reed_is_named_first() -> None:
    out = run("sett --wpi 16wpi --reed 5dpi --reed 8dpi --rigid-heddle").stdout
    assert out.index("Reed        8 dpi: one end in each hole and slot, as suggested") < out.index(
        "or reed     5 dpi"
    )


@pytest.mark.parametrize(
    ("options", "note"),
    [
        ("--wpi 30wpi --count 900yd/lb --purpose firm", "cannot be beaten in"),
        ("--wpi 25wpi --count 900yd/lb --wrap snug", "sheds will stick"),
        ("--wpi 40wpi --count 900yd/lb", "much finer yarn"),
        ("--wpi 15wpi", "taken as snug"),
        ("--wpi 15wpi --wrap snug", "Taken from habit: wool, semi draw, plain weave, everyday."),
        ("--wpi 15wpi --weave '2/2 twill'", "first pick in from the right"),
        ("--wpi 15wpi --weave 'basket 2x2'", "floating selvedges"),
        ("--wpi 15wpi --reed 60/10cm", "is not reasonable"),
        ("--wpi 10wraps/cm --reed 30/10cm --rigid-heddle", "two heddles"),
        ("--wpi 15wpi --reed 30/10cm --rigid-heddle", "plan an even number"),
        ("--wpi 16wpi --reed 6dpi", "leaves marks of the reed"),
        ("--wpi 15wpi --count 1200yd/lb --purpose warp-faced", "goes past it"),
    ],
)
def test_what_is_doubtful_is_said_in_the_notes(options: str, note: str) -> None:
    assert any(note in one for one in answer(f"sett {options}")["notes"])
    assert note.split()[-1] in run(f"sett {options}").stdout


def test_mill_yarn_is_not_told_of_sticking_sheds() -> None:
    handspun = answer("sett --wpi 25wpi --count 900yd/lb --wrap snug")
    mill = answer("sett --wpi 45wpi --count 900yd/lb --wrap snug --mill")
    share = mill["suggested_ends_per_cm"] / mill["upper_bound_ends_per_cm"]
    assert 0.75 < share < 1
    assert any("stick" in note for note in handspun["notes"])
    assert not any("stick" in note for note in mill["notes"])


def test_everything_said_leaves_nothing_to_habit() -> None:
    line = "sett --wpi 15wpi --wrap snug --fibre wool --draw semi --weave plain --purpose everyday"
    assert answer(line)["notes"] == []


@pytest.mark.parametrize(
    ("options", "code"),
    [
        ("", 2),
        ("--wrap snug", 2),
        ("--wpi 15", 3),
        ("--wpi 201wpi", 3),
        ("--wpi -3wpi", 3),
        ("--wpi 15wpi --weave '6-end satin'", 3),
        ("--wpi 15wpi --weave ''", 4),
        ("--wpi 15wpi --fibre ''", 3),
        ("--wpi 15wpi --fibre 'wool 80, silk 10'", 3),
        ("--wpi 15wpi --reed 0/10cm", 3),
        ("--wpi 15wpi --purpose sturdy", 2),
    ],
)
def test_a_sett_that_cannot_be_reckoned_is_refused_with_empty_stdout(
    options: str, code: int
) -> None:
    result = run(f"sett {options} --json")
    assert result.exit_code == code
    assert result.stdout == ""
    assert result.stderr


def test_the_json_is_not_rounded() -> None:
    found = answer("sett --wpi 15wpi --count 1234yd/lb")
    assert found["suggested_ends_per_cm"] != round(found["suggested_ends_per_cm"], 6)
