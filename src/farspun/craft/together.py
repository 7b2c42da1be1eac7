"""The odds that several cloths reach together: everything they share is drawn once for all.

A skein is as long as it is, whoever weaves it; a niddy-noddy that reads long does so for every
skein counted on it; a weaver who beats harder than she thinks does so in each of her cloths. Cloths
are served in the order given, by priority: what a later one asks changes nothing for the earlier.
Claims of the cloths among themselves do not count here, only what each turns out to need. POINTS
draws; source: docs/reach.md.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from farspun.craft.case import Case, Skein, Yarn
from farspun.craft.draws import POINTS, first_draws, own_order
from farspun.craft.learned import Learned
from farspun.craft.reach import FACTOR, Bools, Drawn, Given
from farspun.craft.readings import Floats
from farspun.craft.serving import Serving, Skeins
from farspun.craft.shared_effects import Root, effect_weights, root_of
from farspun.craft.student_t import near_unit_draws
from farspun.craft.ways import OWN, Ways, shared_draws

# causes that no need hangs on, only whether the size is kept
SIZE_ALONE = frozenset({"take_up", "shrink_width", "relax_width", "waste_cm"})


@dataclass(frozen=True, slots=True)
class Planned:
    """A cloth among others; in its case a skein is `free` of all claims but these cloths'.

    `ways`: what of each cause of doubt it has in common with others, nothing where none is given.
    """

    name: str
    case: Case
    ways: Ways


@dataclass(frozen=True, slots=True)
class Together:
    """The chance that a cloth and all before it reach, and what is most often in the way.

    `skeins` are too short for `cloths`; no skein where a set-up is too small; both empty where
    nothing ever is in the way.
    """

    odds: float
    skeins: tuple[str, ...]
    cloths: tuple[str, ...]


def together(
    cloths: Sequence[Planned], effects: Sequence[str] = (), effect_cov: Floats | None = None
) -> list[Together]:
    """Of each cloth, in order of priority: whether it and those before it all reach.

    A cloth reaches where every yarn of it does, and for pieces to be cut where its size is kept.
    `effects`: names of what skeins share, `effect_cov` (K, K) their covariance. A skein that two
    cloths see otherwise (washed, or as spun) is as the first sees it, and the need of the other in
    proportion.
    """
    shelf = _Shelf(cloths, effects, np.zeros((0, 0)) if effect_cov is None else effect_cov)
    asked = [_names(cloth, yarn) for cloth in cloths for yarn in _yarns(cloth.case)]
    serving = Serving(asked, shelf.metres)
    well, way = np.ones(POINTS, dtype=bool), _InTheWay()
    found = []
    for cloth in cloths:
        drawn = Drawn(cloth.case, _factors(cloth))
        if cloth.case.cut:
            well &= drawn.size_kept
            way.size(cloth.name, drawn.size_kept)
        for yarn, need in zip(_yarns(cloth.case), _needs(drawn), strict=True):
            for pool, left in serving.ask(_names(cloth, yarn), need * shelf.seen(yarn)):
                well &= left >= 0
                way.yarn(cloth.name, pool, left >= 0)
        skeins, own = way.most_often()
        found.append(Together(float(well.mean()), shelf.free(skeins), own))
    return found


class _InTheWay:
    """How often each pool of skeins, or the set-up of a cloth, falls short so far."""

    def __init__(self) -> None:
        self._often: dict[tuple[str, ...], int] = {}  # by skeins, or by () and the cloth
        self._cloths: dict[tuple[str, ...], list[str]] = {}

    def size(self, cloth: str, kept: Bools) -> None:
        """The size of a cloth, where pieces are cut from it."""
        self._note(("", cloth), cloth, kept)

    def yarn(self, cloth: str, pool: Skeins, covered: Bools) -> None:
        """A pool that a further cloth asks of."""
        self._note(tuple(sorted(pool)), cloth, covered)

    def _note(self, what: tuple[str, ...], cloth: str, well: Bools) -> None:
        self._often[what] = int(POINTS - np.count_nonzero(well))
        cloths = self._cloths.setdefault(what, [])
        if cloth not in cloths:
            cloths.append(cloth)

    def most_often(self) -> tuple[tuple[str, ...], tuple[str, ...]]:
        """Skeins and cloths; of two as often in the way, the fewer skeins."""
        worst = min(self._often, key=lambda what: (-self._often[what], len(what), what))
        if not self._often[worst]:
            return (), ()
        return (() if not worst[0] else worst), tuple(self._cloths[worst])


class _Shelf:
    """The skeins of all cloths as the first that uses each sees it."""

    def __init__(self, cloths: Sequence[Planned], effects: Sequence[str], cov: Floats) -> None:
        self._skeins: dict[str, Skein] = {}
        for cloth in cloths:
            for yarn in _yarns(cloth.case):
                for skein in yarn.skeins:
                    self._skeins.setdefault(_name(cloth, skein), skein)
        carried = {effect for skein in self._skeins.values() for effect in skein.loads}
        self._root: Root = root_of(effects, cov, carried)

    def metres(self, name: str) -> Floats:
        """What one skein holds for these cloths, (POINTS,)."""
        skein = self._skeins[name]
        log = skein.own_sd_ln * first_draws("skein", name)
        for effect, weight in effect_weights(skein, self._root) if skein.loads else ():
            log += weight * first_draws("effect", effect)
        return np.asarray(skein.free * skein.median_m * np.exp(log))

    def free(self, names: Sequence[str]) -> tuple[str, ...]:
        """Those of the names that are skeins, not what is in hand for a cloth."""
        return tuple(name for name in names if not self._skeins[name].in_hand)

    def seen(self, yarn: Yarn) -> float:
        """Metres on this shelf for a metre of the yarn as its cloth sees it."""
        own = sum(skein.median_m for skein in yarn.skeins)
        here = sum(self._skeins.get(one.name, one).median_m for one in yarn.skeins)
        return here / own if own > 0 else 1.0


def _factors(cloth: Planned) -> Given:
    """Draws of every factor in doubt, in common with other cloths as far as `ways` tell."""
    order, given = own_order(cloth.name), {}
    for cause in cloth.case.spreads.__slots__:
        spread = getattr(cloth.case.spreads, cause)
        idle = cause in SIZE_ALONE and not cloth.case.cut
        if idle or spread is None or spread.log_sd == 0:
            continue
        column = "weft_crimp" if cause == "weft_take_up" else cause
        z = shared_draws(column, cloth.ways.get(cause, OWN), order)
        if isinstance(spread, Learned):
            z = near_unit_draws(z, spread.degrees)
        given[(FACTOR, column, spread)] = spread.spread_out(z)
    return given


def _yarns(case: Case) -> tuple[Yarn, ...]:
    return (*case.warp, *case.weft)


def _needs(drawn: Drawn) -> list[Floats]:
    """Metres (POINTS,) that each yarn needs, warp yarns first."""
    warp = [drawn.warp_need_m(position) for position in range(len(drawn.case.warp))]
    return [*warp, *(drawn.weft_m * yarn.part for yarn in drawn.case.weft)]


def _names(cloth: Planned, yarn: Yarn) -> Skeins:
    """Of a yarn's skeins; what is in hand for a cloth is that cloth's alone."""
    return frozenset(_name(cloth, skein) for skein in yarn.skeins)


def _name(cloth: Planned, skein: Skein) -> str:
    return f"{skein.name}, for {cloth.name}" if skein.in_hand else skein.name
