"""Sharing out in numbers, against enumeration that is written here and shares no code with it.

First by whole steps: where every skein counts for its metres and all are multiples of a step, the
cheapest sharing lies on the steps (a vertex of a transport problem, cost concave in each way), so
counting through all of them is exact. Then with skeins that count for less: every choice of ways is
tried, and the least for each found by linprog from matrices of its own.
"""

import itertools
import math
import os
from collections.abc import Iterator

import numpy as np
import pytest
from scipy.optimize import linprog

from farspun.craft.allocation import (
    JOIN_M,
    Sharing,
    components,
    fewest_bound,
    fewest_pieces,
    gap,
    robust_metres,
)
from farspun.services.solving import solved

STEP_M = 50.0
CASES = range(30)


def sharing(
    rho: dict[tuple[int, int], float], length_m: list[float], required_m: list[float]
) -> Sharing:
    """Robust metres by (skein, need); metres of each skein; needs by priority."""
    ways = list(rho)
    return Sharing(
        skein=np.array([skein for skein, _ in ways], dtype=np.int64),
        need=np.array([need for _, need in ways], dtype=np.int64),
        robust_m=np.array([rho[way] for way in ways], dtype=np.float64),
        bound_m=np.array([length_m[skein] for skein, _ in ways], dtype=np.float64),
        join_m=np.full(len(ways), JOIN_M),
        required_m=np.array(required_m, dtype=np.float64),
    )


def plain(ways: list[tuple[int, int]], length_m: list[float], required_m: list[float]) -> Sharing:
    """Skeins that count for all their metres."""
    return sharing({way: length_m[way[0]] for way in ways}, length_m, required_m)


# by whole steps


def splits(steps: int, needs: int) -> Iterator[tuple[int, ...]]:
    """Every way of giving at most so many steps to so many needs."""
    if not needs:
        yield ()
        return
    for first in range(steps + 1):
        for rest in splits(steps - first, needs - 1):
            yield (first, *rest)


def counted_through(
    ways: list[tuple[int, int]], length_m: list[float], required_m: list[float]
) -> tuple[list[float], float]:
    """The least shortages by priority, and the least metres and joins with them."""
    by_skein = [[need for skein, need in ways if skein == one] for one in range(len(length_m))]
    each = [
        list(splits(round(length / STEP_M), len(needs)))
        for length, needs in zip(length_m, by_skein, strict=True)
    ]
    best: tuple[tuple[float, ...], float] = ((math.inf,), math.inf)
    for chosen in itertools.product(*each):
        given = [0.0] * len(required_m)
        cost = 0.0
        for needs, steps in zip(by_skein, chosen, strict=True):
            for need, many in zip(needs, steps, strict=True):
                given[need] += many * STEP_M
                cost += many * STEP_M + (20.0 if many else 0.0)
        short = tuple(max(0.0, r - g) for r, g in zip(required_m, given, strict=True))
        best = min(best, (short, cost))
    return list(best[0]), best[1]


def small_case(number: int) -> tuple[list[tuple[int, int]], list[float], list[float]]:
    rng = np.random.Generator(np.random.PCG64(number))
    length_m = [float(one) for one in rng.choice([50.0, 100.0, 150.0], 4)]
    required_m = [float(one) for one in rng.choice([50.0, 100.0, 150.0, 200.0], 3)]
    ways = [(s, n) for s in range(4) for n in range(3) if rng.random() < 0.75]
    return ways or [(0, 0)], length_m, required_m


@pytest.mark.parametrize("number", CASES)
def test_whole_steps_are_shared_out_as_counting_through_all_of_them_says(number: int) -> None:
    ways, length_m, required_m = small_case(number)
    short, cost = counted_through(ways, length_m, required_m)
    found = solved(plain(ways, length_m, required_m))
    assert found.short_m == pytest.approx(short, abs=0.01)
    assert found.cost_m == pytest.approx(cost, abs=0.05)
    assert found.gap == pytest.approx(0, abs=1e-5)


# skeins that count for less


def every_choice(
    rho: dict[tuple[int, int], float], length_m: list[float], required_m: list[float]
) -> tuple[list[float], float]:
    """Shortages one need after another, then the least cost over every choice of ways."""
    ways, many = list(rho), len(required_m)
    together = np.zeros((len(length_m), len(ways) + many))
    counts = np.zeros((many, len(ways) + many))
    for at, (skein, need) in enumerate(ways):
        together[skein, at] = 1
        counts[need, at] = -rho[skein, need]
    counts[:, len(ways) :] = -np.eye(many)
    A, b = np.vstack([together, counts]), [1.0] * len(length_m) + [-one for one in required_m]
    short: list[float] = []
    for need in range(many):
        bounds = [(0, 1)] * len(ways) + [(0, one + 1e-7) for one in short]
        bounds += [(0, None)] * (many - need)
        aim = np.zeros(len(ways) + many)
        aim[len(ways) + need] = 1
        short.append(float(linprog(aim, A, b, bounds=bounds).fun))
    least = math.inf
    for taken in itertools.product([0, 1], repeat=len(ways)):
        bounds = [(0, one) for one in taken] + [(0, one + 1e-6) for one in short]
        aim = np.array([length_m[skein] for skein, _ in ways] + [0.0] * many)
        found = linprog(aim, A, b, bounds=bounds)
        if found.status == 0:
            least = min(least, float(found.fun) + 20 * sum(taken))
    return short, least


@pytest.mark.parametrize("number", range(5))
def test_skeins_that_count_for_less_are_shared_out_as_every_choice_of_ways_says(
    number: int,
) -> None:
    rng = np.random.Generator(np.random.PCG64(100 + number))
    length_m = [float(one) for one in rng.uniform(80, 400, 3)]
    rho = {
        (s, n): length_m[s] * float(rng.uniform(0.75, 0.95))
        for s in range(3)
        for n in range(3)
        if rng.random() < 0.8
    }
    required_m = [float(one) for one in rng.uniform(60, 320, 3)]
    short, least = every_choice(rho, length_m, required_m)
    found = solved(sharing(rho, length_m, required_m))
    assert found.short_m == pytest.approx(short, abs=0.01)
    assert found.cost_m == pytest.approx(least, abs=0.05)
    assert found.least_m <= found.cost_m


# what must hold of any


def large_case(number: int, load: float) -> Sharing:
    """Forty skeins among eight needs that ask for `load` times what there is."""
    rng = np.random.Generator(np.random.PCG64(number))
    length_m = np.exp(rng.normal(5.5, 0.4, 40))
    part = rng.uniform(0.5, 1.5, 8)
    required_m = part / part.sum() * length_m.sum() * load
    rho = {
        (int(skein), need): float(length_m[skein] * rng.uniform(0.8, 0.95))
        for need in range(8)
        for skein in np.sort(rng.choice(40, 15, replace=False))
    }
    return sharing(rho, length_m.tolist(), required_m.tolist())


@pytest.mark.parametrize("load", [0.4, 0.9, 1.5])
def test_nothing_is_shared_out_twice_and_every_need_gets_what_it_is_said_to(load: float) -> None:
    asked = large_case(1, load)
    found = solved(asked)
    per_skein = np.bincount(asked.skein, found.shares)
    assert per_skein.max() <= 1 + 1e-9
    assert (found.shares >= 0).all()
    missing_m = asked.required_m - asked.given_m(found.shares) - found.short_m
    assert (missing_m <= 0.005).all()  # half a centimetre, of half a kilometre and more


@pytest.mark.parametrize("load", [0.4, 1.5])
def test_the_same_question_has_the_same_answer(load: float) -> None:
    first, again = solved(large_case(2, load)), solved(large_case(2, load))
    assert (first.shares == again.shares).all()
    assert first.gap == again.gap


def test_the_higher_priority_is_as_well_off_as_if_it_were_alone() -> None:
    asked = large_case(3, 1.5)
    all_short = solved(asked).short_m
    assert (all_short > 0).any()
    for needs in range(1, 8):
        first = asked.part(asked.need < needs)
        alone = Sharing(
            first.skein,
            first.need,
            first.robust_m,
            first.bound_m,
            first.join_m,
            asked.required_m[:needs],
        )
        assert solved(alone).short_m == pytest.approx(all_short[:needs], abs=0.01)


def test_whoever_comes_first_is_served_where_there_is_not_enough_for_both() -> None:
    asked = plain([(0, 0), (0, 1)], [100.0], [80.0, 80.0])
    found = solved(asked)
    assert found.short_m == pytest.approx([0, 60], abs=0.01)
    assert found.shares == pytest.approx([0.8, 0.2], abs=1e-5)


def test_a_skein_more_is_taken_only_where_it_saves_more_than_a_join() -> None:
    """Counting for 60 of 100 or, the pair of them, for 95 of each 100 m."""
    rho = {(0, 0): 60.0, (1, 0): 50.0, (2, 0): 50.0}
    dear = solved(sharing(rho, [100.0, 52.0, 52.0], [55.0]))
    assert dear.shares == pytest.approx([0, 1, 0.1], abs=1e-3) or dear.cost_m < 97.3
    # by hand: alone 55/60·100 + 20 = 111.7; both others 52 + 5.2 + 40 = 97.2
    assert dear.cost_m == pytest.approx(97.2, abs=0.05)
    near = solved(sharing(rho, [80.0, 52.0, 52.0], [55.0]))
    # 55/60·80 + 20 = 93.3
    assert near.cost_m == pytest.approx(93.33, abs=0.05)


def test_needs_with_no_skein_in_common_are_taken_apart() -> None:
    asked = plain([(0, 0), (1, 1), (0, 2)], [100.0, 100.0], [10.0, 10.0, 10.0])
    assert [group.tolist() for group in components(asked)] == [[0, 2], [1]]


def test_a_need_that_nothing_serves_stays_short_by_all_of_it() -> None:
    asked = plain([(0, 1)], [100.0], [30.0, 40.0])
    found = solved(asked)
    assert found.short_m.tolist() == [30.0, 0.0]
    assert solved(plain([], [], [30.0])).short_m.tolist() == [30.0]


def test_what_is_in_hand_is_used_first_and_costs_nothing() -> None:
    asked = plain([(0, 0), (1, 0)], [40.0, 100.0], [90.0])
    asked.bound_m[0] = asked.join_m[0] = 0.0
    found = solved(asked)
    assert found.shares == pytest.approx([1.0, 0.5], abs=1e-4)
    assert found.cost_m == pytest.approx(70, abs=0.01)


def test_the_fewest_pieces_are_those_of_the_largest_skeins() -> None:
    asked = plain([(0, 0), (1, 0), (2, 0)], [100.0, 60.0, 50.0], [150.0])
    assert fewest_pieces(asked, np.zeros(1)).tolist() == [2]
    assert fewest_pieces(asked, np.array([60.0])).tolist() == [1]
    assert fewest_pieces(asked, np.array([150.0])).tolist() == [0]


def test_the_bounds_on_whole_choices_forbid_no_sharing() -> None:
    """Every sharing by steps keeps to the rows of the program, with the y it has."""
    ways, length_m, required_m = small_case(4)
    asked = plain(ways, length_m, required_m)
    short = np.array(counted_through(ways, length_m, required_m)[0])
    program = fewest_bound(asked, short)
    found = solved(asked)
    x = np.concatenate([found.shares, found.shares > 1e-7])
    held = np.zeros(program.lower.size)
    np.add.at(held, program.row, program.value * x[program.column])
    assert (held >= program.lower - 1e-6).all() and (held <= program.upper + 1e-6).all()


def test_robust_metres_are_the_quantile_of_a_lognormal() -> None:
    """1000 m, 3 and 4 in 100 of doubt: 5 in 100; one in twenty is below exp(-1.645 · 0.05)."""
    rng = np.random.Generator(np.random.PCG64(7))
    metres = 1000 * np.exp(
        0.03 * rng.standard_normal(400_000) + 0.04 * rng.standard_normal(400_000)
    )
    robust = robust_metres(1000.0, 0.03, 0.04, 0.0, 1.0, 1.6448536)
    assert robust == pytest.approx(np.quantile(metres, 0.05), rel=0.001)


def test_four_pieces_have_half_the_doubt_of_one() -> None:
    one = math.log(float(robust_metres(1.0, 0, 0, 0.08, 1.0, 1.0)))
    four = math.log(float(robust_metres(1.0, 0, 0, 0.08, 4.0, 1.0)))
    assert one == pytest.approx(2 * four)


def test_a_gap_is_a_part_of_the_cost_and_never_below_nothing() -> None:
    assert gap(200.0, 150.0) == 0.25
    assert gap(100.0, 100.1) == 0.0
    assert gap(100.0, -math.inf) == 1.0


def test_the_solver_writes_nothing_to_the_standard_output(
    capfd: pytest.CaptureFixture[str],
) -> None:
    solved(large_case(1, 0.9))
    os.write(1, b"told\n")
    assert capfd.readouterr().out == "told\n"
