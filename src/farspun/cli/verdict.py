"""The answer for a cloth, as a tired weaver wants it: the verdict first, then what it rests on."""

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from farspun.cli.loom_words import SHAFTS, handle_lines, loom_lines
from farspun.cli.order_words import order_lines
from farspun.cli.printing import (
    LABEL,
    cells,
    labelled,
    labelled_rows,
    left,
    print_json,
    say,
    tell,
)
from farspun.services.wording import span
from farspun.services.wording_cloth import (
    CLAIMED,
    OTHER_REED,
    before_said,
    causes_said,
    doubt_rows,
    habit_rows,
    next_rows,
    size_rows,
    verdict_said,
    what_reaches,
    yarn_name,
)
from farspun.units import say_inches, say_length, say_odds
from farspun.units.factors import METRES_PER_YARD

if TYPE_CHECKING:
    from farspun.services.answers import Check
    from farspun.services.cloths import Changed
    from farspun.services.odds import CaseAnswer

__all__ = [
    "case_lines",
    "check_lines",
    "print_changed",
    "print_check",
    "print_checks",
    "set_up_lines",
    "what_reaches",
]


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
    tell(*labelled("Before", ", ".join(before_said(changed))))
    if not changed.stored:
        tell("Nothing was stored: leave --dry-run out to change it so.")


def print_checks(checks: "Sequence[Check]", json: bool) -> None:
    """Several cloths: a list of documents, or one answer after another."""
    if json:
        from farspun.services.answers import check_documents

        print_json(check_documents(checks))
        return
    if not checks:
        say("No cloth is planned.")
    several = len(checks) > 1
    if several:
        _print_summary(checks)
    for number, check in enumerate(checks):
        say(*([""] if number or several else []), *check_lines(check))


def _print_summary(checks: "Sequence[Check]") -> None:
    """Whether all reach together, and then each in a line, before it is told at length."""
    from farspun.cli.plan_words import print_cloths
    from farspun.cli.together_words import together_lines
    from farspun.services.cloths import cloth_row

    _, *lines = [*together_lines(checks)] or [""]
    say(*lines, "")
    print_cloths([cloth_row(check.plan, check) for check in checks])


def check_lines(check: "Check") -> Iterator[str]:
    """The whole answer: verdict, yarn, size, loom, doubt, next, habit."""
    if check.cloth:
        yield check.cloth
    yield verdict_said(check)
    yield ""
    yield from _yarn_lines(check)
    label = "Kept"
    for notice in check.warnings:
        if notice.code == CLAIMED:
            yield from labelled(label, notice.text)
            label = ""
    yield from labelled_rows(size_rows(check))
    yield from loom_lines(check)
    yield from order_lines(check.setup)
    yield from handle_lines(check)
    yield from labelled_rows(doubt_rows(check))
    yield from labelled_rows(next_rows(check))
    for notice in check.warnings:
        if notice.code not in (CLAIMED, OTHER_REED, SHAFTS):
            yield from labelled("Note", notice.text)
    yield from labelled_rows(habit_rows(check))


def set_up_lines(check: "Check") -> Iterator[str]:
    """Of the answer: each yarn, the loom, and what the cloth will be like."""
    yield from _yarn_lines(check)
    yield from loom_lines(check)
    yield from order_lines(check.setup)
    yield from handle_lines(check)


def _yarn_lines(check: "Check") -> Iterator[str]:
    """Each yarn's odds, need and supply in metres; then the same in yards."""
    sides = [("Warp", need) for need in check.warp] + [("Weft", need) for need in check.weft]
    names = [yarn_name(need) for _, need in sides]
    width = max(cells(name) for name in names)
    odds = ["" if need.odds is None else say_odds(need.odds, check.promise) for _, need in sides]
    wide = max(len(one) for one in odds)
    for (side, need), name, chance in zip(sides, names, odds, strict=True):
        yield (
            f"{side.ljust(LABEL)}{left(name, width)}  {chance.rjust(wide)}"
            f"   need {span(need.need_m, 1.0, ' m')}, have {span(need.have_m, 1.0, ' m')}"
        )
        if need.in_hand_m >= 1:
            yield f"{' ' * LABEL}{say_length(need.in_hand_m)} of it taken for this cloth already"
    for number, (side, need) in enumerate(sides):
        start = "" if number else "in yards: "
        yield (
            f"{' ' * LABEL}{start or ' ' * len('in yards: ')}{side.lower()} need"
            f" {span(need.need_m, METRES_PER_YARD)}, have {span(need.have_m, METRES_PER_YARD)}"
        )
    if check.split_m:
        warp, weft = check.split_m
        yield from labelled("", f"One yarn for both: about {say_length(warp)} go into the warp and"
                             f" {say_length(weft)} into the weft.")  # fmt: skip


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
                f" {span(need.need_m, 1.0, ' m')}, have {span(need.have_m, 1.0, ' m')}{short}"
            )
            yield (
                f"{' ' * LABEL}in yards: need {span(need.need_m, METRES_PER_YARD)},"
                f" have {span(need.have_m, METRES_PER_YARD)}"
            )
    yield f"{'Loom'.ljust(LABEL)}{answer.ends} ends, warp {answer.warp_cut_cm:.0f} cm"
    yield f"{' ' * LABEL}in inches: warp {say_inches(answer.warp_cut_cm)}"
    if answer.drivers:
        yield from labelled("Doubt", causes_said(answer.drivers))
