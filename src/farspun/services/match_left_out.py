"""What a search for yarns passes over: skeins of unknown length, and those nearer in colour that
the list cuts off."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

import numpy as np
from sqlalchemy import Connection

from farspun.craft.candidates import Bools, Ints
from farspun.craft.optical_mix import likeness_words
from farspun.services.match_rows import Table, length_told
from farspun.store.shelf import Shelf
from farspun.store.skeins import names_of

NAMED = 5  # skeins named that were not looked at; judgement: the rest are counted
NEARER = 3  # yarns named that are nearer in colour; judgement


@dataclass(frozen=True, slots=True)
class Unknown:
    """A skein that was not looked at because its length is not known, and what would tell it."""

    skein: str
    why: str


@dataclass(frozen=True, slots=True)
class Nearer:
    """A yarn nearer in colour than the first one told, that the list cuts off.

    `likeness` in ΔE2000; `odds` None where it cannot be set up.
    """

    rank: int
    skeins: list[str]
    likeness: float
    odds: float | None


def unknown_length(
    connection: Connection, shelf: Shelf, others: Bools
) -> tuple[int, list[Unknown]]:
    """How many of these skeins have no known length; and the first of them, with their reasons."""
    at = np.flatnonzero(others & ~length_told(shelf))
    ids = shelf.ids[at[:NAMED]].tolist()
    names = names_of(connection, ids)
    told = zip(ids, at[:NAMED].tolist(), strict=True)
    return len(at), [Unknown(names[one], why_unknown(shelf, row)) for one, row in told]


def why_unknown(shelf: Shelf, row: int) -> str:
    """Why the length of that row is not known, and what to do."""
    if not shelf.flags["length_known"][row]:
        return "weigh it first"
    if not shelf.flags["tex_known"][row]:
        return "only weighed; weigh a test length or wrap it"
    return "hardly known; weigh a test length"


def apart(found: Table) -> np.ndarray:
    """ΔE2000 of every row from what is to be like, (n,); NaN where its shade is not known."""
    return np.asarray(found.wishes[0])


def nearer(found: Table, place: Ints, told: int) -> Iterator[tuple[int, int, float]]:
    """Rank, row and ΔE2000 of what is cut off after the first `told` and is nearer than the first.

    Only where the order goes by a likeness. The nearest first; of one colour, the better place.
    """
    if found.colours.wish.like is None or not len(place):
        return
    whole = np.round(apart(found))
    first = whole[place[0]]
    cut = [
        (rank, int(row))
        for rank, row in enumerate(place.tolist(), start=1)
        if rank > told and (whole[row] < first or (np.isnan(first) and np.isfinite(whole[row])))
    ]
    cut.sort(key=lambda one: whole[one[1]])
    for rank, row in cut[:NEARER]:
        yield rank, row, float(apart(found)[row])


def as_nearer(
    found: Table, row: int, rank: int, likeness: float, names: Mapping[int, str]
) -> Nearer:
    """One of those, with its names."""
    odds = float(found.odds[row])
    skeins = [names[one] for one in found.skeins(row)]
    return Nearer(rank, skeins, likeness, odds if odds == odds else None)


def far_off(found: Table, row: int) -> float | None:
    """ΔE2000 of the first row where it is another colour than the one wished for; else None."""
    if found.colours.wish.like is None:
        return None
    value = float(apart(found)[row])
    return value if value == value and likeness_words(value) == "another colour" else None
