"""The answer for a cloth in sentences: labels and what belongs to them, the verdict first."""

from collections.abc import Callable, Iterator, Sequence
from typing import TYPE_CHECKING

from farspun.services.causes import CAUSES, LEAST_SHOWN
from farspun.services.wording import Row, in_100, listed, to_have, to_weigh
from farspun.units import (
    say_cm,
    say_inches,
    say_length,
    say_length_imperial,
    say_mass,
    say_mass_imperial,
    say_odds,
    say_percent,
)

if TYPE_CHECKING:
    from farspun.services.answers import CauseShare, Check, NeedAnswer, ToSettle
    from farspun.services.cloths import Changed, YarnShown

OTHER_REED = "other-reed"  # stands among what to do next
NOT_KEPT = "not-kept"  # stands right below the verdict, where there is a button for it
CLAIMED = "claimed"  # what other cloths keep stands right below the yarns


def verdict_said(check: "Check") -> str:
    """The answer in one sentence."""
    word = check.verdict.capitalize()
    asked = f"you asked for {in_100(check.promise)}"
    odds = check.asked_odds
    if odds is None:
        return f"{word}: the length of {check.weakest} is not known ({asked})."
    size = ", and that the pieces are large enough" if check.plan.cut else ""
    told = f"{word}: {say_odds(odds, check.promise)} that {what_reaches(check)}{size} ({asked})"
    return f"{told}{_but_small(check)}."


def _but_small(check: "Check") -> str:
    """That the yarn is not what fails, where the cloth will hardly be as large as she asked."""
    if not check.too_small or check.odds.size is None:
        return ""
    return f"; but {say_odds(check.odds.size)} that it comes out as large as you asked"


def what_reaches(check: "Check") -> str:
    """Which yarns the odds are of, with their verb."""
    number = len(check.needs)
    if check.split_m and number == 2:
        return "the yarn reaches for warp and weft"
    if number == 1:
        return "the yarn reaches"
    return "both yarns reach" if number == 2 else f"all {number} yarns reach"


def yarn_name(need: "NeedAnswer") -> str:
    """Its skeins, one after another."""
    return " + ".join(need.skeins)


def size_rows(check: "Check") -> Iterator[Row]:
    """The chance that it comes out large enough, and how large that is."""
    plan = check.plan
    give = _give(check)
    wide, long = plan.width_cm * (1 - give), plan.length_cm * (1 - give)
    asked = f"{plan.width_cm:.4g} x {plan.length_cm:.4g}"
    less = f" ({asked} less {say_percent(give)} give)" if give else ""
    each = f", each of {plan.pieces}" if plan.pieces > 1 else ""
    if plan.fringe_cm:
        each += f", and {say_cm(plan.fringe_cm)} fringe at each end"
    yield (
        "Size",
        f"{say_odds(check.odds.size)} that it is at least {_figure(wide)} x {say_cm(long)}"
        f" washed{less}{each}{_both(check)}",
    )
    yield "", f"in inches: {_figure(wide / 2.54)} x {say_inches(long)}"


def _both(check: "Check") -> str:
    """The chance of yarn and size together, where both are asked and it says more."""
    odds = check.odds
    if odds.all is None or odds.yarn is None or check.plan.cut:
        return ""
    return f"; with the yarn {say_odds(odds.all)}"


def _give(check: "Check") -> float:
    if check.plan.give is not None:
        return check.plan.give
    return 0.0 if check.plan.cut else 0.05


def _figure(amount: float) -> str:
    return f"{amount:.1f}".removesuffix(".0")


def causes_said(drivers: "Sequence[CauseShare]") -> str:
    """The causes of doubt with their shares, largest first."""
    return ", ".join(
        f"{CAUSES[driver.cause]} ({say_percent(round(driver.share, 2))})"
        for driver in drivers
        if driver.share >= LEAST_SHOWN
    )


def doubt_rows(check: "Check") -> Iterator[Row]:
    """What the doubt rests in, largest first."""
    shown = causes_said(check.drivers)
    if shown and check.weakest:
        yield ("Doubt", f"in {check.weakest}: {shown}")


def next_rows(check: "Check") -> Iterator[Row]:
    """What would settle it, and what would make it sure."""
    label = "Next"
    if check.settle is None and check.verdict != "reaches":
        yield (label, "no single measurement would settle it")
        label = "or"
    if check.settle is not None:
        settle = check.settle
        likely = f"{_likely(settle, check.verdict)}{_size_then(settle)}"
        yield (label, f"{settle.do}{likely}")
        label = "or"
    for notice in check.warnings:
        if notice.code == OTHER_REED:
            yield (label, notice.text[:1].lower() + notice.text[1:])
            label = "or"
    short = short_of(check)
    if short:
        more = " and ".join(_more(*one, say_length, say_mass) for one in short)
        sure = "" if check.odds.yarn is None else f": then {in_100(check.promise)} in 100"
        yield (label, f"have {more}{sure}")
        imperial = " and ".join(
            _more(*one, say_length_imperial, say_mass_imperial) for one in short
        )
        yield ("", f"in yards and ounces: {imperial}")
        label = "or"
    if check.later_keepers:
        yield (label, share_anew_said(check.later_keepers))


def share_anew_said(keepers: Sequence[str]) -> str:
    """That yarn enough is there, and later cloths keep it."""
    keep = "keeps" if len(keepers) == 1 else "keep"
    return (
        f"share out anew: farspun share-out; {listed(keepers)} {keep} yarn it needs, and"
        f" {'comes' if len(keepers) == 1 else 'come'} later by priority"
    )


def _size_then(settle: "ToSettle") -> str:
    """What a washed sample does to the warp kept for size."""
    then = settle.size_after
    if then is None:
        return ""
    kept, without = (say_length(to_have(one)) for one in (then.yarn_m, then.without_m))
    size = in_100(then.promise)
    return f"; a size sure {size} in 100 then takes {kept} more warp, without it {without}"


def _likely(settle: "ToSettle", verdict: str) -> str:
    """What that would do to the odds; where it falls short, how likely it turns that."""
    if settle.odds_after is None:
        return ""
    if verdict == "falls short" and settle.clear_yes is not None:
        return f": {say_odds(settle.clear_yes)} that it then surely reaches"
    return f": if that confirms it, {say_odds(settle.odds_after)}"


def short_of(check: "Check") -> list[tuple[str, float, float | None]]:
    """(yarn, metres, grams if known) missing; a yarn on both sides is asked for once."""
    found: dict[str, tuple[float, float | None]] = {}
    for need in check.needs:
        if need.short_m:
            metres, grams = found.get(yarn_name(need), (0.0, 0.0))
            both = None if grams is None or need.short_g is None else grams + need.short_g
            found[yarn_name(need)] = metres + need.short_m, both
    return [(name, *short) for name, short in found.items()]


def _more(
    name: str,
    metres: float,
    grams: float | None,
    length: Callable[[float], str],
    mass: Callable[[float], str],
) -> str:
    weight = "" if grams is None else f" ({mass(to_weigh(grams))})"
    return f"{length(to_have(metres))}{weight} more {name}"


def habit_rows(check: "Check") -> Iterator[Row]:
    """What was given, what her own cloths told, and what is only habit."""
    by: dict[str, list[str]] = {"hand": [], "records": [], "habit": []}
    for one in check.assumptions:
        by[one.told_by].append(one.name)
    if by["hand"]:
        yield ("", f"As you gave it: {', '.join(by['hand'])}.")
    sources: dict[str, list[str]] = {}
    for one in check.assumptions:
        if one.told_by == "records":
            sources.setdefault(one.origin, []).append(one.name)
    for origin, names in sources.items():
        yield ("", f"From {origin}: {', '.join(names)}.")
    if by["habit"]:
        habit = ", ".join(by["habit"])
        yield ("", f"Taken from habit, not from your records: {habit}.")


def unkept_said(check: "Check") -> list[str]:
    """Yarn that is not kept for it though it could be, where no command is to be named."""
    texts = [one.text for one in check.warnings if one.code == NOT_KEPT]
    found = []
    for text in texts:
        lacks, _, then = text.partition("; if others take the rest it is ")
        odds = then.partition(": farspun")[0]
        found.append(f"{lacks}: another cloth may take it, and then it is {odds}.")
    return found


def kept_said(check: "Check", yarns: "Sequence[YarnShown]") -> Iterator[str]:
    """What is kept for a cloth of each skein now, and what is lacking all the same."""
    kept: dict[str, float] = {}
    for one in yarns:
        kept[one.skein] = kept.get(one.skein, 0.0) + one.claimed_g
    some = [f"{name} {say_mass(grams)}" for name, grams in kept.items() if grams]
    none = [name for name, grams in kept.items() if not grams]
    if some:
        yield f"Kept for it: {listed(some)}."
    if none:
        yield f"Nothing is kept of {listed(none)}, for nothing of it is free."
    short = " and ".join(_more(*one, say_length, say_mass) for one in short_of(check))
    if short:
        yield f"That is not all it needs: it wants {short}."


def before_said(changed: "Changed") -> Iterator[str]:
    """The odds as they were, and a loom or reed that is another now."""
    was, now = changed.before, changed.check
    odds = was.asked_odds
    yield was.verdict + ("" if odds is None else f", {say_odds(odds, was.promise)}")
    for what, old, new in (
        ("loom", was.plan.loom, now.plan.loom),
        ("reed", was.plan.reed, now.plan.reed),
    ):
        if (old and old.name) != (new and new.name):
            yield f"{what} {old.name if old else 'none'}, now {new.name if new else 'none'}"
