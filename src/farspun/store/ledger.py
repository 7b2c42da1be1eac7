"""The ledger: what was made, taken and weighed, line by line, only ever added to.

A command that writes begins with `new_action`; its rows carry that action's id. An action may be
undone by a later one that adds reversing entries: neither counts as something that happened to
the yarn, so both are passed over here, while their entries stay in the balance.
"""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import Connection, func, insert, select, true, update

from farspun.craft.remaining import Take, Weigh
from farspun.store.bulk import insert_rows, next_id
from farspun.store.rows import among, stands
from farspun.store.tables import action, entry, skein

MG_PER_G = 1000
UG_PER_G = 1_000_000
MM_PER_M = 1000
BY_HAND = "skein take"  # the command with which she takes yarn herself
PUT_RIGHT = "weighed again"  # an entry that puts right what went, where the rest is weighed again


@dataclass(frozen=True, slots=True)
class Happened:
    """What happened to a skein after it was made: `before_mg` its balance before the first."""

    before_mg: int
    events: list[Take | Weigh]


def new_action(
    connection: Connection,
    at: datetime,
    command: str,
    said: str,
    undoes: int | None = None,
    room: int = 0,
) -> int:
    """Write down that a command is being carried out; its id, the `room` ids before it left free.

    Actions that come with an import are older than it, and take the ids before it.
    """
    row = {"at": at.isoformat("T", "seconds"), "command": command, "said": said, "undoes": undoes}
    if room:
        number = next_id(connection, action) + room
        insert_rows(connection, action, [row | {"id": number}])
        return number
    written = connection.execute(insert(action).values(**row))
    assert written.inserted_primary_key is not None
    return int(written.inserted_primary_key[0])


def newest_action(connection: Connection, before: int | None = None) -> int:
    """The id of the newest action, or of the newest older than `before`; 0 where there is none."""
    older = action.c.id < before if before is not None else true()
    return int(connection.execute(select(func.max(action.c.id)).where(older)).scalar() or 0)


def forget_balance_of_nothing(connection: Connection) -> None:
    """A skein of whose ledger no entry stands holds nobody knows how much, not nothing."""
    known = select(entry.c.skein_id).where(stands(entry))
    connection.execute(
        update(skein)
        .where(skein.c.id.not_in(known), skein.c.balance_mg.is_not(None))
        .values(balance_mg=None)
    )


def add_entry(
    connection: Connection, action_id: int, skein_id: int, kind: str, delta_mg: int, said: str,
    **more: Any,
) -> None:  # fmt: skip
    """One line; the skein's balance follows by itself."""
    connection.execute(
        insert(entry).values(
            action_id=action_id, skein_id=skein_id, kind=kind, delta_mg=delta_mg, said=said, **more
        )
    )


def touched_skeins(connection: Connection, skein_ids: Collection[int] | None) -> set[int]:
    """Those from which yarn was taken."""
    rows = connection.execute(
        select(entry.c.skein_id)
        .distinct()
        .where(entry.c.kind.in_(("taken", "weighed", "returned")), stands(entry))
        .where(among(entry.c.skein_id, skein_ids))
    )
    return {row[0] for row in rows}


def was_weighed_later(connection: Connection, skein_id: int) -> bool:
    """Whether what is left of it was weighed after some was taken."""
    found = connection.execute(
        select(entry.c.id)
        .where(entry.c.skein_id == skein_id, entry.c.kind == "weighed", stands(entry))
        .limit(1)
    )
    return found.first() is not None


def rose_by_g(connection: Connection, skein_id: int) -> float:
    """Grams by which the newest entry, where that is a weighing, said more than there was; or 0."""
    last = connection.execute(
        select(entry.c.kind, entry.c.delta_mg)
        .where(entry.c.skein_id == skein_id, stands(entry))
        .order_by(entry.c.id.desc())
        .limit(1)
    ).one_or_none()
    if last is None or last.kind != "weighed":
        return 0.0
    return max(0.0, int(last.delta_mg) / MG_PER_G)


def closed_with_mg(connection: Connection, skein_id: int) -> int:
    """What was left of a skein when it was closed last."""
    last = connection.execute(
        select(entry.c.delta_mg)
        .where(entry.c.skein_id == skein_id, entry.c.kind == "closed", stands(entry))
        .order_by(entry.c.id.desc())
        .limit(1)
    )
    return -(last.scalar() or 0)


def taken_for_cloths(
    connection: Connection, skein_ids: Collection[int] | None
) -> dict[int, list[tuple[int, float, float | None]]]:
    """(cloth id, g, m where a length was said) of yarn taken for a cloth, by skein."""
    rows = connection.execute(
        select(entry.c.skein_id, entry.c.cloth_id, entry.c.delta_mg, entry.c.length_mm)
        .where(entry.c.kind.in_(("taken", "returned")), entry.c.cloth_id.is_not(None))
        .where(stands(entry))
        .where(among(entry.c.skein_id, skein_ids))
        .order_by(entry.c.id)
    )
    found: dict[int, list[tuple[int, float, float | None]]] = {}
    for skein_id, cloth_id, delta_mg, length_mm in rows:
        length_m = None if length_mm is None else length_mm / MM_PER_M
        found.setdefault(skein_id, []).append((cloth_id, -delta_mg / MG_PER_G, length_m))
    return found


def worked_out_g(connection: Connection, skein_ids: Collection[int]) -> dict[int, float]:
    """Grams that went from each skein since it was last on a scale; 0 where none did."""
    rows = connection.execute(
        select(entry.c.skein_id, entry.c.kind, entry.c.delta_mg)
        .where(entry.c.skein_id.in_(skein_ids), stands(entry))
        .order_by(entry.c.id)
    )
    found = dict.fromkeys(skein_ids, 0.0)
    for skein_id, kind, delta_mg in rows:
        gone_g = -delta_mg / MG_PER_G if kind in ("taken", "returned") else -found[skein_id]
        found[skein_id] += gone_g
    return found


def taken_by_hand_g(connection: Connection, cloth_id: int) -> dict[int, float]:
    """Grams of each skein that she took for a cloth herself, and that lie beside it."""
    rows = connection.execute(
        select(entry.c.skein_id, entry.c.delta_mg)
        .join_from(entry, action, entry.c.action_id == action.c.id)
        .where(entry.c.cloth_id == cloth_id, action.c.command == BY_HAND, stands(entry))
    )
    found: dict[int, float] = {}
    for skein_id, delta_mg in rows:
        found[skein_id] = found.get(skein_id, 0.0) - delta_mg / MG_PER_G
    return found


def happened(connection: Connection, skein_ids: Collection[int]) -> dict[int, Happened]:
    """Takes and later weighings of each skein that had any, in the order they happened.

    A weighing for a cloth that was weighed again for it, nothing else having been taken between,
    was a slip: the later one counts.
    """
    rows = connection.execute(
        select(
            entry.c.skein_id,
            entry.c.kind,
            entry.c.delta_mg,
            entry.c.length_mm,
            entry.c.weighed_mg,
            entry.c.step_ug,
            entry.c.cloth_id,
            entry.c.said,
        )
        .where(among(entry.c.skein_id, skein_ids), stands(entry))
        .order_by(entry.c.id)
    )
    slip: dict[int, tuple[int, int]] = {}  # by skein: cloth and place of a weighing that may be one
    balance: dict[int, int] = {}
    found: dict[int, Happened] = {}
    for skein_id, kind, delta_mg, length_mm, weighed_mg, step_ug, cloth_id, said in rows:
        before = balance.get(skein_id, 0)
        balance[skein_id] = before + delta_mg
        if kind == "taken":
            length_m = None if length_mm is None else length_mm / MM_PER_M
            event: Take | Weigh = Take(-delta_mg / MG_PER_G, length_m)
        elif kind == "returned":
            length_m = None if length_mm is None else -length_mm / MM_PER_M
            event = Take(-delta_mg / MG_PER_G, length_m)
        elif kind == "weighed":
            event = Weigh(weighed_mg / MG_PER_G, step_ug / UG_PER_G)
        else:
            continue
        events = found.setdefault(skein_id, Happened(before, [])).events
        if kind == "weighed" and cloth_id is not None:
            if slip.get(skein_id, (None, 0))[0] == cloth_id:
                del events[slip[skein_id][1]]
            slip[skein_id] = (cloth_id, len(events))
        elif said != PUT_RIGHT:
            slip.pop(skein_id, None)
        events.append(event)
    return found
