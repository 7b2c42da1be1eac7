"""What was told of a cloth, as it was said: to stand in the form that corrects it.

The record keeps each figure in one unit, and beside it the command read back ("warp 24 in, left
Gorse 12 g, tare 5 g"; see `telling`). Here the words are found again; each is used only where it
reads back to the figure that stands.
"""

import math
import re
from collections.abc import Callable, Collection, Iterator, Mapping
from dataclasses import dataclass, field

from sqlalchemy import RowMapping

from farspun.craft.plan import WARPED, WOVEN, Plan
from farspun.craft.woven import Told
from farspun.errors import FarspunError
from farspun.services.names import cloth_named
from farspun.store.engine import Stash, reading
from farspun.store.records import SAMPLE, Facts, told_rows
from farspun.store.supplies import supplies
from farspun.units import length, mass, threads

CM_PER_M = 100
LENGTHS = {
    "warp": "warp_cm", "tape": "tape_cm", "thrums": "thrums_cm", "spare": "spare_cm",
    "off_wide": "off_width_cm", "off_long": "off_length_cm",
    "washed_wide": "washed_width_cm", "washed_long": "washed_length_cm",
}  # fmt: skip
SIZES = re.compile(r"(?:^|, )(off|washed) ([^,]+) wide, ([^,]+) long(?=, |$)")
ONE = r"(?:^|, ){name} ([^,]+)(?=, |$)"
NEAR = 1e-4  # of a figure: the record rounds to less


@dataclass(frozen=True, slots=True)
class ToldAgain:
    """What stands of a cloth. `figures`: by the name of its box, as said ("24 in", "8 ppi");
    `left`: what the scale said of a skein; `tare`: what came off in each of `with_tare`."""

    figures: Mapping[str, str] = field(default_factory=dict)
    left: Mapping[str, str] = field(default_factory=dict)
    tare: str | None = None
    with_tare: Collection[str] = ()


def told_again(stash: Stash, name: str) -> ToldAgain:
    """What was told of a cloth, the latest word on each. Raises NotFound."""
    with reading(stash) as connection:
        plan = cloth_named(connection, name)
        skeins = {one.skein_id: one.name for one in supplies(connection, plan.skein_ids).values()}
        rows = [row for row in told_rows(connection, plan.id or 0) if row["stage"] != SAMPLE]
    told, said = Facts(), dict[str, str]()
    for row in rows:
        told = told.then(row)
        said |= dict(_said(row["said"]))
    left, tare, with_tare = _left(rows, plan, skeins)
    return ToldAgain(dict(_figures(told.cloth, said)), left, tare, with_tare)


def _said(words: str) -> Iterator[tuple[str, str]]:
    """(box, as said) of the figures of one command.

    >>> dict(_said("ends 97, warp 115 in, off 24 in wide, 147 cm long"))["off_long"]
    '147 cm'
    """
    for name in (*(one for one in LENGTHS if "_" not in one), "picks", "mass"):
        if found := re.search(ONE.format(name=name), words):
            yield name, found[1]
    for which, wide, long in SIZES.findall(words):
        yield f"{which}_wide", wide
        yield f"{which}_long", long


def _figures(told: Told, said: Mapping[str, str]) -> Iterator[tuple[str, str]]:
    """As said where that is what stands, else in the unit of the record."""
    for name, in_record in LENGTHS.items():
        cm = getattr(told, in_record)
        yield from _one(name, cm, "cm", lambda text: length(text).value * CM_PER_M, said)
    yield from _one("picks", told.picks_per_cm, "/cm", lambda text: threads(text).value, said)
    yield from _one("mass", told.mass_g, "g", lambda text: mass(text).value, said)


def _one(
    name: str,
    stands: float | None,
    unit: str,
    read: Callable[[str], float],
    said: Mapping[str, str],
) -> Iterator[tuple[str, str]]:
    if stands is None:
        return
    text = said.get(name, "")
    same = bool(text) and math.isclose(_value(read, text), stands, rel_tol=NEAR)
    yield name, text if same else f"{stands:.6g} {unit}"


def _value(read: Callable[[str], float], text: str) -> float:
    try:
        return read(text)
    except FarspunError:
        return math.nan


def _left(
    rows: Collection[RowMapping], plan: Plan, skeins: Mapping[int, str]
) -> tuple[dict[str, str], str | None, set[str]]:
    """What the scale said of each skein last, the tare told last, and of which skeins it comes off.

    What was left when a warp was wound says nothing of a skein that was weft too, once it is woven.
    """
    on_weft = {skeins[part.skein_id] for part in plan.weft}
    left: dict[str, str] = {}
    tare: str | None = None
    with_tare: set[str] = set()
    for row in rows:
        words = str(row["said"])
        before_weft = row["stage"] in WARPED and plan.status in WOVEN
        now = {
            skein: weighed
            for skein in skeins.values()
            if (weighed := _left_said(words, skein)) and not (before_weft and skein in on_weft)
        }
        if not now:
            continue
        off = re.search(ONE.format(name="tare"), words)
        if (off[1] if off else None) != tare:
            left = {one: _net(text, tare if one in with_tare else None)
                    for one, text in left.items()}  # fmt: skip
            tare, with_tare = (off[1] if off else None), set()
        left |= now
        with_tare |= set(now)
    return left, tare, with_tare


def _left_said(words: str, skein: str) -> str:
    found = re.search(ONE.format(name=f"left {re.escape(skein)}"), words, re.IGNORECASE)
    if found is None or math.isnan(_value(lambda text: mass(text, zero=True).value, found[1])):
        return ""
    return found[1]


def _net(text: str, tare: str | None) -> str:
    """Less a tare that does not come off what was told later.

    >>> _net("83 g", "20 g"), _net("83 g", None), _net("0 g", "20 g")
    ('63 g', '83 g', '0 g')
    """
    on_scale = mass(text, zero=True)
    if tare is None or on_scale.value == 0:
        return text
    return f"{on_scale.value - mass(tare).value:.6g} g"
