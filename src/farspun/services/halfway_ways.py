"""What can be done, half-way, where a ball will not last: each way with its numbers."""

from collections.abc import Iterator
from dataclasses import dataclass, field, replace

import numpy as np
from sqlalchemy import Connection

from farspun.craft.combining import LIKE_GRIST
from farspun.craft.halfway import Halfway
from farspun.craft.plan import Plan
from farspun.services.answers import Check, Handle, NeedAnswer
from farspun.services.case_for import size_of
from farspun.services.cloth_now import handle
from farspun.services.habits_for import spreads_for
from farspun.services.stock import Stock
from farspun.store.shelf import shelf
from farspun.store.skeins import names_of

# name: value             unit       source: all judgement
OPEN_AT_LEAST = 0.70  # of the picks  with fewer it is another cloth
MOST_TOGETHER = 8  # picks          a rhythm of more is hard to keep
LITTLE_CM = 3.0  # of tape            for which nobody changes the rest of the cloth
NEAR_RHYTHM = 0.04  # of the picks   given away for a shorter rhythm
MOST_NAMED = 3  # skeins that would do


@dataclass(frozen=True, slots=True)
class Way:
    """One way out: `do` is "shorten", "another skein", "alternate", "border" or "open the beat".

    What it does not say of itself is None; `serves_cm`: the least length she allowed, where it is
    kept. Lengths in cm of tape and of the finished piece; `picks`
    (of this yarn, of another) by turns; `other_m` of the other yarn, and skeins that have as much.
    """

    do: str
    tape_cm: float | None = None
    length_cm: float | None = None
    serves_cm: float | None = None
    last_cm: float | None = None
    picks: tuple[int, int] | None = None
    picks_per_cm: float | None = None
    share_of_limit: float | None = None
    handle: str | None = None
    handle_before: str | None = None
    other_m: float | None = None
    like: list[str] = field(default_factory=list)


@dataclass(frozen=True, slots=True)
class Outlook:
    """A yarn that will not last with the odds promised.

    `reaches_cm` of tape with them; `woven_cm` so far; `in_order`: it comes in by an order, so that
    its picks cannot be thinned out.
    """

    connection: Connection
    plan: Plan
    stock: Stock
    check: Check
    need: NeedAnswer
    half: Halfway
    reaches_cm: float
    woven_cm: float
    in_order: bool

    @property
    def end_cm(self) -> float:
        """Of tape in all."""
        return self.check.setup.tape_length_cm

    @property
    def short_cm(self) -> float:
        """Of tape for which there is no yarn."""
        return self.end_cm - self.reaches_cm

    def other_m(self, tape_cm: float) -> float:
        """Metres that so much tape takes of another yarn, surely enough."""
        return (self.need.need_m.p95 or 0.0) / self.end_cm * tape_cm


def ways(outlook: Outlook) -> Iterator[Way]:
    """In the order she would think of them; only those that help."""
    yield from _shorten(outlook)
    last_m = outlook.other_m(outlook.short_cm)
    yield Way(
        "another skein",
        last_cm=outlook.short_cm,
        other_m=last_m,
        like=_like(outlook, last_m),
    )
    if outlook.short_cm < LITTLE_CM:
        return
    thin = None if outlook.in_order else outlook.half.thin_enough(outlook.plan.promise)
    if thin is not None:
        yield from _alternate(outlook, thin)
    yield from _border(outlook)
    if thin is not None and len(outlook.check.weft) == 1:
        yield from _open_the_beat(outlook, thin)


def _shorten(outlook: Outlook) -> Iterator[Way]:
    """The last piece ends where the yarn does; hems and all as planned."""
    plan, setup = outlook.plan, outlook.check.setup
    size = size_of(plan, spreads_for(plan, outlook.stock))
    hems_cm = 2 * size.hem_cm
    whole_cm = size.full_length_cm / size.pieces
    beside_cm = size.sample_cm + size.header_cm  # woven, and no part of a piece
    pieces_part = 1 - beside_cm / setup.woven_length_cm
    each_cm = outlook.end_cm * pieces_part / size.pieces  # of tape
    length_cm = whole_cm * (1 - outlook.short_cm / each_cm) - hems_cm
    least_cm = (whole_cm * (1 - size.give)) - hems_cm
    if length_cm > 0 and outlook.reaches_cm > outlook.woven_cm:
        serves = least_cm if size.give and length_cm >= least_cm else None
        yield Way("shorten", tape_cm=outlook.reaches_cm, length_cm=length_cm, serves_cm=serves)


def _alternate(outlook: Outlook, thin: float) -> Iterator[Way]:
    picks = rhythm(thin)
    if picks is None:
        return
    ahead_cm = outlook.end_cm - outlook.woven_cm
    other_m = outlook.other_m(ahead_cm * picks[1] / sum(picks))
    yield Way("alternate", picks=picks, other_m=other_m, like=_like(outlook, other_m))


def rhythm(part: float) -> tuple[int, int] | None:
    """The shortest (picks of this yarn, picks of another) with at most that part of this yarn.

    >>> rhythm(0.7), rhythm(0.5), rhythm(0.05)
    ((2, 1), (1, 1), None)
    """
    found = [
        (own, together - own)
        for together in range(2, MOST_TOGETHER + 1)
        for own in range(1, together)
        if own / together <= part
    ]
    if not found:
        return None
    best = max(own / (own + other) for own, other in found)
    return next(pair for pair in found if pair[0] / sum(pair) >= best - NEAR_RHYTHM)


def _border(outlook: Outlook) -> Iterator[Way]:
    """As much of another yarn at either end, where not more than that is woven yet."""
    each_cm = outlook.short_cm / 2
    if outlook.woven_cm <= each_cm and outlook.plan.pieces == 1:
        other_m = outlook.other_m(outlook.short_cm)
        yield Way("border", last_cm=each_cm, other_m=other_m, like=_like(outlook, other_m))


def _open_the_beat(outlook: Outlook, thin: float) -> Iterator[Way]:
    if thin < OPEN_AT_LEAST:
        return
    plan = outlook.plan
    picks_per_cm = outlook.check.setup.picks_per_cm * thin
    now, then = _handle(outlook, plan), _handle(outlook, replace(plan, picks_per_cm=picks_per_cm))
    yield Way(
        "open the beat",
        picks_per_cm=picks_per_cm,
        share_of_limit=then.share_of_limit if then else None,
        handle=then.handle if then else None,
        handle_before=now.handle if now else None,
    )


def _handle(outlook: Outlook, plan: Plan) -> Handle | None:
    return handle(plan, spreads_for(plan, outlook.stock), outlook.stock)


def _like(outlook: Outlook, metres: float) -> list[str]:
    """Skeins of the stash with so much free, near in grist; of the same fibre first, the nearest
    first."""
    found = shelf(outlook.connection, outlook.plan.id)
    own = outlook.stock.supplies[outlook.plan.weft[0].skein_id]
    with np.errstate(invalid="ignore"):
        free_m = np.exp(found.ln_length) * found.free
        off = np.abs(np.log(found.tex / own.tex))
        fits = (free_m >= metres) & (off <= LIKE_GRIST)
    fits &= ~np.isin(found.ids, [part.skein_id for part in outlook.plan.weft])
    same = np.array([said == own.blend for said in found.fibres] or [False])[found.fibre]
    order = np.lexsort((off, ~same))
    ids = found.ids[order[fits[order]]][:MOST_NAMED].tolist()
    names = names_of(outlook.connection, ids)
    return [names[one] for one in ids]
