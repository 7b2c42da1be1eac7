"""A stash as one JSON document: everything that stands, in the order it was added."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from sqlalchemy import Connection, RowMapping, Table, select

from farspun.services.document import (
    LAYOUT,
    ActionDocument,
    AssumptionDocument,
    ClaimDocument,
    ClothDocument,
    ConfirmedDocument,
    LineDocument,
    LoomDocument,
    PartDocument,
    ReadingDocument,
    RecordDocument,
    ReedDocument,
    SkeinDocument,
    Strict,
    WeighingDocument,
    columns,
)
from farspun.store import tables
from farspun.store.rows import in_sight, stands

Plain = dict[str, Any]
BY_PLACE = ("action", "struck")  # keys that name a command by its place


@dataclass(slots=True)
class _Writer:
    """Collects what is written, and the actions it came from, by their ids for now."""

    connection: Connection
    used: set[int] = field(default_factory=set)

    def rows(self, table: Table, *order: str) -> list[RowMapping]:
        query = select(table).order_by(*(table.c[name] for name in (*order, "id")))
        if table is tables.skein or table is tables.cloth:
            query = query.where(in_sight(table))
        if table in (tables.record, tables.confirmed, tables.weighing):
            query = query.where(stands(table))
        return list(self.connection.execute(query).mappings())

    def struck(self) -> dict[int, int]:
        """The action that struck a reading out, by the reading's id; those that stand."""
        query = select(tables.struck).where(stands(tables.struck)).order_by(tables.struck.c.id)
        rows = self.connection.execute(query).mappings().all()
        self.used |= {row["action_id"] for row in rows}
        return {row["evidence_id"]: row["action_id"] for row in rows}

    def plain(self, row: RowMapping, model: type[Strict], **more: Any) -> Plain:
        """A row as an object: its action's id, its columns and `more`, but for what is null."""
        self.used.add(row["action_id"])
        own = {name: row[name] for name in columns(model)}
        found = {"action": row["action_id"], **own, **more}
        return {name: value for name, value in found.items() if value is not None}


def stash_document(connection: Connection) -> Plain:
    """The whole stash; the same stash always gives the same document."""
    writer = _Writer(connection)
    looms = {row["id"]: row for row in writer.rows(tables.loom)}
    reeds = {row["id"]: row for row in writer.rows(tables.reed)}
    skeins = {row["id"]: row for row in writer.rows(tables.skein)}
    cloths = {row["id"]: row for row in writer.rows(tables.cloth)}
    things = {
        "looms": [writer.plain(row, LoomDocument) for row in looms.values()],
        "reeds": [
            writer.plain(row, ReedDocument, loom=_name(looms, row["loom_id"]))
            for row in reeds.values()
        ],
        "skeins": _skeins(writer, skeins, cloths),
        "cloths": _cloths(writer, cloths, skeins, looms, reeds),
    }
    actions, place = _actions(connection, writer.used)
    _by_place(things, place)
    return {"farspun": "stash", "layout": LAYOUT, "actions": actions, **things}


def _name(named: Mapping[int, RowMapping], number: int | None) -> str | None:
    """The name of what may not be in sight any more."""
    found = None if number is None else named.get(number)
    return None if found is None else str(found["name"])


def _grouped(rows: Iterable[RowMapping], by: str) -> dict[int, list[RowMapping]]:
    found: dict[int, list[RowMapping]] = {}
    for row in rows:
        found.setdefault(row[by], []).append(row)
    return found


def _skeins(
    writer: _Writer, skeins: Mapping[int, RowMapping], cloths: Mapping[int, RowMapping]
) -> list[Plain]:
    readings = _grouped(writer.rows(tables.evidence), "skein_id")
    struck = writer.struck()
    ledger = _grouped(writer.rows(tables.entry), "skein_id")
    return [
        writer.plain(
            row,
            SkeinDocument,
            readings=[
                writer.plain(one, ReadingDocument, struck=struck.get(one["id"]))
                for one in readings.get(number, [])
            ],
            ledger=[
                writer.plain(one, LineDocument, cloth=_name(cloths, one["cloth_id"]))
                for one in ledger.get(number, [])
            ],
        )
        for number, row in skeins.items()
    ]


def _cloths(
    writer: _Writer,
    cloths: Mapping[int, RowMapping],
    skeins: Mapping[int, RowMapping],
    looms: Mapping[int, RowMapping],
    reeds: Mapping[int, RowMapping],
) -> list[Plain]:
    yarns = _grouped(writer.rows(tables.cloth_yarn, "side", "position"), "cloth_id")
    given = _grouped(writer.rows(tables.cloth_spread, "name"), "cloth_id")
    claims = _grouped(writer.rows(tables.claim, "side"), "cloth_id")
    records = _grouped(writer.rows(tables.record), "cloth_id")
    confirmed = _grouped(writer.rows(tables.confirmed), "cloth_id")
    weighings = _grouped(writer.rows(tables.weighing), "cloth_id")

    def of(row: RowMapping) -> str:
        return str(skeins[row["skein_id"]]["name"])

    def parts(number: int, side: str) -> list[Plain]:
        return [
            writer.plain(one, PartDocument, skein=of(one))
            for one in yarns.get(number, [])
            if one["side"] == side
        ]

    return [
        writer.plain(
            row,
            ClothDocument,
            loom=_name(looms, row["loom_id"]),
            reed=_name(reeds, row["reed_id"]),
            warp=parts(number, "warp"),
            weft=parts(number, "weft"),
            assumptions=[writer.plain(one, AssumptionDocument) for one in given.get(number, [])],
            claims=[
                writer.plain(one, ClaimDocument, skein=of(one)) for one in claims.get(number, [])
            ],
            records=[writer.plain(one, RecordDocument) for one in records.get(number, [])],
            confirmed=[writer.plain(one, ConfirmedDocument) for one in confirmed.get(number, [])],
            weighings=[
                writer.plain(one, WeighingDocument, skein=of(one))
                for one in weighings.get(number, [])
            ],
        )
        for number, row in cloths.items()
    ]


def _actions(connection: Connection, used: set[int]) -> tuple[list[Plain], dict[int, int]]:
    """The actions that wrote something in sight, those that took one of them back, and the place
    of each by id. A command that left nothing to see is left out."""
    rows = connection.execute(select(tables.action).order_by(tables.action.c.id)).mappings().all()
    kept = [row for row in rows if row["id"] in used or row["undoes"] in used]
    place = {row["id"]: at for at, row in enumerate(kept)}
    actions = []
    for row in kept:
        own = {name: row[name] for name in columns(ActionDocument)}
        own["undoes"] = place.get(row["undoes"])
        actions.append({name: value for name, value in own.items() if value is not None})
    return actions, place


def _by_place(thing: Any, place: Mapping[int, int]) -> None:
    """Everywhere the place of an action instead of its id."""
    if isinstance(thing, list):
        for one in thing:
            _by_place(one, place)
    elif isinstance(thing, dict):
        for name in BY_PLACE:
            if name in thing:
                thing[name] = place[thing[name]]
        for one in thing.values():
            _by_place(one, place)


def resolved(thing: Any, actions: Sequence[Mapping[str, Any]]) -> Any:
    """A thing of a document with each action told in full, so that it can be compared with a thing
    of another document."""
    undone = {one["undoes"] for one in actions if "undoes" in one}

    def told(one: Any) -> Any:
        if isinstance(one, list):
            return [told(part) for part in one]
        if not isinstance(one, dict):
            return one
        found = {name: told(value) for name, value in one.items()}
        for key in BY_PLACE:
            if key in found:
                at = found[key]
                action = actions[at]
                words = (action["at"], action["command"], action["said"])
                found[key] = (*words, at in undone, "undoes" in action)
        return found

    return told(thing)
