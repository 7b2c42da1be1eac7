"""How close to set the ends and the picks.

Three voices: the tightest that can be woven (Ashenhurst), the yarn wrapped round a ruler, and the
yarn's grist. The bound is a limit; the other two are joined into the sett to try, with the span in
which it may lie. Everything is per cm but Ashenhurst's and the grist rule's own constants, which
are kept in the inches and pounds they are known in.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, TypeVar

import numpy as np
from numpy.typing import NDArray

from farspun.craft.fibres import FIBRES, Blend, Draw, Family
from farspun.craft.interlacement import Weave
from farspun.craft.limits import above_zero
from farspun.craft.weave import Purpose, checked_purpose
from farspun.craft.weave import weave as weave_of
from farspun.craft.yarn import MM_PER_CM, WOOL_PACKING, Wrap, blend_diameters_per_inch
from farspun.errors import ImpossibleValue, WrongUse
from farspun.units import CM_PER_INCH, yd_per_lb_from_tex

Number = TypeVar("Number", float, NDArray[np.float64])

# All constants of this file: common practice, no source, unless the line says otherwise.
# name: value            unit                   what
WRAPS_SPREAD = 0.12  # log sd                   of the sett that wraps give
GRIST_SPREAD = 0.15  # log sd                   of the sett that grist gives
MILL_GRIST_WEIGHT = (
    4.0  # times                mill yarn is even: its grist is known, its wraps vary
)
GRIST_RULE_WOOL: dict[Draw, float] = {  # ends/in per √(yd/lb) in plain weave, handspun
    "woollen": 0.24,
    "semi": 0.26,
    "worsted": 0.30,
}
MILL_WORSTED_RULE = 0.32  # ends/in per √(yd/lb) other mill-drawn wool in the ratio of handspun
PLANT_RULE = 0.345  # ends/in per √(yd/lb)      cotton and linen; silk and man-made: judgement
THICK_YARN_YD_PER_LB = 600.0  # yd/lb           below it yarns are loftier than the rule has it
THICK_YARN_FACTOR = 0.9  # times
PURPOSE_FACTORS: dict[Purpose, float] = {  # times the everyday value
    "drape": 0.87,
    "everyday": 1.0,
    "firm": 1.15,
    "weft-faced": 0.4,  # of the plain everyday value
    "warp-faced": 2.2,  # of the plain everyday value
}
FULLED_FACTOR = 0.85  # times                   besides the purpose
WEFT_FACED_PICKS = 2.2  # times                 weft's plain everyday value: warp-faced cloth turned
WARP_FACED_PICKS = 0.5  # times                 weft's plain everyday value: judgement
STICKY_SHARE = 0.75  # of the bound             above it handspun sheds stick


@dataclass(frozen=True, slots=True)
class SettAnswer:
    """Ends and picks per cm; None where nothing was given to reckon it from."""

    suggested_ends_per_cm: float
    low_ends_per_cm: float
    high_ends_per_cm: float
    upper_bound_ends_per_cm: float | None
    from_wraps_ends_per_cm: float | None
    from_grist_ends_per_cm: float | None
    picks_per_cm: float


@dataclass(frozen=True, slots=True)
class WarpYarn:
    """What is known of a warp yarn, or of the yarns of a mixed warp in their order."""

    fibre: Blend
    wraps_per_cm: tuple[float, ...] = ()
    wrap: Wrap | None = None
    tex: float | None = None
    mill: bool = False
    draw: Draw | None = None

    @property
    def drawn(self) -> Draw:
        """As said; not said, handspun is read as semi and mill yarn as worsted."""
        return self.draw or ("worsted" if self.mill else "semi")

    @property
    def wrapped_mm(self) -> float | None:
        """Diameter in mm as it wraps snugly, the mean of a mixed warp; None without wraps."""
        if not self.wraps_per_cm:
            return None
        return MM_PER_CM / snug_wraps(mean_wraps(self.wraps_per_cm), self.wrap, self.fibre.family)


def threads_share(weave: Weave, other_diameter: Number | float = 1.0) -> Number | float:
    """F/(F + I·ratio): the part of the width that the ends themselves take up.

    F and I are threads and face changes of a pick over a repeat; `other_diameter` is the weft's
    diameter over the warp's.
    Source: Ashenhurst 1884 through later textbooks.

    >>> threads_share(weave_of("plain")), round(threads_share(weave_of("2/2 twill")), 4)
    (0.5, 0.6667)
    """
    ratio = above_zero("weft thickness over warp thickness", other_diameter, "")
    share: Number | float = weave.ends / (weave.ends + weave.intersections * ratio)
    return share


def upper_bound(
    tex: Number, fibre: Blend, draw: Draw, weave: Weave, weft_diameter: float = 1.0
) -> Number:
    """Most ends per cm that can be woven: Ashenhurst's D·F/(F + I), the yarns pressed round.

    `weft_diameter` is the weft's over the warp's: for unequal yarns F/(F·d₁ + I·d₂).
    Source: Ashenhurst 1884 through later textbooks; K is good to ± 3 %.

    >>> from farspun.craft.fibres import blend
    >>> round(2.54 * upper_bound(250.0, blend("wool"), "woollen", weave_of("plain")), 1)  # per inch
    18.7
    """
    per_inch = blend_diameters_per_inch(tex, fibre, draw) * threads_share(weave, weft_diameter)
    bound: Number = per_inch / CM_PER_INCH
    return bound


def mean_wraps(wraps_per_cm: Sequence[float]) -> float:
    """Wraps per cm of yarns wrapped one after another in their order: their widths are averaged.

    >>> mean_wraps([4.0, 12.0])
    6.0
    """
    if not len(wraps_per_cm):
        raise ImpossibleValue("wraps", "none", "one reading or more")
    widths_cm = [1 / above_zero("wraps", wraps, "per cm") for wraps in wraps_per_cm]
    return float(len(widths_cm) / sum(widths_cm))


def snug_wraps(wraps_per_cm: Number, wrap: Wrap | None, family: Family) -> Number:
    """Wraps per cm as they would be, touching all along.

    Loose wraps of wool are × √(snug packing/loose packing). Wraps of which it is not said are
    taken as snug, as the rule of half the wraps does; other fibres hardly give, and are as they
    are.

    >>> round(snug_wraps(6.0, "loose", "wool"), 2), snug_wraps(6.0, "loose", "plant")
    (8.03, 6.0)
    """
    loose = wrap == "loose" and family == "wool"
    closer = (WOOL_PACKING["snug"].median / WOOL_PACKING["loose"].median) ** 0.5 if loose else 1.0
    wraps: Number = above_zero("wraps", wraps_per_cm, "per cm") * closer
    return wraps


def sett_from_wraps(
    wraps_per_cm: Number, weave: Weave, wrap: Wrap | None = None, family: Family = "wool"
) -> Number:
    """Ends per cm, everyday: wraps·F/(F + I), the wraps made snug first.

    Source: common practice, no source; ± 12 %.

    >>> round(sett_from_wraps(6.0, weave_of("2/2 twill")), 9)
    4.0
    """
    ends: Number = snug_wraps(wraps_per_cm, wrap, family) * threads_share(weave)
    return ends


def sett_from_grist(tex: Number, fibre: Blend, draw: Draw, mill: bool, weave: Weave) -> Number:
    """Ends per cm, everyday: c·√(yd/lb)·2F/(F + I) per inch, × 0.9 below 600 yd/lb.

    c by fibre (blends by share), draw and mill from the table above.
    Source: common practice, no source; ± 15 %.

    >>> from farspun.craft.fibres import blend
    >>> everyday = sett_from_grist(250.0, blend("wool"), "semi", False, weave_of("plain"))
    >>> round(2.54 * everyday, 1)  # per inch
    11.6
    """
    yards = yd_per_lb_from_tex(tex)
    thick = 1 - (1 - THICK_YARN_FACTOR) * (yards < THICK_YARN_YD_PER_LB)
    per_inch = grist_rule(fibre, draw, mill) * yards**0.5 * 2 * threads_share(weave)
    ends: Number = per_inch * thick / CM_PER_INCH
    return ends


def joined_setts(from_wraps: Any, from_grist: Any, mill: Any) -> Any:
    """The sett of wraps and grist together, everyday, as `suggested_sett` joins them; arrays too.

    >>> round(float(joined_setts(3.0, 3.3, mill=False)), 3)
    3.114
    """
    for_grist = GRIST_SPREAD**-2 * np.where(mill, MILL_GRIST_WEIGHT, 1.0)
    part = for_grist / (for_grist + WRAPS_SPREAD**-2)
    return from_wraps * (from_grist / from_wraps) ** part


def purpose_factor(purpose: Purpose, fulled: bool) -> float:
    """What the purpose makes of the everyday sett; of faced cloth, of the plain one."""
    return PURPOSE_FACTORS[purpose] * (FULLED_FACTOR if fulled else 1.0)


def grist_rule(fibre: Blend, draw: Draw, mill: bool) -> float:
    """c of the grist rule: ends per inch in plain weave for each √(yd/lb), blends by share.

    >>> from farspun.craft.fibres import blend
    >>> grist_rule(blend("wool"), "worsted", mill=True), grist_rule(blend("linen"), "semi", False)
    (0.32, 0.345)
    """
    spun_by = MILL_WORSTED_RULE / GRIST_RULE_WOOL["worsted"] if mill else 1.0
    wool = GRIST_RULE_WOOL[draw] * spun_by
    return sum(
        share * (wool if FIBRES[name].family == "wool" else PLANT_RULE)
        for name, share in fibre.parts
    )


@dataclass(frozen=True, slots=True)
class _Everyday:
    """Ends per cm before the purpose has its say, and how far they may be off (log sd)."""

    from_wraps: float | None
    from_grist: float | None
    middle: float
    log_sd: float


def _everyday(yarn: WarpYarn, weave: Weave) -> _Everyday:
    """Wraps and grist joined in logarithms by w = 1/spread², mill grist four times over."""
    voices: list[tuple[float, float, float]] = []
    from_wraps = from_grist = None
    if yarn.wraps_per_cm:
        wraps = mean_wraps(yarn.wraps_per_cm)
        from_wraps = sett_from_wraps(wraps, weave, yarn.wrap, yarn.fibre.family)
        voices.append((from_wraps, WRAPS_SPREAD, WRAPS_SPREAD**-2))
    if yarn.tex is not None:
        from_grist = sett_from_grist(yarn.tex, yarn.fibre, yarn.drawn, yarn.mill, weave)
        weight = GRIST_SPREAD**-2 * (MILL_GRIST_WEIGHT if yarn.mill else 1.0)
        voices.append((from_grist, GRIST_SPREAD, weight))
    if not voices:
        raise WrongUse(
            "A sett needs the yarn's thickness.",
            "Give its wraps (--wpi 15wpi), its count, or both.",
        )
    total = sum(weight for _, _, weight in voices)
    first = voices[0][0]  # measured from the first, so that a voice alone is given back exactly
    apart = sum(weight * math.log(ends / first) for ends, _, weight in voices) / total
    log_sd = math.sqrt(sum((weight * spread) ** 2 for _, spread, weight in voices)) / total
    return _Everyday(from_wraps, from_grist, first * math.exp(apart), log_sd)


def suggested_sett(
    yarn: WarpYarn,
    weave: Weave,
    purpose: str = "everyday",
    fulled: bool = False,
    weft_diameter: float = 1.0,
) -> SettAnswer:
    """The sett to try, the span in which it may lie (one spread either side), the bound, the picks.

    `weft_diameter` is the weft's thickness over the warp's. The suggestion is not held back by the
    bound: above it the answer says so. For weft- and warp-faced cloth wraps and grist speak for
    plain weave, of which the purpose takes its part.

    Raises: WrongUse without wraps and grist; ImpossibleValue.

    >>> from farspun.craft.fibres import blend
    >>> answer = suggested_sett(WarpYarn(blend("wool"), wraps_per_cm=(6.0,)), weave_of("plain"))
    >>> answer.suggested_ends_per_cm, answer.picks_per_cm, answer.upper_bound_ends_per_cm
    (3.0, 3.0, None)
    """
    purpose = checked_purpose(purpose)
    faced = purpose in ("weft-faced", "warp-faced")
    everyday = _everyday(yarn, weave_of("plain") if faced else weave)
    ends = everyday.middle * purpose_factor(purpose, fulled)
    bound = None
    if yarn.tex is not None:
        bound = upper_bound(yarn.tex, yarn.fibre, yarn.drawn, weave, weft_diameter)
    return SettAnswer(
        suggested_ends_per_cm=ends,
        low_ends_per_cm=ends * math.exp(-everyday.log_sd),
        high_ends_per_cm=ends * math.exp(everyday.log_sd),
        upper_bound_ends_per_cm=bound,
        from_wraps_ends_per_cm=everyday.from_wraps,
        from_grist_ends_per_cm=everyday.from_grist,
        picks_per_cm=picks_per_cm(ends, everyday.middle, weave, purpose, fulled, weft_diameter),
    )


def picks_per_cm(
    ends_per_cm: Number,
    plain_ends_per_cm: Number,
    weave: Weave,
    purpose: Purpose,
    fulled: bool = False,
    weft_diameter: Number | float = 1.0,
) -> Number:
    """Picks per cm, rested, to go with a sett; scalars or arrays.

    Square, and for unequal yarns as open as the ends are: n₂ = n₁(F·d₁ + I·d₂)/(F·d₂ + I·d₁).
    Faced cloth goes by the weft's own thickness: `plain_ends_per_cm`, what the warp yarn would be
    set at in everyday plain weave, over `weft_diameter`.
    Source: geometry for the correction; for faced cloth judgement.

    >>> picks_per_cm(3.0, 3.0, weave_of("plain"), "everyday")
    3.0
    >>> round(picks_per_cm(1.2, 3.0, weave_of("plain"), "weft-faced", weft_diameter=1.5), 9)
    4.4
    """
    ratio = above_zero("weft thickness over warp thickness", weft_diameter, "")
    if purpose in ("weft-faced", "warp-faced"):
        times = WEFT_FACED_PICKS if purpose == "weft-faced" else WARP_FACED_PICKS
        weft_plain = above_zero("plain sett", plain_ends_per_cm, "per cm") / ratio
        faced: Number = weft_plain * times * (FULLED_FACTOR if fulled else 1.0)
        return faced
    threads, changes = weave.ends, weave.intersections
    openness = (threads + changes * ratio) / (threads * ratio + changes)
    square: Number = above_zero("sett", ends_per_cm, "per cm") * openness
    return square
