"""Records in place of habit: beliefs, what is set aside, and the spreads that come of it."""

import math
from collections.abc import Sequence
from pathlib import Path

import numpy as np
import pytest

from farspun.craft.beliefs import DEGREES, Beliefs, beliefs, leave_one_out
from farspun.craft.habits import beat_habit, waste_habit
from farspun.craft.learned import Learned, learned_spread, observed_at, spreads_off
from farspun.craft.learning import Lessons, Question
from farspun.craft.outliers import sifted
from farspun.craft.records import GROUPED_BY, Record, group_of, record_columns
from farspun.craft.spread import Kind, Spread
from farspun.craft.student_t import NORMAL, two_sided_p, unit_draws, unit_quantile
from farspun.errors import ImpossibleValue, NotFound
from published.published import Row, sections

FOLDER = Path(__file__).resolve().parents[2] / "fixtures" / "reference"
CASES = sections("cases", FOLDER)["learning"]
LOSS = Spread(0.10, 0.05, "loss", "common practice")
WASTE = Spread(50.0, 8.0, "length", "common practice")


def _records(ys: Sequence[float], factor: str = "beat", group: str = "") -> list[Record]:
    """One record a piece."""
    return [Record(factor, group, f"cloth {number}", y) for number, y in enumerate(ys)]


def _next(
    records: Sequence[Record], factor: str = "beat", group: str = "", piece: str = "the next"
) -> Beliefs:
    """What is believed of one factor of one piece."""
    asked = record_columns([Record(factor, group, piece, 0.0)])
    return beliefs(record_columns(records), asked)


# ---- beliefs ---------------------------------------------------------------------------------


@pytest.mark.parametrize("row", CASES, ids=lambda row: row.id)
def test_one_record_teaches_as_worked_elsewhere(row: Row) -> None:
    found = _next(_records([row.number("y")]))
    row.check("mean", found.mean[0])
    row.check("sd", found.sd[0])


def _by_the_formulas(factors: Sequence[Sequence[float]]) -> list[tuple[float, float]]:
    """Mean and sd of each factor's next value, one group a factor, from docs/learning.md."""
    grid = [
        (w, c, math.log(chance_w * chance_c))
        for w, chance_w in ((0.1, 0.15), (0.25, 0.45), (0.5, 0.30), (0.7, 0.10))
        for c, chance_c in ((0.5, 0.2), (1.0, 0.6), (2.0, 0.2))
    ]
    logs, each = [], []
    for w, c, log in grid:
        k = w / (1 - w)
        values = []
        for ys in factors:
            n, S, Q = len(ys), sum(ys), sum(y * y for y in ys)
            K = k + n
            m = S / K
            log += math.log(k / K) / 2 - n / 2 * math.log(w * c) - (Q - K * m * m) / (2 * w * c)
            values.append((m, w * c * (1 + 1 / K)))
        logs.append(log)
        each.append(values)
    p = [math.exp(log - max(logs)) for log in logs]
    p = [part / sum(p) for part in p]
    found = []
    for at in range(len(factors)):
        M = sum(part * values[at][0] for part, values in zip(p, each, strict=True))
        V = sum(
            part * (values[at][1] + (values[at][0] - M) ** 2)
            for part, values in zip(p, each, strict=True)
        )
        found.append((M, math.sqrt(V)))
    return found


@pytest.mark.parametrize(
    "factors",
    [
        [[0.5]],
        [[-1.2, 0.3, 0.1]],
        [[0.5, 0.7, 0.6], [-2.0, 1.5], []],
        [[3.0, 3.1, 2.9, 3.2, 3.0], [0.2], [-0.4, 0.9, 0.1, -0.6]],
    ],
)
def test_ungrouped_records_teach_by_the_formulas_of_the_page(
    factors: list[list[float]],
) -> None:
    names = [f"factor {number}" for number in range(len(factors))]
    all_records = [
        record
        for name, ys in zip(names, factors, strict=True)
        for record in _records(ys, factor=name)
    ]
    asked = record_columns([Record(name, "", "the next", 0.0) for name in names])
    found = beliefs(record_columns(all_records), asked)
    expected = _by_the_formulas(factors)
    assert found.mean == pytest.approx([mean for mean, _ in expected], abs=1e-12)
    assert found.sd == pytest.approx([sd for _, sd in expected], rel=1e-12)
    assert found.degrees == DEGREES == 8


def test_a_weaver_without_records_keeps_the_habits() -> None:
    found = _next([])
    assert (found.mean[0], found.sd[0], found.degrees) == (0.0, 1.0, NORMAL)
    assert found.quantile(0.95)[0] == pytest.approx(1.6449, abs=1e-4)


def test_records_of_other_factors_teach_only_how_regular_she_is() -> None:
    regular = _next(_records([0.1, 0.0, -0.1, 0.05], factor="take_up"))
    wild = _next(_records([2.5, -2.0, 1.5, -3.0], factor="take_up"))
    assert regular.mean[0] == wild.mean[0] == 0
    assert regular.sd[0] < 1 < wild.sd[0]


def test_scattered_records_leave_a_wider_belief_than_agreeing_ones() -> None:
    agreeing = _next(_records([0.9, 1.0, 1.1, 1.0]))
    scattered = _next(_records([-0.5, 2.5, 0.0, 2.0]))
    assert agreeing.sd[0] < 0.6 * scattered.sd[0]
    assert agreeing.mean[0] > scattered.mean[0]


def test_her_own_group_counts_for_more_than_the_others() -> None:
    records = [*_records([1.0, 1.2, 0.8], group="wool"), *_records([-1.0, -0.9], group="linen")]
    wool, linen, silk = (_next(records, group=group) for group in ("wool", "linen", "silk"))
    assert wool.mean[0] > 0.6
    assert linen.mean[0] < -0.4
    assert linen.mean[0] < silk.mean[0] < wool.mean[0]
    assert silk.sd[0] > max(wool.sd[0], linen.sd[0])
    assert (wool.group_pieces[0], wool.other_pieces[0]) == (3, 2)
    assert (silk.group_pieces[0], silk.other_pieces[0]) == (0, 5)


def test_another_groups_records_teach_half_of_what_lasts() -> None:
    """After very many agreeing records of one group the other is believed half of their way off."""
    records = _records([0.8] * 4000, group="wool")
    assert _next(records, group="wool").mean[0] == pytest.approx(0.8, abs=0.001)
    assert _next(records, group="linen").mean[0] == pytest.approx(0.4, abs=0.001)


# ---- a sample and its cloth ------------------------------------------------------------------


def test_a_sample_teaches_its_own_cloth_more_than_another() -> None:
    sample = [Record("beat", "", "Shawl", 0.8)]
    own, other = _next(sample, piece="Shawl"), _next(sample, piece="Runner")
    assert own.mean[0] > other.mean[0]
    assert own.sd[0] < other.sd[0]
    assert (own.own_records[0], other.own_records[0]) == (1, 0)


def test_nothing_in_common_within_makes_a_sample_a_cloth_like_another() -> None:
    columns = record_columns([Record("beat", "", "Shawl", 0.8)])
    asked = record_columns([Record("beat", "", name, 0.0) for name in ("Shawl", "Runner")])
    found = beliefs(columns, asked, shared=0.0)
    assert found.mean[0] == pytest.approx(found.mean[1], abs=1e-15)
    assert found.sd[0] == pytest.approx(found.sd[1], abs=1e-15)


def test_a_counted_sample_halves_the_doubt_in_the_beat() -> None:
    """The habit says ± 8 % for a first cloth and ± 4 % once counted on a sample."""
    sampled = _next([Record("beat", "", "Shawl", 0.0)], piece="Shawl")
    assert 0.04 < beat_habit(counted=False).sd * sampled.sd[0] < 0.045
    w, c, shared = 0.25, 1.0, 0.5  # the likeliest of the grid alone
    alone = math.sqrt(c * (1 - ((1 - w) + w * shared) ** 2))
    assert beat_habit(counted=False).sd * alone == pytest.approx(
        beat_habit(counted=True).sd, rel=0.05
    )


def test_a_sample_and_its_cloth_are_less_than_two_cloths() -> None:
    same = _next([Record("beat", "", "Shawl", 0.0), Record("beat", "", "Shawl", 0.0)])
    two = _next([Record("beat", "", "Shawl", 0.0), Record("beat", "", "Runner", 0.0)])
    one = _next([Record("beat", "", "Shawl", 0.0)])
    assert two.sd[0] < same.sd[0] < one.sd[0]


@pytest.mark.parametrize("shared", [-0.1, 1.0, math.nan])
def test_a_sample_cannot_have_all_or_less_than_nothing_in_common(shared: float) -> None:
    columns = record_columns(_records([0.1]))
    with pytest.raises(ImpossibleValue, match="in common with its cloth"):
        beliefs(columns, columns, shared)


# ---- what is set aside -----------------------------------------------------------------------


def test_each_record_left_out_is_judged_by_the_others_alone() -> None:
    records = [
        *_records([0.4, -0.3, 0.6], group="wool"),
        Record("beat", "wool", "cloth 0", 0.9),
        *_records([1.1], group="linen"),
        *_records([0.2, -2.0], factor="take_up"),
    ]
    found = leave_one_out(record_columns(records))
    for at, record in enumerate(records):
        alone = _next(records[:at] + records[at + 1 :], record.factor, record.group, record.piece)
        assert found.mean[at] == pytest.approx(alone.mean[0], abs=1e-12)
        assert found.sd[at] == pytest.approx(alone.sd[0], rel=1e-12)
        counts = ("own_records", "group_pieces", "other_pieces")
        got = [int(getattr(found, name)[at]) for name in counts]
        assert got == [int(getattr(alone, name)[0]) for name in counts]


def test_a_single_record_is_judged_by_the_habit() -> None:
    found = sifted(record_columns(_records([4.5])))
    (doubt,) = found.doubtful
    assert doubt.p == pytest.approx(6.8e-6, rel=0.01)
    assert doubt.spreads == 4.5
    assert not doubt.set_aside  # one of one would be more than a third
    assert found.counts.all()


def test_a_slip_of_the_comma_is_set_aside_with_how_far_it_is_off() -> None:
    waste = [spreads_off(cm, WASTE) for cm in (48.0, 52.0, 500.0, 45.0)]
    found = sifted(record_columns(_records([float(y) for y in waste], factor="waste_cm")))
    (doubt,) = found.doubtful
    assert (doubt.at, doubt.set_aside) == (2, True)
    assert doubt.p < 1e-4
    assert doubt.spreads > 6
    assert found.counts.tolist() == [True, True, False, True]


def test_what_she_confirms_counts_again() -> None:
    records = _records([0.1, -0.2, 12.0, 0.3])
    records[2] = Record("beat", "", "cloth 2", 12.0, confirmed=True)
    found = sifted(record_columns(records))
    assert found.counts.all()
    assert 2 not in [doubt.at for doubt in found.doubtful]


def test_at_most_a_third_is_set_aside_the_worst_first() -> None:
    found = sifted(record_columns(_records([0.1, -0.2, 0.0, 0.2, 0.1, 20.0, -25.0, 30.0])))
    aside = [doubt.at for doubt in found.doubtful if doubt.set_aside]
    assert aside == [7, 6]
    assert (~found.counts).sum() == 2
    (asked,) = (doubt for doubt in found.doubtful if not doubt.set_aside)
    assert asked.at == 5
    assert asked.p < 1e-4


def test_a_third_is_counted_factor_by_factor_and_of_two_that_disagree_both_are_asked() -> None:
    records = [*_records([0.0] * 9), *_records([0.1, 15.0], factor="waste_cm")]
    found = sifted(record_columns(records))
    assert found.counts.all()
    assert [doubt.at for doubt in found.doubtful] == [10, 9]


def test_an_honest_but_unusual_weaver_is_asked_nothing() -> None:
    assert sifted(record_columns(_records([2.0, 2.6, 1.4, 2.9, 1.1]))).doubtful == ()
    assert sifted(record_columns([])).doubtful == ()


# ---- from what was observed, and back to a spread --------------------------------------------


@pytest.mark.parametrize(
    ("observed", "kind", "mean", "sd", "y"),
    [
        (0.15, "loss", 0.10, 0.05, math.log(0.85 / 0.90) / (0.05 / 0.90)),
        (0.08, "addition", 0.05, 0.03, math.log(1.08 / 1.05) / (0.03 / 1.05)),
        (1.08, "ratio", 1.0, 0.08, math.log(1.08) / 0.08),
        (
            60.0,
            "length",
            50.0,
            8.0,
            math.log(60 * math.sqrt(1 + 0.16**2) / 50) / math.sqrt(math.log(1 + 0.16**2)),
        ),
    ],
)
def test_what_is_observed_counts_in_spreads_of_its_habit(
    observed: float, kind: Kind, mean: float, sd: float, y: float
) -> None:
    habit = Spread(mean, sd, kind)
    assert float(spreads_off(observed, habit)) == pytest.approx(y, rel=1e-12)
    assert float(observed_at(y, habit)) == pytest.approx(observed, rel=1e-12)


@pytest.mark.parametrize(
    ("observed", "habit"),
    [
        (1.0, LOSS),
        (math.nan, LOSS),
        (-1.0, Spread(0.05, 0.03, "addition")),
        (0.0, Spread(1.0, 0.08, "ratio")),
        (0.0, WASTE),
        (math.inf, WASTE),
    ],
)
def test_what_cannot_be_observed_is_refused(observed: float, habit: Spread) -> None:
    with pytest.raises(ImpossibleValue, match=f"observed {habit.kind}"):
        spreads_off(observed, habit)


def test_what_is_exact_is_not_learned() -> None:
    with pytest.raises(ImpossibleValue, match="spread of a default"):
        spreads_off(0.1, Spread(0.1, 0.0, "loss"))
    with pytest.raises(ImpossibleValue, match="sd of a belief"):
        learned_spread(LOSS, 0.0, math.nan)


@pytest.mark.parametrize("y", [math.nan, math.inf, -2e4])
def test_a_record_that_is_no_number_or_absurd_is_refused(y: float) -> None:
    with pytest.raises(ImpossibleValue, match="a record of beat"):
        record_columns(_records([0.1, y]))


@pytest.mark.parametrize(
    "default",
    [
        LOSS,
        Spread(0.05, 0.03, "addition"),
        beat_habit(counted=False),
        waste_habit("rigid-heddle", "knots"),
    ],
    ids=lambda default: default.kind,
)
def test_a_learned_spread_is_the_habit_moved_and_narrowed(default: Spread) -> None:
    taught = learned_spread(default, 0.7, 0.5, "8 of your cloths")
    assert taught.kind == default.kind
    assert taught.origin == "8 of your cloths"
    assert math.log(taught.factor) == pytest.approx(
        math.log(default.factor) + 0.7 * default.log_sd, abs=1e-12
    )
    assert taught.log_sd == pytest.approx(0.5 * default.log_sd, rel=1e-12)
    assert float(spreads_off(observed_at(0.7, default), default)) == pytest.approx(0.7, rel=1e-12)


def test_a_learned_spread_is_drawn_with_its_own_sd_and_longer_tails() -> None:
    taught = Learned(0.10, 0.045, "loss")
    z = unit_quantile((np.arange(200_000) + 0.5) / 200_000, NORMAL)
    logs = np.log(taught.drawn(z) / taught.factor)
    assert logs.std() == pytest.approx(taught.log_sd, rel=0.001)
    assert logs.mean() == pytest.approx(0, abs=1e-9)
    assert abs(logs[0]) > 1.5 * abs(z[0]) * taught.log_sd
    assert taught.quantile(0.95) == pytest.approx(np.quantile(np.exp(logs) * 0.9, 0.95), rel=1e-4)
    assert (np.diff(logs) > 0).all()


def test_tails_need_more_than_two_degrees_of_freedom() -> None:
    for tail in (unit_quantile, unit_draws, two_sided_p):
        with pytest.raises(ImpossibleValue, match="degrees of freedom"):
            tail(0.5, 2.0)


def test_the_normal_is_the_tail_of_infinitely_many_degrees() -> None:
    z = np.linspace(-3, 3, 13)
    assert unit_draws(z, NORMAL).tolist() == z.tolist()
    assert unit_draws(z, 1e7) == pytest.approx(z, abs=1e-5)


# ---- the whole -------------------------------------------------------------------------------


def _question(default: Spread, piece: str = "Shawl", group: str = "wool, gentle") -> Question:
    return Question("shrink_length", group, piece, default, "wool cloths, gentle wash")


def test_without_records_the_habits_are_given_back_as_they_are() -> None:
    lessons = Lessons(record_columns([]))
    assert lessons.spreads([_question(LOSS)])[0] is LOSS
    assert lessons.doubtful == () and not lessons


def test_what_she_gave_by_hand_or_exactly_is_hers() -> None:
    by_hand = Spread(0.12, 0.04, "loss", "given", by_hand=True)
    exact = Spread(0.12, 0.0, "loss", "given")
    records = record_columns(_records([-0.8] * 5, "shrink_length", "wool, gentle"))
    assert Lessons(records).spreads([_question(by_hand), _question(exact)]) == (by_hand, exact)


def test_a_spread_says_what_taught_it() -> None:
    records = [
        *_records([-0.8, -0.7], "shrink_length", "wool, gentle"),
        Record("shrink_length", "linen, hot", "Towel", 0.1),
        Record("shrink_length", "linen, hot", "Towel", 0.2),
    ]
    questions = [
        _question(LOSS),
        _question(LOSS, piece="cloth 1"),
        _question(LOSS, group="silk, gentle"),
        Question("beat", "", "Shawl", beat_habit(counted=False)),
    ]
    spreads = Lessons(record_columns(records)).spreads(questions)
    assert [spread.origin for spread in spreads] == [
        "2 of your wool cloths, gentle wash",
        "its own sample, and 1 of your wool cloths, gentle wash",
        "3 of your other cloths",
        "judgement",
    ]
    assert all(isinstance(spread, Learned) for spread in spreads)


def test_a_record_set_aside_teaches_nothing_until_she_confirms_it() -> None:
    good = _records([-0.8, -0.7, -0.9, -0.6], "shrink_length", "wool, gentle")
    slip = Record("shrink_length", "wool, gentle", "Slip", -14.0)
    stands = Record("shrink_length", "wool, gentle", "Slip", -14.0, confirmed=True)
    without, with_slip, confirmed = (
        Lessons(record_columns(records)) for records in (good, [*good, slip], [*good, stands])
    )
    told = [one.spreads([_question(LOSS)])[0] for one in (without, with_slip, confirmed)]
    assert told[0] == told[1]
    assert [doubt.at for doubt in with_slip.doubtful] == [4]
    assert told[2].mean > told[0].mean + 0.02


def test_records_are_grouped_by_what_makes_them_differ() -> None:
    cloth = {"loom": "Floor", "fibre family": "plant", "fibre": "linen", "wash": "hot"}
    assert {factor: group_of(factor, cloth) for factor in GROUPED_BY} == {
        "take_up": "Floor, plant",
        "draw_in": "Floor, plant",
        "beat": "Floor, plant",
        "weft_take_up": "Floor, plant",
        "shrink_length": "linen, hot",
        "shrink_width": "linen, hot",
        "waste_cm": "Floor",
        "let_off": "plant",
    }
    with pytest.raises(NotFound, match="cutting"):
        group_of("cutting", cloth)
