"""farspun geometry: the JSON, the words a weaver reads, what is refused."""

import json
import random
import re
import shlex
from pathlib import Path
from typing import Any

import pytest
from typer.testing import CliRunner, Result

from cli.running import Desk
from farspun.cli.app import app

KEYS = [
    "warp_diameter_mm",
    "weft_diameter_mm",
    "warp_crimp_fraction",
    "weft_crimp_fraction",
    "cover_warp",
    "cover_weft",
    "cover_cloth",
    "cover_factor_warp",
    "cover_factor_weft",
    "mass_g_per_m2",
    "thickness_mm",
    "jammed",
    "crimp_share",
    "share_of_limit",
    "closest_ends_per_cm",
    "closest_picks_per_cm",
    "notes",
]
YARNS = '--warp-count "Nm 8/2" --weft-count "230 m/100g"'
ROUND = "--warp-count 40tex --weft-count 40tex --warp-diameter 0.5mm --weft-diameter 0.5mm"
COTTON = "--warp-fibre cotton --weft-fibre cotton"


def run(options: str) -> Result:
    return CliRunner().invoke(app, ["geometry", *shlex.split(options)])


def answer(options: str) -> dict[str, Any]:
    result = run(f"{options} --json")
    assert result.exit_code == 0, result.stderr
    found: dict[str, Any] = json.loads(result.stdout)
    return found


def refused(options: str, code: int = 3) -> str:
    result = run(f"{options} --json")
    assert result.exit_code == code, result.output
    assert result.stdout == ""
    assert len(result.stderr.splitlines()) == 2
    return result.stderr


def test_the_answer_has_the_keys_others_rely_on() -> None:
    found = answer(f"{YARNS} --ends 5/cm --picks 4/cm")
    assert list(found) == KEYS
    assert found["jammed"] is False
    assert isinstance(found["notes"], list)


def test_the_square_cloth_of_the_table_comes_out_unrounded() -> None:
    found = answer(f"{ROUND} --ends 10/cm --picks 10/cm")
    assert found["warp_crimp_fraction"] == pytest.approx(0.14350, abs=1e-5)
    assert found["weft_crimp_fraction"] == pytest.approx(found["warp_crimp_fraction"])
    assert found["warp_crimp_fraction"] != round(found["warp_crimp_fraction"], 6)
    assert found["cover_warp"] == pytest.approx(0.5)
    assert found["cover_cloth"] == pytest.approx(0.75)
    assert found["cover_factor_warp"] == pytest.approx(40**0.5)
    assert found["thickness_mm"] == pytest.approx(1.0)
    crimped = 0.1 * 2 * 10 * 40 * (1 + found["warp_crimp_fraction"])
    assert found["mass_g_per_m2"] == pytest.approx(crimped)
    assert found["share_of_limit"] == pytest.approx(0.75**0.5)
    assert found["closest_ends_per_cm"] == pytest.approx(10 / 0.75**0.5)


def test_a_shirting_weighs_what_is_published() -> None:
    counts = f'--warp-count "40s cotton" --weft-count "30s cotton" {COTTON}'
    found = answer(f"{counts} --ends 120epi --picks 70ppi --warp-crimp 3% --weft-crimp +5%")
    assert found["mass_g_per_m2"] == pytest.approx(128.8, abs=0.1)
    assert (found["warp_crimp_fraction"], found["weft_crimp_fraction"]) == (0.03, 0.05)
    assert found["crimp_share"] is None
    assert any("No geometry of round yarns has both crimps" in note for note in found["notes"])


def test_the_thickness_is_that_of_the_thicker_side() -> None:
    yarns = "--warp-count 20tex --weft-count 40tex --warp-diameter 0.2mm --weft-diameter 0.3mm"
    found = answer(f"{yarns} --ends 15/cm --picks 25/cm --warp-crimp 9%")
    assert found["thickness_mm"] == pytest.approx(0.64, abs=0.01)
    assert found["warp_crimp_fraction"] == pytest.approx(0.09)


@pytest.mark.parametrize("crimp", ["--warp-crimp 12%", "--weft-crimp 12%"])
def test_one_crimp_gives_the_other(crimp: str) -> None:
    sett = f"{ROUND} --ends 9/cm --picks 9/cm"
    found = answer(f"{sett} {crimp}")
    warp, weft = found["warp_crimp_fraction"], found["weft_crimp_fraction"]
    assert (warp if "warp" in crimp else weft) == pytest.approx(0.12)
    both = answer(f"{sett} --warp-crimp {warp * 100:.9f}% --weft-crimp {weft * 100:.9f}%")
    assert both["crimp_share"] == pytest.approx(found["crimp_share"], abs=1e-6)
    assert both["thickness_mm"] == pytest.approx(found["thickness_mm"], abs=1e-6)
    assert not any("No geometry" in note for note in both["notes"])
    shared = answer(f"{sett} --crimp-share {found['crimp_share']:.12f}")
    assert shared["warp_crimp_fraction"] == pytest.approx(warp)


def test_both_crimps_as_finely_as_written_may_go_together() -> None:
    limit = f"{ROUND} --ends 11.547/cm --picks 11.547/cm"
    found = answer(f"{limit} --warp-crimp 20.92% --weft-crimp 20.92%")
    assert found["crimp_share"] == pytest.approx(0.5, abs=1e-3)
    assert found["thickness_mm"] == pytest.approx(1, abs=1e-3)


def test_crimps_no_thread_has_are_taken_for_the_weight_and_the_thickness_is_unknown() -> None:
    options = f"{ROUND} --ends 9/cm --picks 9/cm --warp-crimp 90% --weft-crimp 2%"
    found = answer(options)
    assert found["thickness_mm"] is None
    assert found["mass_g_per_m2"] == pytest.approx(0.1 * 9 * 40 * (1.90 + 1.02))
    out = run(options).stdout
    assert "thick" not in out.splitlines()[0]
    assert "not known" in " ".join(out.split())


@pytest.mark.parametrize("per_cm", [11.44, 11.5, 11.547, 11.55])
def test_within_one_per_cent_of_the_limit_it_is_jammed(per_cm: float) -> None:
    assert answer(f"{ROUND} --ends {per_cm}/cm --picks {per_cm}/cm")["jammed"] is True


def test_a_cloth_a_little_more_open_is_not_jammed() -> None:
    assert answer(f"{ROUND} --ends 11.4/cm --picks 11.4/cm")["jammed"] is False


@pytest.mark.parametrize(("warp", "weft"), [(0.7, 0.95827), (0.8, 0.91652), (0.9, 0.82570)])
def test_spacings_that_jam_together_are_jammed_whatever_share_they_force(
    warp: float, weft: float
) -> None:
    found = answer(f"{ROUND} --ends {10 / warp:.4f}/cm --picks {10 / weft:.4f}/cm")
    assert found["jammed"] is True
    assert found["crimp_share"] == pytest.approx((1 - warp**2) ** 0.5, abs=1e-2)
    assert any("too close for the wave to be shared evenly" in note for note in found["notes"])


def test_beyond_the_limit_the_nearest_cloth_is_named_and_can_be_woven() -> None:
    said = refused(f"{ROUND} --ends 12/cm --picks 12/cm")
    assert "jam at 11.54 ends and 11.54 picks per cm" in said
    found = re.search(r"woven: ([\d.]+) ends and ([\d.]+) picks per cm", said)
    kept = re.search(r"with 12 ends at most ([\d.]+) picks", said)
    assert found and kept
    for ends, picks in (found.groups(), ("12", kept[1])):
        assert answer(f"{ROUND} --ends {ends}/cm --picks {picks}/cm")["jammed"] is True
    assert "per inch" in said


def test_a_twill_of_the_same_yarns_can_be_set_closer_and_bends_less() -> None:
    plain = answer(f"{ROUND} --ends 8/cm --picks 8/cm")
    twill = answer(f"{ROUND} --ends 8/cm --picks 8/cm --weave '2/2 twill'")
    assert twill["warp_crimp_fraction"] == pytest.approx(plain["warp_crimp_fraction"] / 2)
    assert twill["closest_ends_per_cm"] > plain["closest_ends_per_cm"]
    assert answer(f"{ROUND} --ends 12/cm --picks 12/cm --weave '2/2 twill'")["jammed"] is False


def test_a_crimp_no_geometry_allows_is_refused_with_the_range() -> None:
    said = refused(f"{ROUND} --ends 12.5/cm --picks 5/cm --warp-crimp 3%")
    assert "Warp crimp cannot be 3 %: from 4.7 % to 12.7 %" in said
    said = refused(f"{ROUND} --ends 5/cm --picks 12.5/cm --weft-crimp 3%")
    assert "Weft crimp cannot be 3 %: from 4.7 % to 12.7 %" in said
    for crimp in ("4.7%", "12.7%"):
        answer(f"{ROUND} --ends 12.5/cm --picks 5/cm --warp-crimp {crimp}")


def test_a_share_there_is_no_room_for_is_refused_with_the_range() -> None:
    said = refused(f"{ROUND} --ends 12.5/cm --picks 5/cm --crimp-share 0.5")
    assert "from 0.60 to 1.00" in said
    assert answer(f"{ROUND} --ends 12.5/cm --picks 5/cm --crimp-share 60%")["crimp_share"] == 0.6


@pytest.mark.parametrize("share", ["0", "0.0", "0%", ".0"])
def test_a_share_of_nothing_is_a_straight_warp(share: str) -> None:
    found = answer(f"{ROUND} --ends 5/cm --picks 5/cm --crimp-share {share}")
    assert found["warp_crimp_fraction"] == 0
    assert found["weft_crimp_fraction"] > 0.1


def test_diameters_come_of_count_fibre_and_fibre_fill() -> None:
    sett = "--ends 5/cm --picks 5/cm"
    found = answer(f"--warp-count 250tex --weft-count 250tex --weft-fibre cotton {sett}")
    assert found["warp_diameter_mm"] == pytest.approx(
        0.035682 * (250 / 1.31 / 0.5) ** 0.5, rel=1e-4
    )
    assert found["weft_diameter_mm"] == pytest.approx(
        0.035682 * (250 / 1.52 / 0.6) ** 0.5, rel=1e-4
    )
    loose = answer(f"--warp-count 250tex --weft-count 250tex --fibre-fill 0.25 {sett}")
    assert loose["warp_diameter_mm"] == pytest.approx(found["warp_diameter_mm"] * 2**0.5)
    one = answer(f"--warp-count 250tex --weft-count 250tex --warp-diameter 0.02in {sett}")
    assert one["warp_diameter_mm"] == pytest.approx(0.508)
    assert one["weft_diameter_mm"] == pytest.approx(found["warp_diameter_mm"])


def test_the_fibre_settles_a_count_that_names_no_system() -> None:
    counts = "--warp-count 2/8 --weft-count 2/8"
    assert answer(f"{counts} {COTTON} --ends 5/cm --picks 5/cm")["mass_g_per_m2"] > 100
    refused(f"{counts} --ends 5/cm --picks 5/cm")


@pytest.mark.parametrize(
    ("options", "note"),
    [
        ("--ends 5/cm --picks 4/cm", "Taken from habit: wool, fibre fill 0.50, plain weave, the"),
        ("--ends 5/cm --picks 4/cm --weft-fibre silk", "fibre fill 0.50 and 0.60"),
        ("--ends 5/cm±1/cm --picks 4/cm", "The ± of ends is left out"),
        ("--ends 5/cm --picks 4/cm --weave '###./##.#/#.##/.#.#'", "some ends change face 2 times"),
        ("--ends 8.22/cm --picks 6.57/cm", "within 1 % of the closest"),
        ("--ends 4/cm --picks 8/cm", "the weft takes at least"),
        (
            "--ends 5/cm --picks 4/cm --fibre-fill 0.5 --warp-diameter 0.5mm --weft-diameter 0.5mm",
            "fibre fill is not used",
        ),
    ],
)
def test_what_is_doubtful_is_said_in_the_notes(options: str, note: str) -> None:
    assert any(note in one for one in answer(f"{YARNS} {options}")["notes"])
    assert note in " ".join(run(f"{YARNS} {options}").stdout.split())


def test_everything_said_leaves_nothing_to_habit() -> None:
    said = "--warp-fibre wool --weft-fibre wool --fibre-fill 0.5 --weave plain --crimp-share 0.5"
    assert answer(f"{YARNS} --ends 5/cm --picks 4/cm {said}")["notes"] == []


def test_the_words_are_in_both_systems_on_lines_of_their_own() -> None:
    lines = run(f"{YARNS} --ends 5/cm --picks 4/cm").stdout.splitlines()
    # worked by hand in docs/geometry.md; 321/33.906 oz, 1.73/25.4 in
    assert lines[0] == "This cloth weighs 321 g to the square metre and is 1.73 mm thick"
    assert lines[1] == "(9.47 oz to the square yard, 0.068 in thick)."
    for line in lines:
        assert not (" mm" in line and " in " in line)
        assert not ("per cm" in line and "per inch" in line)
        assert len(line) <= 88
    assert "warp crimp 5 % added" in run(f"{YARNS} --ends 5/cm --picks 4/cm --warp-crimp 5%").stdout
    assert any(line.strip().startswith("Read as") and "Nm 4" in line for line in lines)


@pytest.mark.parametrize(
    ("options", "code"),
    [
        ("--ends 5 --picks 4/cm", 3),
        ("--ends 5/cm --picks 0/cm", 3),
        ("--ends 5/cm --picks nan/cm", 3),
        ("--ends 5/cm --picks 4/cm --warp-crimp 5", 3),
        ("--ends 5/cm --picks 4/cm --warp-crimp -5%", 3),
        ("--ends 5/cm --picks 4/cm --warp-crimp 1000%", 3),
        ("--ends 5/cm --picks 4/cm --crimp-share 1.5", 3),
        ("--ends 5/cm --picks 4/cm --crimp-share -0.5", 3),
        ("--ends 5/cm --picks 4/cm --fibre-fill 0", 3),
        ("--ends 5/cm --picks 4/cm --fibre-fill 120%", 3),
        ("--ends 5/cm --picks 4/cm --warp-diameter 0.5", 3),
        ("--ends 5/cm --picks 4/cm --warp-diameter 0mm", 3),
        ("--ends 5/cm --picks 4/cm --weave '6-end satin'", 3),
        ("--ends 5/cm --picks 4/cm --weave 'broken twil'", 4),
        ("--ends 5/cm --picks 4/cm --warp-fibre wol", 4),
        ("--ends 5/cm --picks 4/cm --crimp-share 0.5 --warp-crimp 5%", 2),
        ("--ends 5/cm --picks 4/cm --crimp-share 0.5 --weft-crimp 5%", 2),
    ],
)
def test_what_cannot_be_is_refused_in_two_lines(options: str, code: int) -> None:
    refused(f"{YARNS} {options}", code)


def test_what_is_left_out_is_asked_for() -> None:
    for options in ("", f"{YARNS} --ends 5/cm", "--warp-count 40tex --ends 5/cm --picks 5/cm"):
        result = run(options)
        assert result.exit_code == 2
        assert result.stdout == ""
        assert result.stderr


VALUES = {
    "--warp-count": ("40 tex", "Nm 8/2", "0.01 tex", "1000000 tex", "nan"),
    "--weft-count": ("200 tex", "230 m/100g", "0.01 tex", "1000000 tex", "40"),
    "--ends": ("5/cm", "12 epi", "0.001/cm", "1000/cm", "5/cm±1/cm", "5"),
    "--picks": ("4/cm", "10 ppi", "0.001/cm", "1000/cm", "-1/cm"),
    "--warp-fibre": ("wool", "cotton", "wool 80, silk 20", ""),
    "--weft-fibre": ("wool", "linen", "🧶"),
    "--fibre-fill": ("0.5", "100%", "0.000001", "0"),
    "--warp-diameter": ("0.5mm", "0.00001mm", "100000km", "0.02in±0.01in"),
    "--weft-diameter": ("0.7mm", "1m", "0cm"),
    "--weave": ("plain", "2/2 twill", "8-end satin", "###./##.#/#.##/.#.#", "x"),
    "--crimp-share": ("0", "0.5", "1", "0.99999", "1e-3"),
    "--warp-crimp": ("0%", "8%", "999%", "5%±2%", "0.0000001%"),
    "--weft-crimp": ("0%", "+8%", "57%", "%"),
}


def test_whatever_is_typed_ends_in_an_answer_or_a_plain_refusal(tmp_path: Path) -> None:
    desk, rng = Desk(tmp_path), random.Random(11)
    codes = []
    for _ in range(600):
        words = ["geometry", "--json"]
        for option, values in VALUES.items():
            must = option in ("--warp-count", "--weft-count", "--ends", "--picks")
            if must or rng.random() < 0.2:
                usual = rng.random() < 0.8
                words += [option, values[0] if usual else rng.choice(values)]
        ran = desk.run(words)
        codes.append(ran.exit_code)
        assert ran.exit_code in (0, 2, 3, 4), words
        if ran.exit_code:
            assert ran.stdout == "" and len(ran.stderr.splitlines()) == 2, (words, ran)
        else:
            json.loads(ran.stdout)
    assert {0, 2, 3} <= set(codes)
    assert codes.count(0) > 200


def test_a_count_that_names_its_fibre_is_of_that_fibre(tmp_path: Path) -> None:
    desk = Desk(tmp_path)
    line = (
        "geometry --warp-count '20/2 cotton' --weft-count '20/2 cotton' --ends 24epi --picks 24ppi"
    )
    by_count = desk.told(line)
    said = desk.told(f"{line} --warp-fibre cotton --weft-fibre cotton")
    assert by_count["warp_crimp_fraction"] == said["warp_crimp_fraction"]
    shown = desk.run(line).stdout
    assert "Taken from the count: cotton" in shown and "wool" not in shown
