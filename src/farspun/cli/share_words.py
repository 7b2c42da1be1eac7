"""Who gets which skein, in lines: cloth by cloth, then what changes, and how sure it is least."""

from collections.abc import Iterator, Sequence
from shlex import quote
from textwrap import wrap
from typing import TYPE_CHECKING

from farspun.cli.printing import LABEL, LINE, labelled, table_lines
from farspun.services.wording_share import (
    NO_CHANGE,
    NOTHING,
    TOO_SMALL,
    change_cells,
    heading_said,
    least_said,
    left_out_said,
    loss_said,
    losses_said,
    need_said,
    part_said,
    verdict_said,
    without_said,
)
from farspun.units import say_length, say_length_imperial, say_mass, say_mass_imperial

if TYPE_CHECKING:
    from farspun.services.share_answers import ClothShare, Shared

__all__ = ["loss_said", "shared_lines"]

PLAN_ONE = "Plan one: farspun cloth plan NAME --size WIDTHxLENGTH --warp SKEIN --weft SKEIN"


def shared_lines(shared: "Shared", keep: bool) -> Iterator[str]:
    """The whole answer; `keep`: it becomes the claims."""
    if not shared.cloths:
        yield from wrap(f"{NOTHING} {PLAN_ONE}", LINE)
        return
    yield heading_said(shared)
    for cloth in shared.cloths:
        yield ""
        yield from _cloth_lines(cloth)
    yield ""
    yield from _change_lines(shared)
    for one in shared.left_out:
        yield from labelled("Note", left_out_said(one))
    yield from _without_lines(shared)
    if shared.pieces:
        yield from labelled("Least", least_said(shared))
    if shared.changes and not keep:
        yield from labelled("Next", "Nothing was changed. To keep it so: farspun share-out --keep")


def _cloth_lines(cloth: "ClothShare") -> Iterator[str]:
    yield cloth.cloth
    yield from wrap(verdict_said(cloth), LINE)
    if any(need.given for need in cloth.needs):
        yield from table_lines(*_table(cloth))
    for need in cloth.needs:
        yield from labelled(need.side.capitalize(), need_said(need))
    if cloth.too_small:
        check = f"farspun cloth check {quote(cloth.cloth)}"
        yield from labelled("Note", f"{TOO_SMALL}: {check}")


def _table(cloth: "ClothShare") -> tuple[Sequence[str], list[list[str]], Sequence[int]]:
    rows = [
        [
            "" if number else need.side.capitalize(),
            one.skein,
            say_length(one.length_m),
            say_length_imperial(one.length_m),
            say_mass(one.mass_g),
            say_mass_imperial(one.mass_g),
            part_said(one),
        ]
        for need in cloth.needs
        for number, one in enumerate(need.given)
    ]
    return ("", "Skein", "Metres", "Yards", "Grams", "Ounces", ""), rows, (2, 3, 4, 5)


def _change_lines(shared: "Shared") -> Iterator[str]:
    """What is other than today's claims, and who loses yarn by it."""
    if not shared.changes:
        yield from labelled("Changes", NO_CHANGE)
        return
    label = "Changes"
    headings = ("Cloth", "Side", "Skein", "Today", "Then")
    for line in table_lines(headings, change_cells(shared), (3, 4)):
        yield f"{label.ljust(LABEL)}{line}"
        label = ""
    if shared.losing:
        yield from labelled("Loses", f"{losses_said(shared)}.")


def _without_lines(shared: "Shared") -> Iterator[str]:
    """Which cloths take yarn that does not serve them, and whom it would."""
    last = max(one.priority for one in shared.cloths)
    label = "Futile"
    for one in shared.without:
        name = quote(one.cloth)
        yield from labelled(
            label,
            f"{without_said(one)}: farspun cloth give-up {name}, or give it a later"
            f" priority: farspun cloth change {name} --priority {last + 1}",
        )
        label = ""
