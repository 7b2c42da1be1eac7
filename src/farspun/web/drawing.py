"""Drawing pages: templates, and the sayings they may call."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path
from typing import Any

from fastapi import Request
from fastapi.responses import HTMLResponse
from jinja2 import Environment, FileSystemLoader, StrictUndefined

from farspun import units
from farspun.errors import FarspunError
from farspun.services import wording, wording_page, wording_skein
from farspun.services.opening import Stash
from farspun.services.swatches import swatch
from farspun.services.wording_page import plain
from farspun.web.fields import Field, Typed, field_of, said_beside, said_on_page, without_commands
from farspun.web.once import Once

HERE = Path(__file__).parent
NO_ERRORS: Mapping[str, str] = {}


@dataclass(frozen=True)
class Desk:
    """What every page needs: the stash, the forms of this process, the templates."""

    stash: Stash
    once: Once
    templates: Environment


@dataclass(frozen=True)
class Form:
    """A form as it is drawn: its boxes, what is in them, what is wrong, where it goes.

    `hidden`: what goes with it unseen; `done`: the word on its button; `asked`: it was asked about,
    and may be sent again as it is with a tick.
    """

    action: str
    fields: Sequence[Field]
    token: str
    done: str
    hidden: Mapping[str, str] = field(default_factory=dict)
    typed: Typed = field(default_factory=dict)
    wrong: Mapping[str, str] = field(default_factory=dict)
    problem: str = ""
    asked: bool = False
    number: int = 0  # sets it apart from others that go to the same place

    @property
    def key(self) -> str:
        """Sets its boxes apart from those of another form on the page."""
        key = self.action.strip("/").replace("/", "-")
        return f"{key}-{self.number}" if self.number else key

    @property
    def refused(self) -> bool:
        """Something is wrong with it."""
        return bool(self.wrong or self.problem)

    @property
    def first_wrong(self) -> str:
        """The box to begin with; empty where none is wrong."""
        return next((one.name for one in self.fields if one.name in self.wrong), "")

    def field(self, name: str) -> Field:
        """The box of that name."""
        return next(one for one in self.fields if one.name == name)


def wrong_in(error: FarspunError | None, fields: Sequence[Field]) -> tuple[Mapping[str, str], str]:
    """What is wrong with each box, and with the whole."""
    if error is None:
        return NO_ERRORS, ""
    if error.boxes:
        return error.boxes, said_on_page(error)
    name = field_of(error, fields)
    return ({}, said_on_page(error)) if name is None else ({name: said_beside(error)}, "")


def refused_in(context: Mapping[str, Any]) -> list[Form]:
    """The forms of a page, beside its only one, that came back with something wrong."""
    several: list[Any] = [one for name, one in context.items() if name != "form"]
    several += [one for group in several if isinstance(group, dict) for one in group.values()]
    return [one for one in several if isinstance(one, Form) and one.refused]


def page(
    request: Request, desk: Desk, template: str, status: int = 200, **context: Any
) -> HTMLResponse:
    """A template as an answer; what was said to a form that led here stands at its top."""
    told = desk.once.told(request.query_params.get("said"))
    text = desk.templates.get_template(template).render(
        told=[plain(without_commands(one)) for one in told],
        path=request.url.path,
        where=desk.stash.where,
        refusals=refused_in(context),
        tried_out=request.method == "GET",
        **context,
    )
    return HTMLResponse(text, status)


@cache
def environment() -> Environment:
    """Templates in which everything is escaped and nothing may be missing."""
    made = Environment(
        loader=FileSystemLoader(HERE / "templates"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    for module in (units, wording, wording_page, wording_skein):
        made.globals |= {
            name: getattr(module, name)
            for name in dir(module)
            if name.startswith("say_") or module is not units
        }
    made.globals["swatch_of"] = swatch
    made.globals["without_commands"] = without_commands
    made.globals["METRES_PER_YARD"] = units.METRES_PER_YARD
    made.globals["CM_PER_INCH"] = units.CM_PER_INCH
    return made
