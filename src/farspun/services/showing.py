"""What is known of a skein, or of all of them, from the estimates kept in the stash.

Nothing is worked out anew, so a long list stays quick; nothing heavy is imported.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, RowMapping

from farspun.services.doubts import (
    Disagreement,
    Item,
    biased_tools,
    disagreements,
    items_by_id,
)
from farspun.store.claims import claims_on, cloth_names
from farspun.store.engine import Stash, reading
from farspun.store.skeins import skein_named, summaries
from farspun.units import CM_PER_INCH, m_per_100g_from_tex, yd_per_lb_from_tex

MG_PER_G = 1000
Z95 = 1.6448536269514722  # spreads from the middle to the 95 % point of a normal, exact
NONE_LEFT = {"mean": 0.0, "sd": 0.0, "p05": 0.0, "p50": 0.0, "p95": 0.0}


@dataclass(frozen=True, slots=True)
class Shown:
    """A skein as scripts see it: unknown is None, single numbers are medians.

    `colour` is her note, `colours` the shades read from it, each with its share of the yarn.
    `length_m` and what follows is what is left now; `free_m` what no cloth claims.
    """

    name: str
    status: str
    closed_because: str | None
    fibre: str
    plies: int | None
    draw: str
    twist: str | None
    superwash: bool
    mill: bool
    rebuy: str | None
    colour: str | None
    colours: list[dict[str, Any]]
    place: str | None
    note: str | None
    tug: str | None
    mass_g: float | None
    length_m: dict[str, float] | None
    tex: dict[str, float] | None
    m_per_100g: float | None
    yd_per_lb: float | None
    wraps_per_cm: float | None
    wpi: float | None
    fibre_fill: float
    claimed_m: float | None
    free_m: float | None
    conflict: Disagreement | None


@dataclass(frozen=True, slots=True)
class ShownWhole(Shown):
    """As Shown, with how its colours lie and what was not understood of them, every reading, the
    cloths that claim it, and what its tools show."""

    colour_lie: str
    colour_assumed: list[str]
    colour_unknown: list[str]
    spun: str | None
    evidence: list[Item]
    claims: list[dict[str, Any]]
    remarks: list[str]


def show_all(stash: Stash, coloured: bool = True) -> list[Shown]:
    """Every skein, in the order of names; not `coloured`, no notes of colours are read."""
    with reading(stash) as connection:
        doubts = disagreements(connection, None)
        return shown_rows(summaries(connection), claims_on(connection), doubts, coloured)


def shown_rows(
    rows: Sequence[RowMapping],
    claims: Mapping[int, Sequence[tuple[int, int]]],
    doubts: Mapping[int, Disagreement],
    coloured: bool = True,
) -> list[Shown]:
    """Skeins as scripts see them; claims as (cloth id, mg), by skein id."""
    claimed = {one: sum(mass_mg for _, mass_mg in listed) for one, listed in claims.items()}
    return [
        Shown(**_shown(row, claimed.get(row["id"], 0), doubts.get(row["id"]), coloured))
        for row in rows
    ]


def show(stash: Stash, name: str) -> ShownWhole:
    """One skein with its readings. Raises NotFound with the nearest names."""
    with reading(stash) as connection:
        return shown_whole(connection, name)


def shown_whole(connection: Connection, name: str) -> ShownWhole:
    """As `show`, in a transaction that is open."""
    from farspun.craft.colour_notes import yarn_colour

    found = skein_named(connection, name)
    row = summaries(connection, found["id"])[0]
    claims = claims_on(connection, [row["id"]]).get(row["id"], [])
    names = cloth_names(connection) if claims else {}
    doubt = disagreements(connection, [row["id"]]).get(row["id"])
    remarks = biased_tools(connection, row["id"])
    if row["forgotten_take"]:
        remarks.append(
            "What was taken and weighed does not fit together: was a take not written down?"
        )
    read = yarn_colour(row["colour"])
    return ShownWhole(
        **_shown(row, sum(mass_mg for _, mass_mg in claims), doubt, True),
        colour_lie=read.lie.value,
        colour_assumed=list(read.assumed),
        colour_unknown=list(read.unknown_words),
        spun=found["spun"],
        evidence=list(items_by_id(connection, [row["id"]]).values()),
        claims=[
            {"cloth": names[cloth_id], "mass_g": mass_mg / MG_PER_G} for cloth_id, mass_mg in claims
        ],
        remarks=remarks,
    )


def lognormal(ln_median: float, sd_ln: float) -> dict[str, float]:
    """Mean, sd and the 5, 50 and 95 points of a quantity known by the median and sd of its log.

    >>> round(lognormal(math.log(100.0), 0.1)["p95"], 1)
    117.9
    """
    mean = math.exp(ln_median + sd_ln**2 / 2)
    return {
        "mean": mean,
        "sd": mean * math.sqrt(math.expm1(sd_ln**2)),
        "p05": math.exp(ln_median - Z95 * sd_ln),
        "p50": math.exp(ln_median),
        "p95": math.exp(ln_median + Z95 * sd_ln),
    }


def _length(row: RowMapping) -> dict[str, float] | None:
    if not row["length_known"]:
        return None
    if row["now_ln_length"] is None:
        return NONE_LEFT
    return lognormal(row["now_ln_length"], row["now_sd_ln"])


def _colours(note: str | None) -> list[dict[str, Any]]:
    """The shades of a note as scripts see them."""
    from farspun.craft.colour_notes import yarn_colour  # a plain list needs none of it

    return [
        {"name": one.shade.name, "hex": one.shade.hex, "share": one.share}
        for one in yarn_colour(note).stretches
    ]


def _shown(
    row: RowMapping, claimed_mg: int, doubt: Disagreement | None, coloured: bool
) -> dict[str, Any]:
    length, balance_mg = _length(row), row["balance_mg"]
    tex = lognormal(row["ln_tex"], math.sqrt(row["var_tex"])) if row["tex_known"] else None
    wraps = math.exp(row["ln_wraps_per_cm"]) if row["tex_known"] else None
    claimed_m, free_m = _claimed_and_free(length, balance_mg, claimed_mg)
    return {
        "name": row["name"],
        "status": row["status"],
        "closed_because": row["closed_because"],
        "fibre": row["fibre"],
        "plies": row["plies"],
        "draw": row["draw"],
        "twist": row["twist"],
        "superwash": row["superwash"],
        "mill": row["mill"],
        "rebuy": row["rebuy_said"],
        "colour": row["colour"],
        "colours": _colours(row["colour"]) if coloured else [],
        "place": row["place"],
        "note": row["note"],
        "tug": row["tug"],
        "mass_g": balance_mg / MG_PER_G if row["mass_known"] and balance_mg is not None else None,
        "length_m": length,
        "tex": tex,
        "m_per_100g": m_per_100g_from_tex(tex["p50"]) if tex else None,
        "yd_per_lb": yd_per_lb_from_tex(tex["p50"]) if tex else None,
        "wraps_per_cm": wraps,
        "wpi": wraps * CM_PER_INCH if wraps else None,
        "fibre_fill": math.exp(row["ln_fill"]),
        "claimed_m": claimed_m,
        "free_m": free_m,
        "conflict": doubt,
    }


def _claimed_and_free(
    length: dict[str, float] | None, balance_mg: int | None, claimed_mg: int
) -> tuple[float | None, float | None]:
    """Metres claimed, and metres left beside them, as parts of the balance."""
    if length is None:
        return (None if claimed_mg else 0.0), None
    if not balance_mg:
        return 0.0, length["mean"]
    claimed_m = length["mean"] * claimed_mg / balance_mg
    return claimed_m, max(0.0, length["mean"] - claimed_m)
