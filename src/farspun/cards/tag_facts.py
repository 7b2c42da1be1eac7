"""What a skein's tag says, as plain data; None where it is not known."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Length:
    """Metres: the middle, and the 5 and 95 in 100 points."""

    p05: float
    p50: float
    p95: float


@dataclass(frozen=True, slots=True)
class Tag:
    """One skein. `washed`: whether it was washed when it was counted, None where nobody said.

    `wrap`: how it was wrapped, snug or loose; `spun`: the date as it was given; `place` and `note`
    as they were given.
    """

    name: str
    fibre: str
    superwash: bool
    plies: int | None
    twist: str | None
    draw: str
    mill: bool
    washed: bool | None
    mass_g: float | None
    length_m: Length | None
    m_per_100g: float | None
    yd_per_lb: float | None
    wraps_per_cm: float | None
    wrap: str | None
    colour: str | None
    hex: str | None
    spun: str | None
    place: str | None = None
    note: str | None = None
