"""Many yarns at once, each in turn as the warp or the weft of one cloth: set-up, need and odds.

Columns instead of cases, for a stash of a hundred thousand skeins; for any one of them it comes to
what the planning and the closed form say of it alone (held by a test). Formulas: docs/reach.md.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, fields
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

from farspun.craft.amounts import whole_up
from farspun.craft.closed_form import (
    Moments,
    bent_pick_moments,
    lognormal_moments,
    margin,
    weft_moments,
)
from farspun.craft.cover import compact_diameter_mm
from farspun.craft.fibres import Blend, Draw
from farspun.craft.interlacement import Weave
from farspun.craft.planning import Laid, Logs, warp_cut_cm
from farspun.craft.reed import least_awkward_setts
from farspun.craft.sett import (
    THICK_YARN_FACTOR,
    THICK_YARN_YD_PER_LB,
    grist_rule,
    joined_setts,
    picks_per_cm,
    purpose_factor,
    snug_wraps,
    threads_share,
)
from farspun.craft.shape import Side as ShapeSide
from farspun.craft.shape import practice, shape_ratios, shaped_moments
from farspun.craft.spread import Spread, crimp_of
from farspun.craft.weave import Purpose, weave
from farspun.craft.yarn import Wrap
from farspun.units import CM_PER_INCH, yd_per_lb_from_tex

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]
Side = Literal["warp", "weft"]
LONGEST_KEY = 2**62  # what a whole number of the machine holds; exact
ALIKE = 0.01  # of thickness, wraps, sett: yarns so near bend alike; judgement: far below the doubt


@dataclass(frozen=True, slots=True)
class Kind:
    """What yarns may have in common: all that is said of them in words."""

    blend: Blend
    superwash: bool
    draw: Draw
    mill: bool
    wrap: Wrap | None


@dataclass(frozen=True, slots=True)
class Candidates:
    """One row a yarn: a skein, or several like ones together.

    `have`, `have2`: mean and second moment of the metres free for the cloth; `whole`: metres there
    ever were, by which several make one yarn; `tex`, `wraps_per_cm`
    and `fill` (as wrapped snugly) medians, NaN where nothing tells them; `kind` which of `kinds`;
    `wrapped` whether its wraps were read.
    """

    kinds: Sequence[Kind]
    kind: Ints
    have: Floats
    have2: Floats
    whole: Floats
    tex: Floats
    wraps_per_cm: Floats
    fill: Floats
    wrapped: Bools

    def of_kind(self, values: Sequence[Any]) -> NDArray[Any]:
        """A value of each kind, for every row."""
        return np.asarray(values)[self.kind]

    def rows(self, at: Ints) -> "Candidates":
        """Some of them."""
        return Candidates(
            self.kinds, self.kind[at], self.have[at], self.have2[at], self.whole[at],
            self.tex[at], self.wraps_per_cm[at], self.fill[at], self.wrapped[at],
        )  # fmt: skip

    def and_these(self, more: "Candidates") -> "Candidates":
        """Both, of the same kinds."""
        names = ("kind", "have", "have2", "whole", "tex", "wraps_per_cm", "fill", "wrapped")
        both = [np.concatenate([getattr(self, name), getattr(more, name)]) for name in names]
        return Candidates(self.kinds, *both)


@dataclass(frozen=True, slots=True)
class Bed:
    """One cloth with its other side known.

    `side`: the candidates'. `sett_per_cm`: as the known warp or she has it, None where it is the
    candidate's own; `reeds` (dents per 10 cm, rigid heddle) then come in question, and setts that
    are `near_enough` are all alike. `picks_per_cm` as asked. `known_wraps_per_cm`, `known_tex`,
    `known_compact_mm` of the other side, NaN where not known.
    """

    side: Side
    weave: Weave
    purpose: Purpose
    fulled: bool
    sett_per_cm: float | None
    picks_per_cm: float | None
    faced_picks: float | None
    reeds: Sequence[tuple[float, bool]]
    near_enough: float
    known_wraps_per_cm: float
    known_tex: float
    known_compact_mm: float
    ends: int | None
    end_step: int
    floating_selvedges: int
    warp_cut_cm: float | None
    waste: Logs
    joins: Spread


@dataclass(frozen=True, slots=True)
class Asks:
    """What the cloth asks of a row, by how its yarn shrinks; columns of one length.

    `reed_width_cm` before ends are rounded up; `woven`, `woven2`: moments of the cm to weave, with
    the beat; `pieces_cm`, `extra_cm`, `unwoven_cm`: what lies on the warp; `wash`, `wash_log_sd`:
    what the length keeps; `z`: how sure the size is to be. `take_up`, `take_up_log_sd`: what is
    taken of it over what is habit; `take_up_given`: what it multiplies by, given by hand, NaN else,
    and then `take_up_log_sd` is its own. So `pick`, over the reed width, which is NaN where draw-in
    and crimp tell it. `known_ends`, (rows, known yarns): of each known warp yarn.
    """

    reed_width_cm: Floats
    woven: Floats
    woven2: Floats
    pieces_cm: Floats
    extra_cm: Floats
    unwoven_cm: Floats
    wash: Floats
    wash_log_sd: Floats
    z: Floats
    draw_in: Floats
    draw_in_log_sd: Floats
    take_up: Floats
    take_up_log_sd: Floats
    take_up_given: Floats
    pick: Floats
    pick_log_sd: Floats
    pick_given: Floats
    known_ends: Floats

    def at(self, rows: Ints) -> "Asks":
        """What each of these asks."""
        return Asks(*(getattr(self, one.name)[rows] for one in fields(self)))


@dataclass(frozen=True, slots=True)
class KnownYarn:
    """A yarn that is there already: what it has, and, of a weft, its share of the picks."""

    have: Moments
    part: float


@dataclass(frozen=True, slots=True)
class Found:
    """Columns: the set-up, what is needed, and the margins in spreads (rows, yarns).

    The candidate stands first among the yarns. `ratio`: weft over warp in grist (tex); `need`: mean
    metres of the candidate; `warp_crimp`, `weft_crimp`: fractions.
    """

    sett_per_cm: Floats
    picks_per_cm: Floats
    ends: Ints
    ratio: Floats
    need: Floats
    z: Floats
    sd: Floats
    warp_crimp: Floats
    weft_crimp: Floats

    def rows(self, at: Ints) -> "Found":
        """Some of them."""
        return self._of_each(lambda name, values: values[at])

    def and_these(self, more: "Found") -> "Found":
        """Both, one after the other."""
        return self._of_each(lambda name, values: np.concatenate([values, getattr(more, name)]))

    def _of_each(self, made: Callable[[str, Any], Any]) -> "Found":
        return Found(**{one.name: made(one.name, getattr(self, one.name)) for one in fields(self)})


def found(
    c: Candidates, bed: Bed, asks: Asks, cutting: Moments, known: Sequence[KnownYarn]
) -> Found:
    """Set-up, need and margins of every row. A row that cannot be set up has NaN throughout."""
    thick = thickness_ratio(c, bed)
    setts = np.full(thick.shape, bed.sett_per_cm) if bed.sett_per_cm else own_setts(c, bed)
    picks = _picks(c, bed, setts, thick)
    ends = _ends(bed, asks, setts)
    width_cm = ends / setts
    take_up, crimp = bends(c, bed, asks.draw_in, setts, picks)
    pick = _picked(bed, asks, crimp)
    weft = weft_moments((asks.woven, asks.woven2), pick, picks, width_cm)
    cut_cm = _cut(bed, asks, take_up)

    def warp(own_ends: Any) -> Moments:
        metres = own_ends * cut_cm / 100
        return metres * cutting[0], metres**2 * cutting[1]

    if bed.side == "weft":
        need = weft
        others = [margin(one.have, warp(asks.known_ends[:, at])) for at, one in enumerate(known)]
    else:
        need = warp(np.where(np.isfinite(setts), ends + bed.floating_selvedges, np.nan))
        others = [margin(one.have, (weft[0] * one.part, weft[1] * one.part**2)) for one in known]
    own = margin((c.have, c.have2), need)
    z, sd = (np.stack([own[of], *(one[of] for one in others)], axis=-1) for of in (0, 1))
    ratio = c.tex / bed.known_tex if bed.side == "weft" else bed.known_tex / c.tex
    return Found(
        setts, picks, ends, ratio, need[0], z, sd, take_up[0] - 1, crimp[0] - 1
    )  # fmt: skip


def _cut(bed: Bed, asks: Asks, take_up: Logs) -> Floats:
    """Warp length of each row, cm: by hand, else settled."""
    if bed.warp_cut_cm is not None:
        return np.full(asks.z.shape, bed.warp_cut_cm)
    own = 1 / take_up[0] * asks.take_up, take_up[1] * asks.take_up_log_sd
    given = np.isfinite(asks.take_up_given)
    taken = (
        np.where(given, asks.take_up_given, own[0]),
        np.where(given, asks.take_up_log_sd, own[1]),
    )
    wash = asks.wash, asks.wash_log_sd
    laid = Laid(asks.pieces_cm, asks.extra_cm, asks.unwoven_cm)
    return np.asarray(warp_cut_cm(laid, wash, taken, bed.waste, asks.z), dtype=float)


def _picked(bed: Bed, asks: Asks, crimp: Logs) -> Moments:
    """Moments of a pick over the reed width."""
    bent = (1 - asks.draw_in) * crimp[0]
    own = bent_pick_moments(bent, np.hypot(asks.draw_in_log_sd, crimp[1]), bed.joins)
    over = asks.pick * np.maximum(1.0, bent) * bed.joins.factor
    taken = np.where(np.isfinite(asks.pick_given), asks.pick_given, over)
    told = lognormal_moments(taken, asks.pick_log_sd)
    known = np.isfinite(taken)
    return np.where(known, told[0], own[0]), np.where(known, told[1], own[1])


def bends(
    c: Candidates, bed: Bed, draw_in: Floats, setts: Floats, picks: Floats
) -> tuple[Logs, Logs]:
    """1 + crimp of warp and of weft by habit, each with its sd of ln, by geometry where grists are
    known. Yarns that are within a hundredth of each other bend alike."""
    take_up, crimp = practice(bed.weave, bed.purpose)
    warp, weft = crimp_of(take_up), crimp
    compact = _compact_mm(c)
    known = np.isfinite(compact + c.wraps_per_cm + setts + picks + bed.known_tex)
    ratios = np.ones((2, len(setts)))
    if known.any():
        columns = np.stack([compact, c.wraps_per_cm, setts, picks, 1 - draw_in])[:, known]
        one_each, back = _alike(np.round(np.log(columns) / ALIKE).astype(np.int64))
        found = np.stack(_ratios(bed, columns[:, one_each]))[:, back]
        ratios[:, known] = np.where(np.isnan(found), 1.0, found)
    both = []
    for practised, ratio in zip((warp, weft), ratios, strict=True):
        mean, sd = shaped_moments(practised, ratio)
        both.append((1 + mean, sd / (1 + mean)))
    return both[0], both[1]


def _alike(steps: Ints) -> tuple[Ints, Ints]:
    """Of columns of whole numbers, (k, n): one place of each different column, and which each is.

    >>> one_each, back = _alike(np.array([[3, 5, 3], [1, 1, 1]]))
    >>> one_each.tolist(), back.tolist()
    ([0, 1], [0, 1, 0])
    """
    key, size = np.zeros(steps.shape[1], dtype=np.int64), 1
    for row in steps - steps.min(axis=1, keepdims=True):
        most = int(row.max()) + 1
        if size * most > LONGEST_KEY:
            different, key = np.unique(key, return_inverse=True)
            size = len(different)
        key, size = key * most + row, size * most
    _, one_each, back = np.unique(key, return_index=True, return_inverse=True)
    return one_each, back


def _ratios(bed: Bed, columns: Floats) -> tuple[Floats, Floats]:
    compact, wraps, setts, picks, kept = columns
    own = ShapeSide(compact, wraps)
    other = ShapeSide(bed.known_compact_mm, bed.known_wraps_per_cm)
    sides = (own, other) if bed.side == "warp" else (other, own)
    return shape_ratios(bed.weave, bed.purpose, (setts, picks), sides, 1 - kept)


def _compact_mm(c: Candidates) -> Floats:
    """Diameter of each yarn pressed in the cloth."""
    unit = c.of_kind([compact_diameter_mm(1.0, one.blend) for one in c.kinds])
    return np.asarray(unit * np.sqrt(c.tex))


def thickness_ratio(c: Candidates, bed: Bed) -> Floats:
    """The weft's wrapped diameter over the warp's; 1 where either is unknown."""
    known = np.asarray(bed.known_wraps_per_cm)
    ratio = known / c.wraps_per_cm if bed.side == "weft" else c.wraps_per_cm / known
    return np.where(np.isfinite(ratio), ratio, 1.0)


def own_setts(c: Candidates, bed: Bed) -> Floats:
    """Ends per cm that the wraps and grist of each warp suggest, on the reed that does it best."""
    faced = bed.purpose in ("weft-faced", "warp-faced")
    wanted = everyday_setts(c, weave("plain") if faced else bed.weave)
    wanted = wanted * purpose_factor(bed.purpose, bed.fulled)
    known = np.isfinite(wanted)
    setts = least_awkward_setts(np.where(known, wanted, 1.0), bed.reeds, bed.near_enough)
    return np.where(known, setts, np.nan)


def everyday_setts(c: Candidates, drawn: Weave) -> Floats:
    """Wraps and grist joined, before the purpose has its say; grist alone where not wrapped.

    NaN where the grist is not known.
    """
    known = np.isfinite(c.tex)  # of a skein that is only counted, or only weighed, it is not
    yards = yd_per_lb_from_tex(np.where(known, c.tex, 1.0))
    rule = c.of_kind([grist_rule(one.blend, one.draw, one.mill) for one in c.kinds])
    thick = np.where(yards < THICK_YARN_YD_PER_LB, THICK_YARN_FACTOR, 1.0)
    share = threads_share(drawn)
    from_grist = rule * np.sqrt(yards) * 2 * share * thick / CM_PER_INCH
    snug = c.of_kind([snug_wraps(1.0, one.wrap, one.blend.family) for one in c.kinds])
    joined = joined_setts(
        c.wraps_per_cm * snug * share, from_grist, c.of_kind([one.mill for one in c.kinds])
    )
    return np.where(known, np.where(c.wrapped, joined, from_grist), np.nan)


def _picks(c: Candidates, bed: Bed, setts: Floats, ratio: Floats) -> Floats:
    """As asked, else to go with the sett; of faced cloth by the weft's own thickness."""
    if bed.picks_per_cm is not None:
        return np.full(setts.shape, bed.picks_per_cm)
    plain: Any = setts
    if bed.purpose in ("weft-faced", "warp-faced"):
        if bed.faced_picks is not None:
            return bed.faced_picks / ratio
        plain = everyday_setts(c, weave("plain"))
        plain = np.where(np.isfinite(plain), plain, setts)
    known = np.isfinite(setts) & np.isfinite(plain)
    picks = picks_per_cm(
        np.where(known, setts, 1.0), np.where(known, plain, 1.0), bed.weave, bed.purpose,
        bed.fulled, ratio,
    )  # fmt: skip
    return np.where(known, picks, np.nan)


def _ends(bed: Bed, asks: Asks, setts: Floats) -> Ints:
    if bed.ends is not None:
        return np.full(setts.shape, bed.ends, dtype=np.int64)
    wanted = np.where(np.isfinite(setts), asks.reed_width_cm * setts, 0.0)
    return np.asarray(whole_up(wanted / bed.end_step)) * bed.end_step
