"""The joint draw of some of the yarns that are matched; the known yarns are drawn once."""

from collections.abc import Sequence

import numpy as np

from farspun.craft.case import Case
from farspun.craft.reach import FACTOR, Given, odds_alone
from farspun.craft.readings import Floats
from farspun.errors import ImpossibleValue
from farspun.services.match_question import Question, refused
from farspun.services.match_rows import Table

KEPT = 24  # sets of draws of the known yarns; judgement: each is a megabyte or two


class Draws:
    """Draws rows of the table, and keeps what the known yarns give."""

    def __init__(self, q: Question, found: Table) -> None:
        self.q, self.found = q, found
        self._given: Given = {}

    def draw(self, rows: Sequence[int]) -> None:
        """Replace the odds of these rows by those of the joint draw; NaN where no loom takes it."""
        if not rows:
            return
        ids = sorted({one for row in rows for one in self.found.skeins(row)})
        stock, block = self.q.supplies(ids)
        blocks: dict[tuple[str, ...], Floats] = {}

        def remembered(names: Sequence[str]) -> Floats:
            key = tuple(names)
            if key not in blocks:
                blocks[key] = block(names)
            return blocks[key]

        for row in rows:
            try:
                plan = self.q.settled(self.found.skeins(row), stock)
                case = self.q.case(plan, stock, remembered)
            except ImpossibleValue as error:
                self.found.odds[row] = np.nan
                self.found.refused[row] = refused(error)
            else:
                self.found.odds[row] = self._odds(case)
            self.found.drawn.add(row)

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
        return odds.all if case.cut else odds.yarn
