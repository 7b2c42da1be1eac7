"""What must be true of every cloth: more yarn helps, a larger cloth does not, order is nothing."""

import math
from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from calibration.cloths import as_case, random_cloth
from farspun.craft.case import Case, Skein, Yarn
from farspun.craft.closed_form import floored_moments, lognormal_moments, odds_of
from farspun.craft.planning import part_promise, settled
from farspun.craft.reach import LENGTH, Points, Reach, reach
from farspun.craft.settle import best_settling
from properties.tried import tried

cases = st.integers(0, 100_000).map(random_cloth).map(as_case)
few = tried(3)
same_few = settings(few, derandomize=True)  # where a bound holds for nearly all cloths, not all


def _skeins_changed(case: Case, change: Callable[[Skein], Skein]) -> Case:
    def changed(yarn: Yarn) -> Yarn:
        return replace(yarn, skeins=tuple(change(skein) for skein in yarn.skeins))

    return replace(
        case,
        warp=tuple(changed(yarn) for yarn in case.warp),
        weft=tuple(changed(yarn) for yarn in case.weft),
    )


def _more(yarn: Yarn, skein: Skein) -> Yarn:
    return replace(yarn, skeins=(*yarn.skeins, skein))


def _sides(answer: Reach) -> tuple[float, float]:
    assert answer.odds.warp is not None
    assert answer.odds.weft is not None
    return answer.odds.warp, answer.odds.weft


def _no_lower(before: Case, after: Case) -> bool:
    pairs = zip(_sides(reach(before)), _sides(reach(after)), strict=True)
    return all(now >= was for was, now in pairs)


def _one_yarn_twice(case: Case) -> bool:
    return case.warp[0].skeins == case.weft[0].skeins


@few
@given(cases, st.integers(0, 40), st.floats(1.0, 3.0))
def test_a_longer_skein_never_lowers_the_odds(case: Case, which: int, times: float) -> None:
    names = sorted({s.name for yarn in (*case.warp, *case.weft) for s in yarn.skeins})
    chosen = names[which % len(names)]
    longer = _skeins_changed(
        case, lambda s: replace(s, median_m=s.median_m * times) if s.name == chosen else s
    )
    assert _no_lower(case, longer)


@few
@given(cases, st.floats(0.1, 500.0), st.floats(0.0, 0.3), st.booleans(), st.booleans())
def test_one_more_skein_never_lowers_the_odds(
    case: Case, median_m: float, own_sd_ln: float, to_warp: bool, of_known_tool: bool
) -> None:
    loads = {case.effects[-1]: 1.0} if of_known_tool else {}
    skein = Skein("a new one", median_m, own_sd_ln, loads)
    if to_warp:
        more = replace(case, warp=(_more(case.warp[0], skein), *case.warp[1:]))
    else:
        more = replace(case, weft=(_more(case.weft[0], skein), *case.weft[1:]))
    assert _no_lower(case, more)


@few
@given(cases, st.floats(0.5, 1.5))
def test_twice_the_yarn_helps_by_two_points_wherever_there_is_doubt(
    case: Case, level: float
) -> None:
    case = _skeins_changed(case, lambda s: replace(s, median_m=s.median_m * level))
    double = _skeins_changed(case, lambda s: replace(s, median_m=2 * s.median_m))
    for was, now in zip(_sides(reach(case)), _sides(reach(double)), strict=True):
        if 0.05 < was < 0.95:
            assert now >= was + 0.02


@few
@given(
    cases,
    st.sampled_from(["width_cm", "length_cm", "hem_cm", "sample_cm", "header_cm", "pieces"]),
    st.integers(1, 20),
)
def test_a_larger_cloth_on_the_same_loom_never_has_better_odds(
    case: Case, part: str, more: int
) -> None:
    larger = replace(case, size=replace(case.size, **{part: getattr(case.size, part) + more}))
    assert _no_lower(larger, case)
    assert reach(larger).odds.size <= reach(case).odds.size


@few
@given(cases)
def test_the_order_of_skeins_and_of_shared_causes_changes_nothing(case: Case) -> None:
    def turned(yarn: Yarn) -> Yarn:
        return replace(yarn, skeins=yarn.skeins[::-1])

    other = replace(
        case,
        warp=tuple(turned(yarn) for yarn in case.warp),
        weft=tuple(turned(yarn) for yarn in case.weft),
        effects=case.effects[::-1],
        effect_cov=case.effect_cov[::-1, ::-1],
    )
    one, two = reach(case), reach(other)
    for name in ("yarn", "warp", "weft", "size", "all"):
        assert getattr(one.odds, name) == pytest.approx(getattr(two.odds, name), abs=1e-9)
    for a, b in zip((*one.warp, *one.weft), (*two.warp, *two.weft), strict=True):
        assert a.short_m == pytest.approx(b.short_m, abs=1e-6)
        assert a.have_m.p50 == pytest.approx(b.have_m.p50, rel=1e-9)


@few
@given(cases)
def test_what_else_is_in_the_stash_changes_nothing(case: Case) -> None:
    """A cause that no skein of this cloth carries, though it goes with one that does."""
    size = len(case.effects) + 1
    cov = np.zeros((size, size))
    cov[:-1, :-1] = case.effect_cov
    cov[-1, :-1] = cov[:-1, -1] = 0.5 * case.effect_cov[0]
    cov[-1, -1] = case.effect_cov[0, 0]
    other = replace(case, effects=(*case.effects, "a tool not used here"), effect_cov=cov)
    assert reach(case).odds == reach(other).odds


@few
@given(cases)
def test_points_are_in_order_and_shares_make_a_whole(case: Case) -> None:
    answer = reach(case)

    def ordered(points: Points) -> bool:
        return 0 < points.p05 <= points.p50 <= points.p95

    for need in (*answer.warp, *answer.weft):
        assert ordered(need.need_m)
        assert ordered(need.have_m)
        assert 0 < need.keep_share <= 1
    shares = [driver.share for driver in answer.drivers]
    assert sum(shares) == pytest.approx(1, abs=1e-9)
    assert all(share >= 0 for share in shares)
    odds = answer.odds
    assert odds.all <= min(odds.yarn, odds.size)
    assert odds.yarn <= min(_sides(answer))
    assert all(odds.yarn <= need.odds for need in (*answer.warp, *answer.weft))


@same_few
@given(cases, st.sampled_from([0.8, 0.95, 0.99]), st.booleans())
def test_the_metres_short_are_just_enough(case: Case, promise: float, cut: bool) -> None:
    case = replace(case, promise=promise, cut=cut)
    answer = reach(case)
    assume(answer.verdict != "reaches" and not answer.size_too_small)

    def helped(yarns: tuple[Yarn, ...], shorts: list[float]) -> tuple[Yarn, ...]:
        return tuple(
            _more(yarn, Skein(f"{yarn.name} more", short_m, 0.0)) if short_m > 0 else yarn
            for yarn, short_m in zip(yarns, shorts, strict=True)
        )

    enough = reach(
        replace(
            case,
            warp=helped(case.warp, [need.short_m for need in answer.warp]),
            weft=helped(case.weft, [need.short_m for need in answer.weft]),
        )
    )
    kept = enough.odds.all if cut else enough.odds.yarn
    assert kept >= promise - 0.003
    if len(case.warp) + len(case.weft) == 2 and not _one_yarn_twice(case):
        assert kept <= promise + 0.003


@same_few
@given(cases, st.sampled_from([0.6, 0.8, 0.95]))
def test_what_a_plan_claims_keeps_the_promise(case: Case, promise: float) -> None:
    """Each yarn's claim aims high enough that together they keep it."""
    assume(not _one_yarn_twice(case))
    plenty = _skeins_changed(case, lambda s: replace(s, median_m=3 * s.median_m))
    answer = reach(replace(plenty, promise=promise))
    claims = {need.yarn.name: need.keep_share for need in (*answer.warp, *answer.weft)}
    assert max(claims.values()) < 1

    def claimed(yarn: Yarn) -> Yarn:
        part = claims[yarn.name]
        return replace(yarn, skeins=tuple(replace(s, free=s.free * part) for s in yarn.skeins))

    kept = reach(
        replace(
            plenty,
            warp=tuple(claimed(yarn) for yarn in plenty.warp),
            weft=tuple(claimed(yarn) for yarn in plenty.weft),
        )
    )
    assert promise - 0.003 <= kept.odds.yarn


@same_few
@given(cases, st.sampled_from([0.5, 0.8, 0.95]))
def test_a_set_up_settled_for_a_promise_of_size_keeps_it(case: Case, promise: float) -> None:
    """Width and length each a half of the doubt; rounding up only helps."""
    level = part_promise(promise, 2)
    asked = settled(case.size, case.spreads, case.ends_per_cm, level)
    planned = replace(case, ends=asked.ends, warp_cut_cm=asked.warp_cut_cm)
    assert reach(planned).odds.size >= promise - 0.01


def test_metres_short_of_yarn_known_exactly_are_the_least_that_do() -> None:
    """A warp short by the same metres in every draw asks no more of the weft than its promise."""
    case = as_case(random_cloth(3, yarns_a_side=1))
    assert not _one_yarn_twice(case)
    certain = replace(case.spreads, cutting=replace(case.spreads.cutting, sd=0.0))
    metres = case.warp_ends(0) * case.warp_cut_cm / 100
    warp = replace(case.warp[0], skeins=(Skein("known exactly", metres - 5, 0.0),))
    answer = reach(replace(case, spreads=certain, warp=(warp,), promise=0.9))
    weft_alone = reach(replace(case, spreads=certain, warp=(), promise=0.9))
    assert weft_alone.weft[0].short_m > 0
    assert answer.warp[0].short_m == pytest.approx(5)
    assert answer.weft[0].short_m == pytest.approx(weft_alone.weft[0].short_m, abs=0.01)


@few
@given(cases)
def test_a_reading_worth_taking_confirms_and_its_chances_are_chances(case: Case) -> None:
    known = _skeins_changed(case, lambda s: replace(s, tex=250.0, cov=np.diag([0.01, 0.02, 0.09])))
    answer = reach(known)
    best = best_settling(known, answer.doubt, answer.verdict)
    assume(best is not None)
    assert best is not None
    assert answer.doubt is not None
    assert answer.verdict != "reaches"
    assert 0.05 <= best.clear_yes + best.clear_no <= 1
    assert (best.odds_after - best.odds_now) * answer.doubt.mean >= 0


def test_length_is_a_cause_of_doubt_only_where_length_is_doubtful() -> None:
    case = as_case(random_cloth(5))
    exact = _skeins_changed(case, lambda s: replace(s, own_sd_ln=0.0, loads={}))
    assert LENGTH not in {driver.cause for driver in reach(exact).drivers}


@given(st.lists(st.tuples(st.floats(0.1, 1e4), st.floats(0.01, 0.5)), min_size=2, max_size=5))
def test_moments_of_an_array_are_those_of_each_number(pairs: list[tuple[float, float]]) -> None:
    medians, sds = np.array(pairs).T
    for moments, first in ((lognormal_moments, medians), (floored_moments, np.log(medians) / 20)):
        together = moments(first, sds)
        alone = [moments(float(x), float(sd)) for x, sd in zip(first, sds, strict=True)]
        for power in range(2):
            assert together[power] == pytest.approx([one[power] for one in alone], rel=1e-12)
    have = lognormal_moments(medians, sds)
    need = lognormal_moments(float(medians[0]), 0.1)
    each = [odds_of((have[0][at], have[1][at]), need) for at in range(len(pairs))]
    assert odds_of(have, need) == pytest.approx(each, rel=1e-12)
    assert math.isclose(each[0], 0.5, abs_tol=1e-6)
