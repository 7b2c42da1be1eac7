"""What she asks of a cloth, in plain numbers, before names are looked up in the stash."""

from collections.abc import Mapping
from dataclasses import dataclass, field, fields
from typing import Any

from farspun.craft.plan import Given


@dataclass(frozen=True, slots=True)
class ClothAsked:
    """Options of `cloth plan`, `reach` and `cloth change`; None where not said.

    Lengths in cm, setts per cm, fractions of one. `warp`, `weft`: skeins as typed, with ENDS or
    SHARE after a colon where given; `warp_order`, `weft_order`: their order as typed. `given`:
    assumptions by hand. `default`: names of options that go back to their default.
    """

    width_cm: float | None = None
    length_cm: float | None = None
    size_said: str | None = None
    pieces: int | None = None
    weave: str | None = None
    purpose: str | None = None
    warp: tuple[str, ...] | None = None
    weft: tuple[str, ...] | None = None
    warp_order: str | None = None
    weft_order: str | None = None
    loom: str | None = None
    reed: str | None = None
    direct: bool | None = None
    sett_per_cm: float | None = None
    picks_per_cm: float | None = None
    as_spun: bool | None = None
    promise: float | None = None
    size_promise: float | None = None
    give: float | None = None
    ends: int | None = None
    warp_cut_cm: float | None = None
    priority: int | None = None
    wash: str | None = None
    cut: bool | None = None
    hem_cm: float | None = None
    side_hem_cm: float | None = None
    fringe_cm: float | None = None
    gap_cm: float | None = None
    header_cm: float | None = None
    sample_cm: float | None = None
    floating_selvedges: int | None = None
    repeat: int | None = None
    fringe_from_waste: bool | None = None
    given: Mapping[str, Given] = field(default_factory=dict)
    default: tuple[str, ...] = ()

    def names(self, side: str) -> bool:
        """Whether a yarn of that side is named, by itself or in an order."""
        return bool(getattr(self, side) or getattr(self, f"{side}_order"))

    def said(self) -> dict[str, Any]:
        """The fields that were said, by name."""
        names = [entry.name for entry in fields(self)]
        return {name: value for name in names if (value := getattr(self, name)) is not None}
