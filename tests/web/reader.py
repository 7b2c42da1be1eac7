"""Reading pages and filling in their forms, as a browser without JavaScript does."""

import os
import re
import warnings
from dataclasses import dataclass, field
from html import unescape
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

from farspun.services.opening import Stash
from farspun.web.app import make_app

with warnings.catch_warnings():  # which client it uses is for the library to say
    warnings.simplefilter("ignore")
    from fastapi.testclient import TestClient

AT = "http://127.0.0.1:8765"


@dataclass
class Form:
    """Where a form goes, and what is in its boxes as it was drawn."""

    action: str
    method: str
    boxes: dict[str, str] = field(default_factory=dict)


class _Forms(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.forms: list[Form] = []
        self._select: str | None = None
        self._option: tuple[str | None, bool] | None = None
        self._area: str | None = None

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        own = dict(attrs)
        if tag == "form":
            self.forms.append(Form(own.get("action") or "", (own.get("method") or "get").lower()))
        if not self.forms:
            return
        boxes, name = self.forms[-1].boxes, own.get("name")
        if tag == "input" and name:
            if own.get("type") == "checkbox":
                if "checked" in own:
                    boxes[name] = own.get("value") or "on"
            else:
                boxes[name] = own.get("value") or ""
        elif tag == "select":
            self._select = name
        elif tag == "option" and self._select:
            self._option = own.get("value"), "selected" in own
            if self._select not in boxes or "selected" in own:
                boxes[self._select] = own.get("value") or ""
        elif tag == "textarea":
            self._area = name

    def handle_data(self, data: str) -> None:
        if self._option and self._select and self._option[0] is None:
            boxes = self.forms[-1].boxes
            if boxes.get(self._select) == "" or self._option[1]:
                boxes[self._select] = data.strip()
        elif self._area:
            boxes = self.forms[-1].boxes
            boxes[self._area] = boxes.get(self._area, "") + data

    def handle_endtag(self, tag: str) -> None:
        if tag == "option":
            self._option = None
        elif tag == "select":
            self._select = None
        elif tag == "textarea":
            if self._area:
                self.forms[-1].boxes.setdefault(self._area, "")
            self._area = None


@dataclass
class Page:
    """An answer."""

    status: int
    text: str
    address: str
    headers: dict[str, str]

    @property
    def said(self) -> str:
        """What is to be read, as one line."""
        without = re.sub(r"<(script|style).*?</\1>", " ", self.text, flags=re.DOTALL)
        return " ".join(unescape(re.sub(r"<[^>]+>", " ", without)).split())

    @property
    def main(self) -> str:
        """The same without what every page has."""
        found = re.search(r"<main.*</main>", self.text, re.DOTALL)
        return Page(self.status, found[0] if found else "", self.address, {}).said

    @property
    def verdict(self) -> str:
        """The sentence it begins with."""
        found = re.search(r'class="verdict"[^>]*>(.*?)</p>', self.text, re.DOTALL)
        return " ".join(unescape(re.sub(r"<[^>]+>", " ", found[1])).split()) if found else ""

    @property
    def forms(self) -> list[Form]:
        parser = _Forms()
        parser.feed(self.text)
        return parser.forms

    def form(self, action: str) -> Form:
        return next(one for one in self.forms if one.action == action and one.method == "post")

    def wrong(self, name: str) -> str:
        """What stands beside a box."""
        found = re.search(rf'id="[^"]*-{name}-wrong">(.*?)</p>', self.text, re.DOTALL)
        return unescape(found[1]) if found else ""

    @property
    def problem(self) -> str:
        found = re.search(r'class="problem"[^>]*>(.*?)</p>', self.text, re.DOTALL)
        return unescape(found[1]) if found else ""


class Reader:
    """A browser on the pages of one stash."""

    def __init__(self, path: Path) -> None:
        self.path = path
        self.stash = Stash(path=path)
        self.client = TestClient(
            make_app(self.stash), base_url=AT, raise_server_exceptions=bool(os.environ.get("RAISE"))
        )

    def open(self, address: str, **query: str) -> Page:
        return self._page(self.client.get(address, params=query or None))

    def send(self, page: Page, action: str, **typed: str) -> Page:
        """Fill in the form that goes to `action`, and follow where it leads."""
        return self.post(action, page.form(action).boxes | typed)

    def post(self, action: str, typed: dict[str, str], **more: Any) -> Page:
        return self._page(self.client.post(action, data=typed, **more))

    @staticmethod
    def _page(response: Any) -> Page:
        return Page(response.status_code, response.text, str(response.url), dict(response.headers))


SCARF = {
    "name": "Scarf", "wide": "22", "long": "140", "warp": "Cone", "weft": "Driftwood"
}  # fmt: skip


def planned(shelf: Reader, **more: str) -> Page:
    """The scarf of the README, planned."""
    return shelf.send(shelf.open("/cloths/new"), "/cloths/new", **SCARF | more)
