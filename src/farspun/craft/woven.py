"""What a woven cloth or sample shows of each factor, from what a weaver can measure of it.

Every factor is the same fraction that a plan assumes (farspun.craft.case): losses of the larger
thing, beat as picks achieved against picks meant, loom waste in cm. A factor shows only where all
that it needs was measured; nothing is guessed in its place.
"""

from collections.abc import Iterator
from dataclasses import dataclass, fields

from farspun.errors import ImpossibleValue
from farspun.units import say_cm

# each factor that can show, and what of Told it is worked out from
SHOWN_BY: dict[str, tuple[str, ...]] = {
    "waste_cm": ("thrums_cm", "spare_cm"),
    "let_off": ("tape_cm", "off_length_cm"),
    "take_up": ("warp_cm", "thrums_cm", "off_length_cm"),
    "draw_in": ("reed_cm", "off_width_cm"),
    "shrink_length": ("off_length_cm", "washed_length_cm"),
    "shrink_width": ("off_width_cm", "washed_width_cm"),
    "beat": ("picks_per_cm", "picks_state"),
    "weft_take_up": ("reed_cm", "off_length_cm", "picks_per_cm", "picks_state"),
}
# what can only become smaller on its way
LOSSES = ("take_up", "draw_in", "let_off", "shrink_length", "shrink_width")


@dataclass(frozen=True, slots=True)
class Told:
    """What she measured; lengths in cm, picks per cm, None where she did not.

    `warp_cm` the warp as wound or cut; `thrums_cm` what is left of it, both ends together, without
    fringes; `spare_cm` the part of the thrums that could still have been woven; `tape_cm` the
    length woven, tight, without gaps; `reed_cm` the width in the reed; `off_*` one piece rested off
    the loom, `washed_*` the same washed and dry, before it is hemmed. `picks_state`: "tight" or
    "rested".
    """

    ends: int | None = None
    warp_cm: float | None = None
    thrums_cm: float | None = None
    spare_cm: float | None = None
    tape_cm: float | None = None
    picks_per_cm: float | None = None
    picks_state: str | None = None
    reed_cm: float | None = None
    off_width_cm: float | None = None
    off_length_cm: float | None = None
    washed_width_cm: float | None = None
    washed_length_cm: float | None = None
    wash: str | None = None
    mass_g: float | None = None

    @property
    def names(self) -> list[str]:
        """Of everything that was measured."""
        return [entry.name for entry in fields(self) if getattr(self, entry.name) is not None]

    def corrected(self, later: "Told") -> "Told":
        """With everything that `later` says again.

        >>> Told(ends=120, wash="hot").corrected(Told(ends=118)).ends
        118
        """
        said = {entry.name: getattr(later, entry.name) for entry in fields(later)}
        own = {entry.name: getattr(self, entry.name) for entry in fields(self)}
        return Told(**{name: own[name] if value is None else value for name, value in said.items()})


@dataclass(frozen=True, slots=True)
class Meant:
    """The plan it was woven to: picks per cm rested, pieces, and what of the warp is no cloth.

    `extra_cm` sample and header, woven once, rested; `unwoven_cm` gaps and fringes;
    `fringe_in_waste_cm` those of the fringes that come out of the loom waste; `let_off` what is
    taken for granted where tape and rested length were not both measured.
    """

    picks_per_cm: float
    pieces: int = 1
    extra_cm: float = 0.0
    unwoven_cm: float = 0.0
    fringe_in_waste_cm: float = 0.0
    let_off: float = 0.0


def check_possible(told: Told, meant: Meant) -> None:
    """Raises ImpossibleValue where more of the warp is left over than there was.

    >>> check_possible(Told(warp_cm=200.0, thrums_cm=60.0), Meant(picks_per_cm=3.0))
    """
    thrums_cm, spare_cm, warp_cm = told.thrums_cm, told.spare_cm, told.warp_cm
    if spare_cm is not None and not spare_cm <= (thrums_cm or 0.0):
        raise ImpossibleValue(
            "spare",
            say_cm(spare_cm),
            f"it is a part of the thrums, and they are {say_cm(thrums_cm or 0.0)}",
            "Give --thrums all that was left of the warp, and --spare what of it could have been"
            " woven.",
        )
    if thrums_cm is None or warp_cm is None or thrums_cm + meant.unwoven_cm < warp_cm:
        return
    without = f", {say_cm(meant.unwoven_cm)} of it fringes and gaps" if meant.unwoven_cm else ""
    raise ImpossibleValue(
        "thrums",
        say_cm(thrums_cm),
        f"the whole warp is {say_cm(warp_cm)} long{without}, and cloth was woven of it",
        "Look at the unit and the decimal point; if the warp is longer: --warp LENGTH.",
    )


def rested_picks_per_cm(told: Told, let_off: float) -> float | None:
    """Picks per cm of the rested cloth, from a count on the loom or off it; None without one.

    >>> round(rested_picks_per_cm(Told(picks_per_cm=3.0, picks_state="tight"), 0.04), 3)
    3.125
    """
    if told.picks_per_cm is None:
        return None
    return told.picks_per_cm / (1 - let_off if told.picks_state == "tight" else 1.0)


def shown_factors(told: Told, meant: Meant, weft_m: float | None = None) -> dict[str, float]:
    """Each factor that shows, by its name in `Spreads` (and "let_off").

    `weft_m`: metres of weft that went in, where they were weighed. Source: docs/life.md.

    >>> found = shown_factors(
    ...     Told(reed_cm=40.0, off_width_cm=37.0, off_length_cm=90.0, tape_cm=93.0,
    ...          warp_cm=160.0, thrums_cm=60.0, washed_width_cm=33.3, washed_length_cm=81.0,
    ...          picks_per_cm=3.1, picks_state="rested"),
    ...     Meant(picks_per_cm=3.0), weft_m=117.0)
    >>> {name: round(value, 4) for name, value in found.items()}  # doctest: +NORMALIZE_WHITESPACE
    {'waste_cm': 60.0, 'let_off': 0.0323, 'take_up': 0.1, 'draw_in': 0.075, 'shrink_length': 0.1,
     'shrink_width': 0.1, 'beat': 1.0333, 'weft_take_up': 0.0484}
    """
    return dict(_shown(told, meant, weft_m))


def _shown(told: Told, meant: Meant, weft_m: float | None) -> Iterator[tuple[str, float]]:
    rested_cm = None if told.off_length_cm is None else meant.pieces * told.off_length_cm
    woven_cm = None if rested_cm is None else rested_cm + meant.extra_cm
    let_off = meant.let_off
    waste_cm = _waste_cm(told, meant)
    if waste_cm:
        yield "waste_cm", waste_cm
    if told.tape_cm is not None and woven_cm is not None:
        let_off = 1 - woven_cm / told.tape_cm
        yield "let_off", let_off
    if told.warp_cm is not None and told.thrums_cm is not None and woven_cm is not None:
        slack_cm = told.warp_cm - told.thrums_cm - meant.unwoven_cm
        if slack_cm > 0:
            yield "take_up", 1 - woven_cm / slack_cm
    if told.reed_cm is not None and told.off_width_cm is not None:
        yield "draw_in", 1 - told.off_width_cm / told.reed_cm
    if told.off_length_cm is not None and told.washed_length_cm is not None:
        yield "shrink_length", 1 - told.washed_length_cm / told.off_length_cm
    if told.off_width_cm is not None and told.washed_width_cm is not None:
        yield "shrink_width", 1 - told.washed_width_cm / told.off_width_cm
    rested = rested_picks_per_cm(told, let_off)
    if rested is None:
        return
    yield "beat", rested / meant.picks_per_cm
    if weft_m is not None and woven_cm is not None and told.reed_cm is not None:
        yield "weft_take_up", 100 * weft_m / (rested * woven_cm * told.reed_cm) - 1


def _waste_cm(told: Told, meant: Meant) -> float | None:
    """What could not be woven, with the fringes that were planned out of it."""
    if told.thrums_cm is None:
        return None
    return told.thrums_cm - (told.spare_cm or 0.0) + meant.fringe_in_waste_cm
