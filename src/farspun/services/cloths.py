"""Planning cloths: store the plan, claim the yarn, change it, give it up, look at it."""

from collections.abc import Mapping
from dataclasses import asdict, dataclass, field, fields, replace
from datetime import UTC, datetime
from shlex import quote
from typing import Any

from sqlalchemy import Connection, delete

from farspun.craft.drawn import drawn_name
from farspun.craft.plan import OPEN, Plan
from farspun.craft.woven import Told
from farspun.errors import ImpossibleValue, WrongUse
from farspun.services.answers import Check
from farspun.services.checking import checked
from farspun.services.claiming import NOT_KEPT
from farspun.services.cloth_asked import ClothAsked
from farspun.services.names import cloth_named
from farspun.services.planning import planned
from farspun.services.resleying import Resley, changeable, refuse_unless_planned, resleyed
from farspun.services.taught import Taught, pieces, taught
from farspun.services.wording_change import change_said
from farspun.services.writing import Deed, doing
from farspun.store import cloths
from farspun.store.engine import Stash, reading
from farspun.store.records import facts
from farspun.store.supplies import supplies
from farspun.store.tables import claim
from farspun.store.used import Used, yarn_used
from farspun.store.weighings import weighed_balls
from farspun.units import name_key, say_cm, skein_name


@dataclass(frozen=True, slots=True)
class ClothRow:
    """One cloth in the list; `unkept`: claiming again would keep yarn for it that is free now."""

    name: str
    status: str
    size: str
    priority: int
    verdict: str | None
    odds: float | None
    promise: float
    unkept: bool = False


@dataclass(frozen=True, slots=True)
class YarnShown:
    """A skein of a cloth, how much of it the cloth claims, and how much of the skein it used.

    What a skein on both sides gave stands with the first of them.
    """

    skein: str
    side: str
    ends: int | None
    share: float | None
    claimed_g: float
    used_g: float = 0.0


@dataclass(frozen=True, slots=True)
class Measured:
    """What was told of a cloth or its sample, and each factor that this shows."""

    stage: str
    told: Told
    shown: Mapping[str, float]


@dataclass(frozen=True, slots=True)
class ClothShown:
    """A cloth as it is planned, and what was measured of it."""

    plan: Plan
    yarns: list[YarnShown]
    measured: list[Measured] = field(default_factory=list)
    weighed: list[str] = field(default_factory=list)

    @property
    def weave(self) -> str:
        """How its weave is called."""
        return drawn_name(self.plan.weave)

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
            "weighed": self.weighed,
            "measured": {
                one.stage: {**asdict(one.told), "shows": one.shown} for one in self.measured
            },
        }


def plan_cloth(stash: Stash, name: str, asked: ClothAsked) -> Check:
    """Store a new cloth, claim its yarn, and tell whether it will reach.

    Raises ImpossibleValue for a name already taken, and as `planned`.
    """
    tidy = skein_name(name, "cloth name")
    if not (asked.names("warp") and asked.names("weft")):
        raise WrongUse(
            "A cloth needs a warp and a weft.", "Give --warp SKEIN and --weft SKEIN, each by name."
        )
    at = datetime.now(UTC).isoformat("T", "seconds")
    with doing(stash, "cloth plan", f"{tidy}, {asked.size_said}") as deed:
        refuse_taken_cloth(deed.connection, tidy)
        plan = replace(planned(deed.connection, asked), name=tidy, planned_at=at)
        return claimed(deed, cloths.add_plan(deed.connection, deed.action_id, plan))


@dataclass(frozen=True, slots=True)
class Changed:
    """The answer for the cloth as changed, what it was before, and whether that is stored.

    `resley`: where its ends stand at another sett now.
    """

    check: Check
    before: Check
    stored: bool
    resley: Resley | None = None


def try_change(stash: Stash, name: str, asked: ClothAsked) -> Changed:
    """What a change would come to; nothing is stored. Raises as `change_cloth`."""
    with reading(stash) as connection:
        before = changeable(connection, cloth_named(connection, name), asked)
        was, now = checked(connection, before), planned(connection, asked, before)
        check = checked(connection, now)
        return Changed(check, was, False, resleyed(was, check))


def change_cloth(stash: Stash, name: str, asked: ClothAsked) -> Changed:
    """Change a planned cloth: its set-up is chosen anew; its claims stay as they are.

    Claims on skeins that left the cloth are given up. Of a warp that is wound only the sett, reed
    and picks may change: it is sleyed anew.
    """
    with doing(stash, "cloth change", f"{name.strip()}: {change_said(asked)}") as deed:
        return _changed(deed, name, asked)


def change_and_claim(stash: Stash, name: str, asked: ClothAsked) -> tuple[Changed, list[YarnShown]]:
    """Change a planned cloth and claim its yarn anew, in one; with what is kept of each skein.

    Raises as `change_cloth`, and ImpossibleValue for a cloth that is not only planned any more.
    """
    said = f"{name.strip()}: {change_said(asked)}; its yarn claimed again"
    with doing(stash, "cloth change", said) as deed:
        cloth_id = _id(planned_cloth(deed.connection, name))
        changed = _changed(deed, name, asked)
        cloths.replace_claims(deed.connection, deed.action_id, cloth_id, {})
        claimed(deed, cloth_id)
        plan = cloths.plans(deed.connection, [cloth_id])[0]
        now = replace(changed, check=checked(deed.connection, plan))
        return now, _yarns(deed.connection, plan)


def _changed(deed: Deed, name: str, asked: ClothAsked) -> Changed:
    """As `change_cloth`, in a transaction that is open."""
    before = changeable(deed.connection, cloth_named(deed.connection, name), asked)
    was = checked(deed.connection, before)
    plan = planned(deed.connection, asked, before)
    cloths.replace_plan(deed.connection, deed.action_id, plan)
    for skein_id, side in cloths.claims_of(deed.connection, _id(plan)).keys() - plan.uses:
        own = (claim.c.cloth_id == _id(plan)) & (claim.c.skein_id == skein_id)
        deed.connection.execute(delete(claim).where(own, claim.c.side == side))
    now = checked(deed.connection, cloths.plans(deed.connection, [_id(plan)])[0])
    return Changed(now, was, True, resleyed(was, now))


def claim_cloth(stash: Stash, name: str) -> Check:
    """Claim again, as planning does: from what is free now."""
    with doing(stash, "cloth claim", name.strip()) as deed:
        plan = planned_cloth(deed.connection, name)
        cloths.replace_claims(deed.connection, deed.action_id, _id(plan), {})
        return claimed(deed, _id(plan))


def check_cloth(stash: Stash, name: str) -> Check:
    """Will this cloth reach. Raises ImpossibleValue for one given up, or woven already."""
    with reading(stash) as connection:
        return _by_its_balls(connection, checked(connection, weavable_cloth(connection, name)))


def check_cloths(stash: Stash) -> list[Check]:
    """Every cloth that is not woven yet, by priority, with the odds of all together."""
    from farspun.services.together import checked_together  # only asked of several cloths

    with reading(stash) as connection:
        return [_by_its_balls(connection, one) for one in checked_together(connection)]


def list_cloths(stash: Stash) -> list[ClothRow]:
    """Every cloth, by priority; those not woven yet with their verdict."""
    rows = []
    with reading(stash) as connection:
        known = taught(connection)
        for plan in cloths.plans(connection):
            check = as_it_stands(connection, plan, known)
            rows.append(cloth_row(plan, check))
    return rows


def as_it_stands(connection: Connection, plan: Plan, known: Taught | None = None) -> Check | None:
    """The answer for a cloth, by its balls where they were weighed; None once it is woven."""
    if plan.status not in OPEN:
        return None
    return _by_its_balls(connection, checked(connection, plan, known))


def _by_its_balls(connection: Connection, check: Check) -> Check:
    """The answer by what its balls weighed, where it is on the loom."""
    if check.status != "on-loom":
        return check
    from farspun.services.halfway import as_weighed  # takes a while to load

    return as_weighed(connection, check)


def cloth_row(plan: Plan, check: Check | None) -> ClothRow:
    """A cloth in the list; without an answer it has no verdict."""
    return ClothRow(
        name=plan.name or "",
        status=plan.status,
        size=plan.size_said,
        priority=plan.priority,
        verdict=check.verdict if check else None,
        odds=check.asked_odds if check else None,
        promise=plan.promise,
        unkept=check is not None and any(one.code == NOT_KEPT for one in check.warnings),
    )


def open_cloth_names(stash: Stash) -> list[str]:
    """The names of cloths that are not woven yet, by priority."""
    with reading(stash) as connection:
        return cloths.names_by_priority(connection, OPEN)


def cloths_to_weave(stash: Stash) -> list[tuple[str, str]]:
    """Name and stage of every cloth that is not finished, by priority."""
    with reading(stash) as connection:
        plans = cloths.plans(connection)
        return [
            (one.name or "", one.status)
            for one in plans
            if one.status not in ("finished", "given-up")
        ]


def show_cloth(stash: Stash, name: str) -> ClothShown:
    """A cloth as it is planned, with its yarns, what each is kept for, and what was measured."""
    with reading(stash) as connection:
        return shown_cloth(connection, cloth_named(connection, name))


def may_be_matched(shown: ClothShown, side: str) -> bool:
    """Whether another yarn can be sought for that side: of a cloth that is only planned, where no
    order names its yarns."""
    plan = shown.plan
    return plan.status == "planned" and getattr(plan, f"{side}_order") is None


def shown_cloth(connection: Connection, plan: Plan) -> ClothShown:
    """As `show_cloth`, in a transaction that is open."""
    balls = weighed_balls(connection, _id(plan))
    weighed = [f"{one.said} at {say_cm(one.woven_cm)}" for one in balls]
    return ClothShown(plan, _yarns(connection, plan), _measured(connection, plan), weighed)


def _yarns(connection: Connection, plan: Plan) -> list[YarnShown]:
    held, known = cloths.claims_of(connection, _id(plan)), supplies(connection, plan.skein_ids)
    used = dict(yarn_used(connection, [_id(plan)]).get(_id(plan), Used()).grams)
    return [
        YarnShown(
            skein=known[part.skein_id].name,
            side=side,
            ends=part.ends,
            share=part.share,
            claimed_g=held.get((part.skein_id, side), 0) / 1000,
            used_g=used.pop(part.skein_id, 0.0),
        )
        for side, parts in (("warp", plan.warp), ("weft", plan.weft))
        for part in parts
    ]


def _measured(connection: Connection, plan: Plan) -> list[Measured]:
    told = facts(connection, [_id(plan)]).get(_id(plan))
    if told is None:
        return []
    used = yarn_used(connection, [_id(plan)]).get(_id(plan), Used())
    sample, cloth = pieces(plan, told, supplies(connection, plan.skein_ids), used)
    both = ((sample, told.sample), (cloth, told.cloth))
    return [Measured(piece.stage, own, piece.shown) for piece, own in both if own.names]


def weavable_cloth(connection: Connection, name: str) -> Plan:
    """The cloth of that name, if it is still to be woven. Raises NotFound, ImpossibleValue."""
    plan = cloth_named(connection, name)
    if plan.status not in OPEN:
        gone = plan.status == "given-up"
        why, what = ("given up", "planned") if gone else ("woven already", "measured")
        raise ImpossibleValue(
            "the cloth",
            f"“{plan.name}”",
            f"it is {why}, and needs no yarn",
            f"What was {what}: farspun cloth show {quote(plan.name or '')}",
        )
    return plan


def planned_cloth(connection: Connection, name: str) -> Plan:
    """The cloth of that name, if it is still only planned."""
    plan = cloth_named(connection, name)
    refuse_unless_planned(plan)
    return plan


def claimed(deed: Deed, cloth_id: int) -> Check:
    """Claim what the plan asks for, and tell."""
    check = checked(deed.connection, cloths.plans(deed.connection, [cloth_id])[0])
    cloths.replace_claims(deed.connection, deed.action_id, cloth_id, check.claims_mg)
    kept = [one for one in check.warnings if one.code != NOT_KEPT]  # it is now
    return replace(check, warnings=kept)


def refuse_taken_cloth(connection: Connection, name: str) -> None:
    """Raises ImpossibleValue where a cloth has that name."""
    for known in cloths.cloth_names(connection):
        if name_key(known) == name_key(name):
            raise ImpossibleValue(
                "the name",
                f"“{name}”",
                f"there is a cloth “{known}” already",
                f"To change that one: farspun cloth change {quote(known)} …; for another cloth"
                " choose another name, as a number behind it; a cloth given up keeps its own.",
            )


def _id(plan: Plan) -> int:
    assert plan.id is not None
    return plan.id
