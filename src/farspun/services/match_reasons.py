"""Why a yarn stands where it stands: each criterion of one row, in words."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any

from farspun.craft.candidates import Kind
from farspun.craft.cover import mass_g_per_m2
from farspun.craft.dye_notes import FASTNESS
from farspun.craft.matching import (
    AGAINST,
    FLUFFY_WARP,
    LOFT_APART,
    LOFTY_WARP,
    MIND,
    RATIOS,
    SHEDS,
    Criterion,
    Other,
)
from farspun.services.match_colours import seen
from farspun.services.match_question import Question
from farspun.services.match_rows import DRIFTS, HOLDS, Table
from farspun.units import say_length, say_odds, say_percent

STANDS = ("well", "to mind", "against")
ALONE = "wash it alone first, until the water stays clear"
LIMP = frozenset(
    {"alpaca", "llama"}
)  # gives under tension and stays so; common practice, no source
SHED_WORDS = {
    "mohair": "mohair clings: the sheds stick, set it more openly",
    "cashmere": "cashmere is short and soft: it sheds in the reed",
    "camel": "camel down is short and soft: it sheds in the reed",
    "yak": "yak down is short and soft: it sheds in the reed",
    "angora": "angora is slippery and fine: it sheds and clings in the reed",
    "llama": "llama is slippery and does not spring back: it stretches under tension",
    "alpaca": "alpaca is slippery and does not spring back: it stretches under tension",
}


@dataclass(frozen=True, slots=True)
class Reason:
    """One criterion of one row: its value (None where not known), how it stands, and why."""

    name: str
    value: Any
    stands: str
    why: str


@dataclass(frozen=True, slots=True)
class Side:
    """What is told of the two sides beside the numbers of a row."""

    q: Question
    other: Other
    other_name: str
    seen: Mapping[int, set[str]] = field(default_factory=dict)  # kinds of reading, by skein


def reasons(t: Table, row: int, side: Side) -> list[Reason]:
    """Every criterion, the odds first."""
    kind = t.c.kinds[int(t.c.kind[row])]
    words = {
        "grist": lambda c: _grist(t, row, side),
        "loft": lambda c: "; ".join(_loft(t, row, kind, side, int(c.stands[row]))),
        "warp": lambda c: "; ".join(_warp(t, row, kind)),
        "shrinkage": lambda c: _shrinkage(float(c.value[row]), side),
        "dye": lambda c: _dye(t, row, side),
        "left over": lambda c: _left(t, row),
    }
    found = [_odds(t, row)]
    for one in t.criteria:
        if one.name == "left over":
            found += [
                Reason(seen_of.name, seen_of.value, STANDS[0], seen_of.why)
                for seen_of in seen(t, row, side.other_name)
            ]
        stands = STANDS[int(one.stands[row])]
        found.append(Reason(one.name, _value(one, row), stands, words[one.name](one)))
    return found


def _value(one: Criterion, row: int) -> Any:
    """The value as scripts read it; None where it is not known."""
    value = one.value[row]
    if one.name == "dye":
        return FASTNESS[int(value)]
    if one.name == "warp":
        return int(value) or None
    return None if value != value else float(value)


def _odds(t: Table, row: int) -> Reason:
    odds = float(t.odds[row])
    if row in t.refused or odds != odds:
        why = t.refused.get(row, "neither its wraps nor its grist are known: no sett can be found")
        return Reason("odds", None, STANDS[AGAINST], why)
    stands = STANDS[0] if odds >= t.promise else STANDS[MIND if odds >= 0.5 else AGAINST]
    how = "" if row in t.drawn else "about "
    need, have = float(t.found.need[row]), float(t.c.have[row])
    why = (
        f"{how}{say_odds(odds, t.promise)} that all yarns reach; needs about {say_length(need)},"
        f" there are {say_length(have)}"
    )
    return Reason("odds", odds, stands, why)


def _grist(t: Table, row: int, side: Side) -> str:
    """What the two weights of yarn make of the cloth."""
    ratio, purpose = float(t.found.ratio[row]), t.looms.bed.purpose
    if ratio != ratio:
        return "its grist or the other's is not known: weigh 10 m of it, or wrap it"
    (low, high), _ = RATIOS[purpose]
    if low <= ratio <= high:
        what = {"weft-faced": "the weft covers the warp", "warp-faced": "the warp covers the weft"}
        told = what.get(purpose, "a balanced cloth")
    elif ratio > high:
        told = {
            "weft-faced": "so thick a weft makes ribs, and bends little round this warp",
            "warp-faced": "so thick a weft holds the ends apart and makes ribs",
        }.get(purpose, "the heavier weft shows more than the warp")
    else:
        told = {
            "weft-faced": "so fine a weft does not cover the warp",
            "warp-faced": "so fine a weft lets the edges pull in",
        }.get(purpose, "the heavier warp shows more than the weft")
    weight = f"; about {_weight(t, row):.0f} g per square metre rested"
    return f"the weft is {ratio:.2f} of the warp in weight (tex): {told}{weight}"


def _weight(t: Table, row: int) -> float:
    """Grams per square metre, rested."""
    bed, at = t.looms.bed, max(0, int(t.at_class[row]))
    own = float(t.c.tex[row])
    tex = (own, bed.known_tex) if bed.side == "warp" else (bed.known_tex, own)
    ends = float(t.found.sett_per_cm[row]) / (1 - float(t.looms.asks.draw_in[at]))
    crimps = float(t.found.warp_crimp[row]), float(t.found.weft_crimp[row])
    return float(mass_g_per_m2(ends, float(t.found.picks_per_cm[row]), *tex, *crimps))


def _loft(t: Table, row: int, kind: Kind, side: Side, stands: int) -> Iterator[str]:
    fill, gives = float(t.c.fill[row]), kind.blend.elastic
    wrapped = any("wrapped" in side.seen.get(one, ()) for one in t.skeins(row))
    guessed = "" if wrapped else " (taken as usual, not wrapped)"
    yield f"fibre fill {fill:.2f}{guessed}, {side.other_name} {side.other.fill:.2f}"
    if t.looms.bed.side == "warp" and not kind.mill:
        if fill < FLUFFY_WARP:
            yield "very lofty: as a warp it rubs to fluff in the reed"
        elif fill < LOFTY_WARP:
            yield "lofty: as a warp it rubs and sheds, set it more openly"
    if t.looms.bed.side == "warp":
        even = "" if gives else ": wind it at one tension, slack ends stay slack"
        limp = kind.blend.main in LIMP
        springs = "gives, and does not spring back" if limp else "gives, and forgives"
        yield f"it {springs if gives else 'does not give'}{even}"
        return
    if max(fill / side.other.fill, side.other.fill / fill) > LOFT_APART:
        lofty = fill < side.other.fill
        yield f"much {'loftier' if lofty else 'leaner'} than the warp: it {_filling(lofty)}"
    if gives != side.other.blend.elastic:
        one, two = ("it gives", "does not") if gives else ("it does not give", "does")
        yield f"{one} and the warp {two}: watch the edges"
    elif stands != MIND:
        yield "both give" if gives else "neither gives"


def _filling(lofty: bool) -> str:
    return "fills and hides it" if lofty else "lies thin between its ends"


def _warp(t: Table, row: int, kind: Kind) -> Iterator[str]:
    """What it is as a warp; what stands against it first."""
    tug, plies = int(t.words.tug[row]), int(t.words.plies[row])
    if tug == DRIFTS:
        yield "it drifted apart when tugged: not for a warp"
    elif tug == HOLDS:
        yield "it held when tugged"
    elif not kind.mill:
        yield "not tugged yet: pull a length sharply, then farspun skein measure … --tug holds"
    if plies == 1:
        yield (
            "singles: they fray at the heddles, size them"
            if tug == HOLDS or kind.mill
            else ("singles: they fray and part at the heddles")
        )
    elif plies:
        yield f"{plies}-ply"
    else:
        yield "plies not noted"
    if kind.mill:
        yield "mill-spun"
    elif kind.draw == "woollen":
        yield "woollen draw: soft, and weaker than worsted"
    else:
        yield f"{kind.draw} draw"
    if kind.blend.main in SHEDS:
        yield SHED_WORDS[kind.blend.main]


def _shrinkage(apart: float, side: Side) -> str:
    wash = {"none": "unwashed", "machine": "washed by machine"}.get(
        side.q.plan.wash, f"in a {side.q.plan.wash} wash"
    )
    points = round(100 * abs(apart), 1)
    if points < 0.05:
        return f"shrinks as {side.other_name} does {wash}"
    more = "more" if apart > 0 else "less"
    ends = " point" if points == 1 else " points"
    risk = ": it may pucker" if points > 3 else ""
    return f"shrinks {points:g}{ends} {more} than {side.other_name} {wash}{risk}"


def _dye(t: Table, row: int, side: Side) -> str:
    said = FASTNESS[int(t.words.dye[row])]
    pale = f", and {side.other_name} is pale" if side.other.pale else ""
    if said == "bleeds":
        return f"its colour note says that it bleeds: {ALONE}{pale}"
    if said == "deep":
        return f"deep reds, blues and blacks may bleed: {ALONE}{pale}"
    if said == "dyed" and t.words.unwashed[row]:
        return f"dyed, and counted unwashed: {ALONE}{pale}"
    return {
        "not noted": "no colour is noted",
        "fast": "its colour note says that it is fast",
        "undyed": "undyed",
    }.get(said, "nothing in its colour note speaks of bleeding")


def _left(t: Table, row: int) -> str:
    have, need = float(t.c.have[row]), float(t.found.need[row])
    if have != have or need != need:
        return "not known"
    if have < need:
        return f"nothing; about {say_length(need - have)} too little"
    return f"about {say_length(have - need)} ({say_percent(round((have - need) / have, 2))})"
