"""A cloth as it is planned, on the screen."""

from collections.abc import Sequence
from shlex import quote
from typing import TYPE_CHECKING

from farspun.cli.printing import labelled, labelled_rows, print_table, say
from farspun.services.wording_plan import cloth_row, plan_rows

if TYPE_CHECKING:
    from farspun.services.cloths import ClothRow, ClothShown

__all__ = ["cloth_row", "print_cloths", "print_plan"]


def print_cloths(rows: "Sequence[ClothRow]") -> None:
    """Cloths, a line each; their priorities where they are not all the same."""
    differ = len({row.priority for row in rows}) > 1
    print_table(
        ("Cloth", *(("Priority",) if differ else ()), "State", "Size", "Will it reach"),
        [
            (name, *((str(row.priority),) if differ else ()), *rest)
            for row, (name, *rest) in ((row, cloth_row(row)) for row in rows)
        ],
        right=(1,) if differ else (),
    )


def print_plan(shown: "ClothShown") -> None:
    """A cloth as it is planned."""
    from farspun.craft.plan import OPEN

    plan = shown.plan
    say(f"{plan.name} ({plan.status.replace('-', ' ')})")
    say(*labelled_rows(plan_rows(shown)))
    if plan.status in OPEN:
        say(*labelled("", f"Will it reach: farspun cloth check {quote(plan.name or '')}"))
