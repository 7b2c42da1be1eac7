"""What is short, in words."""

from collections.abc import Iterator, Sequence
from itertools import groupby
from typing import TYPE_CHECKING

from farspun.cli.printing import LABEL, in_100, labelled, to_have, to_weigh
from farspun.services.wording_cloth import share_anew_said
from farspun.units import (
    say_length,
    say_length_imperial,
    say_mass,
    say_mass_imperial,
    say_odds,
)

if TYPE_CHECKING:
    from farspun.services.shortfalls import Shortfall, Shortfalls


def shortfall_lines(found: "Shortfalls") -> Iterator[str]:
    """What is short, cloth by cloth, and how to come by it."""
    if not found.checks:
        yield "No cloth is planned."
        return
    if not found.yarns:
        yield "Nothing is short: every planned cloth keeps its promise."
        return
    lines = "1 yarn is" if len(found.yarns) == 1 else f"{len(found.yarns)} yarns are"
    yield f"{lines} short, by priority of the cloths."
    keepers = {check.cloth: check.later_keepers for check in found.checks}
    for cloth, rows in groupby(found.yarns, key=lambda one: one.cloth):
        yield ""
        yield cloth
        for one in rows:
            yield f"  {one.side.ljust(LABEL - 2)}{one.yarn}{_odds(one)}"
            yield from _get_lines(one)
        if keepers[cloth]:
            yield from labelled("  or", share_anew_said(keepers[cloth]))
    yield from _sum_lines(found.yarns)


def _sum_lines(found: "Sequence[Shortfall]") -> Iterator[str]:
    """What is short in all of each yarn that more than one line asks for."""
    by_yarn: dict[str, list[Shortfall]] = {}
    for one in found:
        by_yarn.setdefault(one.yarn, []).append(one)
    start = [""]
    for yarn, rows in by_yarn.items():
        metres, grams = _sum([one.short_m for one in rows]), _sum([one.short_g for one in rows])
        if len(rows) > 1 and metres is not None:
            weight = ("", "") if grams is None else (
                f", {say_mass(to_weigh(grams))}", f", {say_mass_imperial(to_weigh(grams))}"
            )  # fmt: skip
            had = to_have(metres)
            yield from start
            yield f"{yarn} in all: {say_length(had)}{weight[0]}"
            yield from labelled("", f"in yards and ounces: {say_length_imperial(had)}{weight[1]}")
            start = []


def _sum(amounts: "Sequence[float | None]") -> float | None:
    """Of all of them; None where one is not known."""
    known = [one for one in amounts if one is not None]
    return sum(known) if len(known) == len(amounts) else None


def _odds(one: "Shortfall") -> str:
    """A yarn may keep the promise alone, and miss it together with the others."""
    asked = in_100(one.promise)
    if one.odds is None:
        return f" (asked {asked})"
    alone = f": {say_odds(one.odds, one.promise)}"
    if one.odds >= one.promise and one.odds_together is not None:
        return f"{alone}, all its yarns together {say_odds(one.odds_together)} (asked {asked})"
    return f"{alone} (asked {asked})"


def _get_lines(one: "Shortfall") -> Iterator[str]:
    if one.short_m is None:
        yield from labelled("", f"Weigh {one.yarn}: nothing is known of its length.")
        return
    grams = "" if one.short_g is None else f", {say_mass(to_weigh(one.short_g))}"
    ounces = "" if one.short_g is None else f", {say_mass_imperial(to_weigh(one.short_g))}"
    if one.get and "buy" in one.get:
        buy = one.get["buy"]
        packs = f"{buy['packs']:.0f} pack{'s' if buy['packs'] > 1 else ''}"
        yield from labelled("", f"buy {packs}: {say_length(to_have(one.short_m))}{grams} are short")
    else:
        yield from labelled("", f"spin {say_length(to_have(one.short_m))}{grams} more")
    yield from labelled(
        "", f"in yards and ounces: {say_length_imperial(to_have(one.short_m))}{ounces}"
    )
