"""A cloth asked of the loom, with everything that is doubtful about it, in plain numbers.

The written case is what `reach` answers: the size, the set-up (ends and warp length settled, or
left to `planning`), a spread for every doubtful factor, and the yarns of both sides.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from farspun.craft.readings import Floats
from farspun.craft.spread import Spread

NO_RELAXATION = Spread(0.0, 0.0, "loss", "washed yarn")


@dataclass(frozen=True, slots=True)
class Size:
    """What is wanted, washed; lengths in cm. `fringe_cm` is as cut on the loom, per end and piece.

    `give`: the part the finished cloth may be smaller each way and still serve.
    """

    width_cm: float
    length_cm: float
    pieces: int = 1
    give: float = 0.05
    hem_cm: float = 0.0
    side_hem_cm: float = 0.0
    fringe_cm: float = 0.0
    gap_cm: float = 0.0
    sample_cm: float = 0.0
    header_cm: float = 0.0
    floating_selvedges: int = 0
    fringe_from_waste: bool = False

    @property
    def full_width_cm(self) -> float:
        """Washed width with side hems."""
        return self.width_cm + 2 * self.side_hem_cm

    @property
    def full_length_cm(self) -> float:
        """Washed length of all pieces with hems."""
        return self.pieces * (self.length_cm + 2 * self.hem_cm)

    @property
    def inner_unwoven_cm(self) -> float:
        """Warp between the pieces, and their fringes; without the two outer fringes."""
        return (self.pieces - 1) * (self.gap_cm + 2 * self.fringe_cm)

    def outer_fringes_cm(self, waste_cm: Any) -> Any:
        """Warp the two outer fringes cost beside the loom waste (scalar or array)."""
        outer = 2 * self.fringe_cm
        return np.maximum(0.0, outer - waste_cm) if self.fringe_from_waste else outer


@dataclass(frozen=True, slots=True)
class Spreads:
    """One spread for each doubtful factor of a cloth; the names are the causes of doubt.

    `weft_take_up`, given by hand, replaces weft crimp and joins: a pick over the reed width.
    `relax_length`, `relax_width`: what unwashed yarn still loses in the wash.
    """

    take_up: Spread
    draw_in: Spread
    weft_crimp: Spread
    shrink_length: Spread
    shrink_width: Spread
    beat: Spread
    waste_cm: Spread
    joins: Spread
    cutting: Spread
    weft_take_up: Spread | None = None
    relax_length: Spread = NO_RELAXATION
    relax_width: Spread = NO_RELAXATION


@dataclass(frozen=True, slots=True)
class Skein:
    """Metres of one skein: median and its own sd of ln, and its load on shared effects.

    `free`: the share not claimed by other cloths; `in_hand`: taken for this cloth already. `cov`
    (3, 3): what is known of its ln L, ln T, ln φ, where that is asked for further readings;
    `stretch`: d ln(metres left) / d ln L; `whole`: nothing was taken of it yet.
    """

    name: str
    median_m: float
    own_sd_ln: float
    loads: Mapping[str, float] = field(default_factory=dict)
    free: float = 1.0
    tex: float | None = None
    cov: Floats | None = None
    stretch: float = 1.0
    in_hand: bool = False
    whole: bool = True


@dataclass(frozen=True, slots=True)
class Yarn:
    """One yarn of a side: its skeins' lengths are added. `part`: share of the ends or picks."""

    name: str
    skeins: tuple[Skein, ...]
    part: float = 1.0
    ends: int | None = None


@dataclass(frozen=True, slots=True)
class Case:
    """One cloth. `ends` (without floating selvedges) and `warp_cut_cm` are settled numbers.

    `effects`: names of shared effects and `effect_cov` (K, K) their covariance.
    A skein named on both sides serves the warp first, the weft from what is left.
    """

    size: Size
    ends_per_cm: float
    picks_per_cm: float
    ends: int
    warp_cut_cm: float
    spreads: Spreads
    warp: tuple[Yarn, ...]
    weft: tuple[Yarn, ...]
    promise: float = 0.95
    cut: bool = False
    effects: tuple[str, ...] = ()
    effect_cov: Floats = field(default_factory=lambda: np.zeros((0, 0)))

    @property
    def reed_width_cm(self) -> float:
        """Width in the reed, without floating selvedges."""
        return self.ends / self.ends_per_cm

    def warp_ends(self, position: int) -> int:
        """Ends of one warp yarn; floating selvedges go with the first."""
        yarn = self.warp[position]
        own = yarn.ends if yarn.ends is not None else self.ends
        return own + (self.size.floating_selvedges if position == 0 else 0)
