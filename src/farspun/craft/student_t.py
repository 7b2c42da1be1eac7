"""Student's t, scaled to a standard deviation of 1: what is drawn once records teach the spread.

How far the next cloth goes astray is then itself only estimated, so the tails are longer than
the normal's. Without records (`degrees` infinite) it is the normal distribution.
"""

import math
from functools import lru_cache
from typing import Any

import numpy as np

from farspun.craft.limits import above_zero
from farspun.craft.readings import Floats
from farspun.errors import ImpossibleValue

# name: value   unit                 source
DEGREES = 8.0  # degrees of freedom  judgement: tails of a scale known from a few cloths
NORMAL = math.inf  # degrees: no tails but the normal's
FAR, STEPS = 6.0, 200  # of the table of quick draws: how far it goes, steps to 1


def unit_quantile(level: Any, degrees: float = DEGREES) -> Floats:
    """The `level` quantile, (...,), of Student's t with sd 1: t·√((degrees - 2)/degrees).

    `level` in (0, 1), (...,), `degrees` above 2. Raises ImpossibleValue otherwise. Source: Student,
    The probable error of a mean, Biometrika 6 (1908) 1, from memory.

    >>> round(float(unit_quantile(0.95)), 4), round(float(unit_quantile(0.95, NORMAL)), 4)
    (1.6104, 1.6449)
    """
    from scipy.special import ndtri, stdtrit

    above_zero("level", level, "", below=1.0)
    _check(degrees)
    if degrees == NORMAL:
        return np.asarray(ndtri(level))
    return np.asarray(stdtrit(degrees, level) * _to_unit(degrees))


def unit_draws(z: Any, degrees: float = DEGREES) -> Floats:
    """Standard normal draws `z`, (...,), as draws of Student's t with sd 1; order and sign kept.

    Source: both have the same chance below them; see `unit_quantile`.

    >>> unit_draws([-3.0, 0.0, 3.0]).round(4).tolist()
    [-3.7037, 0.0, 3.7037]
    """
    from scipy.special import ndtr, stdtrit

    z = np.asarray(z, dtype=np.float64)
    _check(degrees)
    if degrees == NORMAL:
        return np.asarray(z, dtype=np.float64)
    away = stdtrit(degrees, ndtr(-np.abs(z))) * _to_unit(degrees)
    return np.asarray(np.copysign(away, z), dtype=np.float64)


def near_unit_draws(z: Any, degrees: float = DEGREES) -> Floats:
    """As `unit_draws`, (...,), read off a table between -FAR and FAR: within 0.0001, and quick.

    Beyond it stays what it is there; that is one draw in five hundred million.

    >>> z = np.linspace(-4.2, 4.2, 1001)
    >>> bool(np.abs(near_unit_draws(z) - unit_draws(z)).max() < 1e-4)
    True
    """
    if degrees == NORMAL:
        return np.asarray(z, dtype=np.float64)
    start, rise = _lines(degrees)
    step = (np.clip(z, -FAR, FAR) + FAR) * STEPS
    at = step.astype(np.intp)
    return np.asarray(rise[at] * (step - at) + start[at])


@lru_cache(maxsize=4)
def _lines(degrees: float) -> tuple[Floats, Floats]:
    """Where each step of the table starts, and how much it rises; nothing beyond its end."""
    t = unit_draws(np.linspace(-FAR, FAR, round(2 * FAR * STEPS) + 1), degrees)
    return t, np.diff(t, append=t[-1])


def two_sided_p(off: Any, degrees: float = DEGREES) -> Floats:
    """The chance, (...,), to be at least `off` standard deviations away, either side.

    Source: see `unit_quantile`.

    >>> round(float(two_sided_p(1.96, NORMAL)), 4), round(float(two_sided_p(1.96)), 4)
    (0.05, 0.0535)
    """
    from scipy.special import ndtr, stdtr

    off = -np.abs(np.asarray(off, dtype=float))
    _check(degrees)
    if degrees == NORMAL:
        return np.asarray(2 * ndtr(off))
    return np.asarray(2 * stdtr(degrees, off / _to_unit(degrees)))


def _to_unit(degrees: float) -> float:
    return math.sqrt((degrees - 2) / degrees)


def _check(degrees: float) -> None:
    if not degrees > 2:
        raise ImpossibleValue("degrees of freedom", f"{degrees:g}", "more than 2")
