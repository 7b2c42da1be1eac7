"""What the cloths taught, and what is asked about."""

from typing import Annotated, Any

from fastapi import APIRouter, Depends, Request
from fastapi.responses import Response

from farspun.errors import FarspunError
from farspun.services.lessons import confirm, lessons
from farspun.services.since import newest_action
from farspun.services.wording_lessons import factor_rows, lessons_opening, usual_figure
from farspun.services.wording_page import plain
from farspun.web.answering import Submitted, status_of, typed_in
from farspun.web.drawing import Desk, page
from farspun.web.fields import Field, Typed, said_on_page, without_commands
from farspun.web.forms import Asks, Failed, drawn
from farspun.web.pages.cloth import grouped

CONFIRM = Asks(
    "/lessons/confirm", "It is right", (Field("cloth", "Cloth"), Field("factor", "Factor"))
)


def router(desk: Desk) -> APIRouter:
    """/lessons."""
    pages = APIRouter()

    @pages.get("/lessons")
    def show(request: Request) -> Response:
        """Each factor: the habit, what was seen, what is expected now."""
        return _page(request, desk, None)

    @pages.post("/lessons/confirm")
    def right(request: Request, typed: Annotated[Typed, Depends(typed_in)]) -> Response:
        """A record that was asked about is right."""

        def redraw(error: FarspunError) -> Response:
            return _page(request, desk, Failed(CONFIRM.action, typed, error))

        def act(values: dict[str, Any]) -> tuple[str, list[str]]:
            done = confirm(desk.stash, values["cloth"] or "", values["factor"] or "")
            how = "counted already" if done.already else "counts from now on"
            return "/lessons", [f"{done.cloth}: its {done.name}, {done.said}, {how}."]

        sent = Submitted(request, desk, CONFIRM.action, typed, redraw)
        return sent.carry_out(CONFIRM.fields, "cloth", typed.get("of", ""), act)

    return pages


def _page(request: Request, desk: Desk, failed: Failed | None) -> Response:
    newest, found = newest_action(desk.stash), lessons(desk.stash)
    asked = [
        (plain(without_commands(one.why)), one.slip,
         drawn(desk, CONFIRM, newest, one.cloth, {"cloth": one.cloth, "factor": one.factor}))
        for one in found.questions
    ]  # fmt: skip
    return page(
        request, desk, "lessons.html", 200 if failed is None else status_of(failed.error),
        opening=lessons_opening(found),
        factors=[
            (one.name.capitalize(), grouped(row for row in factor_rows(one) if row[0] != "Ask"))
            for one in found.factors if one.records
        ],
        habits=[
            (one.name, usual_figure(one.beliefs[0].habit, one.factor))
            for one in found.factors if not one.records
        ],
        asked=asked,
        problem="" if failed is None else said_on_page(failed.error),
    )  # fmt: skip
