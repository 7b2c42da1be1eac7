"""Making stashes in tests: short ways to add skeins, cloths and claims, and to run commands."""

import json
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, func, insert, select
from typer.testing import CliRunner, Result

from farspun import units
from farspun.cli.app import app
from farspun.services import skeins
from farspun.services.readings import Measured
from farspun.services.skeins import Description, Understood
from farspun.store import tables
from farspun.store.engine import Stash, reading, writing

AT = "2025-03-01T10:00:00+00:00"
CLOTH = {
    "width_um": 400_000,
    "length_um": 1_600_000,
    "size_said": "40 cm wide, 160 cm long",
    "weave": "plain",
    "purpose": "everyday",
    "sett_micro_per_m": 300_000_000,
    "picks_micro_per_m": 300_000_000,
    "direct": False,
    "as_spun": False,
    "cut": False,
    "wash": "gentle",
    "promise_ppm": 950_000,
    "priority": 1,
    "planned_at": AT,
    "status": "planned",
    "pieces": 1,
    "hem_um": 0,
    "side_hem_um": 0,
    "fringe_um": 0,
    "gap_um": 0,
    "header_um": 0,
    "sample_um": 0,
    "floating_selvedges": 0,
    "repeat": 1,
    "fringe_from_waste": False,
}


def farspun(place: Path | str, *words: str) -> Result:
    """Run a command on the stash at `place`."""
    return CliRunner().invoke(app, ["--stash", str(place), *words])


def told(place: Path | str, *words: str) -> Any:
    """The JSON a reading command prints; it must answer."""
    result = farspun(place, *words, "--json")
    assert result.exit_code == 0, result.stderr
    return json.loads(result.stdout)


def measured(**given: Any) -> Measured:
    """Readings from text: mass="112 g", length="271 m", wpi="15 wpi", test_length="10m=4.3g"."""
    read: dict[str, Any] = dict(given)
    for name, parse in (("mass", units.mass), ("tare", units.mass), ("once_round", units.length)):
        if name in read:
            read[name] = parse(read[name])
    if "length" in read:
        read["length"] = units.length(read["length"])
    if "wpi" in read:
        read["wpi"] = tuple(units.wraps(one) for one in read["wpi"].split(";"))
    if "test_length" in read:
        read["test_lengths"] = (units.test_length(read.pop("test_length")),)
    return Measured(**read)


def add_skein(stash: Stash, name: str, fibre: str = "wool", **given: Any) -> Understood:
    """A skein of that name, with what was measured of it."""
    return skeins.add(stash, Description(name, fibre=fibre), measured(**given))


def add_cloth(connection: Connection, name: str) -> int:
    """A planned cloth; its id."""
    action_id = connection.execute(
        insert(tables.action).values(at=AT, command="cloth plan", said=name)
    ).inserted_primary_key[0]
    written = connection.execute(
        insert(tables.cloth).values(
            action_id=action_id, name=name, name_key=units.name_key(name), **CLOTH
        )
    )
    return int(written.inserted_primary_key[0])


def claim(stash: Stash, cloth_name: str, skein_name: str, mass_mg: int) -> None:
    """Let a cloth (made if it is not there) keep so much of a skein for its weft."""
    with writing(stash) as connection:
        cloth_id = connection.execute(
            select(tables.cloth.c.id).where(tables.cloth.c.name == cloth_name)
        ).scalar_one_or_none() or add_cloth(connection, cloth_name)
        connection.execute(
            insert(tables.claim).values(
                action_id=1,
                cloth_id=cloth_id,
                skein_id=skein_id(connection, skein_name),
                side="weft",
                mass_mg=mass_mg,
            )
        )


def skein_id(connection: Connection, name: str) -> int:
    """The id of the skein of that name."""
    found = connection.execute(select(tables.skein.c.id).where(tables.skein.c.name == name))
    return int(found.scalar_one())


def balance_and_ledger(stash: Stash, name: str) -> tuple[int | None, int | None]:
    """The stored balance in mg, and what the skein's ledger adds up to."""
    with reading(stash) as connection:
        number = skein_id(connection, name)
        balance = connection.execute(
            select(tables.skein.c.balance_mg).where(tables.skein.c.id == number)
        ).scalar_one()
        total = connection.execute(
            select(func.sum(tables.entry.c.delta_mg)).where(tables.entry.c.skein_id == number)
        ).scalar_one()
        return balance, total
