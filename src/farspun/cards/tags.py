"""Tags to cut out and hang on skeins, as a PDF; with a QR code where it is asked for."""

from collections.abc import Iterator, Sequence
from typing import Any

from farspun.cards.paper import Paper
from farspun.cards.setting import pdf
from farspun.cards.tag_facts import Length, Tag
from farspun.cards.wording import breakable, figure, together
from farspun.units import (
    say_length,
    say_length_imperial,
    say_mass,
    say_mass_imperial,
    say_per_cm,
    say_per_inch,
)

MOST_NOTED = 60  # signs of a place or a note; judgement: what a tag has room for
HARDLY_KNOWN = 10.0  # times from the 5 to the 95 point: then no middle is named; judgement


def tags_pdf(tags: Sequence[Tag], paper: Paper, qr: bool = False) -> bytes:
    """A sheet of tags, or several. Raises ImpossibleValue where a tag is too long for its place."""
    told = [
        {
            "name": breakable(one.name),
            "lines": [
                {"text": breakable(together(text)), "other": other}
                for text, other in tag_lines(one)
            ],
            "noted": [breakable(together(text)) for text in noted_lines(one)],
            "swatch": one.hex or "",
            "qr": qr_svg(qr_text(one)) if qr else None,
        }
        for one in tags
    ]
    otherwise = "Leave --qr out, or give the skein a shorter name."
    return pdf("tags.typ", {"tags": told}, paper, "a tag", otherwise)


def tag_lines(tag: Tag) -> Iterator[tuple[str, bool]]:
    """The lines of a tag, and whether each is in the other units."""
    yield ", ".join(_yarn(tag)), False
    if tag.mass_g == 0 or (tag.length_m is not None and tag.length_m.p95 == 0):
        yield "used up", False
    else:
        yield from _amount_lines(tag)
    if tag.m_per_100g is not None and tag.yd_per_lb is not None:
        yield f"{tag.m_per_100g:.0f} m per 100 g", False
        yield f"{tag.yd_per_lb:.0f} yd per lb", True
    if tag.wraps_per_cm is not None:
        how = f", wrapped {tag.wrap}" if tag.wrap else ""
        yield say_per_cm(tag.wraps_per_cm).replace(" per", " wraps per") + how, False
        yield say_per_inch(tag.wraps_per_cm).replace(" per", " wraps per") + how, True
    if tag.colour:
        yield tag.colour, False
    if tag.spun:
        yield f"spun {tag.spun}", False


def noted_lines(tag: Tag) -> Iterator[str]:
    """Where it lies and what was noted: left out where the tag has no room for them."""
    if tag.place:
        yield f"place: {shortened(tag.place)}"
    if tag.note:
        yield f"note: {shortened(tag.note)}"


def shortened(text: str) -> str:
    """As much of it as a tag has room for, on one line.

    >>> shortened("chest, left"), len(shortened("word " * 40)) <= MOST_NOTED
    ('chest, left', True)
    """
    line = " ".join(text.split())
    return line if len(line) <= MOST_NOTED else line[: MOST_NOTED - 2].rstrip(" ,;.") + " …"


def _amount_lines(tag: Tag) -> Iterator[tuple[str, bool]]:
    if tag.mass_g is not None:
        yield say_mass(tag.mass_g), False
        yield say_mass_imperial(tag.mass_g), True
    if tag.length_m is None:
        yield "length not known", False
    else:
        yield _about(tag.length_m, say_length), False
        yield _about(tag.length_m, say_length_imperial), True


def _yarn(tag: Tag) -> Iterator[str]:
    yield tag.fibre
    if tag.superwash:
        yield "superwash"
    if tag.plies:
        yield "singles" if tag.plies == 1 else f"{tag.plies}-ply"
    if tag.twist:
        yield f"{tag.twist} twist"
    yield "mill-spun" if tag.mill else f"{tag.draw} draw"
    if tag.washed is not None:
        yield "washed" if tag.washed else "not washed yet"


def _about(length: Length, say_it: Any) -> str:
    """As "about 271 m (258-284)"; the span alone where no middle can be named."""
    low, high = say_it(length.p05), say_it(length.p95)
    same = low.split(" ")[-1] == high.split(" ")[-1]
    if length.p95 > HARDLY_KNOWN * length.p05:
        return f"somewhere from {low} to {high}"
    span = f"{figure(low)}-{figure(high)}" if same else f"{low} to {high}"
    return f"about {say_it(length.p50)} ({span})"


def qr_text(tag: Tag) -> str:
    """What the code says, in plain text: name, grams, metres.

    >>> qr_text(Tag("Gorse", "wool", False, 2, None, "semi", False, None, 112.0,
    ...             Length(258.0, 271.0, 284.0), None, None, None, None, None, None, None))
    'Gorse\\n112 g\\n271 m'
    """
    lines = [tag.name]
    if tag.mass_g is not None:
        lines.append(say_mass(tag.mass_g) if tag.mass_g else "used up")
    if tag.length_m is not None and 0 < tag.length_m.p95 <= HARDLY_KNOWN * tag.length_m.p05:
        lines.append(say_length(tag.length_m.p50))
    return "\n".join(lines)


def qr_svg(text: str) -> str:
    """The QR code of a text as SVG, black on white, with the quiet zone the standard asks for."""
    import segno

    code: str = segno.make_qr(text, error="m").svg_inline(border=4, dark="#000", light="#fff")
    return code.replace("<svg ", '<svg xmlns="http://www.w3.org/2000/svg" ', 1)
