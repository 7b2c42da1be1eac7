"""Whether shared skeins serve all that is asked: pools against linear programming."""

import numpy as np
import pytest
from scipy.optimize import linprog

from farspun.craft.readings import Floats
from farspun.craft.serving import MOST_POOLS, Serving, Skeins, pools

DRAWS = 12


def can_be_served(asked: list[tuple[Skeins, float]], held: dict[str, float]) -> bool:
    """By scipy's linear programming: metres of each skein to each yarn, none below 0."""
    names = sorted(held)
    ways = [(at, name) for at, (skeins, _) in enumerate(asked) for name in sorted(skeins)]
    exactly = [[float(way[0] == at) for way in ways] for at in range(len(asked))]
    at_most = [[float(way[1] == name) for way in ways] for name in names]
    found = linprog(
        np.zeros(len(ways)),
        A_ub=at_most,
        b_ub=[held[name] for name in names],
        A_eq=exactly,
        b_eq=[metres for _, metres in asked],
    )
    return bool(found.status == 0)


@pytest.mark.parametrize("seed", range(25))
def test_pools_say_what_linear_programming_says(seed: int) -> None:
    rng = np.random.Generator(np.random.PCG64(seed))
    names = list("ABCDE")
    sets = [frozenset(rng.choice(names, rng.integers(1, 4), replace=False)) for _ in range(5)]
    wanted = rng.uniform(0.5, 2.0, (5, DRAWS))
    held = dict(zip(names, rng.uniform(0.5, 3.0, (5, DRAWS)), strict=True))
    serving = Serving(sets, held.__getitem__)
    well = np.ones(DRAWS, dtype=bool)
    for number, (skeins, metres) in enumerate(zip(sets, wanted, strict=True), start=1):
        for _, left in serving.ask(skeins, metres):
            well &= left >= 0
        asked = [list(zip(sets[:number], wanted[:number, at], strict=True)) for at in range(DRAWS)]
        other = [
            can_be_served(one, {name: metres[at] for name, metres in held.items()})
            for at, one in enumerate(asked)
        ]
        assert well.tolist() == other


def test_a_pool_is_drawn_once_and_dropped_after_the_last_that_asks() -> None:
    drawn: list[str] = []

    def holds(name: str) -> Floats:
        drawn.append(name)
        return np.array([10.0])

    serving = Serving([frozenset("A"), frozenset("A"), frozenset("B")], holds)
    left = [serving.ask(frozenset("A"), np.array([4.0]))[0][1][0] for _ in range(2)]
    assert (left, drawn) == ([6.0, 2.0], ["A"])
    assert serving.ask(frozenset("B"), np.array([11.0]))[0][1][0] == -1.0


def test_ever_so_many_skeins_that_hang_together_stay_few_pools_with_the_whole_among_them() -> None:
    names = [f"skein {at}" for at in range(60)]
    asked = [frozenset(names[at : at + 2]) for at in range(59)]
    found = pools(asked)
    assert set(asked) < set(found)
    assert len(found) <= MOST_POOLS + len(asked) + 1
    assert frozenset(names[:3]) in found
    assert frozenset(names) in found


def test_however_many_cloths_share_nothing_those_that_do_keep_all_their_pools() -> None:
    alone = [frozenset({f"skein {at}"}) for at in range(3 * MOST_POOLS)]
    found = pools([*alone, frozenset("AB"), frozenset("BC")])
    assert set(found) == {*alone, frozenset("AB"), frozenset("BC"), frozenset("ABC")}
