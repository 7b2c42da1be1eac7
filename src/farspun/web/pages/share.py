"""The skeins shared out among all planned cloths: who gets what, who stays short, who loses."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Annotated, Any

from fastapi import APIRouter, Depends, Request
from fastapi.responses import Response

from farspun import units
from farspun.errors import FarspunError
from farspun.services.share_answers import ClothShare, Shared
from farspun.services.share_shown import keep_shown, shared_out, told_apart
from farspun.services.wording_share import (
    NO_CHANGE,
    NOTHING,
    TOO_SMALL,
    change_cells,
    heading_said,
    least_said,
    left_out_said,
    losses_said,
    need_said,
    part_said,
    served_said,
    verdict_said,
    without_said,
)
from farspun.units import say_length, say_length_imperial, say_mass, say_mass_imperial
from farspun.web.answering import Submitted, status_of, typed_in
from farspun.web.drawing import Desk, Form, page, wrong_in
from farspun.web.fields import Field, Typed, read
from farspun.web.forms import Asks, Failed, drawn

PATH = "/share-out"
PROMISE = Field(
    "promise", "Odds wanted for every cloth", "amount",
    lambda text: units.promise(text, "promise"), ("%",), says="else what each cloth was promised",
)  # fmt: skip
SHOWN = "shown"  # goes along unseen: the shares that the page showed
SURE = Field("sure", "Yes, let go of it", "check")


@dataclass(frozen=True, slots=True)
class GivenSaid:
    """A skein that is given: for which side, how much in both units, how much of it that is."""

    side: str
    skein: str
    length: tuple[str, str]
    mass: tuple[str, str]
    part: str


@dataclass(frozen=True, slots=True)
class ClothSaid:
    """A cloth: how sure it is, what it is given, what its yarns need."""

    name: str
    verdict: str
    given: Sequence[GivenSaid]
    needs: Sequence[tuple[str, str]]
    note: str


def router(desk: Desk) -> APIRouter:
    """/share-out, and keeping it."""
    pages = APIRouter()

    @pages.get(PATH)
    def show(request: Request) -> Response:
        """Who would get what; nothing is changed."""
        return _page(request, desk, dict(request.query_params), None)

    @pages.post(PATH)
    def keep(request: Request, typed: Annotated[Typed, Depends(typed_in)]) -> Response:
        """Make it the claims of the cloths."""

        def redraw(error: FarspunError) -> Response:
            return _page(request, desk, typed, error)

        def act(values: dict[str, Any]) -> tuple[str, list[str]]:
            promise = None if values["promise"] is None else values["promise"].value
            keep_shown(desk.stash, promise, typed.get(SHOWN, ""), values["sure"])
            return PATH, ["The cloths claim it so now. Undo has it as before."]

        sent = Submitted(request, desk, PATH, typed, redraw)
        return sent.carry_out((PROMISE, SURE), "stash", "", act)

    return pages


def _page(request: Request, desk: Desk, typed: Typed, error: FarspunError | None) -> Response:
    shared, failed = Shared(cloths=[]), error
    try:
        promise = read((PROMISE,), typed)["promise"]
        shared = shared_out(desk.stash, None if promise is None else promise.value)
    except FarspunError as refused:
        failed = failed or refused
    wrong, problem = wrong_in(failed, (PROMISE, SURE))
    ask = Form(PATH, (PROMISE,), "", "Share out", typed=typed, wrong=wrong)
    cloths = [_cloth(one) for one in shared.cloths]
    unanswered = not cloths and bool(wrong)
    return page(
        request, desk, "share_out.html", 200 if failed is None else status_of(failed),
        verdict="" if unanswered else served_said(shared) or NOTHING,
        heading=heading_said(shared) if cloths else "", cloths=cloths, ask=ask,
        form=_keep(desk, shared, typed, error), problem=problem,
        changes=change_cells(shared), no_change=NO_CHANGE if cloths else "",
        losing=losses_said(shared), left_out=[left_out_said(one) for one in shared.left_out],
        futile=[(one.cloth, without_said(one)) for one in shared.without],
        least=least_said(shared),
    )  # fmt: skip


def _keep(desk: Desk, shared: Shared, typed: Typed, error: FarspunError | None) -> Form | None:
    """The button, where keeping it changes anything."""
    if not shared.changes:
        return None
    asks = Asks(PATH, "Keep these shares", (SURE,) if shared.losing else ())
    beside = {SHOWN: told_apart(shared)}
    beside |= {name: typed[name] for name in ("promise", "promise_unit") if typed.get(name)}
    failed = None if error is None else Failed(PATH, typed, error)
    return drawn(desk, asks, shared.newest, failed=failed, beside=beside)


def _cloth(one: ClothShare) -> ClothSaid:
    return ClothSaid(
        name=one.cloth,
        verdict=verdict_said(one),
        given=[
            GivenSaid(
                need.side,
                part.skein,
                (say_length(part.length_m), say_length_imperial(part.length_m)),
                (say_mass(part.mass_g), say_mass_imperial(part.mass_g)),
                part_said(part),
            )
            for need in one.needs
            for part in need.given
        ],
        needs=[(need.side.capitalize(), need_said(need)) for need in one.needs],
        note=f"{TOO_SMALL}." if one.too_small else "",
    )
