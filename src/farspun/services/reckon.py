"""Reckon a cloth: set-up, warp and weft from what is given alone, nothing taken from habit."""

from collections.abc import Iterator
from dataclasses import dataclass, fields

from farspun.craft.amounts import Amounts, Wanted, amounts
from farspun.units import CM_PER_METRE, Quantity

# what may be left out, as it is called
LOSSES = {
    "draw_in": "draw-in",
    "take_up": "take-up",
    "weft_take_up": "weft take-up",
    "let_off": "let-off",
    "shrink_width": "shrinkage in width",
    "shrink_length": "shrinkage in length",
}
EXTRAS = {
    "hem": "hems",
    "side_hem": "side hems",
    "fringe": "fringe",
    "gap": "gap between pieces",
    "header": "header",
    "sample": "sample",
    "waste": "loom waste",
}


@dataclass(frozen=True, slots=True)
class Asked:
    """A cloth as a person gives it: quantities with their units, None where not given."""

    width: Quantity
    length: Quantity
    sett: Quantity
    picks: Quantity
    pieces: int = 1
    draw_in: Quantity | None = None
    take_up: Quantity | None = None
    weft_take_up: Quantity | None = None
    let_off: Quantity | None = None
    shrink_width: Quantity | None = None
    shrink_length: Quantity | None = None
    hem: Quantity | None = None
    side_hem: Quantity | None = None
    fringe: Quantity | None = None
    gap: Quantity | None = None
    header: Quantity | None = None
    sample: Quantity | None = None
    waste: Quantity | None = None
    floating_selvedges: int = 0
    repeat: int = 1
    fringe_from_waste: bool = False


@dataclass(frozen=True, slots=True)
class Reckoned:
    """The amounts, and what is to be said beside them.

    `read` tells how each percentage was understood, `not_given` what was taken as 0, `warnings`
    what may be a slip.
    """

    amounts: Amounts
    read: tuple[str, ...]
    not_given: tuple[str, ...]
    warnings: tuple[str, ...]


def reckon(asked: Asked) -> Reckoned:
    """Amounts for the cloth asked; what is not given is 0.

    Raises ImpossibleValue where no cloth comes of it.
    """
    given = {
        field.name: value
        for field in fields(asked)
        if isinstance(value := getattr(asked, field.name), Quantity)
    }
    return Reckoned(
        amounts=amounts(_wanted(asked)),
        read=tuple(f"{LOSSES[name]} {given[name].said}" for name in LOSSES if name in given),
        not_given=tuple(words for name, words in (LOSSES | EXTRAS).items() if name not in given),
        warnings=tuple(_warnings(asked, given)),
    )


def _wanted(asked: Asked) -> Wanted:
    return Wanted(
        width_cm=_cm(asked.width),
        length_cm=_cm(asked.length),
        sett_per_cm=asked.sett.value,
        picks_per_cm=asked.picks.value,
        pieces=asked.pieces,
        draw_in=_fraction(asked.draw_in),
        take_up=_fraction(asked.take_up),
        weft_take_up=_fraction(asked.weft_take_up),
        let_off=_fraction(asked.let_off),
        shrink_width=_fraction(asked.shrink_width),
        shrink_length=_fraction(asked.shrink_length),
        hem_cm=_cm(asked.hem),
        side_hem_cm=_cm(asked.side_hem),
        fringe_cm=_cm(asked.fringe),
        gap_cm=_cm(asked.gap),
        header_cm=_cm(asked.header),
        sample_cm=_cm(asked.sample),
        waste_cm=_cm(asked.waste),
        floating_selvedges=asked.floating_selvedges,
        repeat=asked.repeat,
        fringe_from_waste=asked.fringe_from_waste,
    )


def _cm(length: Quantity | None) -> float:
    return 0.0 if length is None else length.value * CM_PER_METRE


def _fraction(part: Quantity | None) -> float:
    return 0.0 if part is None else part.value


def _warnings(asked: Asked, given: dict[str, Quantity]) -> Iterator[str]:
    if asked.width.value > asked.length.value:
        yield (
            f"This is wider than it is long: {asked.width.said} wide, {asked.length.said} long. "
            "If that is not meant, the two are the wrong way round."
        )
    doubtful = [name for name, quantity in given.items() if quantity.sd is not None]
    if doubtful:
        words = ", ".join((LOSSES | EXTRAS).get(name, name) for name in doubtful)
        yield f"The ± of {words} is left out: one figure comes out here, not odds."
