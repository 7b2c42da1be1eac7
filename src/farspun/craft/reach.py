"""Does the yarn reach? Need and supply of one cloth, both doubtful, drawn together.

Ends and warp length are settled before anything is woven and then fixed; everything else is
drawn. She weaves until the length is there, the warp ends or the weft ends. Two promises, apart:
*yarn*, that every yarn covers the set-up, and *size*, that the washed cloth is large enough.
Formulas: docs/reach.md.
"""

import functools
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from farspun.craft.amounts import whole_up
from farspun.craft.case import Case, Skein, Yarn
from farspun.craft.draws import POINTS, REPEATS, cause_draws, named_draws, tailed_draws
from farspun.craft.learned import Learned
from farspun.craft.least_more import keep_share, least_more
from farspun.craft.planning import part_promise
from farspun.craft.readings import Floats
from farspun.craft.shared_effects import Root, effect_root, effect_weights
from farspun.craft.spread import Spread

LENGTH = "length"  # the cause of doubt that stands for all of a yarn's skeins
SMALL_DRIVER = 0.01  # causes under this share are joined
REST = "the rest"
EVEN_ODDS = 0.5

Bools = NDArray[np.bool_]
Given = dict[tuple[Any, ...], Floats]  # what was drawn already, by what it hangs on
SKEIN, FACTOR = "skein", "factor"  # the first of those


@dataclass(frozen=True, slots=True)
class Points:
    """5, 50 and 95 in 100 points, m."""

    p05: float
    p50: float
    p95: float


@dataclass(frozen=True, slots=True)
class Need:
    """One yarn's need against what there is. `keep_share`: the part of the free yarn to claim."""

    yarn: Yarn
    need_m: Points
    have_m: Points
    odds: float
    short_m: float
    keep_share: float


@dataclass(frozen=True, slots=True)
class Odds:
    """The chance of each promise; None where that side is not asked."""

    yarn: float
    warp: float | None
    weft: float | None
    size: float
    all: float


@dataclass(frozen=True, slots=True)
class Driver:
    """A cause of doubt and its share of the variance."""

    cause: str
    share: float


@dataclass(frozen=True, slots=True)
class Doubt:
    """ln(have/need) of the weakest yarn: its mean, sd, and slope on each cause (per sd)."""

    side: str
    position: int
    mean: float
    sd: float
    slopes: dict[str, float]


@dataclass(frozen=True, slots=True)
class Reach:
    """The whole answer for one cloth. `size_too_small`: the set-up, not the yarn, falls short."""

    odds: Odds
    verdict: str
    warp: tuple[Need, ...]
    weft: tuple[Need, ...]
    drivers: tuple[Driver, ...]
    doubt: Doubt | None
    size_too_small: bool


def verdict(odds: float, promise: float) -> str:
    """The word: reaches, uncertain (from 50 in 100), falls short.

    >>> verdict(0.96, 0.95), verdict(0.6, 0.95), verdict(0.4, 0.95)
    ('reaches', 'uncertain', 'falls short')
    """
    if odds >= promise:
        return "reaches"
    return "uncertain" if odds >= EVEN_ODDS else "falls short"


class Drawn:
    """All draws of one case, made when first asked for.

    What the loom asks is (POINTS,); what the yarn gives is (REPEATS, POINTS). `given` keeps what
    was drawn, for further cases of the same skeins.
    """

    def __init__(self, case: Case, given: Given | None = None) -> None:
        self.case = case
        self._given: Given = {} if given is None else given

    def factor(self, cause: str) -> Floats | float:
        """Draws of 1 - x, 1 + x, x or cm for one cause; a number where it has no spread."""
        spread: Spread = getattr(self.case.spreads, cause)
        if spread.log_sd == 0:
            return spread.factor
        column = "weft_crimp" if cause == "weft_take_up" else cause
        key = (FACTOR, column, spread)
        if key not in self._given:
            if isinstance(spread, Learned):
                drawn = tailed_draws(column, spread.degrees)
            else:
                drawn = cause_draws(column)
            self._given[key] = spread.spread_out(drawn)
        return self._given[key]

    @cached_property
    def woven_cm(self) -> Floats:
        """h*: rested length that must be woven for this draw's shrinkage."""
        size = self.case.size
        kept = self.factor("shrink_length") * np.asarray(self.factor("relax_length"))
        wanted = size.full_length_cm * (1 - size.give) / kept
        return np.broadcast_to(wanted + size.sample_cm + size.header_cm, POINTS)

    @cached_property
    def pick_m(self) -> Floats:
        """Metres of weft in one pick."""
        if self.case.spreads.weft_take_up is not None:
            over = np.asarray(self.factor("weft_take_up"))
        else:
            crimped = np.asarray(self.factor("draw_in")) * self.factor("weft_crimp")
            over = np.maximum(1.0, crimped) * self.factor("joins")
        return np.asarray(self.case.reed_width_cm / 100 * over)

    @cached_property
    def weft_m(self) -> Floats:
        """Metres of weft in the whole cloth."""
        picks = whole_up(self.woven_cm * self.case.picks_per_cm * self.factor("beat"))
        return np.asarray(picks * self.pick_m)

    @cached_property
    def size_kept(self) -> Bools:
        """Whether the washed cloth is at least the size asked less its give."""
        case, size = self.case, self.case.size
        across = np.asarray(self.factor("draw_in")) * self.factor("shrink_width")
        wide = case.reed_width_cm * across * self.factor("relax_width")
        waste = np.asarray(self.factor("waste_cm"))
        unwoven = waste + size.inner_unwoven_cm + size.outer_fringes_cm(waste)
        long = (case.warp_cut_cm - unwoven) * self.factor("take_up")
        kept = (wide >= size.full_width_cm * (1 - size.give)) & (long >= self.woven_cm)
        return np.broadcast_to(kept, POINTS)

    def warp_need_m(self, position: int) -> Floats:
        """Metres of one warp yarn."""
        metres = self.case.warp_ends(position) * self.case.warp_cut_cm / 100
        return np.broadcast_to(metres * np.asarray(self.factor("cutting")), POINTS)

    def skein_m(self, skein: Skein) -> Floats:
        """Metres of one skein that are free for this cloth, (REPEATS, POINTS)."""
        weights = effect_weights(skein, self._root) if skein.loads else ()
        key = (SKEIN, skein.name, weights)
        if key not in self._given:
            log = skein.own_sd_ln * named_draws("skein", skein.name)
            part = np.empty_like(log)
            for effect, weight in weights:
                log += np.multiply(named_draws("effect", effect), weight, out=part)
            np.exp(log, out=log)
            log *= skein.free * skein.median_m
            self._given[key] = log
        return self._given[key]

    @cached_property
    def _root(self) -> Root:
        return effect_root(self.case)


def _supplies(drawn: Drawn) -> tuple[list[Floats], list[Floats]]:
    """Metres had by each warp and weft yarn; a skein on both sides serves the warp first."""
    case = drawn.case
    left = {s.name: drawn.skein_m(s) for yarn in (*case.warp, *case.weft) for s in yarn.skeins}
    warp = []
    again = {s.name for yarn in case.weft for s in yarn.skeins}
    for position, yarn in enumerate(case.warp):
        warp.append(_together([left[s.name] for s in yarn.skeins]))
        again |= {s.name for other in case.warp[position + 1 :] for s in other.skeins}
        if again.isdisjoint(s.name for s in yarn.skeins):
            continue  # what is left of it serves nothing else
        to_find = drawn.warp_need_m(position)
        for skein in yarn.skeins:
            used = np.minimum(left[skein.name], to_find)
            left[skein.name], to_find = left[skein.name] - used, to_find - used
    weft = []
    for yarn in case.weft:
        weft.append(_together([left[s.name] for s in yarn.skeins]))
    return warp, weft


def _together(metres: list[Floats]) -> Floats:
    """The sum, in the order given; a single one is not copied."""
    return functools.reduce(np.add, metres) if metres else np.zeros((REPEATS, POINTS))


def _points(metres: Floats) -> Points:
    at = [int(p * (metres.size - 1) + 0.5) for p in (0.05, 0.5, 0.95)]
    sorted_at = np.partition(metres, at, axis=None)[at]
    return Points(*(float(m) for m in sorted_at))


def reach(case: Case) -> Reach:
    """Odds, shortfall and causes of doubt of one case, over POINTS draws.

    Raises nothing of its own: the case is what it is, and "falls short" is an answer.
    """
    drawn = Drawn(case)
    needs, haves = _needs_and_haves(drawn)
    gaps = [need - have for need, have in zip(needs, haves, strict=True)]
    covered = [gap <= 0 for gap in gaps]
    odds = _odds(covered[: len(case.warp)], covered[len(case.warp) :], drawn.size_kept)
    asked = odds.all if case.cut else odds.yarn
    size_too_small = case.cut and odds.size < case.promise
    must = drawn.size_kept if case.cut and not size_too_small else True
    kept = asked >= case.promise
    shorts = [0.0] * len(gaps) if kept else least_more(gaps, must, case.promise)
    level = part_promise(case.promise, max(1, len(gaps) + (2 if case.cut else 0)))
    answers = [
        Need(
            yarn=yarn,
            need_m=_points(need),
            have_m=_points(have),
            odds=float(ok.mean()),
            short_m=short,
            keep_share=keep_share(need, have, level),
        )
        for yarn, need, have, ok, short in zip(
            (*case.warp, *case.weft), needs, haves, covered, shorts, strict=True
        )
    ]
    doubt = _doubt(drawn, needs, haves, covered)
    return Reach(
        odds=odds,
        verdict=verdict(asked, case.promise),
        warp=tuple(answers[: len(case.warp)]),
        weft=tuple(answers[len(case.warp) :]),
        drivers=_drivers(doubt),
        doubt=doubt,
        size_too_small=size_too_small,
    )


def _needs_and_haves(drawn: Drawn) -> tuple[list[Floats], list[Floats]]:
    """Metres that each yarn needs and that it has, warp yarns first."""
    case = drawn.case
    haves_warp, haves_weft = _supplies(drawn)
    needs_warp = [drawn.warp_need_m(position) for position in range(len(case.warp))]
    needs_weft = [drawn.weft_m * yarn.part for yarn in case.weft]
    return needs_warp + needs_weft, haves_warp + haves_weft


def odds_alone(case: Case, given: Given) -> tuple[float, tuple[float, ...]]:
    """The odds that the verdict of `reach` is on, and those of each yarn, warp first; no more.

    `given` keeps what is drawn: hand the same to every case of one search.
    """
    drawn = Drawn(case, given)
    needs, haves = _needs_and_haves(drawn)
    covered = [need <= have for need, have in zip(needs, haves, strict=True)]
    everything = [*covered, drawn.size_kept] if case.cut else covered
    together = functools.reduce(np.logical_and, everything)
    return float(np.mean(together)), tuple(float(ok.mean()) for ok in covered)


def _odds(warp: list[Bools], weft: list[Bools], size: Bools) -> Odds:
    everything = np.ones((REPEATS, POINTS), dtype=bool)
    warp_ok = np.logical_and.reduce(warp) if warp else everything
    weft_ok = np.logical_and.reduce(weft) if weft else everything
    yarn_ok = warp_ok & weft_ok
    return Odds(
        yarn=float(yarn_ok.mean()),
        warp=float(warp_ok.mean()) if warp else None,
        weft=float(weft_ok.mean()) if weft else None,
        size=float(size.mean()),
        all=float((yarn_ok & size).mean()),
    )


def _doubt(
    drawn: Drawn, needs: list[Floats], haves: list[Floats], covered: list[Bools]
) -> Doubt | None:
    """Regress ln(have/need) of the yarn with the lowest odds on every cause."""
    if not covered:
        return None
    case = drawn.case
    weakest = min(range(len(covered)), key=lambda at: float(covered[at].mean()))
    had = haves[weakest] > 0
    if not had.any():
        return None
    log = np.log(np.where(had, haves[weakest], 1.0) / needs[weakest])
    mean = float(log[had].mean())
    off = np.where(had, log - mean, 0.0)
    slopes: dict[str, float] = {}
    for cause in case.spreads.__slots__:
        spread = getattr(case.spreads, cause)
        if spread is not None and spread.log_sd > 0:
            column = "weft_crimp" if cause == "weft_take_up" else cause
            slopes[cause] = _slope(cause_draws(column), off, had)
    yarn = (*case.warp, *case.weft)[weakest]
    own = [_slope(named_draws("skein", s.name), off, had) for s in yarn.skeins if s.own_sd_ln > 0]
    carried = {effect for s in yarn.skeins for effect in s.loads}
    shared = [_slope(named_draws("effect", e), off, had) for e in case.effects if e in carried]
    slopes[LENGTH] = float(np.sqrt(np.sum(np.square(own + shared))))
    return Doubt(
        side="warp" if weakest < len(case.warp) else "weft",
        position=weakest if weakest < len(case.warp) else weakest - len(case.warp),
        mean=mean,
        sd=float(np.sqrt(np.mean(np.square(off[had])))),
        slopes=slopes,
    )


def _slope(z: Floats, off: Floats, had: Bools) -> float:
    """Least squares of `off` on `z` where the yarn was had at all."""
    return float(np.sum(z * off) / np.sum(z * z * had))


def _drivers(doubt: Doubt | None) -> tuple[Driver, ...]:
    """Shares of Σβ², largest first; those under one in a hundred joined as the rest."""
    if doubt is None:
        return ()
    squares = {cause: slope**2 for cause, slope in doubt.slopes.items()}
    total = sum(squares.values())
    if not total > 0:
        return ()
    shares = sorted(((s / total, cause) for cause, s in squares.items()), reverse=True)
    named = [Driver(cause, share) for share, cause in shares if share >= SMALL_DRIVER]
    rest = 1 - sum(driver.share for driver in named)
    return (*named, Driver(REST, rest)) if rest > 1e-12 else tuple(named)
