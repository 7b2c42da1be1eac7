"""One cloth: the verdict, what it rests on, and what would change it."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from typing import Annotated, Any

from fastapi import APIRouter, Depends, Request
from fastapi.responses import Response

from farspun.craft.plan import Plan
from farspun.errors import FarspunError, WrongUse
from farspun.services.answers import Assumption, Check
from farspun.services.cloth_history import cloth_history, event_row
from farspun.services.cloth_shelf import Looked, look_at_cloth
from farspun.services.cloths import (
    Changed,
    change_and_claim,
    change_cloth,
    claim_cloth,
    may_be_matched,
    show_cloth,
    try_change,
)
from farspun.services.defaults import default_names
from farspun.services.factors import FACTORS as NAMES
from farspun.services.giving_up import give_up_cloth
from farspun.services.stages import SAID
from farspun.services.wording import Row
from farspun.services.wording_cloth import (
    CLAIMED,
    NOT_KEPT,
    OTHER_REED,
    before_said,
    doubt_rows,
    habit_rows,
    kept_said,
    next_rows,
    size_rows,
    unkept_said,
    verdict_said,
)
from farspun.services.wording_loom import SHAFTS, handle_rows, loom_rows, order_rows
from farspun.services.wording_need import yarns_said
from farspun.services.wording_page import plain
from farspun.services.wording_plan import plan_rows
from farspun.services.wording_used import used_said
from farspun.units import say_cm, say_percent
from farspun.web.answering import Submitted, address, status_of, typed_in
from farspun.web.drawing import Desk, page
from farspun.web.fields import Field, Typed, read, said_on_page, without_commands
from farspun.web.forms import Asks, Failed, drawn
from farspun.web.pages.cloth_boxes import ASSUMED, FACTORS, asked
from farspun.web.pages.cloths import offered_skeins, own_boxes
from farspun.web.pages.left_boxes import LEFT, beside, left_boxes, left_in, skeins_of
from farspun.web.pages.weighing import weighed_verdicts

CLAIM = Asks("/cloth/claim", "Claim its yarn again", ())
SURE = Field(
    "sure", "Yes, give it up and free its yarn", "check",
    needed="Tick this if you mean it; as it is, nothing was done.",
)  # fmt: skip
BACK = Field(
    "back", "The warp's yarn", "choice",
    choices=(("", "as usual"), ("yes", "goes back to its skeins"), ("no", "does not go back")),
    says="as usual it goes back while it is only wound",
)  # fmt: skip
GIVE_UP = "/cloth/give-up"
KEEP = "/cloth/change"
SIDES = ("warp", "weft")
AS_GIVEN = {"waste_cm": "waste"}


def router(desk: Desk) -> APIRouter:
    """/cloth and its forms."""
    pages = APIRouter()

    @pages.get("/cloth")
    def show(request: Request, name: str = "", of: str = "") -> Response:
        """The answer; with boxes filled in the address, what it would be then."""
        return _page(request, desk, name or of, dict(request.query_params), None)

    @pages.post("/cloth/change")
    def change(request: Request, typed: Annotated[Typed, Depends(typed_in)]) -> Response:
        """Keep what was tried."""

        def act(values: dict[str, Any]) -> list[str]:
            name = typed.get("of", "")
            if (values["wide"] is None) != (values["long"] is None):
                _fill_side(values, show_cloth(desk.stash, name).plan)
            if typed.get("claim"):
                changed, yarns = change_and_claim(desk.stash, name, _asked(values))
                more = list(kept_said(changed.check, yarns))
                done = "Changed, and its yarn is claimed again"
            else:
                changed = change_cloth(desk.stash, name, _asked(values))
                done, more = "Changed", unkept_said(changed.check)
            return [f"{done}. Before: {', '.join(before_said(changed))}.", *more]

        return _sent(request, desk, KEEP, _change_boxes(desk, None), typed, act)

    @pages.post("/cloth/claim")
    def claim(request: Request, typed: Annotated[Typed, Depends(typed_in)]) -> Response:
        """Claim again, from what is free now."""

        def act(_: dict[str, Any]) -> list[str]:
            claim_cloth(desk.stash, typed.get("of", ""))
            return ["Its yarn is claimed again, from what is free now."]

        return _sent(request, desk, CLAIM.action, CLAIM.fields, typed, act)

    @pages.post("/cloth/give-up")
    def give_up(request: Request, typed: Annotated[Typed, Depends(typed_in)]) -> Response:
        """Give it up; its yarn is free again."""
        skeins = skeins_of(typed, LEFT)

        def act(values: dict[str, Any]) -> list[str]:
            left = left_in(values, skeins)
            back = None if values["back"] is None else values["back"] == "yes"
            ended = give_up_cloth(desk.stash, typed.get("of", ""), back, left, values.get("tare"))
            moved = [used_said(name, round(-1000 * g)) for name, g in ended.back_g.items()]
            said = f"{ended.plan.name} is given up; the yarn it claimed is free again."
            return [said, *moved, *ended.remarks]

        return _sent(request, desk, GIVE_UP, _ending_boxes(skeins), typed, act)

    @pages.get("/cloth/history")
    def history(request: Request, name: str = "") -> Response:
        """Every command that had to do with it."""
        plan = show_cloth(desk.stash, name).plan
        events = [(one, event_row(one, plan.name or "")) for one in cloth_history(desk.stash, name)]
        return page(request, desk, "cloth_history.html", name=plan.name, events=events)

    return pages


def _ending_boxes(skeins: Sequence[str]) -> list[Field]:
    """To give a cloth up; `skeins`: those that may be weighed."""
    return [SURE, BACK, *left_boxes(skeins)]


def _sent(
    request: Request,
    desk: Desk,
    action: str,
    fields: Iterable[Field],
    typed: Typed,
    act: Any,
) -> Response:
    name = typed.get("of", "")

    def redraw(error: FarspunError) -> Response:
        return _page(request, desk, name, {}, Failed(action, typed, error))

    def go(values: dict[str, Any]) -> tuple[str, list[str]]:
        told = act(values)
        return address("/cloth", name=name), told

    return Submitted(request, desk, action, typed, redraw).carry_out(
        list(fields), "cloth", name, go
    )


def _page(request: Request, desk: Desk, name: str, query: Typed, failed: Failed | None) -> Response:
    looked = look_at_cloth(desk.stash, name)
    boxes = _change_boxes(desk, looked) if looked.check is not None else []
    tried, problem = _tried(desk, looked, query, boxes)
    if problem is not None:
        failed = Failed(KEEP, query, problem)
    forms = _forms(desk, looked, query, failed, boxes)
    status = 200 if failed is None or problem is not None else status_of(failed.error)
    lost = failed if failed is not None and failed.action not in _actions(forms) else None
    check = tried.check if tried else looked.check
    return page(
        request, desk, "cloth.html", status,
        cloth=looked.shown.plan, state=SAID[looked.shown.plan.status],
        check=check, tried=None if tried is None else ", ".join(before_said(tried)),
        verdict="" if check is None else verdict_said(check),
        yarns=[] if check is None else list(yarns_said(check)),
        answer={} if check is None else grouped(answer_rows(check)),
        plan=grouped(plan_rows(looked.shown)),
        kept=[] if check is None else [one.text for one in check.warnings if one.code == CLAIMED],
        unkept=[] if check is None or tried else unkept_said(check),
        assumed={} if check is None else _assumed(check.assumptions),
        forms=forms, skeins=offered_skeins(desk) if "change" in forms else [],
        weighed=weighed_verdicts(desk, name) if looked.shown.plan.status == "on-loom" else (),
        others=[one for one in SIDES if may_be_matched(looked.shown, one)],
        face=_face(looked), paper=looked.check is not None,
        problem="" if lost is None else said_on_page(lost.error),
    )  # fmt: skip


def _face(looked: Looked) -> str:
    """What its picture shows, in words."""
    shown = looked.shown
    yarns = [f"{yarn.side} {yarn.skein}" for yarn in shown.yarns]
    size = f"about {shown.plan.size_said}" if shown.plan.size_said else ""
    said = ", ".join(part for part in (shown.weave, size, *yarns) if part)
    return f"{shown.plan.name}: the finished cloth. {said[:1].upper()}{said[1:]}."


def _actions(forms: Mapping[str, Any]) -> set[str]:
    return {form.action for form in forms.values()}


def _tried(
    desk: Desk, looked: Looked, query: Typed, fields: list[Field]
) -> tuple[Changed | None, FarspunError | None]:
    """What it would be with what the address says, or why that cannot be."""
    if not any(query.get(field.name, "").strip() for field in fields):
        return None, None
    try:
        values = read(fields, query)
        _fill_side(values, looked.shown.plan)
        return try_change(desk.stash, looked.shown.plan.name or "", _asked(values)), None
    except FarspunError as error:
        return None, error


def _fill_side(values: dict[str, Any], plan: Plan) -> None:
    """Where only one side of its size is to be another, the other stays as it is."""
    now = {"wide": plan.width_cm, "long": plan.length_cm}
    if any(values[side] is not None for side in now):
        for side, cm in now.items():
            values[side] = values[side] or f"{cm:.10g} cm"


def _asked(values: dict[str, Any]) -> Any:
    back = values.pop("default", None)
    wanted = asked(values, (back,) if back else ())
    if not wanted.said().keys() - {"given", "default"} and not wanted.given and not back:
        raise WrongUse("Nothing to change was given.", "Fill in what is to be another.")
    return wanted


def _change_boxes(desk: Desk, looked: Looked | None) -> list[Field]:
    """Those of a plan, and what may go back to its default."""
    names = default_names() if looked is None else _given(looked)
    choices = [("", "nothing"), *((one, one.replace("-", " ")) for one in names)]
    return [
        *own_boxes(desk),
        Field("default", "Take back what you gave", "choice", choices=choices),
    ]


def _given(looked: Looked) -> list[str]:
    """What she settled herself, by its option."""
    plan = looked.shown.plan
    own = {
        "sett": plan.sett_asked,
        "picks": plan.picks_asked,
        "loom": plan.loom_asked,
        "reed": plan.reed_asked,
        "ends": plan.ends,
        "warp-cut": plan.warp_cut_cm,
        "give": plan.give,
        "size-promise": plan.size_promise,
    }
    given = [AS_GIVEN.get(name, name).replace("_", "-") for name in plan.given]
    return [*given, *(name for name, value in own.items() if value)]


def _forms(
    desk: Desk, looked: Looked, query: Typed, failed: Failed | None, boxes: list[Field]
) -> dict[str, Any]:
    plan, found = looked.shown.plan, {}
    name = plan.name or ""
    if looked.check is not None:
        change = Asks(KEEP, "Keep it so", boxes)
        found["change"] = drawn(desk, change, looked.newest, name, filled=query, failed=failed)
    if plan.status == "planned":
        unkept = looked.check is not None and unkept_said(looked.check)
        claim = replace(CLAIM, done="Claim its yarn") if unkept else CLAIM
        found["claim"] = drawn(desk, claim, looked.newest, name, failed=failed)
    if plan.status not in ("finished", "given-up"):
        woven = plan.status in ("on-loom", "off-loom")
        skeins = list(dict.fromkeys(yarn.skein for yarn in looked.shown.yarns)) if woven else []
        asks = Asks(GIVE_UP, "Give it up", _ending_boxes(skeins))
        found["give_up"] = drawn(
            desk, asks, looked.newest, name, failed=failed, beside=beside(skeins, LEFT)
        )
    return found


def answer_rows(check: Check) -> Iterator[Row]:
    """Everything below the yarns, in the order it is said."""
    yield from size_rows(check)
    yield from loom_rows(check)
    yield from order_rows(check.setup)
    yield from handle_rows(check)
    yield from doubt_rows(check)
    yield from next_rows(check)
    for notice in check.warnings:
        if notice.code not in (CLAIMED, NOT_KEPT, OTHER_REED, SHAFTS):
            yield "Note", notice.text
    for number, (_, text) in enumerate(habit_rows(check)):
        yield "" if number else "Taken", text


def grouped(rows: Iterable[Row]) -> list[tuple[str, list[str]]]:
    """A label with everything that belongs to it; "or" goes on with what is next."""
    found: list[tuple[str, list[str]]] = []
    for label, text in rows:
        said = plain(without_commands(text))
        if label == "or":
            said = f"or {said}"
        if found and label in ("", "or", found[-1][0]):
            found[-1][1].append(said)
        else:
            found.append((label, [said]))
    return found


def _assumed(assumptions: Iterable[Assumption]) -> dict[str, str]:
    """Below each box: what is taken now, and who told it."""
    boxes = {NAMES[factor]: FACTORS.get(factor, factor) for factor in NAMES}
    own = {field.name for field in ASSUMED}
    return {
        boxes[one.name]: _taken(boxes[one.name], one)
        for one in assumptions
        if boxes.get(one.name) in own
    }


def _taken(box: str, one: Assumption) -> str:
    who = {"hand": "as you gave it", "records": one.origin, "habit": "from habit"}[one.told_by]
    if box == "waste":
        return f"now {say_cm(one.mean)} ± {say_cm(one.sd)}, {who}"
    if box == "beat":
        return f"now ± {say_percent(one.sd)}, {who}"
    return f"now {say_percent(one.mean)} ± {say_percent(one.sd)}, {who}"
