"""Putting right what was typed wrong: what she says of a skein, and a reading that was a slip.

Nothing is wiped out: a reading that was struck out stays in the history, and `farspun undo` makes
it count again.
"""

from collections.abc import Mapping
from shlex import quote
from typing import Any

from sqlalchemy import Connection, RowMapping, insert

from farspun.errors import ImpossibleValue, NotFound, WrongUse
from farspun.services.orders import rename_in_orders
from farspun.services.readings import MG_PER_G
from farspun.services.showing import ShownWhole, shown_whole
from farspun.services.skeins import (
    Description,
    balance_from_length,
    described_columns,
    refuse_taken_name,
)
from farspun.services.writing import Deed, doing
from farspun.store import ledger
from farspun.store.engine import Stash
from farspun.store.estimates import recompute
from farspun.store.skeins import (
    change_skein,
    last_mass_mg,
    readings_that_stand,
    skein_named,
)
from farspun.store.tables import struck
from farspun.units import name_key, say_mass, skein_name


def describe_anew(stash: Stash, name: str, said: Mapping[str, Any]) -> ShownWhole:
    """Change what she says of a skein; `said` holds fields of Description, those to change only.

    An empty text takes it away. Raises NotFound, WrongUse where nothing is said, ImpossibleValue.
    """
    if not said:
        raise WrongUse("Nothing to change was given.", "Give --name, --fibre, --plies, --note …")
    with doing(stash, "skein change", f"{name.strip()}: {_words(said)}") as deed:
        before = skein_named(deed.connection, name)
        columns = described_columns(_described(before, said))
        kept = {key: columns[key] for key in columns if key in _touched(said)}
        if "name" in said:
            wanted = skein_name(said["name"])
            if name_key(wanted) != before["name_key"]:
                refuse_taken_name(deed.connection, wanted)
            kept |= {"name": wanted, "name_key": name_key(wanted)}
        change_skein(deed.connection, before["id"], **kept)
        if "name" in kept:
            rename_in_orders(deed.connection, before["id"], before["name"], kept["name"])
        recompute(deed.connection)
        _weigh_by_length(deed, before)
        return shown_whole(deed.connection, kept.get("name", before["name"]))


def strike(stash: Stash, name: str, said: str) -> ShownWhole:
    """Let a reading count no more: the one that was told so (“4.1 oz”, “15 wpi”).

    Raises NotFound for a skein or reading, WrongUse where several are meant, ImpossibleValue where
    nothing would tell any more how much there is.
    """
    with doing(stash, "skein strike", f"{name.strip()}: {said.strip()}") as deed:
        skein = skein_named(deed.connection, name)
        evidence_id, kind = _meant(deed.connection, skein, said)
        mass_mg = last_mass_mg(deed.connection, skein["id"])
        deed.connection.execute(
            insert(struck).values(action_id=deed.action_id, evidence_id=evidence_id)
        )
        recompute(deed.connection)
        if kind == "weighed":
            _weigh_anew(deed, skein, mass_mg)
        else:
            _weigh_by_length(deed, skein)
        return shown_whole(deed.connection, skein["name"])


def _words(said: Mapping[str, Any]) -> str:
    shown = {key: getattr(value, "said", value) for key, value in said.items()}
    words = {key: "taken away" if value in (None, "") else value for key, value in shown.items()}
    return ", ".join(f"{key} {value}" for key, value in words.items())


def _touched(said: Mapping[str, Any]) -> set[str]:
    """Columns that follow from what was said."""
    found = {key for key in said if key not in ("name", "rebuy")}
    if "rebuy" in said or said.get("mill") is False:
        found |= {"rebuy_mg", "rebuy_said"}
    return found


def _described(before: RowMapping, said: Mapping[str, Any]) -> Description:
    """The skein as it will be; what follows from others is left to `described_columns`."""
    own = ("name", "fibre", "plies", "draw", "twist", "superwash", "mill", "wrap", "colour",
           "spun", "place", "note", "tug")  # fmt: skip
    values = {key: before[key] for key in own} | dict(said)
    if "spun" in said and not str(said["spun"]).strip():
        values["spun"] = None
    return Description(**values)


def _meant(connection: Connection, skein: RowMapping, said: str) -> tuple[int, str]:
    """The reading told so: word for word, else the only one that holds these words."""
    found = readings_that_stand(connection, skein["id"])
    wanted = _plain(said)
    exact = [one for one in found if _plain(one[2]) == wanted]
    near = [one for one in found if wanted and wanted in _plain(one[2])]
    if not exact and not near:
        known = [text for _, _, text in found]
        listed = ", ".join(f"“{text}”" for text in known) or "none"
        raise NotFound(
            f"reading of “{skein['name']}”", said.strip(), known, f"Those that count: {listed}."
        )
    if not exact and len({text for _, _, text in near}) > 1:
        listed = ", ".join(f"“{text}”" for _, _, text in near)
        raise WrongUse(f"“{said.strip()}” may be {listed}.", "Say all of the one you mean.")
    number, kind, _ = (exact or near)[-1]
    return number, kind


def _plain(text: str) -> str:
    return "".join(text.casefold().split())


def _weigh_anew(deed: Deed, skein: RowMapping, before_mg: int | None) -> None:
    """The balance follows the mass that counts now; a later weighing stays what it is."""
    after_mg = last_mass_mg(deed.connection, skein["id"])
    if ledger.was_weighed_later(deed.connection, skein["id"]) or before_mg is None:
        return
    if after_mg is None:
        taken_from = ledger.touched_skeins(deed.connection, [skein["id"]])
        by_length_mg = None if taken_from else balance_from_length(deed.connection, skein["id"])
        if by_length_mg is None:
            raise ImpossibleValue(
                "that reading",
                "struck out",
                f"nothing else tells how much there is of “{skein['name']}”",
                f"Weigh it right first: farspun skein weigh {quote(skein['name'])} MASS",
            )
        after_mg = by_length_mg
    _adjust(deed, skein, after_mg - before_mg)


def _weigh_by_length(deed: Deed, before: RowMapping) -> None:
    """A skein that was never weighed holds its length at its grist, which may be another now."""
    skein_id = before["id"]
    if last_mass_mg(deed.connection, skein_id) is not None or before["balance_mg"] is None:
        return
    if ledger.touched_skeins(deed.connection, [skein_id]) or before["status"] == "closed":
        return
    by_length_mg = balance_from_length(deed.connection, skein_id)
    if by_length_mg is None:
        raise ImpossibleValue(
            "that reading",
            "struck out",
            f"nothing else tells how much there is of “{before['name']}”",
            "Measure it right first: farspun skein measure",
        )
    _adjust(deed, before, by_length_mg - before["balance_mg"])


def _adjust(deed: Deed, skein: RowMapping, by_mg: int) -> None:
    if not by_mg:
        return
    left_mg = (skein["balance_mg"] or 0) + by_mg
    if left_mg < 0:
        raise ImpossibleValue(
            "that reading",
            "struck out",
            f"more was taken from “{skein['name']}” than there would be"
            f" ({say_mass(-left_mg / MG_PER_G)} more)",
            f"Weigh what is left first: farspun skein weigh {quote(skein['name'])} MASS",
        )
    ledger.add_entry(
        deed.connection, deed.action_id, skein["id"], "evidence", by_mg, "a slip put right"
    )
