"""The order of the yarns in a striped warp or a banded weft, and what it comes to.

An order is a group of items: stripes of so many threads, bands so long (of a weft), and groups that
come several times over or are mirrored. It is the repeat of warp or weft: laid one after another it
fills the width or the length and is cut off there. Everything is counted from the order as it is
written, never by laying out its threads.
"""

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from itertools import groupby, islice
from math import gcd
from typing import TypeAlias, TypeVar

from farspun.craft.limits import above_zero, count
from farspun.errors import ImpossibleValue
from farspun.units import CM_PER_METRE, length

# name: value               unit     source
MOST_SHUTTLE_PICKS = 4  # picks      judgement: more in a row show as a stripe, not as a mixture


@dataclass(frozen=True, slots=True)
class Stripe:
    """Threads of one yarn side by side. `column` is where its yarn stands in the text, from 1."""

    yarn: str
    threads: int
    column: int = field(default=0, compare=False)


@dataclass(frozen=True, slots=True)
class Band:
    """A band of one yarn in a weft, so long when rested; `said` is that length with its unit."""

    yarn: str
    said: str
    column: int = field(default=0, compare=False)

    @property
    def length_cm(self) -> float:
        """Rested, in cm."""
        return length(self.said, "band").value * CM_PER_METRE


@dataclass(frozen=True, slots=True)
class Group:
    """Items one after another, `times` over.

    Mirrored, they come and go back again; the last stripe of all, the middle, stands once. A whole
    order is a group.
    """

    items: tuple["Item", ...]
    times: int = 1
    mirrored: bool = False


Item: TypeAlias = "Stripe | Band | Group"
Leaf: TypeAlias = "Stripe | Band"
Number = TypeVar("Number", int, float)


def leaf(item: Item, last: bool = True) -> Leaf:
    """The last (else the first) stripe or band of an item; mirrored it ends as it began."""
    while isinstance(item, Group):
        last = last and not item.mirrored
        item = item.items[-1 if last else 0]
    return item


def yarns_in(item: Item) -> dict[str, int]:
    """Every yarn as it is first named, and the column where."""
    if not isinstance(item, Group):
        return {item.yarn: item.column}
    found: dict[str, int] = {}
    for one in item.items:
        found |= {yarn: at for yarn, at in yarns_in(one).items() if yarn not in found}
    return found


def threads_in(item: Item) -> int:
    """Threads of an item, all repeats and mirrors told. Raises ImpossibleValue for a band.

    >>> threads_in(Group((Stripe("slate", 6), Stripe("oat", 2)), times=8))
    64
    """
    return sum(counts(item).values())


def counts(item: Item) -> dict[str, int]:
    """Threads of each yarn, as they first appear. Raises ImpossibleValue for a band.

    >>> counts(Group((Stripe("slate", 12), Stripe("oat", 4)), mirrored=True))
    {'slate': 24, 'oat': 4}
    """
    return _weighed(item, _threads)


def shares(order: Group, picks_per_cm: float) -> dict[str, float]:
    """The part of each yarn in one order, bands taken at `picks_per_cm`; together 1.

    >>> shares(Group((Band("slate", "10 cm"), Stripe("oat", 10))), 3.0)
    {'slate': 0.75, 'oat': 0.25}
    """
    above_zero("picks", picks_per_cm, "per cm")
    parts = _weighed(
        order, lambda one: one.length_cm * picks_per_cm if isinstance(one, Band) else one.threads
    )
    whole = sum(parts.values())
    return {yarn: part / whole for yarn, part in parts.items()}


def _threads(one: Leaf) -> int:
    if isinstance(one, Band):
        raise ImpossibleValue("a number of threads", one.said, "a whole number")
    return one.threads


def _weighed(item: Item, weight: Callable[[Leaf], Number]) -> dict[str, Number]:
    if not isinstance(item, Group):
        return {item.yarn: weight(item)}
    found: dict[str, Number] = {}
    for one in item.items:
        _add(found, _weighed(one, weight))
    if item.mirrored:
        pivot = leaf(item.items[-1])
        found = {yarn: 2 * part for yarn, part in found.items()}
        found[pivot.yarn] -= weight(pivot)
    return {yarn: part * item.times for yarn, part in found.items()}


def _add(found: dict[str, Number], more: Mapping[str, Number], times: int = 1) -> None:
    for yarn, part in more.items():
        found[yarn] = found.get(yarn, 0) + times * part


def counted(order: Group, threads: int) -> dict[str, int]:
    """Threads of each yarn where the order is repeated over `threads` threads and cut off there.

    Every yarn of the order is told, one that does not come in with 0. Raises ImpossibleValue for a
    number below 0 and for a band.

    >>> counted(Group((Stripe("slate", 6), Stripe("oat", 2))), 20)
    {'slate': 16, 'oat': 4}
    """
    count("number of threads", threads, least=0)
    whole = counts(order)
    found = dict.fromkeys(whole, 0)
    repeats, over = divmod(threads, sum(whole.values()))
    _add(found, whole, repeats)
    _add(found, _first(order, over))
    return found


def _first(item: Item, threads: int) -> dict[str, int]:
    """Of the first `threads` threads of an item; of all of it where it has fewer."""
    if not isinstance(item, Group):
        return {item.yarn: min(threads, _threads(item))}
    body = replace(item, times=1)
    whole = counts(body)
    times, over = divmod(min(threads, threads_in(item)), sum(whole.values()))
    found = {yarn: times * part for yarn, part in whole.items()}
    _add(found, _way_back(body, over) if item.mirrored else _along(item.items, over))
    return found


def _along(items: Iterable[Item], threads: int) -> dict[str, int]:
    found: dict[str, int] = {}
    for one in items:
        if threads <= 0:
            break
        _add(found, _first(one, threads))
        threads -= threads_in(one)
    return found


def _way_back(body: Group, threads: int) -> dict[str, int]:
    """Of a mirrored group once: there, and back without the last stripe. What the way back holds
    so far is what the way there holds, less all that is still to come."""
    there = Group(body.items)
    if threads <= threads_in(there):
        return _along(body.items, threads)
    found = counts(body)
    _add(found, _along(body.items, threads_in(body) - threads), -1)
    return found


def in_picks(order: Group, picks_per_cm: float) -> Group:
    """The order with each band as its nearest whole number of picks.

    Raises ImpossibleValue for a band of less than half a pick.

    >>> counts(in_picks(Group((Band("slate", "10 cm"), Stripe("oat", 2))), 3.1))
    {'slate': 31, 'oat': 2}
    """
    above_zero("picks", picks_per_cm, "per cm")
    return replace(order, items=tuple(_in_picks(one, picks_per_cm) for one in order.items))


def _in_picks(item: Item, picks_per_cm: float) -> Item:
    if isinstance(item, Group):
        return in_picks(item, picks_per_cm)
    if isinstance(item, Stripe):
        return item
    picks = round(item.length_cm * picks_per_cm)
    if picks < 1:
        raise ImpossibleValue(
            f"the band of {item.yarn}",
            item.said,
            f"at {picks_per_cm:.3g} picks per cm that is not one pick",
            "Make it longer, or give it in picks.",
        )
    return Stripe(item.yarn, picks, item.column)


def renamed(order: Group, names: Mapping[str, str]) -> Group:
    """The order with yarns called as `names` has them; those it has not keep theirs."""

    def anew(item: Item) -> Item:
        if isinstance(item, Group):
            return replace(item, items=tuple(anew(one) for one in item.items))
        return replace(item, yarn=names.get(item.yarn, item.yarn))

    return replace(order, items=tuple(anew(one) for one in order.items))


def leaves(item: Item, backwards: bool = False) -> Iterator[Leaf]:
    """Every stripe and band in turn, all repeats and mirrors told; from the end where `backwards`.

    One after another as they are asked for: an order may hold millions.
    """
    if not isinstance(item, Group):
        yield item
        return
    for _ in range(item.times):
        turned = backwards and not item.mirrored  # mirrored it is the same from both ends
        yield from _one_way(item.items, turned)
        if item.mirrored:
            yield from islice(_one_way(item.items, True), 1, None)


def _one_way(items: Sequence[Item], backwards: bool) -> Iterator[Leaf]:
    for one in reversed(items) if backwards else items:
        yield from leaves(one, backwards)


def stripes(order: Group) -> Iterator[Stripe]:
    """The stripes of one order as they stand, neighbours of one yarn joined."""
    for yarn, found in groupby(leaves(order), key=lambda one: one.yarn):
        yield Stripe(yarn, sum(_threads(one) for one in found))


def repeat_of(order: Group) -> Group:
    """What is repeated: (6 slate, 2 oat)x8 repeats eight ends, not sixty-four."""
    while len(order.items) == 1 and not order.mirrored:
        inner = order.items[0]
        if not isinstance(inner, Group):
            break
        order = inner
    return replace(order, times=1)


def number_of_stripes(item: Item) -> int:
    """Stripes and bands of an item as written, all repeats and mirrors told.

    >>> number_of_stripes(Group((Stripe("slate", 6), Stripe("oat", 2)), times=8, mirrored=True))
    24
    """
    if not isinstance(item, Group):
        return 1
    once = sum(number_of_stripes(one) for one in item.items)
    return item.times * (2 * once - 1 if item.mirrored else once)


def shuttle_picks(first_m: float, second_m: float) -> tuple[int, int]:
    """Picks of two shuttles in turn with which two skeins run out together, as nearly as may be.

    Lengths in m. The smallest ratio of at most 4 picks each that comes nearest. Raises
    ImpossibleValue for a length not above 0. Source: proportion; the limit is judgement.

    >>> shuttle_picks(300, 150), shuttle_picks(200, 190), shuttle_picks(290, 200)
    ((2, 1), (1, 1), (3, 2))
    """
    above_zero("skein", first_m, "m")
    above_zero("skein", second_m, "m")
    numbers = range(1, MOST_SHUTTLE_PICKS + 1)
    ratios = [(a, b) for a in numbers for b in numbers if gcd(a, b) == 1]
    wanted = first_m / second_m

    def off(ratio: tuple[int, int]) -> tuple[float, int]:
        part = ratio[0] / ratio[1]
        return max(part / wanted, wanted / part), sum(ratio)

    return min(ratios, key=off)
