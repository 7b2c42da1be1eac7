"""Need against have, in words and as a picture's figures."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from farspun.services.wording import span
from farspun.services.wording_cloth import yarn_name
from farspun.units import say_odds
from farspun.units.factors import METRES_PER_YARD

if TYPE_CHECKING:
    from farspun.services.answers import Check, NeedAnswer, Three

WIDE = 320.0  # units of the drawing's width


@dataclass(frozen=True, slots=True)
class Bar:
    """A quantity that is at least `sure` and at most `sure + may` of the drawing's width."""

    kind: str
    sure: float
    may: float


@dataclass(frozen=True, slots=True)
class YarnSaid:
    """One yarn of a cloth: its side, name and odds; need and have in both units, and drawn."""

    side: str
    name: str
    skeins: list[str]
    odds: str
    metric: str
    imperial: str
    in_hand_m: float
    bars: list[Bar]


def yarns_said(check: "Check") -> Iterator[YarnSaid]:
    """Every yarn, warp first."""
    for side, needs in (("Warp", check.warp), ("Weft", check.weft)):
        for need in needs:
            odds = "" if need.odds is None else say_odds(need.odds, check.promise)
            yield YarnSaid(
                side=side,
                name=yarn_name(need),
                skeins=need.skeins,
                odds=odds,
                metric=f"need {span(need.need_m, 1.0, ' m')}, have {span(need.have_m, 1.0, ' m')}",
                imperial=f"in yards: need {span(need.need_m, METRES_PER_YARD)}, have"
                f" {span(need.have_m, METRES_PER_YARD)}",
                in_hand_m=need.in_hand_m,
                bars=_bars(need),
            )


def _bars(need: "NeedAnswer") -> list[Bar]:
    most = max(need.need_m.p95 or 0.0, need.have_m.p95 or 0.0)
    if not most > 0 or need.have_m.p95 is None:
        return []
    return [_bar("need", need.need_m, most), _bar("have", need.have_m, most)]


def _bar(kind: str, points: "Three", most: float) -> Bar:
    low, high = points.p05 or 0.0, points.p95 or 0.0
    return Bar(kind, round(WIDE * low / most, 1), round(WIDE * (high - low) / most, 1))
