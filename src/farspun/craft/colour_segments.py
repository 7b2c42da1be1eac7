"""What one part of a colour note comes to: its shades, and what is told beside them."""

from dataclasses import dataclass

from farspun.craft.yarn_colour import Lie, Shade

Shift = tuple[float, float, list[str]]  # of L*, times the chroma; as it was told
Amount = tuple[str, float, str]  # "exact", "word", "parts" or "bare"; the share; as it was told


@dataclass(slots=True)
class Part:
    """A shade of a note, and how much and how long it is told to be, if it is."""

    shade: Shade
    amount: Amount | None = None
    length_m: float | None = None
    before: Shade | None = None  # what it was before it was told lighter or darker


@dataclass(slots=True)
class Segment:
    """What one part of the note tells; amounts and lengths that stand without a shade beside it.

    `ahead` goes with the shades of the next segment; `shift` with the shade of the next or the one
    before; `almost`: begins with "almost"."""

    parts: tuple[Part, ...] = ()
    amount: Amount | None = None
    length_m: float | None = None
    each: bool = False
    total: bool = False
    ahead: Amount | None = None
    starts: bool = False  # begins with "from"
    lies: tuple[tuple[str, Lie], ...] = ()
    flecks: bool = False
    unknown: tuple[str, ...] = ()
    assumed: tuple[str, ...] = ()
    shift: Shift | None = None
    almost: bool = False
    lengths: bool = False  # whether any shade has its length
    more: bool = True  # whether anything is told beside shades and shares
