"""A middle value and how far it may be off, in the one convention used everywhere.

A loss x ± s means ln(1 - x) ~ N(ln(1 - x), (s/(1 - x))²): losses never leave (-inf, 1), and
losses in series add in logs. An addition is the same with 1 + x; a ratio (how tightly she beats,
how exactly she cuts) the same with x; a length (loom waste) is lognormal with its mean and sd.
"""

import math
from dataclasses import dataclass, replace
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

MOST_LOG_SD = 2.0  # judgement: seven times more or less says nothing
Kind = Literal["loss", "addition", "ratio", "length"]


@dataclass(frozen=True, slots=True)
class Spread:
    """`mean` ± `sd` of a loss (fraction), an addition (fraction), a ratio or a length (cm).

    `origin` says in words where the figure came from; `by_hand`: she gave it herself.
    """

    mean: float
    sd: float
    kind: Kind
    origin: str = ""
    by_hand: bool = False

    @property
    def factor(self) -> float:
        """What the middle value multiplies by: 1 - x, 1 + x, x, or the median length.

        >>> Spread(0.10, 0.05, "loss").factor
        0.9
        """
        if self.kind == "loss":
            return 1 - self.mean
        if self.kind == "addition":
            return 1 + self.mean
        if self.kind == "length" and self.mean > 0:
            return self.mean / math.sqrt(1 + (self.sd / self.mean) ** 2)
        return self.mean

    @property
    def log_sd(self) -> float:
        """Standard deviation of the logarithm of `factor`.

        >>> round(Spread(0.09, 0.03, "loss").log_sd, 6)
        0.032967
        """
        if self.kind == "length":
            ratio = self.sd / self.mean if self.mean > 0 else 0.0
            return math.sqrt(math.log1p(ratio**2))
        return self.sd / self.factor

    def spread_out(self, z: Any) -> NDArray[np.float64]:
        """What the value multiplies by, (...,), for draws `z`, (...,), of mean 0 and sd 1.

        >>> Spread(0.10, 0.045, "loss").spread_out([-1.0, 0.0, 1.0]).round(4).tolist()
        [0.8561, 0.9, 0.9461]
        """
        return np.asarray(self.factor * np.exp(self.log_sd * np.asarray(z)))


def crimp_of(take_up: Spread) -> Spread:
    """The same spread seen from the cloth: a loss t ± s is a crimp t/(1 - t) ± s/(1 - t)².

    ln(1 + c) ~ N(-ln(1 - t), (s/(1 - t))²) is what t ± s means, so both have one `log_sd`. Source:
    the convention above.

    >>> crimp = crimp_of(Spread(0.09, 0.03, "loss"))
    >>> round(crimp.mean, 6), round(crimp.sd, 6), round(crimp.log_sd, 6)
    (0.098901, 0.036228, 0.032967)
    """
    kept = 1 - take_up.mean
    return replace(take_up, mean=take_up.mean / kept, sd=take_up.sd / kept**2, kind="addition")
