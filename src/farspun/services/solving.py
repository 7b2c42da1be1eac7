"""The programs of craft/allocation.py, solved: the only place that calls the solver of scipy.

The solver counts its work in nodes, so that the same question has the same answer; a time limit
stands behind that for the case that a machine is slow. Linear programs price the joins first
(`slopes`, from the shares of the one before), which finds a good sharing at once; the whole-number
program then betters it and says how far from the least it can be.
"""

import os
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from farspun.craft.allocation import (
    SHORT_ROUNDING,
    Program,
    Sharing,
    components,
    fewest_bound,
    gap,
    least_possible,
    least_short,
    only_needs,
    priced,
    slopes,
    tidied,
)
from farspun.craft.readings import Floats

TIME_S = 10.0  # for all of it
# ways of a skein to a need, up to which a gap is looked into no further: of a few the least is
# sought until it is proven, of very many that would take minutes; judgement, measured
ENOUGH = ((60, 0.0), (1000, 0.01))
ENOUGH_OF_MANY = 0.02
MOST_NODES = 500  # of a search; judgement: a second or two where there are many ways
HALF = 0.5  # a whole number as solved is 0 or 1 but for a rounding
PRICINGS = 12  # of the joins, one after another; judgement: they hardly change any more


@dataclass(frozen=True, slots=True)
class Solved:
    """`shares` (E,) of the ways; `short_m` (N,) robust metres that a need stays short; what it
    costs, m, and the least it could."""

    shares: Floats
    short_m: Floats
    cost_m: float
    least_m: float

    @property
    def gap(self) -> float:
        """A fraction of the cost; 0 where it is proven least."""
        return gap(self.cost_m, self.least_m)


@dataclass(frozen=True, slots=True)
class _Answer:
    x: Floats | None
    value: float
    bound: float


def solved(sharing: Sharing, time_s: float = TIME_S) -> Solved:
    """Needs as little short as can be, by priority; then the fewest metres bound and joins.

    Each group of needs with skeins in common is solved by itself, within `time_s` for all, up to
    the gap that is ENOUGH for its size.
    """
    until = time.monotonic() + time_s
    shares, short_m = np.zeros(sharing.skein.size), sharing.required_m.copy()
    cost_m = least_m = 0.0
    groups = components(sharing)
    for at, needs in enumerate(groups):
        own, ways = only_needs(sharing, needs)
        left_s = max(0.5, (until - time.monotonic()) / (len(groups) - at))
        one = _group(own, left_s) if ways.size else _nothing(own)
        shares[ways], short_m[needs] = one.shares, one.short_m
        cost_m, least_m = cost_m + one.cost_m, least_m + one.least_m
    return Solved(shares, short_m, cost_m, least_m)


def _nothing(sharing: Sharing) -> Solved:
    return Solved(np.zeros(0), sharing.required_m.copy(), 0.0, 0.0)


def _group(sharing: Sharing, time_s: float) -> Solved:
    until = time.monotonic() + time_s
    enough = next((one for ways, one in ENOUGH if sharing.skein.size <= ways), ENOUGH_OF_MANY)
    short_m = shortages(sharing)
    found, least_m = _priced_joins(sharing, short_m, until)
    cost_m = sharing.cost_m(found)
    if gap(cost_m, least_m) > enough:
        left_s = max(0.25, until - time.monotonic())
        answer = _answer(fewest_bound(sharing, short_m), left_s, enough)
        least_m = max(least_m, answer.bound)
        if answer.x is not None:
            better = _cheapest(sharing, short_m, answer.x[sharing.skein.size :] > HALF)
            if better is not None and sharing.cost_m(better) < cost_m:
                found, cost_m = better, sharing.cost_m(better)
    return Solved(found, short_m, cost_m, min(least_m, cost_m))


def shortages(sharing: Sharing) -> Floats:
    """Robust metres that each need stays short, (N,): the least, by priority."""
    many, total_m = sharing.required_m.size, float(sharing.required_m.sum())
    short_m = np.zeros(many)
    at = many if _served(sharing, short_m, many) else 0
    while at < many:
        answer = _answer(least_short(sharing.part(sharing.need <= at), at, short_m))
        assert answer.x is not None  # nothing at all is always an answer
        short_m[at] = answer.value if answer.value > SHORT_ROUNDING * total_m else 0.0
        at = at + 1 if short_m[at] else _served_up_to(sharing, short_m, at + 1)
    return short_m


def _served(sharing: Sharing, short_m: Floats, many: int) -> bool:
    """Whether the first `many` needs can stay as little short as that."""
    first = replace(sharing.part(sharing.need < many), required_m=sharing.required_m[:many])
    return _answer(priced(first, short_m[:many], np.zeros(first.skein.size))).x is not None


def _served_up_to(sharing: Sharing, short_m: Floats, many: int) -> int:
    """How many needs from the first can be served as well as the first `many`: by ever longer
    steps, then by halves."""
    most, step = sharing.required_m.size, 1
    while many + step <= most and _served(sharing, short_m, many + step):
        many, step = many + step, 2 * step
    while step := step // 2:
        if many + step <= most and _served(sharing, short_m, many + step):
            many += step
    return many


def _priced_joins(sharing: Sharing, short_m: Floats, until: float) -> tuple[Floats, float]:
    """The best sharing by priced joins, and the least that any can cost; no new try once it is
    `until`."""
    least = _answer(least_possible(sharing, short_m))
    assert least.x is not None
    best, best_m = None, np.inf
    shares = tidied(least.x[: sharing.skein.size])
    for _ in range(PRICINGS):
        answer = _answer(priced(sharing, short_m, slopes(sharing, short_m, shares)))
        assert answer.x is not None
        before, shares = shares, tidied(answer.x)
        cost_m = sharing.cost_m(shares)
        if cost_m < best_m:
            best, best_m = shares, cost_m
        settled = np.array_equal(before > 0, shares > 0) and np.allclose(before, shares)
        if settled or time.monotonic() > until:
            break
    assert best is not None
    return best, least.value


def _cheapest(sharing: Sharing, short_m: Floats, taken: NDArray[np.bool_]) -> Floats | None:
    """The least metres bound on the ways that are `taken`, (E,); None where they do not do."""
    own = sharing.part(taken)
    answer = _answer(priced(own, short_m, own.bound_m))
    if answer.x is None:
        return None
    found = np.zeros(taken.size)
    found[taken] = tidied(answer.x)
    return found


def _answer(program: Program, time_s: float = TIME_S, enough: float = 0.0) -> _Answer:
    """The solver's answer to one program; x None where there is none in time."""
    from scipy.optimize import Bounds, LinearConstraint, milp
    from scipy.sparse import csr_array

    shape = program.lower.size, program.cost.size
    matrix = csr_array((program.value, (program.row, program.column)), shape=shape)
    with _quiet():
        result = milp(
            program.cost,
            integrality=program.whole.astype(int),
            bounds=Bounds(0.0, program.most),
            constraints=LinearConstraint(matrix, program.lower, program.upper),
            options={
                "time_limit": time_s,
                "mip_rel_gap": enough,
                "node_limit": MOST_NODES,
                "presolve": True,
            },
        )
    bound = getattr(result, "mip_dual_bound", None)
    value = float(result.fun) if result.fun is not None else np.inf
    return _Answer(result.x, value, -np.inf if bound is None else float(bound))


@contextmanager
def _quiet() -> Iterator[None]:
    """What the solver writes past Python to the standard output goes nowhere."""
    sys.stdout.flush()
    try:
        kept = os.dup(1)
    except OSError:  # there is no standard output
        yield
        return
    nowhere = os.open(os.devnull, os.O_WRONLY)
    try:
        os.dup2(nowhere, 1)
        yield
    finally:
        os.dup2(kept, 1)
        os.close(kept)
        os.close(nowhere)
