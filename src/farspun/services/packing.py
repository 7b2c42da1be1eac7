"""A short lay for pieces to be cut, found with the packing library rectpack.

The library puts each piece where it ends lowest; which one comes when is tried out here: every
order of a few pieces, else the usual ones and what exchanging two of them betters. Nothing hangs
on a clock or on chance.
"""

import math
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import product

from farspun.craft.lay import MOST_PIECES, Laid, Lay, Piece, shortest_cm, ways
from farspun.errors import ImpossibleValue

MM = 10  # in a cm: the library is asked in whole mm, pieces rounded up
MOST_TRIES = 6_000  # lays tried at most; judgement: with the next a second's work
PAIRS_TRIED = 400_000  # pieces beside pieces in all lays tried; judgement
ROUNDING_MM = 1e-6
Order = tuple[tuple[int, bool], ...]  # (kind of piece, turned), one for each piece


@dataclass(frozen=True, slots=True)
class _Kind:
    """Pieces alike in whole mm, and the ways they may lie."""

    width_mm: int
    length_mm: int
    turned: tuple[bool, ...]
    count: int

    def size(self, turned: bool) -> tuple[int, int]:
        """Across and along the cloth."""
        return (self.length_mm, self.width_mm) if turned else (self.width_mm, self.length_mm)


def laid_out(
    pieces: Sequence[Piece], width_cm: float, selvedge_cm: float, one_way: bool, tries: int = 0
) -> Lay:
    """A short lay on cloth `width_cm` wide less its selvedges; `one_way`: nothing is turned.

    `tries`: lays tried at most, 0 for all that is worth it. Raises ImpossibleValue for a piece too
    wide for the cloth, or more pieces than can be laid.
    """
    together = sum(piece.count for piece in pieces)
    if not 1 <= together <= MOST_PIECES:
        raise ImpossibleValue(
            "the number of pieces", str(together), f"from 1 to {MOST_PIECES} in all"
        )
    usable_cm = width_cm - 2 * selvedge_cm
    usable_mm = math.floor(usable_cm * MM + ROUNDING_MM)
    kinds = [_kind(piece, usable_mm / MM, one_way) for piece in pieces]
    asked = [piece if not one_way else _straight(piece) for piece in pieces]
    least_mm = math.ceil(shortest_cm(asked, usable_cm) * MM - ROUNDING_MM)
    worth = min(MOST_TRIES, PAIRS_TRIED // together**2)
    placed = _best(kinds, usable_mm, least_mm, tries or worth)
    return Lay(width_cm, selvedge_cm, tuple(_laid(pieces, kinds, placed, selvedge_cm)), one_way)


def _straight(piece: Piece) -> Piece:
    return Piece(piece.name, piece.width_cm, piece.length_cm, piece.count)


def _kind(piece: Piece, usable_cm: float, one_way: bool) -> _Kind:
    may = ways(_straight(piece) if one_way else piece, usable_cm)
    turned = tuple(turned for _, turned in may)
    width, length = (math.ceil(side * MM - ROUNDING_MM) for side in (piece.width_cm,
                     piece.length_cm))  # fmt: skip
    return _Kind(width, length, turned[:1] if width == length else turned, piece.count)


Place = tuple[int, bool, int, int]  # kind, turned, from the left, from the start; mm


class _Trying:
    """Lays as they are tried: the shortest, and how many more may be."""

    def __init__(self, kinds: Sequence[_Kind], usable_mm: int, least_mm: int, tries: int) -> None:
        self.kinds, self.usable_mm, self.least_mm = kinds, usable_mm, least_mm
        self.left = tries
        self.found: list[Place] = []
        self.shortest = math.inf

    @property
    def over(self) -> bool:
        """None is tried once one is as short as can be."""
        return bool(self.found) and (self.shortest <= self.least_mm or self.left <= 0)

    def long(self, order: Order) -> float:
        """How long the cloth is when the pieces follow one another so."""
        placed, long = _packed(order, self.kinds, self.usable_mm)
        self.left -= 1
        if long < self.shortest:
            self.found, self.shortest = placed, long
        return long

    def every(self, orders: Iterable[Order]) -> list[tuple[float, Order]]:
        """Each of them, until it is over."""
        tried = []
        for order in orders:
            tried.append((self.long(order), order))
            if self.over:
                break
        return tried

    def better(self, long: float, order: Order) -> None:
        """Exchange two pieces, or turn one, as long as that makes the lay shorter."""
        for other in _neighbours(order, self.kinds):
            if self.over:
                return
            shorter = self.long(other)
            if shorter < long:
                self.better(shorter, other)
                return


def _best(kinds: Sequence[_Kind], usable_mm: int, least_mm: int, tries: int) -> list[Place]:
    """The shortest of the lays tried."""
    trying = _Trying(kinds, usable_mm, least_mm, tries)
    if _few(kinds, tries):
        trying.every(_all_orders(kinds))
        return trying.found
    for long, order in sorted(trying.every(_usual(kinds)), key=lambda one: one[0]):
        trying.better(long, order)
    return trying.found


def _packed(order: Order, kinds: Sequence[_Kind], usable_mm: int) -> tuple[list[Place], float]:
    """Every piece in turn where it ends lowest, then farthest left; and how long that is."""
    from rectpack import MaxRectsBl

    sizes = [kinds[at].size(turned) for at, turned in order]
    cloth = MaxRectsBl(usable_mm, sum(long for _, long in sizes), rot=False)
    rects = [cloth.add_rect(*size) for size in sizes]
    placed = [
        (at, turned, int(rect.x), int(rect.y))
        for (at, turned), rect in zip(order, rects, strict=True)
    ]
    return placed, max(int(rect.top) for rect in rects)


def _few(kinds: Sequence[_Kind], tries: int) -> bool:
    """Whether every order and turning of them is within `tries`."""
    many = math.factorial(sum(kind.count for kind in kinds))
    for kind in kinds:
        many = many // math.factorial(kind.count) * len(kind.turned) ** kind.count
    return many <= tries


def _all_orders(kinds: Sequence[_Kind]) -> Iterator[Order]:
    """Every order in which they can follow one another, each in every way it may lie."""

    def orders(left: tuple[int, ...]) -> Iterator[Order]:
        if not any(left):
            yield ()
        for at, many in enumerate(left):
            if many:
                for rest in orders((*left[:at], many - 1, *left[at + 1 :])):
                    for turned in kinds[at].turned:
                        yield ((at, turned), *rest)

    return orders(tuple(kind.count for kind in kinds))


MEASURES: tuple[Callable[[int, int], tuple[int, int]], ...] = (
    lambda across, along: (along, across),
    lambda across, along: (across, along),
    lambda across, along: (across * along, along),
    lambda across, along: (across + along, along),
    lambda across, along: (max(across, along), min(across, along)),
)


def _usual(kinds: Sequence[_Kind]) -> Iterator[Order]:
    """Large ones first, by several measures, all that may be turned lying the one way or other."""
    seen: set[Order] = set()
    for choice, measure in product(_choices(kinds), MEASURES):
        sizes = [measure(*kind.size(turned)) for kind, turned in zip(kinds, choice, strict=True)]
        by_size = sorted(range(len(kinds)), key=sizes.__getitem__, reverse=True)
        order = tuple((at, choice[at]) for at in by_size for _ in range(kinds[at].count))
        if order not in seen:
            seen.add(order)
            yield order


def _choices(kinds: Sequence[_Kind]) -> Iterator[tuple[bool, ...]]:
    """Every way of turning kinds of pieces as a whole, up to six kinds that may be turned."""
    free = [at for at, kind in enumerate(kinds) if len(kind.turned) > 1]
    first = [kind.turned[0] for kind in kinds]
    for turns in product((False, True), repeat=min(6, len(free))):
        choice = list(first)
        for at, turned in zip(free, turns, strict=False):
            choice[at] = turned
        yield tuple(choice)


def _neighbours(order: Order, kinds: Sequence[_Kind]) -> Iterator[Order]:
    """Two unlike pieces exchanged; one piece turned."""
    for first in range(len(order)):
        for second in range(first + 1, len(order)):
            if order[first] != order[second]:
                other = list(order)
                other[first], other[second] = other[second], other[first]
                yield tuple(other)
    for at, (kind, turned) in enumerate(order):
        if len(kinds[kind].turned) > 1:
            yield (*order[:at], (kind, not turned), *order[at + 1 :])


def _laid(
    pieces: Sequence[Piece], kinds: Sequence[_Kind], placed: Sequence[Place], selvedge_cm: float
) -> Iterator[Laid]:
    """Pieces of a name numbered from the start of the cloth, then from its left edge."""
    numbers: dict[int, int] = {}
    for kind, turned, x, y in sorted(placed, key=lambda place: (place[3], place[2])):
        numbers[kind] = numbers.get(kind, 0) + 1
        across, along = (side / MM for side in kinds[kind].size(turned))
        yield Laid(
            pieces[kind].name, numbers[kind], selvedge_cm + x / MM, y / MM, across, along, turned
        )
