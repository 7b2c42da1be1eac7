"""Pieces laid on a cloth to be cut: their size with seams, where they lie, and what is wasted.

The cloth's width runs across, its length along the warp. Finding a good lay is left to a packing
library; here stand its question, its answer, and what must hold of any answer.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from farspun.craft.limits import above_zero, count, length
from farspun.errors import ImpossibleValue

# All constants of this table: common practice, no source.
# name: value        unit  what
SEAM_CM = 1.5  #     cm    turned in at each edge of a piece
RAW_EDGE_CM = 0.5  # cm    of each cut edge that frays, or goes into the stitches that stop it
SELVEDGE_CM = 1.0  # cm    of each side that is cut off: closer and firmer than the cloth
# judgement:
MOST_PIECES = 100  # in all: more is a day's cutting, and another cloth
SLACK_CM = 1e-6  # far below a thread


@dataclass(frozen=True, slots=True)
class Piece:
    """Pieces alike as they are cut: cm across and along the cloth; `turnable` by a quarter."""

    name: str
    width_cm: float
    length_cm: float
    count: int = 1
    turnable: bool = False

    @property
    def area_cm2(self) -> float:
        """Of all of them."""
        return self.count * self.width_cm * self.length_cm


@dataclass(frozen=True, slots=True)
class Laid:
    """One piece in its place: its corner from the left edge and the start of the cloth, in cm.

    `width_cm`, `length_cm` as it lies: exchanged where it was `turned`.
    """

    name: str
    number: int
    left_cm: float
    start_cm: float
    width_cm: float
    length_cm: float
    turned: bool

    @property
    def right_cm(self) -> float:
        """Its other edge, from the left edge of the cloth."""
        return self.left_cm + self.width_cm

    @property
    def end_cm(self) -> float:
        """Its other end, from the start of the cloth."""
        return self.start_cm + self.length_cm


@dataclass(frozen=True, slots=True)
class Lay:
    """Pieces on a cloth `width_cm` wide, of which `selvedge_cm` a side is cut off.

    `one_way`: the cloth has a nap, so every piece lies with its top the same way.
    """

    width_cm: float
    selvedge_cm: float
    pieces: tuple[Laid, ...]
    one_way: bool = False

    @property
    def length_cm(self) -> float:
        """How long the cloth must be."""
        return max(one.end_cm for one in self.pieces)

    @property
    def waste_fraction(self) -> float:
        """The part of the cloth that is in no piece, selvedges included."""
        used = sum(one.width_cm * one.length_cm for one in self.pieces)
        return 1 - used / (self.width_cm * self.length_cm)


def cut_size_cm(finished_cm: float, seam_cm: float, raw_edge_cm: float) -> float:
    """A side of a piece as it is cut: seam and raw edge at both ends of it.

    Raises ImpossibleValue. Source: common practice, no source.

    >>> cut_size_cm(34.0, 1.5, 0.5)
    38.0
    """
    edges = length("seam", seam_cm) + length("raw edge", raw_edge_cm)
    return float(above_zero("side of a piece", finished_cm, "cm") + 2 * edges)


def panel_width_cm(finished_cm: float, panels: int) -> float:
    """Finished width of each of `panels` that are sewn together to one piece.

    >>> panel_width_cm(90.0, 2)
    45.0
    """
    return float(above_zero("width", finished_cm, "cm") / count("number of panels", panels))


def panels_for(finished_cm: float, usable_cm: float, seam_cm: float, raw_edge_cm: float) -> int:
    """The fewest panels of a piece that each go, with their seams, into `usable_cm` of cloth.

    Raises ImpossibleValue where the seams alone are too wide for it.

    >>> panels_for(90.0, 58.0, 1.5, 0.5), panels_for(54.0, 58.0, 1.5, 0.5)
    (2, 1)
    """
    edges = cut_size_cm(finished_cm, seam_cm, raw_edge_cm) - finished_cm
    room = above_zero("width of the cloth less selvedges and seams", usable_cm - edges, "cm")
    panels: int = math.ceil(finished_cm / room - SLACK_CM)
    return max(1, panels)


def shortest_cm(pieces: Sequence[Piece], usable_cm: float) -> float:
    """No lay is shorter: the area spread over the width, or the longest piece as it must lie.

    Raises ImpossibleValue for a piece that does not go into `usable_cm` either way it may lie.

    >>> shortest_cm([Piece("front", 38, 42, 2), Piece("strap", 100, 8, 1, turnable=True)], 58)
    100.0
    """
    usable = above_zero("width of the cloth less selvedges", usable_cm, "cm")
    area = sum(piece.area_cm2 for piece in pieces)
    return float(max(area / usable, *(min(ways(piece, usable))[0] for piece in pieces), 0.0))


def ways(piece: Piece, usable_cm: float) -> list[tuple[float, bool]]:
    """How a piece may lie: (cm along the cloth, turned). Raises ImpossibleValue for none."""
    found = []
    if piece.width_cm <= usable_cm + SLACK_CM:
        found.append((float(piece.length_cm), False))
    if piece.turnable and piece.length_cm <= usable_cm + SLACK_CM:
        found.append((float(piece.width_cm), True))
    if not found:
        raise ImpossibleValue(
            "a piece",
            f"“{piece.name}”, cut {piece.width_cm:g} cm wide",
            f"the cloth less its selvedges is {usable_cm:g} cm wide",
        )
    return found


def faults(lay: Lay, pieces: Sequence[Piece]) -> list[str]:
    """What is wrong with a lay of these pieces: overlaps, off the cloth, turned, left out.

    >>> front = Piece("front", 38, 42)
    >>> faults(Lay(60, 1, (Laid("front", 1, 1, 0, 38, 42, False),)), [front])
    []
    >>> faults(Lay(60, 1, (Laid("front", 1, 1, 0, 42, 38, True),)), [front])
    ['front 1 is turned against its grain']
    """
    found = []
    by_name = {piece.name: piece for piece in pieces}
    low, high = lay.selvedge_cm - SLACK_CM, lay.width_cm - lay.selvedge_cm + SLACK_CM
    for one in lay.pieces:
        who, meant = f"{one.name} {one.number}", by_name[one.name]
        size = (one.length_cm, one.width_cm) if one.turned else (one.width_cm, one.length_cm)
        wanted = meant.width_cm - SLACK_CM, meant.length_cm - SLACK_CM
        if one.turned and (lay.one_way or not meant.turnable):
            found.append(f"{who} is turned against its grain")
        if not (size[0] >= wanted[0] and size[1] >= wanted[1]):
            found.append(f"{who} is too small")
        if not (one.left_cm >= low and one.right_cm <= high and one.start_cm >= 0):
            found.append(f"{who} lies off the cloth")
    for at, one in enumerate(lay.pieces):
        found += [
            f"{one.name} {one.number} lies on {other.name} {other.number}"
            for other in lay.pieces[:at]
            if _overlap(one, other)
        ]
    laid = [(one.name, one.number) for one in lay.pieces]
    asked = [(piece.name, n + 1) for piece in pieces for n in range(piece.count)]
    return found + ([] if sorted(laid) == sorted(asked) else ["pieces are left out, or doubled"])


def _overlap(one: Laid, other: Laid) -> bool:
    beside = one.right_cm <= other.left_cm + SLACK_CM or other.right_cm <= one.left_cm + SLACK_CM
    behind = one.end_cm <= other.start_cm + SLACK_CM or other.end_cm <= one.start_cm + SLACK_CM
    return not (beside or behind)
