"""What a number in a calculation can be: each check hands the number on, or says why not.

Scalars and arrays alike, counts scalar; NaN never passes, and nothing is clamped.
"""

import math
from typing import Any

import numpy as np

from farspun.errors import ImpossibleValue

# name: value           unit             source
MOST = 1_000_000_000  # things counted   judgement: more than any loom or wall of skeins


def length(what: str, x_cm: Any) -> Any:
    """`x_cm` if it is a length of 0 cm or more.

    >>> length("hem", 2.5)
    2.5
    """
    return _passed(what, x_cm, lambda x: (x >= 0) & (x < math.inf), "0 cm or more", "cm")


def above_zero(what: str, x: Any, unit: str, below: float = math.inf) -> Any:
    """`x` if it is more than 0 and less than `below`.

    >>> above_zero("weft", 40.0, "tex")
    40.0
    """
    allowed = f"more than 0 {unit}" + ("" if below == math.inf else f" and less than {below:g}")
    return _passed(what, x, lambda x: (x > 0) & (x < below), allowed, unit)


def count(what: str, n: int, least: int = 1) -> int:
    """`n` if it is a whole number, `least` or more, up to a thousand million.

    >>> count("number of pieces", 2)
    2
    """
    if not (least <= n <= MOST and n == int(n)):
        allowed = f"a whole number, {least} or more (up to a thousand million)"
        raise ImpossibleValue(what, str(n), allowed)
    return n


def between(what: str, x: Any, low: float, high: float) -> Any:
    """`x` if it is from `low` to `high`.

    >>> between("share", 0.5, 0.0, 1.0)
    0.5
    """
    return _passed(what, x, lambda x: (x >= low) & (x <= high), f"from {low:g} to {high:g}", "")


def left(what: str, loss: Any) -> Any:
    """What a loss leaves: 1 - loss, for a loss below the whole. Stretch is a loss below 0.

    >>> left("draw-in", 0.25)
    0.75
    """
    return 1 - _passed(
        what, loss, lambda x: (x > -math.inf) & (x < 1), "less than 1, the whole", ""
    )


def grown(what: str, addition: Any) -> Any:
    """What an addition comes to: 1 + addition, for an addition above -1.

    >>> grown("weft take-up", 0.25)
    1.25
    """
    return 1 + _passed(what, addition, lambda x: (x > -1) & (x < math.inf), "more than -1", "")


def _passed(what: str, x: Any, can_be: Any, allowed: str, unit: str) -> Any:
    values = np.asarray(x, dtype=float)
    bad = ~np.asarray(can_be(values))
    if bad.any():
        raise ImpossibleValue(what, f"{values[bad].flat[0]:g} {unit}".rstrip(), allowed)
    return x
