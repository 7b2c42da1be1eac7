"""Whether a cloth that stays short would reach if later cloths let go of what they keep.

A cloth claims from what is free on the day it is planned; one of a higher priority that is planned
after it may then go short though there is yarn enough. `farspun share-out` gives it that.
"""

from sqlalchemy import Connection

from farspun.craft.reach import odds_alone
from farspun.services.case_for import unclaimed
from farspun.services.checking import Asked
from farspun.store import cloths


def later_keepers(connection: Connection, asked: Asked, odds: float | None) -> list[str]:
    """Planned cloths that come later and keep yarn of this one, where it would reach by that.

    `odds` as it is now, on which the verdict rests. Empty where it reaches, or would not even
    then; of a cloth that is not stored or is on the loom, always.
    """
    plan = asked.plan
    if plan.id is None or plan.status != "planned" or odds is None or odds >= plan.promise:
        return []
    claiming = {one for supply in asked.stock.supplies.values() for one, mg in supply.claims if mg}
    if not claiming - {plan.id}:
        return []
    order = cloths.plans(connection, claiming | {plan.id})
    own = [one.id for one in order].index(plan.id)
    later = [one for one in order[own + 1 :] if one.status == "planned"]
    if not later:
        return []
    case = unclaimed(asked.settled.case, asked.stock.supplies, plan.id, *(one.id for one in later))
    then, _ = odds_alone(case, {})
    return [one.name or "" for one in later] if then >= plan.promise else []
