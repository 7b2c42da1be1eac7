"""A note of a yarn's colours in free words, read: its shades, how much of each, how they lie.

Nothing is guessed in silence: what is taken for something stands in `assumed`, what is not known
in `unknown_words`. Reading never fails.
"""

import re
import unicodedata
from collections.abc import Sequence
from functools import lru_cache

from farspun.craft.colour_fleece import FLEECE
from farspun.craft.colour_parts import segment
from farspun.craft.colour_phrases import retold
from farspun.craft.colour_reader import TINT
from farspun.craft.colour_segments import Amount, Part, Segment, Shift
from farspun.craft.colour_shares import shares
from farspun.craft.colour_terms import ALMOST, BASIC, LIE_ORDER, LINKS, OVER, SHIFTS
from farspun.craft.colour_words import between, dyed_over, entries, shades, shifted
from farspun.craft.yarn_colour import Lie, Shade, Stretch, YarnColour

MOST_READ = 1000  # characters; judgement: five times what a skein's note may have
MOST_SHADES = 24  # judgement: more than any yarn is told to have
# What parts a note: it begins with one of a few characters, which is quick to look for; the rest
# looks back at which one it was
SPLIT = re.compile(
    r"([-,;+&|:→>.!?/ ](?:(?<=[,;+&|:→>])|(?<=-)>|(?<=[.!?/])(?!\d)|(?<=(?<!\d)/)"
    r"|(?<= )(?:with|and|plus|but|then|to|into|through|over|[-–—]+"
    r"|(?:over-?)?dyed (?:with|using|in))(?= )))"
)
DYED_OVER = frozenset(
    (OVER, "overdyed with", "overdyed in", "over-dyed with", "over-dyed in")
)  # one dye over another
DYED = frozenset(("dyed with", "dyed using", "dyed in"))
GO_ON = frozenset(("and", "plus", "+", "&", "with"))  # a list of dyes goes on
LAB = re.compile(
    r"\blab\s*[:(]?\s*(-?[0-9]+(?:\.[0-9]+)?)[\s,]+(-?[0-9]+(?:\.[0-9]+)?)[\s,]+(-?[0-9]+(?:\.[0-9]+)?)\)?"
)


def yarn_colour(note: str | None) -> YarnColour:
    """What a colour note says. Never fails.

    >>> read = yarn_colour("slate with oat flecks, a little madder")
    >>> [(one.shade.name, round(one.share, 2)) for one in read.stretches], read.lie.value
    ([('slate', 0.8), ('oat', 0.1), ('madder', 0.1)], 'marl')
    """
    return _read(note) if note else YarnColour(Lie.UNKNOWN, ())


@lru_cache(maxsize=4096)
def _read(note: str) -> YarnColour:
    text = note[:MOST_READ]
    text = text.lower() if text.isascii() else unicodedata.normalize("NFC", text).casefold()
    text = f" {' '.join(text.split())} "
    if "lab" in text:
        text = LAB.sub(r" lab~\1~\2~\3 ", text)
    if "(" in text or "[" in text:
        text = re.sub(r"[()\[\]]", " ", text)
    split = SPLIT.split(retold(text))
    read = _Whole([segment(one.strip()) for one in split[::2]], split[1::2])
    return read.colour(len(note) > MOST_READ)


class _Whole:
    """The segments of a note, put together. Parts belong to the segments: changed ones are new."""

    __slots__ = (
        "apart", "assumed", "dyes", "flecks", "lengths_told", "linked", "parts", "segments",
        "shift", "told", "unknown",
    )  # fmt: skip

    def __init__(self, segments: Sequence[Segment], marks: Sequence[str]) -> None:
        self.segments = segments
        self.parts: list[Part] = []
        self.unknown: list[str] = []
        self.assumed: list[str] = []
        self.linked = self.lengths_told = self.apart = self.flecks = False
        self.told: list[tuple[str, Lie]] = []
        self.shift: Shift | None = None  # for the next shade
        self.dyes = False  # whether dyes are named that made the shade before
        before: Segment | None = None
        for at, one in enumerate(segments):
            mark = marks[at - 1].strip() if at else ""
            if self.dyes or mark in DYED:
                self.dyes = (self.dyes and mark in GO_ON) or (mark in DYED and bool(self.parts))
            if one.parts:
                self._shades(one, mark, before)
            if one.flecks:
                self.flecks = True
            if one.more:
                self._more(one)
            if one.shift is not None:
                self._shift(one.shift, marks[at].strip() if at < len(marks) else "")
            before = one
        self._no_shade_came()

    def _shades(self, one: Segment, mark: str, before: Segment | None) -> None:
        """The shades of a segment: new ones, as most are, or told of what was told before."""
        new = one.parts
        if self.dyes:
            names = " and ".join(part.shade.name for part in new)
            self.assumed.append(f"“{names}” is taken as the dye, not as a shade")
            return
        if mark == "," and self._told_of_the_last(one):
            return
        if mark in DYED_OVER and self._dyed_over(new, mark == OVER):
            return
        if self.shift is not None:
            self._first_of_two(self.shift, new[0])
        self.parts += new
        if before is not None:
            self._after(before, mark, new)

    def _after(self, before: Segment, mark: str, new: tuple[Part, ...]) -> None:
        """What the segment before shades tells of them: a link, or "flecked with"."""
        if mark in LINKS and (before.parts or before.shift):
            self.linked = True
        if before.ahead is not None and new[0].amount is None:
            self._amount_of(-len(new), before.ahead)

    def _no_shade_came(self) -> None:
        """ "light" and no shade behind it."""
        if self.shift is not None:
            self.unknown += self.shift[2]

    def _told_of_the_last(self, one: Segment) -> bool:
        """ "grey fleece, natural" and "brown, almost black": no shade of its own."""
        if len(one.parts) != 1 or len(self.parts) != 1:
            return False
        last, new = self.parts[0].shade, one.parts[0].shade
        if one is self.segments[-1] and new.name == "natural":
            return last.name in BASIC or last.name in {name for name, _ in entries(FLEECE)}
        almost, _, rest = new.name.partition(" ")
        if not (one.almost or almost in ALMOST) or one.parts[0].amount or self.parts[0].amount:
            return False
        new = shades().get(rest, new) if almost in ALMOST else new
        name = f"{last.name}, {new.name}"
        self.assumed.append(f"“{name}” is taken as {last.name}, a third of the way to {new.name}")
        self.parts[0] = Part(between(name, last, new, TINT), None, self.parts[0].length_m)
        return True

    def _shift(self, shift: Shift, mark: str) -> None:
        """ "light to dark blue": of the next shade; "blue, very pale": of the one before."""
        if self.parts and self.shift is None and mark not in ("/", *LINKS):
            last = self.parts[-1]
            self.parts[-1] = Part(self._shifted(shift, last.shade), last.amount, last.length_m)
        else:
            self._no_shade_came()
            self.shift = shift

    def _shifted(self, shift: Shift, shade: Shade) -> Shade:
        lighter, chroma, words = shift
        name = " ".join((*words, shade.name))
        if name in shades():
            return shades()[name]
        self.assumed.append(f"“{name}” is taken as {shade.name}, {lighter:+g} L*")
        return shifted(name, shade, lighter, chroma)

    def _first_of_two(self, shift: Shift, new: Part) -> None:
        """ "light/dark grey": the first of two shades of one name, told by its shift alone."""
        self.shift = None
        self.parts.append(Part(self._shifted(shift, _plain_shade(new)), new.amount))

    def _amount_of(self, at: int, amount: Amount) -> None:
        part = self.parts[at]
        self.parts[at] = Part(part.shade, amount, part.length_m)

    def _length_of(self, at: int, length_m: float | None) -> None:
        part = self.parts[at]
        self.parts[at] = Part(part.shade, part.amount, length_m)

    def _more(self, one: Segment) -> None:
        """What a segment tells beside its shades."""
        self.unknown += one.unknown
        self.assumed += one.assumed
        self.told += one.lies
        self.apart |= one.starts
        self.lengths_told |= one.lengths
        if one.amount is not None:
            self._amount(one)
        if one.length_m is not None:
            self._length(one)

    def _dyed_over(self, new: tuple[Part, ...], new_is_under: bool) -> bool:
        """A dye over another, or over a fleece: one shade of both."""
        if not self.parts or len(new) != 1 or self.parts[-1].amount or new[0].amount:
            return False
        over, under = self.parts[-1].shade, new[0].shade
        if not new_is_under:
            over, under = under, over
        name = f"{over.name} over {under.name}"
        self.parts[-1] = Part(dyed_over(name, over, under))
        self.assumed.append(f"“{name}” is taken as the light of both multiplied")
        return True

    def _amount(self, one: Segment) -> None:
        """An amount that stands by itself: of the shade before, or of all."""
        assert one.amount is not None
        if one.amount[0] == "bare":
            self.unknown += [] if one.total else [one.amount[2]]
        elif one.each:
            pass  # alike is what is taken anyhow
        elif self.parts and self.parts[-1].amount is None:
            self._amount_of(-1, one.amount)
        else:
            self.assumed.append(f"“{one.amount[2]}” goes with no shade")

    def _length(self, one: Segment) -> None:
        """A length that stands by itself: of each stretch, or of the last one."""
        rest = [at for at, part in enumerate(self.parts) if part.length_m is None]
        if one.total or not rest:
            return
        if not one.each and len(rest) < len(self.parts):
            rest = rest[-1:]
        for at in rest:
            self._length_of(at, one.length_m)
        self.lengths_told = True

    def colour(self, cut: bool) -> YarnColour:
        """All of it as plain data."""
        if cut:
            self.assumed.append(f"only the first {MOST_READ} characters are read")
        told = self.told
        if not self.parts and any(word == "heather" for word, _ in told):
            self.parts.append(Part(shades()["heather"]))
            self.assumed.append("“heather” is taken as the shade, as no other is told")
            told = [one for one in told if one[0] != "heather"]
        self._given()
        if len(self.parts) > MOST_SHADES:
            self.parts = self.parts[:MOST_SHADES]
            self.assumed.append(f"only the first {MOST_SHADES} shades are taken")
        if self.apart and not self.linked:
            self._origins()
        self.parts = [one for one in self.parts if one.amount is None or one.amount[1] > 0]
        if not self.parts:
            return YarnColour(Lie.UNKNOWN, (), _once(self.unknown), _once(self.assumed))
        lie = self._lie({lie for _, lie in told} if told else set())
        if self.lengths_told:
            self._lengths(lie)
        shared, more, unread = shares(self.parts)
        stretches = [
            Stretch(part.shade, share, part.length_m)
            for part, share in zip(self.parts, shared, strict=True)
        ]
        self.unknown += unread
        self.assumed += more
        return YarnColour(lie, tuple(stretches), _once(self.unknown), _once(self.assumed))

    def _given(self) -> None:
        """ "rust, #a1b2c3": one shade, and the figures say which."""
        if len(self.parts) != 2 or self.linked:
            return
        given = [one for one in self.parts if one.shade.source == "given"]
        if len(given) != 1:
            return
        if any(one.amount or one.length_m for one in self.parts):
            return
        (word,) = (one.shade.name for one in self.parts if one is not given[0])
        self.assumed.append(f"“{word}” is taken as {given[0].shade.name}, as it is given")
        self.parts = given

    def _origins(self) -> None:
        """ "from the white farm" without "to": no colour, but where it is from."""
        for at, one in enumerate(self.segments):
            if one.starts and one.parts and (at > 0 or len(self.parts) > len(one.parts)):
                first = sum(len(other.parts) for other in self.segments[:at])
                names = ", ".join(part.shade.name for part in one.parts)
                self.assumed.append(f"“from … {names}” tells where it is from: no colour is read")
                self.parts[first : first + len(one.parts)] = []

    def _lie(self, told: set[Lie]) -> Lie:
        """As told, else by what the note says of its shades."""
        for lie in LIE_ORDER if told else ():
            if lie in told and not (lie is Lie.SOLID and len(self.parts) > 1):
                if len(self.parts) == 1 and lie is not Lie.SOLID:
                    self.assumed.append(f"{lie.value}, but only one shade is known")
                return lie
        if len(self.parts) == 1:
            return Lie.SOLID
        if self.lengths_told:
            return Lie.STRIPING
        if self.linked:
            return Lie.GRADIENT
        if self.flecks:
            return Lie.MARL
        self.assumed.append("how the shades lie is not told: taken as variegated")
        return Lie.VARIEGATED

    def _lengths(self, lie: Lie) -> None:
        """Lengths belong to stripes; where some are told, the others are their mean."""
        known = [part.length_m for part in self.parts if part.length_m]
        if not known:
            return
        if lie is not Lie.STRIPING:
            self.assumed.append("a length is told, but no stretches: it is not read")
            self.parts = [Part(part.shade, part.amount) for part in self.parts]
            return
        mean_m = sum(known) / len(known)
        for at, part in enumerate(self.parts):
            if not part.length_m:
                self._length_of(at, mean_m)
                self.assumed.append(
                    f"{part.shade.name} is taken {mean_m:.3g} m long, as the others"
                )


def _plain_shade(part: Part) -> Shade:
    """A shade without its "dark" or "light", where it is known so."""
    if part.before is not None:
        return part.before
    first, _, rest = part.shade.name.partition(" ")
    return shades().get(rest, part.shade) if first in SHIFTS else part.shade


def _once(words: Sequence[str]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(words) if len(words) > 1 else words)
