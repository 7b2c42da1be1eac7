"""The two edges of a striped warp: whether they are alike, and what makes them so.

A warp is balanced where it reads the same from both sides. Its order comes again and again, and
breaks off where the ends are told. Then a few ends more may balance it, or the order may begin
elsewhere, so that it stands in the middle of the warp.

Laid out as a line of signs, an order of the shortest repeat p has at most one axis: a number c,
counted round p, so that end j is like end c - j for every j. So many ends from end k on are
balanced where 2k + ends - 1 is c, counted round p.
"""

from dataclasses import dataclass
from itertools import groupby

from farspun.craft.limits import count
from farspun.craft.orders import Group, Stripe, stripes, threads_in
from farspun.errors import ImpossibleValue

# name: value             unit   source
LONGEST_ORDER = 100_000  # ends  judgement: beyond any loom; an order is laid out end by end here
_FIRST_SIGN = 256  # one sign for each yarn, from here on


@dataclass(frozen=True, slots=True)
class Edges:
    """How a warp begins and ends in its order: `first` and `last` are its edge stripes.

    `more`: the ends to add, as they follow in the order, so that it is balanced; where no number
    of ends does that, so that its edge stripes are the same (`only_alike`). `fewer`: how many
    ends to leave out instead; 0 where none would do. `centred`: the order begun elsewhere, so that
    these ends are balanced; None where that cannot be.
    """

    first: Stripe
    last: Stripe
    balanced: bool
    more: tuple[Stripe, ...] = ()
    fewer: int = 0
    only_alike: bool = False
    centred: Group | None = None


def edges(order: Group, ends: int, step: int = 1) -> Edges:
    """The edges of `ends` ends in that order, which hold it whole at least once.

    Ends are added or left out in `step`s (2 in direct warping). Raises ImpossibleValue for fewer
    ends than the order has, and for an order of more than 100 000.

    >>> found = edges(Group((Stripe("slate", 6), Stripe("oat", 2))), 20)
    >>> found.last.threads, found.more[0].threads, [one.threads for one in found.centred.items]
    (4, 2, [5, 2, 1])
    """
    most = min(count("number of ends", ends), LONGEST_ORDER)
    if not threads_in(order) <= most:
        said = f"{threads_in(order)} ends long"
        raise ImpossibleValue("the order of the warp", said, f"at most {most} ends")
    laid = _Laid.out(order)
    first, last = laid.stripe_from(0), laid.stripe_to(ends)
    if len(laid.yarns) == 1:
        whole = Stripe(laid.yarns[0], ends)
        return Edges(whole, whole, balanced=True)
    to_balance = laid.to_balance(ends, step)
    if to_balance == 0:
        return Edges(first, last, balanced=True)
    more = to_balance or laid.to_be_alike(ends, step)
    fewer = laid.to_leave_out(ends, step) if to_balance else 0
    return Edges(
        first,
        last,
        balanced=False,
        more=laid.part(ends, more),
        fewer=fewer,
        only_alike=to_balance is None,
        centred=laid.centred(ends),
    )


@dataclass(frozen=True, slots=True)
class _Laid:
    """The shortest repeat as a line of signs, one for each end, and the yarns they stand for.

    `behind` and `before`: at each end, how many of its yarn stand side by side up to it, and from
    it on, the repeat coming again and again.
    """

    line: str
    yarns: tuple[str, ...]
    behind: list[int]
    before: list[int]

    @classmethod
    def out(cls, order: Group) -> "_Laid":
        """Lay an order out."""
        signs: dict[str, str] = {}
        line = "".join(
            signs.setdefault(one.yarn, chr(_FIRST_SIGN + len(signs))) * one.threads
            for one in stripes(order)
        )
        line = line[: (line + line).find(line, 1)]
        before = _side_by_side(line[::-1])[::-1]
        return cls(line, tuple(signs), _side_by_side(line), before)

    @property
    def long(self) -> int:
        return len(self.line)

    @property
    def axis(self) -> int | None:
        """c of the text above; None where the order is the same from no two sides."""
        turned = (self.line[::-1] * 2).find(self.line)
        return None if turned < 0 else self.long - 1 - turned

    def stripe_from(self, at: int) -> Stripe:
        """The stripe that begins there."""
        return Stripe(self._yarn(self.line[at % self.long]), self.before[at % self.long])

    def stripe_to(self, ends: int) -> Stripe:
        """The stripe that so many ends break off with."""
        last = (ends - 1) % self.long
        return Stripe(self._yarn(self.line[last]), self.behind[last])

    def _yarn(self, sign: str) -> str:
        return self.yarns[ord(sign) - _FIRST_SIGN]

    def part(self, start: int, ends: int) -> tuple[Stripe, ...]:
        """So many ends from there on, as stripes."""
        signs = (self.line[at % self.long] for at in range(start, start + ends))
        return tuple(Stripe(self._yarn(one), len(list(found))) for one, found in groupby(signs))

    def to_balance(self, ends: int, step: int) -> int | None:
        """How many ends to add; None where none would do."""
        if self.axis is None:
            return None
        more = (self.axis + 1 - ends) % self.long
        tries = range(more, step * self.long + 1, self.long)
        return next((one for one in tries if one % step == 0), None)

    def to_leave_out(self, ends: int, step: int) -> int:
        """How many ends to leave out, one whole order being left; 0 where none would do."""
        if self.axis is None:
            return 0
        fewer = (ends - self.axis - 1) % self.long
        tries = range(fewer, ends - self.long + 1, self.long)
        return next((one for one in tries if one % step == 0), 0)

    def to_be_alike(self, ends: int, step: int) -> int:
        """How many ends to add so that it breaks off with the stripe it begins with; 0 for none."""
        tries = range(0, step * self.long + 1, step)
        first = self.stripe_from(0)
        return next((more for more in tries if self.stripe_to(ends + more) == first), 0)

    def centred(self, ends: int) -> Group | None:
        """Begun where these ends are balanced, with the wider edge stripe of two ways."""
        starts = self._starts(ends)
        if not starts:
            return None
        start = max(starts, key=lambda at: self.before[at])
        return Group(self.part(start, self.long))

    def _starts(self, ends: int) -> list[int]:
        """Every k of the text above."""
        if self.axis is None:
            return []
        twice, long = (self.axis + 1 - ends) % self.long, self.long
        if long % 2:
            return [twice * (long + 1) // 2 % long]
        return [] if twice % 2 else [twice // 2, (twice + long) // 2]


def _side_by_side(line: str) -> list[int]:
    """At each sign how many like it stand up to it, the line coming before itself again."""
    found: list[int] = []
    for at, sign in enumerate(line * 2):
        same = at > 0 and line[(at - 1) % len(line)] == sign
        found.append(found[-1] + 1 if same else 1)
    return found[len(line) :]
