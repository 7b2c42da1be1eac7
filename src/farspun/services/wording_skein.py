"""A skein in words, for the screen and the pages alike."""

from collections.abc import Iterator
from typing import TYPE_CHECKING

from farspun.services.wording import Row
from farspun.units import (
    say_length,
    say_length_imperial,
    say_mass,
    say_per_cm,
    say_per_inch,
    say_percent,
)

if TYPE_CHECKING:
    from farspun.services.doubts import Item
    from farspun.services.history import Line
    from farspun.services.showing import Shown, ShownWhole

HARDLY_KNOWN = 10.0  # times from the 5 to the 95 point: then no middle is named; judgement
UNFIT = "does not fit together"  # what was taken and weighed
NOTHING_KNOWN = "nothing is known of its length yet. Weigh it and wrap it, or count it."


def estimate(shown: "Shown", imperial: bool) -> str:
    """About how long, how fine, how thick, in one system of units."""
    return ", ".join([_about(shown, imperial), *_grist(shown, imperial)])


def lacking(shown: "Shown") -> str | None:
    """What would make more of it known; None where nothing is lacking."""
    if shown.length_m and not shown.length_m["p50"]:
        return None
    if shown.length_m is None:
        return "To know its length, weigh it"
    if shown.tex is None and shown.mass_g:
        return "Only its weight is known so far: weigh a test length, or wrap it."
    return "Only its length is known so far: weigh it." if shown.tex is None else None


def _about(shown: "Shown", imperial: bool) -> str:
    length = shown.length_m
    if length is None:
        return "length not known"
    say_it = say_length_imperial if imperial else say_length
    if length["p50"] == 0:
        return "nothing left"
    low, high = say_it(length["p05"]), say_it(length["p95"])
    if hardly_known(shown):
        return f"somewhere from {low} to {high}"
    return f"about {say_it(length['p50'])} ({_span(low, high)})"


def _span(low: str, high: str) -> str:
    """ "258-284" where both have the one unit, else each with its own."""
    (low_figure, low_unit), (high_figure, high_unit) = low.split(" "), high.split(" ")
    return f"{low_figure}-{high_figure}" if low_unit == high_unit else f"{low}-{high}"


def _grist(shown: "Shown", imperial: bool) -> Iterator[str]:
    if shown.tex is None or shown.m_per_100g is None or shown.wraps_per_cm is None:
        return
    if imperial:
        yield f"{shown.yd_per_lb:.0f} yd per lb"
        yield say_per_inch(shown.wraps_per_cm).replace(" per", " wraps per")
    else:
        yield f"{shown.m_per_100g:.0f} m per 100 g"
        yield say_per_cm(shown.wraps_per_cm).replace(" per", " wraps per")


def yarn(shown: "Shown") -> str:
    """What the yarn is: "wool, 2-ply, semi draw"."""
    return ", ".join(_yarn(shown))


def _yarn(shown: "Shown") -> Iterator[str]:
    yield shown.fibre
    if shown.superwash:
        yield "superwash"
    if shown.plies:
        yield "singles" if shown.plies == 1 else f"{shown.plies}-ply"
    yield "mill-spun" if shown.mill else f"{shown.draw} draw"
    if shown.twist:
        yield f"{shown.twist} twist"
    if shown.tug:
        yield f"{shown.tug} when tugged"
    if shown.rebuy:
        yield f"sold in packs of {shown.rebuy}"


def colour_rows(shown: "ShownWhole") -> Iterator[Row]:
    """Her note; what it is read as; what was not understood."""
    from farspun.craft.colour_words import meant

    if not shown.colour:
        return
    yield "Colour", shown.colour
    shades = ", ".join(f"{one['name']} {say_percent(one['share'])}" for one in shown.colours)
    if len(shown.colours) == 1:
        shades = f"{shown.colours[0]['name']} {shown.colours[0]['hex']}"
        shades = shown.colours[0]["hex"] if shades.startswith("#") else shades
    if shown.colours or shown.colour_assumed:
        read = f"read as {shown.colour_lie}: {shades}" if shades else "read as no shade"
        yield "", "; ".join((read, *shown.colour_assumed))
    if shown.colour_unknown:
        near = {word: meant(word) for word in shown.colour_unknown}
        words = (f"{word} (did you mean {one}?)" if one else word for word, one in near.items())
        yield "", f"Colour words not known: {', '.join(words)}"


def off_the_rest(item: "Item") -> str:
    """How far a reading is off what all of them say together; "" where it was not judged."""
    return f"off by {abs(item.pull):.1f} spreads" if item.pull else ""


def hardly_known(shown: "Shown") -> bool:
    """So wide a span that no middle should be named."""
    length = shown.length_m
    return length is not None and length["p95"] > HARDLY_KNOWN * length["p05"]


def free_median_m(shown: "Shown") -> float:
    """The free part of the median, which is what stands beside it."""
    if shown.length_m is None or not shown.length_m["mean"]:
        return 0.0
    return shown.length_m["p50"] * (shown.free_m or 0.0) / shown.length_m["mean"]


def remark(shown: "Shown") -> str:
    """The one thing to know of it in a list, or ""."""
    if shown.status == "closed":
        return f"closed: {shown.closed_because}"
    if shown.length_m is None:
        return "weigh it"
    if hardly_known(shown):
        return "wrap it, or weigh a test length" if shown.tex is None else "weigh it"
    return "readings disagree" if shown.conflict is not None else ""


def history_row(line: "Line") -> list[str]:
    """When, what, said, change, left."""
    said = f"{line.said} for {line.cloth}" if line.cloth else line.said
    change = "" if line.change_g is None else f"{'-' if line.change_g < 0 else '+'}"
    if line.change_g is not None:
        change += say_mass(abs(line.change_g))
    return [
        line.at[:16].replace("T", " "),
        f"{'by a reading' if line.what == 'evidence' else line.what}{_void(line)}",
        said,
        change,
        "" if line.balance_g is None else say_mass(line.balance_g),
    ]


def _void(line: "Line") -> str:
    if line.undone:
        return " (undone)"
    return " (struck out)" if line.struck else ""
