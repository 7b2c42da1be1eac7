"""Closing a skein that is used up, given away or lost, and opening it again."""

from shlex import quote
from typing import Literal

from sqlalchemy import delete

from farspun.errors import ImpossibleValue, ToConfirm
from farspun.services.balance import Moved, claims_said, look_up, refuse_closed
from farspun.services.readings import MG_PER_G
from farspun.services.showing import shown_whole
from farspun.services.writing import doing
from farspun.store import ledger
from farspun.store.engine import Stash
from farspun.store.estimates import recompute
from farspun.store.skeins import change_skein, skein_named
from farspun.store.tables import claim

Reason = Literal["used", "given", "sold", "lost", "spoiled"]


def close(stash: Stash, name: str, because: Reason, sure: bool = True) -> Moved:
    """Close a skein: nothing is left of it for her. It keeps its history, and its name.

    Raises NotFound; ImpossibleValue where it is closed already; ToConfirm where cloths keep yarn of
    it and she is not `sure`: their claims on it end.
    """
    look_up(stash, name)
    with doing(stash, "skein close", f"{name}: {because}") as deed:
        skein = skein_named(deed.connection, name)
        refuse_closed(skein)
        claims = claims_said(deed.connection, skein["id"], None)
        if claims and not sure:
            raise ToConfirm(
                "the skein",
                "closed",
                f"“{skein['name']}” is kept for {claims}; closed, that yarn is missing there.",
            )
        left_mg = skein["balance_mg"] or 0
        deed.connection.execute(delete(claim).where(claim.c.skein_id == skein["id"]))
        ledger.add_entry(deed.connection, deed.action_id, skein["id"], "closed", -left_mg, because)
        change_skein(deed.connection, skein["id"], status="closed", closed_because=because)
        recompute(deed.connection)
        shown = shown_whole(deed.connection, name)
    told = [f"It was kept for {claims}: that yarn is missing there now."] if claims else []
    return Moved(-left_mg / MG_PER_G, told, shown)


def reopen(stash: Stash, name: str) -> Moved:
    """Open a closed skein again: what was left of it when it was closed is there again.

    Raises NotFound; ImpossibleValue where it is open.
    """
    look_up(stash, name)
    with doing(stash, "skein reopen", name.strip()) as deed:
        skein = skein_named(deed.connection, name)
        if skein["status"] != "closed":
            raise ImpossibleValue(
                f"“{skein['name']}”",
                "opened again",
                "it is open",
                f"Nothing is to be done: farspun skein show {quote(skein['name'])}",
            )
        back_mg = ledger.closed_with_mg(deed.connection, skein["id"])
        if back_mg:
            ledger.add_entry(
                deed.connection, deed.action_id, skein["id"], "evidence", back_mg, "opened again"
            )
        change_skein(deed.connection, skein["id"], status="open", closed_because=None)
        recompute(deed.connection)
        shown = shown_whole(deed.connection, name)
    return Moved(back_mg / MG_PER_G, [], shown)
