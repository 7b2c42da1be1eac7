"""The invented stash of `farspun demo`: its data, and building it in a file of its own."""

import sqlite3
import tomllib
from collections.abc import Mapping
from contextlib import closing
from importlib.resources import files
from pathlib import Path
from tempfile import TemporaryDirectory, mkdtemp
from typing import Any

from farspun import units
from farspun.errors import StashError
from farspun.services import balance, cloths, equipment, giving_up, skein_closing, skeins
from farspun.services.answers import Check
from farspun.services.cloth_asked import ClothAsked
from farspun.services.readings import Measured
from farspun.store.engine import BUSY_TIMEOUT_S, Stash
from farspun.store.files import connect_to_read

CM_PER_M = 100
COUNTED = ("strands", "state", "tool", "label")  # readings that are kept as they are written
ASKED = ("weave", "purpose", "loom", "reed", "wash", "direct")

Scenario = Mapping[str, list[dict[str, Any]]]


def scenario() -> Scenario:
    """Skeins, looms, reeds, what happened, cloths, and the walk, as written in demo.toml."""
    text = files("farspun.services").joinpath("demo.toml").read_text(encoding="utf-8")
    return tomllib.loads(text)


def made(data: Scenario) -> Path:
    """Build the scenario in a new file of the folder for temporary files, and leave it there.

    Raises StashError where nothing can be written there.
    """
    try:
        place = Path(mkdtemp(prefix="farspun-demo-")) / "stash.db"
    except OSError as trouble:
        raise StashError(
            f"The demo has nowhere to put its file ({trouble.strerror}).",
            "Name a folder you may write in: TMPDIR=FOLDER farspun demo",
        ) from trouble
    build(Stash(path=place), data)
    return place


def build(stash: Stash, data: Scenario) -> None:
    """Make the stash of a scenario, in the order a person would: yarn, looms, use, plans."""
    for one in data["skein"]:
        skeins.add(stash, description(one), measured(one))
    for loom in data["loom"]:
        _add_loom(stash, loom)
    for reed in data["reed"]:
        equipment.add_reed(
            stash,
            reed["name"],
            units.dents(reed["dents"]),
            reed.get("rigid_heddle", False),
            reed.get("loom"),
        )
    for event in data["happened"]:
        _happen(stash, event)
    for cloth in data["cloth"]:
        cloths.plan_cloth(stash, cloth["name"], cloth_asked(cloth))


def description(one: Mapping[str, Any]) -> skeins.Description:
    """What is said of a skein."""
    known = skeins.Description.__dataclass_fields__
    said = {name: value for name, value in one.items() if name in known}
    if "rebuy" in said:
        said["rebuy"] = units.mass(said["rebuy"], "rebuy")
    return skeins.Description(**said)


def measured(one: Mapping[str, Any]) -> Measured:
    """What was measured of a skein."""
    said = {name: one[name] for name in COUNTED if name in one}
    for name, read in (
        ("mass", units.mass),
        ("tare", units.mass),
        ("length", units.length),
        ("once_round", units.length),
    ):
        if name in one:
            said[name] = read(one[name], name.replace("_", " "))
    return Measured(
        **said,
        test_lengths=tuple(units.test_length(text) for text in one.get("test_length", ())),
        wpi=tuple(units.wraps(text) for text in one.get("wpi", ())),
    )


def _add_loom(stash: Stash, loom: Mapping[str, Any]) -> None:
    waste = loom.get("waste")
    equipment.add_loom(
        stash,
        loom["name"],
        loom["kind"],
        units.length(loom["width"], "width"),
        None if waste is None else units.length(waste, "waste"),
        loom.get("tie", "knots"),
        loom.get("shafts"),
    )


def cloth_asked(cloth: Mapping[str, Any]) -> ClothAsked:
    """A cloth as it is asked for."""
    size = units.size(cloth["size"])
    return ClothAsked(
        width_cm=size.width_m * CM_PER_M,
        length_cm=size.length_m * CM_PER_M,
        size_said=size.said,
        warp=tuple(cloth["warp"]),
        weft=tuple(cloth["weft"]),
        **{name: cloth[name] for name in ASKED if name in cloth},
    )


def _happen(stash: Stash, event: Mapping[str, Any]) -> None:
    """Yarn taken, weighed or gone."""
    if "take" in event:
        balance.take(stash, event["take"], balance.amount(event["amount"]))
    elif "weigh" in event:
        balance.weigh(stash, event["weigh"], units.mass(event["mass"]))
    else:
        skein_closing.close(stash, event["close"], event["because"])


def but_for(place: Path, cloth: str, other: str) -> Check:
    """The answer for a cloth as if the `other` had been given up; asked of a copy of the stash."""
    with TemporaryDirectory(prefix="farspun-demo-") as folder:
        copy = Path(folder) / "stash.db"
        source = connect_to_read(place, BUSY_TIMEOUT_S)
        with closing(source), closing(sqlite3.connect(copy)) as target:
            source.backup(target)
        giving_up.give_up_cloth(Stash(path=copy), other)
        return cloths.check_cloth(Stash(path=copy), cloth)
