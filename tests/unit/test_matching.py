"""Criteria, the order, like skeins together, and the odds of several yarns at once."""

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.special import ndtr

from farspun.craft.candidates import Candidates, Kind
from farspun.craft.closed_form import all_odds, both_odds, margin
from farspun.craft.combining import LIKE_GRIST, MOST_TOGETHER, fewest, growing, lots, together
from farspun.craft.dye_notes import DEEP, FASTNESS, dye_of, pale
from farspun.craft.fibres import blend
from farspun.craft.matching import (
    RATIOS,
    SHEDS,
    Criterion,
    Other,
    Words,
    dye,
    fitness,
    grist,
    loft,
    order,
    pucker,
    verdicts,
)
from farspun.craft.reed import awkwardness, least_awkward_setts, sleyings
from farspun.services.match_reasons import SHED_WORDS

WOOL = Kind(blend("wool"), False, "semi", False, "snug")


def candidates(number: int = 1, kind: Kind = WOOL, **columns: float) -> Candidates:
    """So many rows of one kind."""

    def column(name: str, usual: float) -> np.ndarray:
        return np.broadcast_to(np.asarray(columns.get(name, usual), dtype=float), number).copy()

    return Candidates(
        kinds=[kind],
        kind=np.zeros(number, dtype=np.int64),
        have=column("have", 100.0),
        have2=column("have", 100.0) ** 2 * 1.01,
        whole=column("whole", 100.0),
        tex=column("tex", 250.0),
        wraps_per_cm=column("wraps_per_cm", 6.0),
        fill=column("fill", 0.17),
        wrapped=np.ones(number, dtype=bool),
    )


def words(plies: int = 2, tug: int = 1, dye: str = "dyed", unwashed: bool = False) -> Words:
    return Words(
        np.array([plies]), np.array([tug]), np.array([FASTNESS.index(dye)]), np.array([unwashed])
    )


OTHER = Other(blend("wool"), False, 0.17, False)


@pytest.mark.parametrize(
    ("first", "second", "rho"),
    [(0.3, -0.8, 0.6), (1.5, 1.2, -0.4), (-2.0, 0.5, 0.9), (0.0, 1.0, 0.3), (0.0, 0.0, -0.7)],
)
def test_two_yarns_that_hang_together_are_a_bivariate_normal(first, second, rho):
    def below(x):
        return (
            np.exp(-(x**2) / 2)
            / np.sqrt(2 * np.pi)
            * ndtr((second - rho * x) / np.sqrt(1 - rho**2))
        )

    exact, _ = quad(below, -12, first)
    assert both_odds(first, second, rho) == pytest.approx(exact, abs=1e-9)
    assert both_odds(second, first, rho) == pytest.approx(exact, abs=1e-9)


def test_odds_of_all_lie_between_the_product_and_the_weakest():
    z = np.array([[0.5, 1.0, 1.4], [-0.2, 2.0, 0.1], [-np.inf, 1.0, 1.0]])
    rho = np.full((3, 3, 3), 0.4)
    found = all_odds(z, rho)
    assert (found >= ndtr(z).prod(axis=1) - 1e-12).all()
    assert (found <= ndtr(z).min(axis=1) + 1e-12).all()
    assert found[2] == 0.0
    alone = all_odds(z, np.broadcast_to(np.eye(3), (3, 3, 3)))
    assert alone == pytest.approx(ndtr(z).prod(axis=1), abs=1e-12)


def test_what_has_nothing_has_no_margin():
    z, sd = margin((np.array([0.0, 100.0]), np.array([0.0, 10100.0])), (90.0, 8200.0))
    assert z[0] == -np.inf
    assert np.isfinite(z[1])
    assert np.isfinite(sd).all()


@pytest.mark.parametrize("near_enough", [0.0, 0.025])
@pytest.mark.parametrize(
    "reeds", [[(30.0, False)], [(30.0, True)], [(40.0, True), (47.24, False), (25.0, False)]]
)
def test_setts_of_many_are_those_of_the_least_awkward_sleying(reeds, near_enough):
    wanted = np.random.default_rng(3).uniform(0.8, 14.0, 300)
    found = least_awkward_setts(wanted, reeds, near_enough)
    for sett, one in zip(wanted, found, strict=True):
        offers = [way for dents, rigid in reeds for way in sleyings(sett, dents, rigid)]
        best = min(offers, key=lambda way: awkwardness(way, near_enough))
        assert one == pytest.approx(best.ends_per_cm, rel=1e-12)


def test_like_skeins_are_the_same_in_words_and_near_in_grist():
    tex = np.array([200.0, 230.0, 233.0, 205.0, np.nan, np.nan])
    found = lots(np.array([1, 1, 1, 2, 1, 1]), tex)
    assert np.log(230 / 200) < LIKE_GRIST < np.log(233 / 200)
    assert found[0] == found[1] != found[2]
    assert len({found[0], found[2], found[3], found[4], found[5]}) == 5


def test_no_skein_at_all_makes_no_combination():
    none = np.zeros(0)
    rows = growing(lots(none.astype(int), none), none)
    assert len(rows.start) == 0
    assert len(fewest(rows, none, none, none.astype(int), 0.95)) == 0


@pytest.mark.parametrize("seed", range(8))
def test_the_fewest_longest_of_a_lot_that_keep_the_promise_are_chosen(seed):
    """Against going through every lot one by one."""
    rng = np.random.default_rng(seed)
    number = 40
    lot, have = rng.integers(0, 8, number), rng.uniform(10, 120, number).round()
    have[rng.random(number) < 0.1] = 0.0

    def chance(metres):
        return 1 / (1 + np.exp((150.0 - np.asarray(metres)) / 10))

    rows = growing(lot, have)
    c = candidates(number, have=have)
    several = together(c, rows)
    chosen = rows.chosen(fewest(rows, chance(several.have), chance(have), lot, 0.95))
    found = {frozenset(chosen.members(at).tolist()) for at in range(len(chosen.start))}
    wanted = set()
    for one in range(8):
        own = sorted(np.flatnonzero(lot == one), key=lambda at: -have[at])
        own = [int(at) for at in own if have[at] > 0][:MOST_TOGETHER]
        if len(own) < 2 or max(chance(have[own])) >= 0.95:
            continue
        sums = np.cumsum(have[own])
        keeps = [k for k in range(2, len(own) + 1) if chance(sums[k - 1]) >= 0.95]
        wanted.add(frozenset(own[: keeps[0] if keeps else len(own)]))
    assert found == wanted


def test_a_combination_adds_metres_and_takes_the_mean_of_grist_and_wraps_by_length():
    c = candidates(3, have=np.array([50.0, 80.0, 70.0]), whole=np.array([90.0, 80.0, 80.0]),
                   tex=np.array([200.0, 220.0, 210.0]),
                   wraps_per_cm=np.array([6.0, 5.0, 5.5]))  # fmt: skip
    several = together(c, growing(np.zeros(3, dtype=int), c.have))
    assert several.have.tolist() == [150.0, 200.0]
    assert several.tex.tolist() == pytest.approx([215.0, (90 * 200 + 80 * 430) / 250])
    assert several.wraps_per_cm[0] == pytest.approx(2 / (1 / 5.0 + 1 / 5.5))
    # all doubt shared: as large a part of the sum as of each
    assert several.have2 / several.have**2 == pytest.approx([1.01, 1.01])


def test_the_order_goes_by_the_rule_whatever_the_rows_come_in():
    """Every pair of rows in the order it should be, with a plain comparison of keys."""
    rng = np.random.default_rng(3)
    number = 60
    odds = rng.choice([0.99, 0.97, 0.8, 0.6, 0.3, np.nan], number)
    stands = [Criterion("a", None, rng.integers(0, 3, number)) for _ in range(3)]
    left, missing = rng.uniform(0, 90, number), rng.choice([0.0, 0.2, 0.4], number)
    verdict = verdicts(odds, 0.95)
    found = order(verdict, stands, left, missing, odds, np.arange(number)).tolist()

    def key(at):
        grades = [int(one.stands[at]) for one in stands]
        short = missing[at] if verdict[at] >= 2 else 0.0
        last = left[at] if verdict[at] == 0 else (1.0 if np.isnan(odds[at]) else -odds[at])
        return verdict[at], short, grades.count(2), grades.count(1), last, at

    assert found == sorted(range(number), key=key)


@pytest.mark.parametrize("purpose", RATIOS)
def test_the_grist_ratio_stands_well_then_to_mind_then_against(purpose):
    (low, high), (lowest, highest) = RATIOS[purpose]
    assert lowest < low < high < highest
    ratio = np.array([low, high, (low + lowest) / 2, (high + highest) / 2, lowest / 2, highest * 2])
    assert grist(ratio, purpose).stands.tolist() == [0, 0, 1, 1, 2, 2]


@pytest.mark.parametrize(
    ("told", "stands"),
    [
        (words(plies=2, tug=1), 0),
        (words(plies=2, tug=0), 1),
        (words(plies=1, tug=0), 2),
        (words(plies=1, tug=1), 1),
        (words(plies=3, tug=2), 2),
        (words(plies=0, tug=1), 0),
    ],
)
def test_fitness_as_a_warp_goes_by_plies_and_the_tug(told, stands):
    assert fitness(candidates(), told).stands.tolist() == [stands]


def test_mill_yarn_need_not_be_tugged_and_a_soft_fibre_is_to_mind_even_so():
    mill = Kind(blend("wool"), False, "worsted", True, None)
    assert fitness(candidates(kind=mill), words(tug=0)).stands.tolist() == [0]
    for fibre in SHEDS:
        soft = Kind(blend(fibre), False, "worsted", True, None)
        assert fitness(candidates(kind=soft), words(tug=0)).stands.tolist() == [1]
    assert set(SHED_WORDS) == set(SHEDS)


def test_loft_is_held_against_a_warp_and_against_an_unlike_weft():
    for fill, stands in ((0.17, 0), (0.13, 1), (0.10, 2)):
        assert loft(candidates(fill=fill), "warp", OTHER).stands.tolist() == [stands]
    assert loft(candidates(fill=0.13), "weft", OTHER).stands.tolist() == [1]
    linen = Kind(blend("linen"), False, "semi", False, None)
    assert loft(candidates(kind=linen), "weft", OTHER).stands.tolist() == [1]
    assert loft(candidates(kind=linen), "warp", OTHER).stands.tolist() == [1]
    mill = Kind(blend("linen"), False, "worsted", True, None)
    assert loft(candidates(kind=mill), "warp", OTHER).stands.tolist() == [0]


@pytest.mark.parametrize(
    ("fibre", "wash", "stands"),
    [("wool", "fulled", 0), ("linen", "gentle", 1), ("cotton", "fulled", 2), ("linen", "none", 0)],
)
def test_yarns_that_shrink_apart_may_pucker(fibre, wash, stands):
    kind = Kind(blend(fibre), False, "semi", False, None)
    assert pucker(candidates(kind=kind), OTHER, wash).stands.tolist() == [stands]


@pytest.mark.parametrize(
    ("told", "beside_dark", "beside_pale"),
    [("not noted", 0, 0), ("fast", 0, 0), ("undyed", 0, 0), ("deep", 1, 2), ("bleeds", 2, 2)],
)
def test_what_may_bleed_is_worse_beside_a_pale_yarn(told, beside_dark, beside_pale):
    light = Other(OTHER.blend, False, 0.17, True)
    assert dye(words(dye=told), OTHER).stands.tolist() == [beside_dark]
    assert dye(words(dye=told), light).stands.tolist() == [beside_pale]


def test_dyed_yarn_that_was_never_washed_is_to_mind():
    assert dye(words(dye="dyed", unwashed=True), OTHER).stands.tolist() == [1]
    assert dye(words(dye="undyed", unwashed=True), OTHER).stands.tolist() == [0]


def test_colour_notes_are_read_by_their_words():
    for one in DEEP:
        assert FASTNESS[dye_of(f"a deep {one.upper()}.")] == "deep"
    assert FASTNESS[dye_of("redcurrant")] == "dyed"  # a word of its own, not red
    assert FASTNESS[dye_of("white, bleeds")] == "bleeds"
    assert FASTNESS[dye_of("navy, not fast")] == "bleeds"
    assert FASTNESS[dye_of("  ")] == "not noted"
    assert [pale(note) for note in ("Cream", "navy on white", "moss")] == [True, False, False]
