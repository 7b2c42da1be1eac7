"""Cloths in rows by state, and planning one."""

from dataclasses import replace
from typing import Annotated, Any

from fastapi import APIRouter, Depends, Request
from fastapi.responses import Response

from farspun.craft.plan import STAGES
from farspun.errors import FarspunError
from farspun.services.browsing import skein_names
from farspun.services.cloth_doubts import ask_about_size
from farspun.services.cloth_shelf import cloth_row_of, cloth_rows
from farspun.services.cloths import plan_cloth
from farspun.services.equipment import list_looms, list_reeds
from farspun.services.since import newest_action
from farspun.web.answering import Submitted, address, status_of, typed_in
from farspun.web.drawing import Desk, page
from farspun.web.fields import Field, Typed
from farspun.web.forms import Asks, Failed, drawn, sure
from farspun.web.pages.cloth_boxes import NAME, asked, boxes

MOST_OFFERED = 300  # names below a box; more would make the page heavy
NEEDED = {
    "name": "Give it a name.",
    "wide": "Type how wide it is to be.",
    "long": "Type how long it is to be.",
    "warp": "Name the yarn of the warp.",
    "weft": "Name the yarn of the weft.",
}
STATES = {
    "planned": "Planned",
    "wound": "Wound",
    "on-loom": "On the loom",
    "off-loom": "Off the loom",
    "finished": "Finished",
    "given-up": "Given up",
}


def router(desk: Desk) -> APIRouter:
    """/cloths, /cloths/new."""
    pages = APIRouter()

    @pages.get("/cloths")
    def cloths(request: Request, every: str = "") -> Response:
        """Rows by state; those given up where asked for."""
        rows = cloth_rows(desk.stash)
        states = [one for one in (*STAGES, "given-up") if one != "given-up" or every]
        found = {STATES[one]: [row for row in rows if row.status == one] for one in states}
        gone = sum(row.status == "given-up" for row in rows)
        return page(request, desk, "cloths.html", rows=found, gone=0 if every else gone)

    @pages.get("/cloths/verdict")
    def verdict(request: Request, name: str = "") -> Response:
        """One verdict, to be put into its row."""
        return page(request, desk, "cloth_verdict.html", row=cloth_row_of(desk.stash, name))

    @pages.get("/cloths/new")
    def new(request: Request) -> Response:
        """The form, filled with what the address says."""
        return _form(request, desk, dict(request.query_params), None)

    @pages.post("/cloths/new")
    def plan(request: Request, typed: Annotated[Typed, Depends(typed_in)]) -> Response:
        """Plan it, and keep its yarn."""

        def redraw(error: FarspunError) -> Response:
            return _form(request, desk, typed, error)

        def act(values: dict[str, Any]) -> tuple[str, list[str]]:
            name = values.pop("name") or ""
            wanted = asked(values)
            ask_about_size(wanted, sure(typed))
            check = plan_cloth(desk.stash, name, wanted)
            told = [f"{check.cloth} is planned, and its yarn is kept for it."]
            return address("/cloth", name=check.cloth or name), told

        sent = Submitted(request, desk, "/cloths/new", typed, redraw)
        return sent.carry_out(_planned_boxes(desk), None, "", act)

    return pages


def _planned_boxes(desk: Desk) -> list[Field]:
    """Those of a new cloth, some of which may not stay empty."""
    found = [NAME, *own_boxes(desk)]
    return [replace(one, needed=NEEDED.get(one.name, "")) for one in found]


def own_boxes(desk: Desk) -> list[Field]:
    """The boxes of a cloth, with her looms and reeds."""
    looms = [one.name for one in list_looms(desk.stash)]
    return boxes(looms, [one.name for one in list_reeds(desk.stash)])


def offered_skeins(desk: Desk) -> list[str]:
    """Names to choose from, where they are not too many."""
    return skein_names(desk.stash, MOST_OFFERED)


def _form(request: Request, desk: Desk, typed: Typed, error: FarspunError | None) -> Response:
    newest = newest_action(desk.stash)
    asks = Asks("/cloths/new", "Plan it", _planned_boxes(desk))
    failed = None if error is None else Failed(asks.action, typed, error)
    form = drawn(desk, asks, newest, filled=typed, failed=failed)
    status = 200 if error is None else status_of(error)
    return page(
        request, desk, "cloth_new.html", status, form=form, skeins=offered_skeins(desk),
        looms=len(form.field("loom").choices) > 1,
    )  # fmt: skip
