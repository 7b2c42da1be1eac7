"""Counts and setts of a yarn that need not be in any stash."""

import math
from collections.abc import Sequence
from dataclasses import asdict, dataclass

from farspun.craft.fibres import Blend, Draw, blend
from farspun.craft.reed import Sleying, sleyings
from farspun.craft.sett import WarpYarn, suggested_sett
from farspun.craft.weave import Weave
from farspun.craft.weave import weave as weave_named
from farspun.craft.yarn import Wrap, wrap_packing, wraps_per_cm_from_tex
from farspun.errors import WrongUse
from farspun.services.sett_notes import (
    closeness_notes,
    edge_notes,
    habit_notes,
    heddle_notes,
    off_said,
    reed_notes,
    yarn_notes,
)
from farspun.units import all_counts


@dataclass(frozen=True, slots=True)
class Grist:
    """One linear density in every system."""

    tex: float
    dtex: float
    denier: float
    nm: float
    ne_cotton: float
    worsted: float
    woollen_run: float
    linen_lea: float
    m_per_100g: float
    yd_per_lb: float


def grist(
    *, mass_g: float | None = None, length_m: float | None = None, tex: float | None = None
) -> Grist:
    """A yarn's count in every system, from mass and length or from a count.

    Raises: WrongUse unless either both of `mass_g` and `length_m` or only `tex` is given.

    >>> round(grist(mass_g=100.0, length_m=400.0).tex, 9)
    250.0
    """
    weighed = (mass_g is not None, length_m is not None)
    if tex is None and mass_g is not None and length_m is not None:
        return Grist(**all_counts(1000 * mass_g / length_m))
    if tex is not None and not any(weighed):
        return Grist(**all_counts(tex))
    raise WrongUse(
        "A grist is reckoned from a mass and a length, or from a count.",
        "Give --mass and --length together, or --count alone.",
    )


@dataclass(frozen=True, slots=True)
class WrapsToExpect:
    """Snug wraps per cm of a yarn, and the span two in three fall in."""

    low_per_cm: float
    middle_per_cm: float
    high_per_cm: float


def wraps_to_expect(tex: float, fibre: Blend) -> WrapsToExpect:
    """What a handspun yarn of that count should wrap to, touching all along.

    >>> round(2.54 * wraps_to_expect(250.0, blend("wool")).middle_per_cm, 1)  # per inch
    21.2
    """
    packing = wrap_packing(fibre.family, "snug", mill=False)
    middle = wraps_per_cm_from_tex(tex, fibre.density_g_cm3, packing.median)
    one_spread = math.exp(packing.log_sd / 2)  # a diameter goes by the root of the packing
    return WrapsToExpect(middle / one_spread, middle, middle * one_spread)


@dataclass(frozen=True, slots=True)
class ReedOwned:
    """A reed or rigid heddle as said, and its dents (holes and slots) per 10 cm."""

    said: str
    dents_per_10cm: float


@dataclass(frozen=True, slots=True)
class WeaveFacts:
    """Threads of the repeat, and face changes of a pick over it."""

    name: str
    ends: int
    picks: int
    intersections: float


@dataclass(frozen=True, slots=True)
class ReedSleying:
    """The best a reed can do for the sett."""

    reed: str
    dents_per_10cm: float
    per_dent: list[int]
    ends_per_cm: float
    off_fraction: float

    def said(self, rigid_heddle: bool = False) -> str:
        """The sleying and how far it is off: "1-1-2, 3 % closer than suggested"."""
        sleying = Sleying(tuple(self.per_dent), self.ends_per_cm, self.off_fraction)
        way = "one end in each hole and slot" if rigid_heddle else sleying.said
        return f"{way}, {off_said(self.off_fraction)}"


@dataclass(frozen=True, slots=True)
class Sett:
    """The sett to try, its span, what it comes from, and what each reed makes of it."""

    weave: WeaveFacts
    suggested_ends_per_cm: float
    low_ends_per_cm: float
    high_ends_per_cm: float
    upper_bound_ends_per_cm: float | None
    from_wraps_ends_per_cm: float | None
    from_grist_ends_per_cm: float | None
    picks_per_cm: float
    sleyings: list[ReedSleying]
    notes: list[str]


def sett(
    *,
    wraps_per_cm: Sequence[float] = (),
    wrap: Wrap | None = None,
    tex: float | None = None,
    mill: bool = False,
    fibre: Blend | None = None,
    draw: Draw | None = None,
    weave: Weave | None = None,
    purpose: str | None = None,
    fulled: bool = False,
    reeds: Sequence[ReedOwned] = (),
    rigid_heddle: bool = False,
) -> Sett:
    """The sett for a yarn in a weave, the picks, and the best sleying in each of the reeds.

    What is None was not said, and is taken from habit; the notes say so.
    Raises: WrongUse without wraps and count; ImpossibleValue.

    >>> sett(wraps_per_cm=[6.0], reeds=[ReedOwned("30/10 cm", 30.0)]).sleyings[0].per_dent
    [1]
    """
    yarn = WarpYarn(fibre or blend("wool"), tuple(wraps_per_cm), wrap, tex, mill, draw)
    woven = weave or weave_named("plain")
    answer = suggested_sett(yarn, woven, purpose or "everyday", fulled)
    ways = [
        sleyings(answer.suggested_ends_per_cm, reed.dents_per_10cm, rigid_heddle) for reed in reeds
    ]
    return Sett(
        weave=WeaveFacts(woven.name, woven.ends, woven.picks, woven.intersections),
        **asdict(answer),
        sleyings=[
            ReedSleying(reed.said, reed.dents_per_10cm, *_figures(found[0]))
            for reed, found in zip(reeds, ways, strict=True)
        ],
        notes=[
            *closeness_notes(answer, mill, purpose),
            *yarn_notes(answer, yarn),
            *edge_notes(woven),
            *(
                f"{reed.said}: {note}"
                for reed, found in zip(reeds, ways, strict=True)
                for note in reed_notes(found, reed.dents_per_10cm, answer, yarn, rigid_heddle)
            ),
            *heddle_notes(rigid_heddle),
            *habit_notes(yarn, said=(fibre, weave, purpose)),
        ],
    )


def _figures(best: Sleying) -> tuple[list[int], float, float]:
    return list(best.per_dent), best.ends_per_cm, best.off_fraction
