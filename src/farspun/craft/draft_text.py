"""Drafts as plain text, laid out as printed books give them: docs/drafts.md.

::

    # 2/2 twill
    threading   1 2 3 4
    tie-up      1: 1 2
                2: 2 3
                3: 3 4
                4: 4 1
    treadling   1 2 3 4

Each part is written in numbers as here, or drawn in rows of `#` and `.` as on squared paper.
"""

import re
from collections.abc import Iterable, Iterator
from textwrap import wrap

from farspun.craft.draft import Draft
from farspun.craft.draft_parts import Line, Part, parts_of
from farspun.errors import ImpossibleValue

# name: value  unit     source
WIDE = 72  # letters  of a line written, judgement

_NUMBERED = re.compile(r"([0-9]+)\s*:(.*)")


def draft_from_text(text: str) -> Draft:
    """The draft written in `text`.

    Raises: UnreadableValue with the line that is no part of a draft; ImpossibleValue with the line
    of a shaft or treadle that is not there, or with the end or pick that would lie loose.

    >>> draft_from_text("threading 1 2 3\\nlift plan\\n##.\\n.##\\n#.#").weave_text
    '##./.##/#.#'
    """
    parts = parts_of(text)
    lines: dict[tuple[str, int], int] = {}
    threading = _threading(parts["threading"], lines)
    shafts = max(threading)
    if "lift plan" in parts:
        plan = _sets(parts["lift plan"], "pick", shafts, lines)
        return Draft(threading, lift_plan=plan, lines=lines)
    tie_up = _sets(parts["tie-up"], "treadle", shafts, lines)
    treadling = _treadling(parts["treadling"], len(tie_up), lines)
    return Draft(threading, tie_up, treadling, sinking="sinking" in parts, lines=lines)


def _threading(part: Part, lines: dict[tuple[str, int], int]) -> tuple[int, ...]:
    """The shaft of each end: numbers from left to right, or a row a shaft and the last is 1."""
    if part.drawn:
        return _threading_drawn(part, lines)
    shafts = []
    for line in part.lines:
        for word in line.words:
            shafts.append(line.whole(word))
            lines["end", len(shafts)] = line.number
    return tuple(shafts)


def _threading_drawn(part: Part, lines: dict[tuple[str, int], int]) -> tuple[int, ...]:
    rows = part.lines[::-1]
    for shaft, line in enumerate(rows, start=1):
        if "#" not in line.marks:
            what, hint = f"shaft {shaft} (line {line.number})", "Leave the row out, or mark it."
            raise ImpossibleValue(what, "without an end", "each shaft carries one", hint)
    threading: list[int] = []
    for end, column in enumerate(zip(*(line.marks for line in rows), strict=True), start=1):
        shafts = _marked(column)
        if len(shafts) != 1:
            said = "on shafts " + " and ".join(map(str, sorted(shafts))) if shafts else "unthreaded"
            what, hint = f"end {end} ({part.place})", "Put one mark in each column."
            raise ImpossibleValue(what, said, "each end is on one shaft", hint)
        threading += shafts
        lines["end", end] = rows[threading[-1] - 1].number
    return tuple(threading)


def _marked(marks: Iterable[str]) -> frozenset[int]:
    return frozenset(number for number, mark in enumerate(marks, start=1) if mark == "#")


def _sets(
    part: Part, kind: str, shafts: int, lines: dict[tuple[str, int], int]
) -> tuple[frozenset[int], ...]:
    """The shafts of each treadle or pick: "1: 1 2" on a line of its own, or drawn."""
    if part.drawn:
        return _rows(part, kind, shafts, lines) if kind == "pick" else _tie_up(part, shafts, lines)
    found: list[frozenset[int]] = []
    for line in part.lines:
        numbered = _NUMBERED.fullmatch(line.text)
        if not numbered:
            hint = f"Begin with the {kind}, a colon, then its shafts: {len(found) + 1}: 1 2."
            raise line.refused(line.text, f"it does not begin with a {kind} and a colon", hint)
        number, due = line.whole(numbered[1]), len(found) + 1
        if number != due:
            allowed, hint = f"{kind} {due} comes next", "Number them from 1, without a gap."
            raise ImpossibleValue(f"the {kind} in line {line.number}", str(number), allowed, hint)
        below = Line(line.number, numbered[2].replace("+", " "))
        found.append(frozenset(map(line.whole, below.words)))
        lines[kind, number] = line.number
    return tuple(found)


def _tie_up(
    part: Part, shafts: int, lines: dict[tuple[str, int], int]
) -> tuple[frozenset[int], ...]:
    """Drawn as it stands beside the threading: a row a shaft, the last is 1; a column a treadle."""
    if len(part.lines) != shafts:
        why = f"{len(part.lines)} rows stand under it, and the threading has {shafts} shafts"
        raise part.heading.refused("tie-up", why, "Draw a row for each shaft, shaft 1 the lowest.")
    rows = [line.marks for line in part.lines[::-1]]
    found = tuple(map(_marked, zip(*rows, strict=True)))
    lines |= {("treadle", number): part.lines[0].number for number in range(1, len(found) + 1)}
    return found


def _rows(
    part: Part, kind: str, columns: int, lines: dict[tuple[str, int], int]
) -> tuple[frozenset[int], ...]:
    """Drawn as it stands beside the cloth: a row a pick, a column a shaft or treadle."""
    thing = "shafts" if part.name == "lift plan" else "treadles"
    for pick, line in enumerate(part.lines, start=1):
        if len(line.marks) != columns:
            hint = f"Draw a column for each of the {columns} {thing}."
            raise line.refused(line.text, f"it has {len(line.marks)} marks for {thing}", hint)
        lines[kind, pick] = line.number
    return tuple(_marked(line.marks) for line in part.lines)


def _treadling(
    part: Part, treadles: int, lines: dict[tuple[str, int], int]
) -> tuple[frozenset[int], ...]:
    """The treadles of each pick: "1 2 1+3", or drawn."""
    if part.drawn:
        return _rows(part, "pick", treadles, lines)
    found = []
    for line in part.lines:
        for word in line.words:
            found.append(frozenset(line.whole(one, word) for one in word.split("+")))
            lines["pick", len(found)] = line.number
    return tuple(found)


def draft_text(draft: Draft) -> str:
    """The draft written in numbers; `draft_from_text` gives it back.

    >>> print(draft_text(Draft((1, 2), lift_plan=(frozenset({1}), frozenset({2})))), end="")
    threading
      1 2
    lift plan
      1: 1
      2: 2
    """
    return "".join(f"{line}\n" for line in _written(draft))


def _written(draft: Draft) -> Iterator[str]:
    yield "threading"
    yield from _folded(map(str, draft.threading))
    if draft.lift_plan:
        yield "lift plan"
        yield from _numbered(draft.lift_plan)
        return
    yield "tie-up"
    yield from _numbered(draft.tie_up)
    yield "treadling"
    yield from _folded("+".join(map(str, sorted(pick))) for pick in draft.treadling)
    if draft.sinking:
        yield "sinking"


def _folded(words: Iterable[str]) -> list[str]:
    return wrap(" ".join(words), WIDE, initial_indent="  ", subsequent_indent="  ")


def _numbered(sets: Iterable[frozenset[int]]) -> Iterator[str]:
    for number, shafts in enumerate(sets, start=1):
        yield f"  {number}: {' '.join(map(str, sorted(shafts)))}"
