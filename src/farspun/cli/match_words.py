"""The yarns that would serve, in lines: the first ones, what is against each, and the rule."""

from collections.abc import Iterator
from shlex import quote
from textwrap import wrap
from typing import TYPE_CHECKING

from farspun.cli.printing import LINE, labelled, labelled_rows
from farspun.services.wording_match import (
    NAMES,
    NOTHING_AGAINST,
    against_rows,
    heading_said,
    known_said,
    left_out_rows,
    left_said,
    nearer_rows,
    nothing_against,
    odds_said,
    stands_said,
    wished_rows,
)

if TYPE_CHECKING:
    from farspun.services.matching import Explained, Match, Matches

__all__ = ["NAMES", "match_lines"]

INDENT = " " * 5
WIDEST = max(len(name) for name in NAMES.values())


def match_lines(found: "Matches") -> Iterator[str]:
    """The answer; with --explain that skein alone."""
    yield from wrap(heading_said(found), LINE)
    yield from wrap(known_said(found), LINE)
    if found.explained is not None:
        yield ""
        yield from _explained(found, found.explained)
        return
    for one in found.matches:
        yield ""
        yield f"{one.rank:>3}  {_line(found, one, ': ')}"
        for name, why in wished_rows(found, one):
            yield from _below(f"{name}: {why}")
        yield from _against(one)
    yield ""
    yield from labelled_rows(nearer_rows(found))
    yield from labelled_rows(left_out_rows(found))
    if found.matches:
        yield from _next(found)
        yield from labelled("Order", found.order)
        yield from labelled("", "Every reason for one of them: --explain SKEIN; more: --limit N")


def _line(found: "Matches", one: "Match", then: str) -> str:
    """Yarn, odds, and what is left over or missing."""
    left = left_said(one)
    return f"{' + '.join(one.skeins)}{then}{odds_said(found, one)}{f', {left}' if left else ''}"


def _below(text: str) -> list[str]:
    return wrap(text, LINE, initial_indent=INDENT, subsequent_indent=INDENT + "  ")


def _against(one: "Match") -> Iterator[str]:
    for stands, name, why in against_rows(one):
        yield from _below(f"{stands}: {name}: {why}")
    if nothing_against(one):
        yield f"{INDENT}{NOTHING_AGAINST}"


def _explained(found: "Matches", explained: "Explained") -> Iterator[str]:
    """Every criterion of the skein alone and of the combinations it is in; what is before it."""
    if explained.why_not is not None:
        yield from wrap(f"{explained.skein} is not among them: {explained.why_not}.", LINE)
        return
    looked = found.looked
    for one in explained.matches:
        place = f"{one.rank} of {looked.skeins + looked.combinations}"
        yield from wrap(_line(found, one, f" stands at {place}: "), LINE)
        for reason in one.criteria:
            stands = stands_said(reason).ljust(7)
            start = f"  {NAMES[reason.name].ljust(WIDEST)}  {stands}  "
            yield from wrap(
                reason.why, LINE, initial_indent=start, subsequent_indent=" " * len(start)
            )
    if explained.above is not None:
        yield from wrap(f"{explained.above}.", LINE)
    yield from labelled("Order", found.order)


def _next(found: "Matches") -> Iterator[str]:
    """How the first of them goes into the cloth, every skein by itself.

    Of another colour than the one wished for, none is put forward.
    """
    if found.far_off is not None:
        if found.nearer:
            name = quote(found.nearer[0].skeins[0])
            yield from labelled("Next", f"why {name} stands where it does: --explain {name}")
        return
    yarns = " ".join(f"--{found.side} {quote(name)}" for name in found.matches[0].skeins)
    first = f"cloth change {quote(found.cloth)}" if found.cloth else "cloth plan NAME"
    rest = "" if found.cloth else ", the rest as here"
    yield from labelled("Next", f"the first of them: farspun {first} {yarns}{rest}")
