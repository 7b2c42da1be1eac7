"""Pictures of cloths: the face thread by thread, whole or close, and what another yarn would do."""

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

from sqlalchemy import Connection

from farspun.craft.drawn import drawn_name
from farspun.craft.plan import OPEN, Plan
from farspun.errors import WrongUse
from farspun.pictures.cloth import ClothSeen, cloth_sheet
from farspun.pictures.sheet import Sheet
from farspun.services.case_for import settled_case
from farspun.services.checking import checked, set_up_answer
from farspun.services.cloth_asked import ClothAsked
from farspun.services.cloth_face import Faced, Striped, faced
from farspun.services.habits_for import spreads_for
from farspun.services.names import cloth_named
from farspun.services.picture_file import Drawn, kind_of_picture, write_sheet
from farspun.services.planning import planned
from farspun.services.resleying import changeable
from farspun.services.stock import stock_to_weave
from farspun.store.engine import Stash, reading
from farspun.store.skeins import names_of
from farspun.units import (
    CM_PER_METRE,
    say_cm,
    say_inches,
    say_length,
    say_length_imperial,
    say_odds,
    say_per_cm,
    say_per_inch,
    say_percent,
)

# name: value        unit    source
MOST_TRIES = 5  # cloths     judgement: more do not go side by side
MM_PER_CM = 10.0
SHORT_CM, LONG_CM = 30.0, 1000.0  # judgement: told to a mm below, in m above
FEW_PICKS = 2.0  # picks       judgement: a longer stripe lies as a band across the cloth
OPEN_FACE = 0.05  # of the plane  judgement: less of it is not seen
SEEN_PICKS = 10  # picks       judgement: what drifts faster is seen as flecks
STEADY_PICKS = 400.0  # picks  judgement: slower stripes look as if they stood


@dataclass(frozen=True, slots=True)
class ClothPictured:
    """What is said of one cloth of a picture; finished sizes, threads per cm washed.

    `yarns`: of each skein in words whether it is warp, weft or both, and its shades.
    """

    title: str
    width_cm: float
    length_cm: float
    ends: int
    picks: int
    ends_per_cm: float
    picks_per_cm: float
    weave: str
    odds: float | None
    yarns: dict[str, str]
    colours: dict[str, list[dict[str, Any]]]
    notes: list[str]


def draw_cloth(
    stash: Stash, name: str, out: Path, close_up: bool = False, tries: Sequence[str] = ()
) -> Drawn:
    """Draw a cloth as it will look, washed; each of `tries` ("weft=SKEIN") beside it.

    Raises NotFound for the cloth or a skein, WrongUse for a try that is none or a file that cannot
    be written, and as `planned` where a yarn cannot be tried.
    """
    kind_of_picture(out)
    sheet, data = _sheet_of(stash, name, close_up, tries)
    return write_sheet(out, sheet, data)


def cloth_png(stash: Stash, name: str, close_up: bool = False) -> bytes:
    """The picture of a cloth as it will look, washed, as PNG. Raises NotFound."""
    sheet, _ = _sheet_of(stash, name, close_up, ())
    return sheet.png()


def _sheet_of(
    stash: Stash, name: str, close_up: bool, tries: Sequence[str]
) -> tuple[Sheet, dict[str, Any]]:
    """The picture, and what it tells as data."""
    asked = [_asked(one) for one in _few(tries)]
    with reading(stash) as connection:
        plan = cloth_named(connection, name)
        found = [_seen(connection, plan, plan.name or "", close_up)]
        for side, other in asked:
            tried = planned(connection, other, changeable(connection, plan, other))
            yarn = names_of(connection, [part.skein_id for part in getattr(tried, side)])
            words = f"Tried: {side} {' + '.join(yarn.values())}"
            found.append(_seen(connection, tried, words, close_up))
    told = [facts for _, facts in found]
    title = _title(plan.name or "", close_up, len(found) > 1)
    said = " ".join(_told(facts) for facts in told)
    sheet = cloth_sheet([seen for seen, _ in found], title, f"{title}. {said}", close_up)
    data = {"title": title, "close_up": close_up, "cloths": [asdict(facts) for facts in told]}
    return sheet, data


def _title(name: str, close_up: bool, several: bool) -> str:
    seen = "a few centimetres of its face, washed" if close_up else "the finished cloth"
    return f"{name}: {seen}{', and with other yarns' if several else ''}"


def _few(tries: Sequence[str]) -> Sequence[str]:
    if not len(tries) <= MOST_TRIES:
        raise WrongUse(
            f"{len(tries)} yarns cannot be tried on one sheet.",
            f"Give --try at most {MOST_TRIES} times.",
        )
    return tries


def _asked(words: str) -> tuple[str, ClothAsked]:
    """The side a try is of, and what it asks. Raises WrongUse."""
    side, mark, yarn = (part.strip() for part in words.partition("="))
    if side.casefold() not in ("warp", "weft") or not mark or not yarn:
        raise WrongUse(
            f"“{words}” does not say what to try.", "Give --try weft=SKEIN, or --try warp=SKEIN."
        )
    side = side.casefold()
    return side, ClothAsked(warp=(yarn,)) if side == "warp" else ClothAsked(weft=(yarn,))


def _seen(
    connection: Connection, plan: Plan, title: str, close_up: bool
) -> tuple[ClothSeen, ClothPictured]:
    """A cloth to be drawn, and what is said of it."""
    stock, block = stock_to_weave(connection, plan.skein_ids, plan.as_spun)
    spreads = spreads_for(plan, stock)
    case = settled_case(plan, spreads, stock.supplies, block).case
    setup = set_up_answer(plan, case, spreads, stock)
    found = faced(connection, plan, case, setup, stock.supplies)
    odds = checked(connection, plan).odds.yarn if plan.status in OPEN else None
    names = {one: stock.supplies[one].name for one in plan.skein_ids}
    facts = _facts(plan, found, title, odds, names)
    fringe_mm = min(plan.fringe_cm, found.size_cm[1]) * MM_PER_CM
    seen = ClothSeen(
        found.face,
        tuple(_caption(plan, found, facts)),
        fringe_mm if found.whole else 0.0,
        plan.hem_cm * MM_PER_CM if found.whole else 0.0,
        plan.side_hem_cm * MM_PER_CM,
        tuple((words, found.colours[skein]) for skein, words in facts.yarns.items()),
    )
    return seen, facts


def _yarns(plan: Plan, found: Faced, names: Mapping[int, str]) -> dict[str, str]:
    """Of each skein, in the order planned: where it runs, and its shades with how they lie."""
    told = {}
    for skein in dict.fromkeys(names[part.skein_id] for part in (*plan.warp, *plan.weft)):
        sides = [
            side
            for side, parts in (("warp", plan.warp), ("weft", plan.weft))
            if skein in {names[part.skein_id] for part in parts}
        ]
        colour = found.colours[skein]
        shades = ", ".join(one.shade.name for one in colour.stretches) or "colour not told"
        lie = f"{colour.lie} " if len(colour.stretches) > 1 else ""
        told[skein] = f"{' and '.join(sides)} {skein}: {lie}{shades}"
    return told


def _facts(
    plan: Plan, found: Faced, title: str, odds: float | None, names: Mapping[int, str]
) -> ClothPictured:
    width_cm, length_cm = found.size_cm
    return ClothPictured(
        title=title,
        width_cm=width_cm - 2 * plan.side_hem_cm,
        length_cm=length_cm - 2 * plan.hem_cm,
        ends=found.ends,
        picks=found.picks,
        ends_per_cm=MM_PER_CM / found.face.end_mm,
        picks_per_cm=MM_PER_CM / found.face.pick_mm,
        weave=drawn_name(plan.weave),
        odds=odds,
        yarns=_yarns(plan, found, names),
        colours={
            skein: [
                {"shade": one.shade.name, "hex": one.shade.hex, "share": one.share}
                for one in colour.stretches
            ]
            for skein, colour in found.colours.items()
        },
        notes=list(_notes(plan, found)),
    )


def _caption(plan: Plan, found: Faced, facts: ClothPictured) -> Iterator[str]:
    yield facts.title
    yield _size(facts)
    yield f"{facts.weave}, {facts.ends} ends, {facts.picks} picks{_of_pieces(plan)}"
    ends, picks = facts.ends_per_cm, facts.picks_per_cm
    yield (
        f"washed: {_number(say_per_cm(ends))} ends, {_number(say_per_cm(picks))} picks per cm"
        f" ({_number(say_per_inch(ends))}, {say_per_inch(picks)})"
    )
    if facts.odds is not None:
        yield f"{say_odds(facts.odds, plan.promise)} that the yarn reaches"
    elif plan.status in OPEN:
        yield "whether the yarn reaches is not known: weigh it"
    else:
        yield plan.status.replace("-", " ")
    yield from facts.notes


def _number(said: str) -> str:
    return said.split()[0]


def _of_pieces(plan: Plan) -> str:
    return f", the first of {plan.pieces} pieces" if plan.pieces > 1 else ""


def _size(facts: ClothPictured) -> str:
    wide, long = facts.width_cm, facts.length_cm
    if long >= LONG_CM:
        rest = say_length(long / CM_PER_METRE), say_length_imperial(long / CM_PER_METRE)
    else:
        rest = say_cm(round(long, 1 if long < SHORT_CM else None)), say_inches(long)
    return f"about {say_cm(round(wide, 1))} x {rest[0]} ({say_inches(wide)} x {rest[1]})"


def _notes(plan: Plan, found: Faced) -> Iterator[str]:
    """What is not as one would think, said below the picture."""
    if found.not_told:
        yield f"drawn grey, colour not told: {', '.join(found.not_told)}"
    for skein, colour in found.colours.items():
        if colour.partly_read:
            yield f"not read of the colour of {skein}: {', '.join(colour.unknown_words)}"
    yield from _lacking(found)
    if found.stacks is not None:
        yield from _striped(found.stacks, found.face.pick_mm / MM_PER_CM)
    for skein, share in found.gradients:
        yield f"of the gradient of {skein} the first {say_percent(round(share, 2))} is used"
    if found.face.behind_share >= OPEN_FACE:
        open_part = say_percent(round(found.face.behind_share, 2))
        yield f"between the threads a pale ground is seen, {open_part} of the face"
    if plan.hem_cm or plan.side_hem_cm:
        yield "dashed: there the hem is turned in"
    if not found.whole:
        yield f"drawn: the first {found.face.picks} picks"


def _lacking(found: Faced) -> Iterator[str]:
    """What the yarn is too short for."""
    if found.ends_lacking == found.ends:
        yield f"hatched: none of its {found.ends} ends is there, too little warp yarn is free"
    elif found.ends_lacking:
        ends = "1 end" if found.ends_lacking == 1 else f"{found.ends_lacking} ends"
        verb = "is" if found.ends_lacking == 1 else "are"
        yield f"hatched: {ends} of {found.ends} {verb} not there, the warp yarn is too short"
    if found.out_at_cm is not None:
        out = round(found.out_at_cm, 1)
        after = f"the weft gives out after {say_cm(out)}" if out else "no weft is free"
        yield f"hatched: not woven, {after}"


def _striped(striped: Striped, pick_cm: float) -> Iterator[str]:
    """How long each colour lasts; of stripes of a pick or two, how they lie one above another."""
    picks = [each for _, each in striped.picks]
    moved = striped.stacking.picks
    if sum(picks) / len(picks) > FEW_PICKS:
        yield _lasting(striped.picks, pick_cm)
    elif not moved <= STEADY_PICKS:
        yield "the weft's stripes stack, pick over pick"
    elif moved >= SEEN_PICKS:
        yield f"the weft's stripes drift by a whole repeat in {math.ceil(moved)} picks"


def _lasting(lasts: Sequence[tuple[str, float]], pick_cm: float) -> str:
    """As whole picks and their cm."""
    picks = [each for _, each in lasts]
    whole = [max(1, round(each)) for each in picks]
    said = [
        f"{one} pick{'' if one == 1 else 's'}, {say_cm(round(each * pick_cm, 1))}"
        for one, each in zip(whole, picks, strict=True)
    ]
    if max(picks) - min(picks) < 0.01 * max(picks):
        return f"each colour of the weft lasts about {said[0]}"
    each = (f"{shade} about {one}" for (shade, _), one in zip(lasts, said, strict=True))
    return f"the weft's colours last: {'; '.join(each)}"


def _told(facts: ClothPictured) -> str:
    """One cloth in words, for those who do not see it."""
    yarns = "; ".join(facts.yarns.values())
    yarns = f"{yarns[:1].upper()}{yarns[1:]}"
    odds = [] if facts.odds is None else [f"{say_odds(facts.odds)} that the yarn reaches"]
    notes = "".join(f" {note[:1].upper()}{note[1:]}." for note in (*odds, *facts.notes))
    return (
        f"{facts.title}: {facts.weave}, {_size(facts)}, {_number(say_per_cm(facts.ends_per_cm))}"
        f" ends and {_number(say_per_cm(facts.picks_per_cm))} picks per cm, washed."
        f" {yarns}.{notes}"
    )
