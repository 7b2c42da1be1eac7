"""Skeins shared out among the needs of several cloths: the programs to be solved, and their result.

A need is one yarn of one side of one cloth. Skein s serves need n with ρ[s,n] robust metres, the
metres that it may be counted on for at the promise of n: a median less z spreads. Of the skeins a
share f[s,n] goes to each need, Σ_n f ≤ 1; a need is covered where Σ_s ρ[s,n] f[s,n] ≥ R_n, its
median. In order of priority each need is left as little short as can be (`least_short`), then the
metres bound and what joins cost are least (`fewest_bound`). Nothing is solved here: the programs
are numbers, and services/solving.py hands them to a solver. Source: docs/sharing.md.
"""

import math
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from farspun.craft.readings import Floats

JOIN_M = 20.0  # of yarn, what one more piece of a skein costs; judgement
SHORT_ROUNDING = 2e-7  # of all needs together, times: less is not short
FIRST_ROUNDING = 1e-7  # of a need, times: so much more may those before it be short
SHARE_ROUNDING = 1e-5  # of a skein, times: less is nothing; a few mm

Ints = NDArray[np.int64]


@dataclass(frozen=True, slots=True)
class Sharing:
    """What may serve what, (E,) ways: `skein` for `need`, both numbered from 0.

    `robust_m`: what the whole free part of the skein is counted on for; `bound_m`: its median
    metres; `join_m`: what using it at all costs (0 for yarn in hand). `required_m`: (N,) medians
    of the needs, those of the highest priority first.
    """

    skein: Ints
    need: Ints
    robust_m: Floats
    bound_m: Floats
    join_m: Floats
    required_m: Floats

    @property
    def skeins(self) -> int:
        """How many skeins there are."""
        return int(self.skein.max()) + 1 if self.skein.size else 0

    def part(self, ways: NDArray[np.bool_]) -> "Sharing":
        """The same needs with these ways alone, (E,)."""
        return replace(
            self,
            skein=self.skein[ways],
            need=self.need[ways],
            robust_m=self.robust_m[ways],
            bound_m=self.bound_m[ways],
            join_m=self.join_m[ways],
        )

    def given_m(self, shares: Floats) -> Floats:
        """Robust metres that each need gets, (N,), of `shares` (E,)."""
        found = np.zeros(self.required_m.size)
        np.add.at(found, self.need, self.robust_m * shares)
        return found

    def cost_m(self, shares: Floats) -> float:
        """Metres bound, and JOIN_M for each piece."""
        return float(self.bound_m @ shares + self.join_m @ (shares > SHARE_ROUNDING))


@dataclass(frozen=True, slots=True)
class Program:
    """Least `cost` · x with `lower` ≤ A x ≤ `upper`, 0 ≤ x ≤ `most`; A as (row, column, value).

    `whole` (columns,): which x are whole numbers.
    """

    cost: Floats
    row: Ints
    column: Ints
    value: Floats
    lower: Floats
    upper: Floats
    most: Floats
    whole: NDArray[np.bool_]


def robust_metres(
    median_m: Any, need_sd: Any, shared_sd: Any, own_sd: Any, pieces: Any, z: Any
) -> Any:
    """ρ = m exp(-z √(σ_need² + σ_shared² + σ_own²/k)), m; all scalar or (...,).

    `median_m` metres of the skein; sds of ln: of the need, of what all its skeins share, of the
    skein alone, which k `pieces` average out; `z` normal quantile of the promise.

    Source: a lognormal's quantile, the sum of k alike taken as lognormal (docs/sharing.md).

    >>> round(float(robust_metres(400.0, 0.06, 0.02, 0.03, 1.0, 1.645)), 1)
    356.5
    """
    spread = np.sqrt(np.square(need_sd) + np.square(shared_sd) + np.square(own_sd) / pieces)
    return median_m * np.exp(-z * spread)


def pieces_likely(required_m: float, median_m: Floats) -> float:
    """k: about how many of these skeins (E,) a need takes, at least 1.

    >>> pieces_likely(900.0, np.array([300.0, 500.0])), pieces_likely(90.0, np.array([300.0]))
    (2.25, 1.0)
    """
    usable = median_m[median_m > 0]
    return max(1.0, required_m / float(usable.mean())) if usable.size else 1.0


def components(sharing: Sharing) -> list[Ints]:
    """Needs in groups that have no skein in common, each group in order of priority."""
    group = np.arange(sharing.required_m.size)
    by_skein = sharing.need[np.argsort(sharing.skein, kind="stable")]
    counts = np.bincount(sharing.skein, minlength=sharing.skeins)
    ends = np.cumsum(counts)
    for start, end in zip(ends - counts, ends, strict=True):
        joined = np.unique(group[by_skein[start:end]])
        if joined.size > 1:
            group[np.isin(group, joined)] = joined[0]
    return [np.flatnonzero(group == one) for one in np.unique(group)]


def only_needs(sharing: Sharing, needs: Ints) -> tuple[Sharing, Ints]:
    """The sharing among these needs alone, skeins and needs numbered anew; and its ways (E',)."""
    ways = np.flatnonzero(np.isin(sharing.need, needs))
    _, skein = np.unique(sharing.skein[ways], return_inverse=True)
    return (
        Sharing(
            skein=skein.astype(np.int64),
            need=np.searchsorted(needs, sharing.need[ways]).astype(np.int64),
            robust_m=sharing.robust_m[ways],
            bound_m=sharing.bound_m[ways],
            join_m=sharing.join_m[ways],
            required_m=sharing.required_m[needs],
        ),
        ways,
    )


def least_short(sharing: Sharing, at: int, short_m: Floats) -> Program:
    """How little short need `at` can be, those before it no shorter than `short_m` (at,).

    The columns are the shares (E,), then the shortage; later needs get nothing.
    """
    many, needs = sharing.skein.size, at + 1
    ways = np.arange(many)
    lower = sharing.required_m[:needs].copy()
    lower[:at] -= np.minimum(short_m[:at] + FIRST_ROUNDING * lower[:at], lower[:at])
    return Program(
        cost=np.append(np.zeros(many), 1.0),
        row=np.concatenate([sharing.skein, sharing.skeins + sharing.need, [sharing.skeins + at]]),
        column=np.concatenate([ways, ways, [many]]),
        value=np.concatenate([np.ones(many), sharing.robust_m, [1.0]]),
        lower=np.concatenate([np.full(sharing.skeins, -np.inf), lower]),
        upper=np.concatenate([np.ones(sharing.skeins), np.full(needs, np.inf)]),
        most=np.append(np.ones(many), np.inf),
        whole=np.zeros(many + 1, dtype=bool),
    )


def _wanted_m(sharing: Sharing, short_m: Floats) -> Floats:
    """Robust metres each need is to get, (N,), less a rounding.

    A need may have been found less short than it can be, by the roundings of all before it.
    """
    rounding = SHORT_ROUNDING * float(sharing.required_m.sum())
    return np.maximum(sharing.required_m - short_m - rounding, 0.0)


def priced(sharing: Sharing, short_m: Floats, price_m: Floats) -> Program:
    """The least Σ `price_m` f, (E,), that leaves each need no shorter than `short_m` (N,)."""
    many = sharing.skein.size
    ways = np.arange(many)
    lower = _wanted_m(sharing, short_m)
    return Program(
        cost=price_m,
        row=np.concatenate([sharing.skein, sharing.skeins + sharing.need]),
        column=np.concatenate([ways, ways]),
        value=np.concatenate([np.ones(many), sharing.robust_m]),
        lower=np.concatenate([np.full(sharing.skeins, -np.inf), lower]),
        upper=np.concatenate([np.ones(sharing.skeins), np.full(lower.size, np.inf)]),
        most=np.ones(many),
        whole=np.zeros(many, dtype=bool),
    )


def most_shares(sharing: Sharing, short_m: Floats) -> Floats:
    """The largest share of use to its need, (E,): all of the skein, or what alone covers it."""
    wanted = (sharing.required_m - short_m)[sharing.need]
    with np.errstate(divide="ignore"):
        alone = np.where(sharing.robust_m > 0, wanted / sharing.robust_m, 0.0)
    return np.clip(alone, 0.0, 1.0)


def fewest_pieces(sharing: Sharing, short_m: Floats) -> Ints:
    """How many skeins each need takes at least, (N,): its largest ones first."""
    found = np.zeros(sharing.required_m.size, dtype=np.int64)
    paid = sharing.join_m > 0
    for need, wanted in enumerate(_wanted_m(sharing, short_m)):
        own = sharing.need == need
        wanted -= float(sharing.robust_m[own & ~paid].sum())
        metres = np.cumsum(np.sort(sharing.robust_m[own & paid])[::-1])
        if wanted > 0:
            found[need] = min(metres.size, int(np.searchsorted(metres, wanted * (1 - 1e-9))) + 1)
    return found


def fewest_bound(sharing: Sharing, short_m: Floats) -> Program:
    """The least metres bound and joins, needs no shorter than `short_m` (N,).

    Columns: the shares f (E,), then y (E,), whether that way is taken. f ≤ y · `most_shares`, and
    Σ y ≥ `fewest_pieces` of each need, which no whole solution breaks but broken ones do.
    """
    shares = priced(sharing, short_m, sharing.bound_m)
    many, rows = sharing.skein.size, shares.lower.size
    ways, largest = np.arange(many), most_shares(sharing, short_m)
    paid = np.flatnonzero(sharing.join_m > 0)
    links = rows + ways
    counts = rows + many + sharing.need[paid]
    fewest = fewest_pieces(sharing, short_m)
    return Program(
        cost=np.concatenate([sharing.bound_m, sharing.join_m]),
        row=np.concatenate([shares.row, links, links, counts]),
        column=np.concatenate([shares.column, ways, many + ways, many + paid]),
        value=np.concatenate([shares.value, np.ones(many), -largest, np.ones(paid.size)]),
        lower=np.concatenate([shares.lower, np.full(many, -np.inf), fewest]),
        upper=np.concatenate([shares.upper, np.zeros(many), np.full(fewest.size, np.inf)]),
        most=np.concatenate([largest, np.ones(many)]),
        whole=np.repeat([False, True], many),
    )


def least_possible(sharing: Sharing, short_m: Floats) -> Program:
    """A bound that no sharing costs less than: as `fewest_bound`, ways taken in part.

    With f ≤ y · largest a way is taken by f/largest at least, so y is left out; one more column for
    each need, (N,), stands for the pieces it lacks of `fewest_pieces`.
    """
    shares = priced(sharing, short_m, slopes(sharing, short_m, np.zeros(sharing.skein.size)))
    many, rows, needs = sharing.skein.size, shares.lower.size, sharing.required_m.size
    largest = np.maximum(most_shares(sharing, short_m), SHARE_ROUNDING)
    paid = np.flatnonzero(sharing.join_m > 0)
    lacking = np.arange(needs)
    join_m = float(sharing.join_m.max()) if many else 0.0
    return Program(
        cost=np.concatenate([shares.cost, np.full(needs, join_m)]),
        row=np.concatenate([shares.row, rows + sharing.need[paid], rows + lacking]),
        column=np.concatenate([shares.column, paid, many + lacking]),
        value=np.concatenate([shares.value, 1 / largest[paid], np.ones(needs)]),
        lower=np.concatenate([shares.lower, fewest_pieces(sharing, short_m)]),
        upper=np.concatenate([shares.upper, np.full(needs, np.inf)]),
        most=np.concatenate([largest, np.full(needs, np.inf)]),
        whole=np.zeros(many + needs, dtype=bool),
    )


def slopes(sharing: Sharing, short_m: Floats, shares: Floats) -> Floats:
    """A price per share, (E,), that spreads the cost of a join over the share it brought.

    Where a way is not taken (share 0) the join is spread over the largest share it may have.
    """
    largest = np.maximum(most_shares(sharing, short_m), SHARE_ROUNDING)
    over = np.where(shares > SHARE_ROUNDING, shares, largest)
    return sharing.bound_m + sharing.join_m / over


def tidied(shares: Floats) -> Floats:
    """Shares as solved, without the crumbs of the arithmetic: from 0 to 1, (E,)."""
    kept = np.clip(shares, 0.0, 1.0)
    kept[kept < SHARE_ROUNDING] = 0.0
    kept[kept > 1 - SHARE_ROUNDING] = 1.0
    return kept


def gap(cost_m: float, bound_m: float) -> float:
    """How much dearer it may be than the least there is: a fraction of its cost, 0 where proven.

    >>> gap(100.0, 98.0), gap(100.0, 100.0), gap(0.0, 0.0)
    (0.02, 0.0, 0.0)
    """
    if not cost_m > 0 or math.isinf(bound_m):
        return 0.0 if not cost_m > 0 else 1.0
    return max(0.0, (cost_m - bound_m) / cost_m)
