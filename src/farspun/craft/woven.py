"""What a woven cloth or sample shows of each factor, from what a weaver can measure of it.

Every factor is the same fraction that a plan assumes (farspun.craft.case): losses of the larger
thing, beat as picks achieved against picks meant, loom waste in cm. A factor shows only where all
that it needs was measured; nothing is guessed in its place.
"""

from collections.abc import Iterator
from dataclasses import dataclass, fields


@dataclass(frozen=True, slots=True)
class Told:
    """What she measured; lengths in cm, picks per cm, None where she did not.

    `warp_cm` the warp as wound or cut; `thrums_cm` all of it that was not woven, both ends
    together; `tape_cm` the length woven, tight; `reed_cm` the width in the reed; `off_*` one piece
    rested off the loom, `washed_*` the same washed and dry. `picks_state`: "tight" or "rested".
    """

    ends: int | None = None
    warp_cm: float | None = None
    thrums_cm: float | None = None
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

    `extra_cm` sample and header, woven once, rested; `unwoven_cm` gaps and fringes; `let_off` what
    is taken for granted where tape and rested length were not both measured.
    """

    picks_per_cm: float
    pieces: int = 1
    extra_cm: float = 0.0
    unwoven_cm: float = 0.0
    let_off: float = 0.0


def shown_factors(told: Told, meant: Meant) -> dict[str, float]:
    """Each factor that shows, by its name in `Spreads` (and "let_off").

    >>> found = shown_factors(
    ...     Told(reed_cm=40.0, off_width_cm=37.0, off_length_cm=90.0, tape_cm=93.0,
    ...          warp_cm=160.0, thrums_cm=60.0, washed_width_cm=33.3, washed_length_cm=81.0),
    ...     Meant(picks_per_cm=3.0))
    >>> {name: round(value, 4) for name, value in found.items()}  # doctest: +NORMALIZE_WHITESPACE
    {'waste_cm': 60.0, 'let_off': 0.0323, 'take_up': 0.1, 'draw_in': 0.075, 'shrink_length': 0.1,
     'shrink_width': 0.1}
    """
    return dict(_shown(told, meant))


def _shown(told: Told, meant: Meant) -> Iterator[tuple[str, float]]:
    rested_cm = None if told.off_length_cm is None else meant.pieces * told.off_length_cm
    woven_cm = None if rested_cm is None else rested_cm + meant.extra_cm
    let_off = meant.let_off
    if told.thrums_cm is not None:
        yield "waste_cm", told.thrums_cm
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
    if told.picks_per_cm is not None:
        rested = told.picks_per_cm / (1 - let_off if told.picks_state == "tight" else 1.0)
        yield "beat", rested / meant.picks_per_cm
