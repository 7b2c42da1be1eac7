"""Small sayings that the screen and the pages share: promises, spans, amounts to come by."""

from collections.abc import Sequence
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from farspun.services.answers import Three

NUMBERS = ("no", "one", "two", "three", "four", "five", "six")
Row = tuple[str, str]  # a label, "" where it goes on, and what belongs to it


def in_words(number: int) -> str:
    """A small number as it is said in a sentence.

    >>> in_words(3), in_words(12)
    ('three', '12')
    """
    return NUMBERS[number] if number < len(NUMBERS) else str(number)


def in_100(promise: float) -> str:
    """A promise as she says it: 95.

    >>> in_100(0.95), in_100(0.999)
    ('95', '99.9')
    """
    return f"{promise * 100:.1f}".removesuffix(".0")


def to_have(metres: float) -> float:
    """A length to spin or buy: never less than a metre, for nobody spins a part of one."""
    return max(1.0, metres)


def to_weigh(grams: float) -> float:
    """The same by weight: never less than a gram."""
    return max(1.0, grams)


def span(points: "Three", unit: float, name: str = "") -> str:
    """The 5 to 95 span in whole units; "unknown" where it is not known."""
    low, high = points.p05, points.p95
    if low is None or high is None:
        return "unknown"
    first, last = f"{low / unit:.0f}", f"{high / unit:.0f}"
    return (first if first == last else f"{first}-{last}") + name


def listed(parts: Sequence[str]) -> str:
    """One after another, as one says it.

    >>> listed(["Gorse"]), listed(["Gorse", "Bracken", "Oat"])
    ('Gorse', 'Gorse, Bracken and Oat')
    """
    return parts[0] if len(parts) == 1 else f"{', '.join(parts[:-1])} and {parts[-1]}"


def counted(number: int, word: str) -> str:
    """So many of a thing.

    >>> counted(1, "cloth"), counted(3, "cloth")
    ('1 cloth', '3 cloths')
    """
    return f"{number} {word}{'s' if number != 1 else ''}"
