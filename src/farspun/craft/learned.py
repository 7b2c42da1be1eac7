"""From what was observed to spreads off the habit, and from a belief back to a spread.

y = (ln observed - ln default)/(log sd of the default) has no unit, so one set of constants serves
every factor: y = 1 is one spread of the habit more kept of a loss, added by an addition, beaten
by the beat, wasted by the loom. It follows the convention of `farspun.craft.spread`: a loss x
counts as ln(1 - x), an addition as ln(1 + x), a ratio or a length as ln x; a length's default is
the median of its lognormal.
"""

import math
from dataclasses import dataclass
from typing import Any

import numpy as np

from farspun.craft.limits import above_zero, grown, left
from farspun.craft.readings import Floats
from farspun.craft.spread import Kind, Spread
from farspun.craft.student_t import DEGREES, unit_draws, unit_quantile

ENOUGH_PIECES = 3  # cloths of a group; judgement: from here on the size is planned for sure


@dataclass(frozen=True, slots=True)
class Learned(Spread):
    """A spread taught by records: `mean` and `sd` in the same convention, the log drawn as
    Student's t with `degrees`, so that its sd is still `log_sd` and only the tails are longer.

    `own_records`: of the cloth itself or its sample; `pieces`: other cloths of its group;
    `others`: of other groups.
    """

    degrees: float = DEGREES
    own_records: int = 0
    pieces: int = 0
    others: int = 0

    @property
    def known(self) -> bool:
        """A washed sample of its own or three cloths of its group told it."""
        return self.own_records > 0 or self.pieces >= ENOUGH_PIECES

    def drawn(self, z: Any) -> Floats:
        """What the value multiplies by, (...,), for standard normal draws `z`, (...,).

        >>> Learned(0.10, 0.045, "loss").drawn([-1.0, 0.0, 1.0]).round(4).tolist()
        [0.8594, 0.9, 0.9425]
        """
        return self.spread_out(unit_draws(z, self.degrees))

    def quantile(self, level: Any) -> Floats:
        """The `level` quantile, (...,), of what the value multiplies by; level in (0, 1).

        >>> round(float(Learned(0.10, 0.045, "loss").quantile(0.95)), 4)
        0.9755
        """
        return np.asarray(self.factor * np.exp(self.log_sd * unit_quantile(level, self.degrees)))


def told_already(spread: Spread) -> bool:
    """Whether a washed sample would say nothing new of it: given by hand, or a sample told it.

    >>> told_already(Spread(0.1, 0.02, "loss", by_hand=True))
    True
    >>> told_already(Learned(0.1, 0.02, "loss", pieces=3))
    False
    """
    return spread.by_hand or (isinstance(spread, Learned) and spread.own_records > 0)


def observed_factor(observed: Any, kind: Kind) -> Any:
    """What an observed loss, addition, ratio or length (cm) multiplies by: 1 - x, 1 + x or x.

    Scalar or array. Raises ImpossibleValue for a loss of the whole, an addition of -1, a ratio or
    a length not above 0. Source: the convention of `farspun.craft.spread`.

    >>> observed_factor(0.25, "loss"), observed_factor(0.25, "addition")
    (0.75, 1.25)
    """
    if kind == "loss":
        return left("observed loss", observed)
    if kind == "addition":
        return grown("observed addition", observed)
    unit = "cm" if kind == "length" else ""
    return above_zero(f"observed {kind}", observed, unit, below=math.inf)


def spreads_off(observed: Any, default: Spread) -> Floats:
    """y: by how many of its own spreads `observed` is off the default it was planned with.

    `observed`, (...,), in the default's own terms: a loss or addition as a fraction, a ratio, cm.
    y, (...,), is positive where the factor (1 - x of a loss) is larger than the default's. Raises
    ImpossibleValue for what cannot be observed, or for a default without spread: what is exact is
    not learned. Source: docs/learning.md.

    >>> round(float(spreads_off(0.15, Spread(0.10, 0.05, "loss"))), 4)
    -1.0289
    >>> round(float(spreads_off(50.0, Spread(50.0, 8.0, "length"))), 4)
    0.0795
    """
    ln_off = np.log(observed_factor(observed, default.kind)) - np.log(default.factor)
    return np.asarray(ln_off / _teachable(default))


def observed_at(y: Any, default: Spread) -> Floats:
    """What is observed at `y` spreads off the default, (...,); the inverse of `spreads_off`.

    >>> round(float(observed_at(-1.0289, Spread(0.10, 0.05, "loss"))), 4)
    0.15
    """
    factor = default.factor * np.exp(np.asarray(y, dtype=float) * _teachable(default))
    if default.kind == "loss":
        return np.asarray(1 - factor)
    return np.asarray(factor - 1 if default.kind == "addition" else factor)


def learned_spread(default: Spread, mean: float, sd: float, origin: str = "") -> Learned:
    """The default moved by `mean` and narrowed to `sd`, both in spreads of the default.

    The median of what it multiplies by becomes factor·exp(log_sd·mean), its log sd log_sd·sd.
    Raises ImpossibleValue for a default without spread or an `sd` not above 0. Source:
    docs/learning.md.

    >>> taught = learned_spread(Spread(0.10, 0.05, "loss"), -0.5, 0.6)
    >>> round(taught.mean, 4), round(taught.sd, 4), round(taught.log_sd / (0.05 / 0.9), 4)
    (0.1247, 0.0292, 0.6)
    """
    above_zero("sd of a belief", sd, "spreads")
    factor = default.factor * math.exp(_teachable(default) * mean)
    log_sd = default.log_sd * sd
    if default.kind == "length":
        middle = factor * math.exp(log_sd**2 / 2)
        return Learned(middle, middle * math.sqrt(math.expm1(log_sd**2)), "length", origin)
    middle = {"loss": 1 - factor, "addition": factor - 1}.get(default.kind, factor)
    return Learned(middle, log_sd * factor, default.kind, origin)


def _teachable(default: Spread) -> float:
    """Its log sd, which must be more than 0."""
    return float(above_zero("spread of a default", default.log_sd, "in ln"))
