"""What one skein could weave: the yarns of the stash it goes with, and the largest cloth of it."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from fastapi import APIRouter, Request
from fastapi.responses import Response

from farspun import units
from farspun.errors import FarspunError, NotFound, UnreadableValue, WrongUse
from farspun.services.browsing import look_at
from farspun.services.cloth_asked import CM, ClothAsked
from farspun.services.largest import Wish, largest
from farspun.services.matching import Match, match
from farspun.services.swatches import swatch
from farspun.services.wording import listed
from farspun.services.wording_largest import (
    beyond_said,
    inches_said,
    largest_said,
    size_cells,
    size_headings,
    table_said,
)
from farspun.services.wording_match import goes_with_said, known_said, other_side
from farspun.units import Quantity
from farspun.web.answering import address, status_of
from farspun.web.drawing import Desk, Form, page, wrong_in
from farspun.web.fields import Field, Typed, bad_boxes, read, said_on_page, without_commands
from farspun.web.pages.cloth_boxes import SHORT
from farspun.web.pages.cloths import offered_skeins
from farspun.web.pages.matched import Also, limit, named_side, said

PATH, PART = "/skein/weaves", "/skein/weaves/largest"
USUAL = {"side": "weft", "wide": "30", "wide_unit": "cm", "long": "150", "long_unit": "cm"}
BESIDE = "What is wrong stands beside its box."
NEEDED = {"wide": "How wide it is to be is needed.", "long": "How long it is to be is needed."}


def _side_of_size(what: str) -> Any:
    def reads(text: str) -> Quantity:
        found = units.length(text, what, zero=False)
        if found.sd is not None:
            raise UnreadableValue(what, text[:60], "a size has no ±", "Leave the ± out.")
        return found

    return reads


ASKED = (
    Field("side", "It is to be", "choice", choices=(("weft", "the weft"), ("warp", "the warp"))),
    Field("wide", "Width", "amount", _side_of_size("width"), SHORT, says="finished, washed"),
    Field("long", "Length", "amount", _side_of_size("length"), SHORT, says="finished, washed"),
)
WITH = (
    Field("with", "With this yarn on the other side", says="else of it alone, warp and weft"),
    Field("with_more", "More yarns on that side", "long", says="one skein a line"),
)


@dataclass(frozen=True, slots=True)
class LargestSaid:
    """The largest cloth: of what, in a sentence, what stops it, and the table of sizes."""

    of: str
    sentence: str
    inches: str
    beyond: str
    table: str
    headings: Sequence[str]
    rows: Sequence[Sequence[str]]
    plan: str


@dataclass(frozen=True, slots=True)
class Asked:
    """What was asked: the skein, the side it is to be, the size, the yarn beside it."""

    name: str
    side: str
    wide: Quantity
    long: Quantity
    beside: Sequence[str]

    @property
    def other(self) -> str:
        """The side that is sought."""
        return other_side(self.side)

    @property
    def size_said(self) -> str:
        """As it was typed."""
        return f"{self.wide.said} wide, {self.long.said} long"

    def cloth(self) -> ClothAsked:
        """That side and size."""
        own: dict[str, Any] = {self.side: (self.name,)}
        return ClothAsked(
            width_cm=self.wide.value * CM,
            length_cm=self.long.value * CM,
            size_said=self.size_said,
            **own,
        )


def router(desk: Desk) -> APIRouter:
    """/skein/weaves, and the largest cloth as a part of it."""
    pages = APIRouter()

    @pages.get(PATH)
    def weaves(request: Request, name: str = "") -> Response:
        """The yarns it goes with."""
        return _page(request, desk, name)

    @pages.get(PART)
    def part(request: Request, name: str = "") -> Response:
        """The largest cloth, to be put into the page; it takes longer than the rest."""
        look_at(desk.stash, name)
        whole, error = None, None
        try:
            whole = _largest(desk, name, _typed(request))
        except FarspunError as refused:
            error = refused
        problem = "" if error is None else said_on_page(error)
        return page(request, desk, "largest.html", largest=whole, problem=problem)

    return pages


def _typed(request: Request) -> Typed:
    """What was typed, with what is usual where nothing was asked."""
    return {**USUAL, **request.query_params}


def _asked(name: str, typed: Typed) -> Asked:
    """Raises WrongUse by box."""
    wrong = {box: why for box, why in NEEDED.items() if not typed.get(box, "").strip()}
    values: dict[str, Any] = {}
    try:
        values = read((*ASKED, *WITH), typed)
    except WrongUse as error:
        wrong |= error.boxes
    if wrong:
        raise bad_boxes(wrong)
    named = [values["with"] or "", *(values["with_more"] or "").splitlines()]
    beside = [one.strip() for one in named if one.strip()]
    return Asked(name, values["side"] or "weft", values["wide"], values["long"], beside)


def _page(request: Request, desk: Desk, name: str) -> Response:
    shown, typed = look_at(desk.stash, name).skein, _typed(request)
    found, asked, whole, error = None, None, None, None
    try:
        asked = _asked(shown.name, typed)
        found = match(desk.stash, asked.cloth(), limit=limit(typed))
        whole = _largest(desk, shown.name, typed) if typed.get("largest") else None
    except FarspunError as refused:
        error = refused
    form, query = _form(shown.name, typed, error), _query(shown.name, typed)
    rows = None
    if found is not None and asked is not None:
        rows = said(desk, found, query, PATH, lambda one: _also(asked, query, one))
    return page(
        request, desk, "weaves.html", 200 if error is None else status_of(error),
        skein=shown, swatch=swatch(shown.colour), form=form, asked=asked, rows=rows,
        verdict="" if found is None else goes_with_said(found),
        doubt="" if found is None else known_said(found),
        largest=whole, problem="", lazy=error is None, skeins=offered_skeins(desk),
        part=address(PART, **query),
        alone=address(PATH, **query | {"largest": "yes"}) + "#largest",
    )  # fmt: skip


def _form(name: str, typed: Typed, error: FarspunError | None) -> Form:
    """Its boxes; a yarn that is not there is the one beside it, for the skein itself was found."""
    wrong, problem = wrong_in(error, (*ASKED, *WITH))
    if isinstance(error, NotFound):
        box = "with_more" if error.name in typed.get("with_more", "").split("\n") else "with"
        wrong = {box: said_on_page(error)}
    problem = BESIDE if wrong else problem
    return Form(PATH, (*ASKED, *WITH), "", "Look", {}, typed, wrong, problem)


def _query(name: str, typed: Typed) -> dict[str, str]:
    """The address again, without what was only for this once."""
    boxes = (*USUAL, "with", "with_more", "many")
    return {"name": name} | {box: typed[box] for box in boxes if typed.get(box)}


def _also(asked: Asked, query: Mapping[str, str], one: Match) -> Also:
    """A cloth of both, planned; and the largest of both."""
    size = {box: query[box] for box in USUAL if box != "side" and box in query}
    yarns = named_side(asked.side, [asked.name]) | named_side(asked.other, one.skeins)
    beside = {box.replace(asked.other, "with"): text
              for box, text in named_side(asked.other, one.skeins).items()}  # fmt: skip
    own = {box: text for box, text in query.items() if not box.startswith("with")}
    return Also(
        links=(
            ("Plan a cloth of these", address("/cloths/new", **yarns, **size)),
            (
                "The largest of these",
                address(PATH, **own | beside | {"largest": "yes"}) + "#largest",
            ),
        )
    )


def _largest(desk: Desk, name: str, typed: Typed) -> LargestSaid:
    """In the shape of the size that was asked for. Raises as `largest`, WrongUse by box."""
    asked = _asked(name, typed)
    yarns: dict[str, Any] = {asked.side: (name,)}
    if asked.beside:
        yarns[asked.other] = tuple(asked.beside)
    shape = asked.wide.value / asked.long.value
    found = largest(desk.stash, ClothAsked(**yarns), Wish(shape=shape, table=True))
    size = found.size
    told = {} if size is None else {
        "wide": f"{size.width_cm:.4g}", "long": f"{size.length_cm:.10g}",
        "wide_unit": "cm", "long_unit": "cm",
    }  # fmt: skip
    both = named_side(asked.side, [name]) | named_side(asked.other, asked.beside or [name])
    beside = f"{listed(asked.beside)} as the {asked.other}" if asked.beside else ""
    return LargestSaid(
        of=f"{name} as the {asked.side}, {beside}" if beside else f"{name} alone, as warp and weft",
        sentence=without_commands(largest_said(found)),
        inches="" if size is None else inches_said(size),
        beyond=beyond_said(found),
        table=table_said(found) if found.sizes else "",
        headings=size_headings(found),
        rows=size_cells(found),
        plan=address("/cloths/new", **both, **told) if told else "",
    )
