"""What was measured of a cloth and its sample: labels and what belongs to them."""

from collections.abc import Callable, Iterator, Sequence
from typing import TYPE_CHECKING

from farspun.services.wording import Row
from farspun.units import say_cm, say_inches, say_mass, say_per_cm, say_per_inch, say_percent

if TYPE_CHECKING:
    from farspun.craft.woven import Told
    from farspun.services.cloths import Measured

LABELS = {"sample": "Sample", "cloth": "Woven"}
LENGTHS = {  # field of Told: how it is said
    "reed_cm": "{} in the reed",
    "warp_cm": "warp {}",
    "tape_cm": "{} woven by the tape",
    "thrums_cm": "thrums {}",
    "spare_cm": "{} of them to spare",
}
SIZES = {"off": "off the loom {}", "washed": "washed {}"}


def measured_rows(measured: "Sequence[Measured]") -> Iterator[Row]:
    """A paragraph for each, lengths in both systems, then what they come to."""
    for one in measured:
        if one.told.names == ["picks_state"]:
            continue
        metric = _said(one.told, say_cm, say_per_cm, plain=True)
        inches = _said(one.told, say_inches, say_per_inch, plain=False)
        yield (LABELS[one.stage], "; ".join(metric))
        if inches:
            yield ("", f"in inches: {'; '.join(inches)}")
        if one.shown:
            yield ("Shows", ", ".join(_factors(one)))


def _said(
    told: "Told",
    length: Callable[[float], str],
    density: Callable[[float], str],
    plain: bool,
) -> Iterator[str]:
    """Each thing that was told; `plain`: those without a length as well."""
    if plain and told.ends is not None:
        yield f"{told.ends} ends"
    for name, words in LENGTHS.items():
        value = getattr(told, name)
        if value is not None:
            yield words.format(length(value))
    if told.picks_per_cm is not None:
        yield f"picks {density(told.picks_per_cm)} {told.picks_state}"
    for name, words in SIZES.items():
        wide, long = (getattr(told, f"{name}_{side}_cm") for side in ("width", "length"))
        if wide is not None and long is not None:
            yield words.format(f"{length(wide)} wide, {length(long)} long")
    if plain and told.wash is not None:
        yield f"wash {told.wash}"
    if plain and told.mass_g is not None:
        yield f"the piece {say_mass(told.mass_g)}"


def _factors(one: "Measured") -> Iterator[str]:
    from farspun.services.factors import FACTORS

    for factor, observed in one.shown.items():
        said = say_cm(observed) if factor == "waste_cm" else say_percent(observed)
        sign = "+" if factor == "weft_take_up" and observed > 0 else ""
        of = " of the picks meant" if factor == "beat" else ""
        yield f"{FACTORS[factor]} {sign}{said}{of}"
