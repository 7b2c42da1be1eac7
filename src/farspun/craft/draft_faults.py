"""What cannot be in a draft, said with the end, pick or treadle and the line it stands on."""

from collections.abc import Mapping
from typing import TYPE_CHECKING

from farspun.craft.interlacement import MOST_THREADS
from farspun.errors import ImpossibleValue

if TYPE_CHECKING:
    from farspun.craft.draft import Draft

# the line of ("end", 3), ("treadle", 1) or ("pick", 2) in the text a draft was read from
Lines = Mapping[tuple[str, int], int]


def check_draft(draft: "Draft", lines: Lines) -> None:
    """Raises ImpossibleValue for the first thing that cannot be."""
    _check_parts(draft)
    _check_threading(draft.threading, lines)
    _check_treadles(draft, lines)
    _check_lifts(draft, lines)
    _check_nothing_loose(draft, lines)


def place(lines: Lines, kind: str, number: int) -> str:
    """An end, pick or treadle by number, with its line where it was read from a text.

    >>> place({("end", 3): 7}, "end", 3), place({}, "pick", 2)
    ('end 3 (line 7)', 'pick 2')
    """
    line = lines.get((kind, number))
    return f"{kind} {number} (line {line})" if line else f"{kind} {number}"


def _check_parts(draft: "Draft") -> None:
    """Tie-up and treadling, or a lift plan; nothing empty, nothing too large."""
    if draft.lift_plan and (draft.tie_up or draft.treadling or draft.sinking):
        allowed = "shafts are raised by a lift plan or moved by treadles"
        hint = "Leave out the lift plan, or tie-up, treadling and sinking."
        raise ImpossibleValue("the draft", "of both kinds", allowed, hint)
    parts = {"threading": (len(draft.threading), "ends")}
    if draft.lift_plan:
        parts["lift plan"] = (len(draft.lift_plan), "picks")
    else:
        parts["tie-up"] = (len(draft.tie_up), "treadles")
        parts["treadling"] = (len(draft.treadling), "picks")
    for part, (count, things) in parts.items():
        if not 0 < count <= MOST_THREADS:
            said = f"of {count} {things}" if count else "left out or empty"
            raise ImpossibleValue(f"the {part}", said, f"from 1 to {MOST_THREADS} {things}")


def _check_threading(threading: tuple[int, ...], lines: Lines) -> None:
    """Shafts from 1 up, and none of them without an end."""
    for end, shaft in enumerate(threading, start=1):
        if not 1 <= shaft <= MOST_THREADS:
            allowed = f"shafts are numbered from 1, {MOST_THREADS} at most"
            what = f"the shaft of {place(lines, 'end', end)}"
            raise ImpossibleValue(what, str(shaft), allowed, "Number the shafts from 1.")
    last = max(threading)
    missing = set(range(1, last)) - set(threading)
    if missing:
        what = f"the shaft of {place(lines, 'end', threading.index(last) + 1)}"
        allowed = f"no end is on shaft {min(missing)}"
        hint = "Number the shafts that carry ends from 1, without a gap."
        raise ImpossibleValue(what, str(last), allowed, hint)


def _check_treadles(draft: "Draft", lines: Lines) -> None:
    """Each treadle tied to shafts that are there, each pick trodden on treadles that are tied."""
    for treadle, shafts in enumerate(draft.tie_up, start=1):
        what = place(lines, "treadle", treadle)
        if not shafts:
            hint = "Say which shafts are tied to it, or leave it out."
            raise ImpossibleValue(what, "without a shaft", "each treadle is tied to one", hint)
        _check_there(what, "tied to shaft", shafts, draft.shafts, "the threading has shafts")
    for pick, treadles in enumerate(draft.treadling, start=1):
        what = place(lines, "pick", pick)
        if not treadles:
            hint = "Say which treadle is pressed for it."
            raise ImpossibleValue(what, "without a treadle", "each pick has one", hint)
        _check_there(what, "on treadle", treadles, draft.treadles, "the tie-up has treadles")


def _check_lifts(draft: "Draft", lines: Lines) -> None:
    for pick, shafts in enumerate(draft.lift_plan, start=1):
        what = place(lines, "pick", pick)
        _check_there(what, "raised by shaft", shafts, draft.shafts, "the threading has shafts")


def _check_there(what: str, how: str, numbers: frozenset[int], last: int, there: str) -> None:
    for number in sorted(numbers):
        if not 1 <= number <= last:
            hint = f"Take a number from 1 to {last}."
            raise ImpossibleValue(what, f"{how} {number}", f"{there} 1 to {last}", hint)


def _check_nothing_loose(draft: "Draft", lines: Lines) -> None:
    """Each pick raises some shafts and leaves others, each shaft is up on some picks only."""
    lifts = draft.lifts
    for pick, up in enumerate(lifts, start=1):
        if len(up) in (0, draft.shafts):
            which = "every shaft is" if up else "no shaft is"
            hint = f"Raise some shafts on pick {pick}, and leave others down."
            raise _loose(place(lines, "pick", pick), f"{which} raised", hint)
    for end, shaft in enumerate(draft.threading, start=1):
        ups = sum(shaft in up for up in lifts)
        if ups in (0, len(lifts)):
            when = "on every pick" if ups else "on no pick"
            hint = f"Raise shaft {shaft} on some picks, and leave it down on others."
            raise _loose(place(lines, "end", end), f"shaft {shaft} is raised {when}", hint)


def _loose(what: str, why: str, hint: str) -> ImpossibleValue:
    return ImpossibleValue(what, "woven", f"{why}, so it would lie loose", hint)
