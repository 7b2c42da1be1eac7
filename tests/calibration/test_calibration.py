"""The promise: "95 in 100" must come true 95 times in 100, on simulated stashes and cloths.

Default runs are small and fixed; the full studies (`sh tests/run long`) are the proof, and their
figures are written down in docs/design/promise-kept.md.
"""

import ast
import math
from collections import defaultdict
from collections.abc import Iterable
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray

from calibration import exact, study, told
from calibration.simulator import Skein, one_lot, simulated_stash
from farspun.craft.case import Skein as Told
from farspun.craft.evidence import Estimates
from farspun.craft.reach import reach

Floats = NDArray[np.float64]
HERE = Path(__file__).parent
# promise: kept at least, at most
KEPT = {0.95: (0.935, 0.965), 0.80: (0.77, 0.83), 0.50: (0.46, 0.54)}
TOLD_WITHIN = 0.005
MISSTATED, MISSTATED_KEPT = 1.5, 0.88
WIDTH = 1.1  # told width against that of the exact posterior


@pytest.mark.parametrize("name", ["simulator", "loom", "exact"])
def test_what_is_simulated_knows_nothing_of_the_craft(name: str) -> None:
    tree = ast.parse((HERE / f"{name}.py").read_text(encoding="utf-8"))
    imported = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            imported |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0
            imported |= {f"{node.module}.{alias.name}" for alias in node.names}
    roots = {module.split(".")[0] for module in imported}
    assert roots <= {"collections", "dataclasses", "math", "numpy", "calibration"}
    ours = {module for module in imported if module.startswith("calibration")}
    assert ours <= {"calibration.simulator"}


def _kept(
    cloths: Iterable[study.Simulated], promises: Iterable[float], ask_every: int = 1
) -> dict[float, float]:
    """How often each promise came true; what is told is asked of `reach` itself."""
    found: dict[float, list[float]] = defaultdict(list)
    for number, one in enumerate(cloths):
        for promise in promises:
            if number % ask_every == 0:
                case = told.scaled(one.plan.case, study.share_for(one, promise))
                assert abs(reach(case).odds.yarn - promise) <= TOLD_WITHIN
            found[promise].append(study.kept(one, promise).yarn)
    return {promise: float(np.mean(shares)) for promise, shares in found.items()}


def _check(kept: dict[float, float]) -> None:
    off = {p: share for p, share in kept.items() if not KEPT[p][0] <= share <= KEPT[p][1]}
    assert not off, f"promised and kept: {kept}"


def test_promises_of_95_80_and_50_are_kept() -> None:
    _check(_kept(study.simulated(1, 160), KEPT, ask_every=10))


@pytest.mark.long
def test_promises_of_95_80_and_50_are_kept_over_two_thousand_cloths() -> None:
    _check(_kept(study.simulated(1, 2000), KEPT))


@pytest.mark.long
def test_readings_worse_than_stated_do_not_ruin_it_over_two_thousand_cloths() -> None:
    kept = _kept(study.simulated(2, 2000, worse=MISSTATED), [0.95])
    assert MISSTATED_KEPT <= kept[0.95] < KEPT[0.95][1]


def test_the_size_comes_out_as_often_as_was_told() -> None:
    """Size hangs on the cloth alone, so every single one must come out as told."""
    for one in study.simulated(3, 15):
        woven = study.kept(one, 0.95).size
        said = reach(one.plan.case).odds.size
        assert said >= 0.79
        assert woven == pytest.approx(said, abs=4.5 * math.sqrt(0.16 / study.OUTCOMES))


# ---- lengths ---------------------------------------------------------------------------------


def _use(skeins: Iterable[Skein]) -> str:
    """What was done with them; the worst to tell comes first."""
    kinds = {event.kind for skein in skeins for event in skein.events}
    return "weighed later" if "weigh" in kinds else "taken from" if kinds else "whole"


def _told_points(found: Estimates, left: Told) -> Floats:
    """5, 20, 50, 80 and 95 in 100 points of ln of the metres left."""
    causes = [found.effects.index(name) for name in left.loads]
    load = np.array(list(left.loads.values()))
    variance = left.own_sd_ln**2 + load @ found.effect_cov[np.ix_(causes, causes)] @ load
    z = np.array([-1.6449, -0.8416, 0.0, 0.8416, 1.6449])
    return np.asarray(math.log(left.median_m) + math.sqrt(variance) * z)


def _below(stashes: int) -> dict[str, Floats]:
    """By what was done with a skein: how often its true metres lie below each told point."""
    below: dict[str, list[NDArray[np.bool_]]] = defaultdict(list)
    for seed in range(stashes):
        rng = np.random.Generator(np.random.PCG64([6, seed]))
        stash = simulated_stash(rng, int(rng.integers(1, 5)), as_spun=bool(rng.random() < 0.1))
        found = told.estimated(stash)
        for skein, left in zip(stash.skeins, told.told_skeins(stash, found), strict=True):
            if left.median_m > 0:
                below[_use([skein])].append(np.log(skein.left_m) < _told_points(found, left))
    return {use: np.mean(rows, axis=0) for use, rows in below.items()}


def _check_below(below: Floats) -> None:
    """The same slack as the promises: 1.5, 3 and 4 points."""
    off = np.abs(below - [0.05, 0.20, 0.50, 0.80, 0.95])
    assert (off <= [0.015, 0.03, 0.04, 0.03, 0.015]).all(), f"true metres below told: {below}"


@pytest.fixture(scope="module")
def below() -> dict[str, Floats]:
    """Of a small fixed number of stashes."""
    return _below(1500)


@pytest.mark.parametrize("use", ["whole", "taken from", "weighed later"])
def test_true_metres_fall_where_they_were_told_to(use: str, below: dict[str, Floats]) -> None:
    _check_below(below[use])


@pytest.mark.long
def test_true_metres_fall_where_they_were_told_to_in_ten_thousand_stashes() -> None:
    for one in _below(10_000).values():
        _check_below(one)


def _total_below(stashes: int, skeins: int) -> float:
    """How often all skeins of an unwashed lot together come to less than their told 5 % point."""
    below = []
    for seed in range(stashes):
        rng = np.random.Generator(np.random.PCG64([8, seed]))
        stash = one_lot(rng, skeins)
        found = told.estimated(stash)
        log, total = np.zeros((skeins, 2000)), np.zeros(2000)
        root = np.linalg.cholesky(found.effect_cov)
        shared = root @ rng.standard_normal((len(found.effects), 2000))
        for at, left in enumerate(told.told_skeins(stash, found)):
            log[at] = left.own_sd_ln * rng.standard_normal(2000)
            for name, load in left.loads.items():
                log[at] += load * shared[found.effects.index(name)]
            total += left.median_m * np.exp(log[at])
        true_m = sum(skein.left_m for skein in stash.skeins)
        below.append(true_m < np.quantile(total, 0.05))
    return float(np.mean(below))


@pytest.mark.parametrize("skeins", [3, 12])
def test_skeins_of_an_unwashed_lot_keep_the_promise_together(skeins: int) -> None:
    """Taken as independent, a told 95 would be kept 89 times in 100 with three, 84 with twelve."""
    assert 0.035 <= _total_below(800, skeins) <= 0.065


@pytest.mark.parametrize("tex", [60, 300, 1000])
def test_a_large_lot_of_fine_or_thick_yarn_is_told_no_shorter_and_no_longer(tex: float) -> None:
    """Forty skeins alike are not forty proofs that yarn of another grist is likelier."""
    off = []
    for seed in range(40):
        stash = one_lot(np.random.Generator(np.random.PCG64([9, seed])), 40, tex)
        true = [math.log(skein.length_m) for skein in stash.skeins]
        off.append(float(np.mean(told.estimated(stash).mean[:, 0] - true)))
    assert abs(np.mean(off)) < 0.05  # three standard errors of what an unwashed lot may be off


def _widths(cloths: int, draws: int) -> dict[str, Floats]:
    """Told 5 to 95 width of each yarn over that of its exact posterior, by what was done."""
    widths: dict[str, list[float]] = defaultdict(list)
    for number, one in enumerate(study.simulated(5, cloths)):
        answer = reach(one.plan.case)
        same = one.plan.warp == one.plan.weft
        yarns = [*zip(one.plan.warp, answer.warp, strict=True)]
        yarns += [] if same else zip(one.plan.weft, answer.weft, strict=True)
        for skeins, need in yarns:
            if any(at in one.found.conflicts for at in skeins):
                continue  # told wider on purpose: the exact posterior here knows of no slips
            rng = np.random.Generator(np.random.PCG64([5, number]))
            metres, weights = exact.left_samples(one.stash, skeins, rng, draws)
            low, high = (exact.quantile(metres, weights, p) for p in (0.05, 0.95))
            told_width = (need.have_m.p95 - need.have_m.p05) / need.yarn.skeins[0].free
            use = _use(one.stash.skeins[at] for at in skeins)
            widths[use].append(told_width / (high - low))
    return {use: np.array(found) for use, found in widths.items()}


def _check_widths(widths: dict[str, Floats]) -> None:
    """On the whole, and not hidden in an average: hardly any yarn is told much wider."""
    for use, found in widths.items():
        assert found.mean() <= WIDTH, f"{use}: {found.mean():.3f} times the exact width"
        wider = float((found > 1.5 * WIDTH).mean())
        assert wider <= 0.02, f"{use}: {wider:.3f} of yarns are told far too wide"


def test_what_is_told_is_hardly_wider_than_it_must_be() -> None:
    _check_widths(_widths(24, 20_000))


@pytest.mark.long
def test_what_is_told_is_hardly_wider_than_it_must_be_for_six_hundred_cloths() -> None:
    _check_widths(_widths(600, 100_000))


# ---- disagreement ----------------------------------------------------------------------------


def _asked_about(stashes: int) -> float:
    """Of honest skeins with something that could disagree, the share that is asked about."""
    asked = could = 0
    for seed in range(stashes):
        rng = np.random.Generator(np.random.PCG64([7, seed]))
        found = told.estimated(simulated_stash(rng, int(rng.integers(1, 5))))
        asked += len(found.conflicts)
        could += int((found.dof > 0).sum())
    return asked / could


def test_one_honest_skein_in_a_hundred_is_asked_about() -> None:
    assert 0.005 <= _asked_about(1200) <= 0.015


@pytest.mark.long
def test_one_honest_skein_in_a_hundred_is_asked_about_in_ten_thousand_stashes() -> None:
    assert 0.008 <= _asked_about(10_000) <= 0.012
