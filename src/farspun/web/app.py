"""The pages as one application over one stash."""

from collections.abc import Sequence
from dataclasses import replace
from html import escape
from typing import Any

from fastapi import FastAPI
from fastapi.responses import RedirectResponse, Response
from starlette.staticfiles import StaticFiles

from farspun.services.opening import Stash
from farspun.web.answering import answer_errors
from farspun.web.drawing import HERE, Desk, environment
from farspun.web.guard import Guard
from farspun.web.once import Once

HOSTS = ("127.0.0.1", "localhost")
PLAIN_PAGE = (
    '<!doctype html><html lang="en"><meta charset="utf-8">'
    '<meta name="viewport" content="width=device-width"><title>farspun</title>'
    '<link rel="stylesheet" href="/static/farspun.css"><main><h1>{what}</h1><p>{hint}</p>'
    '<p><a href="/stash">To the stash</a></p></main></html>'
)


def make_app(stash: Stash, hosts: Sequence[str] = HOSTS, secret: bytes | None = None) -> FastAPI:
    """The pages for `stash`, to be asked for by one of these host names.

    `secret`: what the tokens of forms are signed with, else made up for this process.
    """
    from farspun.web import pages_in_order

    desk = Desk(replace(stash, read_often=True), Once(secret), environment())
    app = FastAPI(title="farspun", docs_url=None, redoc_url=None, openapi_url=None)
    answer_errors(app, desk)
    app.mount("/static", StaticFiles(directory=HERE / "static"), name="static")

    @app.get("/")
    def start() -> Response:
        return RedirectResponse("/stash", 303)

    for group in pages_in_order():
        app.include_router(group(desk))
    app.add_middleware(_guard(hosts))
    return app


def _guard(hosts: Sequence[str]) -> Any:
    """Guard, made as a middleware is."""
    return lambda app: Guard(app, hosts, _plain_page)


def _plain_page(_: int, what: str, hint: str) -> bytes:
    return PLAIN_PAGE.format(what=escape(what), hint=escape(hint)).encode()
