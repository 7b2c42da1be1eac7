"""Whether skeins that several yarns share cover all that is asked of them, draw by draw.

Who takes from which skein is not settled beforehand. All that was asked so far can be served if and
only if no set of yarns asks for more than all the skeins they may take from hold together. It is
enough to look at sets of yarns that hang together by shared skeins. Source: P. Hall, On
representatives of subsets, J. London Math. Soc. 10 (1935) 26, in its form for amounts; from memory.
So the order in which a yarn names its skeins changes nothing, and what is asked later takes nothing
from what was asked before.
"""

from collections import Counter, deque
from collections.abc import Callable, Iterable, Sequence

import numpy as np

from farspun.craft.readings import Floats

Skeins = frozenset[str]
MOST_POOLS = 100  # judgement: of skeins that hang together


def pools(asked: Iterable[Skeins]) -> list[Skeins]:
    """Every union of sets that hang together, smallest first.

    Where more than MOST_POOLS hang together, the smaller of them, and all of their skeins as one.

    >>> found = pools([frozenset("A"), frozenset("AB"), frozenset("BC"), frozenset("D")])
    >>> ["".join(sorted(pool)) for pool in found]
    ['A', 'D', 'AB', 'BC', 'ABC']
    """
    single = sorted(set(asked), key=_by_size)
    found: set[Skeins] = set()
    for whole in _wholes(single):
        found.update(_unions([one for one in single if one <= whole]), {whole})
    return sorted(found, key=_by_size)


def _unions(single: Sequence[Skeins]) -> list[Skeins]:
    found = dict.fromkeys(single)
    waiting = deque(single)
    while waiting and len(found) < MOST_POOLS:
        pool = waiting.popleft()
        found_now = [pool | other for other in single if pool & other]
        waiting.extend(one for one in dict.fromkeys(found_now) if one not in found)
        found |= dict.fromkeys(found_now)
    return list(found)


def _by_size(pool: Skeins) -> tuple[int, list[str]]:
    return len(pool), sorted(pool)


def _wholes(single: Iterable[Skeins]) -> list[Skeins]:
    """The skeins that hang together by any way round."""
    wholes: list[Skeins] = []
    for one in single:
        touched = [whole for whole in wholes if whole & one]
        wholes = [whole for whole in wholes if not whole & one]
        wholes.append(one.union(*touched))
    return wholes


class Serving:
    """What is left in each pool of skeins as one yarn after another asks of it.

    `asked`: the skeins of every yarn that will ask, each of one at least; `holds` gives the metres
    (POINTS,) of one skein. A pool is drawn when it is first asked and dropped after the last.
    """

    def __init__(self, asked: Sequence[Skeins], holds: Callable[[str], Floats]) -> None:
        self._holds = holds
        self._of = {one: [pool for pool in pools(asked) if one <= pool] for one in set(asked)}
        self._to_come = Counter(pool for one in asked for pool in self._of[one])
        self._left: dict[Skeins, Floats] = {}

    def ask(self, skeins: Skeins, metres: Floats) -> list[tuple[Skeins, Floats]]:
        """Take metres (POINTS,) off every pool with those skeins; what is left of each, or less."""
        found = []
        for pool in self._of[skeins]:
            left = self._left.pop(pool) if pool in self._left else self._whole(pool)
            left = left - metres
            self._to_come[pool] -= 1
            if self._to_come[pool]:
                self._left[pool] = left
            found.append((pool, left))
        return found

    def _whole(self, pool: Skeins) -> Floats:
        return np.asarray(np.sum([self._holds(skein) for skein in sorted(pool)], axis=0))
