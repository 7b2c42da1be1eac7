"""A weave as a draft, or a draft she wrote: what it takes, and what her loom makes of it."""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path
from typing import TYPE_CHECKING

from farspun.craft.draft import Draft, Floats, draft_of, longest_floats
from farspun.craft.draft_on_loom import (
    TWO_HEDDLES_LIFT,
    RigidHeddle,
    check_loom,
    many_treadles,
    on_rigid_heddle,
    shafts_lacking,
    share_a_place,
)
from farspun.craft.draft_text import draft_from_text, draft_text
from farspun.craft.drawn import canonical_weave, drawn_draft, drawn_weave, is_draft
from farspun.craft.interlacement import Side, Weave
from farspun.craft.weave import EXAMPLES, weave
from farspun.errors import NotFound, UnreadableValue
from farspun.services.arithmetic import WeaveFacts
from farspun.services.file_asked import is_there, text_of

if TYPE_CHECKING:
    from farspun.craft.plan import Loom
    from farspun.services.opening import Stash

MOST_TOLD = 3  # of what is alike; judgement
HINT = f"Weaves are written like {', '.join(EXAMPLES)}; or name a text file with a draft."


@dataclass(frozen=True, slots=True)
class Edges:
    """Whether the weft goes round the outermost ends, in cloth of whole repeats.

    `first_pick_from` is the side from which both edges are caught, None where floating selvedges
    are needed; `missed_from_*` the edges that are not, for a first pick from either side.
    """

    first_pick_from: Side | None
    missed_from_left: tuple[Side, ...]
    missed_from_right: tuple[Side, ...]


@dataclass(frozen=True, slots=True)
class LoomFacts:
    """The loom it was asked for; `shafts` None where they were not said."""

    name: str
    kind: str
    shafts: int | None


@dataclass(frozen=True, slots=True)
class DraftAnswer:
    """A draft as JSON says it. `lift_plan` is always there: the shafts up on each pick.

    `tie_up` and `treadling` are null where the draft is a lift plan, `rigid_heddle` where two
    heddles do not lift it, `loom` where none was named. `rows` is the weave as a cloth keeps it,
    `text` the draft as a file has it.
    """

    weave: WeaveFacts
    rows: str
    shafts: int
    fewest_shafts: int
    treadles: int | None
    threading: tuple[int, ...]
    tie_up: list[list[int]] | None
    treadling: list[list[int]] | None
    lift_plan: list[list[int]]
    sinking: bool
    longest_floats: Floats
    edges: Edges
    rigid_heddle: RigidHeddle | None
    loom: LoomFacts | None
    notes: list[str]
    text: str


@dataclass(frozen=True, slots=True)
class DraftShown:
    """The draft itself, to be drawn, and what is said of it."""

    draft: Draft
    answer: DraftAnswer


def show_draft(
    said: str, lift_plan: bool = False, loom: str | None = None, stash: "Stash | None" = None
) -> DraftShown:
    """The draft of a weave, or the one in a file of that name; with `loom` (one of the stash's)
    whether it goes on it.

    Raises: NotFound for the weave, file or loom; UnreadableValue and ImpossibleValue with the line
    of a file; ImpossibleValue where the loom has too few shafts.

    >>> show_draft("2/2 twill").answer.threading
    (1, 2, 3, 4)
    """
    drawn, draft = _asked(said)
    on = None if loom is None or stash is None else _fitting(draft, _loom(stash, loom))
    return _shown(drawn, draft, lift_plan, on)


def draft_of_cloth(
    stash: "Stash", name: str, lift_plan: bool = False, loom: str | None = None
) -> DraftShown:
    """The draft a cloth is woven by; with its own loom, or another of the stash's.

    Raises: NotFound for the cloth or loom; ImpossibleValue where that other has too few shafts.
    """
    from farspun.services.cloths import show_cloth

    plan = show_cloth(stash, name).plan
    draft = drawn_draft(plan.weave)
    on = plan.loom if loom is None else _fitting(draft, _loom(stash, loom))
    return _shown(drawn_weave(plan.weave), draft, lift_plan, on)


def _fitting(draft: Draft, loom: "Loom") -> "Loom":
    """What two rigid heddles do not lift is picked up by hand."""
    if loom.kind != "rigid-heddle":
        check_loom(draft, loom)
    return loom


def _shown(drawn: Weave, draft: Draft, lift_plan: bool, loom: "Loom | None") -> DraftShown:
    if lift_plan:
        draft = draft.as_lift_plan()
    return DraftShown(draft, _answer(draft, drawn, loom))


def weave_kept(said: str) -> str:
    """What a cloth keeps of a weave asked by name, or of the draft in a file of that name.

    Raises: as `show_draft`.

    >>> weave_kept("Twill 2/2")
    '2/2 twill'
    """
    if is_draft(said):
        return canonical_weave(said)
    named, draft = _named(said)
    return named.name if named else draft_text(draft)


def _asked(said: str) -> tuple[Weave, Draft]:
    """The weave and its draft."""
    named, draft = _named(said)
    return named or draft.weave, draft


def _named(said: str) -> tuple[Weave | None, Draft]:
    """A weave by its name, before a file by its name: None and the draft in it."""
    try:
        found = weave(said)
    except NotFound:
        path = Path(said)
        if not said.strip() or not is_there(path):
            raise NotFound("weave or file", said.strip(), EXAMPLES, HINT) from None
        return None, _draft_in(path)
    return found, draft_of(found)


def _draft_in(path: Path) -> Draft:
    try:
        text = text_of(path)
    except UnreadableValue as trouble:
        raise UnreadableValue(trouble.what, trouble.said, trouble.allowed, HINT) from None
    return draft_from_text(text)


def _loom(stash: "Stash", name: str) -> "Loom":
    from farspun.store.engine import reading
    from farspun.store.equipment import loom_named, looms

    with reading(stash) as connection:
        found = loom_named(connection, name)
        return next(one for one in looms(connection) if one.id == found["id"])


def _answer(draft: Draft, drawn: Weave, loom: "Loom | None") -> DraftAnswer:
    treadled = not draft.lift_plan
    return DraftAnswer(
        weave=WeaveFacts(drawn.name, drawn.ends, drawn.picks, drawn.intersections),
        rows=draft.weave_text,
        shafts=draft.shafts,
        fewest_shafts=len(draft.alike),
        treadles=draft.treadles if treadled else None,
        threading=draft.threading,
        tie_up=_sorted(draft.tie_up) if treadled else None,
        treadling=_sorted(draft.treadling) if treadled else None,
        lift_plan=_sorted(draft.lifts),
        sinking=draft.sinking,
        longest_floats=longest_floats(drawn),
        edges=Edges(drawn.start_from, drawn.loose_edges("left"), drawn.loose_edges("right")),
        rigid_heddle=on_rigid_heddle(draft),
        loom=None if loom is None else LoomFacts(loom.name, loom.kind, loom.shafts),
        notes=[*_draft_notes(draft), *(_loom_notes(draft, loom) if loom else [])],
        text=draft_text(draft),
    )


def _sorted(sets: tuple[frozenset[int], ...]) -> list[list[int]]:
    return [sorted(numbers) for numbers in sets]


def _draft_notes(draft: Draft) -> Iterator[str]:
    few = len(draft.alike)
    if few < draft.shafts:
        yield f"Some shafts always rise together: the same weave goes on {few}."
    idle = set(range(1, draft.treadles + 1)).difference(*draft.treadling)
    if idle:
        which = ", ".join(map(str, sorted(idle)))
        yield f"Tied and never trodden: treadle {which}."
    again = [one for one, (up, after) in enumerate(pairwise(draft.lifts), start=1) if up == after]
    if again:
        picks = ", ".join(f"{one} and {one + 1}" for one in again[:MOST_TOLD])
        yield (
            f"In one shed: picks {picks}{' …' if len(again) > MOST_TOLD else ''}. Take the weft"
            " round an edge end between them, or it comes straight back out."
        )
    if few <= TWO_HEDDLES_LIFT and share_a_place(draft):
        yield (
            "On a rigid heddle ends side by side that rise alike go through one hole or slot "
            "together."
        )


def _loom_notes(draft: Draft, loom: "Loom") -> Iterator[str]:
    lacking = shafts_lacking(draft, loom)
    if loom.kind == "rigid-heddle":
        if lacking:
            yield f"On {loom.name}: {lacking[0]}. {lacking[1]}"
        return
    if loom.shafts is None:
        yield f"How many shafts {loom.name} has was not said when it was added: compare them."
    if loom.kind == "table" and draft.tie_up:
        yield (
            f"{loom.name} is a table loom, most of which have a lever for each shaft: see the lift "
            "plan (--lift-plan)."
        )
    if many_treadles(draft, loom):
        yield (
            f"That is {draft.treadles} treadles, and a floor loom of {loom.shafts or draft.shafts} "
            "shafts mostly has two more treadles than shafts: count those of yours."
        )
