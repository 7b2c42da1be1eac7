"""What must be true of whatever a weaver writes down: exact, and in any order."""

import math
import random
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from farspun.craft.beliefs import beliefs, leave_one_out
from farspun.craft.learned import learned_spread, observed_at, spreads_off
from farspun.craft.outliers import DOUBTFUL_P, sifted
from farspun.craft.records import Record, record_columns
from farspun.craft.spread import Kind, Spread
from farspun.craft.student_t import NORMAL, unit_draws, unit_quantile

Floats = NDArray[np.float64]
few = settings(deadline=None, max_examples=30)

FACTORS, GROUPS, PIECES = ("beat", "draw_in", "waste_cm"), ("", "wool", "linen"), "abcde"
ordinary = st.floats(-4, 4).map(lambda y: round(y, 3))
slipped = st.sampled_from([-23.0, 14.4, 14.4, 60.0])
a_record = st.builds(
    Record,
    factor=st.sampled_from(FACTORS),
    group=st.sampled_from(GROUPS),
    piece=st.sampled_from(PIECES),
    y=ordinary,
)
some_records = st.lists(a_record, max_size=14)
with_slips = st.lists(
    st.builds(
        replace,
        a_record,
        y=st.one_of(ordinary, ordinary, slipped),
        confirmed=st.sampled_from([False, False, True]),
    ),
    max_size=14,
)
PLACES = [Record(f, g, p, 0.0) for f in FACTORS for g in GROUPS for p in (*PIECES, "new")]
ASKED = record_columns(PLACES)

# as docs/learning.md states them
GRID = [
    (w, c, chance_w * chance_c)
    for w, chance_w in ((0.1, 0.15), (0.25, 0.45), (0.5, 0.30), (0.7, 0.10))
    for c, chance_c in ((0.5, 0.2), (1.0, 0.6), (2.0, 0.2))
]


def _covariance(rows: Sequence[Record], w: float, c: float, shared: float) -> Floats:
    """Of readings at these places: what each two have in common, written out in full."""
    full = np.zeros((len(rows), len(rows)))
    for i, one in enumerate(rows):
        for j, two in enumerate(rows):
            if one.factor == two.factor:
                full[i, j] += c * (1 - w) / 2
                if one.group == two.group:
                    full[i, j] += c * (1 - w) / 2
                    if one.piece == two.piece:
                        full[i, j] += c * w * shared
        full[i, i] += c * w * (1 - shared)
    return full


def _densely(records: Sequence[Record], shared: float) -> tuple[Floats, Floats]:
    """Mean and sd at every place by conditioning one large Gaussian for each of the grid."""
    y = np.array([record.y for record in records])
    logs, means, variances = [], [], []
    for w, c, chance in GRID:
        whole = _covariance([*records, *PLACES], w, c, shared)
        n = len(records)
        known, cross, new = whole[:n, :n], whole[n:, :n], whole[n:, n:].diagonal()
        # a place is read anew: it has its reading's own part to itself
        solved = np.linalg.solve(known, np.column_stack([y, cross.T]))
        means.append(cross @ solved[:, 0])
        variances.append(new - np.einsum("ij,ji->i", cross, solved[:, 1:]))
        logs.append(math.log(chance) - (np.linalg.slogdet(known)[1] + y @ solved[:, 0]) / 2)
    p = np.exp(np.array(logs) - max(logs))
    p /= p.sum()
    mean = p @ np.array(means)
    return mean, np.sqrt(p @ (np.array(variances) + (np.array(means) - mean) ** 2))


@few
@given(st.lists(a_record, min_size=1, max_size=10), st.sampled_from([0.0, 0.3, 0.5, 0.9]))
def test_beliefs_are_those_of_conditioning_one_large_gaussian(
    records: list[Record], shared: float
) -> None:
    found = beliefs(record_columns(records), ASKED, shared)
    mean, sd = _densely(records, shared)
    assert found.mean == pytest.approx(mean, abs=1e-10)
    assert found.sd == pytest.approx(sd, rel=1e-10)


@few
@given(with_slips, st.randoms(use_true_random=False))
def test_the_order_of_records_changes_nothing_at_all(
    records: list[Record], shuffler: random.Random
) -> None:
    turned = list(records)
    shuffler.shuffle(turned)
    one, two = (sifted(record_columns(rows)) for rows in (records, turned))
    for rows, found in ((records, one), (turned, two)):
        assert len(found.counts) == len(rows)
    told = [
        [(rows[doubt.at], doubt.p, doubt.spreads, doubt.set_aside) for doubt in found.doubtful]
        for rows, found in ((records, one), (turned, two))
    ]
    assert told[0] == told[1]
    first, second = (
        beliefs(record_columns(rows).taken(found.counts), ASKED)
        for rows, found in ((records, one), (turned, two))
    )
    assert first.mean.tolist() == second.mean.tolist()
    assert first.sd.tolist() == second.sd.tolist()


@few
@given(some_records)
def test_asking_together_is_asking_one_by_one(records: list[Record]) -> None:
    columns = record_columns(records)
    together = beliefs(columns, ASKED)
    for at, place in enumerate(PLACES):
        alone = beliefs(columns, record_columns([place]))
        assert alone.mean[0] == pytest.approx(together.mean[at], abs=1e-13)
        assert alone.sd[0] == pytest.approx(together.sd[at], rel=1e-13)


@few
@given(st.lists(a_record, min_size=2, max_size=10))
def test_a_record_left_out_is_as_if_never_written(records: list[Record]) -> None:
    found = leave_one_out(record_columns(records))
    for at, record in enumerate(records):
        others = record_columns(records[:at] + records[at + 1 :])
        alone = beliefs(others, record_columns([record]))
        assert found.mean[at] == pytest.approx(alone.mean[0], abs=1e-11)
        assert found.sd[at] == pytest.approx(alone.sd[0], rel=1e-11)
        assert found.weight[..., at] == pytest.approx(alone.weight[..., 0], abs=1e-11)


@few
@given(some_records)
def test_the_mirrored_weaver_is_believed_the_mirrored_thing(records: list[Record]) -> None:
    mirrored = [replace(record, y=-record.y) for record in records]
    one, two = (beliefs(record_columns(rows), ASKED) for rows in (records, mirrored))
    assert two.mean == pytest.approx(-one.mean, abs=1e-13)
    assert two.sd == pytest.approx(one.sd, rel=1e-12)


@few
@given(some_records)
def test_names_are_only_names(records: list[Record]) -> None:
    def renamed(record: Record) -> Record:
        """Other names, so that they sort the other way round."""
        group = {"": "z", "wool": "y", "linen": "x"}[record.group]
        factor = {"beat": "c", "draw_in": "b", "waste_cm": "a"}[record.factor]
        return replace(record, group=group, factor=factor, piece=f"piece {record.piece}")

    one = beliefs(record_columns(records), ASKED)
    two = beliefs(
        record_columns([renamed(record) for record in records]),
        record_columns([renamed(place) for place in PLACES]),
    )
    assert two.mean == pytest.approx(one.mean, abs=1e-12)
    assert two.sd == pytest.approx(one.sd, rel=1e-12)


@few
@given(with_slips)
def test_never_more_than_a_third_of_a_factor_is_set_aside_nor_what_she_confirmed(
    records: list[Record],
) -> None:
    found = sifted(record_columns(records))
    aside = [doubt.at for doubt in found.doubtful if doubt.set_aside]
    assert sorted(aside) == np.flatnonzero(~found.counts).tolist()
    for factor in FACTORS:
        of = [at for at, record in enumerate(records) if record.factor == factor]
        assert 3 * len(set(of) & set(aside)) <= len(of)
    assert not any(records[doubt.at].confirmed for doubt in found.doubtful)
    assert len({doubt.at for doubt in found.doubtful}) == len(found.doubtful)
    assert all(0 <= doubt.p < DOUBTFUL_P for doubt in found.doubtful)


@few
@given(st.lists(ordinary, min_size=3, max_size=8), st.floats(0.1, 2.0))
def test_records_spread_further_leave_a_wider_belief(ys: list[float], times: float) -> None:
    """The same middle, every record further from it."""
    middle = float(np.mean(ys))
    narrow, wide = (
        beliefs(
            record_columns(
                Record("beat", "", str(number), by * (y - middle)) for number, y in enumerate(ys)
            ),
            record_columns([Record("beat", "", "new", 0.0)]),
        ).sd[0]
        for by in (1.0, 1.0 + times)
    )
    assert narrow <= wide * (1 + 1e-12)


@few
@given(st.integers(1, 30))
def test_one_more_agreeing_record_makes_it_surer(n: int) -> None:
    def sd(count: int) -> float:
        rows = [Record("beat", "", str(number), 0.0) for number in range(count)]
        return float(
            beliefs(record_columns(rows), record_columns([Record("beat", "", "new", 0.0)])).sd[0]
        )

    assert sd(n + 1) < sd(n)


kinds: dict[Kind, tuple[float, float]] = {
    "loss": (-0.5, 0.99),
    "addition": (-0.9, 3.0),
    "ratio": (0.01, 5.0),
    "length": (0.1, 500.0),
}


@st.composite
def habits_and_values(draw: st.DrawFn) -> tuple[Spread, float]:
    """A habit of any kind, and something observed."""
    kind = draw(st.sampled_from(sorted(kinds)))
    low, high = kinds[kind]
    habit = Spread(draw(st.floats(low, high)), draw(st.floats(0.005, 0.5)), kind)
    return habit, draw(st.floats(low, high))


@given(habits_and_values())
def test_an_observed_value_comes_back_from_its_spreads_off(asked: tuple[Spread, float]) -> None:
    habit, value = asked
    y = spreads_off(value, habit)
    assert float(observed_at(y, habit)) == pytest.approx(value, rel=1e-9, abs=1e-9)
    both = spreads_off(np.array([value, value]), habit)
    assert both.tolist() == [float(y), float(y)]


@given(habits_and_values(), st.floats(-3, 3), st.floats(0.05, 3))
def test_a_learned_spread_is_moved_and_narrowed_in_logs(
    asked: tuple[Spread, float], mean: float, sd: float
) -> None:
    habit, _ = asked
    taught = learned_spread(habit, mean, sd)
    assert math.log(taught.factor) == pytest.approx(
        math.log(habit.factor) + mean * habit.log_sd, rel=1e-9, abs=1e-9
    )
    assert taught.log_sd == pytest.approx(sd * habit.log_sd, rel=1e-6)


@given(st.floats(0.001, 0.999), st.floats(2.5, 60))
def test_a_draw_at_a_level_of_the_normal_is_the_quantile_of_that_level(
    level: float, degrees: float
) -> None:
    z = unit_quantile(level, NORMAL)
    drawn = unit_draws(np.array([z, -z]), degrees)
    assert drawn[0] == pytest.approx(float(unit_quantile(level, degrees)), rel=1e-6, abs=1e-9)
    assert drawn[1] == -drawn[0]
