"""Standard normal draws that are the same every time: a Korobov lattice, folded and shifted.

Columns of the lattice belong to named causes, in one written list, so that adding a skein or a
cause changes no other draw. Shared effects and single skeins, of which there may be any number,
take the n evenly spaced normal quantiles in orders fixed by their kind and name: REPEATS orders,
so that each point of the lattice meets REPEATS points of the yarn. One order alone leaves what is
short of a few thousand metres off by 3 m; five bring that to 1, at little cost
(docs/design/draws.md). Odds stay within 0.5 points of plain draws (docs/reach.md).
"""

import hashlib
from functools import lru_cache

import numpy as np

from farspun.craft.readings import Floats, Ints
from farspun.craft.student_t import unit_draws

POINTS = 32768
REPEATS = 5
GENERATOR = 1571  # of the lattice; judgement, measured
SHIFT = 0.7548776662466927  # 1 / plastic number; spreads the shifts of the columns evenly

# the column of each named cause: never renumber, only add
COLUMNS = {
    "take_up": 0,
    "draw_in": 1,
    "weft_crimp": 2,
    "shrink_length": 3,
    "shrink_width": 4,
    "beat": 5,
    "waste_cm": 6,
    "joins": 7,
    "cutting": 8,
    "relax_length": 9,
    "relax_width": 10,
}


@lru_cache(maxsize=16)
def cause_draws(cause: str) -> Floats:
    """POINTS standard normal draws (POINTS,) of a named cause; read-only.

    >>> z = cause_draws("beat")
    >>> z.shape, bool(abs(z.mean()) < 1e-3), bool(abs(z.std() - 1) < 1e-2)
    ((32768,), True, True)
    """
    from scipy.special import ndtri

    column = COLUMNS[cause]
    step = pow(GENERATOR, column, POINTS)
    walk = (np.arange(POINTS, dtype=np.int64) * step) & (POINTS - 1)  # POINTS is a power of two
    u = walk / POINTS + ((column + 1) * SHIFT) % 1.0
    u -= u >= 1  # its fraction, as % 1.0 but quicker
    u = np.clip(1 - np.abs(2 * u - 1), 0.5 / POINTS, 1 - 0.5 / POINTS)
    z: Floats = ndtri(u)
    z.flags.writeable = False
    return z


@lru_cache(maxsize=len(COLUMNS))
def tailed_draws(cause: str, degrees: float) -> Floats:
    """The same draws of a named cause as Student's t of sd 1, (POINTS,); read-only.

    >>> t = tailed_draws("beat", 8.0)
    >>> bool(abs(t.std() - 1) < 1e-2), bool(t.max() > cause_draws("beat").max())
    (True, True)
    """
    z = unit_draws(cause_draws(cause), degrees)
    z.flags.writeable = False
    return z


@lru_cache(maxsize=1)
def _even_quantiles() -> Floats:
    from scipy.special import ndtri

    z: Floats = ndtri((np.arange(POINTS) + 0.5) / POINTS)
    z.flags.writeable = False
    return z


def named_generator(kind: str, name: str) -> np.random.Generator:
    """A generator that draws the same for a kind and name each time.

    >>> [int(named_generator("skein", "Gorse 1").integers(100)) for _ in range(2)]
    [59, 59]
    """
    digest = hashlib.sha256(f"{kind}:{name}".encode()).digest()
    return np.random.Generator(np.random.PCG64(int.from_bytes(digest[:16], "big")))


@lru_cache(maxsize=64)
def named_draws(kind: str, name: str) -> Floats:
    """Standard normal draws (REPEATS, POINTS) of one skein or shared effect, fixed by its name.

    >>> z = named_draws("skein", "Gorse 1")
    >>> z.shape, bool((z == named_draws("skein", "Gorse 1")).all())
    ((5, 32768), True)
    """
    generator = named_generator(kind, name)
    even = _even_quantiles()
    z: Floats = np.stack([generator.permutation(even) for _ in range(REPEATS)])
    z.flags.writeable = False
    return z


@lru_cache(maxsize=64)
def first_draws(kind: str, name: str) -> Floats:
    """The first of the orders of `named_draws` alone, (POINTS,): for many cloths drawn at once.

    >>> bool((first_draws("skein", "Gorse 1") == named_draws("skein", "Gorse 1")[0]).all())
    True
    """
    z: Floats = named_generator(kind, name).permutation(_even_quantiles())
    z.flags.writeable = False
    return z


def own_order(cloth: str) -> Ints:
    """An order (POINTS,) of the points of the lattice that is the cloth's own, fixed by its name.

    One order for all causes, so that they stay as even among each other as they are.

    >>> bool((np.sort(own_order("Shawl")) == np.arange(POINTS)).all())
    True
    """
    order: Ints = named_generator("cloth", cloth).permutation(POINTS)
    return order
