"""Orders as she writes them: docs/orders.md.

::

    12 slate, 4 oat, 12 slate        so many ends (or picks) of each
    (6 slate 2 oat)x8, 6 slate       what stands in brackets, so many times over
    6 slate, 2 oat, 4 rust | mirror  there and back; the last stripe stands once, in the middle
    10cm slate, 2cm oat              bands of a weft, by length
    12 "Gorse 1", 4 oat              names with a space in quotes

What cannot be read is told with its column, counted from 1.
"""

import re
from dataclasses import dataclass, replace

from farspun.craft.orders import Band, Group, Item, Leaf, Stripe, threads_in
from farspun.errors import ImpossibleValue, UnreadableValue
from farspun.units import length
from farspun.units.kinds import LENGTH
from farspun.units.number import FRACTION_SIGNS, NUMBER, shown

# name: value               unit         source
MOST_THREADS = 1_000_000  # threads      judgement: of a stripe, or times over; a slip beyond
MOST_IN_ALL = 1_000_000_000  # threads   judgement: of an order; no loom holds a thousandth of it
MOST_CHARACTERS = 10_000  # characters   judgement
MOST_NESTED = 50  # brackets             judgement: one in another
MOST_FIGURES = 20  # figures             judgement: of a number, noughts before it and all

_AMOUNT = re.compile(rf"[0-9]*\s*[{''.join(FRACTION_SIGNS)}]|{NUMBER}")
_WHOLE = re.compile(r"[0-9]+(?![0-9.]|/[0-9])")
_UNIT = re.compile(r"\s*([a-z]+)(?=[\s\"'“])", re.IGNORECASE)
_TIMES = re.compile(r"\s*[x×*]\s*", re.IGNORECASE)
_MIRROR = re.compile(r"\|\s*mirror(?=[\s,;()|]|$)", re.IGNORECASE)
_PLAIN_NAME = re.compile(r"[^\s,;()|\"“”'0-9+-][^\s,;()|\"“”]*")
_NAME_NEXT = re.compile(rf"\s*(?:[\"'“]|{_PLAIN_NAME.pattern})")
_QUOTED = {
    '"': re.compile(r'"((?:[^"]|"")*)"'),
    "'": re.compile(r"'((?:[^']|'')*)'"),
    "“": re.compile(r"“([^”]*)”"),
}
_SPELLING = "Write it like “12 slate, 4 oat” or “(6 slate 2 oat)x8 | mirror”."
_IN_QUOTES = 'A name of several words goes in quotes: 12 "Gorse 1", 4 oat.'


def order_from_text(text: str, side: str) -> Group:
    """The order written in `text`, of the "warp" or the "weft".

    Brackets that change nothing are left out. Raises UnreadableValue with the column that is not
    understood, ImpossibleValue with the column of a number that cannot be.

    >>> text_of_order(order_from_text("(6 slate 2 oat) x 8; 6 Slate", "warp"))
    '(6 slate, 2 oat)x8, 6 Slate'
    """
    reader = _Reader(text, side)
    if len(text) > MOST_CHARACTERS:
        hint = "Use brackets for what comes again: (6 slate 2 oat)x8."
        raise UnreadableValue(reader.what, shown(text), "it is too long", hint)
    order = reader.group()
    if not has_bands(order) and not threads_in(order) <= MOST_IN_ALL:
        raise ImpossibleValue(f"the {reader.what}", shown(text), f"at most {MOST_IN_ALL} threads")
    return order


def text_of_order(order: Group) -> str:
    """The order as text; `order_from_text` gives it again."""
    inside = ", ".join(map(_text, order.items)) + (" | mirror" if order.mirrored else "")
    return inside if order.times == 1 else f"({inside})x{order.times}"


def _text(item: Item) -> str:
    if isinstance(item, Stripe):
        return f"{item.threads} {_name(item.yarn)}"
    if isinstance(item, Band):
        return f"{item.said} {_name(item.yarn)}"
    return f"({text_of_order(item)})" if item.times == 1 else text_of_order(item)


def _name(yarn: str) -> str:
    """In quotes unless it is one word that can be taken for nothing else."""
    if _PLAIN_NAME.fullmatch(yarn) and yarn.casefold() not in LENGTH.units:
        return yarn
    doubled = yarn.replace('"', '""')
    return f'"{doubled}"'


def has_bands(item: Item) -> bool:
    """Whether any of it is told by length."""
    if isinstance(item, Group):
        return any(map(has_bands, item.items))
    return isinstance(item, Band)


def _tidy(items: list[Item], mirrored: bool) -> Group:
    """Without brackets that change nothing."""
    plain: list[Item] = []
    for one in items:
        if isinstance(one, Group) and one.times == 1 and not one.mirrored:
            plain += one.items
        else:
            plain.append(one)
    first, *others = plain
    if isinstance(first, Group) and first.times == 1 and not others and not mirrored:
        return first
    return Group(tuple(plain), mirrored=mirrored)


@dataclass(slots=True)
class _Reader:
    """Reads one order from left to right; `at` is the place of the next sign."""

    text: str
    side: str
    at: int = 0

    @property
    def what(self) -> str:
        return f"{self.side} order"

    @property
    def noun(self) -> str:
        return "ends" if self.side == "warp" else "picks"

    def group(self, opened: int | None = None, nested: int = 0) -> Group:
        """Items up to the end of the text, or of the bracket that was `opened` there."""
        if nested > MOST_NESTED:
            raise self._unread(self.at - 1, f"more than {MOST_NESTED} brackets in one another")
        items: list[Item] = []
        comma = mirrored = False
        while not self._closed(opened):
            sign = self.text[self.at]
            if mirrored:
                raise self._unread(self.at, "nothing but a closing bracket can follow “mirror”")
            if sign in ",;|" and (comma or not items):
                raise self._unread(self.at, f"a stripe is wanted before this “{sign}”")
            if sign == "|":
                self._mirror()
                mirrored = True
            elif sign in ",;":
                comma, self.at = True, self.at + 1
            else:
                items.append(self._bracket(nested) if sign == "(" else self._stripe())
                comma = False
        if comma or not items:
            raise self._unread(self.at, "a stripe is wanted here")
        self.at += 1
        return _tidy(items, mirrored)

    def _closed(self, opened: int | None) -> bool:
        """Whether the group ends here."""
        self._over_space()
        if self.at == len(self.text):
            if opened is not None:
                raise self._unread(opened, "this bracket is never closed")
            return True
        if self.text[self.at] != ")":
            return False
        if opened is None:
            raise self._unread(self.at, "this bracket closes none")
        return True

    def _mirror(self) -> None:
        found = _MIRROR.match(self.text, self.at)
        if not found:
            raise self._unread(self.at, "only “mirror” can stand behind a “|”")
        self.at = found.end()

    def _bracket(self, nested: int) -> Group:
        opened, self.at = self.at, self.at + 1
        inside = self.group(opened, nested + 1)
        times = _TIMES.match(self.text, self.at)
        if not times:
            return inside
        self.at = times.end()
        return replace(inside, times=self._whole("how many times over is wanted here"))

    def _stripe(self) -> Leaf:
        amount = _AMOUNT.match(self.text, self.at)
        if not amount:
            stray = self.text[self.at].isalpha()
            hint = _IN_QUOTES if stray else _SPELLING
            raise self._unread(self.at, f"a number of {self.noun} is wanted here", hint)
        unit = _UNIT.match(self.text, amount.end())
        if unit and unit[1].casefold() in LENGTH.units and _NAME_NEXT.match(self.text, unit.end()):
            return self._band(amount, unit)
        threads = self._whole(f"a whole number of {self.noun} is wanted here")
        yarn, column = self._yarn(str(threads))
        return Stripe(yarn, threads, column)

    def _band(self, amount: re.Match[str], unit: re.Match[str]) -> Band:
        if self.side == "warp":
            hint = "Give a number of ends: the width times the sett."
            raise self._unread(self.at, "a warp is told in ends, not in lengths", hint)
        said = f"{amount[0]} {unit[1]}"
        tidy = length(said, f"column {self.at + 1} of the {self.what}").said
        self.at = unit.end()
        yarn, column = self._yarn(said)
        return Band(yarn, tidy, column)

    def _whole(self, wanted: str) -> int:
        found = _WHOLE.match(self.text, self.at)
        if not found:
            raise self._unread(self.at, wanted)
        if len(found[0]) > MOST_FIGURES or not 1 <= int(found[0]) <= MOST_THREADS:
            raise ImpossibleValue(
                f"the number in column {self.at + 1} of the {self.what}",
                shown(found[0]),
                f"a whole number from 1 to {MOST_THREADS:,}".replace(",", " "),
            )
        self.at = found.end()
        return int(found[0])

    def _yarn(self, after: str) -> tuple[str, int]:
        """The name that stands next, and its column."""
        self._over_space()
        start = self.at
        if start < len(self.text) and self.text[start] in _QUOTED:
            found = _QUOTED[self.text[start]].match(self.text, start)
            if not found:
                raise self._unread(start, "this quote is never closed")
            self.at = found.end()
            mark = self.text[start]
            return found[1].replace(2 * mark, mark), start + 1
        found = _PLAIN_NAME.match(self.text, start)
        if not found:
            raise self._unread(start, f"no yarn is named after {after}", _IN_QUOTES)
        self.at = found.end()
        return found[0], start + 1

    def _over_space(self) -> None:
        while self.at < len(self.text) and self.text[self.at].isspace():
            self.at += 1

    def _unread(self, at: int, why: str, hint: str = _SPELLING) -> UnreadableValue:
        return UnreadableValue(self.what, shown(self.text), f"column {at + 1}: {why}", hint)
