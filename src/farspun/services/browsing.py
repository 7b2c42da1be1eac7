"""The stash a page at a time: searched, filtered, in the order of names."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from itertools import groupby
from math import log

from sqlalchemy import Connection, func, select

from farspun.services.doubts import disagreements
from farspun.services.history import Line, lines_of
from farspun.services.showing import Z95, Shown, ShownWhole, shown_rows, shown_whole
from farspun.services.wording_skein import HARDLY_KNOWN
from farspun.store.claims import claims_on
from farspun.store.engine import Stash, reading
from farspun.store.rows import in_sight
from farspun.store.since import newest_action
from farspun.store.skeins import in_order, skein_named, summaries_of
from farspun.store.tables import action, claim, estimate, skein

PAGE = 40  # skeins on a page
MADE = "made"  # the line of the ledger that a skein begins with


@dataclass(frozen=True, slots=True)
class Title:
    """A skein as the search sees it; `unfit`: what was taken and weighed does not fit together."""

    skein_id: int
    text: str
    closed: bool
    free: bool
    doubtful: bool
    used_up: bool = False
    unfit: bool = False


FILTERS: Mapping[str, Callable[[Title], bool]] = {
    "open": lambda one: not one.closed and not one.used_up,
    "free": lambda one: one.free and not one.closed,
    "doubtful": lambda one: (one.doubtful or one.unfit) and not one.closed,
    "used": lambda one: one.used_up and not one.closed,
    "closed": lambda one: one.closed,
    "all": lambda one: True,
}


@dataclass(frozen=True, slots=True)
class Shelf:
    """One page: its skeins, how many were found and how many there are in all; pages from 1.

    `used_up`: how many are still open of which nothing is left; `unfit`: those of the page where
    what was taken and weighed does not fit together, by name."""

    skeins: list[Shown]
    found: int
    in_all: int
    page: int
    pages: int
    newest: int
    used_up: int = 0
    unfit: frozenset[str] = frozenset()


def browse(stash: Stash, search: str = "", which: str = "open", page: int = 1) -> Shelf:
    """Skeins whose name, colour note, fibre, place or note holds every word of `search`.

    `which` is one of FILTERS; a page beyond the last is the last.
    """
    with reading(stash) as connection:
        newest = newest_action(connection)
        titles = _titles(connection, stash, newest)
        words, fits = search.casefold().split(), FILTERS.get(which, FILTERS["open"])
        found = [one for one in titles if fits(one) and all(word in one.text for word in words)]
        pages = max(1, -(-len(found) // PAGE))
        page = min(max(1, page), pages)
        here = found[(page - 1) * PAGE : page * PAGE]
        ids = [one.skein_id for one in here]
        rows = shown_rows(
            summaries_of(connection, ids),
            claims_on(connection, ids),
            disagreements(connection, ids),
        )
        used_up = sum(FILTERS["used"](one) for one in titles)
        both = zip(rows, here, strict=True)  # in the same order
        unfit = frozenset(row.name for row, one in both if one.unfit)
        return Shelf(rows, len(found), len(titles), page, pages, newest, used_up, unfit)


@dataclass(frozen=True, slots=True)
class Looked:
    """A skein with its history, and the newest action when it was looked at."""

    skein: ShownWhole
    lines: list[Line]
    newest: int


def look_at(stash: Stash, name: str) -> Looked:
    """A skein and everything that happened to it. Raises NotFound."""
    with reading(stash) as connection:
        newest = newest_action(connection)
        shown = shown_whole(connection, name)
        lines = lines_of(connection, skein_named(connection, name)["id"])
        return Looked(shown, _made_first(lines), newest)


def _made_first(lines: list[Line]) -> list[Line]:
    """What a skein held at first, before the readings of the same moment that told it."""
    moments = (list(own) for _, own in groupby(lines, key=lambda one: one.at))
    return [one for own in moments for one in sorted(own, key=lambda line: line.what != MADE)]


def skein_names(stash: Stash, most: int) -> list[str]:
    """The names of all open skeins, in order; none where they are more than `most`."""
    with reading(stash) as connection:
        query = select(skein.c.name).where(in_sight(skein), skein.c.status == "open")
        names = list(connection.execute(query.limit(most + 1)).scalars())
        return sorted(names, key=in_order) if len(names) <= most else []


# of the stash read last: put together anew when an action was added
_KEPT: dict[str, tuple[tuple[int, str | None], list[Title]]] = {}


def _titles(connection: Connection, stash: Stash, newest: int) -> list[Title]:
    at = connection.execute(select(action.c.at).where(action.c.id == newest)).scalar()
    kept = _KEPT.get(stash.where)
    if kept is not None and kept[0] == (newest, at):
        return kept[1]
    titles = _read_titles(connection)
    _KEPT.clear()
    _KEPT[stash.where] = ((newest, at), titles)
    return titles


def _read_titles(connection: Connection) -> list[Title]:
    claims = select(claim.c.skein_id, func.sum(claim.c.mass_mg)).group_by(claim.c.skein_id)
    claimed = {row[0]: row[1] for row in connection.execute(claims)}
    query = (
        select(
            skein.c.id,
            skein.c.name,
            skein.c.colour,
            skein.c.fibre,
            skein.c.place,
            skein.c.note,
            skein.c.status,
            skein.c.balance_mg,
            estimate.c.length_known,
            estimate.c.now_sd_ln,
            estimate.c.forgotten_take,
            estimate.c.conflict.is_not(None),
        )
        .join_from(skein, estimate, skein.c.id == estimate.c.skein_id)
        .where(in_sight(skein))
    )
    rows = sorted(connection.execute(query).all(), key=lambda row: in_order(row[1]))
    return [
        Title(
            skein_id=number,
            text="\n".join(part for part in texts if part).casefold(),
            closed=status == "closed",
            free=known and (balance_mg or 0) > claimed.get(number, 0),
            used_up=balance_mg == 0,
            unfit=bool(unfit),
            doubtful=doubted or not known or 2 * Z95 * (sd_ln or 0.0) > log(HARDLY_KNOWN),
        )
        for number, *texts, status, balance_mg, known, sd_ln, unfit, doubted in rows
    ]
