"""What is made to be printed or looked at: a cloth's card, its picture, the tag of a skein."""

from urllib.parse import quote

from fastapi import APIRouter
from fastapi.responses import Response

from farspun.services.carding import card_of_cloth, card_pdf
from farspun.services.picturing import cloth_png
from farspun.services.tagging import tags_as_pdf, tags_of
from farspun.web.drawing import Desk

PAPER = "A4"


def router(desk: Desk) -> APIRouter:
    """/cloth/card, /cloth/face.png and /skein/tag."""
    pages = APIRouter()

    @pages.get("/cloth/card")
    def card(of: str = "", paper: str = PAPER) -> Response:
        """The card of a cloth, two sides."""
        found = card_of_cloth(desk.stash, of)
        return _pdf(card_pdf(found, paper), f"{found.cloth} card")

    @pages.get("/cloth/face.png")
    def face(of: str = "", close: bool = False) -> Response:
        """How a cloth will look, washed."""
        return Response(cloth_png(desk.stash, of, close), media_type="image/png")

    @pages.get("/skein/tag")
    def tag(of: str = "", paper: str = PAPER, qr: bool = False) -> Response:
        """The tag of a skein."""
        tags = tags_of(desk.stash, [of])
        return _pdf(tags_as_pdf(tags, paper, qr), f"{tags[0].name} tag")

    return pages


def _pdf(data: bytes, name: str) -> Response:
    """To be seen in the browser, and kept under that name."""
    inline = f"inline; filename*=UTF-8''{quote(name, safe='')}.pdf"
    return Response(data, media_type="application/pdf", headers={"content-disposition": inline})
