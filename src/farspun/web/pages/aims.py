"""What a new skein is meant to be: from what is to spin to the form that adds it."""

from farspun.errors import FarspunError
from farspun.services.browsing import look_at
from farspun.services.to_spin import SpinAsked, Work, to_spin
from farspun.services.wording_spin import work_head, work_rows
from farspun.web.answering import address
from farspun.web.drawing import Desk


def side_of(work: Work) -> str:
    """Warp or weft, where its first cloth is short of it on one of them only; else empty."""
    first = work.uses[0].cloth
    sides = {use.side for use in work.uses if use.cloth == first}
    return sides.pop() if len(sides) == 1 else ""


def form_address(desk: Desk, work: Work) -> str:
    """The form for a new skein, filled with what is known of the yarn it is spun for."""
    yarn = look_at(desk.stash, work.skeins[0]).skein
    known = {
        "cloth": work.uses[0].cloth,
        "side": side_of(work),
        "fibre": yarn.fibre,
        "plies": str(yarn.plies or ""),
        "colour": yarn.colour or "",
    }
    return address("/skeins/new", **{name: text for name, text in known.items() if text})


def aim_of(desk: Desk, cloth: str, side: str) -> str:
    """What the skein is spun for, in words; empty where it is for no cloth, or nothing is short."""
    if not cloth or not side:
        return ""
    try:
        works = to_spin(desk.stash, SpinAsked(), cloth)
    except FarspunError:
        return ""
    meant = [one for one in works if any(use.side == side for use in one.uses)]
    return f"{work_head(meant[0])}. {_figures(meant[0])}" if meant else ""


def _figures(work: Work) -> str:
    """How much, and what yarn."""
    rows = dict(row for row in work_rows(work) if row[0])
    return " ".join(f"{rows[label]}." for label in ("Spin", "Buy", "Yarn") if label in rows)
