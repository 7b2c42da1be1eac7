"""Who gets which skein, in words: cloth by cloth, then what changes, and how sure it is least."""

from collections.abc import Iterator, Sequence
from shlex import quote
from textwrap import wrap
from typing import TYPE_CHECKING

from farspun.cli.printing import LABEL, LINE, in_100, labelled, table_lines, to_have, to_weigh
from farspun.services.wording import listed
from farspun.units import (
    say_length,
    say_length_imperial,
    say_mass,
    say_mass_imperial,
    say_odds,
    say_percent,
)

if TYPE_CHECKING:
    from farspun.services.share_answers import ClothShare, NeedShare, Shared

WHOLE = 0.9995  # of a skein, from which it is said to be all of it
NOTHING = (
    "There is nothing to share out: skeins are shared out among cloths that are planned and not on"
    " the loom yet, and there is none. Plan one: farspun cloth plan NAME --size WIDTHxLENGTH"
    " --warp SKEIN --weft SKEIN"
)
LEAST_TOLD_M = 0.5  # of yarn
LEAST_GAP = 1e-4  # below which it counts as proven: the arithmetic is no finer


def shared_lines(shared: "Shared", keep: bool) -> Iterator[str]:
    """The whole answer; `keep`: it becomes the claims."""
    if not shared.cloths:
        yield from wrap(NOTHING, LINE)
        return
    yield _heading(shared)
    for cloth in shared.cloths:
        yield ""
        yield from _cloth_lines(cloth)
    yield ""
    yield from _change_lines(shared)
    for one in shared.left_out:
        naming = " and ".join(one.cloths)
        yield from labelled(
            "Note", f"{one.skein}, named for {naming}, is not shared, for {one.why}."
        )
    yield from _without_lines(shared)
    if shared.pieces:
        yield from labelled("Least", _gap(shared.gap) + _held(shared))
    if shared.changes and not keep:
        yield from labelled("Next", "Nothing was changed. To keep it so: farspun share-out --keep")


def _heading(shared: "Shared") -> str:
    many = len(shared.cloths)
    cloths = f"{many} planned cloths, by priority" if many > 1 else "1 planned cloth"
    if not shared.pieces:
        return f"Nothing of the stash can be shared out among {cloths}."
    pieces = "1 piece" if shared.pieces == 1 else f"{shared.pieces} pieces"
    metres = f"{say_length(shared.bound_m)} ({say_length_imperial(shared.bound_m)})"
    return f"Shared out among {cloths}: {metres} in {pieces}."


def _cloth_lines(cloth: "ClothShare") -> Iterator[str]:
    yield cloth.cloth
    yield from wrap(_verdict(cloth), LINE)
    if any(need.given for need in cloth.needs):
        yield from table_lines(*_table(cloth))
    for need in cloth.needs:
        yield from _need_lines(need)
    if cloth.too_small:
        check = f"farspun cloth check {quote(cloth.cloth)}"
        yield from labelled("Note", f"The set-up, not the yarn, is too small: {check}")


def _verdict(cloth: "ClothShare") -> str:
    odds = say_odds(cloth.odds, cloth.promise)
    asked = f"asked {in_100(cloth.promise)}, priority {cloth.priority}"
    told = f"{cloth.verdict.capitalize()}: {odds} ({asked})"
    now, free = (say_odds(one, cloth.promise) for one in (cloth.odds_now, cloth.odds_free))
    as_well = "" if free == now else f"; with yarn nobody claims as well: {free}"
    return f"{told}. By what it claims today alone: {now}{as_well}."


def _table(cloth: "ClothShare") -> tuple[Sequence[str], list[list[str]], Sequence[int]]:
    rows = [
        [
            "" if number else need.side.capitalize(),
            one.skein,
            say_length(one.length_m),
            say_length_imperial(one.length_m),
            say_mass(one.mass_g),
            say_mass_imperial(one.mass_g),
            "all of it" if one.share > WHOLE else f"{say_percent(round(one.share, 3))} of it",
        ]
        for need in cloth.needs
        for number, one in enumerate(need.given)
    ]
    return ("", "Skein", "Metres", "Yards", "Grams", "Ounces", ""), rows, (2, 3, 4, 5)


def _need_lines(need: "NeedShare") -> Iterator[str]:
    """What is in hand already, and what is short."""
    side, odds = need.side.capitalize(), say_odds(need.odds, need.promise)
    hand = f", {say_length(need.in_hand_m)} of it in hand" if need.in_hand_m >= 1 else ""
    asked = f"{need.yarn} needs about {say_length(need.need_m)}{hand}: {odds}"
    yield from labelled(side, f"{asked}{_short(need)}")


def _short(need: "NeedShare") -> str:
    if not need.short_m > 0:
        return ""
    metres = to_have(need.short_m)
    grams = "" if need.short_g is None else f", {say_mass(to_weigh(need.short_g))}"
    return f"; short by {say_length(metres)} ({say_length_imperial(metres)}){grams}"


def _change_lines(shared: "Shared") -> Iterator[str]:
    """What is other than today's claims, and who loses yarn by it."""
    if not shared.changes:
        yield from labelled("Changes", "None: it is what the cloths claim today.")
        return
    rows = [
        [one.cloth, one.side, one.skein, _claim(one.now_g), _claim(one.then_g)]
        for one in shared.changes
    ]
    label = "Changes"
    for line in table_lines(("Cloth", "Side", "Skein", "Today", "Then"), rows, (3, 4)):
        yield f"{label.ljust(LABEL)}{line}"
        label = ""
    if shared.losing:
        yield from labelled("Loses", f"{_losses(shared)}.")


def _claim(mass_g: float) -> str:
    return say_mass(mass_g) if mass_g else "nothing"


def _losses(shared: "Shared") -> str:
    less = [f"{cloth} {say_mass(g)} of {skein}" for (cloth, skein), g in shared.losing.items()]
    return "; ".join(less)


def _without_lines(shared: "Shared") -> Iterator[str]:
    """Which cloths take yarn that does not serve them, and whom it would."""
    last = max(one.priority for one in shared.cloths)
    label = "Futile"
    for one in shared.without:
        served, name = listed(one.would_reach), quote(one.cloth)
        would = f"{served} would {'all ' if len(one.would_reach) > 2 else ''}reach"
        yield from labelled(
            label,
            f"Without {one.cloth}, {would}: farspun cloth give-up {name}, or give it a later"
            f" priority: farspun cloth change {name} --priority {last + 1}",
        )
        label = ""


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
    return f"Let go of yarn that is kept today ({_losses(shared)})?"
