"""Odds of a written case: a JSON document, no stash."""

import json
from dataclasses import dataclass, replace
from typing import Annotated, Literal

import numpy as np
from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, ValidationError

from farspun.craft import habits
from farspun.craft.case import Case, Size, Skein, Spreads, Yarn
from farspun.craft.cover import compact_diameter_mm
from farspun.craft.fibres import blend
from farspun.craft.lengths import off_loom
from farspun.craft.planning import FIRST_SIZE_PROMISE, part_promise, settled
from farspun.craft.reach import Need, Reach, reach
from farspun.craft.shape import Side, crimping
from farspun.craft.spread import MOST_LOG_SD, Kind, Spread
from farspun.craft.weave import Purpose, weave
from farspun.errors import ImpossibleValue, UnreadableValue
from farspun.services.answers import CauseShare, NeedAnswer, OddsAnswer, Three

KINDS: dict[str, Kind] = {
    "take_up": "loss",
    "draw_in": "loss",
    "weft_crimp": "addition",
    "shrink_length": "loss",
    "shrink_width": "loss",
    "beat": "ratio",
    "waste_cm": "length",
    "joins": "addition",
    "cutting": "ratio",
}
SHARED = "the one cause all skeins of the case share"
MOST_COUNTED = 1_000_000_000  # judgement: as of anything counted
MOST_CM = 1e10  # 100 000 km, as of any length
MOST_SKEINS = 200  # of a case; judgement: no cloth is woven of more, and each takes its time
SHARES_OFF = 0.01  # of the whole; judgement: three thirds written as 0.33 each
Middle = Annotated[list[float], Field(min_length=2, max_length=2)]
Whole = Annotated[  # 209.0 is the whole number 209, as JSON has but one kind of number
    int, BeforeValidator(lambda x: int(x) if isinstance(x, float) and x.is_integer() else x)
]
HINT = "See docs/reach.md."
WORDS = {  # of what is wrong with a key: "it cannot be …: …"
    "missing": ("left out", "there is no usual value for it"),
    "extra_forbidden": ("there", "no such key is known"),
    "model_type": ("that", "an object with keys is wanted"),
}


class _Strict(BaseModel):
    model_config = ConfigDict(extra="forbid", allow_inf_nan=False, strict=True)


class _SizeDocument(_Strict):
    width_cm: float = Field(ge=0.1, le=10_000)
    length_cm: float = Field(ge=0.1, le=1_000_000)
    pieces: Whole = Field(default=1, ge=1, le=10_000)
    give: float = Field(default=habits.GIVE, ge=0, lt=1)
    hem_cm: float = Field(default=0, ge=0, le=MOST_CM)
    side_hem_cm: float = Field(default=0, ge=0, le=MOST_CM)
    fringe_cm: float = Field(default=0, ge=0, le=MOST_CM)
    gap_cm: float = Field(default=0, ge=0, le=MOST_CM)
    sample_cm: float = Field(default=0, ge=0, le=MOST_CM)
    header_cm: float = Field(default=0, ge=0, le=MOST_CM)
    floating_selvedges: Whole = Field(default=0, ge=0, le=MOST_COUNTED)
    size_promise: float | None = Field(default=None, gt=0.5, le=0.999)
    fibre: str = habits.NOT_SAID_FIBRE
    wash: Literal["gentle", "hot", "fulled", "machine", "none"] = habits.NOT_SAID_WASH
    loom: Literal["rigid-heddle", "table", "floor", "frame"] = habits.NOT_SAID_LOOM


class _SkeinDocument(_Strict):
    median_m: float = Field(ge=0.001, le=1e8)
    own_sd_ln: float = Field(ge=0, le=5)
    shared_sd_ln: float = Field(default=0, ge=0, le=5)


class _YarnDocument(_Strict):
    yarn: str = ""
    skeins: list[_SkeinDocument] = Field(min_length=1)
    share: float = Field(default=1, gt=0, le=1)
    tex: float | None = Field(default=None, ge=1e-3, le=1e6)
    wraps_per_cm: float | None = Field(default=None, ge=0.1, le=80)


class _CaseDocument(_Strict):
    size: _SizeDocument
    ends_per_cm: float = Field(ge=0.001, le=1000)
    picks_per_cm: float = Field(ge=0.001, le=1000)
    ends: Whole | None = Field(default=None, ge=1, le=MOST_COUNTED)
    warp_cut_cm: float | None = Field(default=None, ge=0.1, le=MOST_CM)
    cut: bool = False
    promise: float = Field(default=habits.PROMISE, gt=0.5, le=0.999)
    weave: str = habits.NOT_SAID_WEAVE
    purpose: Purpose = "everyday"
    spreads: dict[str, Middle] = Field(default_factory=dict)
    warp: list[_YarnDocument] = Field(default_factory=list)
    weft: list[_YarnDocument] = Field(default_factory=list)


@dataclass(frozen=True, slots=True)
class CaseAnswer:
    """The odds of a written case, as JSON says them."""

    odds: OddsAnswer
    verdict: str
    warp: list[NeedAnswer]
    weft: list[NeedAnswer]
    ends: int
    warp_cut_cm: float
    drivers: list[CauseShare]


def odds_of_case(text: str) -> CaseAnswer:
    """Odds, shortfall and causes of doubt of the case written in `text`.

    `fringe_cm` is as cut on the loom. Raises UnreadableValue where it is not JSON, ImpossibleValue
    where a key is unknown or its value cannot be.
    """
    document = _read(text)
    spreads = _spreads(document)
    case = _case(document, spreads)
    return _answer(case, reach(case))


def _read(text: str) -> _CaseDocument:
    try:
        written = json.loads(text)
    except (ValueError, RecursionError) as error:
        why = f"it is not JSON ({error})" if text.strip() else "it is empty"
        raise UnreadableValue("the case", text[:40].strip(), why, HINT) from None
    try:
        document = _CaseDocument.model_validate(written)
    except ValidationError as error:
        first = error.errors(include_url=False)[0]
        key = ".".join(str(part) for part in first["loc"])
        where = f"“{key}”" if key else "the case"
        value = json.dumps(first["input"], ensure_ascii=False)[:60]
        said, why = WORDS.get(first["type"], (value, first["msg"].lower()))
        raise ImpossibleValue(where, said, why, HINT) from None
    _check_yarns(document)
    return document


def _check_yarns(document: _CaseDocument) -> None:
    if not document.warp and not document.weft:
        raise ImpossibleValue("the case", "without yarn", "a warp, a weft or both", HINT)
    skeins = sum(len(one.skeins) for one in (*document.warp, *document.weft))
    if skeins > MOST_SKEINS:
        raise ImpossibleValue("the case", f"of {skeins} skeins", f"at most {MOST_SKEINS}", HINT)
    for side, yarns in (("warp", document.warp), ("weft", document.weft)):
        total = sum(one.share for one in yarns)
        if yarns and not abs(total - 1) <= SHARES_OFF + 1e-9:
            raise ImpossibleValue(f"the shares of the {side}", f"{total:g} together", "1", HINT)


def _spreads(document: _CaseDocument) -> Spreads:
    """As written; what is left out is habit."""
    size = document.size
    for name, (mean, sd) in document.spreads.items():
        _check_spread(name, mean, sd)
    written = {
        name: Spread(mean, sd, KINDS[name], "as written", by_hand=True)
        for name, (mean, sd) in document.spreads.items()
    }
    fibre = blend(size.fibre)
    habit = {
        "shrink_length": habits.shrink_length_habit(fibre, False, size.wash),
        "shrink_width": habits.shrink_width_habit(fibre, False, size.wash),
        "beat": habits.beat_habit(counted=False),
        "waste_cm": habits.waste_habit(size.loom, habits.NOT_SAID_TIE),
        "joins": habits.joins_habit(),
        "cutting": habits.cutting_habit(),
    }
    together = habit | written
    if "draw_in" not in together:
        lost = together["shrink_width"].mean
        rested_cm = off_loom(size.width_cm, size.side_hem_cm, lost)
        together["draw_in"] = habits.draw_in_habit(float(rested_cm))
    take_up, weft_crimp = crimping(
        weave(document.weave),
        document.purpose,
        (document.ends_per_cm, document.picks_per_cm),
        _sides(document),
        together["draw_in"].mean,
    )
    return Spreads(**({"take_up": take_up, "weft_crimp": weft_crimp} | together))


def _sides(document: _CaseDocument) -> tuple[Side, Side] | None:
    """Warp and weft in the mean; None where one is not asked or not told."""
    warp, weft = (_side(document, yarns) for yarns in (document.warp, document.weft))
    return (warp, weft) if warp and weft else None


def _side(document: _CaseDocument, yarns: list[_YarnDocument]) -> Side | None:
    """The yarns of a side in the mean; None where one is without its grist or its wraps."""
    fibre = blend(document.size.fibre)
    known = [(one.share, one.tex, one.wraps_per_cm) for one in yarns]
    if not known or any(tex is None or wraps is None for _, tex, wraps in known):
        return None
    compact = sum(share * compact_diameter_mm(tex, fibre) for share, tex, _ in known)
    return Side(float(compact), 1 / sum(share / (wraps or 1.0) for share, _, wraps in known))


def _check_spread(name: str, mean: float, sd: float) -> None:
    if name not in KINDS:
        raise ImpossibleValue(f"“spreads.{name}”", "there", f"known are {', '.join(KINDS)}")
    kind = KINDS[name]
    low = {"loss": -1.0, "addition": -1.0, "ratio": 0.0, "length": 0.0}[kind]
    fits = mean < 1 if kind == "loss" else mean < 1e6
    above = mean >= low if kind == "length" else mean > low
    if not (fits and above and 0 <= sd and Spread(mean, sd, kind).log_sd <= MOST_LOG_SD):
        allowed = "a middle, and an sd from 0 that still says something"
        raise ImpossibleValue(f"“spreads.{name}”", f"[{mean:g}, {sd:g}]", allowed)


def _case(document: _CaseDocument, spreads: Spreads) -> Case:
    asked = document.size
    size = Size(**{name: getattr(asked, name) for name in Size.__slots__ if hasattr(asked, name)})
    parts = len(document.warp) + len(document.weft) + 2
    level = (
        part_promise(document.promise, parts)
        if document.cut and asked.size_promise is None
        else part_promise(asked.size_promise or FIRST_SIZE_PROMISE, 2)
    )
    if document.cut and "give" not in asked.model_fields_set:
        size = replace(size, give=habits.CUT_GIVE)
    plan = settled(size, spreads, document.ends_per_cm, level)
    ends = document.ends or max(1, plan.ends)
    return Case(
        size=size,
        ends_per_cm=document.ends_per_cm,
        picks_per_cm=document.picks_per_cm,
        ends=ends,
        warp_cut_cm=document.warp_cut_cm or plan.warp_cut_cm,
        spreads=spreads,
        warp=tuple(
            _yarn("warp", at, one, ends=_ends(document.warp, at, ends))
            for at, one in enumerate(document.warp)
        ),
        weft=tuple(_yarn("weft", at, one) for at, one in enumerate(document.weft)),
        promise=document.promise,
        cut=document.cut,
        effects=(SHARED,),
        effect_cov=np.eye(1),
    )


def _ends(yarns: list[_YarnDocument], at: int, ends: int) -> int:
    """Whole ends of each warp yarn by its share, adding up exactly; none gets none."""
    share, before = yarns[at].share, sum(one.share for one in yarns[:at])
    own = round(ends * (before + share)) - round(ends * before)
    if not own > 0:
        allowed = f"each yarn has an end at least, and the warp has {ends} in all"
        raise ImpossibleValue("a share of the warp", f"{share:g}", allowed, HINT)
    return own


def _yarn(side: str, at: int, written: _YarnDocument, ends: int | None = None) -> Yarn:
    """Skeins are named by their rank, so that the order they are written in does not matter."""
    ranked = sorted(written.skeins, key=lambda one: (one.median_m, one.own_sd_ln, one.shared_sd_ln))
    skeins = tuple(
        Skein(
            name=f"{side} {at}, {rank}",
            median_m=one.median_m,
            own_sd_ln=one.own_sd_ln,
            loads={SHARED: one.shared_sd_ln} if one.shared_sd_ln else {},
        )
        for rank, one in enumerate(ranked)
    )
    return Yarn(written.yarn or f"{side} {at + 1}", skeins, written.share, ends)


def _answer(case: Case, answer: Reach) -> CaseAnswer:
    odds = answer.odds
    return CaseAnswer(
        odds=OddsAnswer(odds.yarn, odds.warp, odds.weft, odds.size, odds.all),
        verdict=answer.verdict,
        warp=[_need(need) for need in answer.warp],
        weft=[_need(need) for need in answer.weft],
        ends=case.ends,
        warp_cut_cm=case.warp_cut_cm,
        drivers=[CauseShare(driver.cause, driver.share) for driver in answer.drivers],
    )


def _need(need: Need) -> NeedAnswer:
    asked, had = need.need_m, need.have_m
    return NeedAnswer(
        skeins=[],
        need_m=Three(asked.p05, asked.p50, asked.p95),
        have_m=Three(had.p05, had.p50, had.p95),
        odds=need.odds,
        short_m=need.short_m,
        short_g=None,
    )
