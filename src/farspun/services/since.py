"""A form drawn from an earlier state of the stash: what changed meanwhile is told before it counts.

Whoever shows pages says, around a command, from which state the page was drawn (`as_drawn`); the
command's own transaction then looks whether the thing is still as it was shown.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass
from datetime import datetime
from typing import Literal

from sqlalchemy import Connection

from farspun.errors import ChangedMeanwhile
from farspun.store import since
from farspun.store.cloths import cloth_names
from farspun.store.engine import Stash, reading
from farspun.store.since import Done
from farspun.store.skeins import named
from farspun.units import name_key

Kind = Literal["skein", "cloth", "looms", "stash"]
WHOLE: dict[Kind, str] = {"looms": "The looms and reeds", "stash": "The stash"}
MOST_TOLD = 3  # of what changed; judgement


@dataclass(frozen=True, slots=True)
class Drawn:
    """What a page showed: a skein or cloth by name, the looms, or the whole stash; and the newest
    action then."""

    kind: Kind
    name: str
    newest: int


_DRAWN: ContextVar[Drawn | None] = ContextVar("drawn", default=None)


def newest_action(stash: Stash) -> int:
    """The newest action of the stash; 0 where nothing was ever stored."""
    with reading(stash) as connection:
        return since.newest_action(connection)


@contextmanager
def as_drawn(drawn: Drawn | None) -> Iterator[None]:
    """Commands carried out inside are refused where the thing changed since it was drawn."""
    token = _DRAWN.set(drawn)
    try:
        yield
    finally:
        _DRAWN.reset(token)


def refuse_if_changed(connection: Connection) -> None:
    """Raises ChangedMeanwhile, inside the transaction of the command that is to be carried out."""
    drawn = _DRAWN.get()
    if drawn is None:
        return
    done = _done(connection, drawn)
    if not done:
        return
    told = "; ".join(_told(one) for one in done[:MOST_TOLD])
    more = f"; and {len(done) - MOST_TOLD} more" if len(done) > MOST_TOLD else ""
    what = WHOLE.get(drawn.kind, f"“{drawn.name.strip()}”")
    raise ChangedMeanwhile(
        f"{what} changed after this page was drawn: {told}{more}.",
        "Nothing was stored. Look at it as it is now, and send again what still holds.",
    )


def _done(connection: Connection, drawn: Drawn) -> list[Done]:
    if drawn.kind == "looms":
        return since.done_to_looms(connection, drawn.newest)
    if drawn.kind == "stash":
        return since.done_to_stash(connection, drawn.newest)
    if drawn.kind == "skein":
        skein = named(connection, drawn.name)
        return [] if skein is None else since.done_to_skein(connection, skein["id"], drawn.newest)
    found = [
        cloth_id
        for name, cloth_id in cloth_names(connection).items()
        if name_key(name) == name_key(drawn.name)
    ]
    return since.done_to_cloth(connection, found[0], drawn.newest) if found else []


def _told(one: Done) -> str:
    """ "14:02 skein weigh, Gorse: 71 g"."""
    clock = datetime.fromisoformat(one.at).astimezone().strftime("%H:%M")
    return f"{clock} {one.command}, {one.said}" if one.said else f"{clock} {one.command}"
