"""All cloths not woven yet: the answer for each, and whether they reach together."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from sqlalchemy import Connection

from farspun.craft.plan import OPEN
from farspun.craft.readings import Floats
from farspun.craft.together import Planned, Together, together
from farspun.services.answers import Check, InTheWay, TogetherAnswer
from farspun.services.case_for import unclaimed
from farspun.services.checking import Asked, answered_in, asked_of
from farspun.services.taught import taught
from farspun.services.ways_for import ways_of_all
from farspun.store import cloths
from farspun.store.supplies import shared_block


def checked_together(connection: Connection) -> list[Check]:
    """Every cloth that is not woven yet, by priority, with the odds of all together."""
    known = taught(connection)
    plans = [plan for plan in cloths.plans(connection) if plan.status in OPEN]
    asked = [asked_of(connection, plan, known) for plan in plans]
    both = zip(asked, reached_together(connection, asked), strict=True)
    return [replace(answered_in(connection, one), together=odds) for one, odds in both]


def reached_together(connection: Connection, asked: Sequence[Asked]) -> list[TogetherAnswer]:
    """Of each cloth, by priority: the odds that it and all before it reach.

    From the first cloth on with a skein of unknown length nothing can be told.
    """
    known = next((at for at, one in enumerate(asked) if one.unknown), len(asked))
    found = _drawn(connection, asked, known)
    unknown = [name for one in asked[known : known + 1] for name in sorted(one.unknown)[:1]]
    blank = TogetherAnswer(None, None, *unknown)
    return [_answer(one) for one in found] + [blank] * (len(asked) - known)


def _answer(found: Together) -> TogetherAnswer:
    held = InTheWay(list(found.skeins), list(found.cloths)) if found.cloths else None
    return TogetherAnswer(found.odds, held)


def _drawn(connection: Connection, asked: Sequence[Asked], known: int) -> list[Together]:
    """The first `known` of the cloths; none of all their claims limits them."""
    own = [one.plan.id for one in asked]
    told = asked[:known]
    planned = [
        Planned(
            one.plan.name or "",
            unclaimed(one.settled.case, one.stock.supplies, *own),  # by none of these
            ways,
        )
        for one, ways in zip(told, ways_of_all(told), strict=True)
    ]
    return together(planned, *_effects(connection, told)) if planned else []


def _effects(connection: Connection, told: Sequence[Asked]) -> tuple[list[str], Floats]:
    """What all their skeins share, and its covariance.

    That of the stash as it is kept: cloths woven as spun leave the doubt of a lot or a tool within
    the drawing error of what it is.
    """
    keys = sorted({key for one in told for key in one.settled.case.effects})
    return keys, np.asarray(shared_block(connection, keys))
