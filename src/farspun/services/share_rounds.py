"""Rounds of sharing out and verifying, until every need keeps its part.

Every need is verified by the draws that a check rests on, with what it was given; where it is not
covered as it was reckoned, its median is raised (or lowered, where others are short) and all is
shared out again. Source: docs/sharing.md.
"""

import time
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from farspun.craft.reach import odds_alone
from farspun.craft.readings import Floats
from farspun.services.claiming import Claims
from farspun.services.demands import Asking, Demands
from farspun.services.solving import Solved, solved

ROUNDS = 6  # of sharing out and verifying; judgement: two or three are the rule
LOOSENED = 4  # of those, the first: needs that keep more than they promise may get less
CLOSE = 0.002  # of the odds: a need that keeps so much more is not lowered; judgement
LAVISH = 0.5  # of what is missing to certainty: a need that keeps so much more is; judgement
A_LITTLE = 1.0005  # times, what is raised is raised more: claims are whole mg
SURE = 1e-4  # the least and the most odds that are reckoned with, from the end

Odds = tuple[float, tuple[float, ...]]  # of a cloth, and of each of its yarns


@dataclass(slots=True)
class Verified:
    """The odds of cloths by what they claim; what was asked before is not drawn again."""

    cloths: Sequence[Asking]
    known: dict[tuple[int, tuple[tuple[tuple[int, str], int], ...]], Odds] = field(
        default_factory=dict
    )

    def odds(self, at: int, claims: Claims) -> Odds:
        """Of the cloth, from 0, if others took all but these claims."""
        key = self.cloths[at].id, tuple(sorted(claims.items()))
        if key not in self.known:
            self.known[key] = odds_alone(self.cloths[at].kept(claims), {})
        return self.known[key]


def settled(asked: Demands, verified: Verified, until: float) -> tuple[Solved, list[Claims]]:
    """Share out, verify, and again with needs raised or lowered until all keep their part; no new
    round once it is `until`.

    Of all rounds the one that serves the needs best, by priority; of those alike the cheapest.
    """
    times, tried = np.ones(len(asked.needs)), []
    for number in range(ROUNDS):
        sharing = replace(asked.sharing, required_m=asked.sharing.required_m * times)
        found = solved(sharing, max(0.0, until - time.monotonic()))
        claims = asked.claims(found.shares)
        odds = _odds_of_needs(asked, [verified.odds(at, one) for at, one in enumerate(claims)])
        tried.append((_unkept(asked, found, odds), found.cost_m, number, found, claims))
        wanted = _times(asked, found, odds, times, may_lower=number < LOOSENED)
        if not wanted or time.monotonic() > until:
            break
        for need, factor in wanted.items():
            times[need] *= factor
    return min(tried, key=lambda one: one[:3])[3:]


def _unkept(asked: Demands, found: Solved, odds: Sequence[float]) -> list[tuple[bool, float]]:
    """Of each need whether it does not keep its part, and then how short it is, whole metres."""
    unkept = [own < need.level - SURE for own, need in zip(odds, asked.needs, strict=True)]
    return [
        (short, round(float(metres)) if short else 0.0)
        for short, metres in zip(unkept, found.short_m, strict=True)
    ]


def _odds_of_needs(asked: Demands, odds: Sequence[Odds]) -> list[float]:
    """The odds of each need: those of the warp come first in those of its cloth."""
    left: list[Iterator[float]] = [iter(yarns) for _, yarns in odds]
    return [next(left[need.cloth]) for need in asked.needs]


def _times(
    asked: Demands, found: Solved, odds: Sequence[float], times: Floats, may_lower: bool
) -> dict[int, float]:
    """By how much to raise the needs that are not covered, or lower those that are too well.

    Lowered is what keeps far more than it promises; and what keeps a little more, where it was
    raised too far, or where someone is short.
    """
    from scipy.special import ndtri

    someone_short = bool((found.short_m > 0).any())
    given_m = asked.sharing.given_m(found.shares)
    wanted: dict[int, float] = {}
    for at, need in enumerate(asked.needs):
        over = odds[at] - need.level
        raised = over < 0 and not found.short_m[at] and given_m[at] > 0
        close = CLOSE if someone_short or times[at] > 1 else LAVISH * (1 - need.level)
        too_well = over > close and may_lower
        if raised or (too_well and not _shares_with_itself(asked, found, at)):
            off = ndtri(need.level) - ndtri(min(max(odds[at], SURE), 1 - SURE))
            factor = float(np.exp(off * asked.spread_of(at, found.shares)))
            wanted[at] = factor * A_LITTLE
    return {at: factor for at, factor in wanted.items() if abs(factor - 1) > SURE}


def _shares_with_itself(asked: Demands, found: Solved, at: int) -> bool:
    """Whether a skein given for this need is given for another of the same cloth as well: then the
    first of them is drawn with all of it, and seems surer than it is."""
    given = asked.sharing.part(found.shares > 0)
    own = set(given.skein[given.need == at].tolist())
    cloth = asked.needs[at].cloth
    return any(
        skein in own and need != at and asked.needs[need].cloth == cloth
        for skein, need in zip(given.skein.tolist(), given.need.tolist(), strict=True)
    )
