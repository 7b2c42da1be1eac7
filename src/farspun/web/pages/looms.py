"""The looms, reeds and rigid heddles she owns."""

from typing import Annotated, Any

from fastapi import APIRouter, Depends, Request
from fastapi.responses import Response

from farspun import units
from farspun.errors import FarspunError
from farspun.services import equipment
from farspun.services.since import newest_action
from farspun.web.answering import Submitted, status_of, typed_in
from farspun.web.drawing import Desk, page
from farspun.web.fields import Field, Typed
from farspun.web.forms import Asks, Failed, drawn

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
                values["tie"] or "knots", values["shafts"],
            )  # fmt: skip
            return [f"{added.name} is added."]

        return _sent(request, desk, LOOM, typed, act)

    @pages.post("/looms/reed")
    def reed(request: Request, typed: Annotated[Typed, Depends(typed_in)]) -> Response:
        """Add a reed or a rigid heddle."""

        def act(values: dict[str, Any]) -> list[str]:
            added, remark = equipment.add_reed(
                desk.stash, values["name"], values["dents"], values["rigid_heddle"], values["loom"]
            )
            return [f"{added.name} is added.", *([remark] if remark else [])]

        return _sent(request, desk, REED, typed, act)

    return pages


def _sent(request: Request, desk: Desk, asks: Asks, typed: Typed, act: Any) -> Response:
    def redraw(error: FarspunError) -> Response:
        return _page(request, desk, Failed(asks.action, typed, error))

    sent = Submitted(request, desk, asks.action, typed, redraw)
    return sent.carry_out(asks.fields, "looms", "", lambda values: ("/looms", act(values)))


def _page(request: Request, desk: Desk, failed: Failed | None) -> Response:
    newest = newest_action(desk.stash)
    looms, reeds = equipment.list_looms(desk.stash), equipment.list_reeds(desk.stash)
    names = [("", "any it fits"), *((one.name, one.name) for one in looms)]
    for_loom = Field("loom", "For the loom", "choice", choices=names)
    reed = Asks(REED.action, REED.done, (*REED.fields[:-1], for_loom))
    return page(
        request, desk, "looms.html", 200 if failed is None else status_of(failed.error),
        looms=looms, reeds=reeds,
        loom_form=drawn(desk, LOOM, newest, failed=failed),
        reed_form=drawn(desk, reed, newest, failed=failed),
    )  # fmt: skip
