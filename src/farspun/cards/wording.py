"""Small words and figures that cards share: one unit system to a line, rounded as it is said."""

import re
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from farspun.units import GRAMS_PER_OUNCE, METRES_PER_YARD, say_cm, say_inches

LONGEST_WORD, PIECE = 16, 8  # signs; judgement: a longer word may be broken every eight
BREAK = "\u200b"  # a place where a word may be broken, and nothing is printed
KEPT = "\u00a0"  # a space at which no line ends
NO_FIGURE = "–"

Said = Callable[[float], str]


@dataclass(frozen=True, slots=True)
class Row:
    """A label, and lines in metric or other words with the same in the other system below.

    `swatch`: None for no patch, "" for an empty one, else `#rrggbb`.
    """

    label: str
    metric: str
    imperial: str = ""
    swatch: str | None = None

    def data(self) -> dict[str, Any]:
        """As the page takes it."""
        return {
            "label": self.label,
            "metric": breakable(together(self.metric)),
            "imperial": breakable(together(self.imperial)),
            "swatch": self.swatch,
        }


def breakable(text: str) -> str:
    """The text with a place to break in every word that is longer than a line might be.

    >>> breakable("Gorse 1"), len(breakable("W" * 60))
    ('Gorse 1', 67)
    """
    return " ".join(_broken(word) for word in text.split(" "))


def together(text: str) -> str:
    """The text with every number kept on one line with its unit, and odds in one piece.

    >>> together("needs 399 m, 97 in 100").count(KEPT)
    3
    """
    text = re.sub(r"(?<=\d) in 100\b", f"{KEPT}in{KEPT}100", text)
    return re.sub(r"(?<=\d) (?=(?:km|m|cm|kg|g|yd|in|lb|oz)\b)", KEPT, text)


def _broken(word: str) -> str:
    if len(word) <= LONGEST_WORD:
        return word
    parts = [word[at : at + PIECE] for at in range(0, len(word), PIECE)]
    return BREAK.join(parts)


def both(said: Callable[[Said], str]) -> tuple[str, str]:
    """One sentence in cm and in inches: `said` is handed what says a length.

    >>> both(lambda cm: f"cut at {cm(25.4)}")
    ('cut at 25.4 cm', 'cut at 10 in')
    """
    return said(say_cm), said(say_inches)


def figure(said: str) -> str:
    """The number of a quantity as it is said, without its unit.

    >>> figure("48.9 cm")
    '48.9'
    """
    return said.split(" ")[0]


def metres(length_m: float | None) -> str:
    """Of a column in m: whole from 10 up, else a tenth.

    >>> metres(27.6), metres(4.26), metres(None)
    ('28', '4.3', '–')
    """
    return _rounded(length_m, 10)


def yards(length_m: float | None) -> str:
    """The same length of a column in yd."""
    return _rounded(None if length_m is None else length_m / METRES_PER_YARD, 10)


def grams(mass_g: float | None) -> str:
    """Of a column in g: whole from 10 up, else a tenth; below 0 there is none.

    >>> grams(96.4), grams(4.31), grams(-3.0)
    ('96', '4.3', 'none')
    """
    if mass_g is not None and mass_g <= 0:
        return "none" if mass_g < 0 else "0"
    return _rounded(mass_g, 10)


def ounces(mass_g: float | None) -> str:
    """The same mass of a column in oz, to a hundredth below 10 oz.

    >>> ounces(96.4), ounces(400.0)
    ('3.40', '14.1')
    """
    if mass_g is None or mass_g <= 0:
        return grams(mass_g)
    found = mass_g / GRAMS_PER_OUNCE
    return f"{found:.{2 if round(found, 2) < 10 else 1}f}"


def _rounded(amount: float | None, whole_from: float) -> str:
    if amount is None:
        return NO_FIGURE
    return f"{amount:.0f}" if round(amount, 1) >= whole_from else f"{amount:.1f}"


def at_most(parts: Sequence[str], most: int, what: str, more: str) -> Iterator[str]:
    """The parts, or the first of them and how many are not told here.

    >>> list(at_most(["a", "b", "c"], 2, "stripes", "see"))
    ['a', 'b', 'and 1 more stripes: see']
    """
    if len(parts) <= most:
        yield from parts
        return
    yield from parts[:most]
    yield f"and {len(parts) - most} more {what}: {more}"


def many(number: int, one: str) -> str:
    """A number of things.

    >>> many(1, "bout"), many(3, "bout")
    ('1 bout', '3 bouts')
    """
    return f"{number} {one}" if number == 1 else f"{number} {one}s"


def letters(number: int) -> list[str]:
    """What several yarns are told apart by; nothing where there is one only.

    >>> letters(1), letters(2), letters(27)[-1]
    ([''], ['A', 'B'], '27')
    """
    if number == 1:
        return [""]
    alphabet = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"
    return [alphabet[at] if at < len(alphabet) else str(at + 1) for at in range(number)]


def runs(lengths: Iterable[tuple[str, int, int]]) -> Iterator[str]:
    """(yarn, threads, up to) as they are counted off.

    >>> list(runs([("slate", 6, 6), ("oat", 1, 7)]))
    ['1-6 slate', '7 oat']
    """
    for yarn, threads, upto in lengths:
        first = upto - threads + 1
        yield f"{first}-{upto} {yarn}" if threads > 1 else f"{upto} {yarn}"
