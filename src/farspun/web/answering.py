"""What a form does: read, act once, send on; and the one place where an error becomes a page."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any
from urllib.parse import urlencode

from fastapi import FastAPI, Request
from fastapi.exceptions import RequestValidationError
from fastapi.responses import RedirectResponse, Response
from starlette.datastructures import UploadFile
from starlette.exceptions import HTTPException

from farspun.errors import ChangedMeanwhile, FarspunError, LockedStash, NotFound, StashError
from farspun.services.faults import write_down
from farspun.services.since import Drawn, Kind, as_drawn
from farspun.web.drawing import Desk, page
from farspun.web.fields import Field, Typed, read, said_on_page
from farspun.web.guard import TOO_LARGE, TooLarge

SEE_OTHER = 303
Redraw = Callable[[FarspunError], Response]
Act = Callable[[dict[str, Any]], tuple[str, Sequence[str]]]


async def typed_in(request: Request) -> Typed:
    """What came with a form, texts only."""
    form = await request.form(max_files=0, max_fields=300)
    return {name: text for name, text in form.items() if not isinstance(text, UploadFile)}


@dataclass(frozen=True)
class Submitted:
    """A form that came in: where it goes, what was typed, how to draw it again."""

    request: Request
    desk: Desk
    action: str
    typed: Typed
    redraw: Redraw

    def carry_out(
        self, fields: Sequence[Field], kind: Kind | None, name: str, act: Act
    ) -> Response:
        """Read the boxes and act, once; then on to the page that shows it.

        `act` gives an address and what to say there. Where `kind` is given, that thing must be as
        the page showed it. Errors go to the handler, which draws the form again.
        """
        self.request.state.redraw = self.redraw
        once = self.desk.once
        sent = once.sent(f"{self.action} {name}", self.typed.get("token", ""), self.typed)
        with sent.lock:
            if sent.answer is None:
                drawn = None if kind is None else Drawn(kind, name, sent.newest)
                with as_drawn(drawn):
                    address, told = act(read(fields, self.typed))
                mark = "&" if "?" in address else "?"
                sent.told[:] = told
                sent.answer = f"{address}{mark}said={sent.number}" if told else address
        return RedirectResponse(sent.answer, SEE_OTHER)


def address(path: str, **query: str | int) -> str:
    """A path with a query."""
    return f"{path}?{urlencode(query)}" if query else path


def status_of(error: FarspunError) -> int:
    """404 not there, 409 not as it was, 503 the stash cannot be used now, else 422."""
    if isinstance(error, NotFound):
        return 404
    if isinstance(error, ChangedMeanwhile):
        return 409
    if isinstance(error, LockedStash):
        return 503
    return 500 if isinstance(error, StashError) else 422


def answer_errors(app: FastAPI, desk: Desk) -> None:
    """The one handler: a form is drawn again with its message, else a plain page says it."""

    def on_error(request: Request, error: Exception) -> Response:
        if isinstance(error, TooLarge):
            return _error(request, *TOO_LARGE)
        if isinstance(error, RequestValidationError):
            return _error(request, 422, *_not_understood(error))
        if isinstance(error, HTTPException):
            return _plain(request, error.status_code)
        if not isinstance(error, FarspunError):
            where = write_down(error, [request.method, request.url.path])
            return _error(request, 500, "This is a fault of farspun itself, not of yours.",
                          f"What was stored before is kept; {where}.")  # fmt: skip
        redraw: Redraw | None = getattr(request.state, "redraw", None)
        if redraw is not None and not isinstance(error, StashError):
            try:
                return redraw(error)
            except NotFound as gone:  # what the form was about is not there any more
                error = gone
        return _error(request, status_of(error), said_on_page(error), "")

    def _error(request: Request, status: int, what: str, hint: str) -> Response:
        return page(request, desk, "error.html", status, what=what, hint=hint)

    def _plain(request: Request, status: int) -> Response:
        what, hint = PLAIN.get(status, ("That cannot be answered.", "Begin again at the stash."))
        return _error(request, status, what, hint)

    for kind in (FarspunError, TooLarge, HTTPException, RequestValidationError, Exception):
        app.add_exception_handler(kind, on_error)


def _not_understood(error: RequestValidationError) -> tuple[str, str]:
    """An address that holds what cannot be, and why."""
    wrong = error.errors()[0] if error.errors() else {}
    name, most = wrong.get("loc", ("",))[-1], wrong.get("ctx", {}).get("max_length")
    if name == "q" and most:
        return "That is too long to search for.", f"Search for at most {most} characters."
    return "That address holds something that cannot be.", f"Look at “{name}” in it, or begin anew."


PLAIN: Mapping[int, tuple[str, str]] = {
    404: ("There is no such page.", "Begin at the stash, or at the cloths."),
    405: ("That page takes no form.", "Go back and use its button."),
}
