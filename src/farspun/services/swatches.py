"""The colours of skeins by name, as a small swatch beside the name shows them."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from sqlalchemy import select

from farspun.craft.colour_notes import yarn_colour
from farspun.pictures.shades import parts_of
from farspun.store.engine import Stash, reading
from farspun.store.rows import in_sight
from farspun.store.tables import skein


@dataclass(frozen=True, slots=True)
class Patch:
    """A shade of a swatch as #rrggbb: where it begins and how wide it is, parts of the whole."""

    shade: str
    start: float
    width: float


@dataclass(frozen=True, slots=True)
class Swatch:
    """The colour note of a skein and its shades side by side; none where it tells no shade."""

    note: str
    patches: tuple[Patch, ...]


def swatches(stash: Stash, names: Sequence[str]) -> dict[str, Swatch]:
    """The swatch of each skein that is there, by name."""
    query = select(skein.c.name, skein.c.colour).where(in_sight(skein), skein.c.name.in_(names))
    with reading(stash) as connection:
        return {row.name: swatch(row.colour) for row in connection.execute(query)}


@lru_cache(maxsize=4096)  # the same skeins are looked at page after page
def swatch(note: str | None) -> Swatch:
    """What a colour note looks like.

    >>> swatch("#a0522d").patches
    (Patch(shade='#a0522d', start=0.0, width=1.0),)
    >>> swatch(None)
    Swatch(note='', patches=())
    """
    colour = yarn_colour(note)
    if not colour.stretches:
        return Swatch(note or "", ())
    patches: list[Patch] = []
    start = 0.0
    for shade, width in parts_of(colour):
        patches.append(Patch(shade, start, width))
        start += width
    return Swatch(note or "", tuple(patches))
