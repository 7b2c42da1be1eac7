"""The life of a cloth: wound, on the loom, off the loom, finished; and its washed sample."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from shlex import quote

from sqlalchemy import Connection

from farspun.craft.plan import Plan
from farspun.craft.woven import Told
from farspun.errors import ImpossibleValue, NotFound, WrongUse
from farspun.services.checking import checked
from farspun.services.cloths import cloth_named
from farspun.services.readings import weighed
from farspun.services.used_yarn import Using
from farspun.services.writing import doing
from farspun.store import cloths, records
from farspun.store.engine import Stash
from farspun.store.estimates import recompute
from farspun.store.records import facts, fields_told
from farspun.store.supplies import supplies
from farspun.units import Quantity, name_key

STAGES = ("planned", "wound", "on-loom", "off-loom", "finished")
SAID = {
    "planned": "only planned",
    "wound": "wound",
    "on-loom": "on the loom",
    "off-loom": "off the loom",
    "finished": "finished",
    "given-up": "given up",
}
# the first stage at which each can be measured
FIRST_AT = {
    "ends": "wound",
    "warp_cm": "wound",
    "picks_per_cm": "on-loom",
    "picks_state": "on-loom",
    "tape_cm": "off-loom",
    "thrums_cm": "off-loom",
    "off_width_cm": "off-loom",
    "off_length_cm": "off-loom",
    "washed_width_cm": "finished",
    "washed_length_cm": "finished",
    "wash": "finished",
    "mass_g": "finished",
}
OPTION = {"warp_cm": "warp", "picks_per_cm": "picks", "picks_state": "state", "tape_cm": "tape",
          "thrums_cm": "thrums", "off_width_cm": "off", "off_length_cm": "off",
          "washed_width_cm": "washed", "washed_length_cm": "washed", "mass_g": "mass"}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Step:
    """What a command did: `used_g` yarn by skein; `again` where it told more of the same stage."""

    cloth: str
    status: str
    used_g: Mapping[str, float]
    remarks: list[str]
    again: bool


def advance(
    stash: Stash,
    name: str,
    stage: str,
    told: Told,
    said: str,
    left: Sequence[tuple[str, Quantity]] = (),
    tare: Quantity | None = None,
) -> Step:
    """Move a cloth to `stage`, or tell more of the stage it is at; yarn used leaves its skeins.

    `said`: the command read back; `left`: (SKEIN, on the scale) of yarn left over. Raises NotFound;
    ImpossibleValue out of order or for a skein not in the cloth; WrongUse for what cannot be
    measured yet.
    """
    _check_measurable(stage, told)
    with doing(stash, f"cloth {stage}", f"{name.strip()}{said}") as deed:
        plan = cloth_named(deed.connection, name)
        assert plan.id is not None
        again = _check_order(plan, stage)
        weighed_left = _left(deed.connection, plan, left, tare)
        before = facts(deed.connection, [plan.id]).get(plan.id, records.Facts()).cloth
        records.add_record(deed.connection, deed.action_id, plan.id, stage, said.strip(), told)
        using = Using(deed, plan, weighed_left, tare)
        _use_yarn(using, stage, before, told)
        using.weigh()
        settled = _settled(deed.connection, plan, told)
        if settled != plan:
            cloths.replace_plan(deed.connection, deed.action_id, settled)
        cloths.set_status(deed.connection, plan.id, stage)
        recompute(deed.connection)
        names = supplies(deed.connection, list(using.used.skeins_mg))
        used_g = {names[one].name: mg / 1000 for one, mg in using.used.skeins_mg.items() if mg}
        return Step(plan.name or "", stage, used_g, using.used.remarks, again)


def sample_cloth(stash: Stash, name: str, told: Told, said: str) -> Step:
    """Write down a washed sample of a cloth. Raises NotFound, ImpossibleValue."""
    with doing(stash, "cloth sample", f"{name.strip()}{said}") as deed:
        plan = cloth_named(deed.connection, name)
        assert plan.id is not None
        if plan.status == "given-up":
            raise ImpossibleValue("the cloth", f"“{plan.name}”", "it is given up")
        known = facts(deed.connection, [plan.id])
        again = plan.id in known and bool(fields_told(known[plan.id].sample))
        records.add_record(
            deed.connection, deed.action_id, plan.id, records.SAMPLE, said.strip(), told
        )
        return Step(plan.name or "", plan.status, {}, [], again)


def _check_measurable(stage: str, told: Told) -> None:
    for name in fields_told(told):
        first = FIRST_AT.get(name)
        if first is None or STAGES.index(first) > STAGES.index(stage):
            option = OPTION.get(name, name)
            raise WrongUse(
                f"--{option} cannot be told when a cloth is {SAID[stage]}.",
                f"Tell it later: farspun cloth {first or 'finished'} NAME --{option} …",
            )


def _check_order(plan: Plan, stage: str) -> bool:
    """True where the cloth is at that stage already. Raises ImpossibleValue out of order."""
    if plan.status == stage:
        return True
    shell = quote(plan.name or "")
    if plan.status == "given-up":
        raise ImpossibleValue(
            "the cloth", f"“{plan.name}”", "it is given up", "Plan it anew: farspun cloth plan"
        )
    here, wanted = STAGES.index(plan.status), STAGES.index(stage)
    if here > wanted:
        raise ImpossibleValue(
            f"“{plan.name}”",
            SAID[stage],
            f"it is {SAID[plan.status]} already",
            f"To correct what you told: farspun cloth {plan.status} {shell} …; to go back:"
            " farspun undo.",
        )
    needed = here + 1
    if plan.status == "planned" and plan.direct:
        needed = STAGES.index("on-loom")  # a warp laid directly is never wound
        if stage == "wound":
            raise ImpossibleValue(
                f"“{plan.name}”",
                "wound",
                "it is warped direct, straight onto the loom",
                f"farspun cloth on-loom {shell} …",
            )
    if wanted != needed:
        raise ImpossibleValue(
            f"“{plan.name}”",
            SAID[stage],
            f"it is {SAID[plan.status]}",
            f"First: farspun cloth {STAGES[needed]} {shell} …",
        )
    return False


def _left(
    connection: Connection, plan: Plan, left: Sequence[tuple[str, Quantity]], tare: Quantity | None
) -> dict[int, Quantity]:
    """What was weighed, by skein of the cloth. Raises NotFound, WrongUse, ImpossibleValue."""
    known = {one.name: one.skein_id for one in supplies(connection, plan.skein_ids).values()}
    if tare is not None and not left:
        raise WrongUse("--tare goes with --left.", "Give --left SKEIN=MASS too.")
    found: dict[int, Quantity] = {}
    for name, on_scale in left:
        ids = [number for one, number in known.items() if name_key(one) == name_key(name)]
        if not ids:
            raise NotFound(
                f"skein in “{plan.name}”", name.strip(), known, f"It has {', '.join(known)}."
            )
        if ids[0] in found:
            raise WrongUse(f"--left names “{name.strip()}” twice.", "Weigh all of it at once.")
        weighed(on_scale, tare)
        found[ids[0]] = on_scale
    return found


def _use_yarn(using: Using, stage: str, before: Told, told: Told) -> None:
    """The warp's yarn is used when it is wound, the weft's when the cloth comes off the loom."""
    plan, connection = using.plan, using.deed.connection
    at = STAGES.index(stage)
    if plan.status == "planned" and at >= STAGES.index("wound"):
        using.use("warp", _metres(connection, _as_wound(plan, told), "warp"))
    elif told.ends is not None or told.warp_cm is not None:
        was = _metres(connection, _as_wound(plan, before), "warp")
        now = _metres(connection, _as_wound(plan, before.corrected(told)), "warp")
        using.correct("warp", [b - a for a, b in zip(was, now, strict=True)])
    if stage == "off-loom" and plan.status != stage:
        using.use("weft", _weft_metres(connection, plan, before.corrected(told)))


def _as_wound(plan: Plan, told: Told) -> Plan:
    """The plan with the warp it really has."""
    ends = told.ends or plan.ends
    return replace(plan, ends=ends, warp_cut_cm=told.warp_cm or plan.warp_cut_cm)


def _settled(connection: Connection, plan: Plan, told: Told) -> Plan:
    """Once there is a warp, its ends and length stay what they are, whatever is learned later."""
    wound = _as_wound(plan, told)
    if wound.ends and wound.warp_cut_cm:
        return wound
    setup = checked(connection, replace(wound, status="planned")).setup
    return replace(
        wound,
        ends=wound.ends or setup.ends - plan.floating_selvedges,
        warp_cut_cm=wound.warp_cut_cm or setup.warp_cut_cm,
    )


def _metres(connection: Connection, plan: Plan, side: str) -> list[float]:
    """What the answer takes for the middle of each yarn's need."""
    check = checked(connection, replace(plan, status="planned"))
    return [need.need_m.p50 or 0.0 for need in (check.warp if side == "warp" else check.weft)]


def _weft_metres(connection: Connection, plan: Plan, told: Told) -> list[float]:
    """Middle needs, scaled to the length and the picks she told."""
    check = checked(connection, replace(plan, status="planned"))
    rested = check.setup.woven_length_cm
    scale = 1.0
    if told.off_length_cm is not None:
        scale *= (plan.pieces * told.off_length_cm + plan.sample_cm + plan.header_cm) / rested
    if told.picks_per_cm is not None and told.picks_state != "tight":
        scale *= told.picks_per_cm / plan.picks_per_cm
    return [scale * (need.need_m.p50 or 0.0) for need in check.weft]
