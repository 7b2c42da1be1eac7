"""Other yarns for a side of a planned cloth, and changing it to one of them."""

from fastapi import APIRouter, Request
from fastapi.responses import Response

from farspun.craft.candidates import Side
from farspun.services.cloth_asked import ClothAsked
from farspun.services.cloths import ClothShown, may_be_matched, show_cloth
from farspun.services.matching import Match, match
from farspun.services.since import newest_action
from farspun.services.wording_match import heading_said, known_said, other_side
from farspun.web.answering import address
from farspun.web.drawing import Desk, page
from farspun.web.forms import Asks, drawn
from farspun.web.pages.cloth import KEEP
from farspun.web.pages.matched import Also, limit, named_side, said

PATH = "/cloth/yarns"


def router(desk: Desk) -> APIRouter:
    """/cloth/yarns; what is chosen there goes to the form that changes a cloth."""
    pages = APIRouter()

    @pages.get(PATH)
    def yarns(request: Request, name: str = "", side: str = "weft") -> Response:
        """The yarns of the stash for that side, best first."""
        wanted: Side = "warp" if side == "warp" else "weft"
        newest, shown = newest_action(desk.stash), show_cloth(desk.stash, name)
        cloth = shown.plan.name or ""
        query = {"name": cloth, "side": wanted}
        few = limit(request.query_params)
        found = match(desk.stash, ClothAsked(), cloth, wanted, few)

        def also(one: Match) -> Also:
            if _has(shown, wanted, one):
                return Also(already=f"It is the {wanted} now.")
            asks = Asks(KEEP, f"Make it the {wanted}, and claim it", ())
            beside = named_side(wanted, one.skeins) | {"claim": "yes"}
            return Also(form=drawn(desk, asks, newest, cloth, beside=beside))

        return page(
            request, desk, "cloth_yarns.html",
            cloth=cloth, side=wanted, other=other_side(wanted), verdict=heading_said(found),
            doubt=known_said(found), rows=said(desk, found, query, PATH, also),
            turned=address(PATH, name=cloth, side=other_side(wanted))
            if may_be_matched(shown, other_side(wanted)) else "",
        )  # fmt: skip

    return pages


def _has(shown: ClothShown, side: str, one: Match) -> bool:
    return sorted(yarn.skein for yarn in shown.yarns if yarn.side == side) == sorted(one.skeins)
