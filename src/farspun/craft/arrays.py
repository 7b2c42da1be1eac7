"""Numbers taken one or many at a time: together in one shape, refused, and answered in kind."""

from collections.abc import Callable
from typing import Any

import numpy as np
from numpy.typing import NDArray

from farspun.errors import ImpossibleValue

Array = NDArray[np.float64]

# name: value       unit        source
PAST = 1e-9  #      part        judgement: how far a value read off a limit may lie past it
MOST_STEPS = 100  # steps       judgement: bisection alone would be done by then
CLOSE = 4 * float(np.finfo(float).eps)  # part of the bracket's upper end: a rounding or two


def together(*numbers: Any) -> tuple[Array, ...]:
    """Scalars and arrays as arrays of one shape.

    >>> [one.tolist() for one in together(1.0, [2.0, 3.0])]
    [[1.0, 1.0], [2.0, 3.0]]
    """
    return tuple(np.broadcast_arrays(*(np.asarray(one, dtype=float) for one in numbers)))


def in_kind(numbers: Array) -> Any:
    """A plain number if there is one alone, else the array.

    >>> in_kind(np.array(2.5)), in_kind(np.array([2.5]))
    (2.5, array([2.5]))
    """
    return numbers.item() if numbers.ndim == 0 else numbers


def all_good(
    good: NDArray[np.bool_], what: str, values: Array, allowed: str, unit: str = ""
) -> None:
    """Refuse the first value that is not good, saying what would be.

    >>> all_good(np.array([True, True]), "wave", np.array([0.5, 0.7]), "from 0 to 1", "mm")
    """
    if not np.all(good):
        said = f"{values[~good].flat[0]:.4g} {unit}".rstrip()
        raise ImpossibleValue(what, said, allowed)


def all_within(
    what: str, x: Any, low: Array, high: Array, where: str, percent: bool = False
) -> Array:
    """`x` if it is from `low` to `high`, else refused with the range that it may have.

    What passes either by no more than a rounding is given back as the limit itself.

    >>> all_within("crimp", 0.06, np.array(0.05), np.array(0.12), "in this cloth").item()
    0.06
    """
    values, low, high = together(x, low, high)
    slack = PAST * np.maximum(np.abs(low), np.abs(high))
    bad = ~((values >= low - slack) & (values <= high + slack))
    if bad.any():
        said, least, most = (float(one[bad].flat[0]) for one in (values, low, high))
        times, sign, decimals = (100, " %", 1) if percent else (1, "", 2)
        small, large = inward(least * times, most * times, decimals)
        allowed = f"from {small}{sign} to {large}{sign} {where}"
        raise ImpossibleValue(what, f"{said * times:.6g}{sign}", allowed)
    passed: Array = np.minimum(np.maximum(values, low), high)
    return passed


def inward(low: float, high: float, decimals: int = 1) -> tuple[str, str]:
    """A range as said: rounded so that both ends lie within, with more decimals where it is narrow.

    >>> inward(4.8312, 12.7789), inward(20.9199, 20.9201)
    (('4.9', '12.7'), ('20.92', '20.92'))
    """
    for places in range(decimals, 10):
        unit = 10.0**-places
        least, most = np.ceil(low / unit - PAST) * unit, np.floor(high / unit + PAST) * unit
        if least <= most:
            return f"{least + 0.0:.{places}f}", f"{most + 0.0:.{places}f}"
    return f"{low:.9f}", f"{high:.9f}"


def rising_root(
    value_and_slope: Callable[[Array], tuple[Array, Array]], start: Any, low: Any, high: Any
) -> Array:
    """Where a function that rises from `low` to `high` is 0, element by element.

    `value_and_slope` takes an array and gives two of its shape. A step that would leave the
    bracket is replaced by the bracket's middle, so the search cannot run away. Where the function
    is above 0 all along `low` comes out, where below 0 `high`.
    Source: Newton's method, safeguarded by halving; from memory.

    >>> root = rising_root(lambda x: (x**2 - [2.0, 9.0], 2 * x), 4.0, [0.0, 0.0], 5.0)
    >>> [round(float(one), 9) for one in root]
    [1.414213562, 3.0]
    """
    x, low, high = together(start, low, high)
    near = CLOSE * np.abs(high)
    for _ in range(MOST_STEPS):
        value, slope = value_and_slope(x)
        low, high = np.where(value <= 0, x, low), np.where(value >= 0, x, high)
        step = np.divide(value, slope, out=np.full(x.shape, np.inf), where=slope > 0)
        after = np.where((x - step >= low) & (x - step <= high), x - step, (low + high) / 2)
        moved, x = np.abs(after - x), after
        if np.all(moved <= near):
            break
    return x
