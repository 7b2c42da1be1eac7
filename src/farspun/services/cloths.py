"""Planning cloths: store the plan, claim the yarn, change it, give it up, look at it."""

from dataclasses import dataclass, fields, replace
from datetime import UTC, datetime
from shlex import quote
from typing import Any

from sqlalchemy import Connection, delete

from farspun.craft.plan import Plan
from farspun.errors import ImpossibleValue, NotFound, WrongUse
from farspun.services.answers import Check
from farspun.services.checking import NOT_KEPT, checked
from farspun.services.cloth_asked import ClothAsked
from farspun.services.planning import planned
from farspun.services.writing import Deed, doing
from farspun.store import cloths
from farspun.store.engine import Stash, reading
from farspun.store.supplies import supplies
from farspun.store.tables import claim
from farspun.units import name_key, skein_name


@dataclass(frozen=True, slots=True)
class ClothRow:
    """One cloth in the list."""

    name: str
    status: str
    size: str
    priority: int
    verdict: str | None
    odds: float | None
    promise: float


@dataclass(frozen=True, slots=True)
class YarnShown:
    """A skein of a cloth, and how much of it the cloth claims."""

    skein: str
    side: str
    ends: int | None
    share: float | None
    claimed_g: float


@dataclass(frozen=True, slots=True)
class ClothShown:
    """A cloth as it is planned."""

    plan: Plan
    yarns: list[YarnShown]

    def document(self) -> dict[str, Any]:
        """As one JSON object: names instead of ids, what was said of each assumption."""
        own = {
            entry.name: getattr(self.plan, entry.name)
            for entry in fields(self.plan)
            if entry.name not in ("id", "loom", "reed", "warp", "weft", "given", "per_dent")
        }
        return own | {
            "loom": self.plan.loom.name if self.plan.loom else None,
            "reed": self.plan.reed.name if self.plan.reed else None,
            "per_dent": list(self.plan.per_dent) if self.plan.per_dent else None,
            "given": {name: given.said for name, given in self.plan.given.items()},
            "yarns": self.yarns,
        }


def plan_cloth(stash: Stash, name: str, asked: ClothAsked) -> Check:
    """Store a new cloth, claim its yarn, and tell whether it will reach.

    Raises ImpossibleValue for a name already taken, and as `planned`.
    """
    tidy = skein_name(name, "cloth name")
    if not (asked.warp or asked.warp_order) or not (asked.weft or asked.weft_order):
        raise WrongUse(
            "A cloth needs a warp and a weft.", "Give --warp SKEIN and --weft SKEIN, each by name."
        )
    at = datetime.now(UTC).isoformat("T", "seconds")
    with doing(stash, "cloth plan", f"{tidy}, {asked.size_said}") as deed:
        _refuse_taken(deed.connection, tidy)
        plan = replace(planned(deed.connection, asked), name=tidy, planned_at=at)
        return _claim(deed, cloths.add_plan(deed.connection, deed.action_id, plan))


@dataclass(frozen=True, slots=True)
class Changed:
    """The answer for the cloth as changed, what it was before, and whether that is stored."""

    check: Check
    before: Check
    stored: bool


def try_change(stash: Stash, name: str, asked: ClothAsked) -> Changed:
    """What a change would come to; nothing is stored. Raises as `change_cloth`."""
    with reading(stash) as connection:
        before = planned_cloth(connection, name)
        was = checked(connection, before)
        return Changed(checked(connection, planned(connection, asked, before)), was, False)


def change_cloth(stash: Stash, name: str, asked: ClothAsked) -> Changed:
    """Change a planned cloth: its set-up is chosen anew; its claims stay as they are.

    Claims on skeins that left the cloth are given up.
    """
    with doing(stash, "cloth change", name.strip()) as deed:
        before = planned_cloth(deed.connection, name)
        was = checked(deed.connection, before)
        plan = planned(deed.connection, asked, before)
        cloths.replace_plan(deed.connection, deed.action_id, plan)
        for skein_id, side in cloths.claims_of(deed.connection, _id(plan)).keys() - plan.uses:
            own = (claim.c.cloth_id == _id(plan)) & (claim.c.skein_id == skein_id)
            deed.connection.execute(delete(claim).where(own, claim.c.side == side))
        now = checked(deed.connection, cloths.plans(deed.connection, [_id(plan)])[0])
        return Changed(now, was, True)


def claim_cloth(stash: Stash, name: str) -> Check:
    """Claim again, as planning does: from what is free now."""
    with doing(stash, "cloth claim", name.strip()) as deed:
        plan = planned_cloth(deed.connection, name)
        cloths.replace_claims(deed.connection, deed.action_id, _id(plan), {})
        return _claim(deed, _id(plan))


def give_up_cloth(stash: Stash, name: str) -> Plan:
    """Give a cloth up: its claims are free again, its plan is kept to look at."""
    with doing(stash, "cloth give-up", name.strip()) as deed:
        plan = cloth_named(deed.connection, name)
        if plan.status in ("finished", "given-up"):
            raise ImpossibleValue(
                "cloth", plan.name or "", f"it is {plan.status.replace('-', ' ')} already"
            )
        cloths.replace_claims(deed.connection, deed.action_id, _id(plan), {})
        cloths.set_status(deed.connection, _id(plan), "given-up")
        return plan


def check_cloth(stash: Stash, name: str) -> Check:
    """Will this cloth reach. Raises ImpossibleValue for one that is given up."""
    with reading(stash) as connection:
        plan = cloth_named(connection, name)
        if plan.status == "given-up":
            raise ImpossibleValue(
                "the cloth",
                f"“{plan.name}”",
                "it is given up, and needs no yarn",
                f"What was planned: farspun cloth show {quote(plan.name or '')}",
            )
        return checked(connection, plan)


def check_cloths(stash: Stash) -> list[Check]:
    """Every planned cloth, by priority."""
    with reading(stash) as connection:
        return [
            checked(connection, plan)
            for plan in cloths.plans(connection)
            if plan.status == "planned"
        ]


def list_cloths(stash: Stash) -> list[ClothRow]:
    """Every cloth, by priority; planned ones with their verdict."""
    rows = []
    with reading(stash) as connection:
        for plan in cloths.plans(connection):
            check = checked(connection, plan) if plan.status == "planned" else None
            rows.append(
                ClothRow(
                    name=plan.name or "",
                    status=plan.status,
                    size=plan.size_said,
                    priority=plan.priority,
                    verdict=check.verdict if check else None,
                    odds=check.odds.yarn if check else None,
                    promise=plan.promise,
                )
            )
    return rows


def show_cloth(stash: Stash, name: str) -> ClothShown:
    """A cloth as it is planned, with its yarns and what each is kept for."""
    with reading(stash) as connection:
        plan = cloth_named(connection, name)
        held = cloths.claims_of(connection, _id(plan))
        names = supplies(connection, plan.skein_ids)
        yarns = [
            YarnShown(
                skein=names[part.skein_id].name,
                side=side,
                ends=part.ends,
                share=part.share,
                claimed_g=held.get((part.skein_id, side), 0) / 1000,
            )
            for side, parts in (("warp", plan.warp), ("weft", plan.weft))
            for part in parts
        ]
        return ClothShown(plan, yarns)


def cloth_named(connection: Connection, name: str) -> Plan:
    """The cloth of that name. Raises NotFound with the nearest names."""
    known = cloths.cloth_names(connection)
    found = [cloth_id for one, cloth_id in known.items() if name_key(one) == name_key(name)]
    if not found:
        raise NotFound("cloth", name.strip(), known)
    return cloths.plans(connection, found)[0]


def planned_cloth(connection: Connection, name: str) -> Plan:
    """The cloth of that name, if it is still only planned."""
    plan = cloth_named(connection, name)
    if plan.status != "planned":
        raise ImpossibleValue(
            "cloth",
            plan.name or "",
            f"it is {plan.status.replace('-', ' ')}, and only a planned cloth can be changed",
            "Plan it anew, under another name: farspun cloth plan NAME …",
        )
    return plan


def _claim(deed: Deed, cloth_id: int) -> Check:
    """Claim what the plan asks for, and tell."""
    check = checked(deed.connection, cloths.plans(deed.connection, [cloth_id])[0])
    cloths.replace_claims(deed.connection, deed.action_id, cloth_id, check.claims_mg)
    kept = [one for one in check.warnings if one.code != NOT_KEPT]  # it is now
    return replace(check, warnings=kept)


def _refuse_taken(connection: Connection, name: str) -> None:
    for known in cloths.cloth_names(connection):
        if name_key(known) == name_key(name):
            raise ImpossibleValue(
                "the name",
                f"“{name}”",
                f"there is a cloth “{known}” already",
                "Choose another name, as a number behind it; a cloth given up keeps its own.",
            )


def _id(plan: Plan) -> int:
    assert plan.id is not None
    return plan.id
