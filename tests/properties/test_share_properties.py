"""Sharing out small stashes drawn at random: nothing twice, promises kept, priorities held.

The odds are counted again from plain pseudo-random draws, written here after docs/reach.md with
numpy alone: nothing of the lattice, the order of draws or the covering of the code is used.
"""

import math
import tempfile
from pathlib import Path
from typing import Any

import numpy as np
from hypothesis import example, given
from hypothesis import strategies as st
from numpy.typing import NDArray

from cli.running import Desk, furnished
from farspun.craft.case import Case
from farspun.services.demands import Asking, asking
from farspun.services.sharing_out import share_out
from farspun.services.taught import taught
from farspun.store.cloths import plans
from farspun.store.engine import Stash, reading
from properties.tried import tried

Floats = NDArray[np.float64]
DRAWS = 200_000
LATTICE = 0.005  # how far odds may be from plain draws, docs/reach.md
KEPT = 0.005  # how far below its promise a cloth may come out
SKEINS = ("Gorse 1", "Gorse 2", "Driftwood", "Fresh", "Cone")

NAMED = st.lists(st.sampled_from(SKEINS), min_size=1, max_size=3, unique=True)
CLOTHS = st.lists(
    st.tuples(
        NAMED,
        NAMED,
        st.integers(12, 45),
        st.integers(40, 160),
        st.integers(1, 3),
        st.sampled_from(["80%", "90%", "95%", "99%"]),
    ),
    min_size=1,
    max_size=4,
)

# a coarser skein before a finer one in the warp, and for the weft as well
ONE_FOR_BOTH_SIDES = [
    (["Gorse 1"], ["Gorse 1"], 12, 40, 1, "80%"),
    (["Driftwood", "Gorse 1"], ["Driftwood"], 12, 40, 1, "80%"),
]


def planned(desk: Desk, cloths: list[Any], first: int = 0) -> None:
    for number, (warp, weft, width, length, priority, promise) in enumerate(cloths, first):
        words = ["cloth", "plan", f"C{number}", "--size", f"{width}cmx{length}cm"]
        words += ["--sett", "3/cm", "--picks", "3/cm", "--priority", str(priority)]
        words += ["--promise", promise]
        for side, named in (("--warp", warp), ("--weft", weft)):
            for skein in named:
                words += [side, skein]
        assert desk.run(words).exit_code == 0


def drawn(rng: np.random.Generator, spread: Any) -> Floats:
    """1 - x, 1 + x, x or cm."""
    z = rng.standard_normal(DRAWS)
    if spread.kind == "length":
        if not spread.sd:
            return np.full(DRAWS, spread.mean)
        variance = math.log(1 + (spread.sd / spread.mean) ** 2)
        return np.exp(math.log(spread.mean) - variance / 2 + math.sqrt(variance) * z)
    middle = {"loss": 1 - spread.mean, "addition": 1 + spread.mean, "ratio": spread.mean}
    base = middle[spread.kind]
    return np.asarray(base * np.exp(spread.sd / base * z))


def plain_odds(case: Case, kept: dict[tuple[str, str], float], seed: int) -> float:
    """The odds that all yarns reach, each side with no more of a skein than is `kept` for it; what
    is kept of one skein for both sides serves the warp first."""
    rng = np.random.Generator(np.random.PCG64(seed))
    size, spreads = case.size, case.spreads
    root = np.linalg.cholesky(case.effect_cov + 1e-15 * np.eye(len(case.effects)))
    shared = rng.standard_normal((DRAWS, len(case.effects))) @ root.T
    had: dict[str, Floats] = {}
    for yarn in (*case.warp, *case.weft):
        for skein in yarn.skeins:
            if skein.name in had:
                continue
            loads = np.array([skein.loads.get(effect, 0.0) for effect in case.effects])
            log = skein.own_sd_ln * rng.standard_normal(DRAWS) + shared @ loads
            share = kept.get(("warp", skein.name), 0.0) + kept.get(("weft", skein.name), 0.0)
            had[skein.name] = share * skein.median_m * np.exp(log)
    good = np.ones(DRAWS, dtype=bool)
    cutting = drawn(rng, spreads.cutting)
    for yarn in case.warp:
        to_find = (yarn.ends or case.ends) * case.warp_cut_cm / 100 * cutting
        for skein in (one for one in yarn.skeins if ("warp", one.name) in kept):
            used = np.minimum(had[skein.name], to_find)
            had[skein.name], to_find = had[skein.name] - used, to_find - used
        good &= to_find <= 1e-9
    washed = drawn(rng, spreads.shrink_length)
    if spreads.relax_length.sd or spreads.relax_length.mean:
        washed = washed * drawn(rng, spreads.relax_length)
    washed_cm = size.pieces * (size.length_cm + 2 * size.hem_cm) * (1 - size.give)
    woven_cm = washed_cm / washed + size.sample_cm + size.header_cm
    over = np.maximum(1, drawn(rng, spreads.draw_in) * drawn(rng, spreads.weft_crimp))
    pick_m = case.ends / case.ends_per_cm / 100 * over * drawn(rng, spreads.joins)
    weft_m = np.ceil(woven_cm * case.picks_per_cm * drawn(rng, spreads.beat) - 1e-6) * pick_m
    for yarn in case.weft:
        got = np.zeros(DRAWS)
        for skein in (one for one in yarn.skeins if ("weft", one.name) in kept):
            got += had[skein.name]
        good &= got >= weft_m * yarn.part
    return float(good.mean())


def asked_of(stash: Stash) -> dict[str, Asking]:
    with reading(stash) as connection:
        known = taught(connection)
        return {
            plan.name or "": asking(connection, plan, known, {}, None) for plan in plans(connection)
        }


@tried(6)
@example(ONE_FOR_BOTH_SIDES)
@given(CLOTHS)
def test_whatever_is_planned_promises_are_kept_and_nothing_is_shared_twice(
    cloths: list[Any],
) -> None:
    with tempfile.TemporaryDirectory() as folder:
        desk = furnished(Path(folder))
        planned(desk, cloths)
        stash = Stash(path=desk.stash)
        found = share_out(stash)
        asked = asked_of(stash)
        holds = {one["name"]: one["mass_g"] for one in desk.told("skein list")}

    order = [(one.priority, one.cloth) for one in found.cloths]
    assert order == sorted(order)  # names go up in the order they were planned
    total: dict[str, float] = {}
    for at, one in enumerate(found.cloths):
        shares: dict[tuple[str, str], float] = {}
        for need in one.needs:
            for got in need.given:
                shares[need.side, got.skein] = got.share
                total[got.skein] = total.get(got.skein, 0.0) + got.mass_g
        again = plain_odds(asked[one.cloth].case, shares, at)
        assert abs(again - one.odds) <= LATTICE + 0.002
        if one.verdict == "reaches":
            assert one.odds >= one.promise - KEPT
            assert not any(need.short_m for need in one.needs)
            for need in one.needs:  # a promise is more than even, so more than the middle
                assert sum(got.length_m for got in need.given) > 0.99 * need.need_m
        else:
            assert one.odds < one.promise
            assert any(need.short_m > 0 for need in one.needs)
    for skein, mass_g in total.items():
        assert mass_g <= holds[skein] + 1e-6
    assert 0 <= found.gap <= 0.02


@tried(4)
@given(CLOTHS)
def test_a_cloth_of_lower_priority_takes_nothing_from_one_of_higher(cloths: list[Any]) -> None:
    """Whoever keeps the promise without the last cloth keeps it with that cloth as well."""
    last = (list(SKEINS[:3]), ["Driftwood", "Fresh"], 45, 160, 9, "95%")
    with tempfile.TemporaryDirectory() as folder:
        desk = furnished(Path(folder))
        planned(desk, cloths)
        before = share_out(Stash(path=desk.stash))
        planned(desk, [last], first=len(cloths))
        after = share_out(Stash(path=desk.stash))
    assert [one.cloth for one in after.cloths] == [
        *(one.cloth for one in before.cloths),
        f"C{len(cloths)}",
    ]
    for alone, together in zip(before.cloths, after.cloths, strict=False):
        if alone.verdict == "reaches":
            assert together.verdict == "reaches"
        else:
            assert abs(together.odds - alone.odds) < 0.03
