"""What the skeins of a cloth share, as independent draws and how much each skein takes of them."""

from collections.abc import Collection, Sequence

import numpy as np

from farspun.craft.case import Case, Skein
from farspun.craft.readings import Floats

Root = tuple[list[str], Floats]  # names of effects, and the root (k, k) of their covariance
Weights = tuple[tuple[str, float], ...]


def effect_root(case: Case) -> Root:
    """The shared effects of a case by name, and the lower root of their covariance.

    By name, so that nothing depends on the order they came in; and only those that a skein of the
    case carries, so that what else is in the stash changes nothing.
    """
    yarns = (*case.warp, *case.weft)
    carried = {effect for yarn in yarns for skein in yarn.skeins for effect in skein.loads}
    return root_of(case.effects, case.effect_cov, carried)


def root_of(effects: Sequence[str], cov: Floats, carried: Collection[str]) -> Root:
    """The same of those `effects`, with covariance `cov` (K, K), that are carried.

    >>> root_of(["tool", "lot"], np.diag([9.0, 4.0]), {"lot"})
    (['lot'], array([[2.]]))
    """
    known = [at for at, effect in enumerate(effects) if effect in carried]
    order = sorted(known, key=lambda at: effects[at])
    root = np.linalg.cholesky(cov[np.ix_(order, order)])
    return [effects[at] for at in order], np.asarray(root, dtype=np.float64)


def effect_weights(skein: Skein, root: Root) -> Weights:
    """Whose draws a skein takes, and how much of each: its loads times the root.

    >>> root = ["lot", "tool"], np.array([[2.0, 0.0], [1.0, 3.0]])
    >>> effect_weights(Skein("Gorse", 100.0, 0.02, loads={"tool": 0.5}), root)
    (('lot', 0.5), ('tool', 1.5))
    """
    names, lower = root
    loads = np.array([skein.loads.get(name, 0.0) for name in names])
    weights = zip(names, (loads @ lower).tolist(), strict=True)
    return tuple((name, weight) for name, weight in weights if weight)
