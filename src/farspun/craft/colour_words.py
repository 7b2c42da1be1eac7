"""Every word a colour note may hold, by what it tells, and the shades that words make together."""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

from farspun.craft.colour_css import CSS
from farspun.craft.colour_fleece import DYES, FLEECE, LAND
from farspun.craft.colour_survey import SURVEY
from farspun.craft.colour_terms import (
    ALMOST,
    AMOUNTS,
    BITS,
    BREEDS,
    LACED,
    LIES,
    NO_COLOUR,
    NO_COLOUR_PHRASES,
    ORIGIN,
    PRAISE,
    REFUSED,
    SHIFTS,
    SPELLED,
    THINGS,
    VERY,
)
from farspun.craft.yarn_colour import Shade

Srgb = tuple[float, float, float]
Entry = tuple[str, Any]  # what it tells, and the value that goes with it
UNDYED = ("natural", "bleached", "unbleached")  # shades where they stand alone
FITS = 41  # steps of chroma tried when a shifted shade leaves sRGB; judgement: 2.5 % each
ROUNDED = 1e-6  # of full sRGB that is no more than a rounding


@dataclass(frozen=True, slots=True)
class Lexicon:
    """Phrases and what they tell; by the first word how many words the phrases that begin with it
    have, most first; and every word there is in any of them."""

    phrases: dict[str, Entry]
    longest: dict[str, tuple[int, ...]]
    words: frozenset[str]


def entries(text: str) -> Iterator[tuple[str, tuple[float, float, float]]]:
    """Names and sRGB of a table written "name rrggbb, …".

    >>> list(entries("rust ff0000, pale oat 000000"))
    [('rust', (1.0, 0.0, 0.0)), ('pale oat', (0.0, 0.0, 0.0))]
    """
    for entry in text.replace("\n", " ").split(","):
        name, _, value = entry.strip().rpartition(" ")
        yield name, srgb_from_hex(value)


def srgb_from_hex(digits: str) -> tuple[float, float, float]:
    """sRGB of rrggbb.

    >>> srgb_from_hex("ff0033")
    (1.0, 0.0, 0.2)
    """
    red, green, blue = (int(digits[at : at + 2], 16) / 255 for at in (0, 2, 4))
    return red, green, blue


@lru_cache(maxsize=1)
def shades() -> dict[str, Shade]:
    """Every named shade; fleece, dye and land words go before the survey, that before CSS.

    >>> shades()["madder"].source, shades()["slate"].source, shades()["thistle"].source
    ('memory', 'survey', 'css')
    """
    found: dict[str, Shade] = {}
    tables = ((CSS, "css"), (SURVEY, "survey"), (LAND, "memory"), (DYES, "memory"))
    for text, source in (*tables, (FLEECE, "memory")):
        for name, srgb in entries(text):
            found[name] = Shade(name, srgb, source)
    return found


@lru_cache(maxsize=1)
def dyes() -> frozenset[str]:
    """Names of shades that are dyestuffs."""
    return frozenset(name for name, _ in entries(DYES))


@lru_cache(maxsize=1)
def lexicon() -> Lexicon:
    """Every phrase, built once; where one word tells two things the shade goes last but for
    heather, which is a way to lie first."""
    phrases: dict[str, Entry] = dict.fromkeys(NO_COLOUR, ("nothing", None))
    phrases |= dict.fromkeys(NO_COLOUR_PHRASES, ("nothing", None))
    phrases |= dict.fromkeys(PRAISE.split(), ("nothing", None))
    phrases |= dict.fromkeys(THINGS, ("thing", None))
    named = shades()
    for name, shade in named.items():
        phrases[name] = ("shade", shade)
        phrases.setdefault(name.replace(" ", ""), ("shade", shade))
    phrases |= {name: ("shift", shift) for name, shift in SHIFTS.items()}
    phrases |= {name: ("very", times) for name, times in VERY.items()}
    phrases |= {name: ("amount", (name, share)) for name, share in AMOUNTS.items()}
    phrases |= {name: ("bits", (name, share)) for name, share in BITS.items()}
    phrases |= {name: ("laced", (name, share)) for name, share in LACED.items()}
    phrases |= {name: ("lie", (name, lie)) for name, lie in LIES.items()}
    phrases |= dict.fromkeys(ORIGIN, ("origin", None))
    phrases |= dict.fromkeys(REFUSED, ("refused", None))
    phrases |= {"each": ("each", None), "of": ("of", None)}
    phrases |= dict.fromkeys(UNDYED, ("natural", None))
    phrases |= dict.fromkeys(ALMOST, ("almost", None))
    breeds = [one.strip() for one in BREEDS.replace("\n", " ").split(",")]
    phrases |= dict.fromkeys(breeds, ("nothing", None))
    phrases |= dict.fromkeys(("part", "parts"), ("parts", None))
    lengths: dict[str, set[int]] = {}
    for phrase in phrases:
        split = phrase.split(" ")
        lengths.setdefault(split[0], set()).add(len(split))
    longest = {word: tuple(sorted(many, reverse=True)) for word, many in lengths.items()}
    return Lexicon(phrases, longest, frozenset(" ".join(phrases).split(" ")))


@lru_cache(maxsize=65536)
def plain(word: str) -> str:
    """A word as the tables have it: one spelling, and the singular where only that is known.

    >>> plain("grays"), plain("navies"), plain("hulls"), plain("quux")
    ('grey', 'navy', 'hull', 'quux')
    """
    word = SPELLED.get(word, word)
    known = lexicon().words
    if word in known:
        return word
    if word.endswith(("'s", "’s")) and word[:-2] in known:
        return word[:-2]
    forms = [word[:-3] + "y"] if word.endswith("ies") else []
    forms += [word[:-1]] if word.endswith("s") else []
    forms += [word[:-2], word[:-3] + "f"] if word.endswith("es") else []
    return next((one for one in forms if one in known), word)


@lru_cache(maxsize=4096)
def tinting(word: str) -> Shade | None:
    """The shade of which a word in -ish or -y says that there is some; None where it is no such
    word.

    >>> tinting("reddish").name, tinting("mossy").name, tinting("purplish").name, tinting("radish")
    ('red', 'moss', 'purple', None)
    """
    ending = next((one for one in ("ish", "ey", "y") if word.endswith(one)), "")
    if not ending or len(word) - len(ending) < (2 if ending == "ish" else 3):
        return None
    stem, named = word.removesuffix(ending), shades()
    forms = (stem, stem + "e", stem[:-1] if stem[-1] == stem[-2] else stem)
    found = next((named[one] for one in forms if one in named), None)
    return tinting(word[:-2] + "y") if found is None and ending == "ey" else found


@lru_cache(maxsize=1024)
def meant(word: str) -> str | None:
    """The colour word that was meant, where one differs by a slip of the pen.

    >>> meant("indgo"), meant("wibble")
    ('indigo', None)
    """
    from difflib import get_close_matches

    if len(word) < 4:
        return None
    words = {one for name in shades() for one in name.split(" ") if len(one) > 3}
    return next(iter(get_close_matches(word, sorted(words), 1, 0.8)), None)


@lru_cache(maxsize=16384)
def shifted(name: str, shade: Shade, lighter: float, chroma: float) -> Shade:
    """A shade lighter or darker by so much L*, its chroma times `chroma`, within what sRGB shows:
    where that is left, only chroma is given up.

    >>> shifted("light rust", shades()["rust"], 12.0, 1.0).hex
    '#cd5b29'
    """
    srgb = _all_shifted(lighter, chroma).get(shade.srgb)
    if srgb is None:
        lightness, a, b = _lab(shade)
        lightness = min(max(lightness + lighter, 0.0), 100.0)
        srgb = _shown(lightness, chroma * a, chroma * b)[0]
    return Shade(name, srgb, shade.source)


@lru_cache(maxsize=16384)
def between(name: str, one: Shade, other: Shade, share: float) -> Shade:
    """The shade `share` of the way from `one` to `other` in CIELAB.

    >>> between("", shades()["black"], shades()["white"], 0.5).hex
    '#777777'
    """
    way = (a + share * (b - a) for a, b in zip(_lab(one), _lab(other), strict=True))
    lightness, a, b = way
    return Shade(name, _shown(lightness, a, b)[0], other.source)


@lru_cache(maxsize=4096)
def dyed_over(name: str, one: Shade, other: Shade) -> Shade:
    """One dye over another: each takes away its part of the light, so their light multiplies.

    >>> dyed_over("", shades()["indigo"], shades()["weld"]).hex
    '#21300d'
    """
    from farspun.craft.colour_space import light_from_srgb, srgb_from_light

    light = light_from_srgb(one.srgb) * light_from_srgb(other.srgb)
    return Shade(name, _three(srgb_from_light(light)), one.source)


def shade_from_lab(name: str, lab: tuple[float, float, float]) -> tuple[Shade, bool]:
    """The shade of L a b as given, and whether sRGB shows it; else the nearest of less chroma."""
    srgb, shown = _shown(*lab)
    return Shade(name, srgb, "given"), shown


@lru_cache(maxsize=1)
def _labs() -> dict[tuple[float, float, float], tuple[float, float, float]]:
    """CIELAB of every named shade, all at once."""
    from farspun.craft.colour_space import lab_from_srgb

    named = list({shade.srgb for shade in shades().values()})
    return {srgb: _three(lab) for srgb, lab in zip(named, lab_from_srgb(named), strict=True)}


def _lab(shade: Shade) -> tuple[float, float, float]:
    from farspun.craft.colour_space import lab_from_srgb

    return _labs().get(shade.srgb) or _three(lab_from_srgb(shade.srgb))


def lightness(shade: Shade) -> float:
    """L* of a shade, 0-100.

    >>> lightness(shades()["black"]), round(lightness(shades()["white"]))
    (0.0, 100)
    """
    return _lab(shade)[0]


@lru_cache(maxsize=128)
def _all_shifted(lighter: float, chroma: float) -> dict[tuple[float, float, float], Srgb]:
    """Every named shade shifted so far: as quick as a few of them, and there are few shifts."""
    import numpy as np

    labs = np.array(list(_labs().values())) * (1.0, chroma, chroma)
    labs[:, 0] = np.clip(labs[:, 0] + lighter, 0.0, 100.0)
    srgb, _ = _all_shown(labs)
    return {own: _three(one) for own, one in zip(_labs(), srgb, strict=True)}


def _shown(lightness: float, a: float, b: float) -> tuple[Srgb, bool]:
    """sRGB of CIELAB, and whether it is that colour; else the first of less chroma that is."""
    import numpy as np

    srgb, same = _all_shown(np.array([[lightness, a, b]]))
    return _three(srgb[0]), bool(same[0])


def _all_shown(labs: Any) -> tuple[Any, Any]:
    """As `_shown`, of many: (n, 3) and (n)."""
    import numpy as np

    from farspun.craft.colour_space import srgb_from_lab

    srgb = srgb_from_lab(labs)
    same = (np.abs(srgb - 0.5) <= 0.5 + ROUNDED).all(axis=-1)
    rest = np.flatnonzero(~same)
    parts = np.linspace(1.0, 0.0, FITS)[:, None]
    steps = np.stack(
        np.broadcast_arrays(labs[rest, 0], parts * labs[rest, 1], parts * labs[rest, 2])
    )
    tried = srgb_from_lab(np.moveaxis(steps, 0, -1))
    first = (np.abs(tried - 0.5) <= 0.5 + ROUNDED).all(axis=-1).argmax(axis=0)
    srgb[rest] = tried[first, np.arange(len(rest))]
    return srgb.clip(0.0, 1.0), same


def _three(numbers: Any) -> Srgb:
    one, two, three = (float(number) for number in numbers)
    return one, two, three
