"""The answer for a cloth, as a tired weaver wants it: the verdict first, then what it rests on."""

from collections.abc import Callable, Iterator, Sequence
from typing import TYPE_CHECKING

from farspun.cli.loom_words import SHAFTS, handle_lines, loom_lines
from farspun.cli.order_words import order_lines
from farspun.cli.printing import (
    LABEL,
    cells,
    in_100,
    labelled,
    left,
    print_json,
    say,
    tell,
    to_have,
    to_weigh,
)
from farspun.services.causes import CAUSES, LEAST_SHOWN
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
from farspun.units.factors import METRES_PER_YARD

if TYPE_CHECKING:
    from farspun.services.answers import CauseShare, Check, NeedAnswer, Three, ToSettle
    from farspun.services.cloths import Changed
    from farspun.services.odds import CaseAnswer

OTHER_REED = "other-reed"  # stands among what to do next
CLAIMED = "claimed"  # what other cloths keep stands right below the yarns


def print_check(check: "Check", json: bool) -> None:
    """One cloth: its JSON document, or the answer in words."""
    if json:
        from farspun.services.answers import check_document

        print_json(check_document(check))
    else:
        say(*check_lines(check))


def print_changed(changed: "Changed", json: bool) -> None:
    """The cloth as changed, and what that did to it."""
    if json:
        from farspun.services.answers import check_document

        again = {} if changed.resley is None else {"resley": changed.resley}
        print_json(check_document(changed.check) | again)
        return
    say(*check_lines(changed.check))
    if changed.resley is not None:
        from farspun.cli.resley_words import resley_lines

        say(*resley_lines(changed.resley))
    tell(*labelled("Before", ", ".join(_before(changed))))
    if not changed.stored:
        tell("Nothing was stored: leave --dry-run out to change it so.")


def _before(changed: "Changed") -> Iterator[str]:
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


def print_checks(checks: "Sequence[Check]", json: bool) -> None:
    """Several cloths: a list of documents, or one answer after another."""
    if json:
        from farspun.services.answers import check_documents

        print_json(check_documents(checks))
        return
    if not checks:
        say("No cloth is planned.")
    for number, check in enumerate(checks):
        say(*([""] if number else []), *check_lines(check))
    from farspun.cli.together_words import together_lines

    say(*together_lines(checks))


def check_lines(check: "Check") -> Iterator[str]:
    """The whole answer: verdict, yarn, size, loom, doubt, next, habit."""
    if check.cloth:
        yield check.cloth
    yield _verdict(check)
    yield ""
    yield from _yarn_lines(check)
    label = "Kept"
    for notice in check.warnings:
        if notice.code == CLAIMED:
            yield from labelled(label, notice.text)
            label = ""
    yield from _size_lines(check)
    yield from loom_lines(check)
    yield from order_lines(check.setup)
    yield from handle_lines(check)
    yield from _doubt_lines(check)
    yield from _next_lines(check)
    for notice in check.warnings:
        if notice.code not in (CLAIMED, OTHER_REED, SHAFTS):
            yield from labelled("Note", notice.text)
    yield from _habit_lines(check)


def set_up_lines(check: "Check") -> Iterator[str]:
    """Of the answer: each yarn, the loom, and what the cloth will be like."""
    yield from _yarn_lines(check)
    yield from loom_lines(check)
    yield from order_lines(check.setup)
    yield from handle_lines(check)


def _verdict(check: "Check") -> str:
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


def _yarn_lines(check: "Check") -> Iterator[str]:
    """Each yarn's odds, need and supply in metres; then the same in yards."""
    sides = [("Warp", need) for need in check.warp] + [("Weft", need) for need in check.weft]
    names = [_yarn_name(need) for _, need in sides]
    width = max(cells(name) for name in names)
    odds = ["" if need.odds is None else say_odds(need.odds, check.promise) for _, need in sides]
    wide = max(len(one) for one in odds)
    for (side, need), name, chance in zip(sides, names, odds, strict=True):
        yield (
            f"{side.ljust(LABEL)}{left(name, width)}  {chance.rjust(wide)}"
            f"   need {_span(need.need_m, 1.0, ' m')}, have {_span(need.have_m, 1.0, ' m')}"
        )
        if need.in_hand_m >= 1:
            yield f"{' ' * LABEL}{say_length(need.in_hand_m)} of it taken for this cloth already"
    for number, (side, need) in enumerate(sides):
        start = "" if number else "in yards: "
        yield (
            f"{' ' * LABEL}{start or ' ' * len('in yards: ')}{side.lower()} need"
            f" {_span(need.need_m, METRES_PER_YARD)}, have {_span(need.have_m, METRES_PER_YARD)}"
        )
    if check.split_m:
        warp, weft = check.split_m
        yield from labelled("", f"One yarn for both: about {say_length(warp)} go into the warp and"
                             f" {say_length(weft)} into the weft.")  # fmt: skip


def _yarn_name(need: "NeedAnswer") -> str:
    return " + ".join(need.skeins)


def _span(points: "Three", unit: float, name: str = "") -> str:
    """The 5 to 95 span in whole units; "unknown" where it is not known."""
    low, high = points.p05, points.p95
    if low is None or high is None:
        return "unknown"
    first, last = f"{low / unit:.0f}", f"{high / unit:.0f}"
    return (first if first == last else f"{first}-{last}") + name


def _size_lines(check: "Check") -> Iterator[str]:
    plan = check.plan
    give = _give(check)
    wide, long = plan.width_cm * (1 - give), plan.length_cm * (1 - give)
    asked = f"{plan.width_cm:.4g} x {plan.length_cm:.4g}"
    less = f" ({asked} less {say_percent(give)} give)" if give else ""
    each = f", each of {plan.pieces}" if plan.pieces > 1 else ""
    if plan.fringe_cm:
        each += f", and {say_cm(plan.fringe_cm)} fringe at each end"
    yield from labelled(
        "Size",
        f"{say_odds(check.odds.size)} that it is at least {_figure(wide)} x {say_cm(long)}"
        f" washed{less}{each}{_both(check)}",
    )
    yield f"{' ' * LABEL}in inches: {_figure(wide / 2.54)} x {say_inches(long)}"


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


def _causes(drivers: "Sequence[CauseShare]") -> str:
    """The causes of doubt with their shares, largest first."""
    return ", ".join(
        f"{CAUSES[driver.cause]} ({say_percent(round(driver.share, 2))})"
        for driver in drivers
        if driver.share >= LEAST_SHOWN
    )


def _doubt_lines(check: "Check") -> Iterator[str]:
    shown = _causes(check.drivers)
    if shown and check.weakest:
        yield from labelled("Doubt", f"in {check.weakest}: {shown}")


def _next_lines(check: "Check") -> Iterator[str]:
    """What would settle it, and what would make it sure."""
    label = "Next"
    if check.settle is None and check.verdict != "reaches":
        yield from labelled(label, "no single measurement would settle it")
        label = "or"
    if check.settle is not None:
        settle = check.settle
        likely = f"{_likely(settle, check.verdict)}{_size_then(settle)}"
        yield from labelled(label, f"{settle.do}{likely}")
        label = "or"
    for notice in check.warnings:
        if notice.code == OTHER_REED:
            yield from labelled(label, notice.text[:1].lower() + notice.text[1:])
            label = "or"
    short = _short(check)
    if short:
        more = " and ".join(_more(*one, say_length, say_mass) for one in short)
        sure = "" if check.odds.yarn is None else f": then {in_100(check.promise)} in 100"
        yield from labelled(label, f"have {more}{sure}")
        imperial = " and ".join(
            _more(*one, say_length_imperial, say_mass_imperial) for one in short
        )
        yield from labelled("", f"in yards and ounces: {imperial}")


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


def _short(check: "Check") -> list[tuple[str, float, float | None]]:
    """(yarn, metres, grams if known) missing; a yarn on both sides is asked for once."""
    found: dict[str, tuple[float, float | None]] = {}
    for need in check.needs:
        if need.short_m:
            metres, grams = found.get(_yarn_name(need), (0.0, 0.0))
            both = None if grams is None or need.short_g is None else grams + need.short_g
            found[_yarn_name(need)] = metres + need.short_m, both
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


def _habit_lines(check: "Check") -> Iterator[str]:
    """What was given, what her own cloths told, and what is only habit."""
    by: dict[str, list[str]] = {"hand": [], "records": [], "habit": []}
    for one in check.assumptions:
        by[one.told_by].append(one.name)
    if by["hand"]:
        yield from labelled("", f"As you gave it: {', '.join(by['hand'])}.")
    sources: dict[str, list[str]] = {}
    for one in check.assumptions:
        if one.told_by == "records":
            sources.setdefault(one.origin, []).append(one.name)
    for origin, names in sources.items():
        yield from labelled("", f"From {origin}: {', '.join(names)}.")
    if by["habit"]:
        habit = ", ".join(by["habit"])
        yield from labelled("", f"Taken from habit, not from your records: {habit}.")


def case_lines(answer: "CaseAnswer") -> Iterator[str]:
    """A written case in words."""
    odds = answer.odds
    yield f"{answer.verdict.capitalize()}: {say_odds(odds.yarn or 0.0)} that the yarn reaches."
    yield f"{say_odds(odds.size)} that the size is kept; {say_odds(odds.all or 0.0)} both."
    for side, needs in (("Warp", answer.warp), ("Weft", answer.weft)):
        for need in needs:
            short = f", {say_length(need.short_m)} short" if need.short_m else ""
            yield (
                f"{side.ljust(LABEL)}{say_odds(need.odds or 0.0)}: need"
                f" {_span(need.need_m, 1.0, ' m')}, have {_span(need.have_m, 1.0, ' m')}{short}"
            )
            yield (
                f"{' ' * LABEL}in yards: need {_span(need.need_m, METRES_PER_YARD)},"
                f" have {_span(need.have_m, METRES_PER_YARD)}"
            )
    yield f"{'Loom'.ljust(LABEL)}{answer.ends} ends, warp {answer.warp_cut_cm:.0f} cm"
    yield f"{' ' * LABEL}in inches: warp {say_inches(answer.warp_cut_cm)}"
    if answer.drivers:
        yield from labelled("Doubt", _causes(answer.drivers))
