"""Which yarns of the stash would serve as the other side of a cloth, and why in that order."""

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

import numpy as np
from sqlalchemy import Connection

from farspun.craft.candidates import Ints, Side
from farspun.craft.matching import AGAINST, MIND, REACHES, missing_part, verdicts
from farspun.craft.reach import verdict
from farspun.errors import FarspunError, ImpossibleValue, NotFound, WrongUse
from farspun.services.cloth_asked import ClothAsked
from farspun.services.lost import lost_stash
from farspun.services.match_colours import NOT_READ, Contrast, Wish, coloured, wish
from farspun.services.match_draws import Draws
from farspun.services.match_left_out import (
    Nearer,
    Unknown,
    as_nearer,
    far_off,
    nearer,
    unknown_length,
    why_unknown,
)
from farspun.services.match_question import Question, other_of, question, refused
from farspun.services.match_reasons import Reason, reasons
from farspun.services.match_reasons import Side as Sides
from farspun.services.match_rows import Table, length_told, refine, table, usable
from farspun.services.meanwhile import import_scipy
from farspun.store.cloths import readings_seen
from farspun.store.engine import Stash, reading
from farspun.store.shelf import Shelf, shelf
from farspun.store.skeins import skein_named
from farspun.store.supplies import supplies
from farspun.units import say_percent

DRAWN = 50  # of the first rows are drawn, and their odds exact; judgement: two screens
REFINED = 200  # of the first rows are told with what skeins share; judgement: far more than drawn
ROUNDS = 3  # of drawing those that come up because others went down
IS = {
    "reaches": "reaches",
    "uncertain": "is uncertain",
    "falls short": "falls short",
    None: "cannot be set up",
}
LIMIT = 10  # rows told unless she asks for more; judgement: one screen

ORDER = (
    "first what reaches, then what is uncertain, then what falls short, and of that the least too"
    " little (to the hundredth part of the need){wish}; then the fewest points against, then the"
    " fewest to mind; then, of what reaches, the least left over, of the rest the best odds; then"
    " the one added first"
)
ASKED_BY = {"likeness": "like", "contrast": "contrast"}
WISHED = {"likeness": "ΔE2000", "contrast": "L*"}  # criteria of colour, and the unit of each


@dataclass(frozen=True, slots=True)
class Match:
    """One yarn: its place, its skeins, the answer, and every criterion with its reason.

    `by` says whether the odds are drawn or by the closed form; lengths are means, m.
    """

    rank: int
    skeins: list[str]
    odds: float | None
    verdict: str | None
    by: str
    need_m: float | None
    have_m: float
    left_m: float | None
    sett_ends_per_cm: float | None
    picks_per_cm: float | None
    against: int
    mind: int
    criteria: list[Reason]


@dataclass(frozen=True, slots=True)
class Explained:
    """Why a skein stands where it stands, alone and in a combination; or why not at all."""

    skein: str
    matches: list[Match]
    above: str | None
    why_not: str | None


@dataclass(frozen=True, slots=True)
class Looked:
    """How many were looked at, and how many could not be; `unknown` names the first of those of
    unknown length."""

    skeins: int
    combinations: int
    reach: int
    unknown_length: int
    nothing_free: int
    unknown: list[Unknown]


@dataclass(frozen=True, slots=True)
class Matches:
    """The answer. `why` tells why there is no match at all; `order` is the rule of the order.

    `wished` names the criteria of colour that the order goes by.
    `known_odds`: of the yarns that are there already, beside the first match. With `--like`:
    `nearer` are yarns nearer in colour than the first match that the list cuts off, `far_off` the
    ΔE2000 of the first match where it is another colour than the one wished for.
    """

    cloth: str | None
    side: str
    known: list[str]
    known_odds: float | None
    size: str
    promise: float
    order: str
    wished: list[str]
    looked: Looked
    matches: list[Match]
    explained: Explained | None
    why: str | None
    like: str | None = None
    nearer: list[Nearer] = field(default_factory=list)
    far_off: float | None = None


def match(
    stash: Stash,
    asked: ClothAsked,
    cloth: str | None = None,
    side: Side | None = None,
    limit: int = LIMIT,
    explain: str | None = None,
    like: str | None = None,
    contrast: Contrast | None = None,
) -> Matches:
    """Every yarn of the stash for the other side of a cloth, best first; nothing is stored.

    `cloth` names a planned one, and `side` which of its sides is sought (else the weft); without
    it one side is given in `asked`, with a size. `like` names a skein or a colour: the likest then
    stand first, with `contrast` those of the most or the least. Raises WrongUse, NotFound,
    ImpossibleValue.
    """
    if cloth is None and asked.width_cm is None and (asked.names("warp") or asked.names("weft")):
        raise WrongUse(
            "No size was given.",
            "How much yarn is needed hangs on it: add --size WIDTHxLENGTH, as 40cmx160cm.",
        )
    import_scipy()
    with reading(stash) as connection:
        try:
            q = question(connection, cloth, side, asked)
        except NotFound as error:
            raise error if stash.exists else _no_stash(stash, error) from error
        wished = wish(connection, like, contrast)
        return _Ranking(connection, q, limit, explain, wished).answer()


def _no_stash(stash: Stash, error: NotFound) -> FarspunError:
    """What was named is not found because there is no stash at all."""
    hint = f"There is no stash at {stash.where} yet: farspun skein add makes it."
    return lost_stash(stash) or NotFound(error.kind, error.name, (), hint)


def _missing(one: Match) -> float:
    return 1.0 if one.need_m is None else float(missing_part(one.have_m, one.need_m))


class _Ranking:
    """One question being answered."""

    def __init__(
        self, connection: Connection, q: Question, limit: int, explain: str | None, wished: Wish
    ) -> None:
        self.connection, self.q, self.limit = connection, q, limit
        self.known_ids = {part.skein_id for part in q.known}
        self.stock, _ = q.supplies([])
        self.explain = None if explain is None else skein_named(connection, explain)
        self.shelf: Shelf = shelf(connection, q.plan.id)
        self.usable = usable(self.shelf, self.known_ids)
        self.names = [self.stock.supplies[part.skein_id].name for part in q.known]
        self.colours = coloured(q, self.stock, self.shelf.colours, wished)
        self.wished = [name for name in WISHED if getattr(wished, ASKED_BY[name]) is not None]
        self.sides = Sides(q, other_of(q, self.stock), f"the {q.known_side}")

    def answer(self) -> Matches:
        """The whole of it."""
        from scipy.special import ndtr

        found, why = self._table()
        if found is None:
            return self._said([], None, why, Looked(0, 0, 0, *self._left_out()))
        place = self._ranked(found)
        rows = [int(row) for row in place[: self.limit]]
        explained = None if self.explain is None else self._explained(found, place)
        reach = int((verdicts(found.odds, found.promise) == REACHES).sum())
        many = len(found.several.start)
        looked = Looked(len(found.ids), many, reach, *self._left_out())
        cut_off = list(nearer(found, place, len(rows)))
        names = self._names(found, [*rows, *(row for _, row, _ in cut_off)])
        matches = [self._match(found, row, at + 1, names) for at, row in enumerate(rows)]
        beside = float(ndtr(found.found.z[place[0], 1:]).prod())
        return replace(
            self._said(matches, explained, None, looked, beside),
            nearer=[as_nearer(found, row, rank, one, names) for rank, row, one in cut_off],
            far_off=far_off(found, rows[0]),
        )

    def _said(
        self,
        matches: list[Match],
        explained: Explained | None,
        why: str | None,
        looked: Looked,
        known_odds: float | None = None,
    ) -> Matches:
        q = self.q
        if explained is None and self.explain is not None:
            explained = Explained(self.explain["name"], [], None, self._why_not() or why)
        return Matches(
            q.cloth, q.side, self.names, known_odds, q.plan.size_said, q.plan.promise,
            ORDER.format(wish=self.colours.said()), self.wished, looked, matches, explained,
            why, self.colours.wish.like.name if self.colours.wish.like else None,
        )  # fmt: skip

    def _left_out(self) -> tuple[int, int, list[Unknown]]:
        """Skeins of unknown length, and of which nothing is free; and the first of the unknown."""
        others = ~np.isin(self.shelf.ids, list(self.known_ids))
        many, unknown = unknown_length(self.connection, self.shelf, others)
        return many, int((others & length_told(self.shelf) & ~self.usable).sum()), unknown

    def _table(self) -> tuple[Table | None, str | None]:
        """All that may be chosen, or why nothing may."""
        unknown = [one.name for one in self.stock.supplies.values() if not one.known]
        if unknown:
            return None, f"the length of {unknown[0]} is not known: weigh it first"
        if not self.usable.any():
            return None, "there is no other skein whose length is known and of which some is free"
        try:
            found = table(self.q, self.shelf, self.usable, self.sides.other, self.colours)
        except ImpossibleValue as error:
            return None, refused(error)
        if found is None:
            return None, "of no skein are wraps or grist known, so no sett can be found"
        return found, None

    def _ranked(self, found: Table) -> Ints:
        """The order, with the first rows' odds by the joint draw."""
        first = found.order()[:REFINED]
        ids = sorted({one for row in first.tolist() for one in found.skeins(row)})
        stock, block = self.q.supplies(ids)
        refine(found, first, self.q, dict(stock.supplies), block)
        drawn = Draws(self.q, found, stock, block)
        for _ in range(ROUNDS):
            wanted = [int(row) for row in found.order()[:DRAWN] if row not in found.drawn]
            if not wanted:
                break
            drawn.draw(wanted)
        if self.explain is not None:
            drawn.draw([row for row in self._rows_of(found) if row not in found.drawn])
        return found.order()

    def _rows_of(self, found: Table) -> list[int]:
        """The rows in which the skein to explain stands."""
        assert self.explain is not None
        wanted = self.explain["id"]
        own = np.flatnonzero(found.ids == wanted).tolist()
        if not own:
            return []
        several = found.several
        place = np.flatnonzero(several.order == own[0])[0]
        within = np.flatnonzero((several.start <= place) & (several.end > place))
        return own + [len(found.ids) + int(row) for row in within]

    def _explained(self, found: Table, place: Ints) -> Explained:
        assert self.explain is not None
        rows, name = self._rows_of(found), self.explain["name"]
        if not rows:
            return Explained(name, [], None, self._why_not())
        at = {int(row): rank for rank, row in enumerate(place.tolist())}
        rows.sort(key=lambda row: at[row])
        best = at[rows[0]]
        told = [rows[0], *([int(place[best - 1])] if best else [])]
        names = self._names(found, [*rows, *told])
        matches = [self._match(found, row, at[row] + 1, names) for row in rows]
        above = None
        if best:
            before = self._match(found, int(place[best - 1]), best, names)
            above = _above(before, matches[0], self.wished)
        return Explained(name, matches, above, None)

    def _why_not(self) -> str | None:
        """Why the skein to explain is not among them; None where that is not its own fault."""
        assert self.explain is not None
        number, name = self.explain["id"], self.explain["name"]
        if self.explain["status"] == "closed":
            return f"{name} was closed ({self.explain['closed_because']})"
        if number in self.known_ids:
            return f"{name} is the {self.q.known_side} already"
        at = int(np.flatnonzero(self.shelf.ids == number)[0])
        if not length_told(self.shelf)[at]:
            return f"the length of {name} is not known: {why_unknown(self.shelf, at)}"
        if not self.usable[at]:
            claimed = self.shelf.free[at] <= 0
            why = "other cloths claim all of it" if claimed else "nothing of it is left"
            return f"nothing of {name} is free: {why}"
        return None

    def _names(self, found: Table, rows: Sequence[int]) -> dict[int, str]:
        """What the rows' skeins are called; and which readings there are of them, to tell."""
        ids = {one for row in rows for one in found.skeins(row)}
        self.sides = replace(self.sides, seen=readings_seen(self.connection, ids))
        return {number: one.name for number, one in supplies(self.connection, ids).items()}

    def _match(self, found: Table, row: int, rank: int, names: dict[int, str]) -> Match:
        odds, need = float(found.odds[row]), _known(found.found.need[row])
        stands = [int(one.stands[row]) for one in found.criteria]
        have = float(found.c.have[row])
        told = odds == odds
        return Match(
            rank=rank,
            skeins=[names[one] for one in found.skeins(row)],
            odds=odds if told else None,
            verdict=verdict(odds, found.promise) if told else None,
            by="draws" if row in found.drawn else "closed form",
            need_m=need,
            have_m=have,
            left_m=None if need is None else have - need,
            sett_ends_per_cm=_known(found.found.sett_per_cm[row]),
            picks_per_cm=_known(found.found.picks_per_cm[row]),
            against=stands.count(AGAINST),
            mind=stands.count(MIND),
            criteria=reasons(found, row, self.sides),
        )


def _wished(one: Match, name: str) -> str:
    """A criterion of colour, as the order takes it: to the whole number, whichever way."""
    (value,) = [reason.value for reason in one.criteria if reason.name == name]
    return "not known" if value is None else f"{round(abs(value))} {WISHED[name]}"


def _read_in_part(one: Match) -> bool:
    """Whether its colour note holds words that were not read."""
    return any(NOT_READ in reason.why for reason in one.criteria if reason.name == "likeness")


def _known(value: np.floating) -> float | None:
    return float(value) if np.isfinite(value) else None


def _above(before: Match, own: Match, wished: Sequence[str]) -> str:
    """Why the one before stands before it: the first thing in which they differ."""
    name = " + ".join(before.skeins)
    if before.verdict != own.verdict:
        return f"{name} stands before it: it {IS[before.verdict]}, and this {IS[own.verdict]}"
    if own.verdict in ("falls short", None) and _missing(before) != _missing(own):
        less, more = (say_percent(_missing(one)) for one in (before, own))
        return f"{name} stands before it: {less} of what it needs is missing, and of this {more}"
    for name_of in wished:
        one_said, other_said = (_wished(match, name_of) for match in (before, own))
        if one_said != other_said:
            return f"{name} stands before it: {name_of} {one_said}, and of this {other_said}"
    if wished and _read_in_part(own) and not _read_in_part(before):
        return f"{name} stands before it: its colour note was read whole, and this one's not"
    for what, one, other in (
        ("against", before.against, own.against),
        ("to mind", before.mind, own.mind),
    ):
        if one != other:
            return f"{name} stands before it: {one} {what}, not {other}"
    if own.verdict == "reaches":
        return f"{name} stands before it: less of it would be left over"
    return f"{name} stands before it: its odds are better"
