"""Taking yarn from a skein, and weighing what is left of it."""

import math
from dataclasses import dataclass
from shlex import quote

from sqlalchemy import Connection, RowMapping, select

from farspun.errors import ImpossibleValue, NotFound, UnreadableValue
from farspun.services.readings import MG_PER_G, MM_PER_M, Weighed, mass_written, weighed
from farspun.services.showing import ShownWhole, shown_whole
from farspun.services.weighing_again import (
    WRONG_HIGH,
    Before,
    ask_about_more,
    ask_whether_last_was_high,
    ask_which_is_wrong,
    more_than,
    used_since,
    weighed_before,
)
from farspun.services.writing import Deed, doing
from farspun.store import ledger
from farspun.store.claims import claims_on, cloth_names, reduce_claims
from farspun.store.engine import Stash, reading
from farspun.store.estimates import recompute
from farspun.store.rows import in_sight
from farspun.store.skeins import add_evidence, skein_named
from farspun.store.tables import cloth, estimate
from farspun.units import HEAVY_MASS_G, Quantity, length, mass, name_key, say_length, say_mass
from farspun.units.number import shown as shortly


@dataclass(frozen=True, slots=True)
class Amount:
    """So much yarn, by mass or by length."""

    quantity: Quantity
    by_length: bool


@dataclass(frozen=True, slots=True)
class Moved:
    """What changed: by how much the balance, remarks to make, and the skein as it is now."""

    change_g: float
    remarks: list[str]
    skein: ShownWhole


def amount(text: str) -> Amount:
    """Read a mass ("40 g") or a length ("50 m").

    Raises UnreadableValue naming both kinds of unit, or what the unit's own kind refuses.

    >>> amount("50 m").by_length, amount("40 g").quantity.value
    (True, 40.0)
    """
    try:
        return Amount(mass(text, "amount"), by_length=False)
    except UnreadableValue as as_mass:
        try:
            return Amount(length(text, "amount"), by_length=True)
        except UnreadableValue as as_length:
            if as_length.hint == as_mass.hint:
                raise
            raise UnreadableValue(
                "amount",
                shortly(text),
                "no unit of mass or length",
                "Write it like “40 g” or “50 m”.",
            ) from None


def take(stash: Stash, name: str, asked: Amount, cloth_name: str | None = None) -> Moved:
    """Take yarn from a skein, for a cloth that claims it or for something else.

    Raises NotFound; ImpossibleValue where it is not known how much there is, or so much is not
    there, or is kept for a cloth.
    """
    look_up(stash, name)
    wanted = f"{name}: {asked.quantity.said}" + (f" for {cloth_name}" if cloth_name else "")
    with doing(stash, "skein take", wanted) as deed:
        skein = skein_named(deed.connection, name)
        refuse_closed(skein)
        cloth_id = None if cloth_name is None else _cloth_named(deed.connection, cloth_name)
        taken_mg = _mass_mg(deed.connection, skein, asked)
        _refuse_beyond(deed.connection, skein, taken_mg, asked, cloth_id)
        length_mm = round(asked.quantity.value * MM_PER_M) if asked.by_length else None
        off_mg = None
        if cloth_id is not None:
            off_mg = reduce_claims(deed.connection, cloth_id, skein["id"], taken_mg)
        ledger.add_entry(
            deed.connection,
            deed.action_id,
            skein["id"],
            "taken",
            -taken_mg,
            asked.quantity.said,
            length_mm=length_mm,
            cloth_id=cloth_id,
            off_claim_mg=off_mg,
        )
        recompute(deed.connection)
        shown = shown_whole(deed.connection, name)
    told = []
    if not shown.mass_g:
        told.append(f"Nothing is left: farspun skein close {quote(skein['name'])} --because used")
    return Moved(-taken_mg / MG_PER_G, told, shown)


def weigh(
    stash: Stash,
    name: str,
    on_scale: Quantity,
    tare: Quantity | None = None,
    used: bool | None = None,
    sure: bool = True,
) -> Moved:
    """Weigh a skein: evidence while it is untouched, later what is left.

    `used`: what it weighs less than before, with nothing written down as taken since, was used;
    False: nothing was, so one of two weighings is wrong; None: only remarked on. Raises NotFound;
    ImpossibleValue; ToConfirm where she is not `sure`, for more than is there, and where the last
    weighing is likely the slip and better taken back.
    """
    look_up(stash, name)
    with doing(stash, "skein weigh", f"{name}: {on_scale.said}") as deed:
        skein = skein_named(deed.connection, name)
        refuse_closed(skein)
        before, net = weighed_before(deed.connection, skein["id"]), weighed(on_scale, tare)
        used_g, more_g = used_since(before, net), more_than(before, net)
        touched = bool(ledger.touched_skeins(deed.connection, [skein["id"]]))
        if not sure:
            _ask_first(deed.connection, skein, net, used, touched)
        if before is not None and used_g and used:
            told = _use(deed, skein, used_g, before)
            told += weigh_in(deed, skein_named(deed.connection, name), on_scale, tare)
        elif touched:
            told = weigh_in(deed, skein, on_scale, tare)
        else:
            told = _weigh_whole(deed, skein, on_scale, tare)
            told += _perhaps_used(skein["name"], used_g) if used is None else []
            told += _grown(skein["name"], before, more_g)
        shown = shown_whole(deed.connection, name)
    before_mg = skein["balance_mg"] or 0
    return Moved((weighed(on_scale, tare).mass_mg - before_mg) / MG_PER_G, told, shown)


def _ask_first(
    connection: Connection, skein: RowMapping, net: Weighed, used: bool | None, touched: bool
) -> None:
    """Raises ToConfirm where it is likelier that a weighing is a slip than that it is right."""
    if used is not False:
        ask_about_more(connection, skein, net)
        if _forgotten(connection, skein["id"]):
            ask_whether_last_was_high(connection, skein, net)
    elif touched:
        ask_which_is_wrong(connection, skein, net)


def _use(deed: Deed, skein: RowMapping, used_g: float, before: Before) -> list[str]:
    """What the scale shows as gone since the last weighing is written down as used."""
    used_mg = min(round(used_g * MG_PER_G), skein["balance_mg"] or 0)
    if used_mg > 0:
        ledger.add_entry(
            deed.connection, deed.action_id, skein["id"], "taken", -used_mg, "used, by the scale"
        )
    return [
        f"{say_mass(used_g)} of “{skein['name']}” were used since {say_mass(before.mass_g)} were"
        " weighed."
    ]


def _perhaps_used(name: str, used_g: float) -> list[str]:
    if not used_g:
        return []
    return [
        f"{say_mass(used_g)} of “{name}” less than it weighed before, and nothing was taken: kept"
        " as one more reading of the whole skein. If that was used, farspun undo, and weigh it with"
        " --used."
    ]


def _grown(name: str, before: Before | None, more_g: float) -> list[str]:
    if before is None or not more_g:
        return []
    return [
        f"{say_mass(more_g)} of “{name}” more than the {say_mass(before.mass_g)} it weighed before,"
        f" kept as one more reading of the whole skein: {WRONG_HIGH}"
    ]


def weigh_in(
    deed: Deed,
    skein: RowMapping,
    on_scale: Quantity,
    tare: Quantity | None,
    cloth_id: int | None = None,
) -> list[str]:
    """Set the balance of a skein from which yarn was taken to what is left; remarks to make.

    `cloth_id`: the cloth it was used for, where it was weighed because of that.
    """
    net = weighed(on_scale, tare)
    before = _forgotten(deed.connection, skein["id"])
    expected_mg = skein["balance_mg"]
    ledger.add_entry(
        deed.connection,
        deed.action_id,
        skein["id"],
        "weighed",
        net.mass_mg - expected_mg,
        net.said,
        weighed_mg=net.mass_mg,
        step_ug=net.step_ug,
        cloth_id=cloth_id,
    )
    recompute(deed.connection)
    told = _heavy(on_scale)
    if _forgotten(deed.connection, skein["id"]) and not before:
        more = net.mass_mg > expected_mg
        told.append(
            f"By the ledger {say_mass(expected_mg / MG_PER_G)} should be left of"
            f" “{skein['name']}”, and the scale says {say_mass(net.mass_g)}:"
            f" {WRONG_HIGH if more else 'was some taken, or put back, and not written down?'}"
        )
    return told


def look_up(stash: Stash, name: str) -> None:
    """Raises NotFound before anything is written, or a stash made for a skein that is not there."""
    with reading(stash) as connection:
        skein_named(connection, name)


def refuse_closed(skein: RowMapping) -> None:
    """Raises ImpossibleValue for a skein that is closed."""
    if skein["status"] == "closed":
        raise ImpossibleValue(
            "the skein",
            f"“{skein['name']}”",
            f"it is closed ({skein['closed_because']})",
            f"Choose an open one, or open it again: farspun skein reopen {quote(skein['name'])}",
        )


def _heavy(on_scale: Quantity) -> list[str]:
    if on_scale.value > HEAVY_MASS_G:
        return [f"{on_scale.said} is a great deal for one skein: is it right?"]
    return []


def _forgotten(connection: Connection, skein_id: int) -> bool:
    found = connection.execute(
        select(estimate.c.forgotten_take).where(estimate.c.skein_id == skein_id)
    )
    return bool(found.scalar_one())


def _weigh_whole(
    deed: Deed, skein: RowMapping, on_scale: Quantity, tare: Quantity | None
) -> list[str]:
    """The weighing of an untouched skein is evidence, and its balance."""
    net = weighed(on_scale, tare)
    values = {
        "mass_mg": net.mass_mg,
        "step_ug": net.step_ug,
        "written": mass_written(on_scale, tare),
    }
    add_evidence(deed.connection, deed.action_id, skein["id"], "weighed", net.said, **values)
    before_mg = skein["balance_mg"]
    kind = "made" if before_mg is None else "evidence"
    ledger.add_entry(
        deed.connection,
        deed.action_id,
        skein["id"],
        kind,
        net.mass_mg - (before_mg or 0),
        net.said,
    )
    recompute(deed.connection)
    return _heavy(on_scale)


def _cloth_named(connection: Connection, name: str) -> int:
    rows = connection.execute(
        select(cloth.c.id, cloth.c.name, cloth.c.name_key).where(in_sight(cloth))
    ).all()
    for row in rows:
        if row.name_key == name_key(name):
            return int(row.id)
    raise NotFound("cloth", name.strip(), [row.name for row in rows])


def _mass_mg(connection: Connection, skein: RowMapping, asked: Amount) -> int:
    """What the amount comes to in the ledger: a length at the median grist of this moment."""
    if skein["balance_mg"] is None:
        raise ImpossibleValue(
            "the amount",
            asked.quantity.said,
            f"nobody knows yet how much there is of “{skein['name']}”",
            f"Weigh it first: farspun skein weigh {quote(skein['name'])} MASS",
        )
    taken_g = asked.quantity.value
    if asked.by_length:
        tex = connection.execute(
            select(estimate.c.ln_tex, estimate.c.tex_known).where(
                estimate.c.skein_id == skein["id"]
            )
        ).one()
        if not tex.tex_known:
            raise ImpossibleValue(
                "the amount",
                asked.quantity.said,
                f"it is not known how fine “{skein['name']}” is",
                "Give the amount by mass, or measure a test length or the wraps first.",
            )
        taken_g *= math.exp(tex.ln_tex) / 1000
    taken_mg = round(taken_g * MG_PER_G)
    if not taken_mg > 0:
        raise ImpossibleValue("the amount", asked.quantity.said, "at least 0.001 g")
    return taken_mg


def _refuse_beyond(
    connection: Connection, skein: RowMapping, taken_mg: int, asked: Amount, cloth_id: int | None
) -> None:
    """Raises ImpossibleValue beyond the balance, or where other cloths keep the yarn."""
    balance_mg = skein["balance_mg"]
    if taken_mg > balance_mg:
        raise ImpossibleValue(
            "the amount",
            _with_mass(asked, taken_mg),
            f"“{skein['name']}” holds {say_mass(balance_mg / MG_PER_G)}",
            f"To use it up: farspun skein close {quote(skein['name'])} --because used."
            " If there is more, weigh it.",
        )
    others = claims_on(connection, [skein["id"]]).get(skein["id"], [])
    kept_mg = sum(mass_mg for claimer, mass_mg in others if claimer != cloth_id)
    free_mg = max(0, balance_mg - kept_mg)
    if taken_mg > free_mg:
        claims = claims_said(connection, skein["id"], cloth_id)
        raise ImpossibleValue(
            "the amount",
            _with_mass(asked, taken_mg),
            f"{_free_said(free_mg)} of “{skein['name']}” is free, the rest is kept for {claims}",
            "If it is for that cloth, add --for and its name.",
        )


def _free_said(free_mg: int) -> str:
    return say_mass(free_mg / MG_PER_G) if free_mg else "nothing"


def _with_mass(asked: Amount, taken_mg: int) -> str:
    if asked.by_length:
        return f"{say_length(asked.quantity.value)} ({say_mass(taken_mg / MG_PER_G)})"
    return asked.quantity.said


def claims_said(connection: Connection, skein_id: int, but: int | None) -> str:
    """The cloths that claim the skein, as "“Shawl” (80 g) and “Cushion” (20 g)"."""
    sums: dict[int, int] = {}
    for cloth_id, mass_mg in claims_on(connection, [skein_id]).get(skein_id, []):
        if cloth_id != but:
            sums[cloth_id] = sums.get(cloth_id, 0) + mass_mg
    names = cloth_names(connection)
    return " and ".join(f"“{names[c]}” ({say_mass(mg / MG_PER_G)})" for c, mg in sums.items())
