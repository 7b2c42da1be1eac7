"""A skein in words: one line of what it comes to, then what that rests on."""

from collections.abc import Callable, Iterator
from shlex import quote
from textwrap import wrap
from typing import TYPE_CHECKING

from farspun.cli.printing import LINE, cells
from farspun.services.wording_skein import (
    NOTHING_KNOWN,
    colour_rows,
    estimate,
    free_median_m,
    hardly_known,
    history_row,
    lacking,
    off_the_rest,
    remark,
    yarn,
)
from farspun.units import (
    METRES_PER_YARD,
    say_length,
    say_length_imperial,
    say_mass,
    say_mass_imperial,
)

if TYPE_CHECKING:
    from farspun.services.showing import Shown, ShownWhole

__all__ = ["describe", "estimate_lines", "history_row", "list_row", "reading_lines", "yarn"]

LABEL = 9  # characters before what is said


def estimate_lines(shown: "Shown") -> Iterator[str]:
    """About how long, how fine, how thick: metric on one line, the other units on the next."""
    named = f"{shown.name}: "
    if shown.length_m is None and shown.tex is None:
        yield named + NOTHING_KNOWN
        return
    for start, imperial in ((named, False), (" " * cells(named), True)):
        yield start + estimate(shown, imperial)
    wanted = lacking(shown)
    if wanted is not None:
        command = f": farspun skein weigh {quote(shown.name)} MASS"
        yield wanted + (command if shown.length_m is None else "")


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
    for label, words in colour_rows(shown):
        yield from _wrapped(label, words)
    for label, said in (
        ("Spun", shown.spun),
        ("Place", shown.place),
        ("Note", shown.note),
    ):
        if said:
            yield _row(label, said)


def _amount(
    label: str, amount: float, metric: Callable[[float], str], imperial: Callable[[float], str]
) -> Iterator[str]:
    """In both units, each on its own line."""
    if not amount:
        yield _row(label, "nothing")
        return
    yield _row(label, metric(amount))
    yield _row("", imperial(amount))


def reading_lines(shown: "ShownWhole") -> Iterator[str]:
    """Every reading, how far it is off the rest, and what is doubtful."""
    label = "Readings"
    for item in shown.evidence:
        off = off_the_rest(item)
        yield _row(label, f"{item.kind}: {item.said}{', ' if off else ''}{off}")
        label = ""
    if shown.conflict is not None:
        yield from _wrapped("Ask", shown.conflict.why)
        yield _row("", f"To let a slip count no more: farspun skein strike {quote(shown.name)} …")
    for said in shown.remarks:
        yield from _wrapped("Note", said)


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
        _whole(free_median_m(shown) * per_m) if length else "",
        _whole(grist),
        f"{wraps:.1f}" if wraps else "?",
        "?" if mass_g is None else say_it(mass_g),
        shown.fibre,
        remark(shown),
    ]


def _whole(figure: float | None) -> str:
    return "?" if figure is None else f"{figure:.0f}"
