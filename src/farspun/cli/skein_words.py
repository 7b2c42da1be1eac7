"""A skein in words: one line of what it comes to, then what that rests on."""

from collections.abc import Callable, Iterator
from shlex import quote
from textwrap import wrap
from typing import TYPE_CHECKING

from farspun.cli.printing import LINE, cells
from farspun.units import (
    METRES_PER_YARD,
    say_length,
    say_length_imperial,
    say_mass,
    say_mass_imperial,
    say_per_cm,
    say_per_inch,
    say_percent,
)

if TYPE_CHECKING:
    from farspun.services.history import Line
    from farspun.services.showing import Shown, ShownWhole

LABEL = 9  # characters before what is said
HARDLY_KNOWN = 10.0  # times from the 5 to the 95 point: then no middle is named; judgement


def estimate_lines(shown: "Shown") -> Iterator[str]:
    """About how long, how fine, how thick: metric on one line, the other units on the next."""
    named = f"{shown.name}: "
    if shown.length_m is None and shown.tex is None:
        yield named + "nothing is known of its length yet. Weigh it and wrap it, or count it."
        return
    for start, imperial in ((named, False), (" " * cells(named), True)):
        yield start + ", ".join([_about(shown, imperial), *_grist(shown, imperial)])
    if shown.length_m and not shown.length_m["p50"]:
        return
    if shown.length_m is None:
        yield f"To know its length, weigh it: farspun skein weigh {quote(shown.name)} MASS"
    elif shown.tex is None and shown.mass_g:
        yield "Only its weight is known so far: weigh a test length, or wrap it."
    elif shown.tex is None:
        yield "Only its length is known so far: weigh it."


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


def describe(shown: "ShownWhole") -> Iterator[str]:
    """What she said of it, how much there is, and who claims it."""
    yield _row("Yarn", yarn(shown))
    if shown.status == "closed":
        yield _row("Closed", str(shown.closed_because))
    if shown.mass_g is not None:
        yield from _amount("Left", shown.mass_g, say_mass, say_mass_imperial)
    for claim in shown.claims:
        yield _row("Kept for", f"{claim['cloth']}, {say_mass(claim['mass_g'])}")
    if shown.claims and shown.free_m is not None:
        yield from _amount("Free", shown.free_m, say_length, say_length_imperial)
    yield from _colour(shown)
    for label, said in (
        ("Spun", shown.spun),
        ("Place", shown.place),
        ("Note", shown.note),
    ):
        if said:
            yield _row(label, said)


def _colour(shown: "ShownWhole") -> Iterator[str]:
    """Her note; what it is read as where that is more than the one shade she named; what was not
    understood."""
    if not shown.colour:
        return
    yield from _wrapped("Colour", shown.colour)
    shades = ", ".join(f"{one['name']} {say_percent(one['share'])}" for one in shown.colours)
    if len(shown.colours) > 1 or shown.colour_assumed:
        read = f"read as {shown.colour_lie}: {shades}" if shades else "read as no shade"
        yield from _wrapped("", "; ".join((read, *shown.colour_assumed)))
    if shown.colour_unknown:
        yield from _wrapped("", f"Colour words not known: {', '.join(shown.colour_unknown)}")


def _amount(
    label: str, amount: float, metric: Callable[[float], str], imperial: Callable[[float], str]
) -> Iterator[str]:
    """In both units, each on its own line."""
    if not amount:
        yield _row(label, "nothing")
        return
    yield _row(label, metric(amount))
    yield _row("", imperial(amount))


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


def reading_lines(shown: "ShownWhole") -> Iterator[str]:
    """Every reading, how far it is off the rest, and what is doubtful."""
    label = "Readings"
    for item in shown.evidence:
        off = f", off by {abs(item.pull):.1f} spreads" if item.pull else ""
        yield _row(label, f"{item.kind}: {item.said}{off}")
        label = ""
    if shown.conflict is not None:
        yield from _wrapped("Ask", shown.conflict.why)
        yield _row("", f"To let a slip count no more: farspun skein strike {quote(shown.name)} …")
    for remark in shown.remarks:
        yield from _wrapped("Note", remark)


def _wrapped(label: str, said: str) -> Iterator[str]:
    """A long sentence under itself."""
    first, rest = _row(label, ""), _row("", "")
    yield from wrap(
        said, LINE, initial_indent=first, subsequent_indent=rest, break_on_hyphens=False
    )


def _row(label: str, said: str) -> str:
    return f"  {label:<{LABEL}}{said}"


def list_row(shown: "Shown", imperial: bool) -> list[str]:
    """Name, length, from-to, free of claims, grist, wraps, mass, fibre, remark."""
    per_m = 1 / METRES_PER_YARD if imperial else 1.0
    grist, wraps = (
        (shown.yd_per_lb, shown.wpi) if imperial else (shown.m_per_100g, shown.wraps_per_cm)
    )
    length, mass_g = None if hardly_known(shown) else shown.length_m, shown.mass_g
    say_it = say_mass_imperial if imperial else say_mass
    return [
        shown.name,
        _whole(length["p50"] * per_m if length else None),
        f"{length['p05'] * per_m:.0f}-{length['p95'] * per_m:.0f}" if length else "",
        _whole(_free_median_m(shown) * per_m) if length else "",
        _whole(grist),
        f"{wraps:.1f}" if wraps else "?",
        "?" if mass_g is None else say_it(mass_g),
        shown.fibre,
        _remark(shown),
    ]


def hardly_known(shown: "Shown") -> bool:
    """So wide a span that no middle should be named."""
    length = shown.length_m
    return length is not None and length["p95"] > HARDLY_KNOWN * length["p05"]


def _free_median_m(shown: "Shown") -> float:
    """The free part of the median, which is what the column beside it shows."""
    if shown.length_m is None or not shown.length_m["mean"]:
        return 0.0
    return shown.length_m["p50"] * (shown.free_m or 0.0) / shown.length_m["mean"]


def _whole(figure: float | None) -> str:
    return "?" if figure is None else f"{figure:.0f}"


def _remark(shown: "Shown") -> str:
    if shown.status == "closed":
        return f"closed: {shown.closed_because}"
    if shown.length_m is None:
        return "weigh it"
    if hardly_known(shown):
        return "wrap it, or weigh a test length" if shown.tex is None else "weigh it"
    return "readings disagree" if shown.conflict is not None else ""


def _void(line: "Line") -> str:
    if line.undone:
        return " (undone)"
    return " (struck out)" if line.struck else ""


def history_row(line: "Line") -> list[str]:
    """When, what, said, change, left."""
    said = f"{line.said} for {line.cloth}" if line.cloth else line.said
    change = "" if line.change_g is None else f"{'-' if line.change_g < 0 else '+'}"
    if line.change_g is not None:
        change += say_mass(abs(line.change_g))
    return [
        line.at[:16].replace("T", " "),
        f"{line.what}{_void(line)}",
        said,
        change,
        "" if line.balance_g is None else say_mass(line.balance_g),
    ]
