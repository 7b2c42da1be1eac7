"""What she asks of a cloth, in plain numbers, before names are looked up in the stash."""

from collections.abc import Mapping
from dataclasses import dataclass, field, fields
from typing import Any

from farspun.craft.plan import Given
from farspun.craft.spread import Spread
from farspun.errors import ImpossibleValue
from farspun.units import Quantity

CM = 100  # cm in a metre: quantities come in metres, cloths are planned in cm
LENGTHS = ("warp_cut", "hem", "side_hem", "fringe", "gap", "header", "sample")
THREADS = ("sett", "picks")
FRACTIONS = ("promise", "size_promise", "give")
ASSUMPTIONS = {
    "draw_in": "loss",
    "take_up": "loss",
    "weft_take_up": "addition",
    "let_off": "loss",
    "shrink_width": "loss",
    "shrink_length": "loss",
}


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


def asked_from(values: Mapping[str, Any]) -> ClothAsked:
    """What was asked, as it was read (quantities, names, words), as plain numbers: cm, threads per
    cm, fractions; None where nothing was said. Raises ImpossibleValue for ± where it has no place.
    """
    said = {name: value for name, value in values.items() if value is not None}
    plain: dict[str, Any] = {}
    for name, value in said.items():
        _refuse_spread(name, value)
        if name in LENGTHS:
            plain[f"{name}_cm"] = value.value * CM
        elif name in THREADS:
            plain[f"{name}_per_cm"] = value.value
        elif name in FRACTIONS:
            plain[name] = value.value
        elif name in ("warp", "weft"):
            plain[name] = tuple(value) or None
        elif name == "default":
            plain[name] = tuple(value)
        elif name not in (*ASSUMPTIONS, "waste", "beat", "size"):
            plain[name] = value
    if "size" in said:
        plain["width_cm"] = said["size"].width_m * CM
        plain["length_cm"] = said["size"].length_m * CM
        plain["size_said"] = said["size"].said
    return ClothAsked(**plain, given=_given(said))


def _refuse_spread(name: str, value: Any) -> None:
    """± belongs to what is doubtful; what she settles herself is as she says."""
    settled = (*LENGTHS, *THREADS, *FRACTIONS, "beat")
    if name in settled and value.sd is not None:
        raise ImpossibleValue(
            name.replace("_", " "),
            value.said,
            "± goes with losses and loom waste only",
            "Leave the ± out.",
        )


def _given(said: Mapping[str, Any]) -> dict[str, Any]:
    """Assumptions by hand; one without ± is exact."""

    def given(quantity: Quantity, kind: Any, mean: float, sd: float) -> Given:
        return Given(Spread(mean, sd, kind, "as you gave it", by_hand=True), quantity.said)

    found = {}
    for name, kind in ASSUMPTIONS.items():
        if name in said:
            found[name] = given(said[name], kind, said[name].value, said[name].sd or 0.0)
    if "waste" in said:
        waste = said["waste"]
        found["waste_cm"] = given(waste, "length", waste.value * CM, (waste.sd or 0.0) * CM)
    if "beat" in said:
        found["beat"] = given(said["beat"], "ratio", 1.0, said["beat"].value)
    return found
