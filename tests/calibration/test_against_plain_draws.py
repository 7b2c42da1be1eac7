"""Odds of random cloths against a million plain pseudo-random draws.

The reference calculation below is written from docs/reach.md with numpy alone: it knows a cloth
only as plain numbers, and nothing of the craft code, its lattice or its order of draws.
"""

import math
from collections.abc import Iterator

import numpy as np
import pytest
from numpy.typing import NDArray

from calibration.cloths import KINDS, PlainCloth, as_case, random_cloth
from farspun.craft.closed_form import closed_form_odds
from farspun.craft.reach import reach

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]
MANY_DRAWS, FEWER_DRAWS, AT_ONCE = 1_000_000, 200_000, 50_000
ODDS = ("yarn", "warp", "weft", "size", "all")


def plain_odds(cloth: PlainCloth, seed: int, draws: int) -> dict[str, float]:
    """Odds by counting, of plain independent draws."""
    rng = np.random.Generator(np.random.PCG64(seed))
    sums = np.zeros(len(ODDS))
    for _ in range(draws // AT_ONCE):
        warp, weft, size = _drawn_once(cloth, rng)
        yarn = warp & weft
        sums += [outcome.mean() for outcome in (yarn, warp, weft, size, yarn & size)]
    return dict(zip(ODDS, (sums * AT_ONCE / draws).tolist(), strict=True))


def _factor(rng: np.random.Generator, kind: str, mean: float, sd: float) -> Floats:
    """1 - x, 1 + x, x or cm, by the convention for that kind of spread."""
    z = rng.standard_normal(AT_ONCE)
    if kind == "length":
        variance = math.log(1 + (sd / mean) ** 2)
        return np.asarray(np.exp(math.log(mean) - variance / 2 + math.sqrt(variance) * z))
    base = {"loss": 1 - mean, "addition": 1 + mean, "ratio": mean}[kind]
    return np.asarray(np.exp(math.log(base) + sd / base * z))


def _supply(cloth: PlainCloth, rng: np.random.Generator) -> dict[str, Floats]:
    size = (AT_ONCE, len(cloth.effect_cov))
    shared = rng.standard_normal(size) @ np.linalg.cholesky(cloth.effect_cov).T
    return {
        name: skein.free_m
        * np.exp(skein.own_sd_ln * rng.standard_normal(AT_ONCE) + shared @ skein.loads)
        for name, skein in cloth.skeins.items()
    }


def _drawn_once(cloth: PlainCloth, rng: np.random.Generator) -> tuple[Bools, Bools, Bools]:
    """Warp, weft and size kept, AT_ONCE draws."""
    f = {name: _factor(rng, KINDS[name], *spread) for name, spread in cloth.spreads.items()}
    one, size = np.ones(AT_ONCE), cloth.size
    had = _supply(cloth, rng)
    warp_kept = np.ones(AT_ONCE, dtype=bool)
    for number, (skeins, ends) in enumerate(cloth.warp):
        threads = ends + (size["floating_selvedges"] if number == 0 else 0)
        to_find: Floats = threads * cloth.warp_cut_cm / 100 * f["cutting"]
        warp_kept &= sum(had[skein.name] for skein in skeins) >= to_find
        for skein in skeins:
            taken = np.minimum(had[skein.name], to_find)
            had[skein.name] = had[skein.name] - taken
            to_find = to_find - taken

    asked = size["pieces"] * (size["length_cm"] + 2 * size["hem_cm"]) * (1 - size["give"])
    washed = f["shrink_length"] * f.get("relax_length", one)
    h = asked / washed + size["sample_cm"] + size["header_cm"]
    reed_cm = cloth.ends / cloth.ends_per_cm
    if "weft_take_up" in f:
        over = f["weft_take_up"]
    else:
        over = np.maximum(1, f["draw_in"] * f["weft_crimp"]) * f["joins"]
    need = np.ceil(h * cloth.picks_per_cm * f["beat"] - 1e-6) * reed_cm / 100 * over
    weft_kept = np.ones(AT_ONCE, dtype=bool)
    for skeins, part in cloth.weft:
        weft_kept &= sum(had[skein.name] for skein in skeins) >= need * part

    fringes = 2 * size["pieces"] * size["fringe_cm"]
    if size["fringe_from_waste"]:
        outer = 2 * size["fringe_cm"]
        fringes = fringes - outer + np.maximum(0, outer - f["waste_cm"])
    gaps = (size["pieces"] - 1) * size["gap_cm"]
    woven = (cloth.warp_cut_cm - f["waste_cm"] - gaps - fringes) * f["take_up"]
    across = f["draw_in"] * f["shrink_width"] * f.get("relax_width", one)
    wide = (size["width_cm"] + 2 * size["side_hem_cm"]) * (1 - size["give"])
    return warp_kept, weft_kept, (reed_cm * across >= wide) & (woven >= h)


def errors(cloths: range, draws: int) -> Iterator[float]:
    """The largest error of the five odds of each cloth."""
    for number in cloths:
        cloth = random_cloth(number)
        told, plain = reach(as_case(cloth)).odds, plain_odds(cloth, number, draws)
        yield max(abs(getattr(told, name) - plain[name]) for name in ODDS)


def closed_form_errors(cloths: range, draws: int) -> Iterator[float]:
    """For each cloth, the closed form of its one weft yarn against plain draws."""
    for number in cloths:
        cloth = random_cloth(number, yarns_a_side=1)
        if cloth.warp[0][0] is cloth.weft[0][0]:
            continue  # one yarn on both sides: the closed form is of one side
        case, plain = as_case(cloth), plain_odds(cloth, number, draws)
        yield abs(closed_form_odds(case, case.weft[0]) - plain["weft"])
        yield abs(closed_form_odds(case, case.warp[0]) - plain["warp"])


def test_odds_of_ten_cloths_are_those_of_plain_draws() -> None:
    assert max(errors(range(10), FEWER_DRAWS)) < 0.005


def test_the_closed_form_is_within_a_point_and_a_half() -> None:
    assert max(closed_form_errors(range(100, 106), FEWER_DRAWS)) < 0.015


@pytest.mark.long
def test_odds_of_a_hundred_cloths_are_those_of_plain_draws() -> None:
    found = sorted(errors(range(100), MANY_DRAWS))
    assert found[98] < 0.005
    assert found[99] < 0.008


@pytest.mark.long
def test_the_closed_form_is_within_a_point_and_a_half_for_sixty_cloths() -> None:
    assert max(closed_form_errors(range(100, 160), MANY_DRAWS)) < 0.015
