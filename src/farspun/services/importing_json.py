"""Taking in a whole stash that was exported as JSON: all of it, with its times, or nothing."""

import json
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import count
from pathlib import Path
from typing import Any

from pydantic import ValidationError
from sqlalchemy import Connection, Table, select
from sqlalchemy.exc import IntegrityError

from farspun.errors import UnreadableValue
from farspun.services.document import (
    LAYOUT,
    ActionDocument,
    ClothDocument,
    LineDocument,
    PartDocument,
    StashDocument,
    Strict,
    values,
)
from farspun.services.document_rules import Trouble, troubles
from farspun.services.file_asked import refusal
from farspun.services.stash_document import resolved, stash_document
from farspun.services.writing import Deed
from farspun.store import tables
from farspun.store.bulk import insert_rows, next_id
from farspun.store.estimates import recompute
from farspun.store.ledger import forget_balance_of_nothing
from farspun.units import name_key

LISTS: dict[str, Table] = {
    "looms": tables.loom,
    "reeds": tables.reed,
    "skeins": tables.skein,
    "cloths": tables.cloth,
}
ADVICE = "docs/json.md tells the layout. Export again, or mend the file."


@dataclass(frozen=True, slots=True)
class Arrival:
    """What of a document is new to the stash, by the list it stands in, and what is there."""

    document: StashDocument
    new: dict[str, list[Any]]
    passed_over: dict[str, list[str]]
    actions: list[int]  # places of those that the new things came from

    @property
    def empty(self) -> bool:
        """Nothing is new."""
        return not any(self.new.values())


def read_document(path: Path, text: str) -> StashDocument:
    """The document in a file. Raises UnreadableValue, or ImpossibleValue naming every place."""
    try:
        written = json.loads(text, parse_constant=_no_constant, object_pairs_hook=_no_key_twice)
    except (ValueError, RecursionError) as error:
        why = "it is nested too deep" if isinstance(error, RecursionError) else str(error)
        raise UnreadableValue("the file", str(path), f"it is not JSON ({why})", ADVICE) from None
    if not isinstance(written, dict) or written.get("farspun") != "stash":
        why = "it is JSON, but no stash that farspun exported"
        raise UnreadableValue("the file", str(path), why, ADVICE)
    layout = written.get("layout")
    if isinstance(layout, int) and layout > LAYOUT:
        why = f"it was written by a later farspun (layout {layout}, this one knows {LAYOUT})"
        raise UnreadableValue("the file", str(path), why, "Use the later farspun.")
    try:
        document = StashDocument.model_validate(written)
    except ValidationError as error:
        faults = [_fault(one) for one in error.errors(include_url=False)]
        raise refusal(path, faults, "place", ADVICE) from None
    _refuse(path, troubles(document))
    return document


def _no_constant(name: str) -> None:
    raise ValueError(f"{name} is no number")


def _no_key_twice(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    found = dict(pairs)
    if len(found) < len(pairs):
        names = [name for name, _ in pairs]
        twice = next(name for name in names if names.count(name) > 1)
        raise ValueError(f"“{twice}” is there twice in one object")
    return found


def _fault(error: Mapping[str, Any]) -> str:
    place = "".join(
        f"[{part}]" if isinstance(part, int) else f".{part}" for part in error["loc"]
    ).removeprefix(".")
    given = ascii(error["input"])
    shown = "" if error["type"] == "missing" or len(given) > 60 else f" {given}"
    return f"{place}{shown}: {error['msg']}"


def _refuse(path: Path, found: Sequence[Trouble]) -> None:
    if found:
        raise refusal(path, [f"{one.place}: {one.why}" for one in found], "place", ADVICE)


def arriving(connection: Connection, path: Path, document: StashDocument) -> Arrival:
    """What is new. Raises ImpossibleValue where a name is there with other content."""
    there = stash_document(connection)
    actions = [one.model_dump(exclude_none=True) for one in document.actions]
    new: dict[str, list[Any]] = {}
    passed_over: dict[str, list[str]] = {}
    found = []
    for kind in LISTS:
        known = {name_key(one["name"]): one for one in there[kind]}
        new[kind], passed_over[kind] = [], []
        for at, one in enumerate(getattr(document, kind)):
            same = known.get(name_key(one.name))
            if same is None:
                new[kind].append(one)
                continue
            plain = one.model_dump(exclude_none=True)
            if resolved(same, there["actions"]) == resolved(plain, actions):
                passed_over[kind].append(one.name)
            else:
                why = f"“{same['name']}” is in the stash already, and differs"
                found.append(Trouble(f"{kind}[{at}]", why))
    _refuse(path, found)
    return Arrival(document, new, passed_over, _needed(document, new))


def _needed(document: StashDocument, new: Mapping[str, Sequence[Strict]]) -> list[int]:
    """Places of the actions the new things came from, and of those that took one of them back."""
    used = {place for things in new.values() for one in things for place in _places(one)}
    used |= {at for at, one in enumerate(document.actions) if one.undoes in used}
    used |= {at for at in (document.actions[one].undoes for one in used) if at is not None}
    return sorted(used)


def _places(one: Any) -> Iterator[int]:
    yield one.action
    if getattr(one, "struck", None) is not None:
        yield one.struck
    for name in type(one).model_fields:
        below = getattr(one, name)
        if isinstance(below, list) and name != "per_dent":
            for part in below:
                yield from _places(part)


def take_in(deed: Deed, path: Path, arrival: Arrival) -> None:
    """Store what is new; the deed has left room for its actions.

    Raises ImpossibleValue where a cloth would claim more of a skein than is free.
    """
    arrived = _Arrived(deed, arrival, path)
    arrived.add_actions()
    for kind in LISTS:
        arrived.add_things(kind)
    arrived.add_readings()
    arrived.add_cloth_parts()
    arrived.add_ledger_and_claims()
    forget_balance_of_nothing(deed.connection)
    recompute(deed.connection)


@dataclass(slots=True)
class _Arrived:
    """Rows on their way into the stash, with the ids they get there."""

    deed: Deed
    arrival: Arrival
    path: Path
    action_id: dict[int, int] = field(default_factory=dict)
    ids: dict[str, dict[str, int]] = field(default_factory=dict)

    def add_actions(self) -> None:
        """The actions that the new rows came from, just before the import's own."""
        first = self.deed.action_id - len(self.arrival.actions)
        self.action_id = {at: first + n for n, at in enumerate(self.arrival.actions)}
        rows = []
        for at, number in self.action_id.items():
            one: ActionDocument = self.arrival.document.actions[at]
            undoes = None if one.undoes is None else self.action_id[one.undoes]
            own = {"id": number, "undoes": undoes, "import_id": self.deed.action_id}
            rows.append({"at": one.at, "command": one.command, "said": one.said, **own})
        insert_rows(self.deed.connection, tables.action, rows)

    def add_things(self, kind: str) -> None:
        """The rows of a list of the document, once those that they name are there."""
        table, connection = LISTS[kind], self.deed.connection
        there = connection.execute(select(table.c.name_key, table.c.id))
        known = {row.name_key: row.id for row in there}
        rows = []
        for number, one in zip(count(next_id(connection, table)), self.arrival.new[kind]):
            key = name_key(one.name)
            known[key] = number
            own = {"id": number, "action_id": self.action_id[one.action], "name_key": key}
            rows.append({**values(one), **own, **self._links(one)})
        self.ids[kind] = known
        insert_rows(connection, table, rows)

    def _links(self, one: Any) -> dict[str, int | None]:
        return {
            f"{kind}_id": self._id(f"{kind}s", getattr(one, kind))
            for kind in ("loom", "reed")
            if kind in type(one).model_fields
        }

    def _id(self, kind: str, name: str | None) -> int | None:
        return None if name is None else self.ids[kind][name_key(name)]

    def add_readings(self) -> None:
        """Every reading of the new skeins."""
        numbers = count(next_id(self.deed.connection, tables.evidence))
        rows = [
            {
                **values(one),
                "id": next(numbers),
                "action_id": self.action_id[one.action],
                "skein_id": self._id("skeins", skein.name),
            }
            for skein in self.arrival.new["skeins"]
            for one in skein.readings
        ]
        insert_rows(self.deed.connection, tables.evidence, rows)
        self._strike_out([row["id"] for row in rows])

    def _strike_out(self, evidence_ids: Sequence[int]) -> None:
        """The readings that were struck out; `evidence_ids` in the order of the document."""
        readings = [one for skein in self.arrival.new["skeins"] for one in skein.readings]
        numbers = count(next_id(self.deed.connection, tables.struck))
        rows = [
            {
                "id": next(numbers),
                "action_id": self.action_id[one.struck],
                "evidence_id": number,
            }
            for one, number in zip(readings, evidence_ids, strict=True)
            if one.struck is not None
        ]
        insert_rows(self.deed.connection, tables.struck, rows)

    def add_cloth_parts(self) -> None:
        """Yarns and assumptions of the new cloths, and what was measured of them."""
        connection, cloths = self.deed.connection, self.arrival.new["cloths"]
        numbers = count(next_id(connection, tables.cloth_yarn))
        parts = [
            {**self._part(cloth, one), "id": next(numbers), "side": side, "position": at}
            for cloth in cloths
            for side, parts in (("warp", cloth.warp), ("weft", cloth.weft))
            for at, one in enumerate(parts)
        ]
        insert_rows(connection, tables.cloth_yarn, parts)
        self._add_told(tables.cloth_spread, "assumptions")
        self._add_told(tables.record, "records")
        self._add_told(tables.confirmed, "confirmed")
        self._add_told(tables.weighing, "weighings")

    def _add_told(self, table: Table, listed: str) -> None:
        """Rows of the new cloths that name their cloth or a skein of it, as they came."""
        connection, cloths = self.deed.connection, self.arrival.new["cloths"]
        told = [(one.action, cloth, one) for cloth in cloths for one in getattr(cloth, listed)]
        told.sort(key=lambda found: found[0])
        rows = [
            {
                **values(one),
                "id": number,
                "action_id": self.action_id[one.action],
                "cloth_id": self._id("cloths", cloth.name),
                **({"skein_id": self._id("skeins", one.skein)} if "skein_id" in table.c else {}),
            }
            for (_, cloth, one), number in zip(told, count(next_id(connection, table)))
        ]
        insert_rows(connection, table, rows)

    def _part(self, cloth: ClothDocument, one: PartDocument) -> dict[str, Any]:
        return {
            **values(one),
            "action_id": self.action_id[one.action],
            "cloth_id": self._id("cloths", cloth.name),
            "skein_id": self._id("skeins", one.skein),
        }

    def add_ledger_and_claims(self) -> None:
        """In the order they were made, so that the stash itself sees that each claim was within
        the balance of its time."""
        connection = self.deed.connection
        lines = [
            (one.action, self._line(skein.name, one))
            for skein in self.arrival.new["skeins"]
            for one in skein.ledger
        ]
        lines.sort(key=lambda found: found[0])
        for (_, row), number in zip(lines, count(next_id(connection, tables.entry))):
            row["id"] = number
        done = 0
        for action, place, row in self._claims():
            upto = next((at for at in range(done, len(lines)) if lines[at][0] > action), len(lines))
            insert_rows(connection, tables.entry, [line for _, line in lines[done:upto]])
            done = upto
            self._add_claim(place, row)
        insert_rows(connection, tables.entry, [line for _, line in lines[done:]])

    def _line(self, skein: str, one: LineDocument) -> dict[str, Any]:
        return {
            **values(one),
            "action_id": self.action_id[one.action],
            "skein_id": self._id("skeins", skein),
            "cloth_id": self._id("cloths", one.cloth),
        }

    def _claims(self) -> list[tuple[int, str, dict[str, Any]]]:
        """(place of the action, place in the document, row) of the new cloths' claims."""
        at = {one.name: number for number, one in enumerate(self.arrival.document.cloths)}
        claims = [
            (
                one.action,
                f"cloths[{at[cloth.name]}].claims[{number}]",
                {
                    **values(one),
                    "action_id": self.action_id[one.action],
                    "cloth_id": self._id("cloths", cloth.name),
                    "skein_id": self._id("skeins", one.skein),
                },
            )
            for cloth in self.arrival.new["cloths"]
            for number, one in enumerate(cloth.claims)
        ]
        return sorted(claims, key=lambda found: found[0])

    def _add_claim(self, place: str, row: dict[str, Any]) -> None:
        connection = self.deed.connection
        try:
            own = {"id": next_id(connection, tables.claim)}
            insert_rows(connection, tables.claim, [row | own])
        except IntegrityError:
            why = "the stash has not so much of that skein free"
            raise refusal(self.path, [f"{place}: {why}"], "place", ADVICE) from None
