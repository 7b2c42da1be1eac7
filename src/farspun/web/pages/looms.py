"""The looms, reeds and rigid heddles she owns."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Annotated, Any

from fastapi import APIRouter, Depends, Request
from fastapi.responses import Response
from starlette.exceptions import HTTPException

from farspun import units
from farspun.errors import FarspunError
from farspun.services import equipment
from farspun.services import equipment_corrections as corrections
from farspun.services.equipment import Loom, Reed
from farspun.services.since import newest_action
from farspun.web.answering import Submitted, status_of, typed_in
from farspun.web.drawing import Desk, Form, page
from farspun.web.fields import Field, Typed, said_on_page
from farspun.web.forms import Asks, Failed, drawn, filled_from, sure

KINDS = ("rigid-heddle", "table", "floor", "frame")
LENGTHS = ("cm", "in")
LOOM = Asks(
    "/looms/loom",
    "Add the loom",
    (
        Field("name", "Name", needed="Give it a name."),
        Field("kind", "Kind", "choice", choices=[("", "choose"), *((one, one) for one in KINDS)],
              needed="Choose what kind of loom it is."),
        Field("width", "Widest it weaves", "amount", lambda text: units.length(text, "width"),
              LENGTHS, says="in the reed", needed="Type how wide it weaves."),
        Field("waste", "Loom waste", "amount",
              lambda text: units.length(text, "waste", zero=True), LENGTHS,
              says="if you know yours, as 50±8; else as usual for its kind"),
        Field("tie", "Tied on with", "choice", choices=(("knots", "knots"), ("lashed", "lashing"))),
        Field("shafts", "Shafts", "number", lambda text: units.whole(text, "shafts")),
    ),
)  # fmt: skip
REED = Asks(
    "/looms/reed",
    "Add it",
    (
        Field("name", "Name", needed="Give it a name."),
        Field("dents", "Dents", "amount", units.dents, ("/10cm", "dpi"),
              needed="Type what is stamped on it."),
        Field("rigid_heddle", "It is a rigid heddle", "check"),
        Field("loom", "For the loom"),
    ),
)  # fmt: skip


def router(desk: Desk) -> APIRouter:
    """/looms and its two forms."""
    pages = APIRouter()

    @pages.get("/looms")
    def looms(request: Request) -> Response:
        """Every loom, reed and heddle."""
        return _page(request, desk, None)

    @pages.post("/looms/loom")
    def loom(request: Request, typed: Annotated[Typed, Depends(typed_in)]) -> Response:
        """Add a loom."""

        def act(values: dict[str, Any]) -> list[str]:
            added = equipment.add_loom(
                desk.stash, values["name"], values["kind"], values["width"], values["waste"],
                values["tie"] or "knots", values["shafts"], sure(typed),
            )  # fmt: skip
            return [f"{added.name} is added."]

        return _sent(request, desk, LOOM, typed, act)

    @pages.post("/looms/reed")
    def reed(request: Request, typed: Annotated[Typed, Depends(typed_in)]) -> Response:
        """Add a reed or a rigid heddle."""

        def act(values: dict[str, Any]) -> list[str]:
            added, remark = equipment.add_reed(
                desk.stash, values["name"], values["dents"], values["rigid_heddle"], values["loom"],
                sure(typed),
            )  # fmt: skip
            return [f"{added.name} is added.", *([remark] if remark else [])]

        return _sent(request, desk, REED, typed, act)

    @pages.post("/looms/{kind}/{what}")
    def put_right(
        request: Request, kind: str, what: str, typed: Annotated[Typed, Depends(typed_in)]
    ) -> Response:
        """Correct or remove one of them."""
        if (kind, what) not in ACTS:
            raise HTTPException(404)
        name = typed.get("of", "")

        def act(values: dict[str, Any]) -> list[str]:
            return ACTS[kind, what](desk, name, values, sure(typed))

        fields = (LOOM if kind == "loom" else REED).fields if what == "change" else ()
        return _sent(request, desk, Asks(f"/looms/{kind}/{what}", "", fields), typed, act, name)

    return pages


def _change_loom(desk: Desk, name: str, values: dict[str, Any], is_sure: bool) -> list[str]:
    values["tie"] = values["tie"] or "knots"
    return [f"{corrections.change_loom(desk.stash, name, values, is_sure).name} is corrected."]


def _change_reed(desk: Desk, name: str, values: dict[str, Any], is_sure: bool) -> list[str]:
    return [f"{corrections.change_reed(desk.stash, name, values, is_sure).name} is corrected."]


def _remove_loom(desk: Desk, name: str, _: dict[str, Any], __: bool) -> list[str]:
    return [f"{corrections.remove_loom(desk.stash, name)} is removed."]


def _remove_reed(desk: Desk, name: str, _: dict[str, Any], __: bool) -> list[str]:
    return [f"{corrections.remove_reed(desk.stash, name)} is removed."]


ACTS = {
    ("loom", "change"): _change_loom,
    ("reed", "change"): _change_reed,
    ("loom", "remove"): _remove_loom,
    ("reed", "remove"): _remove_reed,
}


def _sent(
    request: Request, desk: Desk, asks: Asks, typed: Typed, act: Any, name: str = ""
) -> Response:
    def redraw(error: FarspunError) -> Response:
        return _page(request, desk, Failed(asks.action, typed, error))

    sent = Submitted(request, desk, asks.action, typed, redraw)
    return sent.carry_out(asks.fields, "looms", name, lambda values: ("/looms", act(values)))


def _page(request: Request, desk: Desk, failed: Failed | None) -> Response:
    newest = newest_action(desk.stash)
    looms, reeds = equipment.list_looms(desk.stash), equipment.list_reeds(desk.stash)
    names = [("", "any it fits"), *((one.name, one.name) for one in looms)]
    for_loom = Field("loom", "For the loom", "choice", choices=names)
    reed = Asks(REED.action, REED.done, (*REED.fields[:-1], for_loom))
    each = {
        **_each(desk, newest, "loom", LOOM.fields, {one.name: _typed_loom(one) for one in looms},
                failed),
        **_each(desk, newest, "reed", reed.fields, {one.name: _typed_reed(one) for one in reeds},
                failed),
    }  # fmt: skip
    there = failed is None or failed.action in (LOOM.action, REED.action) or any(
        form.problem or form.wrong for pair in each.values() for form in pair
    )  # fmt: skip
    return page(
        request, desk, "looms.html", 200 if failed is None else status_of(failed.error),
        looms=looms, reeds=reeds, each=each,
        problem="" if there or failed is None else said_on_page(failed.error),
        loom_form=drawn(desk, LOOM, newest, failed=failed),
        reed_form=drawn(desk, reed, newest, failed=failed),
    )  # fmt: skip


def _each(
    desk: Desk, newest: int, kind: str, fields: Sequence[Field], filled: Mapping[str, Typed],
    failed: Failed | None,
) -> dict[tuple[str, str], tuple[Form, Form]]:  # fmt: skip
    """The forms that correct and remove each loom or reed, by its kind and name."""
    change = Asks(f"/looms/{kind}/change", "Keep it so", fields)
    remove = Asks(f"/looms/{kind}/remove", "Remove it", ())
    found = {}
    for number, (name, typed) in enumerate(filled.items(), start=1):
        own = failed if failed is not None and failed.typed.get("of") == name else None
        found[kind, name] = (
            replace(drawn(desk, change, newest, name, typed, own), number=number),
            replace(drawn(desk, remove, newest, name, failed=own), number=number),
        )
    return found


def _typed_loom(one: Loom) -> Typed:
    """A loom as it would be typed."""
    waste = None
    if one.waste_cm is not None:
        waste = f"{one.waste_cm:g}" + (f"±{one.waste_sd_cm:g}" if one.waste_sd_cm else "")
    return filled_from(
        {"name": one.name, "kind": one.kind, "width": f"{one.width_cm:g}", "waste": waste,
         "tie": one.tie, "shafts": one.shafts}
    )  # fmt: skip


def _typed_reed(one: Reed) -> Typed:
    """A reed as it would be typed; the dents as they were said."""
    heddle = "yes" if one.rigid_heddle else None
    return filled_from(
        {"name": one.name, "dents": one.said, "rigid_heddle": heddle, "loom": one.loom}
    )
