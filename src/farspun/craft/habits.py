"""What is taken for granted until a washed sample or her own records say better.

Every figure is common practice without a source, or a judgement, and is meant to be replaced:
each Spread carries in `origin` the words that say so. Lengths are cm, losses fractions of the
larger thing. The whole table, for people, is docs/amounts.md.
"""

import math
from collections.abc import Collection, Mapping
from typing import Literal

from farspun.craft.fibres import Blend, Family
from farspun.craft.lengths import reed_width
from farspun.craft.limits import above_zero
from farspun.craft.spread import Spread, crimp_of
from farspun.errors import ImpossibleValue

Wash = Literal["gentle", "hot", "fulled", "machine", "none"]
LoomKind = Literal["rigid-heddle", "table", "floor", "frame"]
Tie = Literal["knots", "lashed"]

# --- said nothing: common practice, no source ------------------------------------------------
NOT_SAID_FIBRE = "wool"
NOT_SAID_DRAW = "semi"
NOT_SAID_WEAVE = "plain"
NOT_SAID_PURPOSE = "everyday"
NOT_SAID_WASH: Wash = "gentle"
NOT_SAID_LOOM: LoomKind = "rigid-heddle"
NOT_SAID_TIE: Tie = "knots"

# name: value                    unit       source
PROMISE = 0.95  # chance                    judgement: wrong once in twenty cloths
GIVE = 0.05  # fraction each way            judgement: a shawl this much smaller still is one
CUT_GIVE = 0.0  # fraction each way         exact by meaning: pieces to be cut must fit
DRAW_IN_EDGES_CM = 0.8  # cm                common practice, no source: both selvedges together
DRAW_IN_OF_REED = 0.045  # of the reed width  common practice, no source
DRAW_IN_SD = 0.025  # fraction              common practice, no source

# (mean, sd) of a loss by farspun.craft.weave.practice_family; common practice, no source
TAKE_UP: dict[str, tuple[float, float]] = {
    "plain": (0.09, 0.03),
    "twill or basket": (0.06, 0.025),
    "weft-faced": (0.05, 0.03),
    "warp-faced": (0.18, 0.06),
}
LET_OFF_WOOL = (0.04, 0.025)
LET_OFF_OTHERS = (0.015, 0.01)

# mean, sd in cm; common practice, no source
WASTE_CM: dict[str, tuple[float, float]] = {
    "rigid-heddle": (50.0, 8.0),
    "table": (65.0, 15.0),
    "floor": (75.0, 12.0),
    "frame": (15.0, 5.0),
}
SAVED_CM = {"knots": (0.0, 0.0), "lashed": (12.0, 4.0)}  # by lashing on in front
TIED = {"knots": "tied with knots", "lashed": "lashed on"}

# (mean, sd) of a ratio or an addition
BEAT_FIRST = (1.0, 0.08)  # judgement: picks achieved against picks meant, a first cloth
BEAT_COUNTED = (1.0, 0.04)  # judgement: once picks were counted on a sample
JOINS = (0.03, 0.02)  # judgement: edges, waves of the pick and overlapped joins
CUTTING = (1.0, 0.01)  # judgement: how exactly warp lengths are wound and cut

# Shrinkage in the wash, (length, width) each (mean, sd); common practice, no source.
# Wool felts, so it matters how it is washed; "machine" is as fulled, less sure.
Shrinkage = tuple[tuple[float, float], tuple[float, float]]
WOOL_SHRINKAGE: dict[str, Shrinkage] = {
    "gentle": ((0.10, 0.05), (0.10, 0.05)),
    "hot": ((0.12, 0.05), (0.12, 0.05)),
    "fulled": ((0.17, 0.06), (0.25, 0.10)),
    "machine": ((0.17, 0.09), (0.25, 0.09)),
}
# Nothing else felts: a gentle first wash lets it relax by this much, and that a hot, fulling or
# machine wash does no more is a judgement, as is that after a machine's tumbling it is less sure.
FIRM_SHRINKAGE: dict[str, Shrinkage] = {
    "superwash wool": ((0.05, 0.03), (0.05, 0.03)),
    "cotton": ((0.09, 0.04), (0.10, 0.05)),
    "linen": ((0.04, 0.025), (0.04, 0.025)),
    "silk": ((0.04, 0.02), (0.04, 0.02)),
    "man-made": ((0.02, 0.02), (0.02, 0.02)),
}
MACHINE_DOUBT = 1.5  # times the sd    judgement: as wool's length, 6 % by hand and 9 % by machine
UNWASHED = (0.0, 0.01)  # mean, sd     judgement: damp air and handling
SHRINKS_AS = {  # fibre: row of the tables above; judgement
    "wool": "wool",
    "alpaca": "wool",
    "mohair": "wool",
    "cashmere": "wool",
    "camel": "wool",
    "yak": "wool",
    "llama": "wool",
    "angora": "wool",
    "silk": "silk",
    "cotton": "cotton",
    "viscose": "cotton",
    "lyocell": "cotton",
    "linen": "linen",
    "hemp": "linen",
    "ramie": "linen",
}
WASHES = (*WOOL_SHRINKAGE, "none")


def draw_in_habit(off_loom_width_cm: float) -> Spread:
    """Draw-in for a rested width of `off_loom_width_cm`: 0.8 cm and 4.5 % of the reed width.

    Wr = (Wo + 0.8 cm)/(1 - 0.045) and g = 1 - Wo/Wr, a loss of the reed width, ± 2.5 points; fixed
    once the ends are. Raises ImpossibleValue for a width not above 0 cm. Source: common practice,
    no source.

    >>> round(draw_in_habit(40.0).mean, 4), round(draw_in_habit(10.0).mean, 4)
    (0.0637, 0.1157)
    """
    above_zero("width off the loom", off_loom_width_cm, "cm")
    reed_cm = reed_width(off_loom_width_cm + DRAW_IN_EDGES_CM, DRAW_IN_OF_REED)
    return Spread(
        1 - off_loom_width_cm / reed_cm, DRAW_IN_SD, "loss", "common practice for this width"
    )


def take_up_habit(practice_family: str) -> Spread:
    """Warp take-up of a weave, by its family of practice: a loss of the slack yarn.

    The family is `farspun.craft.weave.practice_family`; raises ImpossibleValue for another.
    Source: common practice, no source.

    >>> take_up_habit("plain").mean
    0.09
    """
    mean, sd = _row("weave family", practice_family, TAKE_UP)
    return Spread(mean, sd, "loss", f"common practice for {practice_family} cloth")


def weft_crimp_habit(practice_family: str) -> Spread:
    """Crimp of the weft, c = t/(1 - t) from the same level as the warp's take-up t: an addition.

    Raises ImpossibleValue for another family. Source: common practice, no source.

    >>> crimp = weft_crimp_habit("plain")
    >>> round(crimp.mean, 6), round(crimp.sd, 6), round(crimp.log_sd, 6)
    (0.098901, 0.036228, 0.032967)
    """
    return crimp_of(take_up_habit(practice_family))


def weft_take_up_habit(draw_in: Spread, crimp: Spread) -> Spread:
    """A pick's yarn over the reed width, where a single figure is shown: an addition.

    Middle (1 - g)(1 + c)(1 + j) - 1; about +5 ± 4 % for plain cloth. No pick is shorter than the
    reed is wide, so ln((1 - g)(1 + c)) counts only above 0, for the middle and for the spread.
    Source: common practice, no source; spread by exact moments of that cut-off normal.

    >>> narrow = weft_take_up_habit(draw_in_habit(25.0), weft_crimp_habit("plain"))
    >>> round(narrow.mean, 3), round(narrow.sd, 3)
    (0.047, 0.038)
    """
    joins = joins_habit()
    bent = draw_in.factor * crimp.factor
    bent_log_sd = _sd_above_zero(math.log(bent), math.hypot(draw_in.log_sd, crimp.log_sd))
    over = max(1.0, bent) * joins.factor
    sd = over * math.hypot(bent_log_sd, joins.log_sd)
    return Spread(over - 1, sd, "addition", crimp.origin)


def let_off_habit(family: Family) -> Spread:
    """What tight cloth gives back off the loom, by the family of the warp's fibre: a loss.

    Source: common practice, no source.

    >>> let_off_habit("wool").mean, let_off_habit("plant").mean
    (0.04, 0.015)
    """
    mean, sd = LET_OFF_WOOL if family == "wool" else LET_OFF_OTHERS
    of = "a wool warp" if family == "wool" else "a warp that gives little"
    return Spread(mean, sd, "loss", f"common practice for {of}")


def shrink_length_habit(blend: Blend, superwash: bool, wash: str) -> Spread:
    """Loss of length in the wash, by the warp's fibre: a loss of the rested length.

    Blends by share of the mass, middle and spread alike (their fibres shrink together);
    `superwash` speaks of the wool in it. Raises ImpossibleValue for another wash. Source: common
    practice, no source.

    >>> from farspun.craft.fibres import blend
    >>> shrink_length_habit(blend("wool"), False, "fulled").mean
    0.17
    """
    return _shrink_habit(blend, superwash, wash, along=0)


def shrink_width_habit(blend: Blend, superwash: bool, wash: str) -> Spread:
    """Loss of width in the wash, by the weft's fibre; else as `shrink_length_habit`.

    >>> from farspun.craft.fibres import blend
    >>> shrink_width_habit(blend("wool 50, silk 50"), False, "gentle").mean
    0.07
    """
    return _shrink_habit(blend, superwash, wash, along=1)


def waste_habit(loom_kind: str, tie: str) -> Spread:
    """Loom waste, cm: what is tied on in front and what cannot be woven at the back.

    Lashing on saves some, and how much is doubtful too; a frame has no bar to lash to. Raises
    NotFound for another loom or tie. Source: common practice, no source.

    >>> waste_habit("rigid-heddle", "knots").mean, waste_habit("rigid-heddle", "lashed").mean
    (50.0, 38.0)
    """
    mean, sd = _row("kind of loom", loom_kind, WASTE_CM)
    saved, saved_sd = _row("tie", tie, SAVED_CM)
    if loom_kind == "frame":
        return Spread(mean, sd, "length", "common practice for a frame")
    of = f"a {loom_kind.replace('-', ' ')} loom, warp {TIED[tie]}"
    return Spread(mean - saved, math.hypot(sd, saved_sd), "length", f"common practice for {of}")


def beat_habit(counted: bool) -> Spread:
    """Picks achieved against picks meant, a ratio; surer once she `counted` them on a sample.

    Source: judgement.

    >>> beat_habit(False).sd, beat_habit(True).sd
    (0.08, 0.04)
    """
    mean, sd = BEAT_COUNTED if counted else BEAT_FIRST
    return Spread(mean, sd, "ratio", "judgement: picks counted" if counted else "judgement")


def joins_habit() -> Spread:
    """Weft that edges, waves of the pick and overlapped joins add, an addition.

    Source: judgement.

    >>> joins_habit().factor
    1.03
    """
    return Spread(*JOINS, "addition", "judgement")


def cutting_habit() -> Spread:
    """Warp wound and cut against warp meant, a ratio.

    Source: judgement.

    >>> cutting_habit().log_sd
    0.01
    """
    return Spread(*CUTTING, "ratio", "judgement")


def _shrink_habit(blend: Blend, superwash: bool, wash: str, along: int) -> Spread:
    _check_known("wash", wash, WASHES)
    if wash == "none":
        return Spread(*UNWASHED, "loss", "judgement for cloth that is not washed")
    rows = [(share, *_shrinkage(name, superwash, wash)[along]) for name, share in blend.parts]
    mean = sum(share * middle for share, middle, _ in rows)
    sd = sum(share * spread for share, _, spread in rows)
    wool = "superwash " if superwash and any(_felts(name) for name, _ in blend.parts) else ""
    firm = superwash or not all(_felts(name) for name, _ in blend.parts)
    known = "judgement" if firm and wash != "gentle" else "common practice"
    return Spread(mean, sd, "loss", f"{known} for {wool}{blend.said}, {wash} wash")


def _felts(fibre: str) -> bool:
    return SHRINKS_AS.get(fibre) == "wool"


def _shrinkage(name: str, superwash: bool, wash: str) -> Shrinkage:
    if _felts(name) and not superwash:
        return WOOL_SHRINKAGE[wash]
    kind = "superwash wool" if _felts(name) else SHRINKS_AS.get(name, "man-made")
    length, width = FIRM_SHRINKAGE[kind]
    doubt = MACHINE_DOUBT if wash == "machine" else 1.0
    return (length[0], length[1] * doubt), (width[0], width[1] * doubt)


def _sd_above_zero(mean: float, sd: float) -> float:
    """Standard deviation of max(0, X), X normal.

    >>> round(_sd_above_zero(10.0, 1.0), 6), round(_sd_above_zero(0.0, 1.0), 4)
    (1.0, 0.5838)
    """
    if sd == 0:
        return 0.0
    z = mean / sd
    below = math.erfc(z / math.sqrt(2)) / 2
    density = sd * math.exp(-(z**2) / 2) / math.sqrt(2 * math.pi)
    first = mean * (1 - below) + density
    second = (mean**2 + sd**2) * (1 - below) + mean * density
    return math.sqrt(max(0.0, second - first**2))  # rounding only: a variance is never below 0


def _row(what: str, name: str, table: Mapping[str, tuple[float, float]]) -> tuple[float, float]:
    _check_known(what, name, table)
    return table[name]


def _check_known(what: str, name: str, known: Collection[str]) -> None:
    if name not in known:
        raise ImpossibleValue(what, f"“{name}”", f"one of {', '.join(known)}")
