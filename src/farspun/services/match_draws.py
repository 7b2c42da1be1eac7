"""The joint draw of some of the yarns that are matched; the known yarns are drawn once."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np

from farspun.craft.case import Case
from farspun.craft.plan import Part, Plan
from farspun.craft.reach import FACTOR, Given, odds_alone
from farspun.craft.readings import Floats
from farspun.errors import ImpossibleValue
from farspun.services.case_for import settled_case
from farspun.services.habits_for import spreads_of_all
from farspun.services.match_question import Question, refused
from farspun.services.match_rows import Table
from farspun.services.meanwhile import drawn_ahead
from farspun.services.stock import Block, Stock

KEPT = 24  # sets of draws of the known yarns; judgement: each is a megabyte or two


class Draws:
    """Draws rows of the table, and keeps what the known yarns give."""

    def __init__(self, q: Question, found: Table, stock: Stock, block: Block) -> None:
        self.q, self.found, self.stock, self._block = q, found, stock, block
        self._given: Given = {}
        self._shared: dict[tuple[str, ...], Floats] = {}

    def draw(self, rows: Sequence[int]) -> None:
        """Replace the odds of these rows by those of the joint draw; NaN where no loom takes it."""
        ids = {one for row in rows for one in self.found.skeins(row)}
        if not ids <= self.stock.supplies.keys():
            self.stock, self._block = self.q.supplies(sorted(ids))
        names = {one: self.stock.supplies[one].name for one in sorted(ids)}
        wanted = (names[one] for row in rows for one in self.found.skeins(row))
        with drawn_ahead(wanted) as wait_for:
            for row, case in self._cases(rows):
                for one in self.found.skeins(row):
                    wait_for(names[one])
                self.found.odds[row] = self._odds(case)

    def _cases(self, rows: Sequence[int]) -> Iterator[tuple[int, Case]]:
        """Of each row that can be set up; the others are noted as refused."""
        plans = {}
        for row in rows:
            self.found.drawn.add(row)
            try:
                plans[row] = self._plan(row)
            except ImpossibleValue as error:
                self._refuse(row, error)
        spread = spreads_of_all(list(plans.values()), self.stock)
        for (row, plan), spreads in zip(plans.items(), spread, strict=True):
            try:
                settled = settled_case(plan, spreads, self.stock.supplies, self._remembered)
            except ImpossibleValue as error:
                self._refuse(row, error)
            else:
                yield row, settled.case

    def _refuse(self, row: int, error: ImpossibleValue) -> None:
        self.found.odds[row] = np.nan
        self.found.refused[row] = refused(error)

    def _plan(self, row: int) -> Plan:
        """As the columns have it set up; planned anew where that is too wide for their loom."""
        t, parts = self.found, tuple(Part(one) for one in self.found.skeins(row))
        first = t.looms.plan
        sett, picks = float(t.found.sett_per_cm[row]), float(t.found.picks_per_cm[row])
        room_cm = first.loom.width_cm if first.loom else math.inf
        if not (sett > 0 and int(t.found.ends[row]) / sett <= room_cm):
            return self.q.settled(t.skeins(row), self.stock)
        plan = replace(first, sett_per_cm=sett, picks_per_cm=picks)
        return replace(plan, weft=parts) if self.q.side == "weft" else replace(plan, warp=parts)

    def _remembered(self, names: Sequence[str]) -> Floats:
        """What skeins share is read once."""
        key = tuple(names)
        if key not in self._shared:
            self._shared[key] = self._block(names)
        return self._shared[key]

    def _odds(self, case: Case) -> float:
        """As the verdict of `reach` is judged. What the candidate gave is let go."""
        odds, _ = odds_alone(case, self._given)
        known = case.warp if self.q.side == "weft" else case.weft
        names = {one.name for yarn in known for one in yarn.skeins}
        skeins = [key for key in self._given if key[0] != FACTOR]
        kept = {key for key in skeins if key[1] in names}
        for key in skeins:
            if key not in kept or len(kept) > KEPT:
                del self._given[key]
        return odds
