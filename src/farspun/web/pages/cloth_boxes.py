"""The boxes of a cloth: what is wanted, what is settled, what is taken for granted."""

from collections.abc import Callable, Mapping, Sequence
from typing import Any

from farspun import units
from farspun.craft.weave import PURPOSES, weave
from farspun.errors import ImpossibleValue
from farspun.services.cloth_asked import ClothAsked, asked_from
from farspun.web.fields import Field, bad_boxes

SHORT = ("cm", "in", "m", "yd")
PER = ("/cm", "epi")
WASHES = ("gentle", "hot", "fulled", "machine", "none")
USUAL = ("", "as usual")


def _by(read: Callable[..., Any], what: str, **how: Any) -> Callable[[str], Any]:
    return lambda text: read(text, what, **how)


def _weave(text: str) -> str:
    """A weave by its name; a file is for the command line."""
    return weave(text).name


def _length(name: str, label: str, says: str = "", zero: bool = True) -> Field:
    return Field(name, label, "amount", _by(units.length, label.lower(), zero=zero), SHORT,
                 says=says)  # fmt: skip


def side(what: str) -> Callable[[str], str]:
    """A side of a size, as it was typed, if it is a length without ±."""

    def read(text: str) -> str:
        if units.length(text, what).sd is not None:
            raise ImpossibleValue(what, text, "a size has no ±")
        return text

    return read


def _loss(name: str, label: str, says: str = "") -> Field:
    return Field(name, label, "amount", _by(units.loss, label.lower()), ("%",), says=says)


def _count(name: str, label: str, least: int = 1, says: str = "") -> Field:
    return Field(name, label, "number", _by(units.whole, label.lower(), least=least), says=says)


def _yes(name: str, label: str) -> Field:
    return Field(name, label, "choice", choices=(USUAL, ("yes", "yes"), ("no", "no")))


NAME = Field("name", "Name")
SIZE = (
    Field("wide", "Wide", "amount", side("width"), SHORT, says="finished, washed"),
    Field("long", "Long", "amount", side("length"), SHORT, says="finished, washed"),
    _count("pieces", "Pieces"),
)
YARNS = (
    Field("warp", "Warp yarn"),
    Field("weft", "Weft yarn"),
    Field("warp_more", "More warp yarns", "long", says="one skein a line, used one after another"),
    Field("weft_more", "More weft yarns", "long", says="one skein a line"),
)
WEAVING = (
    Field("weave", "Weave", read=_weave, usual="plain", says="plain, 2/2 twill, …"),
    Field("purpose", "For", "choice", choices=(USUAL, *((one, one) for one in PURPOSES))),
    Field("wash", "Washed", "choice", choices=(USUAL, *((one, one) for one in WASHES))),
    Field("sett", "Sett", "amount", _by(units.threads, "sett"), PER, says="ends"),
    Field("picks", "Picks", "amount", _by(units.threads, "picks"), ("/cm", "ppi"), says="rested"),
)
ODDS = (
    Field("promise", "Odds wanted", "amount", _by(units.promise, "promise"), ("%",), usual="95"),
    Field("size_promise", "Odds of the size", "amount", _by(units.promise, "size promise"), ("%",)),
    _loss("give", "Smaller would do by"),
    _count("priority", "Priority", says="1 stands first"),
)
MORE = (
    _length("fringe", "Fringe", "finished, at each end of a piece"),
    _length("hem", "Hem", "turned in at each end"),
    _length("side_hem", "Side hem", "turned in at each side"),
    _length("gap", "Gap", "unwoven between two pieces"),
    _length("header", "Header"),
    _length("sample", "Sample", "woven on the same warp, to be washed"),
    _count("ends", "Ends", says="settled by you"),
    _length("warp_cut", "Warp length", "settled by you", zero=False),
    _count("floating_selvedges", "Floating selvedges", least=0),
    _count("repeat", "Ends in repeats of"),
    _yes("direct", "Warped direct"),
    _yes("as_spun", "Woven unwashed"),
    _yes("cut", "Pieces are cut from it"),
    _yes("fringe_from_waste", "Fringes out of the waste"),
)
ASSUMED = (
    _loss("draw_in", "Draw-in"),
    _loss("take_up", "Take-up"),
    Field("weft_take_up", "Weft take-up", "amount", _by(units.addition, "weft take-up"), ("%",)),
    _loss("let_off", "Let-off"),
    _loss("shrink_length", "Shrinkage in length"),
    _loss("shrink_width", "Shrinkage in width"),
    _loss("beat", "Picks, give or take", "how far off the picks meant your beat may be"),
    _length("waste", "Loom waste"),
)
FACTORS = {"waste_cm": "waste"}  # boxes that are not called as their factor


def boxes(looms: Sequence[str], reeds: Sequence[str]) -> list[Field]:
    """All of them, with her looms and reeds to choose from."""
    return [
        *SIZE, *YARNS, *WEAVING,
        Field("loom", "Loom", "choice", choices=(USUAL, *((one, one) for one in looms))),
        Field("reed", "Reed", "choice", choices=(USUAL, *((one, one) for one in reeds))),
        *ODDS, *MORE, *ASSUMED,
    ]  # fmt: skip


def asked(values: Mapping[str, Any], back: Sequence[str] = ()) -> ClothAsked:
    """What was asked of the cloth; `back`: options that go back to their default.

    Raises WrongUse for one side of a size, ImpossibleValue as `asked_from`.
    """
    plain = {name: value for name, value in values.items() if value is not None}
    for name in ("direct", "as_spun", "cut", "fringe_from_waste"):
        if name in plain:
            plain[name] = plain[name] == "yes"
    for side in ("warp", "weft"):
        named = [plain.pop(side, ""), *str(plain.pop(f"{side}_more", "")).splitlines()]
        plain[side] = [one.strip() for one in named if one.strip()]
    wide, long = plain.pop("wide", None), plain.pop("long", None)
    if (wide is None) != (long is None):
        other = "long" if long is None else "wide"
        raise bad_boxes({other: "A size needs both: how wide and how long."})
    if wide is not None:
        plain["size"] = units.size(f"{wide}x{long}")
    if back:
        plain["default"] = tuple(back)
    return asked_from(plain)
