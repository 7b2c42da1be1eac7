"""What is short, in words."""

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from farspun.cli.printing import LABEL, in_100, labelled, to_have, to_weigh
from farspun.units import (
    say_length,
    say_length_imperial,
    say_mass,
    say_mass_imperial,
    say_odds,
)

if TYPE_CHECKING:
    from farspun.services.shortfalls import Shortfall


def shortfall_lines(found: "Sequence[Shortfall]") -> Iterator[str]:
    """What is short, cloth by cloth, and how to come by it."""
    if not found:
        yield "Nothing is short: every planned cloth keeps its promise."
        return
    number = "1 yarn is" if len(found) == 1 else f"{len(found)} yarns are"
    yield f"{number} short, by priority of the cloths."
    cloth = None
    for one in found:
        if one.cloth != cloth:
            cloth = one.cloth
            yield ""
            yield cloth
        yield f"  {one.side.ljust(LABEL - 2)}{one.yarn}{_odds(one)}"
        yield from _get_lines(one)


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
