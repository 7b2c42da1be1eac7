"""The stash: every skein in rows, and adding one."""

from dataclasses import replace
from typing import Annotated, Any

from fastapi import APIRouter, Depends, Query, Request
from fastapi.responses import Response

from farspun.errors import FarspunError
from farspun.services import skeins
from farspun.services.browsing import browse
from farspun.services.cloths import open_cloth_names
from farspun.services.since import newest_action
from farspun.services.skeins import Understood
from farspun.services.wording_fit import fit_rows
from farspun.web.answering import Submitted, address, typed_in
from farspun.web.drawing import Desk, page
from farspun.web.fields import Field, Typed, bad_boxes, read, said_on_page, without_commands
from farspun.web.forms import Asks, Failed, drawn
from farspun.web.pages.aims import aim_of
from farspun.web.pages.skein_boxes import DESCRIBED, MEASURED, NAME, described, measured

FILTERS = (
    ("open", "on the shelf"),
    ("free", "with yarn free"),
    ("doubtful", "in doubt"),
    ("used", "used up, not closed"),
    ("closed", "closed"),
    ("all", "all"),
)
SIDES = (("", "the nearest"), ("warp", "warp"), ("weft", "weft"))
# one of these says how much there is, or how fine it is
TELLING = ("mass", "strands", "length", "test_length", "wpi", "label")
NOTHING_YET = "Nothing is measured yet. Type what you have, or tick this to keep it as it is."


def router(desk: Desk) -> APIRouter:
    """/stash, /skeins/new."""
    pages = APIRouter()

    @pages.get("/stash")
    def stash(
        request: Request,
        q: Annotated[str, Query(max_length=200)] = "",
        show: str = "open",
        units: str = "metric",
        at: Annotated[int, Query(ge=1, le=1_000_000)] = 1,
    ) -> Response:
        """Rows, searched and filtered."""
        shelf = browse(desk.stash, q, show, at)
        rows_only = request.headers.get("hx-target") == "rows"
        return page(
            request, desk, "stash_rows.html" if rows_only else "stash.html",
            shelf=shelf, q=q, show=show, imperial=units == "imperial", filters=FILTERS,
            address=lambda **more: address("/stash", **_asked(q, show, units) | more),
        )  # fmt: skip

    @pages.get("/skeins/new")
    def new(request: Request) -> Response:
        """The form, filled with what the address says; with the estimate where it is asked for."""
        typed = dict(request.query_params)
        return _form(request, desk, typed, None)

    @pages.get("/skeins/new/estimate")
    def estimate(request: Request) -> Response:
        """What the skein would come to, to stand below the boxes."""
        return page(request, desk, "estimate.html", **_tried(desk, dict(request.query_params)))

    @pages.post("/skeins/new")
    def add(request: Request, typed: Annotated[Typed, Depends(typed_in)]) -> Response:
        """Store it."""

        def redraw(error: FarspunError) -> Response:
            return _form(request, desk, typed, error)

        def act(values: dict[str, object]) -> tuple[str, list[str]]:
            cloth, side, bare = (values.pop(name) for name in ("cloth", "side", "bare"))
            if not bare and not any(values[name] for name in TELLING):
                raise bad_boxes({"bare": NOTHING_YET})
            done = skeins.add(
                desk.stash,
                described(values),
                measured(values),
                str(cloth) if cloth else None,
                str(side) if cloth and side else None,
            )
            return address("/skein", name=done.skein.name), _said(done)

        sent = Submitted(request, desk, "/skeins/new", typed, redraw)
        return sent.carry_out(_boxes([]), None, "", act)

    return pages


def _asked(q: str, show: str, units: str) -> dict[str, str]:
    usual = {"q": "", "show": "open", "units": "metric"}
    given = {"q": q, "show": show, "units": units}
    return {name: text for name, text in given.items() if text != usual[name]}


def _boxes(cloths: list[str]) -> list[Field]:
    """All of them; a cloth that is not offered is for the service to refuse."""
    offered = [("", "no cloth"), *((name, name) for name in cloths)]
    kind = "choice" if cloths else "text"
    return [
        replace(NAME, needed="Give it a name."),
        *DESCRIBED[1:],
        *MEASURED,
        Field("cloth", "Spun for", "choice" if kind == "choice" else "text", choices=offered),
        Field("side", "As its", "choice", choices=SIDES),
        Field("bare", "Keep it all the same", "check"),
    ]


def _form(request: Request, desk: Desk, typed: Typed, error: FarspunError | None) -> Response:
    from farspun.web.answering import status_of

    newest, cloths = newest_action(desk.stash), open_cloth_names(desk.stash)
    asks = Asks("/skeins/new", "Add the skein", _boxes(cloths))
    failed = None if error is None else Failed(asks.action, typed, error)
    form = drawn(desk, asks, newest, filled=typed, failed=failed)
    tried = _tried(desk, typed) if "work" in typed else {"tried": None, "why_not": ""}
    status = 200 if error is None else status_of(error)
    return page(
        request, desk, "skein_new.html", status, form=form, cloths=cloths,
        aim=aim_of(desk, typed.get("cloth", ""), typed.get("side", "")), **tried,
    )  # fmt: skip


def _tried(desk: Desk, typed: Typed) -> dict[str, Any]:
    """What it would come to, or why that cannot be told yet."""
    try:
        values = read([*DESCRIBED, *MEASURED], typed)
        values["name"] = values["name"] or "It"
        return {"tried": skeins.try_add(desk.stash, described(values), measured(values)),
                "why_not": ""}  # fmt: skip
    except FarspunError as error:
        wrong = list(error.boxes.values())
        return {"tried": None, "why_not": " ".join(wrong) or said_on_page(error)}


def _said(done: Understood) -> list[str]:
    told = [f"{done.skein.name} is stored.", *done.remarks]
    if done.fit is not None:
        rows = list(fit_rows(done.skein.name, done.fit))
        texts = (without_commands(text) for _, text in rows)
        told.append(f"For {done.fit.cloth}: {' '.join(_sentence(one) for one in texts if one)}")
    return told


def _sentence(text: str) -> str:
    first = text[:1].upper() + text[1:]
    return first if first.endswith(".") else f"{first}."
