"""What was asked of a cloth, in words: the line that its history keeps of a change."""

from collections.abc import Iterator
from typing import Any

from farspun.craft.drawn import drawn_name
from farspun.services.cloth_asked import ClothAsked
from farspun.services.factors import FACTORS
from farspun.services.wording import listed
from farspun.units import say_cm, say_per_cm, say_percent

SIZES = ("width_cm", "length_cm", "size_said", "given", "default")  # said in their own way
CALLED = {
    "direct": "warped direct",
    "as_spun": "woven unwashed",
    "cut": "cut into its pieces",
    "fringe_from_waste": "fringes out of the waste",
    "give": "smaller would do by",
    "promise": "odds wanted",
    "size_promise": "odds of the size",
    "warp_cut_cm": "warp length",
    "repeat": "ends in repeats of",
}


def change_said(asked: ClothAsked) -> str:
    """Everything that was asked, one after another.

    >>> change_said(ClothAsked(size_said="22 cm wide, 140 cm long", sett_per_cm=5.0, direct=False))
    '22 cm wide, 140 cm long; not warped direct; sett 5.0 per cm'
    """
    return "; ".join(_parts(asked))


def _parts(asked: ClothAsked) -> Iterator[str]:
    if asked.size_said:
        yield asked.size_said
    for name, value in asked.said().items():
        if name not in SIZES:
            yield _one(name, value)
    for name, given in asked.given.items():
        yield f"{FACTORS.get(name, name)} {given.said}"
    if asked.default:
        yield f"{listed([_plain(one) for one in asked.default])} as usual again"


def _plain(name: str) -> str:
    name = {"waste": "waste_cm"}.get(name, name.replace("-", "_"))
    return FACTORS.get(name, name.replace("_", " "))


def _one(name: str, value: Any) -> str:
    plain = name.removesuffix("_cm").removesuffix("_per").replace("_", " ")
    called = CALLED.get(name, plain)
    if isinstance(value, bool):
        return called if value else f"not {called}"
    if name == "weave":
        return drawn_name(str(value))
    if isinstance(value, tuple):
        return f"{called} {listed([str(one) for one in value])}"
    if name.endswith("_per_cm"):
        return f"{called} {say_per_cm(value)}"
    if name.endswith("_cm"):
        return f"{called} {say_cm(value)}"
    if name in ("promise", "size_promise", "give"):
        return f"{called} {say_percent(value)}"
    return f"{called} {value}"
