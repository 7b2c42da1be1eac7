"""The orders of a cloth's yarns, on the screen."""

from collections.abc import Iterator
from typing import TYPE_CHECKING

from farspun.cli.printing import labelled_rows
from farspun.services.wording_loom import order_rows

if TYPE_CHECKING:
    from farspun.services.answers import SetupAnswer


def order_lines(setup: "SetupAnswer") -> Iterator[str]:
    """How warp and weft go in their orders, and what each yarn comes to."""
    yield from labelled_rows(order_rows(setup))
