"""Nothing is moved without gain: a cloth keeps what it claims today where that does as well.

Two sharings may bind as good as the same metres, and then today's is the better one: no label has
to be changed, no skein carried back.
"""

from collections.abc import Sequence
from dataclasses import replace

from farspun.craft.readings import Floats
from farspun.services.claiming import LOST, Claims
from farspun.services.demands import Demands
from farspun.services.share_rounds import Verified
from farspun.services.solving import Solved

HELD_M = 10.0  # of yarn and joins, what a change has to save; judgement: half a join


def held(
    asked: Demands, found: Solved, claims: Sequence[Claims], verified: Verified
) -> tuple[Solved, list[Claims], float]:
    """The sharing, with today's claims for every cloth that is served by them as well: they fit
    beside what the others get, it reaches by them, and the change would save less than HELD_M.

    And the metres and joins that the changes left undone would have saved.
    """
    shares, own, saved_m = found.shares.copy(), list(claims), 0.0
    for at, cloth in enumerate(asked.cloths):
        today = {key: mg for key, mg in cloth.claims.items() if mg > 0}
        if today == own[at] or not today:
            continue
        tried = _with_today(asked, at, shares, today)
        if tried is None:
            continue
        more_m = asked.sharing.cost_m(tried) - asked.sharing.cost_m(shares)
        odds = [verified.odds(at, one)[0] for one in (own[at], today)]
        if more_m < HELD_M and min(odds) >= cloth.case.promise - LOST:
            shares, own[at], saved_m = tried, today, saved_m + max(0.0, more_m)
    return replace(found, shares=shares), own, saved_m


def _with_today(asked: Demands, at: int, shares: Floats, today: Claims) -> Floats | None:
    """The shares (E,) with what the cloth claims today; None where that cannot be given so: more
    than is left, of a skein that is not shared out, or for two yarns of one side."""
    found, wanted = shares.copy(), dict(today)
    for way, (need, skein_id) in enumerate(zip(asked.sharing.need, asked.skein_id, strict=True)):
        own = asked.needs[need]
        if own.cloth == at and skein_id:
            # half a mg more, so that rounding down to whole mg gives the very claim
            mg = wanted.pop((skein_id, own.side), 0)
            found[way] = (mg + 0.5) / asked.free_mg[skein_id] if mg else 0.0
    given: dict[int, int] = {}
    for skein_id, mg in asked.given_mg(found):
        given[skein_id] = given.get(skein_id, 0) + mg
    fits = all(mg <= asked.free_mg[one] for one, mg in given.items() if one)
    return found if fits and not wanted else None
