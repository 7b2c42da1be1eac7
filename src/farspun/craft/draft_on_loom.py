"""What a loom can do with a draft: its shafts, and one or two rigid heddles.

On a rigid heddle an end goes through a hole, which moves it, or through a slot, which leaves it
where it is. Through two heddles one behind the other each end goes twice, and has one of three
places: slots of both, a hole of the front heddle, a hole of the back heddle. Each heddle can be
up, down or at rest, so that any one or two of the three places can be the upper layer: what a loom
of three shafts lifts.
"""

from dataclasses import dataclass
from typing import Literal

from farspun.craft.draft import Draft
from farspun.craft.plan import Loom
from farspun.errors import ImpossibleValue

Place = Literal["hole", "slot", "front hole", "back hole"]

# name: value            unit    source
ONE_HEDDLE_LIFTS = 2  # shafts  exact: holes and slots
TWO_HEDDLES_LIFT = 3  # shafts  exact: slots of both, front holes, back holes
SPARE_TREADLES = 2  # beyond the shafts, on most floor looms: common practice, no source

# which places are up: how the heddles stand; what is not named is at rest
ONE_HEDDLE: dict[frozenset[Place], str] = {
    frozenset({"hole"}): "up",
    frozenset({"slot"}): "down",
}
TWO_HEDDLES: dict[frozenset[Place], str] = {
    frozenset({"front hole"}): "front up",
    frozenset({"back hole"}): "back up",
    frozenset({"front hole", "back hole"}): "both up",
    frozenset({"slot"}): "both down",
    frozenset({"slot", "back hole"}): "front down",
    frozenset({"slot", "front hole"}): "back down",
}


@dataclass(frozen=True, slots=True)
class RigidHeddle:
    """How many heddles, the place of each shaft's ends, and how the heddles stand for each pick."""

    heddles: int
    places: tuple[Place, ...]
    moves: tuple[str, ...]


def on_rigid_heddle(draft: Draft) -> RigidHeddle | None:
    """How one or two rigid heddles weave it; None where it needs more than they lift.

    Shafts that rise alike share a place. Slots, which take several ends, get the group of most.

    >>> on_rigid_heddle(Draft((1, 2), lift_plan=(frozenset({1}), frozenset({2}))))
    RigidHeddle(heddles=1, places=('slot', 'hole'), moves=('down', 'up'))
    """
    groups = sorted(draft.alike, key=lambda group: -_ends_on(draft, group))
    if len(groups) > TWO_HEDDLES_LIFT:
        return None
    one = len(groups) <= ONE_HEDDLE_LIFTS
    names: tuple[Place, ...] = ("slot", "hole") if one else ("slot", "front hole", "back hole")
    moves = ONE_HEDDLE if one else TWO_HEDDLES
    place = {shaft: name for name, group in zip(names, groups, strict=True) for shaft in group}
    return RigidHeddle(
        heddles=1 if one else 2,
        places=tuple(place[shaft] for shaft in sorted(place)),
        moves=tuple(moves[frozenset(place[shaft] for shaft in up)] for up in draft.lifts),
    )


def _ends_on(draft: Draft, shafts: tuple[int, ...]) -> int:
    return sum(shaft in shafts for shaft in draft.threading)


def share_a_place(draft: Draft) -> bool:
    """Whether ends side by side rise alike, so that they go through one hole or slot together."""
    group = {shaft: number for number, shafts in enumerate(draft.alike) for shaft in shafts}
    ends = [group[shaft] for shaft in draft.threading]
    return any(one == other for one, other in zip(ends, ends[1:] + ends[:1], strict=True))


def check_loom(draft: Draft, loom: Loom) -> None:
    """Raises ImpossibleValue where the draft needs more shafts than the loom has."""
    lacking = shafts_lacking(draft, loom)
    if lacking is not None:
        allowed, hint = lacking
        raise ImpossibleValue("the draft", f"on {loom.name}", allowed, hint)


def shafts_lacking(draft: Draft, loom: Loom) -> tuple[str, str] | None:
    """(what lacks, what to do) where the draft needs more shafts than the loom has, else None.

    A rigid-heddle loom counts as the three that two heddles lift, and shafts that rise alike as
    one; another loom by the shafts it was added with, all taken as fitting where none were said.

    >>> draft = Draft((1, 2), lift_plan=(frozenset({1}), frozenset({2})))
    >>> shafts_lacking(draft, Loom("Little", "table", 60.0, shafts=4)) is None
    True
    """
    few = len(draft.alike)
    if loom.kind == "rigid-heddle":
        if few <= TWO_HEDDLES_LIFT:
            return None
        return (
            f"it needs {few} shafts, and two rigid heddles do the work of {TWO_HEDDLES_LIFT}",
            "Weave it on a loom with shafts, or pick the rest up by hand.",
        )
    if loom.shafts is None or draft.shafts <= loom.shafts:
        return None
    same = f"The same weave goes on {few}: put ends that rise alike on one shaft."
    other = f"Take a loom with {few} shafts, or another weave."
    needed = f"it needs {draft.shafts} shafts, and {loom.name} has {loom.shafts}"
    return needed, same if few <= loom.shafts else other


def many_treadles(draft: Draft, loom: Loom) -> bool:
    """Whether it has more treadles than most floor looms of those shafts: two beyond them."""
    shafts = loom.shafts or draft.shafts
    return loom.kind == "floor" and draft.treadles > shafts + SPARE_TREADLES
