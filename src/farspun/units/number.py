"""A number as a person writes it: "112", "3.95", "3 3/4", "½"."""

import re
import unicodedata
from dataclasses import dataclass

from farspun.errors import UnreadableValue

NUMBER = r"(?:[0-9]+ )?[0-9]+/[0-9]+|[0-9]+\.?[0-9]*|\.[0-9]+"
MOST_CHARACTERS = 200
MOST_DIGITS = 15  # what a double holds exactly; no scale or ruler shows more
_MOST_SHOWN = 60

FRACTION_SIGNS = {
    sign: unicodedata.normalize("NFKC", sign).replace("⁄", "/") for sign in "¼½¾⅐⅑⅒⅓⅔⅕⅖⅗⅘⅙⅚⅛⅜⅝⅞"
}
_PLAIN = str.maketrans(
    {
        "⁄": "/",
        "∕": "/",
        "″": '"',
        "“": '"',
        "”": '"',
        "′": "'",
        "‘": "'",
        "’": "'",
        "−": "-",
        "–": "-",
        "—": "-",
        "‐": "-",
        "‑": "-",
        "％": "%",
        "×": "x",
        "✕": "x",
        "⨯": "x",
    }
)
_FRACTION_SIGN = re.compile(rf"([0-9]?)\s*([{''.join(FRACTION_SIGNS)}])")
_PLUS_MINUS = re.compile(r"\+ ?/? ?-")
_ROUND_SLASH = re.compile(r" ?/ ?")
_WHOLE_NUMBER = re.compile(NUMBER)


@dataclass(frozen=True, slots=True)
class Number:
    """Exactly top/bottom; one unit of the last figure written is 1/step_bottom."""

    top: int
    bottom: int
    step_bottom: int
    written: str


def shown(text: str) -> str:
    """The text as a message may show it: one line, printable, not too long.

    >>> shown("3\\n grams")
    '3 grams'
    """
    line = "".join(sign if sign.isprintable() else "�" for sign in " ".join(text.split()))
    return line if len(line) <= _MOST_SHOWN else line[: _MOST_SHOWN - 1] + "…"


def tidied(text: str, what: str, example: str) -> str:
    """Lower case, plain signs, single spaces, none round a slash.

    >>> tidied("3½ OZ", "mass", "112 g")
    '3 1/2 oz'
    """
    hint = f"Write it like “{example}”."
    if len(text) > MOST_CHARACTERS:
        raise UnreadableValue(what, shown(text), "it is too long", hint)
    spelled = _FRACTION_SIGN.sub(_spelled_fraction, text).translate(_PLAIN)
    plain = " ".join(spelled.lower().split()).replace("''", '"')
    if not plain:
        raise UnreadableValue(what, "", "nothing is written", hint)
    return _ROUND_SLASH.sub("/", _PLUS_MINUS.sub("±", plain))


def _spelled_fraction(found: "re.Match[str]") -> str:
    """A fraction sign in figures, always with its whole number: never taken for two figures."""
    return f"{found[1] or '0'} {FRACTION_SIGNS[found[2]]} "


def is_number(text: str) -> bool:
    """Whether the whole text is one unsigned number.

    >>> is_number("3 3/4"), is_number("1e3"), is_number("-2")
    (True, False, False)
    """
    return _WHOLE_NUMBER.fullmatch(text) is not None


def number(written: str, what: str) -> Number:
    """The number written, as an exact ratio with its step.

    >>> number("3 3/4", "mass")
    Number(top=15, bottom=4, step_bottom=4, written='3 3/4')
    >>> number(".50", "mass")
    Number(top=50, bottom=100, step_bottom=100, written='0.50')
    """
    if not is_number(written):
        raise UnreadableValue(what, shown(written), "it is not a number", "Write it like “112”.")
    if sum(sign.isdigit() for sign in written) > MOST_DIGITS:
        raise UnreadableValue(
            what, shown(written), f"it has more than {MOST_DIGITS} digits", "Round it."
        )
    return _fraction(written, what) if "/" in written else _decimal(written)


def _decimal(written: str) -> Number:
    ones, _, part = written.partition(".")
    whole = str(int(ones or "0"))
    scale = 10 ** len(part)
    spelled = f"{whole}.{part}" if part else whole
    return Number(int(whole + part), scale, scale, spelled)


def _fraction(written: str, what: str) -> Number:
    front, _, below = written.partition("/")
    ones, _, above = front.rpartition(" ")
    top, bottom = int(above), int(below)
    if bottom == 0:
        raise UnreadableValue(
            what, shown(written), "nothing can be divided by 0", "Write it like “3 3/4”."
        )
    if ones and top >= bottom:
        raise UnreadableValue(
            what,
            shown(written),
            "the fraction beside a whole number is less than one",
            "Write it like “3 3/4”.",
        )
    whole = int(ones or "0")
    spelled = f"{whole} {top}/{bottom}" if whole else f"{top}/{bottom}"
    return Number(whole * bottom + top, bottom, bottom, spelled)
