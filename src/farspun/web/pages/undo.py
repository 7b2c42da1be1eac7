"""What would be taken back, and taking it back."""

from typing import Annotated, Any

from fastapi import APIRouter, Depends, Request
from fastapi.responses import Response

from farspun import units
from farspun.errors import FarspunError
from farspun.services.undoing import undo, would_undo
from farspun.services.wording_page import done_said
from farspun.web.answering import Submitted, status_of, typed_in
from farspun.web.drawing import Desk, page
from farspun.web.fields import Field, Typed, said_on_page
from farspun.web.forms import Asks, Failed, drawn

UNDO = Asks(
    "/undo", "Take it back",
    (Field("seen", "Seen", "number", lambda text: units.whole(text, "seen", least=0)),),
)  # fmt: skip


def router(desk: Desk) -> APIRouter:
    """/undo."""
    pages = APIRouter()

    @pages.get("/undo")
    def show(request: Request) -> Response:
        """What the newest command was; it is asked first."""
        return _page(request, desk, None)

    @pages.post("/undo")
    def take_back(request: Request, typed: Annotated[Typed, Depends(typed_in)]) -> Response:
        """Take it back, if it is still the newest."""

        def redraw(error: FarspunError) -> Response:
            return _page(request, desk, Failed(UNDO.action, typed, error))

        def act(values: dict[str, Any]) -> tuple[str, list[str]]:
            return "/undo", [f"Undone: {done_said(undo(desk.stash, values['seen'] or 0))}"]

        return Submitted(request, desk, UNDO.action, typed, redraw).carry_out(
            UNDO.fields, None, "", act
        )

    return pages


def _page(request: Request, desk: Desk, failed: Failed | None) -> Response:
    last = would_undo(desk.stash)
    form = None
    if last is not None:
        form = drawn(desk, UNDO, last.newest, beside={"seen": str(last.newest)})
    return page(
        request, desk, "undo.html", 200 if failed is None else status_of(failed.error),
        said=None if last is None else done_said(last), form=form,
        problem="" if failed is None else said_on_page(failed.error),
    )  # fmt: skip
