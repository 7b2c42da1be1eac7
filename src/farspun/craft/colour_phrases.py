"""Ways of saying a colour that are told in other words before a note is read, and what a dyer
writes beside it: mordants with their amounts. Common practice, no source.
"""

import re

from farspun.craft.colour_tokens import FIGURE

_MORDANT = "alum|iron|tin|chrome|tannin|cream of tartar|tartar|vinegar|soda"
_AMOUNT = rf"{FIGURE} ?(?:%|per ?cent|g\b|tsp\b|tbsp\b)?(?: ?wof\b)?"
_WITH = rf"(?: (?:mordant|sulphate|acetate))?(?: at)? {_AMOUNT}"
_HAS_MORDANT = re.compile(rf"\b(?:mordant(?:ed)?|{_MORDANT})\b")
_NAMED = ("mordant", *_MORDANT.split("|"))
_MORDANTS = (
    re.compile(rf"\b(?:{_MORDANT}){_WITH}"),
    re.compile(rf"(?<![\w.]){_AMOUNT} (?:of )?(?:{_MORDANT})\b(?! (?:grey|gray))"),
)
# beside another mordant copper is one too, and no colour
_COPPER = (
    re.compile(rf"\bcopper{_WITH}"),
    re.compile(rf"(?<![\w.]){_AMOUNT} (?:of )?copper\b"),
    re.compile(r"\bcopper (?:mordant|sulphate|acetate|dip|modifier|pot)\b"),
)
_ON_FLEECE = re.compile(r" on (?:an? |the )?(?=(?:[a-z-]+ ){1,3}(?:fleece|wool|yarn|base) )")
_MORE_THAN = re.compile(r" more ([^,;]+?) than ([^,;]+)")


def retold(text: str) -> str:
    """A note in small letters with a blank at both ends, in words that the reader knows.

    >>> retold(" more green than blue "), retold(" madder, alum 15% ")
    (' mostly green, some blue ', ' madder, mordant ')
    >>> retold(" woad on grey fleece ")
    ' woad over grey fleece '
    """
    if "more " in text:
        text = _MORE_THAN.sub(r" mostly \1, some \2 ", text).replace("  ", " ")
    if " on " in text:
        text = _ON_FLEECE.sub(" over ", text)
    for one in _NAMED:
        if one in text:  # quicker to look for than the pattern, and most notes have none
            return _without_amounts(text) if _HAS_MORDANT.search(text) else text
    return text


def _without_amounts(text: str) -> str:
    """A note that names mordants, with the word alone for each."""
    for pattern in (*_COPPER, *_MORDANTS):
        text = pattern.sub("mordant", text)
    return text
