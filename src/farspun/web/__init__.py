"""The pages: the services again, for a browser on this machine."""

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from fastapi import APIRouter

    from farspun.web.drawing import Desk


def pages_in_order() -> "Sequence[Callable[[Desk], APIRouter]]":
    """What makes the router of each group of pages."""
    from farspun.web.pages import (
        cloth,
        cloth_yarns,
        cloths,
        lessons,
        loom,
        looms,
        printed,
        share,
        skein,
        spin,
        stash,
        undo,
        weaves,
    )

    of_skeins, of_cloths = (stash, skein, weaves), (cloths, cloth, cloth_yarns, share)
    groups = (*of_skeins, *of_cloths, printed, spin, loom, looms, lessons, undo)
    return [group.router for group in groups]
