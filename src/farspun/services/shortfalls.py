"""What is missing for all planned cloths together, every claim counted."""

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from farspun.services.answers import Check, NeedAnswer
from farspun.services.together import checked_together
from farspun.store.engine import Stash, reading
from farspun.store.supplies import Supply, supplies


@dataclass(frozen=True, slots=True)
class Shortfall:
    """One yarn of one cloth that is short, and how to come by it.

    `get`: {"spin": {"length_m", "mass_g"}}, mass_g None where its grist is not known; or
    {"buy": {"packs", "length_m"}} for a yarn that can be bought again; None where the length on
    the shelf is not known yet. `odds_together` of all yarns of its cloth; `together` that this
    cloth and all before it reach.
    """

    cloth: str
    side: str
    yarn: str
    short_m: float | None
    short_g: float | None
    odds: float | None
    odds_together: float | None
    promise: float
    get: Mapping[str, Mapping[str, Any]] | None
    together: float | None = None


@dataclass(frozen=True, slots=True)
class Shortfalls:
    """What is short for all planned cloths, and the answers for these, both by priority."""

    yarns: list[Shortfall]
    checks: list[Check]


def shortfalls(stash: Stash) -> list[Shortfall]:
    """All yarns that do not keep their cloth's promise, in order of priority."""
    return all_shortfalls(stash).yarns


def all_shortfalls(stash: Stash) -> Shortfalls:
    """The same, with the answers that they come from."""
    with reading(stash) as connection:
        checks = checked_together(connection)
        skein_ids = {one for check in checks for one in check.plan.skein_ids}
        known = supplies(connection, sorted(skein_ids))
    by_name = {one.name: one for one in known.values()}
    return Shortfalls([row for check in checks for row in _of(check, by_name)], checks)


def _of(check: Check, by_name: Mapping[str, Supply]) -> Iterator[Shortfall]:
    for side, needs in (("warp", check.warp), ("weft", check.weft)):
        for need in needs:
            if need.short_m is not None and not need.short_m > 0:
                continue
            yield Shortfall(
                cloth=check.cloth or "",
                side=side,
                yarn=" + ".join(need.skeins),
                short_m=need.short_m,
                short_g=need.short_g,
                odds=need.odds,
                odds_together=check.odds.yarn,
                promise=check.promise,
                get=_get(need, by_name[need.skeins[0]]),
                together=None if check.together is None else check.together.odds,
            )


def _get(need: NeedAnswer, supply: Supply) -> Mapping[str, Mapping[str, Any]] | None:
    if need.short_m is None:
        return None
    if not supply.rebuy_mg or need.short_g is None:
        return {"spin": {"length_m": need.short_m, "mass_g": need.short_g}}
    packs = math.ceil(need.short_g * 1000 / supply.rebuy_mg - 1e-6)
    length_m = packs * supply.rebuy_mg / 1000 / supply.tex * 1000
    return {"buy": {"packs": packs, "length_m": length_m}}
