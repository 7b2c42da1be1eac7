"""One part of a colour note, read word by word: what is told in it, the longest phrase first."""

from collections.abc import Callable
from typing import Any

from farspun.craft.colour_segments import Amount, Part, Segment, Shift
from farspun.craft.colour_terms import BASIC, COUNTED, FLECKY, TOTAL
from farspun.craft.colour_tokens import NUMBER, TOKEN, UNITS
from farspun.craft.colour_words import (
    between,
    dyes,
    lexicon,
    lightness,
    plain,
    shade_from_lab,
    shades,
    shifted,
    srgb_from_hex,
    tinting,
)
from farspun.craft.yarn_colour import Lie, Shade

TINT = 1 / 3  # of the way to the shade that -ish tells; judgement
MOST = 1e6  # of a share in per cent or a length in m; judgement: what is more is no such thing

ALMOST_BY = 6.0  # of L* towards the middle; judgement: told apart from the pure shade, and no more
MIDDLE = 50.0  # of L*


class Reader:
    """Goes along the words of one segment, the longest phrase first."""

    __slots__ = (
        "almost", "assumed", "at", "base", "beside", "found", "length_m", "lies", "parts", "shift",
        "tint", "tokens", "unknown", "very", "waiting",
    )  # fmt: skip

    def __init__(self, text: str) -> None:
        self.tokens = [plain(token) for token in TOKEN.findall(text)]
        self.at = 0
        self.found = Segment()
        self.parts: list[Part] = []
        self.unknown: list[str] = []
        self.assumed: list[str] = []
        self.lies: list[tuple[str, Lie]] = []
        self.waiting: Amount | None = None  # for the next shade
        self.length_m: float | None = None  # likewise
        self.shift: Shift | None = None
        self.base: Shade | None = None
        self.almost = ""
        self.very: tuple[str, float] | None = None
        self.tint: tuple[str, Shade] | None = None
        self.beside = False  # whether the token before was a shade

    def read(self) -> Segment:
        """To the end."""
        tokens, lex = self.tokens, lexicon()
        phrases, longest = lex.phrases, lex.longest
        while self.at < len(tokens):
            word = tokens[self.at]
            for many in longest.get(word, ()):
                phrase = word if many == 1 else " ".join(tokens[self.at : self.at + many])
                if phrase in phrases:
                    kind, value = phrases[phrase]
                    self.at += many
                    READS[kind](self, phrase, value)
                    break
            else:
                self.at += 1
                self._other(word)
        return self._ended()

    def shade(self, phrase: str, shade: Shade) -> None:
        """A shade by its name."""
        if self._thing(phrase):
            return
        if self.shift is not None or self.tint is not None or self.almost:
            shade = self._changed(shade)
        if self.beside and phrase in BASIC and self.parts[-1].shade.name not in BASIC:
            self._kind_of(shade)
        else:
            self._add(shade)

    def _thing(self, phrase: str) -> bool:
        """Whether it only tells of a thing: "stone house"; a dye bath has the colour of the dye."""
        after = self.tokens[self.at] if self.at < len(self.tokens) else ""
        is_thing = lexicon().phrases.get(after, ("", None))[0] == "thing"
        if is_thing and phrase not in dyes():
            self.assumed.append(f"“{phrase} {after}” is taken as no colour")
            self.at += 1
            return True
        return False

    def _changed(self, shade: Shade) -> Shade:
        """As lighter, darker or tinted as was told before it."""
        if self.tint is not None:
            word, tint = self.tint
            name = f"{word} {shade.name}"
            self._assume(f"“{name}” is taken as {shade.name}, a third of the way to {tint.name}")
            shade, self.tint = between(name, shade, tint, TINT), None
        if self.shift is not None:
            lighter, chroma, words = self.shift
            name = " ".join((*words, shade.name))
            colour = "" if chroma == 1 else f", its chroma {chroma:.2g} times"
            sign = "+" if lighter >= 0 else "-"
            self._assume(f"“{name}” is taken as {shade.name}, {sign}{abs(lighter):g} L*{colour}")
            self.base, self.shift = shade, None
            shade = shifted(name, shade, lighter, chroma)
        if self.almost:
            shade = self._nearly(shade)
        return shade

    def _nearly(self, shade: Shade) -> Shade:
        """ "almost black": a little lighter; what is light a little darker."""
        name = f"{self.almost} {shade.name}"
        lighter = ALMOST_BY if lightness(shade) < MIDDLE else -ALMOST_BY
        self._assume(f"“{name}” is taken as {shade.name}, {lighter:+g} L*")
        self.almost = ""
        return shifted(name, shade, lighter, 1.0)

    def _kind_of(self, shade: Shade) -> None:
        """ "moorit brown": a brown like moorit."""
        before = self.parts[-1]
        name = f"{before.shade.name} {shade.name}"
        self._assume(f"“{name}” is taken as half way between the two")
        before.shade = between(name, before.shade, shade, 0.5)

    def _add(self, shade: Shade) -> None:
        self.parts.append(Part(shade, self.waiting, self.length_m, self.base))
        self.waiting = self.length_m = self.base = None
        self.beside = True

    def _assume(self, what: str) -> None:
        self.assumed.append(what)

    def amount(self, phrase: str, value: tuple[str, float]) -> None:
        """A word of how much: of the next shade."""
        self.waiting, self.beside = ("word", value[1], phrase), False

    def bits(self, phrase: str, value: tuple[str, float]) -> None:
        """Flecks and the like: of the shade before, with "of" of the next."""
        self.found.flecks |= phrase in FLECKY
        told = self.waiting if self.waiting is not None else ("word", value[1], phrase)
        if self.parts and self.parts[-1].amount is None and not self._of_follows():
            self.parts[-1].amount = told
            self.waiting = None
        elif self.parts and not self._of_follows():
            pass  # "a few oat flecks": the amount that was told stands
        else:
            self.waiting = told
        self.beside = False

    def _of_follows(self) -> bool:
        return self.at < len(self.tokens) and self.tokens[self.at] == "of"

    def laced(self, phrase: str, value: tuple[str, float]) -> None:
        """ "flecked with": of the shade that comes next, in this segment or the one after."""
        self.found.flecks |= phrase in FLECKY
        if self.at == len(self.tokens):
            self.found.ahead = ("word", value[1], phrase)
        self.beside = False

    def lie(self, phrase: str, value: tuple[str, Lie]) -> None:
        """How the shades lie."""
        self.lies.append(value)

    def lighter(self, phrase: str, value: tuple[float, float]) -> None:
        """Light, dark, dusty and the like; after "very" more so."""
        lighter, chroma = value
        words = [phrase]
        if self.very is not None:
            words.insert(0, self.very[0])
            lighter, chroma = lighter * self.very[1], chroma ** self.very[1]
            self.very = None
        if self.shift is not None:
            words = self.shift[2] + words
            lighter, chroma = lighter + self.shift[0], chroma * self.shift[1]
        self.shift, self.beside = (lighter, chroma, words), False

    def times(self, phrase: str, value: float) -> None:
        """Very, slightly."""
        self.very = (phrase, value)

    def origin(self, phrase: str, value: None) -> None:
        """ "from" at the start may begin a gradient; else what follows is no colour."""
        if phrase == "from" and (self.at == 1 or (self.lies and not self.parts)):
            self.found.starts = True
        else:
            self._unread(phrase)

    def refused(self, phrase: str, value: None) -> None:
        """ "no red": what follows is not there."""
        self._unread(phrase)

    def _unread(self, phrase: str) -> None:
        rest = " ".join([phrase, *self.tokens[self.at :]])
        self._assume(f"no colours are read from “{rest[:60]}”")
        self.at = len(self.tokens)

    def natural(self, phrase: str, value: None) -> None:
        """A shade where it stands alone; before another shade it only says undyed."""
        after = self.tokens[self.at] if self.at < len(self.tokens) else ""
        if lexicon().phrases.get(after, ("", None))[0] not in ("shade", "shift"):
            self.shade(phrase, shades()[phrase])

    def nearly(self, phrase: str, value: None) -> None:
        """Almost, nearly: of the shade that follows."""
        self.almost, self.beside = phrase, False
        self.found.almost |= not self.parts

    def each(self, phrase: str, value: None) -> None:
        """What is told holds for every shade."""
        self.found.each = True

    def in_parts(self, phrase: str, value: None) -> None:
        """ "2 parts navy"."""
        if self.waiting is not None and self.waiting[0] == "bare":
            self.waiting = ("parts", self.waiting[1], f"{self.waiting[2]} {phrase}")

    def nothing(self, phrase: str, value: None) -> None:
        """Words that tell no colour."""
        self.found.total |= phrase in TOTAL
        self.beside = False

    def _other(self, token: str) -> None:
        """A number, a shade in figures, a word in -ish, or what is not known."""
        first = token[0]
        if first == "#" and len(token) == 7:
            self._given(Shade(token, srgb_from_hex(token[1:]), "given"))
        elif token.startswith("lab~"):
            self._lab(token)
        elif "0" <= first <= "9":
            self._number(token)
        elif (tint := tinting(token)) is not None:
            if self.tint is not None:
                self._tint_alone(*self.tint)
            self.tint, self.beside = (token, tint), False
        else:
            self.unknown.append(token)
            self.beside = False

    def _given(self, shade: Shade) -> None:
        """A shade in figures says what the word before it is."""
        before = self.parts[-1] if self.parts else None
        if before is None or before.shade.source == "given" or not self.beside:
            self._add(shade)
            return
        self._assume(f"“{before.shade.name}” is taken as {shade.name}, as it is given")
        before.shade, before.before = shade, None

    def _tint_alone(self, word: str, tint: Shade) -> None:
        self.tint = None
        self._assume(f"“{word}” is taken as {tint.name}")
        self._add(self._changed(tint))

    def _lab(self, token: str) -> None:
        lightness, a, b = (float(one) for one in token.split("~")[1:])
        name = f"lab {lightness:g} {a:g} {b:g}"
        if not 0 <= lightness <= 100 or max(abs(a), abs(b)) > 200:
            self.unknown.append(name)
            return
        shade, shown = shade_from_lab(name, (lightness, a, b))
        if not shown:
            self._assume(f"“{name}” is more vivid than sRGB shows: {shade.hex} is taken")
        self._add(shade)

    def _number(self, token: str) -> None:
        """A share, a length, or a bare number, of the shade before or the next."""
        number = NUMBER.match(token)
        assert number is not None
        value, unit = float(number.group()), token[number.end() :].strip()
        if self.at > 1 and self.tokens[self.at - 2] in COUNTED:
            return
        if value > MOST:
            self.unknown.append(token[:20])
            return
        if unit in UNITS:
            self._length(value * UNITS[unit])
            return
        if unit.startswith("/"):
            below = float(unit[1:])
            if not 0 < value < below <= 100:
                self.unknown.append(token)
                return
            told: Amount = ("exact", value / below, token)
        elif unit:
            told = ("exact", value / 100, token)
        else:
            told = ("bare", value, token)
        self._attach(told)

    def _attach(self, told: Amount) -> None:
        """To the shade before where the segment began with one, else to the next."""
        parts = self.parts
        if parts and parts[-1].amount is None and (parts[0] is parts[-1] or parts[0].amount):
            parts[-1].amount = told
        else:
            self.waiting = told
        self.beside = False

    def _length(self, length_m: float) -> None:
        parts = self.parts
        if parts and parts[-1].length_m is None and not self.found.each:
            parts[-1].length_m = length_m
        else:
            self.length_m = length_m
        self.beside = False

    def _ended(self) -> Segment:
        """What waited for a shade that did not come, and all that was found."""
        if self.tint is not None:
            self._tint_alone(*self.tint)
        if self.shift is not None and self.parts:  # "navy, dark" in one segment: "navy (dark)"
            self.parts[-1].shade = self._changed(self.parts[-1].shade)
        elif self.shift is not None:
            self.found.shift = self.shift
        if self.waiting is not None and self.parts and self.parts[-1].amount is None:
            self.parts[-1].amount, self.waiting = self.waiting, None
        found = self.found
        found.parts, found.amount, found.length_m = tuple(self.parts), self.waiting, self.length_m
        found.lies, found.unknown = tuple(self.lies), tuple(self.unknown)
        found.assumed = tuple(self.assumed)
        found.lengths = any(part.length_m for part in found.parts)
        found.more = bool(
            found.amount or found.length_m or found.starts or found.lies or found.unknown
            or found.assumed or found.shift or found.lengths
        )  # fmt: skip
        return found


READS: dict[str, Callable[[Reader, str, Any], None]] = {
    "shade": Reader.shade,
    "amount": Reader.amount,
    "bits": Reader.bits,
    "laced": Reader.laced,
    "lie": Reader.lie,
    "shift": Reader.lighter,
    "very": Reader.times,
    "origin": Reader.origin,
    "refused": Reader.refused,
    "natural": Reader.natural,
    "almost": Reader.nearly,
    "each": Reader.each,
    "parts": Reader.in_parts,
    "nothing": Reader.nothing,
    "thing": Reader.nothing,
    "of": Reader.nothing,
}
