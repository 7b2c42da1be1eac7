"""The exact posterior of n skeins whose readings share causes: O(n), in numpy.

Each skein has its own three unknowns x; a few effects b (a niddy-noddy's bias, a lot's
relaxation, a wrap style's packing) touch many skeins. With H the skein's rows, S which effect
each row carries, W = diag(1/sd²) and P₀ its prior, per skein

    Λ = P₀ + HᵀWH,  C = Λ⁻¹,  m = C(P₀x₀ + HᵀWy),  B = HᵀWS,  G = CB,
    A = SᵀWS - BᵀCB,  e = SᵀWy - Bᵀm,

(A and e with next to nothing for P₀: see NEXT_TO_NOTHING) and over all skeins
D = diag(1/v) + ΣA, V = D⁻¹, b̂ = VΣe. Then x = m - G b̂ with covariance
C + GVGᵀ, and GᵢVGⱼᵀ between two skeins. Gaussian conditioning of a mixed linear model.
Source: standard linear mixed-model algebra (Henderson's equations), from memory.
"""

import math
from dataclasses import dataclass

import numpy as np

from farspun.craft.readings import NO_EFFECT, Floats, Ints, Rows

# prior: ln L mean ln 200 m, sd 3; ln T mean ln 250 tex, sd 1.5; judgement, wide on purpose
PRIOR_MEAN = np.array([np.log(200.0), np.log(250.0), 0.0])
PRIOR_PRECISION = np.array([1 / 3.0**2, 1 / 1.5**2, 0.0])
# What skeins share is learned from readings alone: the wide priors of L and T say next to nothing
# of one skein, but a thousand skeins of 70 m would make them say that the niddy-noddy reads short.
# Not nothing, so that what no reading speaks of stays solvable.
NEXT_TO_NOTHING = 1e-6


@dataclass(frozen=True, slots=True)
class OwnPart:
    """Each skein's part with the effects left open; P effects a skein at most.

    `m` (n, 3), `C` (n, 3, 3), `G` (n, 3, P), `A` (n, P, P), `e` (n, P), `effect` (n, P) positions
    of its effects, NO_EFFECT in unused places; `place` (rows, 2) where a row's effect stands.
    """

    m: Floats
    C: Floats
    G: Floats
    A: Floats
    e: Floats
    effect: Ints
    place: Ints


@dataclass(frozen=True, slots=True)
class Effects:
    """Posterior of the shared effects: `mean` (K,), `cov` (K, K); `information` Σe, D (K, K)."""

    mean: Floats
    cov: Floats
    information: tuple[Floats, Floats] | None = None

    def of(self, effect: Ints) -> tuple[Floats, Floats]:
        """Mean (n, P) and covariance (n, P, P) for each skein's effects, 0 in unused places."""
        used = effect != NO_EFFECT
        at = np.where(used, effect, 0)
        if not len(self.mean):
            shape = effect.shape
            return np.zeros(shape), np.zeros((*shape, shape[-1]))
        mean = np.where(used, self.mean[at], 0.0)
        both = used[:, :, None] & used[:, None, :]
        return mean, np.where(both, self.cov[at[:, :, None], at[:, None, :]], 0.0)


def _sums(index: Ints, values: Floats, size: int) -> Floats:
    """Σ values by index, for each trailing element; bincount is far quicker than add.at."""
    flat = values.reshape(len(values), math.prod(values.shape[1:]))
    summed = [np.bincount(index, column, size) for column in flat.T]
    return np.asarray(np.stack(summed, axis=-1).reshape(size, *values.shape[1:]), np.float64)


def _places(rows: Rows, n: int) -> tuple[Ints, Ints]:
    """Number each skein's effects from 0: their positions (n, P), and each row's place."""
    place = np.full(rows.effect.shape, NO_EFFECT, dtype=np.int64)
    carried = rows.effect != NO_EFFECT
    row, _ = np.nonzero(carried)
    if not len(row):
        return np.full((n, 1), NO_EFFECT, dtype=np.int64), place
    total = len(rows.effects)
    pairs, inverse = np.unique(rows.skein[row] * total + rows.effect[carried], return_inverse=True)
    owner = pairs // total
    rank = np.arange(len(pairs)) - np.searchsorted(owner, owner)
    effect = np.full((n, rank.max() + 1), NO_EFFECT, dtype=np.int64)
    effect[owner, rank] = pairs % total
    place[carried] = rank[inverse]
    return effect, place


def small_inverse(M: Floats) -> Floats:
    """Inverses of symmetric positive definite matrices (n, k, k); by cofactors where k is 3.

    >>> M = np.array([[[4.0, 1.0, 0.0], [1.0, 3.0, 0.5], [0.0, 0.5, 2.0]]])
    >>> bool(np.allclose(M @ small_inverse(M), np.eye(3)))
    True
    """
    if M.shape[-1] != 3:
        return np.asarray(np.linalg.inv(M), dtype=np.float64)
    a, b, c = M[:, 0, 0], M[:, 0, 1], M[:, 0, 2]
    d, e, f = M[:, 1, 1], M[:, 1, 2], M[:, 2, 2]
    inverse = np.empty(M.shape)
    inverse[:, 0, 0], inverse[:, 1, 1], inverse[:, 2, 2] = (
        d * f - e * e,
        a * f - c * c,
        a * d - b * b,
    )
    inverse[:, 0, 1] = inverse[:, 1, 0] = c * e - b * f
    inverse[:, 0, 2] = inverse[:, 2, 0] = b * e - c * d
    inverse[:, 1, 2] = inverse[:, 2, 1] = b * c - a * e
    determinant = a * inverse[:, 0, 0] + b * inverse[:, 0, 1] + c * inverse[:, 0, 2]
    inverse /= determinant[:, None, None]
    return inverse


def _solved(precision: Floats, rhs: Floats, prior: Floats) -> tuple[Floats, Floats]:
    """Covariance (n, 3, 3) and mean (n, 3) with the prior's precision (3,) added."""
    C = small_inverse(precision + np.diag(prior))
    return C, np.asarray((C @ (rhs + prior * PRIOR_MEAN)[..., None])[..., 0])


def own_part(rows: Rows, n: int) -> OwnPart:
    """Each skein's rows reduced to its own posterior given the effects."""
    effect, place = _places(rows, n)
    P = effect.shape[1]
    w = 1 / rows.sd**2
    wh = rows.h * w[:, None]
    precision = _sums(rows.skein, wh[:, :, None] * rows.h[:, None, :], n)
    rhs = _sums(rows.skein, wh * rows.y[:, None], n)
    C, m = _solved(precision, rhs, PRIOR_PRECISION)
    learned_C, learned_m = _solved(precision, rhs, PRIOR_PRECISION * NEXT_TO_NOTHING)
    B, SWS, SWy = np.zeros((n * P, 3)), np.zeros(n * P * P), np.zeros(n * P)
    for a in range(2):
        row = np.flatnonzero(place[:, a] != NO_EFFECT)
        spot = rows.skein[row] * P + place[row, a]
        B += _sums(spot, wh[row], n * P)
        SWy += np.bincount(spot, w[row] * rows.y[row], n * P)
        for b in range(2):
            both = row[place[row, b] != NO_EFFECT]
            cell = (rows.skein[both] * P + place[both, a]) * P + place[both, b]
            SWS += np.bincount(cell, w[both], n * P * P)
    BT = B.reshape(n, P, 3)
    G: Floats = np.asarray(C @ np.swapaxes(BT, 1, 2))
    A = SWS.reshape(n, P, P) - BT @ learned_C @ np.swapaxes(BT, 1, 2)
    e = SWy.reshape(n, P) - (BT @ learned_m[..., None])[..., 0]
    return OwnPart(m=m, C=C, G=G, A=A, e=e, effect=effect, place=place)


def shared_effects(own: OwnPart, effect_sd: Floats) -> Effects:
    """Posterior of the effects from all skeins."""
    total, diagonal = _summed(own, np.arange(len(own.m)), len(effect_sd))
    return _effects(total, diagonal + np.diag(1 / effect_sd**2))


def without(effects: Effects, own: OwnPart, left_out: Ints) -> Effects:
    """As if the skeins `left_out` had said nothing of what is shared."""
    assert effects.information is not None
    total, information = _summed(own, left_out, len(effects.mean))
    return _effects(effects.information[0] - total, effects.information[1] - information)


def _effects(total: Floats, information: Floats) -> Effects:
    V = np.linalg.inv(information)
    V = (V + V.T) / 2
    return Effects(mean=V @ total, cov=V, information=(total, information))


def _summed(own: OwnPart, skeins: Ints, effects: int) -> tuple[Floats, Floats]:
    """Σe (K,) and ΣA (K, K) over these skeins."""
    effect, e, A = own.effect[skeins], own.e[skeins], own.A[skeins]
    P = effect.shape[1]
    at = np.where(effect == NO_EFFECT, effects, effect)  # unused places go to one more, left out
    size = effects + 1
    total = sum(np.bincount(at[:, p], e[:, p], size) for p in range(P))
    cells = sum(
        np.bincount(at[:, p] * size + at[:, q], A[:, p, q], size**2)
        for p in range(P)
        for q in range(P)
    )
    square = np.asarray(cells).reshape(size, size)
    return np.asarray(total)[:effects], square[:effects, :effects]


def combined(own: OwnPart, b: Floats, V: Floats) -> tuple[Floats, Floats]:
    """Mean (n, 3) and covariance (n, 3, 3) of (ln L, ln T, ln φ), effects included.

    `b` (n, P), `V` (n, P, P): each skein's effects, as `Effects.of` gives them.
    """
    mean = own.m - (own.G @ b[..., None])[..., 0]
    return mean, own.C + own.G @ V @ np.swapaxes(own.G, 1, 2)
