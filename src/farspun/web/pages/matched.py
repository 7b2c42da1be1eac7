"""Yarns that were matched, as rows of a page: odds, what is left over, what is against each."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from farspun.services.matching import Match, Matches
from farspun.services.swatches import Swatch, swatches
from farspun.services.wording_match import (
    NAMES,
    NOTHING_AGAINST,
    against_rows,
    left_out_rows,
    left_said,
    names_of,
    nothing_against,
    odds_said,
    stands_said,
    value_said,
    verdict_said,
)
from farspun.services.wording_page import plain
from farspun.web.answering import address
from farspun.web.drawing import Desk, Form
from farspun.web.fields import parts_without_commands
from farspun.web.pages.cloth import grouped

FEW, MANY = 10, 50  # rows told at first, and where more are asked for: odds of so many are drawn
NO_SWATCH = Swatch("", ())


@dataclass(frozen=True, slots=True)
class Told:
    """A criterion of one row: what it is called, its value, how it stands, why."""

    name: str
    value: str
    stands: str
    why: str


@dataclass(frozen=True, slots=True)
class Also:
    """What can be done with a row: links (words, address), a form, or that it is so already."""

    links: Sequence[tuple[str, str]] = ()
    form: Form | None = None
    already: str = ""


@dataclass(frozen=True, slots=True)
class RowSaid:
    """One yarn as it stands on a page."""

    rank: int
    yarns: Sequence[tuple[str, Swatch]]
    verdict: str
    odds: str
    left: str
    against: Sequence[str]
    criteria: Sequence[Told]
    also: Also


@dataclass(frozen=True, slots=True)
class Said:
    """All of them; what was passed over, and the rule of the order; where more are told."""

    rows: Sequence[RowSaid]
    passed_over: Sequence[tuple[str, list[str]]]
    order: str
    more: str


def said(
    desk: Desk, found: Matches, query: Mapping[str, str], path: str, also: Callable[[Match], Also]
) -> Said:
    """An answer as rows; `also` tells what can be done with each."""
    seen = swatches(desk.stash, names_of(found.matches))
    all_of_them = found.looked.skeins + found.looked.combinations
    told = len(found.matches)
    more = told < min(all_of_them, MANY) and address(path, **dict(query) | {"many": "yes"})
    return Said(
        rows=[_row(found, one, seen, also(one)) for one in found.matches],
        passed_over=grouped(left_out_rows(found)),
        order=found.order if found.matches else "",
        more=more or "",
    )


def limit(query: Mapping[str, str]) -> int:
    """How many are told."""
    return MANY if query.get("many") else FEW


def named_side(side: str, skeins: Sequence[str]) -> dict[str, str]:
    """The boxes of a cloth that name these skeins for a side."""
    more = {f"{side}_more": "\n".join(skeins[1:])} if len(skeins) > 1 else {}
    return {side: skeins[0], **more} if skeins else {}


def _row(found: Matches, one: Match, seen: Mapping[str, Swatch], also: Also) -> RowSaid:
    against = [
        f"{stands}: {name}: {plain(parts_without_commands(why))}"
        for stands, name, why in against_rows(one)
    ]
    return RowSaid(
        rank=one.rank,
        yarns=[(name, seen.get(name, NO_SWATCH)) for name in one.skeins],
        verdict=verdict_said(one),
        odds="" if one.odds is None else odds_said(found, one),
        left=left_said(one),
        against=[NOTHING_AGAINST] if nothing_against(one) else against,
        criteria=[
            Told(
                NAMES[reason.name],
                value_said(reason),
                stands_said(reason),
                plain(parts_without_commands(reason.why)),
            )
            for reason in one.criteria
        ],
        also=also,
    )
