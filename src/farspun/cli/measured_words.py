"""What was measured of a cloth and its sample, on the screen."""

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from farspun.cli.printing import labelled_rows
from farspun.services.wording_measured import measured_rows

if TYPE_CHECKING:
    from farspun.services.cloths import Measured


def measured_lines(measured: "Sequence[Measured]") -> Iterator[str]:
    """A paragraph for each, lengths in both systems, then what they come to."""
    yield from labelled_rows(measured_rows(measured))
