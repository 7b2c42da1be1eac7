"""At the loom: the figures to work by, large; and what is done and measured there."""

from collections.abc import Sequence, Set
from functools import partial
from typing import Annotated, Any

from fastapi import APIRouter, Depends, Request
from fastapi.responses import RedirectResponse, Response
from starlette.exceptions import HTTPException

from farspun import units
from farspun.craft.plan import STAGES, WARPED, Plan
from farspun.errors import FarspunError
from farspun.services.answers import Check
from farspun.services.cloth_shelf import Looked, look_at_cloth
from farspun.services.cloths import ClothShown, cloths_to_weave
from farspun.services.life import Step, advance, sample_cloth
from farspun.services.stages import SAID
from farspun.services.taught import CLOTH
from farspun.services.telling import sample_said, step_said, told_from, with_left
from farspun.services.told_again import ToldAgain, told_again
from farspun.services.wording_cloth import verdict_said
from farspun.services.wording_lessons import all_question_lines
from farspun.services.wording_loom import order_rows, sleying
from farspun.services.wording_measured import measured_rows
from farspun.units import say_cm, say_inches, say_per_cm, say_per_inch
from farspun.web.answering import Submitted, address, status_of, typed_in
from farspun.web.drawing import Desk, page
from farspun.web.fields import Field, Typed, apart, said_on_page
from farspun.web.forms import Asks, Failed, drawn, filled_from, sure
from farspun.web.pages import weighing
from farspun.web.pages.cloth import grouped
from farspun.web.pages.cloth_boxes import side
from farspun.web.pages.left_boxes import LEFT, TARE, beside, left_boxes, left_in, skeins_of

SHORT = ("cm", "in", "m", "yd")
WASHES = (
    ("", "as planned"),
    *((one, one) for one in ("gentle", "hot", "fulled", "machine", "none")),
)
DONE = {
    "wound": "The warp is wound",
    "on-loom": "It is on the loom",
    "off-loom": "It is off the loom",
    "finished": "It is washed and dry",
    "sample": "Write the sample down",
}


def _length(name: str, label: str, says: str = "", zero: bool = True) -> Field:
    return Field(
        name, label, "amount", lambda text: units.length(text, name, zero=zero), SHORT, says=says
    )


def _side(name: str, label: str, other: str, says: str = "") -> Field:
    return Field(name, label, "amount", side(label.lower()), SHORT, says=says, goes_with=other)


BOXES = {
    "ends": Field("ends", "Ends", "number", lambda text: units.whole(text, "ends", least=1),
                  says="wound, without floating selvedges"),
    "warp": _length("warp", "Warp length", zero=False),
    "picks": Field("picks", "Picks", "amount", lambda text: units.threads(text, "picks"),
                   ("/cm", "ppi"), says="counted"),
    "state": Field("state", "They were counted", "choice",
                   choices=(("", "as usual"), ("tight", "tight"), ("rested", "rested")),
                   says="as usual: tight while on the loom, else rested"),
    "tape": _length("tape", "Woven, by the tape", "tight, without gaps", zero=False),
    "thrums": _length("thrums", "Thrums", "left of the warp, both ends together"),
    "spare": _length("spare", "To spare", "of the thrums, what could still have been woven"),
    "reed": _length("reed", "Width in the reed", "of the sample", zero=False),
    "off_wide": _side("off_wide", "Off the loom, wide", "off_long", "rested"),
    "off_long": _side("off_long", "Off the loom, long", "off_wide"),
    "washed_wide": _side("washed_wide", "Washed, wide", "washed_long", "before hems"),
    "washed_long": _side("washed_long", "Washed, long", "washed_wide"),
    "wash": Field("wash", "Washed", "choice", choices=WASHES),
    "mass": Field("mass", "The piece weighs", "amount", units.mass, ("g", "oz"), says="dry"),
}  # fmt: skip
OFF = ("off_wide", "off_long")
WASHED = ("washed_wide", "washed_long", "wash", "mass")
WOVEN = ("picks", "state", "tape", "thrums", "spare", *OFF)
ASKED = {
    "wound": ("ends", "warp"),
    "on-loom": ("ends", "warp", "picks", "state"),
    "off-loom": ("ends", "warp", *WOVEN),
    "finished": (*WASHED, "ends", "warp", *WOVEN),
    "sample": ("reed", *OFF, *WASHED, "picks", "state", "warp", "thrums", "spare"),
}
WEIGHED = "weigh"  # a form beside those of the stages


def router(desk: Desk) -> APIRouter:
    """/at-the-loom and its forms."""
    pages = APIRouter()

    @pages.get("/at-the-loom")
    def at_the_loom(request: Request, cloth: str = "") -> Response:
        """One cloth; without a name the only one there is, or a list."""
        if cloth:
            return _page(request, desk, cloth, None)
        names = cloths_to_weave(desk.stash)
        if len(names) == 1:
            return RedirectResponse(address("/at-the-loom", cloth=names[0][0]), 303)
        return page(request, desk, "loom_choose.html",
                    cloths=[(name, SAID[state]) for name, state in names])  # fmt: skip

    @pages.post("/at-the-loom/{stage}")
    def do(request: Request, stage: str, typed: Annotated[Typed, Depends(typed_in)]) -> Response:
        """Write down what was done and measured."""
        if stage not in (*ASKED, WEIGHED):
            raise HTTPException(404)
        name = typed.get("of", "")
        action = f"/at-the-loom/{stage}"
        prefix = weighing.BALL if stage == WEIGHED else LEFT
        skeins = skeins_of(typed, prefix)

        def redraw(error: FarspunError) -> Response:
            return _page(request, desk, name, Failed(action, typed, error))

        def act(values: dict[str, Any]) -> tuple[str, list[str]]:
            tell = weighing.weigh if stage == WEIGHED else partial(
                _told, stage=stage, is_sure=sure(typed))  # fmt: skip
            return address("/at-the-loom", cloth=name), tell(desk, name, values, skeins)

        new = _only_new(desk, name, stage, typed) if stage in STAGES else typed
        sent = Submitted(request, desk, action, new, redraw)
        return sent.carry_out(_boxes(stage, skeins), "cloth", name, act)

    return pages


def _boxes(stage: str, skeins: Sequence[str]) -> list[Field]:
    if stage == WEIGHED:
        return weighing.boxes(skeins)
    own = [BOXES[name] for name in ASKED[stage]]
    if stage == "sample":
        return own
    return [*own, *left_boxes(skeins)]


def _told(
    desk: Desk,
    name: str,
    values: dict[str, Any],
    skeins: Sequence[str],
    stage: str,
    is_sure: bool,
) -> list[str]:
    left = left_in(values, skeins)
    tare = values.pop("tare", None)
    for which in ("off", "washed"):
        values[which] = _size(which, values)
    told, said = told_from(values)
    if stage == "sample":
        step = sample_cloth(desk.stash, name, told, said)
        return [sample_said(step), *_after(step)]
    step = advance(desk.stash, name, stage, told, with_left(said, left, tare), left, tare,
                   is_sure)  # fmt: skip
    return [*step_said(step), *_after(step)]


def _after(step: Step) -> list[str]:
    return [*step.remarks, *(line.strip() for line in all_question_lines(list(step.questions)))]


def _size(which: str, values: dict[str, Any]) -> units.Size | None:
    """Two boxes as one size."""
    wide, long = values.pop(f"{which}_wide", None), values.pop(f"{which}_long", None)
    if wide is None or long is None:
        return None
    return units.size(f"{wide}x{long}", which)


def _page(request: Request, desk: Desk, name: str, failed: Failed | None) -> Response:
    looked = look_at_cloth(desk.stash, name)
    plan = looked.shown.plan
    forms = _forms(desk, looked, failed)
    balls, wefts = weighing.balls_said(desk, name) if plan.status == "on-loom" else (None, ())
    if balls is not None:
        asks = Asks(weighing.WEIGH, "Weigh", weighing.boxes(wefts))
        forms[WEIGHED] = drawn(
            desk, asks, looked.newest, plan.name or "", failed=failed,
            beside=beside(wefts, weighing.BALL),
        )  # fmt: skip
    lost = failed is not None and failed.action not in {one.action for one in forms.values()}
    check = looked.check
    return page(
        request, desk, "loom.html", 200 if failed is None else status_of(failed.error),
        cloth=plan, state=SAID[plan.status], forms=forms, balls=balls,
        verdict="" if check is None else verdict_said(check),
        marks=[] if check is None else marks(plan, check),
        orders=[] if check is None else grouped(order_rows(check.setup)),
        measured=grouped(measured_rows(looked.shown.measured)),
        problem=said_on_page(failed.error) if failed is not None and lost else "",
    )  # fmt: skip


def _forms(desk: Desk, looked: Looked, failed: Failed | None) -> dict[str, Any]:
    """What can be done next, and correcting what was told last."""
    plan = looked.shown.plan
    if plan.status == "given-up":
        return {}
    stages = [plan.status] if plan.status != "planned" else []
    later = STAGES[STAGES.index(plan.status) + 1 :]
    if plan.direct and plan.status == "planned":
        later = later[1:]
    stages = [*later[:1], *stages, "sample"]
    found = {}
    for stage in stages:
        again = stage == plan.status
        done = "Correct it" if again else DONE[stage]
        skeins = _to_weigh(looked, stage)
        asks = Asks(f"/at-the-loom/{stage}", done, _boxes(stage, skeins))
        hidden = beside(skeins, LEFT)
        found[stage] = drawn(
            desk, asks, looked.newest, plan.name or "", failed=failed,
            filled=told_before(desk, looked.shown, skeins) if again else None,
            beside={} if stage == "sample" else hidden,
        )  # fmt: skip
    return found


def _to_weigh(looked: Looked, stage: str) -> list[str]:
    """The skeins of which something may be left then: no weft is woven before it is off."""
    yarns = looked.shown.yarns
    own = [one.skein for one in yarns if stage not in WARPED or one.side == "warp"]
    return list(dict.fromkeys(own))


def told_before(desk: Desk, shown: ClothShown, skeins: Sequence[str]) -> Typed:
    """What was told of the cloth itself, as it was typed; what is left of `skeins`, in order."""
    name = shown.plan.name or ""
    told = next((one.told for one in shown.measured if one.stage == CLOTH), None)
    before = told_again(desk.stash, name)
    filled = {} if told is None else filled_from(
        {"ends": told.ends, "state": told.picks_state, "wash": told.wash}
    )  # fmt: skip
    weighed = {f"{LEFT}{skeins.index(one)}": text for one, text in before.left.items()
               if one in skeins}  # fmt: skip
    tare = {"tare": before.tare} if before.tare and weighed else {}
    for box, text in {**before.figures, **weighed, **tare}.items():
        filled = {**filled, box: (parts := apart(text, _units(box)))[0]}
        filled |= {f"{box}_unit": parts[1]} if parts[1] else {}
    return filled


def _units(box: str) -> Sequence[str]:
    return BOXES[box].units if box in BOXES else TARE.units


def _only_new(desk: Desk, name: str, stage: str, typed: Typed) -> Typed:
    """The form without what it held already as it was drawn: only what is told anew is told."""
    looked = look_at_cloth(desk.stash, name)
    if looked.shown.plan.status != stage:
        return typed
    skeins = skeins_of(typed, LEFT)
    before = told_before(desk, looked.shown, skeins)
    same = {one for one in before if not one.endswith("_unit") and _same(one, before, typed)}
    for pair in (OFF, WASHED[:2]):
        if not same.issuperset(pair):
            same -= set(pair)
    if not same.issuperset({"picks", "state"} & before.keys()):
        same -= {"picks", "state"}
    same -= _left_anew(told_again(desk.stash, name), skeins, same, typed)
    return {one: text for one, text in typed.items() if one not in same}


def _same(box: str, before: Typed, typed: Typed) -> bool:
    """Whether a box holds what it held; without a unit beside it the first one is meant."""
    first = next(iter(_units(box) if box in BOXES or box.startswith((LEFT, "tare")) else ()), "")
    unit = f"{box}_unit"
    as_typed, as_before = typed.get(unit) or first, before.get(unit) or first
    return typed.get(box, "").strip() == before[box] and as_typed == as_before


def _left_anew(before: ToldAgain, skeins: Sequence[str], same: Set[str], typed: Typed) -> set[str]:
    """What is left and goes with what is told anew: the tare comes off each that is.

    A tare that is told anew comes off what was weighed with the one before.
    """
    boxes = {skein: f"{LEFT}{at}" for at, skein in enumerate(skeins)}
    tare_same = "tare" in same or not (before.tare or typed.get("tare", "").strip())
    anew = set() if tare_same else {boxes[one] for one in before.with_tare if one in boxes}
    changed = [box for box in boxes.values() if typed.get(box, "").strip() and box not in same]
    return anew | ({"tare"} if changed or anew else set())


def marks(plan: Plan, check: Check) -> list[tuple[str, str, str, str]]:
    """The figures to work by: what, large, its unit, and in the other unit."""
    setup = check.setup
    found = [
        ("ends", f"{setup.ends}", "", sleying(setup.per_dent) if setup.reed else ""),
        _mark("warp length", f"{setup.warp_cut_cm:.0f} cm", say_inches(setup.warp_cut_cm)),
        _mark("in the reed", say_cm(setup.reed_width_cm), say_inches(setup.reed_width_cm)),
        _mark("sett", say_per_cm(setup.sett_ends_per_cm), say_per_inch(setup.sett_ends_per_cm)),
        _mark("picks, rested", say_per_cm(setup.picks_per_cm), say_per_inch(setup.picks_per_cm)),
        _mark("weave by the tape", say_cm(setup.tape_length_cm), say_inches(setup.tape_length_cm)),
    ]
    if plan.reed:
        found.insert(1, ("reed", plan.reed.name, "", plan.loom.name if plan.loom else ""))
    if plan.pieces > 1:
        found.append(("pieces", str(plan.pieces), "", ""))
    return found


def _mark(what: str, said: str, other: str) -> tuple[str, str, str, str]:
    figure, _, unit = said.partition(" ")
    return what, figure, unit, other
