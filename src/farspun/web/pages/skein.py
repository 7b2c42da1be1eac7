"""One skein: what is known of it, what happened to it, and what can be done with it."""

from collections.abc import Sequence
from dataclasses import replace
from typing import Annotated, Any

from fastapi import APIRouter, Depends, Request
from fastapi.responses import Response

from farspun.errors import FarspunError
from farspun.services import balance, corrections, skein_closing, skeins
from farspun.services.browsing import Looked, look_at
from farspun.services.wording_page import plain
from farspun.units import say_mass, say_mass_imperial
from farspun.web.answering import Submitted, address, status_of, typed_in
from farspun.web.drawing import Desk, Form, page
from farspun.web.fields import Field, Typed
from farspun.web.forms import Asks, Failed, drawn, filled_from, sure
from farspun.web.pages.putting_right import PUT_RIGHT, described_now, put_right
from farspun.web.pages.skein_boxes import MASS, MEASURED, TARE, measured

REASONS = (
    ("", "choose"),
    ("used", "used up"),
    ("given", "given away"),
    ("sold", "sold"),
    ("lost", "lost"),
    ("spoiled", "spoiled"),
)
LEFT = "what is there now; what it is less than before was used"
NOT_USED = Field("not_used", "Nothing was used: weigh it again", "check")
WEIGH = Asks(
    "/skein/weigh",
    "Weigh what is left",
    (replace(MASS, says=LEFT, needed="Type what the scale shows."), TARE, NOT_USED),
)
WHOLE = replace(MASS, says="of the whole skein; what is left is weighed above")
MEASURE = Asks("/skein/measure", "Keep these readings", (WHOLE, *MEASURED[1:]))
TAKE = Asks(
    "/skein/take",
    "Take it",
    (
        Field("amount", "So much", "amount", balance.amount, ("g", "oz", "m", "yd"),
              needed="Type how much is taken: a weight or a length."),
        Field("cloth", "For", says="the cloth that keeps it; else leave it"),
    ),
)  # fmt: skip
BECAUSE = Field("because", "Because", "choice", choices=REASONS, needed="Choose why it goes.")
CLOSE = Asks("/skein/close", "Close it", (BECAUSE,))
SLIP = Field("reading", "The reading that was a slip", needed="Choose the reading that was a slip.")
STRIKE = Asks("/skein/strike", "Strike it out", (SLIP,))
REOPEN = Asks("/skein/reopen", "Open it again", ())
EVERY = {asks.action: asks for asks in (WEIGH, MEASURE, TAKE, CLOSE, STRIKE, REOPEN, PUT_RIGHT)}
Done = tuple[str, list[str]]


def router(desk: Desk) -> APIRouter:
    """/skein and its forms."""
    pages = APIRouter()

    @pages.get("/skein")
    def show(request: Request, name: str = "") -> Response:
        """What is known of it."""
        return _page(request, desk, name, None)

    @pages.post("/skein/{what}")
    def do(request: Request, what: str, typed: Annotated[Typed, Depends(typed_in)]) -> Response:
        """Weigh, measure, take, close, strike."""
        from starlette.exceptions import HTTPException

        asks = EVERY.get(f"/skein/{what}")
        if asks is None:
            raise HTTPException(404)
        name = typed.get("of", "")

        def redraw(error: FarspunError) -> Response:
            return _page(request, desk, name, Failed(asks.action, typed, error))

        def act(values: dict[str, Any]) -> Done:
            if asks is PUT_RIGHT:
                return put_right(desk, name, values)
            return address("/skein", name=name), ACTS[asks.action](
                desk, name, values | {"sure": sure(typed)}
            )

        sent = Submitted(request, desk, asks.action, typed, redraw)
        return sent.carry_out(asks.fields, "skein", name, act)

    return pages


def _page(request: Request, desk: Desk, name: str, failed: Failed | None) -> Response:
    looked = look_at(desk.stash, name)
    forms = {} if looked.skein.status == "closed" else _forms(desk, looked, failed)
    again = None
    if looked.skein.status == "closed":
        again = drawn(desk, REOPEN, looked.newest, looked.skein.name, failed=failed)
    # it was closed or opened meanwhile: there is no form to stand by
    there = {form.action for form in (*forms.values(), again) if form is not None}
    alone = failed if failed is not None and failed.action not in there else None
    status = 200 if failed is None else status_of(failed.error)
    return page(
        request, desk, "skein.html", status,
        skein=looked.skein, lines=looked.lines, forms=forms, again=again,
        problem=_problem(alone),
    )  # fmt: skip


def _problem(failed: Failed | None) -> str:
    from farspun.web.fields import said_on_page

    return "" if failed is None else said_on_page(failed.error)


def _forms(desk: Desk, looked: Looked, failed: Failed | None) -> dict[str, Form]:
    shown = looked.skein
    claims = [str(claim["cloth"]) for claim in shown.claims]
    choices = (("", "something else"), *((one, one) for one in dict.fromkeys(claims)))
    take = Asks(
        TAKE.action,
        TAKE.done,
        (TAKE.fields[0], Field("cloth", "For", "choice" if claims else "text", choices=choices)),
    )
    said = [(one.said, f"{one.kind}: {plain(one.said)}") for one in shown.evidence]
    strike = Asks(
        STRIKE.action,
        STRIKE.done,
        (replace(SLIP, kind="choice", choices=[("", "choose"), *said]),),
    )
    asks: Sequence[Asks] = (WEIGH, MEASURE, take, CLOSE, strike)
    forms = {
        one.action.removeprefix("/skein/"): drawn(
            desk, one, looked.newest, shown.name, failed=failed
        )
        for one in asks
    }
    as_it_is = filled_from(described_now(shown))
    forms["change"] = drawn(desk, PUT_RIGHT, looked.newest, shown.name, as_it_is, failed)
    return forms


def _weigh(desk: Desk, name: str, values: dict[str, Any]) -> list[str]:
    used = not values["not_used"]
    moved = balance.weigh(desk.stash, name, values["mass"], values["tare"], used, values["sure"])
    return [*moved.remarks, *_left(moved)]


def _measure(desk: Desk, name: str, values: dict[str, Any]) -> list[str]:
    done = skeins.measure(
        desk.stash, name, measured(values), values["wrap"], values["tug"], values["sure"]
    )
    return [*(f"{kind}: {said}." for kind, said in done.readings), *done.remarks]


def _take(desk: Desk, name: str, values: dict[str, Any]) -> list[str]:
    moved = balance.take(desk.stash, name, values["amount"], values["cloth"])
    taken = f"Taken: {say_mass(-moved.change_g)} ({say_mass_imperial(-moved.change_g)})."
    return [taken, *moved.remarks, *_left(moved)]


def _close(desk: Desk, name: str, values: dict[str, Any]) -> list[str]:
    moved = skein_closing.close(desk.stash, name, values["because"], values["sure"])
    return [f"It is closed ({values['because']}).", *moved.remarks]


def _reopen(desk: Desk, name: str, _: dict[str, Any]) -> list[str]:
    moved = skein_closing.reopen(desk.stash, name)
    return ["It is open again.", *_left(moved)]


def _strike(desk: Desk, name: str, values: dict[str, Any]) -> list[str]:
    corrections.strike(desk.stash, name, values["reading"])
    return [f"{values['reading']} counts no more; the history keeps it."]


def _left(moved: balance.Moved) -> list[str]:
    grams = moved.skein.mass_g
    return [] if grams is None else [f"Left: {say_mass(grams)} ({say_mass_imperial(grams)})."]


ACTS = {
    "/skein/weigh": _weigh,
    "/skein/measure": _measure,
    "/skein/take": _take,
    "/skein/close": _close,
    "/skein/strike": _strike,
    "/skein/reopen": _reopen,
}
