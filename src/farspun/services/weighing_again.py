"""A skein weighed once more: whether less is yarn that was used, or one weighing is wrong.

A weighing lower than the last one, with nothing written down as taken between, says that some was
used, or that one of the two is wrong: wet, with its bobbin, misread. Two weighings that differ by
no more than a scale and the day's humidity say the same.
"""

import math
from dataclasses import dataclass

from sqlalchemy import Connection, RowMapping, select

from farspun.craft.readings import HUMIDITY_SD, STEP_SD
from farspun.craft.remaining import Weigh
from farspun.errors import ToConfirm
from farspun.services.readings import MG_PER_G, UG_PER_G, Weighed
from farspun.store import ledger
from farspun.store.rows import stands
from farspun.store.tables import evidence
from farspun.units import say_mass

SAME = 2.0  # spreads between two weighings of the same yarn; judgement


@dataclass(frozen=True, slots=True)
class Before:
    """The last weighing of a skein from which nothing was taken since."""

    mass_g: float
    step_g: float


def weighed_before(connection: Connection, skein_id: int) -> Before | None:
    """The last weighing; None where there is none, or something was taken since."""
    past = ledger.happened(connection, [skein_id]).get(skein_id)
    if past is not None:
        last = past.events[-1]
        return Before(last.mass_g, last.step_g) if isinstance(last, Weigh) else None
    row = connection.execute(
        select(evidence.c.mass_mg, evidence.c.step_ug)
        .where(evidence.c.skein_id == skein_id, evidence.c.kind == "weighed", stands(evidence))
        .order_by(evidence.c.id.desc())
        .limit(1)
    ).one_or_none()
    return None if row is None else Before(row.mass_mg / MG_PER_G, row.step_ug / UG_PER_G)


def used_since(before: Before | None, now: Weighed) -> float:
    """Grams used since the last weighing; 0 where the two may be of the same yarn.

    >>> used_since(Before(60.0, 1.0), Weighed(50.0, 1.0, "50 g"))
    10.0
    >>> used_since(Before(60.0, 1.0), Weighed(59.5, 0.1, "59.5 g"))
    0.0
    """
    if before is None:
        return 0.0
    steps = STEP_SD * math.hypot(before.step_g, now.step_g)
    same = SAME * math.hypot(steps, HUMIDITY_SD * before.mass_g, HUMIDITY_SD * now.mass_g)
    less = before.mass_g - now.mass_g
    return less if less > same else 0.0


def ask_whether_used(connection: Connection, skein: RowMapping, now: Weighed) -> None:
    """Raises ToConfirm for a mass measured that is less than the skein weighed before."""
    before = weighed_before(connection, skein["id"])
    used_g = used_since(before, now)
    if before is not None and used_g:
        raise ToConfirm(
            "mass",
            now.said,
            f"“{skein['name']}” was weighed as {say_mass(before.mass_g)}, and now it is"
            f" {say_mass(now.mass_g)}. If {say_mass(used_g)} were used, weigh it as what is left."
            " If nothing was used, one of the two is wrong, and both are kept as readings.",
        )


def less_than_before(name: str, before: Before, used_g: float) -> ToConfirm:
    """The question of a weighing of what is left, nothing having been taken."""
    return ToConfirm(
        "mass",
        say_mass(before.mass_g - used_g),
        f"“{name}” was weighed as {say_mass(before.mass_g)}: were {say_mass(used_g)} used since? If"
        " nothing was, one of the two weighings is wrong (wet, or with its bobbin): measure it"
        " again as a whole.",
    )
