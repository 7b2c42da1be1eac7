"""A new skein and the cloth it was spun for, on the screen."""

from collections.abc import Iterator
from typing import TYPE_CHECKING

from farspun.cli.printing import labelled_rows
from farspun.services.wording_fit import fit_rows

if TYPE_CHECKING:
    from farspun.services.spun_for import SpunFor


def fit_lines(name: str, fit: "SpunFor") -> Iterator[str]:
    """Whether it fits, what the cloth's answer is now, and what would change."""
    yield ""
    yield f"For {fit.cloth}"
    yield from labelled_rows(fit_rows(name, fit))
