"""Many yarns at once, each in turn as the warp or the weft of one cloth: set-up, need and odds.

Columns instead of cases, for a stash of a hundred thousand skeins; for any one of them it comes to
what the planning and the closed form say of it alone (held by a test). Formulas: docs/reach.md.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

from farspun.craft.amounts import whole_up
from farspun.craft.closed_form import Moments, margin, weft_moments
from farspun.craft.fibres import Blend, Draw
from farspun.craft.interlacement import Weave
from farspun.craft.reed import nearest_setts
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
from farspun.craft.weave import Purpose, weave
from farspun.craft.yarn import Wrap
from farspun.units import CM_PER_INCH, yd_per_lb_from_tex

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]
Side = Literal["warp", "weft"]


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

    `have`, `have2`: mean and second moment of the metres free for the cloth; `tex`, `wraps_per_cm`
    and `fill` (as wrapped snugly) medians, NaN where nothing tells them; `kind` which of `kinds`;
    `wrapped` whether its wraps were read.
    """

    kinds: Sequence[Kind]
    kind: Ints
    have: Floats
    have2: Floats
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
            self.kinds, self.kind[at], self.have[at], self.have2[at], self.tex[at],
            self.wraps_per_cm[at], self.fill[at], self.wrapped[at],
        )  # fmt: skip

    def and_these(self, more: "Candidates") -> "Candidates":
        """Both, of the same kinds."""
        names = ("kind", "have", "have2", "tex", "wraps_per_cm", "fill", "wrapped")
        both = [np.concatenate([getattr(self, name), getattr(more, name)]) for name in names]
        return Candidates(self.kinds, *both)


@dataclass(frozen=True, slots=True)
class Bed:
    """One cloth with its other side known.

    `side`: the candidates'. `sett_per_cm`: as the known warp or she has it, None where it is the
    candidate's own; `reeds` (dents per 10 cm, rigid heddle) then come in question. `picks_per_cm`
    as asked. `known_wraps_per_cm`, `known_tex` of the other side, NaN where not known.
    """

    side: Side
    weave: Weave
    purpose: Purpose
    fulled: bool
    sett_per_cm: float | None
    picks_per_cm: float | None
    faced_picks: float | None
    reeds: Sequence[tuple[float, bool]]
    known_wraps_per_cm: float
    known_tex: float
    ends: int | None
    end_step: int
    floating_selvedges: int


@dataclass(frozen=True, slots=True)
class Asks:
    """What the cloth asks of a row, by how its yarn shrinks; columns of one length.

    `reed_width_cm` before ends are rounded up; `known_z`, `known_sd`, (rows, known yarns): margin
    of each known yarn where the candidate does not change it, NaN where it does.
    """

    reed_width_cm: Floats
    warp_cut_cm: Floats
    woven: Moments
    pick: Moments
    known_z: Floats
    known_sd: Floats


@dataclass(frozen=True, slots=True)
class KnownWeft:
    """A weft yarn that is there already: what it has, and its share of the picks."""

    have: Moments
    part: float


@dataclass(frozen=True, slots=True)
class Found:
    """Columns: the set-up, what is needed, and the margins in spreads (rows, yarns).

    The candidate stands first among the yarns. `ratio`: weft over warp in grist (tex); `need`: mean
    metres of the candidate.
    """

    sett_per_cm: Floats
    picks_per_cm: Floats
    ends: Ints
    ratio: Floats
    need: Floats
    z: Floats
    sd: Floats


def found(
    c: Candidates, bed: Bed, asks: Asks, cutting: Moments, known: Sequence[KnownWeft]
) -> Found:
    """Set-up, need and margins of every row. A row that cannot be set up has NaN throughout."""
    thick = thickness_ratio(c, bed)
    setts = np.full(thick.shape, bed.sett_per_cm) if bed.sett_per_cm else own_setts(c, bed)
    picks = _picks(c, bed, setts, thick)
    ends = _ends(bed, asks, setts)
    width_cm = ends / setts
    weft = weft_moments(asks.woven, asks.pick, picks, width_cm)
    if bed.side == "weft":
        need = weft
        z, sd = _margins((c.have, c.have2), need, asks.known_z, asks.known_sd)
    else:
        metres = (ends + bed.floating_selvedges) * asks.warp_cut_cm / 100
        need = metres * cutting[0], metres**2 * cutting[1]
        others = [margin(one.have, (weft[0] * one.part, weft[1] * one.part**2)) for one in known]
        known_z = np.stack([one[0] for one in others], axis=-1)
        known_sd = np.stack([one[1] for one in others], axis=-1)
        z, sd = _margins((c.have, c.have2), need, known_z, known_sd)
    ratio = c.tex / bed.known_tex if bed.side == "weft" else bed.known_tex / c.tex
    return Found(setts, picks, ends, ratio, need[0], z, sd)


def _margins(
    have: Moments, need: Moments, known_z: Floats, known_sd: Floats
) -> tuple[Floats, Floats]:
    """The candidate's margin before those of the known yarns."""
    z, sd = margin(have, need)
    both = np.concatenate([z[:, None], known_z], axis=1)
    return both, np.concatenate([sd[:, None], known_sd], axis=1)


def thickness_ratio(c: Candidates, bed: Bed) -> Floats:
    """The weft's wrapped diameter over the warp's; 1 where either is unknown."""
    known = np.asarray(bed.known_wraps_per_cm)
    ratio = known / c.wraps_per_cm if bed.side == "weft" else c.wraps_per_cm / known
    return np.where(np.isfinite(ratio), ratio, 1.0)


def own_setts(c: Candidates, bed: Bed) -> Floats:
    """Ends per cm that the wraps and grist of each warp suggest, on the reed that comes nearest."""
    faced = bed.purpose in ("weft-faced", "warp-faced")
    wanted = everyday_setts(c, weave("plain") if faced else bed.weave)
    wanted = wanted * purpose_factor(bed.purpose, bed.fulled)
    return on_reeds(wanted, bed.reeds)


def everyday_setts(c: Candidates, drawn: Weave) -> Floats:
    """Wraps and grist joined, before the purpose has its say; grist alone where not wrapped."""
    yards = yd_per_lb_from_tex(c.tex)
    rule = c.of_kind([grist_rule(one.blend, one.draw, one.mill) for one in c.kinds])
    thick = np.where(yards < THICK_YARN_YD_PER_LB, THICK_YARN_FACTOR, 1.0)
    share = threads_share(drawn)
    from_grist = rule * np.sqrt(yards) * 2 * share * thick / CM_PER_INCH
    snug = c.of_kind([snug_wraps(1.0, one.wrap, one.blend.family) for one in c.kinds])
    joined = joined_setts(
        c.wraps_per_cm * snug * share, from_grist, c.of_kind([one.mill for one in c.kinds])
    )
    return np.where(c.wrapped, joined, from_grist)


def on_reeds(wanted: Floats, reeds: Sequence[tuple[float, bool]]) -> Floats:
    """The setts that the best of the reeds gives: nearest by the hundredth, then simplest."""
    if not reeds:
        return wanted
    known = np.isfinite(wanted)
    asked = np.where(known, wanted, 1.0)
    best, off = np.zeros(asked.shape), np.full(asked.shape, np.inf)
    dents = np.zeros(asked.shape, dtype=np.int64)
    for dents_per_10cm, rigid in reeds:
        setts, repeat = nearest_setts(asked, dents_per_10cm, rigid)
        apart = np.round(np.abs(setts / asked - 1), 2)
        better = (apart < off) | ((apart == off) & (repeat < dents))
        best, off = np.where(better, setts, best), np.where(better, apart, off)
        dents = np.where(better, repeat, dents)
    return np.where(known, best, np.nan)


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
