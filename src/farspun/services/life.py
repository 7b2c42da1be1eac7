"""The life of a cloth: wound, on the loom, off the loom, finished; and its washed sample."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from shlex import quote

from sqlalchemy import Connection

from farspun.craft.plan import STAGES, WARPED, WOVEN, Plan
from farspun.craft.woven import Meant, Told, check_possible, rested_picks_per_cm
from farspun.errors import ImpossibleValue, NotFound, WrongUse
from farspun.services.answers import Check
from farspun.services.balance import refuse_closed
from farspun.services.checking import checked
from farspun.services.names import cloth_named
from farspun.services.questions import Question, questions
from farspun.services.readings import weighed
from farspun.services.stages import FIRST_AT, OPTIONS, SAID, measurable
from farspun.services.stock import stock_for
from farspun.services.taught import pieces, taught
from farspun.services.unlike_habit import unlike_habit, unlike_its_yarn
from farspun.services.used_yarn import Left, Using
from farspun.services.wound_yarn import ask_about_wound
from farspun.services.writing import Deed, doing
from farspun.store import cloths, records
from farspun.store.engine import Stash
from farspun.store.estimates import recompute
from farspun.store.records import SAMPLE, Facts, facts
from farspun.store.skeins import skein_named
from farspun.store.supplies import supplies
from farspun.store.used import Used, yarn_used
from farspun.units import CM_PER_INCH, Quantity, name_key, say_cm

FAR_OFF_PLAN = 1.5  # times more or less; judgement: no allowance for size comes near it


@dataclass(frozen=True, slots=True)
class Step:
    """What a command did: `used_g` yarn by skein; `again` where it told more of the same stage.

    `questions`: about what it told that can hardly be.
    """

    cloth: str
    status: str
    used_g: Mapping[str, float] = field(default_factory=dict)
    remarks: Sequence[str] = ()
    questions: Sequence[Question] = ()
    again: bool = False


def advance(
    stash: Stash,
    name: str,
    stage: str,
    told: Told,
    said: str,
    left: Sequence[tuple[str, Quantity]] = (),
    tare: Quantity | None = None,
    sure: bool | None = None,
) -> Step:
    """Move a cloth to `stage`, or tell more of the stage it is at; yarn used leaves its skeins.

    `said`: the command read back; `left`: (SKEIN, on the scale) of yarn left over, 0 g for none.
    Raises ToConfirm where more is left than there was and she is not `sure`, and where what is left
    does not fit the warp that was wound and she is asked (`sure` False, not None); NotFound;
    ImpossibleValue out of order, for a skein not in the cloth, or for what cannot be; WrongUse for
    what cannot be measured yet.
    """
    _check_measurable(stage, told)
    with doing(stash, f"cloth {stage}", f"{name.strip()}{said}") as deed:
        plan = cloth_named(deed.connection, name)
        again = _check_order(plan, stage)
        before = _facts(deed.connection, plan)
        told = _completed(told, before.cloth, plan, stage)
        using = Using(deed, plan, _left(deed.connection, plan, stage, left, tare), sure)
        remarks = _unlike_the_plan(deed.connection, plan, stage, told)
        settled = _settled(deed.connection, plan, told)
        _check(deed.connection, replace(settled, status=stage), before, told)
        records.add_record(deed.connection, deed.action_id, _id(plan), stage, _words(said), told)
        _use_yarn(using, stage, before.cloth, told)
        using.weigh()
        if settled != plan:
            cloths.replace_plan(deed.connection, deed.action_id, settled)
        cloths.set_status(deed.connection, _id(plan), stage)
        recompute(deed.connection)
        names = supplies(deed.connection, list(using.used.skeins_mg))
        asked = _asked(deed, plan)
        return Step(
            plan.name or "",
            stage,
            {names[one].name: mg / 1000 for one, mg in using.used.skeins_mg.items() if mg},
            [*remarks, *using.used.remarks, *_unlike(deed, plan, told, before, asked)],
            asked,
            again,
        )


def sample_cloth(stash: Stash, name: str, told: Told, said: str) -> Step:
    """Write down a washed sample of a cloth. Raises NotFound, ImpossibleValue, WrongUse."""
    with doing(stash, "cloth sample", f"{name.strip()}{said}") as deed:
        plan = cloth_named(deed.connection, name)
        if not told.names:
            raise WrongUse(
                "Nothing was measured of the sample.",
                "Give what you have: --reed 12cm --off 11.2cmx10.4cm --washed 10.1cmx9.2cm.",
            )
        if plan.status == "given-up":
            raise ImpossibleValue(
                f"“{plan.name}”",
                "sampled",
                "it is given up",
                "Plan it anew, or another: farspun cloth plan NAME …",
            )
        before = _facts(deed.connection, plan)
        told = _completed(told, before.sample, plan, SAMPLE)
        check_possible(before.sample.corrected(told), Meant(plan.picks_per_cm))
        records.add_record(deed.connection, deed.action_id, _id(plan), SAMPLE, _words(said), told)
        again = bool(before.sample.names)
        return Step(plan.name or "", plan.status, questions=_asked(deed, plan), again=again)


def _words(said: str) -> str:
    """The command read back, without the sign that sets it off from the cloth's name."""
    return said.removeprefix(":").strip()


def _id(plan: Plan) -> int:
    assert plan.id is not None
    return plan.id


def _facts(connection: Connection, plan: Plan) -> Facts:
    return facts(connection, [_id(plan)]).get(_id(plan), Facts())


def _check_measurable(stage: str, told: Told) -> None:
    for name in told.names:
        if not measurable(name, stage):
            option, first = OPTIONS.get(name, name), FIRST_AT.get(name, "sample")
            raise WrongUse(
                f"--{option} cannot be told when a cloth is {SAID[stage]}.",
                f"Tell it with: farspun cloth {first} NAME --{option} …",
            )


def _check_order(plan: Plan, stage: str) -> bool:
    """True where the cloth is at that stage already. Raises ImpossibleValue out of order."""
    if plan.status == stage:
        return True
    shell = quote(plan.name or "")
    if plan.status == "given-up":
        raise ImpossibleValue(
            f"“{plan.name}”", SAID[stage], "it is given up", "Plan it anew: farspun cloth plan"
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
                f"Tell it when it is on the loom: farspun cloth on-loom {shell} …",
            )
    if wanted != needed:
        raise ImpossibleValue(
            f"“{plan.name}”",
            SAID[stage],
            f"it is {SAID[plan.status]}",
            f"First: farspun cloth {STAGES[needed]} {shell} …",
        )
    return False


def _completed(told: Told, before: Told, plan: Plan, stage: str) -> Told:
    """With what goes without saying: where picks were counted, and that it was washed as planned.

    Raises WrongUse for a state without a count.
    """
    if told.picks_state is not None and told.picks_per_cm is None and before.picks_per_cm is None:
        raise WrongUse("--state goes with --picks.", "Give --picks PICKS too.")
    if told.picks_per_cm is not None and told.picks_state is None:
        told = replace(told, picks_state="tight" if stage == "on-loom" else "rested")
    washed = told.washed_width_cm is not None and told.wash is None and before.wash is None
    return replace(told, wash=plan.wash) if washed else told


def _check(connection: Connection, plan: Plan, before: Facts, told: Told) -> None:
    """Raises ImpossibleValue for what cannot be, with all that was told before."""
    now = Facts(cloth=before.cloth.corrected(told))
    known = supplies(connection, plan.skein_ids)
    _, cloth = pieces(plan, now, known, Used())
    check_possible(cloth.told, cloth.meant)


def _asked(deed: Deed, plan: Plan) -> list[Question]:
    """What to ask about what this command told."""
    return [
        asked
        for seen, asked in questions(taught(deed.connection))
        if seen.piece.plan.id == plan.id and seen.piece.said_at(seen.factor) == deed.action_id
    ]


def _unlike(
    deed: Deed, plan: Plan, told: Told, before: Facts, asked: Sequence[Question]
) -> list[str]:
    """What was told now and is unlike what is usual, or unlike the yarn that went into it."""
    told_now = [
        seen
        for seen in taught(deed.connection).seen
        if seen.piece.plan.id == plan.id and seen.piece.said_at(seen.factor) == deed.action_id
    ]
    said = list(unlike_habit(told_now, {one.factor for one in asked}))
    if told.mass_g is not None:
        stock = stock_for(deed.connection, plan.skein_ids)
        used = yarn_used(deed.connection, [_id(plan)]).get(_id(plan))
        whole = before.cloth.corrected(told)
        fresh = bool(stock.unwashed)
        said += unlike_its_yarn(plan, whole, used, fresh)
    return said


def _left(
    connection: Connection,
    plan: Plan,
    stage: str,
    left: Sequence[tuple[str, Quantity]],
    tare: Quantity | None,
) -> dict[int, Left]:
    """What was weighed, by skein of the cloth. Raises NotFound, WrongUse, ImpossibleValue."""
    known = {one.name: one.skein_id for one in supplies(connection, plan.skein_ids).values()}
    if tare is not None and not left:
        raise WrongUse("--tare goes with --left.", "Give --left SKEIN=MASS too.")
    on_warp = {part.skein_id for part in plan.warp}
    found: dict[int, Left] = {}
    for name, on_scale in left:
        ids = [number for one, number in known.items() if name_key(one) == name_key(name)]
        if not ids:
            raise NotFound(
                f"skein in “{plan.name}”", name.strip(), known, f"It has {', '.join(known)}."
            )
        if ids[0] in found:
            raise WrongUse(f"--left names “{name.strip()}” twice.", "Weigh all of it at once.")
        if stage in WARPED and ids[0] not in on_warp:
            raise WrongUse(
                f"“{name.strip()}” is weft, and none of it is woven yet.",
                f"Weigh it when the cloth is off the loom: farspun cloth off-loom"
                f" {quote(plan.name or '')} --left …",
            )
        _check_weighable(connection, name)
        nothing = on_scale.value == 0
        found[ids[0]] = Left(None if nothing else weighed(on_scale, tare), on_scale, tare)
    return found


def _check_weighable(connection: Connection, name: str) -> None:
    """Raises ImpossibleValue for a skein that is closed, or of which nobody knows how much was."""
    row = skein_named(connection, name)
    refuse_closed(row)
    if row["balance_mg"] is None:
        raise ImpossibleValue(
            "what is left",
            f"of “{row['name']}”",
            "nobody knows how much of it there was",
            f"Leave it out here, and weigh it by itself: farspun skein weigh"
            f" {quote(row['name'])} MASS",
        )


def _use_yarn(using: Using, stage: str, before: Told, told: Told) -> None:
    """The warp's yarn is used when it is wound, the weft's when the cloth comes off the loom."""
    plan, now = using.plan, before.corrected(told)
    if using.left and stage in WARPED:
        ask_about_wound(using, *_as_checked(using, now))
    if plan.status == "planned":
        using.use("warp", _needs(using, now)["warp"])
    elif {"ends", "warp_cm"} & set(told.names) or (plan.status in WOVEN and _weft_told(told)):
        needs = _needs(using, now)
        using.correct({side: needs[side] for side in _used_sides(plan)})
    if stage in WOVEN and plan.status not in WOVEN:
        using.use("weft", _needs(using, now)["weft"])


def _used_sides(plan: Plan) -> tuple[str, ...]:
    return ("warp", "weft") if plan.status in WOVEN else ("warp",)


def _weft_told(told: Told) -> bool:
    """Whether it says anything that the weft is worked out from."""
    return bool({"off_length_cm", "picks_per_cm", "picks_state"} & set(told.names))


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


def _unlike_the_plan(connection: Connection, plan: Plan, stage: str, told: Told) -> list[str]:
    """A warp far from the one that was planned is asked about at once: its yarn is gone by now."""
    if told.ends is None and told.warp_cm is None:
        return []
    first = plan if plan.status == "planned" else replace(plan, ends=None, warp_cut_cm=None)
    setup = checked(connection, replace(first, status="planned")).setup
    wound = (
        ("ends", told.ends, setup.ends - plan.floating_selvedges),
        ("warp", told.warp_cm, setup.warp_cut_cm),
    )
    return [
        f"Is that right? {_warp_said(name, value)}; the plan would have {_warp_said(name, meant)}."
        f"{_warp_slip(name, value, meant)}"
        f" To correct it: farspun cloth {stage} {quote(plan.name or '')} --{name} …"
        for name, value, meant in wound
        if value is not None and not 1 / FAR_OFF_PLAN <= value / meant <= FAR_OFF_PLAN
    ]


SLIPS = {  # what a figure was to be multiplied by
    "Is the decimal point right?": (10.0, 0.1),
    "Were inches meant?": (CM_PER_INCH,),
    "Were cm meant?": (1 / CM_PER_INCH,),
}


def _warp_slip(name: str, value: float, meant: float) -> str:
    """The slip that brings it nearest to the plan, as a question; nothing where none does."""
    fitting = [
        (abs(math.log(value * times / meant)), asked, value * times)
        for asked, each in SLIPS.items()
        for times in each
        if name == "warp" or asked.startswith("Is")
    ]
    off, asked, put_right = min(fitting)
    if off > math.log(FAR_OFF_PLAN):
        return ""
    return f" {asked} {_warp_said(name, put_right)} would fit."


def _warp_said(name: str, value: float) -> str:
    return f"{value:.0f} ends" if name == "ends" else f"{say_cm(value)} of warp"


def _as_checked(using: Using, told: Told) -> tuple[Plan, Check]:
    """The plan with the warp it really has, and its answer."""
    plan = _as_wound(using.plan, told)
    return plan, checked(using.deed.connection, replace(plan, status="planned"))


def _needs(using: Using, told: Told) -> dict[str, list[float]]:
    """Metres of each yarn by side: what the answer takes for the middle of each need, the weft
    scaled to the length and the picks she told."""
    plan, check = _as_checked(using, told)
    setup, scale = check.setup, 1.0
    if told.off_length_cm is not None:
        woven_cm = plan.pieces * told.off_length_cm + plan.sample_cm + plan.header_cm
        scale *= woven_cm / setup.woven_length_cm
    picks = rested_picks_per_cm(told, 1 - setup.woven_length_cm / setup.tape_length_cm)
    if picks is not None:
        scale *= picks / plan.picks_per_cm
    return {
        "warp": [need.need_m.p50 or 0.0 for need in check.warp],
        "weft": [scale * (need.need_m.p50 or 0.0) for need in check.weft],
    }
