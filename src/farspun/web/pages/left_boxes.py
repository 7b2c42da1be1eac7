"""Boxes for what is left of each skein, as the stages and the end of a cloth ask for it."""

from collections.abc import Sequence
from typing import Any

from farspun import units
from farspun.units import Quantity
from farspun.web.fields import Field, Typed

LEFT = "left_"  # begins the box of what is left of a skein
TARE = Field(
    "tare",
    "Tare",
    "amount",
    lambda text: units.mass(text, "tare"),
    ("g", "oz"),
    says="of the cone or shuttle, in each of these",
)


def skeins_of(typed: Typed, prefix: str) -> list[str]:
    """The skeins that may be weighed, as the page named them beside boxes that begin so."""
    found: list[str] = []
    while (name := f"{prefix}{len(found)}_of") in typed:
        found.append(typed[name])
    return found


def beside(skeins: Sequence[str], prefix: str) -> dict[str, str]:
    """What `skeins_of` reads again."""
    return {f"{prefix}{at}_of": skein for at, skein in enumerate(skeins)}


def left_boxes(skeins: Sequence[str]) -> list[Field]:
    """What is left of each skein, and the tare."""
    return [
        *(_left_of(at, skein) for at, skein in enumerate(skeins)),
        *([TARE] if skeins else []),
    ]


def left_in(values: dict[str, Any], skeins: Sequence[str]) -> list[tuple[str, Quantity]]:
    """What those boxes held, taken out of `values`."""
    found = [(skein, values.pop(f"{LEFT}{at}", None)) for at, skein in enumerate(skeins)]
    return [(skein, weight) for skein, weight in found if weight is not None]


def _left_of(at: int, skein: str) -> Field:
    return Field(
        f"{LEFT}{at}", f"Left of {skein}", "amount",
        lambda text: units.mass(text, f"left of {skein}", zero=True), ("g", "oz"),
        says="weighed; 0 for none",
    )  # fmt: skip
