"""Many simulated stashes and cloths: what was promised against what came true.

For every cloth the yarn is scaled until the told odds are the promise; then, with the skeins as
they truly are, many true cloths are woven and the share that reached is written down. Averaged
over cloths this is how often the promise is kept, without the noise of single outcomes.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from calibration import loom, simulator, told
from farspun.craft.evidence import Estimates
from farspun.craft.reach import Drawn

Floats = NDArray[np.float64]
OUTCOMES = 2000  # true cloths woven of each stash


@dataclass(frozen=True)
class Simulated:
    """One stash and one cloth of it."""

    stash: simulator.Stash
    found: Estimates
    plan: told.Plan
    shares: Floats
    factors: dict[str, Floats]


@dataclass(frozen=True)
class Kept:
    """One promise of one cloth, as the share of true cloths: the yarn covered what was asked;
    the weft was not what ended it; the size came out.
    """

    yarn: float
    not_run_out: float
    size: float


class Mirrored(np.random.Generator):
    """The same draws with every normal one turned round: what erred long now errs as short."""

    def standard_normal(self, *args: Any, **kwargs: Any) -> Any:
        return -super().standard_normal(*args, **kwargs)


def simulated(
    seed: int, cloths: int, worse: float = 1.0, slips: float = 0.0
) -> Iterator[Simulated]:
    """`cloths` of them in mirrored pairs, so that luck in the readings all but cancels.

    Each pair has its own generator, and any one can be looked at alone.
    """
    for number in range(cloths):
        kind = Mirrored if number % 2 else np.random.Generator
        rng = kind(np.random.PCG64([seed, number // 2]))
        one = _simulated(rng, worse, slips)
        while one is None:
            one = _simulated(rng, worse, slips)
        yield one


def _simulated(rng: np.random.Generator, worse: float, slips: float) -> Simulated | None:
    """None where by her account a yarn is used up: there is nothing to promise."""
    yarns, as_spun = int(rng.choice([1, 2, 3, 4])), bool(rng.random() < 0.1)
    stash = simulator.simulated_stash(rng, yarns, worse, slips, as_spun)
    found = told.estimated(stash)
    skeins = told.told_skeins(stash, found)
    if not all(any(skeins[at].median_m > 0 for at in group) for group in stash.yarns):
        return None
    warp, weft = _sides(rng, stash.yarns)
    cloth = _cloth(rng, stash, warp, weft, as_spun)
    plan = _evened(rng, told.told_plan(cloth, found, skeins, warp, weft))
    factors = loom.drawn(rng, OUTCOMES, loom.practice(plan.cloth))
    return Simulated(stash, found, plan, told.critical_shares(plan.case), factors)


def _sides(
    rng: np.random.Generator, yarns: list[list[int]]
) -> tuple[tuple[list[int], ...], tuple[list[int], ...]]:
    """One yarn serves both sides; of several, some are warp and some weft."""
    if len(yarns) == 1:
        return (yarns[0],), (yarns[0],)
    split = int(rng.integers(1, len(yarns)))
    return tuple(yarns[:split]), tuple(yarns[split:])


def _cloth(
    rng: np.random.Generator,
    stash: simulator.Stash,
    warp: Sequence[list[int]],
    weft: Sequence[list[int]],
    as_spun: bool,
) -> loom.Cloth:
    """Anything a weaver might ask, of one to three pieces."""
    sett = float(rng.uniform(2.0, 8.0))
    return loom.Cloth(
        width_cm=float(rng.uniform(15, 70)),
        length_cm=float(rng.uniform(30, 250)),
        ends_per_cm=sett,
        picks_per_cm=sett * float(rng.uniform(0.8, 1.2)),
        pieces=int(rng.integers(1, 4)),
        give=float(rng.choice([0.0, 0.05])),
        hem_cm=float(rng.choice([0.0, 3.0])),
        side_hem_cm=float(rng.choice([0.0, 1.0])),
        fringe_cm=float(rng.choice([0.0, 12.0])),
        gap_cm=float(rng.choice([0.0, 5.0])),
        sample_cm=float(rng.choice([0.0, 12.0])),
        header_cm=float(rng.choice([0.0, 3.0])),
        floating_selvedges=int(rng.choice([0, 2])),
        fringe_from_waste=bool(rng.random() < 0.5),
        weave=str(rng.choice(list(loom.TAKE_UP))),
        wash=str(rng.choice(["gentle", "hot", "fulled"])),
        loom=str(rng.choice(list(loom.WASTE_CM))),
        counted_beat=bool(rng.random() < 0.5),
        warp_fibre=stash.skeins[warp[0][0]].fibre,
        weft_fibre=stash.skeins[weft[0][0]].fibre,
        as_spun=as_spun,
    )


def _evened(rng: np.random.Generator, plan: told.Plan) -> told.Plan:
    """Claim of every yarn about what the cloth asks, so that no side has far too much."""
    case = plan.case
    if case.warp[0].skeins == case.weft[0].skeins:
        return plan
    drawn = Drawn(case)
    needs = [drawn.warp_need_m(at) for at in range(len(case.warp))]
    needs += [drawn.weft_m * yarn.part for yarn in case.weft]
    sides = []
    for yarn, need in zip((*case.warp, *case.weft), needs, strict=True):
        part = float(np.median(need)) / sum(skein.median_m for skein in yarn.skeins)
        part *= float(np.exp(rng.uniform(-0.05, 0.05)))
        sides.append(replace(yarn, skeins=tuple(replace(s, free=part) for s in yarn.skeins)))
    warp, weft = tuple(sides[: len(case.warp)]), tuple(sides[len(case.warp) :])
    return replace(plan, case=replace(case, warp=warp, weft=weft))


def share_for(one: Simulated, promise: float) -> float:
    """The share of the yarn with which the told odds are the promise."""
    return float(one.shares[int(np.ceil(promise * one.shares.size)) - 1])


def kept(one: Simulated, promise: float) -> Kept:
    """Weave OUTCOMES true cloths of the true skeins."""
    case, share = one.plan.case, share_for(one, promise)
    told_free = {s.name: s.free for yarn in (*case.warp, *case.weft) for s in yarn.skeins}
    had_m = {
        skein.name: skein.left_m * told_free[skein.name] * share
        for skein in one.stash.skeins
        if skein.name in told_free
    }
    warp = [loom.Side([s.name for s in yarn.skeins], ends=yarn.ends or 0) for yarn in case.warp]
    weft = [loom.Side([s.name for s in yarn.skeins], part=yarn.part) for yarn in case.weft]
    woven = loom.weave(one.plan.cloth, case.ends, case.warp_cut_cm, warp, weft, had_m, one.factors)
    return Kept(
        yarn=float(woven.yarn.mean()),
        not_run_out=float((woven.warp & ~woven.ran_out).mean()),
        size=float(woven.size.mean()),
    )
