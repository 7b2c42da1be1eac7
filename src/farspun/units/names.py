"""Names of skeins, cloths, looms, reeds and tools."""

import unicodedata

from farspun.errors import UnreadableValue
from farspun.units.number import shown

MOST_NAME_CHARACTERS = 200

# control characters, halves of a pair, and the two signs that end a line or a paragraph
_NOT_IN_NAMES = {"Cc", "Cs", "Zl", "Zp"}


def skein_name(text: str, what: str = "name") -> str:
    """The name trimmed and composed (NFC); 1 to 200 characters, not starting with "-".

    >>> skein_name("  Gorse 1 ")
    'Gorse 1'
    """
    name = unicodedata.normalize("NFC", text).strip()
    if any(unicodedata.category(sign) in _NOT_IN_NAMES for sign in name):
        raise UnreadableValue(
            what, shown(name), "it holds a control character", "Type it in again, on one line."
        )
    if not any(unicodedata.category(sign)[0] in "LNPS" for sign in name):
        raise UnreadableValue(what, shown(name), "nothing is written", "Give a name: “Gorse 1”.")
    if len(name) > MOST_NAME_CHARACTERS:
        raise UnreadableValue(
            what,
            shown(name),
            f"it has {len(name)} characters",
            f"Give one of at most {MOST_NAME_CHARACTERS}.",
        )
    if name.startswith("-"):
        raise UnreadableValue(
            what,
            shown(name),
            "a name starting with “-” would be taken for an option",
            "Leave the “-” out.",
        )
    return name


def name_key(text: str) -> str:
    """The same for two names that differ only in case or in how accents are composed.

    >>> name_key(" GORSE 1") == name_key("Gorse 1")
    True
    """
    folded = unicodedata.normalize("NFD", text.strip()).casefold()
    return unicodedata.normalize("NFC", folded)
