"""Simulated cloths, weighed on the way: what is told of the ball is kept as often as it is told.

The weaving is drawn here centimetre by centimetre, without the craft: a rate unlike the plan's,
a drift along the yarn, unevenness, a scale of 1 g. The ball is so large that the told odds are 95
in 100 when it is weighed; a promise is kept where the yarn then lasts to the end.
"""

import numpy as np
import pytest

from farspun.craft.halfway import Halfway, Rate, Weighing, scale_error_g
from farspun.craft.readings import Floats

END_CM = 146
PLAN = Rate(g_per_cm=0.55, log_sd=0.10, stray=0.06, drift=0.036)
BALL_G = 110.0
SURELY = 1.6448536269514722


def used_g(rng: np.random.Generator, uneven: float) -> Floats:
    """Grams that went in up to each cm, from 0 to the end."""
    rate = PLAN.g_per_cm * (1 + PLAN.log_sd * rng.standard_normal())
    drift = PLAN.g_per_cm * PLAN.drift * uneven * rng.standard_normal()
    along = (np.arange(END_CM) + 0.5) / END_CM - 0.5
    stray = PLAN.g_per_cm * PLAN.stray * uneven * np.sqrt(25.0)
    each = rate + drift * along + stray * rng.standard_normal(END_CM)
    return np.concatenate([[0.0], np.cumsum(each)])


def on_scale(rng: np.random.Generator, grams: float) -> float:
    """What a scale of 1 g says of a ball that lies a little otherwise each time."""
    return float(np.round(grams + 0.003 * BALL_G * rng.standard_normal()))


def told(rng: np.random.Generator, used: Floats, places: tuple[float, ...]) -> tuple[float, ...]:
    """(mean, sd) of what is told to be left at the end, and what really is."""
    error = scale_error_g(1.0, BALL_G)
    weighings = [
        Weighing(
            cm := round(END_CM * place), (on_scale(rng, BALL_G - used[cm]),), (True,), (error,)
        )
        for place in (0.0, *places)
    ]
    half = Halfway(PLAN, tuple(weighings), float(END_CM), (1.0,), (0.0,))
    return (*half.left_g(), BALL_G - float(used[-1]))


def kept(many: int, places: tuple[float, ...], uneven: float = 1.0) -> tuple[float, float]:
    """How often a said 95 is kept, in 100, and the mean sd."""
    rng = np.random.Generator(np.random.PCG64(5))
    found = np.array([told(rng, used_g(rng, uneven), places) for _ in range(many)])
    mean, sd, left = found.T
    return 100 * float(np.mean(left >= mean - SURELY * sd)), float(np.mean(sd))


@pytest.mark.parametrize("place", [0.3, 0.6, 0.9])
def test_a_said_95_is_kept(place: float) -> None:
    share, _ = kept(1500, (place,))
    assert 93 <= share <= 98


def test_weighed_on_the_way_it_is_surer_the_further_it_is() -> None:
    _, early = kept(300, (0.3,))
    _, late = kept(300, (0.3, 0.6))
    _, alone = kept(300, (0.6,))
    assert late <= 0.60 * early
    assert alone <= 0.60 * early


def test_yarn_twice_as_uneven_is_found_out_by_four_weighings() -> None:
    places = (0.1, 0.2, 0.3, 0.4, 0.5, 0.6)
    share, _ = kept(1500, places, uneven=2.0)
    assert share >= 90
    assert 93 <= kept(1500, places)[0] <= 98.5


@pytest.mark.long
@pytest.mark.parametrize("place", [0.3, 0.6, 0.9])
def test_a_said_95_is_kept_in_many_cloths(place: float) -> None:
    share, _ = kept(20_000, (place,))
    assert 93 <= share <= 98
