"""How far the 5 and 50 in 100 points of a supply wander with the names of its skeins.

Run: python docs/design/draws.py
"""

import numpy as np

from farspun.craft.draws import REPEATS, named_draws

SKEINS = (1454.3, 868.0, 615.7)  # m
OWN_SD, SHARED_SD = 0.07, 0.10
NAMES = 60


def supply(name: int, orders: int) -> np.ndarray:
    """Metres of the three skeins together, under one choice of names, in so many orders."""
    shared = SHARED_SD * named_draws("effect", f"{name}")[:orders]
    own = (OWN_SD * named_draws("skein", f"{name}/{at}")[:orders] for at in range(len(SKEINS)))
    return np.sum(
        [metres * np.exp(z + shared) for metres, z in zip(SKEINS, own, strict=True)], axis=0
    )


def wander(orders: int, names: int = NAMES) -> tuple[float, float]:
    """sd over names of the two points, m."""
    points = [np.quantile(supply(name, orders), [0.05, 0.5]) for name in range(names)]
    low, middle = np.std(points, axis=0)
    return float(low), float(middle)


if __name__ == "__main__":
    for orders in (1, 2, 4, REPEATS):
        print(orders, *(f"{sd:.1f} m" for sd in wander(orders)))
