"""A skein as a line of a CSV table: its description, and its first reading of each kind."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from sqlalchemy import RowMapping

from farspun.services.document import MOST_WRAPS_PER_100M
from farspun.services.readings import (
    MG_PER_G,
    MILLITEX_PER_TEX,
    MM_PER_M,
    UG_PER_G,
    WRAPS_PER_100M,
    Reading,
)

COLUMNS = (
    *("name", "fibre", "plies", "draw", "twist", "superwash", "mill", "rebuy", "mass", "tare"),
    *("strands", "once_round", "state", "tool", "length", "test_lengths", "wpi", "wrap", "label"),
    *("colour", "spun", "place", "note", "tug"),
)
QUANTITIES = ("rebuy", "mass", "tare", "once_round", "length", "test_lengths", "wpi", "label")
SEVERAL = {"test_lengths": "test_length", "wpi": "wpi"}  # column, and what one of them is
BETWEEN = "; "
NOT_COUNTED_HOW = "not said"
STEPS = {10**power: power for power in range(8)}  # of a scale, in µg, and how many zeros
MASS_DIGITS = 3  # of a gram: the ledger's mg


AnyRow = Mapping[str, Any] | RowMapping


@dataclass(frozen=True, slots=True)
class Read:
    """A reading with what it was written as; `sitting` tells those of one command."""

    kind: str
    written: Mapping[str, str]
    state: str | None = None
    tool: str | None = None
    sitting: int = 0

    @classmethod
    def of(cls, one: Reading) -> "Read":
        """As just understood."""
        return cls(one.kind, one.written, one.values.get("state"), one.values.get("tool"))

    @classmethod
    def stored(cls, row: AnyRow) -> "Read":
        """As in the stash; one of an older schema is written from its whole units."""
        written = row["written"] or written_from(row)
        return cls(row["kind"], written, row["state"], row["tool"], row["action_id"])


def cells(described: AnyRow, readings: Iterable[Read]) -> tuple[dict[str, str], int]:
    """Every column of the skein's line, and how many of its readings do not come into it."""
    found = dict.fromkeys(COLUMNS, "")
    for name in ("name", "fibre", "plies", "draw", "twist", "wrap", "tug"):
        found[name] = "" if described[name] is None else str(described[name])
    for name in ("colour", "spun", "place", "note"):
        found[name] = described[name] or ""
    for name in ("superwash", "mill"):
        found[name] = "yes" if described[name] else ""
    found["rebuy"] = described["rebuy_said"] or ""
    left_out, seen = 0, dict[str, Read]()
    for one in readings:
        left_out += not _write(found, one, seen.get(one.kind))
        seen.setdefault(one.kind, one)
    return found, left_out


def _write(found: dict[str, str], one: Read, first: Read | None) -> bool:
    """Write a reading into its columns; False where another of its kind is there already."""
    if one.kind in ("test length", "wrapped"):
        column = "test_lengths" if one.kind == "test length" else "wpi"
        text = one.written[SEVERAL[column]]
        found[column] += (BETWEEN if found[column] else "") + text
        return True
    if first is not None and not (one.kind == "counted" and _beside(first, one, found)):
        return False
    found.update(one.written)
    if one.kind == "counted":
        found["state"] = "" if one.state in (None, NOT_COUNTED_HOW) else str(one.state)
        found["tool"] = one.tool or ""
    return True


def _beside(first: Read, one: Read, found: Mapping[str, str]) -> bool:
    """A length said together with strands and once round, in the same state on the same tool."""
    together = (first.sitting, first.state, first.tool) == (one.sitting, one.state, one.tool)
    return together and "length" in one.written and not found["length"]


def written_from(row: AnyRow) -> dict[str, str]:
    """What a reading may be written as when it was not kept: its whole units.

    >>> written_from({"kind": "weighed", "mass_mg": 112000, "step_ug": 100000})
    {'mass': '112.0 g'}
    """
    kind = row["kind"]
    if kind == "weighed":
        return {"mass": _mass(row["mass_mg"], row["step_ug"])}
    if kind == "counted":
        if row["strands"] and row["strands"] * row["once_round_mm"] == row["length_mm"]:
            once = _plain(row["once_round_mm"], MM_PER_M)
            return {"strands": str(row["strands"]), "once_round": f"{once} m"}
        return {"length": f"{_plain(row['length_mm'], MM_PER_M)} m"}
    if kind == "test length":
        length = f"{_plain(row['length_mm'], MM_PER_M)} m"
        return {"test_length": f"{length}={_mass(row['mass_mg'], row['step_ug'])}"}
    if kind == "wrapped":
        if row["wraps_per_100m"] == MOST_WRAPS_PER_100M:
            return {"wpi": "200 wpi"}  # in whole units a hair more than may be said
        return {"wpi": f"{_plain(row['wraps_per_100m'], WRAPS_PER_100M)} wraps/cm"}
    return {"label": f"{_plain(row['millitex'], MILLITEX_PER_TEX)} tex"}


def _plain(whole: int, per_unit: int) -> str:
    """Whole parts of a unit as a decimal number, with no idle zeros behind the point.

    >>> _plain(271500, 1000), _plain(271000, 1000)
    ('271.5', '271')
    """
    ones, rest = divmod(whole, per_unit)
    if not rest:
        return str(ones)
    digits = len(str(per_unit)) - 1
    return f"{ones}.{rest:0{digits}}".rstrip("0")


def _mass(mass_mg: int, step_ug: int) -> str:
    """With as many digits behind the point as the scale showed, where it was decimal and the
    mass comes out even; else in mg."""
    power = STEPS.get(step_ug)
    if power is None or mass_mg * 1000 % step_ug or step_ug > UG_PER_G:
        return f"{mass_mg} mg"
    digits = len(str(UG_PER_G)) - 1 - power
    ones, rest = divmod(mass_mg, MG_PER_G)
    shown = f"{rest:0{MASS_DIGITS}}".ljust(digits, "0")[:digits]
    return f"{ones}.{shown} g" if digits else f"{ones} g"
