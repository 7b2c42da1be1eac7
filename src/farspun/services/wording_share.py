"""How sharing out is told: who gets what, who stays short, what changes and who loses by it."""

from typing import TYPE_CHECKING

from farspun.services.wording import counted, in_100, listed, to_have, to_weigh
from farspun.units import (
    say_length,
    say_length_imperial,
    say_mass,
    say_odds,
    say_percent,
)

if TYPE_CHECKING:
    from farspun.services.share_answers import (
        ClothShare,
        Given,
        LeftOut,
        NeedShare,
        Shared,
        Without,
    )

WHOLE = 0.9995  # of a skein, from which it is said to be all of it
NOTHING = (
    "There is nothing to share out: skeins are shared out among cloths that are planned and not on"
    " the loom yet, and there is none."
)
NO_CHANGE = "None: it is what the cloths claim today."
TOO_SMALL = "The set-up, not the yarn, is too small"
MOST_NAMED = 4  # cloths in a sentence; judgement
LEAST_TOLD_M = 0.5  # of yarn
LEAST_GAP = 1e-4  # below which it counts as proven: the arithmetic is no finer


def heading_said(shared: "Shared") -> str:
    """How much is shared out among how many."""
    many = len(shared.cloths)
    cloths = f"{many} planned cloths, by priority" if many > 1 else "1 planned cloth"
    if not shared.pieces:
        return f"Nothing of the stash can be shared out among {cloths}."
    metres = f"{say_length(shared.bound_m)} ({say_length_imperial(shared.bound_m)})"
    return f"Shared out among {cloths}: {metres} in {counted(shared.pieces, 'piece')}."


def served_said(shared: "Shared") -> str:
    """Who reaches by it and who does not, as one sentence; empty where there is no cloth."""
    reach = [one.cloth for one in shared.cloths if one.verdict == "reaches"]
    short = [one.cloth for one in shared.cloths if one.verdict != "reaches"]
    if not shared.cloths:
        return ""
    if not reach:
        none = f"none of {len(short)} cloths would reach" if len(short) > 1 else ""
        return f"Shared out so, {none or f'{short[0]} would not reach'}."
    told = f"Shared out so, {_first_of(reach)} would reach"
    return f"{told}; {_first_of(short)} would not." if short else f"{told}."


def _first_of(names: list[str]) -> str:
    """The first of them by name, the rest counted."""
    rest = len(names) - MOST_NAMED
    return listed([*names[:MOST_NAMED], f"{rest} more"] if rest > 1 else names)


def verdict_said(cloth: "ClothShare") -> str:
    """How sure a cloth is by what it is given, and by what it claims today."""
    odds = say_odds(cloth.odds, cloth.promise)
    asked = f"asked {in_100(cloth.promise)}, priority {cloth.priority}"
    told = f"{cloth.verdict.capitalize()}: {odds} ({asked})"
    now, free = (say_odds(one, cloth.promise) for one in (cloth.odds_now, cloth.odds_free))
    as_well = "" if free == now else f"; with yarn nobody claims as well: {free}"
    return f"{told}. By what it claims today alone: {now}{as_well}."


def part_said(one: "Given") -> str:
    """How much of a skein is given."""
    return "all of it" if one.share > WHOLE else f"{say_percent(round(one.share, 3))} of it"


def need_said(need: "NeedShare") -> str:
    """What a yarn needs, what is in hand already, and what is short."""
    odds = say_odds(need.odds, need.promise)
    hand = f", {say_length(need.in_hand_m)} of it in hand" if need.in_hand_m >= 1 else ""
    return f"{need.yarn} needs about {say_length(need.need_m)}{hand}: {odds}{_short(need)}"


def _short(need: "NeedShare") -> str:
    if not need.short_m > 0:
        return ""
    metres = to_have(need.short_m)
    grams = "" if need.short_g is None else f", {say_mass(to_weigh(need.short_g))}"
    said = f"{say_length(metres)} ({say_length_imperial(metres)}){grams}"
    return f"; short by {said} to be as sure as asked"


def change_cells(shared: "Shared") -> list[list[str]]:
    """What is other than today's claims: cloth, side, skein, today, then."""
    return [
        [one.cloth, one.side, one.skein, claim_said(one.now_g), claim_said(one.then_g)]
        for one in shared.changes
    ]


def claim_said(mass_g: float) -> str:
    """What a cloth claims of a skein."""
    return say_mass(mass_g) if mass_g else "nothing"


def losses_said(shared: "Shared") -> str:
    """Which cloth would let go of what."""
    less = [f"{cloth} {say_mass(g)} of {skein}" for (cloth, skein), g in shared.losing.items()]
    return "; ".join(less)


def left_out_said(one: "LeftOut") -> str:
    """A skein that has no part in it, and why."""
    return f"{one.skein}, named for {' and '.join(one.cloths)}, is not shared, for {one.why}."


def without_said(one: "Without") -> str:
    """Whom a cloth that takes yarn in vain would serve by being given up."""
    would = f"would {'all ' if len(one.would_reach) > 2 else ''}reach"
    return f"Without {one.cloth}, {listed(one.would_reach)} {would}"


def least_said(shared: "Shared") -> str:
    """How sure it is that fewer metres cannot be bound; empty where none are."""
    return _gap(shared.gap) + _held(shared) if shared.pieces else ""


def _held(shared: "Shared") -> str:
    """That a little might be saved, and is not worth moving yarn for."""
    if shared.held_m < LEAST_TOLD_M:
        return ""
    much = say_length(shared.held_m)
    return f" But for {much}: for so little nothing is moved that is claimed today."


def _gap(gap: float) -> str:
    if gap < LEAST_GAP:
        return "No sharing of these skeins binds fewer metres, a join counted as 20 m."
    much = say_percent(max(0.001, round(gap, 3)))
    return f"At most {much} of the metres and joins might be saved; it was not proven to the end."


def loss_said(shared: "Shared") -> str:
    """What is asked before it is kept."""
    return f"Let go of yarn that is kept today ({losses_said(shared)})?"
