"""What must be true of every stash of readings: exact, whatever the order, never worse for more."""

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from calibration.simulator import Reading, Skein, Stash, simulated_stash
from calibration.told import columns, estimated, told_skeins
from farspun.craft import readings
from farspun.craft.evidence import Estimates, estimates
from farspun.craft.readings import ReadingColumns, SkeinColumns

few = settings(deadline=None, max_examples=15)


def _stash(seed: int) -> Stash:
    rng = np.random.Generator(np.random.PCG64([4, seed]))
    return simulated_stash(
        rng, int(rng.integers(1, 5)), slips=0.2, as_spun=bool(rng.random() < 0.1)
    )


stashes = st.integers(0, 100_000).map(_stash)


def _turned(
    skeins: SkeinColumns, given_readings: ReadingColumns, order: NDArray[np.int64], seed: int
) -> tuple[SkeinColumns, ReadingColumns]:
    """Skeins in another order, readings shuffled."""
    rows = np.random.Generator(np.random.PCG64(seed)).permutation(len(given_readings))
    place = np.argsort(order)
    moved = {name: getattr(given_readings, name)[rows] for name in ReadingColumns.__slots__}
    moved["skein"] = place[moved["skein"]]
    return (
        SkeinColumns(**{name: getattr(skeins, name)[order] for name in SkeinColumns.__slots__}),
        ReadingColumns(**moved),
    )


@few
@given(stashes, st.integers(0, 1000))
def test_the_order_of_skeins_and_of_readings_changes_nothing(stash: Stash, seed: int) -> None:
    skeins, all_readings = columns(stash)
    order = np.random.Generator(np.random.PCG64(seed)).permutation(len(skeins))
    one = estimates(skeins, all_readings)
    two = estimates(*_turned(skeins, all_readings, order, seed + 1))
    for name in ("mean", "cov", "chi2", "dof", "p", "length_known"):
        assert getattr(two, name) == pytest.approx(getattr(one, name)[order], abs=1e-9)
    assert {int(order[at]) for at in two.conflicts} == set(one.conflicts)
    for at, conflict in two.conflicts.items():
        assert conflict.ask == one.conflicts[int(order[at])].ask


@few
@given(stashes)
def test_skeins_that_share_nothing_are_each_as_if_alone(stash: Stash) -> None:
    for number, skein in enumerate(stash.skeins):
        skein.lot = f"lot {number}"
        skein.readings = [replace(one, tool=f"tool {number}") for one in skein.readings]
    skeins, all_readings = columns(stash)
    apart = np.array([f"wraps {number}" for number in range(len(skeins))])
    together = estimates(replace(skeins, wrap_style=apart), all_readings)
    for at in range(len(skeins)):
        alone = estimated(Stash([stash.skeins[at]], [[0]]))
        assert together.mean[at] == pytest.approx(alone.mean[0], abs=1e-9)
        assert together.cov[at] == pytest.approx(alone.cov[0], abs=1e-9)
        assert together.p[at] == pytest.approx(alone.p[0], abs=1e-9)
        assert (at in together.conflicts) == (0 in alone.conflicts)


def _agreeing(found: Estimates, stash: Stash, at: int, kind: str, state: str) -> Reading:
    """A reading that says just what is thought already."""
    length_m, tex, packing = np.exp(found.mean[at]).tolist()
    if kind == "weighed":
        return Reading(kind, mass_g=length_m * tex / 1000, step_g=1.0)
    if kind == "test length":
        return Reading(kind, mass_g=tex / 100, step_g=0.1, length_m=10.0)
    if kind == "wrapped":
        skeins, _ = columns(stash)
        offset = readings.wrap_offset(skeins.density[at])
        ln_wraps = float(offset) - 0.5 * math.log(tex) + 0.5 * math.log(packing)
        return Reading(kind, wraps_per_cm=math.exp(ln_wraps))
    if kind == "labelled":
        return Reading(kind, tex=tex)
    lost, _ = readings.relaxation(
        columns(stash)[0].elastic[at], readings.STATES.index(state), stash.skeins[at].as_spun
    )
    return Reading(kind, length_m=length_m / (1 - float(lost)), state=state, tool="a new tool")


@few
@given(
    stashes,
    st.integers(0, 100),
    st.sampled_from(readings.KINDS),
    st.sampled_from(readings.STATES),
)
def test_a_reading_that_agrees_never_makes_length_less_sure(
    stash: Stash, which: int, kind: str, state: str
) -> None:
    found = estimated(stash)
    at = which % len(stash.skeins)
    skein = stash.skeins[at]
    more = Skein(
        **{**vars(skein), "readings": [*skein.readings, _agreeing(found, stash, at, kind, state)]}
    )
    again = estimated(Stash([*stash.skeins[:at], more, *stash.skeins[at + 1 :]], stash.yarns))
    if found.conflicts or again.conflicts:
        return
    assert again.cov[at, 0, 0] <= found.cov[at, 0, 0] * (1 + 1e-9)
    if kind != "counted" or state == "relaxed":
        assert again.mean[at, 0] == pytest.approx(found.mean[at, 0], abs=0.05)
    others = np.delete(np.arange(len(stash.skeins)), at)
    assert (again.cov[others, 0, 0] <= found.cov[others, 0, 0] * (1 + 1e-9)).all()


@few
@given(stashes)
def test_spreads_are_spreads_and_the_shared_part_is_a_part(stash: Stash) -> None:
    found = estimated(stash)
    assert np.isfinite(found.mean).all()
    assert (np.linalg.eigvalsh(found.cov) > 0).all()
    assert (np.linalg.eigvalsh(found.effect_cov) > 0).all()
    for skein in told_skeins(stash, found):
        assert skein.median_m >= 0
        assert skein.own_sd_ln >= 0
    assert ((found.p >= 0) & (found.p <= 1)).all()
    assert (found.p[found.dof == 0] == 1).all()
    assert set(found.conflicts) == set(np.flatnonzero(found.p < 0.01).tolist())


@given(
    st.floats(1.0, 100.0),
    st.floats(0.5, 500.0),
    st.sampled_from([0.1, 1.0]),
    st.floats(0.01, 0.3),
)
def test_spreads_of_an_array_are_those_of_each_number(
    length_m: float, mass_g: float, step_g: float, unevenness: float
) -> None:
    both = np.array([1.0, 2.0])
    weighed = readings.weighed_sd(both * mass_g, step_g)
    tested = readings.test_length_sd(both * length_m, mass_g, step_g, unevenness)
    offsets = readings.wrap_offset(both)
    for at, times in enumerate(both.tolist()):
        assert weighed[at] == readings.weighed_sd(times * mass_g, step_g)
        assert tested[at] == readings.test_length_sd(times * length_m, mass_g, step_g, unevenness)
        assert offsets[at] == readings.wrap_offset(times)
    states = np.arange(4)
    lost, sd = readings.relaxation(True, states)
    for state in states.tolist():
        assert (lost[state], sd[state]) == tuple(map(float, readings.relaxation(True, state)))
