"""The quick posterior of a whole stash against plain dense conditioning of all its causes."""

import numpy as np
import pytest
from numpy.typing import NDArray

from calibration import exact
from calibration.simulator import Stash, simulated_stash
from calibration.told import estimated
from farspun.craft.evidence import Estimates


def _agreeing_stashes() -> list[tuple[Stash, Estimates]]:
    """Small stashes without a conflict: there the posterior is one Gaussian."""
    made = []
    for seed in range(30):
        rng = np.random.Generator(np.random.PCG64([77, seed]))
        stash = simulated_stash(rng, int(rng.integers(1, 5)), as_spun=bool(rng.random() < 0.1))
        found = estimated(stash)
        if not found.conflicts:
            made.append((stash, found))
    return made


STASHES = _agreeing_stashes()


def test_the_stashes_hold_every_kind_of_reading_and_shared_causes() -> None:
    kinds = {one.kind for stash, _ in STASHES for skein in stash.skeins for one in skein.readings}
    assert kinds == {"weighed", "counted", "test length", "wrapped", "labelled"}
    shared = {name.split(":")[0] for _, found in STASHES for name in found.effects}
    assert shared == {"tool", "lot", "wraps"}
    assert len(STASHES) > 20


@pytest.mark.parametrize(("stash", "found"), STASHES)
def test_means_and_covariances_are_those_of_dense_conditioning(
    stash: Stash, found: Estimates
) -> None:
    system = exact.dense_system(stash)
    mean, cov = exact.of_skeins(system, stash, *system.posterior())
    at = np.arange(len(stash.skeins))
    assert found.mean == pytest.approx(mean, abs=1e-9)
    assert found.cov == pytest.approx(cov[at, :, at, :], abs=1e-9)


def _shared_part(found: Estimates) -> NDArray[np.float64]:
    """Load of each skein's three unknowns on all effects, (n, 3, K)."""
    load = np.zeros((len(found.mean), 3, len(found.effects)))
    for skein, place in np.argwhere(found.effect >= 0):
        load[skein, :, found.effect[skein, place]] += found.load[skein, :, place]
    return load


@pytest.mark.parametrize(("stash", "found"), STASHES)
def test_what_two_skeins_share_is_that_of_dense_conditioning(
    stash: Stash, found: Estimates
) -> None:
    system = exact.dense_system(stash)
    _, cov = exact.of_skeins(system, stash, *system.posterior())
    load = _shared_part(found)
    across = np.einsum("iak,kl,jbl->iajb", load, found.effect_cov, load)
    for one in range(len(stash.skeins)):
        for other in range(one):
            got = across[one, :, other, :]
            assert got == pytest.approx(cov[one, :, other, :], abs=1e-9)


@pytest.mark.parametrize(("stash", "found"), STASHES)
def test_chi_squared_freedom_and_pulls_are_those_of_dense_algebra(
    stash: Stash, found: Estimates
) -> None:
    system = exact.dense_system(stash)
    n = range(len(stash.skeins))
    assert found.chi2 == pytest.approx([exact.chi_squared(system, at) for at in n], abs=1e-8)
    assert found.dof.tolist() == [exact.freedom(system, at) for at in n]
    assert found.pull == pytest.approx(exact.pulls(system), abs=1e-7)


def test_a_stash_of_mill_yarn_shares_nothing() -> None:
    rng = np.random.Generator(np.random.PCG64(5))
    stash = simulated_stash(rng, 1)
    for skein in stash.skeins:
        skein.readings = [one for one in skein.readings if one.kind == "weighed"]
    found = estimated(stash)
    assert found.effects == ()
    assert found.effect_cov.shape == (0, 0)
    assert not found.conflicts
