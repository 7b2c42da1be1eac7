"""Pieces to be cut: what they are called, how large they are when sewn, how many."""

import re
from dataclasses import dataclass
from typing import Literal

from farspun.errors import FarspunError, UnreadableValue
from farspun.units.names import skein_name
from farspun.units.number import shown
from farspun.units.quantities import whole
from farspun.units.sizes import Size, size

Grain = Literal["fixed", "free"]
EXAMPLE = "front 34cmx38cm x2"

_FIGURES = "0123456789.¼½¾"
_GRAIN = re.compile(r"\s+(fixed|free)\s*$", re.IGNORECASE)
_COUNT = re.compile(r"\s+[x×]\s*(-?\w+)\s*$", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class CutPiece:
    """Finished size along the width and along the length of the cloth; `grain` None: not said."""

    name: str
    size: Size
    count: int
    grain: Grain | None


def cut_piece(text: str, what: str = "piece") -> CutPiece:
    """A piece as NAME WIDTHxLENGTH xCOUNT, with `free` behind it where it may be turned.

    >>> piece = cut_piece("front 34cmx38cm x2")
    >>> piece.name, piece.size.said, piece.count, piece.grain
    ('front', '34 cm wide, 38 cm long', 2, None)
    >>> cut_piece("long strap 6cm x 1.2m free").grain
    'free'
    """
    rest, grain = text.strip(), None
    found = _GRAIN.search(rest)
    if found:
        rest, grain = rest[: found.start()], found[1].lower()
    found = _COUNT.search(rest)
    count = 1
    if found and not _has_unit(found[1]):
        rest, count = rest[: found.start()], whole(found[1], f"the number of a {what}")
    name, sides = _name_and_size(rest, text, what)
    return CutPiece(skein_name(name, f"name of a {what}"), sides, count, _grain(grain))


def _grain(word: str | None) -> Grain | None:
    return None if word is None else "free" if word == "free" else "fixed"


def _has_unit(word: str) -> bool:
    """Whether it is the second side of a size: "120cm"."""
    return bool(re.fullmatch(r"[0-9.]+[a-z\"']+", word, re.IGNORECASE))


def _name_and_size(rest: str, text: str, what: str) -> tuple[str, Size]:
    """The size is the longest end of the text that is one: a name may end in a figure."""
    words, refused = rest.split(), None
    for at in range(1, len(words)):
        tail = " ".join(words[at:])
        if words[at][0] in _FIGURES and re.search("[xX×]", tail):
            try:
                return " ".join(words[:at]), size(tail, f"size of {' '.join(words[:at])}")
            except FarspunError as why:
                refused = why
    raise refused or UnreadableValue(
        what,
        shown(text),
        "a name and a size are wanted",
        f"Write it like “{EXAMPLE}”, and behind it “free” or “fixed” for its grain.",
    )
