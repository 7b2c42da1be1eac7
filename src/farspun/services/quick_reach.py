"""The quick question: will these skeins weave a piece of that size. Nothing is stored."""

from dataclasses import replace

from farspun.errors import WrongUse
from farspun.services.answers import Check
from farspun.services.checking import checked
from farspun.services.cloth_asked import ClothAsked
from farspun.services.planning import planned
from farspun.store.engine import Stash, reading


def quick_reach(stash: Stash, asked: ClothAsked) -> Check:
    """Weft skeins alone with a sett: only the weft is asked; with neither sett nor warp, one yarn
    serves both sides and the split is told. Raises as `planned`.
    """
    if not asked.weft:
        raise WrongUse("No skein was named.", "Name the weft: farspun reach SKEIN --size …")
    if not asked.names("warp") and asked.sett_per_cm is None:
        asked = replace(asked, warp=asked.weft)
    with reading(stash) as connection:
        return checked(connection, planned(connection, asked))
