"""How a cloth is set up on the loom and what it will be like, on the screen."""

from collections.abc import Iterator
from typing import TYPE_CHECKING

from farspun.cli.printing import labelled_rows
from farspun.services.wording_loom import SHAFTS, handle_rows, loom_rows

if TYPE_CHECKING:
    from farspun.services.answers import Check

__all__ = ["SHAFTS", "handle_lines", "loom_lines"]


def loom_lines(check: "Check") -> Iterator[str]:
    """Sett, reed, ends, warp and picks; metric first, then inches."""
    yield from labelled_rows(loom_rows(check))


def handle_lines(check: "Check") -> Iterator[str]:
    """What the cloth will be like: weight, how firm, cover."""
    yield from labelled_rows(handle_rows(check))
