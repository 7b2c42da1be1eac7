"""Cloths a page at a time: the list, with verdicts as far as they are worked out, and one whole."""

from dataclasses import dataclass

from sqlalchemy import Connection, select

from farspun.craft.plan import OPEN, Plan
from farspun.services.answers import Check
from farspun.services.cloths import ClothRow, ClothShown, as_it_stands, cloth_row, shown_cloth
from farspun.services.names import cloth_named
from farspun.services.taught import taught
from farspun.store import cloths
from farspun.store.engine import Stash, reading
from farspun.store.since import newest_action
from farspun.store.tables import action

MOST_AT_ONCE = 4  # answers worked out for one page; judgement: a page is not waited for longer

_State = tuple[str, int, str | None]
_KEPT: dict[str, ClothRow] = {}  # of the state below, by name
_OF: list[_State] = []


@dataclass(frozen=True, slots=True)
class Looked:
    """A cloth as planned, its answer while it still needs yarn, and the newest action then."""

    shown: ClothShown
    check: Check | None
    newest: int


def look_at_cloth(stash: Stash, name: str) -> Looked:
    """A cloth and whether its yarn will reach. Raises NotFound."""
    with reading(stash) as connection:
        newest = newest_action(connection)
        plan = cloth_named(connection, name)
        check = as_it_stands(connection, plan)
        return Looked(shown_cloth(connection, plan), check, newest)


def cloth_rows(stash: Stash, most: int = MOST_AT_ONCE) -> list[ClothRow]:
    """Every cloth, by priority; at most so many verdicts are worked out anew, the others are None.

    What was worked out is kept until something is stored.
    """
    with reading(stash) as connection:
        kept = _kept(connection, stash)
        plans = cloths.plans(connection)
        wanted = [plan for plan in plans if plan.status in OPEN and plan.name not in kept][:most]
        _work_out(connection, wanted)
        return [kept.get(plan.name or "") or cloth_row(plan, None) for plan in plans]


def cloth_row_of(stash: Stash, name: str) -> ClothRow:
    """One row with its verdict. Raises NotFound."""
    with reading(stash) as connection:
        kept = _kept(connection, stash)
        plan = cloth_named(connection, name)
        if plan.status in OPEN and plan.name not in kept:
            _work_out(connection, [plan])
        return kept.get(plan.name or "") or cloth_row(plan, None)


def _work_out(connection: Connection, plans: list[Plan]) -> None:
    if not plans:
        return
    known = taught(connection)
    for plan in plans:
        _KEPT[plan.name or ""] = cloth_row(plan, as_it_stands(connection, plan, known))


def _kept(connection: Connection, stash: Stash) -> dict[str, ClothRow]:
    """Rows of the stash as it is now; emptied when an action was added."""
    newest = newest_action(connection)
    at = connection.execute(select(action.c.at).where(action.c.id == newest)).scalar()
    state = (stash.where, newest, at)
    if _OF != [state]:
        _KEPT.clear()
        _OF[:] = [state]
    return _KEPT
