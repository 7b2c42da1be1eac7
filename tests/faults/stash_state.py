"""What a stash holds, row by row, and the stashes that the fault tests begin with."""

from collections.abc import Sequence
from functools import cache
from pathlib import Path
from typing import Any

from sqlalchemy import select
from sqlmodel import SQLModel

from cli.running import Desk
from farspun.services import doctor
from farspun.store import tables
from farspun.store.engine import Stash, reading
from faults.nursery import a_place

assert tables  # they are in the metadata
TIMES = ("at", "planned_at")  # not the same twice
FURNITURE = (
    "skein add Gorse --mass 900g --length 2700m --state unwashed --tool Mill",
    "skein add Heather --mass 110g --length 440m --state relaxed --tool Mill --wpi 14wpi",
    "skein add Bracken --mass 150g --length 450m --state unwashed",
    "loom add Table --kind table --width 60cm",
    "cloth plan Shawl --size 30cmx100cm --warp Gorse --weft Heather",
    "skein take Gorse 10g --for Shawl",
    "skein weigh Bracken 148g",
)

Rows = dict[str, list[tuple[Any, ...]]]


def rows(place: Path) -> Rows:
    """Every row of every table, but for times."""
    found = {}
    with reading(Stash(path=place)) as connection:
        for name, table in sorted(SQLModel.metadata.tables.items()):
            kept = [column for column in table.c if column.name not in TIMES]
            ordered = select(*kept).order_by(*table.primary_key.columns)
            found[name] = [tuple(row) for row in connection.execute(ordered)]
    return found


def found_wrong(place: Path) -> list[str]:
    """What the doctor finds wrong with it."""
    return [one.text for one in doctor.examine(Stash(path=place)).wrong]


@cache
def made_by(lines: Sequence[str]) -> bytes:
    """The stash that these command lines make."""
    with a_place() as place:
        desk = Desk(place.parent)
        desk.does(*lines)
        return place.read_bytes()


def furnished() -> bytes:
    """Skeins counted and weighed, a loom, a cloth that claims yarn and was begun."""
    return made_by(FURNITURE)
