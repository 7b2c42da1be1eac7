"""One part of a colour note, between two separators: its shades, and what is told of them.

Most parts are one shade with its amount: they are put together from what is kept of the shade. The
others are read word by word (colour_reader)."""

from functools import lru_cache

from farspun.craft.colour_reader import MOST, Reader
from farspun.craft.colour_segments import Amount, Part, Segment
from farspun.craft.colour_terms import AMOUNTS, BITS, FLECKY, ORIGIN, REFUSED
from farspun.craft.colour_tokens import AMOUNT_FIRST, DIGITS
from farspun.craft.colour_words import lexicon


def segment(text: str) -> Segment:
    """A part of a note in small letters; who gets it must not change it.

    >>> [(part.shade.name, part.amount) for part in segment("a little madder").parts]
    [('madder', ('word', 0.1, 'a little'))]
    """
    if text[:1] in DIGITS and (found := _simple(text)):
        return found  # "60% navy" is not kept: hardly one of them comes again
    return _kept(text)


@lru_cache(maxsize=65536)  # the same few words stand in note after note
def _kept(text: str) -> Segment:
    kind, value = lexicon().phrases.get(text, ("", None))
    if kind == "shade":
        return Segment((Part(value),), more=False)
    return _simple(text) or Reader(text).read()


def _simple(text: str) -> Segment | None:
    """One shade with its amount before or after it, as most segments are; None for any other.

    It comes to what the reader finds (held by a test), and the shade by itself is kept."""
    first = AMOUNT_FIRST.match(text)
    if first is not None:
        percent, word = first.groups()
        if percent is None:
            return _one(text[first.end() :], ("word", AMOUNTS[word], word))
        if (share := float(percent)) <= MOST:
            return _one(text[first.end() :], ("exact", share / 100, first[0].rstrip()))
        return None
    if text.startswith("from "):
        return _from(text[len("from ") :])
    return _in_bits(text)


AWAY = REFUSED | ORIGIN  # after these nothing is a colour any more


def _in_bits(text: str) -> Segment | None:
    """ "oat flecks", "pale oat flecks"; None for any other."""
    shade, _, last = text.rpartition(" ")
    if last not in BITS or not shade or last in shade or not AWAY.isdisjoint(shade.split()):
        return None
    found = _one(shade, ("word", BITS[last], last), last in FLECKY)
    if found is None or found.parts[0].before is None or found.parts[0].shade.name == shade:
        return found
    return None  # told lighter or darker, and more is told beside that


def _one(text: str, told: Amount, flecks: bool = False) -> Segment | None:
    """A shade by itself, with that amount."""
    rest = _alone(text)
    if rest is None:
        return None
    part = rest.parts[0]
    return Segment(
        (Part(part.shade, told, None, part.before),), flecks=flecks, unknown=rest.unknown,
        assumed=rest.assumed, more=rest.more,
    )  # fmt: skip


def _from(text: str) -> Segment | None:
    """A shade by itself after "from"; a second "from" would tell where the yarn is from."""
    rest = _alone(text) if "from" not in text else None
    if rest is None:
        return None
    return Segment(rest.parts, starts=True, unknown=rest.unknown, assumed=rest.assumed)


@lru_cache(maxsize=16384)  # amounts differ from note to note, the shades beside them come again
def _alone(text: str) -> Segment | None:
    """A segment of one shade and nothing but what was assumed of it; None for any other."""
    rest = segment(text)
    if len(rest.parts) != 1 or rest.flecks or rest.each or rest.total or rest.almost:
        return None
    if rest.amount or rest.length_m or rest.lies or rest.starts or rest.ahead:
        return None
    part = rest.parts[0]
    if part.amount or part.length_m or part.shade.source == "given":
        return None
    return rest
