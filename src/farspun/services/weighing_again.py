"""A skein weighed once more: whether less is yarn that was used, or one weighing is wrong.

A weighing lower than the last one, with nothing written down as taken between, says that some was
used, or that one of the two is wrong: wet, with its bobbin, misread. One that is higher than what
is there is wrong, or yarn was put back. Two weighings that differ by no more than a scale and the
day's humidity say the same.
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
WORKED_OUT = 0.05  # of what went by its length; judgement: grist and length together
WRONG_HIGH = "was its bobbin or cone weighed with it (--tare), was it wet, or was yarn put back?"
TAKE_BACK = "take that back first with Undo, then weigh again"


@dataclass(frozen=True, slots=True)
class Before:
    """The last weighing of a skein from which nothing was taken since."""

    mass_g: float
    step_g: float
    unsure_g: float = 0.0  # beside the scale, where it was worked out


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
    less = before.mass_g - now.mass_g
    return less if less > _same_g(before, now) else 0.0


def more_than(before: Before | None, now: Weighed) -> float:
    """Grams more than was there; 0 where the two may be of the same yarn.

    >>> more_than(Before(52.0, 1.0), Weighed(97.0, 1.0, "97 g"))
    45.0
    >>> more_than(Before(52.0, 1.0, unsure_g=30.0), Weighed(97.0, 1.0, "97 g"))
    0.0
    """
    if before is None:
        return 0.0
    more = now.mass_g - before.mass_g
    return more if more > _same_g(before, now) else 0.0


def _same_g(before: Before, now: Weighed) -> float:
    """How far two weighings of the same yarn may lie apart."""
    steps = STEP_SD * math.hypot(before.step_g, now.step_g)
    humid = HUMIDITY_SD * math.hypot(before.mass_g, now.mass_g)
    return SAME * math.hypot(steps, humid, before.unsure_g)


def there_now(connection: Connection, skein: RowMapping) -> Before | None:
    """What should be there: the last weighing, or what the ledger leaves of it after a take.

    None where nobody knows how much there is.
    """
    before = weighed_before(connection, skein["id"])
    if before is not None or skein["balance_mg"] is None:
        return before
    gone_g = ledger.worked_out_g(connection, [skein["id"]])[skein["id"]]
    return Before(skein["balance_mg"] / MG_PER_G, 0.0, WORKED_OUT * abs(gone_g))


def ask_about_more(connection: Connection, skein: RowMapping, now: Weighed) -> None:
    """Raises ToConfirm where the scale says more than there is: a skein does not grow."""
    before = there_now(connection, skein)
    more_g = more_than(before, now)
    if before is not None and more_g:
        raise ToConfirm(
            "mass",
            now.said,
            f"{say_mass(now.mass_g)} are {say_mass(more_g)} more than the"
            f" {say_mass(before.mass_g)} before: {WRONG_HIGH} If the weighing before was the slip,"
            f" {TAKE_BACK}.",
        )


def ask_which_is_wrong(connection: Connection, skein: RowMapping, now: Weighed) -> None:
    """Raises ToConfirm where what is left was weighed before as something else.

    Nothing was used between, so one of the two is wrong, and the last one may be taken back.
    """
    before = weighed_before(connection, skein["id"])
    if before is None or not (used_since(before, now) or more_than(before, now)):
        return
    raise ToConfirm(
        "mass",
        now.said,
        f"“{skein['name']}” was weighed as {say_mass(before.mass_g)}, and now it is"
        f" {say_mass(now.mass_g)}: one of the two is wrong. If the last one was the slip,"
        f" {TAKE_BACK}: else it stays in the history.",
    )


def ask_whether_last_was_high(connection: Connection, skein: RowMapping, now: Weighed) -> None:
    """Raises ToConfirm where the last weighing was more than there was, and now it is less.

    The last one may have been the slip: then nothing was used, and it is better taken back.
    """
    before = weighed_before(connection, skein["id"])
    if before is None:
        return
    expected = Before(before.mass_g - ledger.rose_by_g(connection, skein["id"]), 0.0)
    rose_g = more_than(expected, Weighed(before.mass_g, before.step_g, ""))
    used_g = used_since(before, now)
    if not (rose_g and used_g):
        return
    raise ToConfirm(
        "mass",
        now.said,
        f"“{skein['name']}” was weighed as {say_mass(before.mass_g)}, {say_mass(rose_g)} more than"
        f" there was. If that was the slip, {TAKE_BACK}. If it was right, {say_mass(used_g)} were"
        " used since.",
    )


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
