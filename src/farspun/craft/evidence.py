"""What all readings of a stash say together: length, grist and packing of every skein.

`estimates` is the one entry: it lays the readings out as rows (readings), solves them with the
causes that skeins share (posterior), finds disagreement and what may lie behind it (conflict).
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from farspun.craft.conflict import (
    DISAGREE_P,
    Conflict,
    chi_squared,
    conflicts,
    degrees_of_freedom,
    pulls,
)
from farspun.craft.posterior import combined, own_part, shared_effects, without
from farspun.craft.readings import (
    COUNTED,
    NO_EFFECT,
    WEIGHED,
    Floats,
    Ints,
    ReadingColumns,
    Rows,
    SkeinColumns,
    rows_of,
)


@dataclass(frozen=True, slots=True)
class Estimates:
    """n skeins, r readings, K shared effects.

    `mean` (n, 3) and `cov` (n, 3, 3) of (ln L, ln T, ln φ) with L in m and T in tex; the part of
    `cov` that is shared is `load` V `load`ᵀ with `load` (n, 3, P) on the effects `effect` (n, P;
    -1 unused) out of `effects` (K names) with posterior `effect_mean`, `effect_cov` = V;
    `length_known` (n,) false where nothing speaks of length; `pull` (r,) standardised residuals;
    `chi2`, `dof`, `p` (n,); `conflicts` by skein position.
    """

    mean: Floats
    cov: Floats
    load: Floats
    effect: Ints
    effects: tuple[str, ...]
    effect_mean: Floats
    effect_cov: Floats
    length_known: NDArray[np.bool_]
    pull: Floats
    chi2: Floats
    dof: Ints
    p: Floats
    conflicts: dict[int, Conflict]


def estimates(skeins: SkeinColumns, readings: ReadingColumns) -> Estimates:
    """Everything the readings say, for the whole stash at once.

    Source: docs/measuring.md; the algebra in farspun.craft.posterior.
    """
    return estimates_from_rows(rows_of(skeins, readings), readings, len(skeins))


def estimates_from_rows(rows: Rows, readings: ReadingColumns, n: int) -> Estimates:
    """As `estimates`, from rows already laid out (the first len(readings) rows are theirs)."""
    from scipy.special import chdtrc

    own = own_part(rows, n)
    effects = shared_effects(own, rows.effect_sd)
    b, V = effects.of(own.effect)
    mean, cov = combined(own, b, V)
    chi2, dof = chi_squared(rows, own, b, V, mean), degrees_of_freedom(readings, n)
    p = np.where(dof > 0, chdtrc(np.maximum(dof, 1), np.maximum(chi2, 0.0)), 1.0)
    doubtful = p < DISAGREE_P
    pull = np.zeros(len(rows.y))  # of the packing priors, which no one measured, left at 0
    if doubtful.any():
        # a skein in doubt does not teach the others about their niddy-noddy or lot; its own
        # readings are judged with all that is known of those, itself included
        at = np.flatnonzero(doubtful[readings.skein])
        pull[at] = pulls(rows, own, b, V, mean, at)
        effects = without(effects, own, np.flatnonzero(doubtful))
        b, V = effects.of(own.effect)
        mean, cov = combined(own, b, V)
    at = np.flatnonzero(~doubtful[readings.skein])
    pull[at] = pulls(rows, own, b, V, mean, at)
    kinds = np.concatenate([readings.kind, np.full(n, NO_EFFECT)])
    found = conflicts(np.flatnonzero(doubtful), rows, kinds, own, effects, pull)
    mean[found.skeins], cov[found.skeins] = found.mean, found.cov
    known = np.zeros(n, dtype=bool)
    known[readings.skein[(readings.kind == WEIGHED) | (readings.kind == COUNTED)]] = True
    return Estimates(
        mean=mean,
        cov=cov,
        load=-own.G,
        effect=own.effect,
        effects=rows.effects,
        effect_mean=effects.mean,
        effect_cov=effects.cov,
        length_known=known,
        pull=pull[: len(readings)],
        chi2=chi2,
        dof=dof,
        p=p,
        conflicts=found.named,
    )
