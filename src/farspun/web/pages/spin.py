"""What to spin or buy for every yarn that is short, and how."""

from collections.abc import Callable
from typing import Any

from fastapi import APIRouter, Request
from fastapi.responses import Response

from farspun import units
from farspun.errors import FarspunError
from farspun.services.cloths import open_cloth_names
from farspun.services.to_spin import SpinAsked, to_spin
from farspun.services.wording_spin import cautions, work_head, work_opening, work_rows
from farspun.web.answering import status_of
from farspun.web.drawing import Desk, Form, page, wrong_in
from farspun.web.fields import Field, read
from farspun.web.pages.aims import form_address
from farspun.web.pages.cloth import grouped


def _by(reading: Callable[..., Any], what: str) -> Callable[[str], Any]:
    return lambda text: reading(text, what)


ASKED = (
    Field("angle", "Slant of the twist", "amount", _by(units.angle, "twist angle"), ("deg",),
          says="else 30 for warp, 25 for weft"),
    Field("plies", "Plies", read=_by(units.plies, "plies"),
          says="2; 1:2 for two, one twice as thick; else as the yarn has"),
    Field("preparation_loss", "Fibre lost on the way", "amount",
          _by(units.loss, "preparation loss"), ("%",), says="else 10"),
    Field("plying_take_up", "Plying take-up", "amount",
          _by(units.loss, "plying take-up"), ("%",), says="else +5"),
)  # fmt: skip


def router(desk: Desk) -> APIRouter:
    """/to-spin."""
    pages = APIRouter()

    @pages.get("/to-spin")
    def spin(request: Request, cloth: str = "") -> Response:
        """Of one cloth, or of all."""
        typed = dict(request.query_params)
        try:
            found, error = to_spin(desk.stash, _asked(read(ASKED, typed)), cloth or None), None
        except FarspunError as refused:
            found, error = [], refused
        wrong, problem = wrong_in(error, ASKED)
        names = open_cloth_names(desk.stash)
        boxes = [
            Field("cloth", "For", "choice", choices=[("", "every cloth"), *_same(names)]),
            *ASKED,
        ]
        form = Form("/to-spin", boxes, "", "Work it out", typed=typed, wrong=wrong, problem=problem)
        return page(
            request, desk, "to_spin.html", 200 if error is None else status_of(error),
            form=form, opening="" if error else work_opening(found),
            works=[
                (one, work_head(one), grouped(work_rows(one)), form_address(desk, one))
                for one in found
            ],
            care=cautions(found),
        )  # fmt: skip

    return pages


def _same(names: list[str]) -> list[tuple[str, str]]:
    return [(name, name) for name in names]


def _asked(values: dict[str, Any]) -> SpinAsked:
    angle, loss, take_up = (
        None if values[name] is None else values[name].value
        for name in ("angle", "preparation_loss", "plying_take_up")
    )
    return SpinAsked(
        angle_deg=angle,
        plies=values["plies"],
        preparation_loss=loss,
        plying_take_up=None if take_up is None else units.crimp_from_take_up(take_up),
    )
