"""The looms, reeds and rigid heddles she owns."""

from dataclasses import dataclass

from farspun.errors import ImpossibleValue
from farspun.services.equipment_doubts import ask_about_dents, ask_about_width
from farspun.services.writing import doing
from farspun.store import tables
from farspun.store.engine import Stash, reading
from farspun.store.equipment import (
    MICRODENTS,
    MM_PER_CM,
    add_equipment,
    all_looms,
    all_reeds,
    loom_named,
)
from farspun.units import Quantity, skein_name

MM_PER_M = 1000
LEAST_DENTS, MOST_DENTS = 1.0, 1000.0  # per 10 cm; judgement


@dataclass(frozen=True, slots=True)
class Loom:
    """A loom: `waste_cm` ± `waste_sd_cm` never woven (None: as is usual for its kind)."""

    name: str
    kind: str
    width_cm: float
    waste_cm: float | None
    waste_sd_cm: float | None
    tie: str
    shafts: int | None


@dataclass(frozen=True, slots=True)
class Reed:
    """A reed or rigid heddle, in dents per 10 cm; `said` as she gave it."""

    name: str
    dents_per_10cm: float
    said: str
    rigid_heddle: bool
    loom: str | None


def add_loom(
    stash: Stash,
    name: str,
    kind: str,
    width: Quantity,
    waste: Quantity | None = None,
    tie: str = "knots",
    shafts: int | None = None,
    sure: bool = False,
) -> Loom:
    """Add a loom. Raises ImpossibleValue where the name is taken or the width cannot be, ToConfirm
    where it can hardly be and she is not `sure`."""
    name = skein_name(name)
    width_mm = width_in_mm(width, sure)
    waste_mm, waste_sd_mm = (None, None) if waste is None else waste_in_mm(waste)
    with doing(stash, "loom add", f"{name}: {kind}, {width.said}") as deed:
        add_equipment(
            deed.connection,
            tables.loom,
            deed.action_id,
            name,
            kind=kind,
            width_mm=width_mm,
            waste_mm=waste_mm,
            waste_sd_mm=waste_sd_mm,
            tie=tie,
            shafts=shafts,
        )
    return Loom(name, kind, width_mm / MM_PER_CM, _cm(waste_mm), _cm(waste_sd_mm), tie, shafts)


def width_in_mm(width: Quantity, sure: bool) -> int:
    """As the table keeps it. Raises ImpossibleValue, ToConfirm."""
    width_mm = round(width.value * MM_PER_M)
    if not width_mm > 0:
        raise ImpossibleValue("width", width.said, "at least 1 mm")
    ask_about_width(width, sure)
    return width_mm


def waste_in_mm(waste: Quantity) -> tuple[int, int]:
    """Its middle and spread as the table keeps them; without a ± it is exact."""
    return round(waste.value * MM_PER_M), round((waste.sd or 0.0) * MM_PER_M)


def dents_for_table(dents: Quantity, sure: bool) -> int:
    """As the table keeps them. Raises ImpossibleValue, ToConfirm."""
    if not LEAST_DENTS <= dents.value <= MOST_DENTS:
        raise ImpossibleValue("the reed", dents.said, "from 1 to 1000 dents in 10 cm")
    ask_about_dents(dents, sure)
    return round(dents.value * MICRODENTS)


def list_looms(stash: Stash) -> list[Loom]:
    """Every loom."""
    with reading(stash) as connection:
        return [
            Loom(
                row["name"],
                row["kind"],
                row["width_mm"] / MM_PER_CM,
                _cm(row["waste_mm"]),
                _cm(row["waste_sd_mm"]),
                row["tie"],
                row["shafts"],
            )
            for row in all_looms(connection)
        ]


def add_reed(
    stash: Stash,
    name: str,
    dents: Quantity,
    rigid_heddle: bool = False,
    loom: str | None = None,
    sure: bool = False,
) -> tuple[Reed, str | None]:
    """Add a reed or rigid heddle; and a remark to make. Raises NotFound for its loom,
    ImpossibleValue, ToConfirm where it can hardly be and she is not `sure`."""
    name, microdents = skein_name(name), dents_for_table(dents, sure)
    with doing(stash, "reed add", f"{name}: {dents.said}") as deed:
        on = None if loom is None else loom_named(deed.connection, loom)
        kinds = {row["kind"] for row in all_looms(deed.connection)}
        add_equipment(
            deed.connection,
            tables.reed,
            deed.action_id,
            name,
            microdents_per_m=microdents,
            said=dents.said,
            rigid_heddle=rigid_heddle,
            loom_id=None if on is None else on["id"],
        )
    on_loom = None if on is None else on["name"]
    reed = Reed(name, dents.value, dents.said, rigid_heddle, on_loom)
    return reed, None if on is not None else _odd_one(rigid_heddle, kinds)


def _odd_one(rigid_heddle: bool, loom_kinds: set[str]) -> str | None:
    """A word where she has looms, and none that takes it."""
    if not loom_kinds or any((kind == "rigid-heddle") == rigid_heddle for kind in loom_kinds):
        return None
    other = "a rigid heddle" if rigid_heddle else "a reed"
    return (
        f"None of your looms takes {other}: was it meant so? If not, farspun undo, and add it"
        f" {'without' if rigid_heddle else 'with'} --rigid-heddle."
    )


def list_reeds(stash: Stash) -> list[Reed]:
    """Every reed and rigid heddle."""
    with reading(stash) as connection:
        return [
            Reed(
                row["name"],
                row["microdents_per_m"] / MICRODENTS,
                row["said"],
                row["rigid_heddle"],
                row["loom"],
            )
            for row in all_reeds(connection)
        ]


def _cm(length_mm: int | None) -> float | None:
    return None if length_mm is None else length_mm / MM_PER_CM
