"""The largest cloth that these skeins weave at the promise, and the range of sizes they would."""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np
from sqlalchemy import Connection

from farspun.craft.case import Case
from farspun.craft.closed_form import closed_form_odds
from farspun.craft.largest import largest_whole
from farspun.craft.plan import Plan
from farspun.craft.reach import Drawn, Given, odds_alone
from farspun.craft.readings import Floats
from farspun.errors import ImpossibleValue, WrongUse
from farspun.services.answers import Check, check_document
from farspun.services.case_for import settled_case
from farspun.services.checking import checked
from farspun.services.cloth_asked import ClothAsked
from farspun.services.habits_for import spreads_for
from farspun.services.planning import LIMITS, WIDTH, Ready, ready
from farspun.services.stock import stock_to_weave
from farspun.store.engine import Stash, reading
from farspun.units import say_odds

Sizing = Callable[[int], tuple[float, float]]  # a whole number of cm to width and length, cm

MOST_ROWS = 12  # of the table of sizes; judgement: what fits a screen
STEPS_CM = (1, 2, 5, 10, 20, 25, 50, 100, 200, 500, 1000)  # between its widths; round figures
SHORTEST_CM = 10.0  # a cloth in that table; judgement: less is a band across the loom
NARROWEST_CM = 5.0  # a cloth in that table; judgement: less is a band, woven on other looms
MOST_SHAPE = 100  # times as long as wide, at most, in that table; judgement
WIDEST_CM, LONGEST_CM = int(LIMITS["width_cm"][0]), int(LIMITS["length_cm"][0])
LOOM, SIZE = "the loom", "how sure the size is"
FIGURES = "what farspun can reckon with"
NO_SKEIN = ("No skein was named.", "Name the yarn: farspun largest --warp SKEIN --weft SKEIN")


@dataclass(frozen=True, slots=True)
class Wish:
    """What is held fixed: a width, a length, or the shape (width over length); of none, nothing.

    `table`: the widths and lengths there are, as well.
    """

    width_cm: float | None = None
    length_cm: float | None = None
    shape: float | None = None
    table: bool = False

    @property
    def most(self) -> int:
        """How far to look, in cm of the side looked for."""
        if self.length_cm is not None:
            return WIDEST_CM
        if self.shape is not None:
            return max(1, min(LONGEST_CM, int(WIDEST_CM / self.shape)))
        return LONGEST_CM

    def sizing(self) -> Sizing | None:
        """The size at so many cm of the side looked for; None where nothing is held."""
        if self.width_cm is not None:
            wide = self.width_cm
            return lambda whole: (wide, float(whole))
        if self.length_cm is not None:
            long = self.length_cm
            return lambda whole: (float(whole), long)
        if self.shape is not None:
            shape = self.shape
            return lambda whole: (whole * shape, float(whole))
        return None


@dataclass(frozen=True, slots=True)
class SizeOdds:
    """A size and its odds; None where such a cloth cannot be."""

    width_cm: float
    length_cm: float
    odds: float | None


@dataclass(frozen=True, slots=True)
class SizeRow(SizeOdds):
    """A row of the table, and what ends it one cm further on; `split_m` as in `Largest`."""

    ends_it: str
    split_m: tuple[float, float] | None = None


@dataclass(frozen=True, slots=True)
class Largest:
    """The answer. `size` None where none keeps the promise, and then `why`.

    `beyond` is one cm more, and `ends_it` the yarn that falls short there, LOOM or SIZE. `split_m`:
    metres for warp and weft where one yarn serves both. `check`: the whole answer for the size.
    """

    promise: float
    size: SizeOdds | None
    beyond: SizeOdds | None
    ends_it: str | None
    split_m: tuple[float, float] | None
    check: Check | None
    sizes: list[SizeRow] = field(default_factory=list)
    why: str | None = None

    def document(self) -> dict[str, Any]:
        """As one JSON object."""
        split = None
        if self.split_m is not None:
            split = {"warp_m": self.split_m[0], "weft_m": self.split_m[1]}
        return {
            "promise": self.promise,
            "size": self.size,
            "beyond": self.beyond,
            "ends_it": self.ends_it,
            "split": split,
            "why": self.why,
            "sizes": self.sizes,
            "check": None if self.check is None else check_document(self.check),
        }


def largest(stash: Stash, asked: ClothAsked, wish: Wish) -> Largest:
    """The largest cloth of these skeins that keeps the promise; nothing is stored.

    With a sett and no warp only the weft is asked; a yarn of one side alone else serves both.
    Raises WrongUse where no skein is named or several sides are held, else as `planned`.
    """
    held = [one for one in (wish.width_cm, wish.length_cm, wish.shape) if one is not None]
    if len(held) > 1:
        raise WrongUse(
            "--width, --length and --shape do not go together.",
            "Give one of them, or none for the table of sizes.",
        )
    with reading(stash) as connection:
        return _largest(connection, both_sides(asked), wish)


def both_sides(asked: ClothAsked) -> ClothAsked:
    """One yarn serves both sides, but where a sett stands for the warp."""
    warp, weft = asked.names("warp"), asked.names("weft")
    if not warp and not weft:
        raise WrongUse(*NO_SKEIN)
    if (not weft and asked.warp_order) or (not warp and asked.weft_order):
        raise WrongUse(
            "An order names the yarns of one side only.", "Give --warp and --weft, one of them by"
            " its order."
        )  # fmt: skip
    if not weft:
        return replace(asked, weft=asked.warp)
    if not warp and asked.sett_per_cm is None:
        return replace(asked, warp=asked.weft)
    return asked


def _largest(connection: Connection, asked: ClothAsked, wish: Wish) -> Largest:
    wide, long = wish.width_cm or 1.0, wish.length_cm or 1.0
    at_first = replace(asked, width_cm=wide, length_cm=long, size_said="")
    tried = Sizes(connection, ready(connection, at_first))
    promise = tried.promise
    if tried.unknown:
        return Largest(promise, None, None, None, None, None, why=_weigh(tried.unknown[0]))
    sizing = wish.sizing()
    table = tried.table() if wish.table or sizing is None else []
    if sizing is None:
        why = None if table else tried.why_not(lambda whole: (float(whole), SHORTEST_CM))
        return Largest(promise, None, None, None, None, None, table, why)
    found = tried.largest(sizing, wish.most)
    if found is None:
        return Largest(promise, None, None, None, None, None, table, tried.why_not(sizing))
    beyond, ends_it = tried.beyond(sizing, found, wish.most)
    size = tried.odds_of(*sizing(found))
    check = checked(connection, tried.plan(size.width_cm, size.length_cm))
    return Largest(promise, size, beyond, ends_it, check.split_m, check, table)


def _weigh(name: str) -> str:
    return f"the length of {name} is not known, so nothing can be promised: weigh it first"


def _woven(row: SizeRow) -> bool:
    """Whether anyone weaves such a cloth; whoever wants it still asks for its width."""
    return row.width_cm >= NARROWEST_CM and row.length_cm <= MOST_SHAPE * row.width_cm


class Sizes:
    """The skeins of one question, tried in many sizes; what they give is drawn once."""

    def __init__(self, connection: Connection, start: Ready) -> None:
        self._start = start
        plan = start.plan
        self._stock, self._block = stock_to_weave(connection, plan.skein_ids, plan.as_spun)
        self._given: Given = {}
        self._cases: dict[tuple[float, float], Case | ImpossibleValue] = {}
        self._odds: dict[tuple[float, float], tuple[float, tuple[float, ...]]] = {}
        self._shared: dict[tuple[str, ...], Floats] = {}

    @property
    def promise(self) -> float:
        """What is asked."""
        return self._start.plan.promise

    @property
    def unknown(self) -> list[str]:
        """Skeins of which no reading tells the length."""
        return sorted(one.name for one in self._stock.supplies.values() if not one.known)

    def plan(self, width_cm: float, length_cm: float) -> Plan:
        """Set up in that size. Raises ImpossibleValue."""
        return self._start.sized(width_cm, length_cm)

    def largest(self, sizing: Sizing, most: int, near: int | None = None) -> int | None:
        """The whole cm that `largest_whole` finds."""

        def keeps(whole: int) -> bool:
            odds = self.odds_of(*sizing(whole)).odds
            return odds is not None and odds >= self.promise

        return largest_whole(
            keeps, lambda whole: self._about(*sizing(whole)), self.promise, most, near
        )

    def odds_of(self, width_cm: float, length_cm: float) -> SizeOdds:
        """The odds that the verdict is on: those of the yarn; with --cut, of yarn and size."""
        case = self._case(width_cm, length_cm)
        if isinstance(case, ImpossibleValue):
            return SizeOdds(width_cm, length_cm, None)
        return SizeOdds(width_cm, length_cm, self._drawn(case, width_cm, length_cm)[0])

    def beyond(self, sizing: Sizing, found: int, most: int) -> tuple[SizeOdds, str]:
        """One cm more than what was found, and what does not reach there."""
        wide, long = sizing(found + 1)
        if found >= most:
            return SizeOdds(wide, long, None), FIGURES
        case = self._case(wide, long)
        if isinstance(case, ImpossibleValue):
            return SizeOdds(wide, long, None), LOOM if case.what == WIDTH else case.allowed
        _, each = self._drawn(case, wide, long)
        weakest = min(range(len(each)), key=lambda at: each[at])
        if case.cut and each[weakest] >= self.promise:
            return self.odds_of(wide, long), SIZE
        yarns = (*case.warp, *case.weft)
        return self.odds_of(wide, long), yarns[weakest].name

    def why_not(self, sizing: Sizing) -> str:
        """Why no size keeps the promise: what the smallest comes to, and who keeps the yarn."""
        smallest = self._case(*sizing(1))
        if isinstance(smallest, ImpossibleValue):
            return f"{smallest.what} cannot be {smallest.said}: {smallest.allowed}"
        odds, each = self._drawn(smallest, *sizing(1))
        yarns = (*smallest.warp, *smallest.weft)
        weakest = yarns[min(range(len(each)), key=lambda at: each[at])]
        wide, long = sizing(1)
        skeins = {one.name for one in weakest.skeins}
        kept = "".join(f"; {one}" for one in self._stock.keepers(self._start.plan.id, skeins))
        return (
            f"even {wide:.10g} x {long:.10g} cm does not keep it: {say_odds(odds)}, for"
            f" {weakest.name}{kept}"
        )

    def table(self) -> list[SizeRow]:
        """The widths in round figures, each with its largest length; of what no one weaves only
        where there is nothing else."""
        widest = self.largest(lambda whole: (float(whole), SHORTEST_CM), WIDEST_CM)
        if widest is None:
            return []
        step = next((one for one in STEPS_CM if widest / one <= MOST_ROWS), STEPS_CM[-1])
        widths = [step * at for at in range(1, min(widest // step, MOST_ROWS) + 1)] or [widest]
        rows, near = [], None
        for wide in widths:
            row = self._row(float(wide), near)
            rows += [row] if row is not None else []
            near = None if row is None else math.ceil(row.length_cm * wide / (wide + step))
        return [row for row in rows if _woven(row)] or rows

    def split_m(self, width_cm: float, length_cm: float) -> tuple[float, float] | None:
        """Metres (medians) for warp and weft of a size, where one yarn serves both sides."""
        case = self._case(width_cm, length_cm)
        plan = self._start.plan
        both = {part.skein_id for part in plan.warp} & {part.skein_id for part in plan.weft}
        if isinstance(case, ImpossibleValue) or not both:
            return None
        drawn = Drawn(case, self._given)
        warp = sum(float(np.median(drawn.warp_need_m(at))) for at in range(len(case.warp)))
        weft_m = float(np.median(drawn.weft_m))
        return warp, weft_m * sum(one.part for one in case.weft)

    def _row(self, wide: float, near: int | None) -> SizeRow | None:
        def sizing(whole: int) -> tuple[float, float]:
            return wide, float(whole)

        found = self.largest(sizing, LONGEST_CM, near)
        if found is None:
            return None
        odds = self.odds_of(wide, float(found)).odds
        ends_it = self.beyond(sizing, found, LONGEST_CM)[1]
        return SizeRow(wide, float(found), odds, ends_it, self.split_m(wide, float(found)))

    def _case(self, width_cm: float, length_cm: float) -> Case | ImpossibleValue:
        """The case of a size, or why there is none."""
        key = (width_cm, length_cm)
        if key not in self._cases:
            try:
                plan = self.plan(width_cm, length_cm)
                spreads = spreads_for(plan, self._stock)
                supplies = self._stock.supplies
                self._cases[key] = settled_case(plan, spreads, supplies, self._causes).case
            except ImpossibleValue as impossible:
                self._cases[key] = impossible
        return self._cases[key]

    def _about(self, width_cm: float, length_cm: float) -> float | None:
        """By the closed form, yarn by yarn as though they had nothing in common."""
        case = self._case(width_cm, length_cm)
        if isinstance(case, ImpossibleValue):
            return None
        both = {one.name for yarn in case.warp for one in yarn.skeins}
        if any(one.name in both for yarn in case.weft for one in yarn.skeins):
            return odds_alone(case, self._given)[0]
        return math.prod(closed_form_odds(case, yarn) for yarn in (*case.warp, *case.weft))

    def _drawn(
        self, case: Case, width_cm: float, length_cm: float
    ) -> tuple[float, tuple[float, ...]]:
        key = (width_cm, length_cm)
        if key not in self._odds:
            self._odds[key] = odds_alone(case, self._given)
        return self._odds[key]

    def _causes(self, names: Sequence[str]) -> Floats:
        """What the skeins share is read once."""
        key = tuple(names)
        if key not in self._shared:
            self._shared[key] = self._block(names)
        return self._shared[key]
