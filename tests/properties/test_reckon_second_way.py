"""`reckon` against a second plain calculation, in exact fractions, on 500 random cloths.

The second way knows nothing of the first: it shares no code with it, not even the unit factors.
"""

import json
import random
from collections.abc import Callable
from contextlib import redirect_stdout
from fractions import Fraction
from io import StringIO
from math import ceil
from typing import Any

import pytest
import typer

from farspun.cli import reckon

CLOTHS = 500
SEED = 20240229
MILLIONTH = Fraction(1, 1_000_000)
CM = {"cm": Fraction(1), "m": Fraction(100), "mm": Fraction(1, 10), "in": Fraction(254, 100)}
PER_CM = {"/cm": Fraction(1), "/10cm": Fraction(1, 10), "/in": Fraction(100, 254)}
LOSSES = ("draw-in", "take-up", "let-off", "shrink-width", "shrink-length")
EXTRAS = ("hem", "side-hem", "fringe", "gap", "header", "sample", "waste")

Cloth = dict[str, tuple[str, Fraction]]  # option: as written, as a plain number (cm, fraction)


def _length(chance: random.Random, most_cm: int) -> tuple[str, Fraction]:
    unit = chance.choice(list(CM))
    tenths = chance.randint(1, int(most_cm * 10 / CM[unit])) if unit != "m" else 0
    if unit == "m":
        hundredths = chance.randint(1, most_cm)
        return f"{hundredths / 100:.2f}m", Fraction(hundredths)
    return f"{tenths // 10}.{tenths % 10}{unit}", Fraction(tenths, 10) * CM[unit]


def _density(chance: random.Random) -> tuple[str, Fraction]:
    unit = chance.choice(list(PER_CM))
    halves = chance.randint(2, int(20 / PER_CM[unit]))
    return f"{halves / 2:.1f}{unit}", Fraction(halves, 2) * PER_CM[unit]


def _loss(chance: random.Random) -> tuple[str, Fraction]:
    percent = Fraction(chance.randint(0, 400), 10)
    written = f"{float(percent):.1f}%"
    if chance.random() < 0.5:
        return f"+{written}", percent / (100 + percent)
    return written, percent / 100


def _cloth(chance: random.Random) -> Cloth:
    cloth = {
        "width": _length(chance, 150),
        "length": _length(chance, 400),
        "sett": _density(chance),
        "picks": _density(chance),
    }
    for name in LOSSES:
        if chance.random() < 0.6:
            cloth[name] = _loss(chance)
    for name in EXTRAS:
        if chance.random() < 0.5:
            cloth[name] = _length(chance, 40)
    if chance.random() < 0.6:
        tenths = chance.randint(0, 300)
        cloth["weft-take-up"] = (f"{tenths / 10:.1f}%", Fraction(tenths, 1000))
    for name, most in (("pieces", 5), ("floating-selvedges", 4), ("repeat", 24)):
        if chance.random() < 0.5:
            number = chance.randint(1, most)
            cloth[name] = (str(number), Fraction(number))
    if chance.random() < 0.5:
        cloth["fringe-from-waste"] = ("", Fraction(1))
    return cloth


def _up(x: Fraction) -> int:
    return ceil(x - MILLIONTH)


def _second_way(cloth: Cloth) -> dict[str, Fraction]:
    def given(name: str, otherwise: int = 0) -> Fraction:
        return cloth[name][1] if name in cloth else Fraction(otherwise)

    pieces, fringe, waste = given("pieces", 1), given("fringe"), given("waste")
    piece_long = (given("length") + given("hem") + given("hem")) / (1 - given("shrink-length"))
    piece_wide = (given("width") + 2 * given("side-hem")) / (1 - given("shrink-width"))
    ends = _up(piece_wide / (1 - given("draw-in")) * given("sett"))
    while ends % given("repeat", 1):
        ends += 1
    reed = ends / given("sett")
    woven = piece_long * pieces + given("sample") + given("header")
    warp = woven / (1 - given("take-up")) + waste
    for _ in range(int(pieces) - 1):
        warp += given("gap") + 2 * fringe
    if "fringe-from-waste" in cloth:
        warp += 2 * fringe - waste if 2 * fringe > waste else 0
    else:
        warp += 2 * fringe
    threads = ends + given("floating-selvedges")
    picks = _up(woven * given("picks"))
    pick = reed + reed * given("weft-take-up")
    return {
        "reed_width_cm": reed,
        "ends": threads,
        "off_loom_length_cm": piece_long,
        "off_loom_width_cm": piece_wide,
        "woven_length_cm": woven,
        "tape_length_cm": woven / (1 - given("let-off")),
        "warp_length_cm": warp,
        "warp_cut_cm": Fraction(_up(warp)),
        "warp_yarn_m": threads * warp / 100,
        "warp_yarn_cut_m": threads * Fraction(_up(warp)) / 100,
        "picks": Fraction(picks),
        "pick_length_cm": pick,
        "weft_yarn_m": picks * pick / 100,
    }


def _command() -> Callable[..., Any]:
    """The one command, put up once: the whole tree 500 times over takes long."""
    alone = typer.Typer()
    alone.callback()(lambda: None)
    reckon.add_to(alone)
    return typer.main.get_command(alone).main


def _reckoned(command: Callable[..., Any], cloth: Cloth) -> dict[str, Any]:
    arguments = ["reckon", "--json"]
    for name, (written, _) in cloth.items():
        arguments += [f"--{name}", written] if written else [f"--{name}"]
    with redirect_stdout(StringIO()) as printed:
        command(arguments, standalone_mode=False)
    answer: dict[str, Any] = json.loads(printed.getvalue())
    return answer


def test_reckon_agrees_with_a_second_plain_calculation_on_random_cloths() -> None:
    chance, command = random.Random(SEED), _command()
    for _ in range(CLOTHS):
        cloth = _cloth(chance)
        expected = {name: float(value) for name, value in _second_way(cloth).items()}
        assert _reckoned(command, cloth) == pytest.approx(expected, rel=1e-9), cloth


def test_the_random_cloths_use_every_option_and_both_meanings_of_a_percentage() -> None:
    chance = random.Random(SEED)
    cloths = [_cloth(chance) for _ in range(CLOTHS)]
    used = {name for cloth in cloths for name in cloth}
    assert {*LOSSES, *EXTRAS, "pieces", "repeat", "fringe-from-waste", "weft-take-up"} <= used
    written = [cloth[name][0] for cloth in cloths for name in LOSSES if name in cloth]
    assert len({text.startswith("+") for text in written}) == 2
