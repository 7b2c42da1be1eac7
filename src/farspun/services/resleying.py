"""A cloth whose ends are settled, sleyed at another sett: what happens to width, ends and yarn."""

from dataclasses import dataclass, fields, replace
from shlex import quote

from sqlalchemy import Connection

from farspun.craft.plan import WARPED, Plan
from farspun.craft.resley import ends_to_add, resleyed_width_cm
from farspun.errors import ImpossibleValue
from farspun.services.answers import Check
from farspun.services.checking import checked
from farspun.services.cloth_asked import ClothAsked
from farspun.services.stages import SAID

# what may still be said of a cloth whose warp is there
STILL_OPEN = ("sett_per_cm", "picks_per_cm", "reed", "promise", "size_promise", "give", "priority")
WIDTH_LOSSES = ("draw-in", "shrinkage in width", "relaxation in width")
SAME = 1e-9


@dataclass(frozen=True, slots=True)
class Resley:
    """The same ends before and after, floating ones left out: setts per cm, widths in cm.

    `finished_*` at the middle of draw-in and shrinkage; `ends_to_add` keeps the width in the reed
    as it was (below 0: to take out), which is `warp_to_add_m` more yarn; `weft_change_m` the weft
    at this sett and these picks less that of before.
    """

    ends: int
    sett_before_per_cm: float
    sett_after_per_cm: float
    reed_before_cm: float
    reed_after_cm: float
    finished_before_cm: float
    finished_after_cm: float
    ends_to_add: int
    warp_to_add_m: float
    weft_change_m: float


def changeable(connection: Connection, plan: Plan, asked: ClothAsked) -> Plan:
    """The plan as it can be changed by what is asked: with its ends and warp where that is there.

    Raises ImpossibleValue for a cloth, or an option, that nothing can be changed of any more.
    """
    if plan.status not in WARPED:
        refuse_unless_planned(plan)
        return plan
    empty = ClothAsked()
    said = [f.name for f in fields(asked) if getattr(asked, f.name) != getattr(empty, f.name)]
    other = [name for name in said if name not in STILL_OPEN]
    if other:
        option = other[0].removesuffix("_cm").removesuffix("_said").replace("_", "-")
        raise ImpossibleValue(
            f"“{plan.name}”",
            f"changed in its {option}",
            f"it is {SAID[plan.status]}, and its warp is what it is",
            "What can still change: --sett, --reed, --picks. See what it would come to:"
            f" farspun cloth change {quote(plan.name or '')} --sett … --dry-run",
        )
    return _as_it_is(connection, plan)


def _as_it_is(connection: Connection, plan: Plan) -> Plan:
    """Ends, warp and loom settled."""
    setup = checked(connection, plan).setup
    return replace(
        plan,
        ends=plan.ends or setup.ends - plan.floating_selvedges,
        warp_cut_cm=plan.warp_cut_cm or setup.warp_cut_cm,
        loom_asked=plan.loom_asked or plan.loom is not None,
    )


def refuse_unless_planned(plan: Plan) -> None:
    """Raises ImpossibleValue for a cloth that is more, or less, than planned."""
    if plan.status != "planned":
        raise ImpossibleValue(
            "cloth",
            plan.name or "",
            f"it is {SAID[plan.status]}, and only a planned cloth can be changed",
            "Plan it anew, under another name: farspun cloth plan NAME …",
        )


def resleyed(before: Check, after: Check) -> Resley | None:
    """What another sett does to ends that are settled; None where they are not, or it is the same.

    At the middle of every loss.
    """
    was, now = before.setup, after.setup
    floating = after.plan.floating_selvedges
    settled = before.plan.ends is not None and before.plan.ends == after.plan.ends
    if not settled or abs(now.sett_ends_per_cm / was.sett_ends_per_cm - 1) < SAME:
        return None
    ends = now.ends - floating
    more = ends_to_add(ends, was.reed_width_cm, now.sett_ends_per_cm, after.plan.end_step)
    after_cm = resleyed_width_cm(ends, now.sett_ends_per_cm)
    return Resley(
        ends=ends,
        sett_before_per_cm=was.sett_ends_per_cm,
        sett_after_per_cm=now.sett_ends_per_cm,
        reed_before_cm=was.reed_width_cm,
        reed_after_cm=after_cm,
        finished_before_cm=was.reed_width_cm * _width_kept(before),
        finished_after_cm=after_cm * _width_kept(after),
        ends_to_add=more,
        warp_to_add_m=more * now.warp_cut_cm / 100,
        weft_change_m=now.weft_yarn_m - was.weft_yarn_m,
    )


def _width_kept(check: Check) -> float:
    """What is left of the width in the reed, at the middle."""
    kept = 1.0
    for one in check.assumptions:
        if one.name in WIDTH_LOSSES:
            kept *= 1 - one.mean
    return kept
