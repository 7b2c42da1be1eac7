"""Adding a skein, and adding to what is known of one."""

import math
import re
import unicodedata
from dataclasses import dataclass
from datetime import date
from shlex import quote
from typing import Any

from sqlalchemy import Connection, RowMapping, select

from farspun.craft.breeds import breeds_in
from farspun.craft.fibres import blend
from farspun.errors import ImpossibleValue, UnreadableValue, WrongUse
from farspun.services.balance import refuse_closed, weigh_in
from farspun.services.readings import MG_PER_G, Measured, Reading, readings, remarks, weighed
from farspun.services.showing import ShownWhole, shown_whole
from farspun.services.spun_for import SpunFor, open_cloth, spun_for
from farspun.services.weighing_again import ask_whether_used
from farspun.services.writing import Deed, doing, rehearsing
from farspun.store import ledger
from farspun.store.engine import Stash, reading
from farspun.store.estimates import recompute
from farspun.store.skeins import (
    add_evidence,
    add_skein,
    change_skein,
    evidence_with_pulls,
    last_mass_mg,
    named,
    skein_named,
)
from farspun.store.tables import estimate
from farspun.units import Quantity, skein_name
from farspun.units.number import shown as shortly

FINEST_TEX, COARSEST_TEX = 50.0, 5000.0  # of handspun; judgement: cobweb lace, thick rug yarn
LONGEST_ROUND_M = 10.0  # judgement: no reel or pair of chairs is as far round
MOST_PLIES = 100  # judgement
USUAL_PLIES = 12  # of handspun; judgement: more are asked about
MOST_CHARACTERS = 2000  # of a note; judgement
BY_GRIST = "its length at its grist; not weighed"
DATE = re.compile(r"[0-9]{4}(-[0-9]{2}(-[0-9]{2})?)?")


@dataclass(frozen=True, slots=True)
class Description:
    """What she says of a skein; not said means wool, handspun, semi draw (mill: worsted)."""

    name: str
    fibre: str = "wool"
    plies: int | None = None
    draw: str | None = None
    twist: str | None = None
    superwash: bool = False
    mill: bool = False
    rebuy: Quantity | None = None
    wrap: str | None = None
    colour: str | None = None
    spun: str | None = None
    place: str | None = None
    note: str | None = None
    tug: str | None = None


@dataclass(frozen=True, slots=True)
class Understood:
    """What was stored: each reading as (kind, said), remarks to make, what it comes to, and what
    it means for the cloth it was spun for."""

    readings: list[tuple[str, str]]
    remarks: list[str]
    skein: ShownWhole
    fit: SpunFor | None = None


def add(
    stash: Stash,
    description: Description,
    measured: Measured,
    cloth: str | None = None,
    side: str | None = None,
) -> Understood:
    """Add a skein with what was measured of it; `cloth`: the one it was spun for, `side`: its warp
    or weft, where she knows which.

    Raises ImpossibleValue for a name taken, a blend, reading or date that cannot be, and for a
    cloth or side that needs no yarn any more; NotFound for one that is not there.
    """
    described, name = described_columns(description), skein_name(description.name)
    fibre = blend(described["fibre"])
    taken = readings(measured, fibre.main)
    with doing(stash, "skein add", _said(name, taken)) as deed:
        shown, fit = _added(deed, name, described, taken, cloth, side)
    springy = fibre.elastic and not description.superwash
    told = [
        *_breeds(description),
        *remarks(measured, springy, metres=True),
        *_out_of_the_way(shown),
    ]
    return Understood(_pairs(taken), told, shown, fit)


def try_add(stash: Stash, description: Description, measured: Measured) -> Understood:
    """What a skein would come to; nothing is stored. Raises as `add`."""
    described, name = described_columns(description), skein_name(description.name)
    fibre = blend(described["fibre"])
    taken = readings(measured, fibre.main)
    with rehearsing(stash, "skein add") as deed:
        shown, _ = _added(deed, name, described, taken, None)
    springy = fibre.elastic and not description.superwash
    told = [
        *_breeds(description),
        *remarks(measured, springy, metres=True),
        *_out_of_the_way(shown),
    ]
    return Understood(_pairs(taken), told, shown)


def _breeds(described: Description) -> list[str]:
    """Breeds that are read as wool and stand nowhere else in what is said of the skein."""
    elsewhere = f"{described.name} {described.note or ''}".casefold()
    return [
        f"{one} is read as wool, and the breed is not kept: write it into the note."
        for one in dict.fromkeys(breeds_in(described.fibre))
        if one.casefold() not in elsewhere
    ]


def _added(
    deed: Deed,
    name: str,
    described: dict[str, Any],
    taken: list[Reading],
    cloth: str | None,
    side: str | None = None,
) -> tuple[ShownWhole, SpunFor | None]:
    """A new skein with its readings, and what it means for the cloth it was spun for."""
    refuse_taken_name(deed.connection, name)
    plan = None if cloth is None else open_cloth(deed.connection, cloth)
    skein_id = add_skein(deed.connection, deed.action_id, name, **described)
    _store(deed, skein_id, taken)
    recompute(deed.connection)
    _make_balance(deed, skein_id, None, taken)
    fit = None if plan is None else spun_for(deed, name, plan, side)
    return shown_whole(deed.connection, name), fit


def measure(
    stash: Stash,
    name: str,
    measured: Measured,
    wrap: str | None = None,
    tug: str | None = None,
    sure: bool = True,
) -> Understood:
    """Add readings to a skein, or what it did when tugged. A mass is of what is left of it.

    Raises NotFound; WrongUse where nothing is given; ImpossibleValue; ToConfirm for a mass below
    the last one where she is not `sure`.
    """
    with reading(stash) as connection:
        fibre = blend(skein_named(connection, name)["fibre"])
    taken = readings(measured, fibre.main)
    if not taken and tug is None:
        raise WrongUse("Nothing was measured.", "Add --mass, --length, --test-length or --wpi.")
    with doing(stash, "skein measure", _said(name, taken, tug)) as deed:
        skein = skein_named(deed.connection, name)
        refuse_closed(skein)
        told = remarks(measured, fibre.elastic and not skein["superwash"], metres=True)
        if measured.mass is not None and not sure:
            ask_whether_used(deed.connection, skein, weighed(measured.mass, measured.tare))
        _set_wrap(deed.connection, skein, wrap)
        if tug is not None:
            change_skein(deed.connection, skein["id"], tug=tug)
        if ledger.touched_skeins(deed.connection, [skein["id"]]):
            _refuse_whole_counts(skein, taken)
            _store(deed, skein["id"], [one for one in taken if one.kind != "weighed"])
            recompute(deed.connection)
            if measured.mass is not None:
                told += weigh_in(deed, skein, measured.mass, measured.tare)
        else:
            _store(deed, skein["id"], taken)
            recompute(deed.connection)
            _make_balance(deed, skein["id"], skein["balance_mg"], taken)
        shown = shown_whole(deed.connection, name)
    tugged = [] if tug is None else [("tug test", tug)]
    return Understood(_pairs(taken) + tugged, told, shown)


def _out_of_the_way(shown: ShownWhole) -> list[str]:
    """A word where a handspun yarn would be finer or coarser than hands spin, or of so many plies,
    with the reading that is likely the slip."""
    said = []
    if not shown.mill and shown.plies is not None and shown.plies > USUAL_PLIES:
        said.append(
            f"{shown.plies} plies are a great many for handspun: is that right? To put it right:"
            f" farspun skein change {quote(shown.name)} --plies N"
        )
    if shown.mill or shown.tex is None or FINEST_TEX <= shown.tex["p50"] <= COARSEST_TEX:
        return said
    fine = shown.tex["p50"] < FINEST_TEX
    way = "fine" if fine else "coarse"
    return [
        *said,
        f"That is very {way} for handspun ({shown.m_per_100g:.0f} m per 100 g):"
        f" {_slip(shown, fine)} To let a reading count no more: farspun skein strike"
        f" {quote(shown.name)} …",
    ]


def _slip(shown: ShownWhole, fine: bool) -> str:
    """The reading that is likely wrong, of those that were told, as a question."""
    kinds = {one.kind for one in shown.evidence}
    if "counted" in kinds:
        if fine and (once := _huge_round(shown)):
            return f"once round {once} m: were cm meant?"
        return f"is the length ten times too {'long' if fine else 'short'}, or the weight a slip?"
    named = {"test length": "the test length", "wrapped": "the wraps", "labelled": "the label"}
    told = [word for kind, word in named.items() if kind in kinds]
    if told == ["the wraps"] and shown.wpi is not None:
        meant = shown.wpi / 10 if fine else shown.wpi * 10
        return f"are the wraps a slip: were about {meant:.0f} per inch meant?"
    return f"is {' or '.join(told)} a slip?"


def _huge_round(shown: ShownWhole) -> str:
    """Once round as it was counted, where it is longer than anything yarn is wound on; else ""."""
    said = (one.said for one in shown.evidence if one.kind == "counted")
    found = (re.search(r"× ([\d.]+) m =", one) for one in said)
    return next((one[1] for one in found if one and float(one[1]) > LONGEST_ROUND_M), "")


def _pairs(taken: list[Reading]) -> list[tuple[str, str]]:
    return [(reading.kind, reading.said) for reading in taken]


def _said(name: str, taken: list[Reading], tug: str | None = None) -> str:
    tugged = [] if tug is None else [f"tug test {tug}"]
    return "; ".join([name, *(f"{reading.kind} {reading.said}" for reading in taken), *tugged])


def _store(deed: Deed, skein_id: int, taken: list[Reading]) -> None:
    for one in taken:
        values = one.values | {"written": one.written}
        add_evidence(deed.connection, deed.action_id, skein_id, one.kind, one.said, **values)


def _make_balance(deed: Deed, skein_id: int, before_mg: int | None, taken: list[Reading]) -> None:
    """What an untouched skein weighs: as weighed last, else its length at its likeliest grist.

    Where nothing speaks of the grist that mass is a guess, and never shown; but cloths claim their
    shares of it, so that the same metre is not promised twice.
    """
    masses = [one for one in taken if one.kind == "weighed"]
    if masses:
        balance_mg, said = masses[-1].values["mass_mg"], masses[-1].said
    else:
        by_length_mg = balance_from_length(deed.connection, skein_id)
        if by_length_mg is None or last_mass_mg(deed.connection, skein_id) is not None:
            return
        balance_mg, said = by_length_mg, BY_GRIST
    if balance_mg != before_mg:
        kind = "made" if before_mg is None else "evidence"
        ledger.add_entry(
            deed.connection, deed.action_id, skein_id, kind, balance_mg - (before_mg or 0), said
        )


def balance_from_length(connection: Connection, skein_id: int) -> int | None:
    """A whole skein's length at its likeliest grist, mg; None where its length is not known."""
    known = connection.execute(
        select(estimate.c.ln_length, estimate.c.ln_tex).where(
            estimate.c.skein_id == skein_id, estimate.c.length_known
        )
    ).one_or_none()
    return None if known is None else max(1, round(math.exp(known.ln_length + known.ln_tex)))


def refuse_taken_name(connection: Connection, name: str) -> None:
    """Raises ImpossibleValue where a skein has that name."""
    there = named(connection, name)
    if there is not None:
        raise ImpossibleValue(
            "the name",
            f"“{name}”",
            f"there is a skein called “{there['name']}” already",
            "Choose another name, or add to that one: farspun skein measure"
            f" {quote(there['name'])} …",
        )


def _set_wrap(connection: Connection, skein: RowMapping, wrap: str | None) -> None:
    """A skein is wrapped one way: readings made snug and loose do not mix."""
    if wrap is None or wrap == skein["wrap"]:
        return
    kinds = {kind for _, kind, _, _ in evidence_with_pulls(connection, skein["id"])}
    if "wrapped" in kinds:
        before = skein["wrap"] or "in a way not said"
        raise ImpossibleValue(
            "--wrap",
            wrap,
            f"“{skein['name']}” was wrapped {before} before, and the two do not mix",
            f"To say how all of them were made: farspun skein change {quote(skein['name'])}"
            f" --wrap {wrap}",
        )
    change_skein(connection, skein["id"], wrap=wrap)


def _refuse_whole_counts(skein: RowMapping, taken: list[Reading]) -> None:
    """A count is of the whole skein."""
    for one in taken:
        if one.kind == "counted":
            raise ImpossibleValue(
                "a count",
                one.said,
                f"yarn was taken from “{skein['name']}”, and a count is of the whole skein",
                f"Weigh what is left: farspun skein weigh {quote(skein['name'])} MASS",
            )


def described_columns(given: Description) -> dict[str, Any]:
    """The columns of a skein. Raises ImpossibleValue, UnreadableValue, NotFound, WrongUse."""
    if given.rebuy is not None and not given.mill:
        raise WrongUse("--rebuy is for mill yarn.", "Add --mill, or leave --rebuy out.")
    if given.plies is not None:
        refuse_too_many(given.plies)
    return {
        "fibre": blend(given.fibre).said,
        "plies": given.plies,
        "draw": given.draw or ("worsted" if given.mill else "semi"),
        "twist": given.twist,
        "superwash": given.superwash,
        "mill": given.mill,
        "rebuy_mg": None if given.rebuy is None else max(1, round(given.rebuy.value * MG_PER_G)),
        "rebuy_said": None if given.rebuy is None else given.rebuy.said,
        "wrap": given.wrap,
        "colour": tidy_text("colour", given.colour),
        "spun": tidy_date(given.spun),
        "place": tidy_text("place", given.place),
        "note": tidy_text("note", given.note),
        "tug": given.tug,
    }


def refuse_too_many(plies: int) -> None:
    """Raises ImpossibleValue for more plies than a yarn has."""
    if not plies <= MOST_PLIES:
        raise ImpossibleValue("plies", str(plies), f"from 1 to {MOST_PLIES}")


def tidy_text(what: str, given: str | None) -> str | None:
    """Her words, trimmed and composed; on one line."""
    if given is None or not given.strip():
        return None
    text = unicodedata.normalize("NFC", given).strip()
    if any(unicodedata.category(sign) in ("Cc", "Cs", "Zl", "Zp") for sign in text):
        raise UnreadableValue(
            what, shortly(text), "it holds a control character", "Write it on one line."
        )
    if len(text) > MOST_CHARACTERS:
        raise ImpossibleValue(what, f"{len(text)} characters long", f"at most {MOST_CHARACTERS}")
    return text


def tidy_date(given: str | None) -> str | None:
    """A year, a month or a day, as 2024, 2024-05 or 2024-05-31."""
    if given is None:
        return None
    text = given.strip()
    try:
        if not DATE.fullmatch(text):
            raise ValueError
        date.fromisoformat(text + "-01-01"[len(text) - 4 :])
    except ValueError:
        raise UnreadableValue(
            "spun", shortly(given), "it is not a date", "Write 2024-05-31, 2024-05 or 2024."
        ) from None
    return text
