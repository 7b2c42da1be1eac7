"""Sharing out as a page shows it: worked out once for a state of the stash, and kept as shown."""

from collections import OrderedDict
from hashlib import sha256
from threading import Lock

from sqlalchemy import select

from farspun.errors import ChangedMeanwhile, WrongUse
from farspun.services.share_answers import Shared
from farspun.services.sharing_out import keep_shares, share_out
from farspun.services.since import refuse_if_changed
from farspun.services.wording_share import losses_said
from farspun.store.engine import Stash, reading
from farspun.store.since import newest_action
from farspun.store.tables import action

MOST_KEPT = 8  # answers of one state, by the promise asked; judgement

_State = tuple[str, int, str | None]
_KEPT: OrderedDict[tuple[_State, float | None], Shared] = OrderedDict()
_LOCK = Lock()  # whoever asks for the same meanwhile waits for it


def shared_out(stash: Stash, promise: float | None = None) -> Shared:
    """As `share_out`; what was worked out is kept until something is stored."""
    with _LOCK:
        key = _state(stash), promise
        if key not in _KEPT:
            found = share_out(stash, promise)
            if found.newest != key[0][1]:  # something was stored in between
                return found
            _KEPT[key] = found
            while len(_KEPT) > MOST_KEPT:
                _KEPT.popitem(last=False)
        return _KEPT[key]


def _state(stash: Stash) -> _State:
    with reading(stash) as connection:
        newest = newest_action(connection)
        at = connection.execute(select(action.c.at).where(action.c.id == newest)).scalar()
        return stash.where, newest, at


def told_apart(shared: Shared) -> str:
    """A short text that is another where other claims would be kept."""
    return sha256(repr(sorted(shared.claims_mg.items())).encode()).hexdigest()[:16]


def keep_shown(stash: Stash, promise: float | None, shown: str, let_go: bool) -> Shared:
    """Make the sharing that was `shown` (as `told_apart` tells) the claims of the cloths.

    `let_go`: whether she agreed that cloths lose yarn by it. Raises ChangedMeanwhile where sharing
    out comes to something else now, or the stash changed; WrongUse where she did not agree.
    """
    with reading(stash) as connection:
        refuse_if_changed(connection)  # before it is worked out anew, which takes a while
    shared = shared_out(stash, promise)
    if told_apart(shared) != shown:
        raise ChangedMeanwhile(
            "Sharing out comes to something else than this page showed.",
            "Nothing was stored. Look at it as it is now, and keep that if you like it.",
        )
    if shared.losing and not let_go:
        error = WrongUse(
            f"By these shares cloths let go of yarn: {losses_said(shared)}.",
            "Nothing was stored. Say that they may, or leave all as it is.",
        )
        error.boxes = {"sure": f"Tick this if it may be so. Let go of: {losses_said(shared)}."}
        raise error
    keep_shares(stash, shared)
    return shared
