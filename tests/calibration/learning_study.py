"""Weavers whose every factor is known, the records their cloths leave, and what was believed.

A weaver is made forward from the stated spreads: her own way with each factor, her groups' (two of
them), and what comes anew with each cloth. All is in spreads of the habit. Before some of her
cloths the records so far are asked for the 95 % quantile of every factor, and the chance that the
cloth keeps it is exact, for her true ways are known.
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from farspun.craft.beliefs import Beliefs, beliefs
from farspun.craft.outliers import Sifted, sifted
from farspun.craft.records import Places, RecordColumns

Floats = NDArray[np.float64]
FACTORS = 7
CLOTHS = 12
ASKED = (1, 3, 6, 12)  # before which cloths she is told
LEVEL = 0.95
MOSTLY = 2 / 3  # of her cloths are of the first group
TYPO = math.log(10) / 0.16  # ten times the loom waste of a rigid heddle, 50 ± 8 cm
# as stated in docs/learning.md
WITHIN, WITHIN_CHANCE = (0.1, 0.25, 0.5, 0.7), (0.15, 0.45, 0.30, 0.10)
SCALE, SCALE_CHANCE = (0.5, 1.0, 2.0), (0.2, 0.6, 0.2)


@dataclass(frozen=True)
class Weaver:
    """`way` (factors, cloths): the middle of each; `y` the same, as recorded; `within_sd`."""

    way: Floats
    y: Floats
    group: NDArray[np.int64]
    within_sd: float
    typo: tuple[int, int] | None = None  # factor, cloth


def of_the_habits(rng: np.random.Generator, within: float = 0.25, scale: float = 1.0) -> Weaver:
    """A weaver from the stated spreads: of variance `scale`, the part `within` anew each cloth."""
    group = (rng.random(CLOTHS) > MOSTLY).astype(int)
    half = math.sqrt(scale * (1 - within) / 2)
    own = half * rng.standard_normal((FACTORS, 1))
    way = own + (half * rng.standard_normal((FACTORS, 2)))[:, group]
    within_sd = math.sqrt(scale * within)
    y = way + within_sd * rng.standard_normal(way.shape)
    return Weaver(way, y, group, within_sd)


def of_the_priors(rng: np.random.Generator) -> Weaver:
    """A weaver whose share and scale are drawn as farspun expects them."""
    within = float(rng.choice(WITHIN, p=WITHIN_CHANCE))
    return of_the_habits(rng, within, float(rng.choice(SCALE, p=SCALE_CHANCE)))


def off_by(rng: np.random.Generator, spreads: float, factors: int = FACTORS) -> Weaver:
    """A weaver whose first `factors` lie `spreads` off the habit, to the side that hurts."""
    weaver = of_the_habits(rng)
    way = weaver.way.copy()
    way[:factors] = spreads
    return replace(weaver, way=way, y=weaver.y + way - weaver.way)


def with_a_typo(rng: np.random.Generator) -> Weaver:
    """A weaver whose first factor was written ten times too large or small at her second cloth."""
    weaver = of_the_habits(rng)
    weaver.y[0, 1] += TYPO * rng.choice([-1, 1])
    return replace(weaver, typo=(0, 1))


def weavers(seed: int, n: int) -> Iterator[np.random.Generator]:
    """The randomness of n weavers."""
    return (np.random.Generator(np.random.PCG64([10, seed, number])) for number in range(n))


def places(weaver: Weaver, cloths: Sequence[int]) -> Places:
    """Every factor of these cloths, factor by factor."""
    group = np.array([f"group {weaver.group[cloth]}" for cloth in cloths], dtype=np.str_)
    piece = np.array([f"cloth {cloth}" for cloth in cloths], dtype=np.str_)
    factor = np.array([f"factor {number}" for number in range(FACTORS)], dtype=np.str_)
    return Places(np.repeat(factor, len(cloths)), np.tile(group, FACTORS), np.tile(piece, FACTORS))


def records(weaver: Weaver, cloths: int) -> RecordColumns:
    """What her first `cloths` left behind."""
    where = places(weaver, range(cloths))
    y = weaver.y[:, :cloths].ravel()
    return RecordColumns(*where.names, y=y, confirmed=np.zeros(len(y), dtype=bool))


def typo_at(weaver: Weaver, cloth: int) -> int | None:
    """Where the typo stands in the records before `cloth`, counted from 1."""
    if weaver.typo is None or weaver.typo[1] >= cloth - 1:
        return None
    return weaver.typo[0] * (cloth - 1) + weaver.typo[1]


def told(weaver: Weaver, cloth: int, gate: bool = True) -> tuple[Beliefs, Sifted | None]:
    """What is believed of every factor of her `cloth`, counted from 1, before she weaves it."""
    known = records(weaver, cloth - 1)
    found = sifted(known) if gate else None
    if found is not None:
        known = known.taken(found.counts)
    return beliefs(known, places(weaver, [cloth - 1])), found


def kept(weaver: Weaver, cloth: int, told_beliefs: Beliefs, level: float = LEVEL) -> Floats:
    """The chance (factors,) that each factor of the cloth stays below its told quantile."""
    from scipy.special import ndtr

    over = told_beliefs.quantile(level) - weaver.way[:, cloth - 1]
    return np.asarray(ndtr(over / weaver.within_sd))


def kept_after_a_sample(
    rng: np.random.Generator, cloth: int, common: float, level: float = LEVEL
) -> tuple[Floats, Beliefs]:
    """As `kept`, where a sample of that cloth was washed first, and what was then believed.

    `common`: the part of what comes anew with a cloth that its sample truly has as well.
    """
    from scipy.special import ndtr

    weaver = of_the_habits(rng)
    both = weaver.within_sd * math.sqrt(common) * rng.standard_normal(FACTORS)
    apart_sd = weaver.within_sd * math.sqrt(1 - common)
    way = weaver.way[:, cloth - 1] + both
    sampled = weaver.y.copy()
    sampled[:, cloth - 1] = way + apart_sd * rng.standard_normal(FACTORS)
    found = beliefs(records(replace(weaver, y=sampled), cloth), places(weaver, [cloth - 1]))
    return np.asarray(ndtr((found.quantile(level) - way) / apart_sd)), found
