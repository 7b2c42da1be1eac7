"""What of a doubt comes anew with each cloth, and what several cloths have in common.

Of the spread of a factor the larger part is the weaver's own way, or that of a group of cloths (a
loom and a family of fibre, a fibre and its wash): whoever beats harder than she thinks does so in
every cloth she plans. In units of the spread, with u, v and e independent standard normal draws,

    z = sqrt(weaver) u + sqrt(group) v + sqrt(1 - weaver - group) e.

u is one draw for all cloths, v one for each group, e the cloth's own. Source: docs/learning.md.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from farspun.craft.draws import cause_draws, first_draws
from farspun.craft.readings import Floats, Ints


@dataclass(frozen=True, slots=True)
class Way:
    """The parts of a variance (0 to 1) in common with all cloths, and with those of the group `of`.

    By default nothing: the doubt is the cloth's own.
    """

    weaver: float = 0.0
    group: float = 0.0
    of: str = ""

    @property
    def own(self) -> float:
        """The part that comes anew with each cloth."""
        return max(0.0, 1 - self.weaver - self.group)


Ways = Mapping[str, Way]  # by cause of doubt
OWN = Way()


def shared_draws(cause: str, way: Way, order: Ints) -> Floats:
    """Standard normal draws (POINTS,) of a cause for a cloth with its own `order` of the points.

    >>> from farspun.craft.draws import own_order
    >>> shawl, scarf = (
    ...     shared_draws("beat", Way(0.5, 0.3, "wool"), own_order(name)) for name in ("A", "B"))
    >>> round(float(np.corrcoef(shawl, scarf)[0, 1]), 1)
    0.8
    """
    z = math.sqrt(way.own) * cause_draws(cause)[order]
    if way.weaver > 0:
        z += math.sqrt(way.weaver) * first_draws("weaver", cause)
    if way.group > 0:
        z += math.sqrt(way.group) * first_draws("group", f"{cause}, {way.of}")
    return np.asarray(z)
