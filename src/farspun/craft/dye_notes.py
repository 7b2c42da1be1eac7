"""What a colour note says of the dye: whether it may bleed, and whether there is any."""

import re
from functools import lru_cache

from farspun.craft.colour_fleece import FLEECE
from farspun.craft.colour_words import entries, shades

# words of a colour note; common practice, no source
BLEEDING = frozenset(("bleeds", "bleed", "bleeding", "runs", "ran", "crocks", "crocking"))
FAST = frozenset(("fast", "colourfast", "colorfast", "rinsed"))
UNDYED = frozenset(("undyed", "natural", "white", "cream", "ecru", "fawn", "grey", "gray"))
PALE = UNDYED | {"pale", "light", "yellow", "ivory"}
DEEP = frozenset(
    ("red", "crimson", "scarlet", "maroon", "burgundy", "indigo", "navy", "black", "turquoise",
     "purple", "magenta", "madder", "logwood", "cochineal")
)  # fmt: skip
NO_HUE = frozenset(("heather",))  # a shade, and also what a yarn of two shades is called
WORD = re.compile(r"[^\W\d_]+")
FASTNESS = ("not noted", "fast", "undyed", "dyed", "deep", "bleeds")


def dye_of(note: str | None) -> int:
    """The place in FASTNESS of what a colour note says.

    Fleece as it grows is undyed where no other colour is named beside it.

    >>> [FASTNESS[dye_of(note)] for note in (None, "Indigo, rinsed", "navy", "heather", "not fast")]
    ['not noted', 'fast', 'deep', 'dyed', 'bleeds']
    >>> [FASTNESS[dye_of(note)] for note in ("moorit", "natural black", "teal, white flecks")]
    ['undyed', 'undyed', 'dyed']
    """
    text = (note or "").casefold()
    words = set(WORD.findall(text))
    if words & BLEEDING or (words & FAST and "not" in words):
        return FASTNESS.index("bleeds")
    if words & FAST:
        return FASTNESS.index("fast")
    beside = set(WORD.findall(_grown().sub(" ", text)))
    if beside & DEEP:
        return FASTNESS.index("deep")
    if (beside != words or words & UNDYED) and not beside & _coloured():
        return FASTNESS.index("undyed")
    return FASTNESS.index("dyed" if words else "not noted")


def pale(note: str | None) -> bool:
    """Whether a colour note speaks of a light yarn, and of nothing deep.

    >>> pale("cream"), pale("black and white"), pale(None)
    (True, False, False)
    """
    words = set(WORD.findall((note or "").casefold()))
    return bool(words & PALE) and not words & DEEP


@lru_cache(maxsize=1)
def _grown() -> re.Pattern[str]:
    """Colours of fleece and flax as they grow, the longest first."""
    names = sorted((name for name, _ in entries(FLEECE)), key=len, reverse=True)
    return re.compile(rf"\b(?:{'|'.join(map(re.escape, names))})\b")


@lru_cache(maxsize=1)
def _coloured() -> frozenset[str]:
    """Words of one colour that wool does not grow in."""
    return frozenset(name for name in shades() if " " not in name) - UNDYED - NO_HUE
