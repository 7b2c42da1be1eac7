"""When the readings of a skein disagree: how unlikely that is, and what may lie behind it.

Three readings that disagree do not name the culprit by the largest residual; named
explanations, each with what it would do to a reading, do. Until she settles it, length is the
mixture of "no error" and the explanations, each weighed by how well it fits.
"""

import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from farspun.craft.posterior import (
    PRIOR_MEAN,
    PRIOR_PRECISION,
    Effects,
    OwnPart,
    small_inverse,
)
from farspun.craft.readings import (
    COUNTED,
    LABELLED,
    NO_EFFECT,
    TEST_LENGTH,
    WEIGHED,
    WRAPPED,
    Floats,
    Ints,
    ReadingColumns,
    Rows,
)

DISAGREE_P = 0.01  # judgement: one honest skein in a hundred is asked about
NO_ERROR = 0.95  # judgement: share of readings that are what they say
FLAT_VARIANCE = 100.0  # of ln φ, so wide that it only cancels


@dataclass(frozen=True, slots=True)
class Explanation:
    """`shift` ± `sd` is what it adds to ln of the reading; `weight` against the others."""

    kind: int
    ask: str
    shift: float
    sd: float
    weight: float


# shifts, sds and weights: judgement, measured on simulated slips
EXPLANATIONS = (
    Explanation(COUNTED, "was it counted before washing, or under tension", 0.19, 0.12, 4),
    Explanation(COUNTED, "were turns taken for strands", math.log(2), 0.03, 1),
    Explanation(COUNTED, "were strands taken for turns", -math.log(2), 0.03, 1),
    Explanation(COUNTED, "were yards written as metres", -math.log(0.9144), 0.02, 1),
    Explanation(COUNTED, "were metres written as yards", math.log(0.9144), 0.02, 1),
    Explanation(COUNTED, "was it miscounted", 0.0, 0.25, 1),
    Explanation(TEST_LENGTH, "is that stretch typical of the skein", 0.0, 0.25, 1),
    Explanation(WRAPPED, "was it wrapped more loosely or more snugly than said", 0.0, 0.4, 2),
    Explanation(WEIGHED, "was it weighed wet or with its bobbin", 0.0, 0.25, 0.5),
    *(
        Explanation(kind, f"is it ten times {way}", shift, 0.05, 0.3)
        for kind in (WEIGHED, COUNTED, TEST_LENGTH, WRAPPED, LABELLED)
        for way, shift in (("too much", math.log(10)), ("too little", -math.log(10)))
    ),
)


@dataclass(frozen=True, slots=True)
class Conflict:
    """Which readings disagree, and the likeliest explanation as a question.

    `readings`: positions of the readings that stand out; `suspect`: the position the explanation
    speaks of; `chance`: its posterior weight among the explanations.
    """

    readings: tuple[int, ...]
    suspect: int
    ask: str
    chance: float


def chi_squared(rows: Rows, own: OwnPart, b: Floats, V: Floats, mean: Floats) -> Floats:
    """Σ of squared residuals of each skein's rows and of its effects, at the posterior.

    Each skein is judged against what all *other* skeins say of its effects, the priors of L and T
    not counted: the minimum over x and b of both sums, which is reached at the full posterior.
    """
    n = len(mean)
    weighed = (residuals(rows, own, b, mean) / rows.sd) ** 2
    total = np.bincount(rows.skein, weighed, n)
    unused = own.effect == NO_EFFECT
    V = V + unused[:, :, None] * np.eye(own.effect.shape[1])
    full = small_inverse(V)
    others = full - own.A
    gap = b - (small_inverse(others) @ (full @ b[..., None] - own.e[..., None]))[..., 0]
    return np.asarray(total + ((gap[:, None, :] @ others)[:, 0] * gap).sum(axis=1))


def residuals(rows: Rows, own: OwnPart, b: Floats, mean: Floats) -> Floats:
    """y less what the posterior means say it should be, one a row; `b` (n, P) effect means."""
    expected = (rows.h * mean[rows.skein]).sum(axis=1)
    for column in range(2):
        place = own.place[:, column]
        carried = place != NO_EFFECT
        expected += np.where(carried, b[rows.skein, np.where(carried, place, 0)], 0.0)
    return np.asarray(rows.y - expected)


def pulls(rows: Rows, own: OwnPart, b: Floats, V: Floats, mean: Floats, at: Ints) -> Floats:
    """Residual over its own sd, for each of the rows `at`; 0 where nothing is left over."""
    owner, plain = rows.skein[at], rows.h[at]
    h = plain[:, None, :]
    hG = (h @ own.G[owner])[:, 0]
    s = np.zeros_like(hG)
    for column in range(2):
        place = own.place[at, column]
        row = np.flatnonzero(place != NO_EFFECT)
        s[row, place[row]] = 1
    through = s - hG
    fitted = ((h @ own.C[owner])[:, 0] * plain).sum(axis=1)
    fitted += ((through[:, None, :] @ V[owner])[:, 0] * through).sum(axis=1)
    left = rows.sd[at] ** 2 - fitted
    judged = left > 1e-3 * rows.sd[at] ** 2
    off = residuals(rows, own, b, mean)[at]
    return np.asarray(np.where(judged, off / np.sqrt(np.where(judged, left, 1.0)), 0.0))


def degrees_of_freedom(readings: ReadingColumns, n: int) -> Ints:
    """Readings plus one (the φ prior) less the rank of those rows, per skein."""
    seen = np.zeros((n, 3), dtype=bool)
    seen[readings.skein[readings.kind == WEIGHED], 0] = True
    seen[readings.skein[readings.kind == COUNTED], 1] = True
    seen[readings.skein[readings.kind >= TEST_LENGTH], 2] = True
    rank = 1 + np.minimum(2, seen.sum(axis=1))
    return np.asarray(np.bincount(readings.skein, minlength=n) + 1 - rank)


@dataclass(frozen=True, slots=True)
class _Cases:
    """No error, then each explanation: the rows it touches (E, k), and (E,) shift, sd, weight."""

    explanation: tuple[Explanation | None, ...]
    touch: Floats
    shift: Floats
    widen: Floats
    weight: Floats


@lru_cache(maxsize=256)
def _cases(kinds: tuple[int, ...]) -> _Cases:
    """All cases for a skein with these kinds of reading (-1 for its packing prior).

    Of several readings of a kind, half the weight says all are off alike, half that one is.
    """
    of = np.array(kinds)
    cases: list[tuple[Explanation | None, NDArray[np.bool_], float]] = [
        (None, np.zeros(len(kinds), dtype=bool), NO_ERROR)
    ]
    usable = [explanation for explanation in EXPLANATIONS if explanation.kind in kinds]
    scale = (1 - NO_ERROR) / sum(explanation.weight for explanation in usable)
    for explanation in usable:
        touched = np.flatnonzero(of == explanation.kind)
        weight = scale * explanation.weight
        if len(touched) > 1:
            weight /= 2
            cases.append((explanation, of == explanation.kind, weight))
        for one in touched:
            cases.append((explanation, np.arange(len(kinds)) == one, weight / len(touched)))
    return _Cases(
        explanation=tuple(explanation for explanation, _, _ in cases),
        touch=np.array([mask for _, mask, _ in cases], dtype=float),
        shift=np.array([e.shift if e else 0.0 for e, _, _ in cases]),
        widen=np.array([e.sd if e else 0.0 for e, _, _ in cases]),
        weight=np.array([weight for _, _, weight in cases]),
    )


def explained(
    skeins: Ints, at: Ints, kinds: tuple[int, ...], rows: Rows, own: OwnPart, effects: Effects
) -> tuple[_Cases, Floats, Floats, Floats]:
    """Weigh the explanations for skeins (s,) that all have readings of the same kinds.

    `at` (s, k) are their rows. Each case shifts some readings and widens them; its weight is its
    prior times the Gaussian marginal likelihood of all the skein's readings. Returns the cases,
    their weights (s, E) and the mixture's mean (s, 3) and covariance (s, 3, 3) by moments.
    """
    cases = _cases(kinds)
    b, V = effects.of(own.effect[skeins])
    S = np.zeros((*at.shape, b.shape[1]))
    for column in range(2):
        place = own.place[at, column]
        skein, row = np.nonzero(place != NO_EFFECT)
        S[skein, row, place[skein, row]] = 1
    H = rows.h[at[0]]
    prior = np.diag(1 / np.where(PRIOR_PRECISION > 0, PRIOR_PRECISION, 1 / FLAT_VARIANCE))
    PH = prior @ H.T
    noise = S @ V @ np.swapaxes(S, 1, 2) + H @ PH
    noise[:, range(len(H)), range(len(H))] += rows.sd[at] ** 2
    gap = rows.y[at] - H @ PRIOR_MEAN - np.einsum("skp,sp->sk", S, b)
    # each case widens by τ² t tᵀ: its inverse and determinant follow from those of `noise`
    Q = np.linalg.inv(noise)
    Qt = Q @ cases.touch.T
    tQt = np.einsum("ek,ske->se", cases.touch, Qt)
    wider = 1 + cases.widen**2 * tQt
    Qgap = (Q @ gap[..., None])[..., 0]
    tQgap = Qgap @ cases.touch.T - cases.shift * tQt  # t·Q·(gap less the shift)
    gQg = (gap * Qgap).sum(axis=1)[:, None] - cases.shift * (tQgap + Qgap @ cases.touch.T)
    log_weight = np.log(cases.weight) - 0.5 * (
        np.log(wider) + gQg - cases.widen**2 * tQgap**2 / wider
    )
    weight = np.exp(log_weight - log_weight.max(axis=1, keepdims=True))
    weight /= weight.sum(axis=1, keepdims=True)
    pulled = cases.shift + cases.widen**2 * tQgap / wider
    solved = Qgap[:, None] - pulled[..., None] * np.swapaxes(Qt, 1, 2)
    means = PRIOR_MEAN + solved @ PH.T
    mean = (weight[:, None] @ means)[:, 0]
    spread = means - mean[:, None]
    narrowed = Q - (Qt * (weight * cases.widen**2 / wider)[:, None]) @ np.swapaxes(Qt, 1, 2)
    cov = prior - PH @ narrowed @ PH.T
    cov += np.swapaxes(spread * weight[..., None], 1, 2) @ spread
    return cases, weight, mean, cov


@dataclass(frozen=True, slots=True)
class Explained:
    """What the doubtful skeins (s,) come to: `mean` (s, 3), `cov` (s, 3, 3), and each in words."""

    skeins: Ints
    mean: Floats
    cov: Floats
    named: dict[int, Conflict]


def conflicts(
    doubtful: Ints,
    rows: Rows,
    kinds: Ints,
    own: OwnPart,
    effects: Effects,
    pull: Floats,
) -> Explained:
    """Explain each doubtful skein; `kinds` (rows,) with -1 for the packing priors."""
    order = np.lexsort((kinds, rows.skein))
    start = np.searchsorted(rows.skein[order], doubtful)
    stop = np.searchsorted(rows.skein[order], doubtful, side="right")
    alike: dict[tuple[int, ...], list[int]] = {}
    for number, (first, last) in enumerate(zip(start.tolist(), stop.tolist(), strict=True)):
        alike.setdefault(tuple(kinds[order[first:last]].tolist()), []).append(number)
    mean, cov = np.empty((len(doubtful), 3)), np.empty((len(doubtful), 3, 3))
    named: dict[int, Conflict] = {}
    for these, members in alike.items():
        at = order[start[members][:, None] + np.arange(len(these))]
        cases, weight, mean[members], cov[members] = explained(
            doubtful[members], at, these, rows, own, effects
        )
        named |= _named(cases, doubtful[members], at, np.array(these), pull, weight)
    return Explained(doubtful, mean, cov, named)


def _named(
    cases: _Cases, skeins: Ints, at: Ints, kinds: Ints, pull: Floats, weight: Floats
) -> dict[int, Conflict]:
    """The likeliest explanation of each, and the reading of another kind that contradicts it most.

    `at` (s, k) are the skeins' rows, of kinds (k,); `weight` (s, E) of the cases.
    """
    best = 1 + np.argmax(weight[:, 1:], axis=1)
    suspect = np.argmax(cases.touch, axis=1)[best]
    other = (kinds != kinds[suspect][:, None]) & (kinds != NO_EFFECT)
    against = np.argmax(np.where(other, np.abs(pull[at]), -1.0), axis=1)
    each = np.arange(len(skeins))
    chance = weight[each, best] / weight[:, 1:].sum(axis=1)
    found = {}
    for skein, case, first, second, contradicted, share in zip(
        skeins.tolist(),
        best.tolist(),
        at[each, suspect].tolist(),
        at[each, against].tolist(),
        other.any(axis=1).tolist(),
        chance.tolist(),
        strict=True,
    ):
        explanation = cases.explanation[case]
        assert explanation is not None
        readings = (first, second) if contradicted else (first,)
        found[skein] = Conflict(readings, first, explanation.ask, share)
    return found
