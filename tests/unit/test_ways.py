"""What doubts of two cloths have in common, against plain conditioning of the whole Gaussian."""

import numpy as np
import pytest
from numpy.typing import NDArray

from farspun.craft.beliefs import SCALE, WITHIN, beliefs, in_common_with_others
from farspun.craft.draws import cause_draws, own_order
from farspun.craft.learning import Lessons, Question
from farspun.craft.records import Record, record_columns
from farspun.craft.spread import Spread
from farspun.craft.ways import OWN, Way, shared_draws

Floats = NDArray[np.float64]
SEEN = [
    Record("beat", "wool", "Shawl", 0.4),
    Record("beat", "wool", "Scarf", 0.9),
    Record("beat", "wool", "Scarf", 0.7),
    Record("beat", "linen", "Towel", -0.2),
]
ASKED = [
    Record("beat", "wool", "New 1", 0.0),
    Record("beat", "wool", "New 2", 0.0),
    Record("beat", "linen", "New 3", 0.0),
    Record("beat", "cotton", "New 4", 0.0),
    Record("beat", "wool", "Scarf", 0.0),
]


def covariance(rows: list[Record], w: float, c: float) -> Floats:
    """Of readings as docs/learning.md says, halves for group and sample."""

    def of(one: Record, other: Record) -> float:
        same = c * (1 - w) / 2
        if one.group == other.group:
            same += c * (1 - w) / 2
            same += c * w / 2 if one.piece == other.piece else 0.0
        return same

    found = np.array([[of(one, other) for other in rows] for one in rows])
    return np.asarray(found + c * w / 2 * np.eye(len(rows)))


def conditioned(w: float, c: float) -> Floats:
    """Covariance of what is asked, given what was seen."""
    whole, n = covariance([*SEEN, *ASKED], w, c), len(SEEN)
    seen, both = whole[:n, :n], whole[n:, :n]
    return np.asarray(whole[n:, n:] - both @ np.linalg.solve(seen, both.T))


def test_parts_in_common_are_those_of_plain_conditioning() -> None:
    """Between two of a group, both; between groups, u alone, pulled by each group's readings."""
    asked = record_columns(ASKED)
    weaver, group = in_common_with_others(record_columns(SEEN), asked)
    found = beliefs(record_columns(SEEN), asked)
    of_group, of_weaver, between = 0.0, 0.0, 0.0
    for at, w in enumerate(WITHIN):
        for to, c in enumerate(SCALE):
            p = float(found.weight[at, to, 0])
            cov = conditioned(float(w), float(c))
            of_group += p * cov[0, 1]
            of_weaver += p * cov[3, 3] - p * (c * w + c * (1 - w) / 2)  # a group never seen
            between += p * cov[0, 3]
    variance = found.sd**2
    assert (weaver + group)[0] * variance[0] == pytest.approx(of_group, rel=1e-9)
    assert weaver[3] * variance[3] == pytest.approx(of_weaver, rel=1e-9)
    # the root of two means is never less than the mean of products, and here hardly more
    sds = np.sqrt(variance[0] * variance[3])
    said = np.sqrt(weaver[0] * weaver[3])
    assert between / sds <= said <= between / sds + 0.015


def test_a_cloth_with_a_sample_of_its_own_has_less_in_common_with_others() -> None:
    weaver, group = in_common_with_others(record_columns(SEEN), record_columns(ASKED))
    sd = beliefs(record_columns(SEEN), record_columns(ASKED)).sd
    assert (weaver[4] + group[4]) * sd[4] ** 2 < (weaver[0] + group[0]) * sd[0] ** 2


def test_records_of_a_factor_leave_less_in_common_than_a_habit_does() -> None:
    many = [Record("beat", "wool", f"cloth {at}", 0.5) for at in range(12)]
    weaver, group = in_common_with_others(record_columns(many), record_columns(ASKED[:1]))
    assert 0 < weaver[0] + group[0] < 0.3


def test_what_she_gave_by_hand_is_of_that_cloth_alone() -> None:
    given = Question("beat", "wool", "Shawl", Spread(1.0, 0.04, "ratio", by_hand=True))
    habit = Question("beat", "wool", "Shawl", Spread(1.0, 0.08, "ratio"))
    ways = Lessons(record_columns(SEEN)).ways([given, habit])
    assert ways[0] == OWN
    assert ways[1].own < 1 and ways[1].of == "wool"


@pytest.mark.parametrize(
    ("other", "expected"),
    [(Way(0.5, 0.3, "wool"), 0.8), (Way(0.5, 0.3, "linen"), 0.5), (OWN, 0.0)],
)
def test_draws_of_two_cloths_correlate_as_far_as_they_have_in_common(
    other: Way, expected: float
) -> None:
    first = shared_draws("beat", Way(0.5, 0.3, "wool"), own_order("Shawl"))
    second = shared_draws("beat", other, own_order("Scarf"))
    for z in (first, second):
        assert (abs(z.mean()) < 0.02, z.std()) == (True, pytest.approx(1.0, abs=0.02))
    assert np.corrcoef(first, second)[0, 1] == pytest.approx(expected, abs=0.02)


def test_a_doubt_of_its_own_takes_the_very_points_of_the_lattice() -> None:
    z = shared_draws("beat", OWN, own_order("Shawl"))
    assert np.array_equal(np.sort(z), np.sort(cause_draws("beat")))
