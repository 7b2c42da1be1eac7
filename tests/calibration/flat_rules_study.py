"""Ten and twenty per cent more than the middle need, against yarn set by the odds.

One cloth, its ends fixed, and a weft whose length was found in four ways: counted washed, counted
before washing, by a test length, from wraps alone. A flat rule takes what she believes to have;
what is told knows how doubtful that is, and that unwashed yarn is shorter than it was counted.
"""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from farspun.craft.spread import Spread

Floats = NDArray[np.float64]
LEVEL = 0.95
DRAWS = 400_000


@dataclass(frozen=True)
class Measured:
    """A way of finding the length: true over believed, its median and sd of ln, and how often."""

    median: float
    sd_ln: float
    part: float


WAYS: Mapping[str, Measured] = {
    "counted washed": Measured(1.0, 0.032, 0.4),
    "counted before washing": Measured(0.85, 0.121, 0.3),
    "test length": Measured(1.0, 0.075, 0.2),
    "wraps alone": Measured(1.0, 0.28, 0.1),
}
SHRINK = Spread(0.10, 0.05, "loss")
BEAT = Spread(1.0, 0.06, "ratio")
DRAW_IN = Spread(0.07, 0.025, "loss")
TAKE_UP = Spread(0.09, 0.03, "loss")


def middle_need() -> float:
    """With every factor at its middle value."""
    return BEAT.factor / SHRINK.factor * max(1.0, DRAW_IN.factor / TAKE_UP.factor)


class Cloth:
    """Draws of the need, in parts of its middle, and of each way's error; from one seed."""

    def __init__(self, seed: int, draws: int = DRAWS) -> None:
        rng = np.random.Generator(np.random.PCG64([30, seed]))

        def ln(spread: Spread) -> Floats:
            return np.asarray(np.log(spread.spread_out(rng.standard_normal(draws))))

        bent = np.maximum(0.0, ln(DRAW_IN) - ln(TAKE_UP))
        self.need = np.exp(ln(BEAT) - ln(SHRINK) + bent) / middle_need()
        self.error = {
            name: way.median * np.exp(way.sd_ln * rng.standard_normal(draws))
            for name, way in WAYS.items()
        }

    def runs_out(self, name: str, part: float) -> float:
        """How often `part` of the middle need, as believed, is not enough."""
        return float((part * self.error[name] < self.need).mean())

    def left_over(self, name: str, part: float) -> float:
        """What lies about afterwards, of the middle need, in the mean."""
        return float(np.maximum(0.0, part * self.error[name] - self.need).mean())

    def enough(self, name: str, level: float = LEVEL) -> float:
        """The part of the middle need, as believed, that is enough at that level."""
        return float(np.quantile(self.need / self.error[name], level))

    def pooled(self, level: float = LEVEL) -> float:
        """The one part that is enough at that level over all ways together."""
        low, high = 1.0, 3.0
        for _ in range(40):
            middle = (low + high) / 2
            short = sum(way.part * self.runs_out(name, middle) for name, way in WAYS.items())
            low, high = (middle, high) if short > 1 - level else (low, middle)
        return high


def together(per_way: Mapping[str, float]) -> float:
    """The mean over ways, by how often each is used."""
    return sum(way.part * per_way[name] for name, way in WAYS.items())
