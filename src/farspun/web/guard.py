"""What is let in: the right host, pages of our own, bodies of a bearable size; and what every
answer says about itself."""

from collections.abc import Awaitable, Callable, Collection, MutableMapping
from typing import Any
from urllib.parse import urlsplit

MOST_BYTES = 1_000_000  # of a form; judgement
SAFE = ("GET", "HEAD")
HEADERS = {
    "content-security-policy": (
        "default-src 'none'; style-src 'self'; script-src 'self'; img-src 'self';"
        " connect-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'"
    ),
    "x-content-type-options": "nosniff",
    "x-frame-options": "DENY",
    "referrer-policy": "same-origin",
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
    "permissions-policy": "camera=(), geolocation=(), microphone=()",
}

Scope = MutableMapping[str, Any]
Message = MutableMapping[str, Any]
Receive = Callable[[], Awaitable[Message]]
Send = Callable[[Message], Awaitable[None]]
App = Callable[[Scope, Receive, Send], Awaitable[None]]
Refuse = Callable[[int, str, str], bytes]


class TooLarge(Exception):
    """More came than was announced."""


class Guard:
    """Stands before the pages; `refuse` draws a page of a status and two lines."""

    def __init__(self, app: App, hosts: Collection[str], refuse: Refuse) -> None:
        self._app, self._hosts, self._refuse = app, frozenset(hosts), refuse

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Refuse, or pass on with a counted body and headers added."""
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return
        said = {name.decode("latin-1"): text.decode("latin-1") for name, text in scope["headers"]}
        refused = _refused(scope["method"], said, self._hosts)
        if refused is not None:
            await self._answer(send, *refused)
            return
        started = False

        async def sending(message: Message) -> None:
            nonlocal started
            if message["type"] == "http.response.start":
                started = True
                own = _headers(scope["path"])
                message["headers"] = [*message.get("headers", ()), *own]
            await send(message)

        try:
            await self._app(scope, _counted(receive), sending)
        except TooLarge:
            if not started:
                await self._answer(send, *TOO_LARGE)

    async def _answer(self, send: Send, status: int, what: str, hint: str) -> None:
        body = self._refuse(status, what, hint)
        headers = [
            (b"content-type", b"text/html; charset=utf-8"),
            (b"content-length", str(len(body)).encode()),
            (b"connection", b"close"),
            *_headers("/"),
        ]
        await send({"type": "http.response.start", "status": status, "headers": headers})
        await send({"type": "http.response.body", "body": body})


TOO_LARGE = (
    413,
    "That is more than a form can hold.",
    "Nothing was stored. Send less; a whole stash comes in by the command line.",
)


def _refused(
    method: str, said: MutableMapping[str, str], hosts: Collection[str]
) -> tuple[int, str, str] | None:
    host = said.get("host", "")
    if _name(host) not in hosts:
        return 400, "This address is not farspun's.", "Open it as it was told when it was started."
    length = said.get("content-length", "0")
    if not length.isdecimal() or int(length[:18]) > MOST_BYTES:
        return TOO_LARGE
    if method not in SAFE and not _from_own_page(said, host):
        return (
            403,
            "That came from a page of another site, so nothing was done.",
            "Open farspun itself and do it there.",
        )
    return None


def _name(host: str) -> str:
    """Without its port."""
    name, _, port = host.rpartition(":")
    return (name if name and port.isdecimal() else host).lower()


def _from_own_page(said: MutableMapping[str, str], host: str) -> bool:
    """As the browser tells; one that tells nothing still has to show a token of ours."""
    if said.get("sec-fetch-site", "same-origin") not in ("same-origin", "none"):
        return False
    origin = said.get("origin")
    return origin is None or urlsplit(origin).netloc.lower() == host.lower()


def _headers(path: str) -> list[tuple[bytes, bytes]]:
    """Every page is asked for anew, but for the button that goes back: a page it finds as it was
    has in its boxes what was typed. A form on it that is out of date is refused by its token."""
    kept = "public, max-age=3600" if path.startswith("/static/") else "private, no-cache"
    every = HEADERS | {"cache-control": kept}
    return [(name.encode(), text.encode()) for name, text in every.items()]


def _counted(receive: Receive) -> Receive:
    """A body that came without its length, or with a wrong one, is counted as it comes."""
    bytes_in = 0

    async def counting() -> Message:
        nonlocal bytes_in
        message = await receive()
        bytes_in += len(message.get("body", b""))
        if bytes_in > MOST_BYTES:
            raise TooLarge
        return message

    return counting
