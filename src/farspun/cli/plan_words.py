"""A cloth as it is planned, on the screen."""

from shlex import quote
from typing import TYPE_CHECKING

from farspun.cli.printing import labelled, labelled_rows, say
from farspun.services.wording_plan import cloth_row, plan_rows

if TYPE_CHECKING:
    from farspun.services.cloths import ClothShown

__all__ = ["cloth_row", "print_plan"]


def print_plan(shown: "ClothShown") -> None:
    """A cloth as it is planned."""
    from farspun.craft.plan import OPEN

    plan = shown.plan
    say(f"{plan.name} ({plan.status.replace('-', ' ')})")
    say(*labelled_rows(plan_rows(shown)))
    if plan.status in OPEN:
        say(*labelled("", f"Will it reach: farspun cloth check {quote(plan.name or '')}"))
