"""What farspun tells of a simulated stash: its readings, and one cloth, as the craft takes them."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from calibration import loom, simulator
from farspun.craft import habits
from farspun.craft.case import NO_RELAXATION, Case, Size, Spreads, Yarn
from farspun.craft.case import Skein as Told
from farspun.craft.evidence import Estimates, estimates
from farspun.craft.fibres import blend
from farspun.craft.planning import part_promise, settled
from farspun.craft.reach import Drawn
from farspun.craft.readings import KINDS, STATES, ReadingColumns, SkeinColumns, relaxation
from farspun.craft.remaining import Remaining, Take, Weigh, lognormal, remaining
from farspun.craft.spread import Spread

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Plan:
    """One cloth as asked, as told, and which skeins (positions) each of its yarns has."""

    cloth: loom.Cloth
    case: Case
    warp: tuple[list[int], ...]
    weft: tuple[list[int], ...]


def columns(stash: simulator.Stash) -> tuple[SkeinColumns, ReadingColumns]:
    """The stash as columns."""
    fibres = [simulator.FIBRES[skein.fibre] for skein in stash.skeins]
    packing = [f.packing[s.wrap] for f, s in zip(fibres, stash.skeins, strict=True)]
    skeins = SkeinColumns(
        elastic=np.array([fibre.elastic for fibre in fibres]),
        density=np.array([fibre.density for fibre in fibres]),
        fill=np.array([middle for middle, _ in packing]),
        fill_log_sd=np.array([log_sd for _, log_sd in packing]),
        lot=np.array([skein.lot for skein in stash.skeins]),
        wrap_style=np.array([skein.wrap_style for skein in stash.skeins]),
        unevenness=np.full(len(fibres), simulator.UNEVENNESS),
        as_spun=np.array([skein.as_spun for skein in stash.skeins]),
    )
    of = [(at, one) for at, skein in enumerate(stash.skeins) for one in skein.readings]
    readings = [reading for _, reading in of]
    return skeins, ReadingColumns(
        skein=np.array([at for at, _ in of]),
        kind=np.array([KINDS.index(one.kind) for one in readings]),
        mass_g=np.array([one.mass_g for one in readings]),
        step_g=np.array([one.step_g for one in readings]),
        length_m=np.array([one.length_m for one in readings]),
        wraps_per_cm=np.array([one.wraps_per_cm for one in readings]),
        tex=np.array([one.tex for one in readings]),
        state=np.array([STATES.index(one.state) for one in readings]),
        tool=np.array([one.tool for one in readings]),
    )


def estimated(stash: simulator.Stash) -> Estimates:
    """What all readings of the stash say."""
    return estimates(*columns(stash))


def left_of(found: Estimates, at: int, skein: simulator.Skein) -> Remaining:
    """What is left of one skein; a length taken is booked at the grist known then."""
    tex = math.exp(found.mean[at, 1])
    events: list[Take | Weigh] = []
    for event in skein.events:
        if event.kind == "weigh":
            events.append(Weigh(event.mass_g, event.step_g))
        elif math.isnan(event.length_m):
            events.append(Take(event.mass_g))
        else:
            events.append(Take(event.length_m * tex / 1000, event.length_m))
    used = found.effect[at] >= 0
    cov = found.effect_cov[np.ix_(found.effect[at][used], found.effect[at][used])]
    load = found.load[at][:, used]
    return remaining(found.mean[at], found.cov[at], load, cov, events, simulator.UNEVENNESS)


def told_skeins(stash: simulator.Stash, found: Estimates) -> list[Told]:
    """Every skein with the metres now left of it, as the stash keeps them."""
    told = []
    for at, skein in enumerate(stash.skeins):
        left = left_of(found, at, skein)
        used = found.effect[at][found.effect[at] >= 0]
        if skein.events:
            left, _ = lognormal(left, found.effect_cov[np.ix_(used, used)])
        names = [found.effects[effect] for effect in used]
        loads = dict(zip(names, left.load.tolist(), strict=True))
        told.append(Told(skein.name, left.length_m, left.own_sd_ln, loads))
    return told


def told_spreads(cloth: loom.Cloth) -> Spreads:
    """The habits of a first cloth."""
    warp, weft = (
        (blend("wool" if fibre == "superwash" else fibre), fibre == "superwash")
        for fibre in (cloth.warp_fibre, cloth.weft_fibre)
    )
    width = habits.shrink_width_habit(*weft, cloth.wash)
    relax = [NO_RELAXATION, NO_RELAXATION]
    if cloth.as_spun:
        for at, fibre in enumerate((cloth.warp_fibre, cloth.weft_fibre)):
            lost, sd = relaxation(fibre == "wool", STATES.index("unwashed"))
            relax[at] = Spread(float(lost), float(sd), "loss")
    return Spreads(
        take_up=habits.take_up_habit(cloth.weave),
        draw_in=habits.draw_in_habit((cloth.width_cm + 2 * cloth.side_hem_cm) / (1 - width.mean)),
        weft_crimp=habits.weft_crimp_habit(cloth.weave),
        shrink_length=habits.shrink_length_habit(*warp, cloth.wash),
        shrink_width=width,
        beat=habits.beat_habit(cloth.counted_beat),
        waste_cm=habits.waste_habit(cloth.loom, "knots"),
        joins=habits.joins_habit(),
        cutting=habits.cutting_habit(),
        relax_length=relax[0],
        relax_width=relax[1],
    )


def told_size(cloth: loom.Cloth) -> Size:
    """The size asked, as the craft takes it."""
    return Size(**{name: getattr(cloth, name) for name in Size.__slots__})


def told_plan(
    cloth: loom.Cloth,
    found: Estimates,
    skeins: Sequence[Told],
    warp: tuple[list[int], ...],
    weft: tuple[list[int], ...],
) -> Plan:
    """Ends and warp settled at 80 in 100 for size; ends and picks in even parts."""
    spreads, size = told_spreads(cloth), told_size(cloth)
    setup = settled(size, spreads, cloth.ends_per_cm, part_promise(0.80, 2), len(warp))
    case = Case(
        size=size,
        ends_per_cm=cloth.ends_per_cm,
        picks_per_cm=cloth.picks_per_cm,
        ends=setup.ends,
        warp_cut_cm=setup.warp_cut_cm,
        spreads=spreads,
        warp=tuple(
            Yarn(f"warp {n}", tuple(skeins[at] for at in group), ends=setup.ends // len(warp))
            for n, group in enumerate(warp)
        ),
        weft=tuple(
            Yarn(f"weft {n}", tuple(skeins[at] for at in group), part=1 / len(weft))
            for n, group in enumerate(weft)
        ),
        effects=found.effects,
        effect_cov=found.effect_cov,
    )
    return Plan(cloth, case, warp, weft)


def critical_shares(case: Case) -> Floats:
    """Sorted, one a draw: by how much all yarn could be less or must be more just to reach.

    One yarn may serve both sides; else no skein is on both.
    """
    drawn = Drawn(case)
    needs = [drawn.warp_need_m(at) for at in range(len(case.warp))]
    needs += [drawn.weft_m * yarn.part for yarn in case.weft]
    yarns = [*case.warp, *case.weft]
    if case.warp[0].skeins == case.weft[0].skeins:
        needs, yarns = [needs[0] + needs[1]], yarns[:1]
    shares = [
        need / np.sum([drawn.skein_m(skein) for skein in yarn.skeins], axis=0)
        for need, yarn in zip(needs, yarns, strict=True)
    ]
    return np.sort(np.maximum.reduce(shares), axis=None)


def scaled(case: Case, share: float) -> Case:
    """The same cloth with this share of what was free of every skein."""

    def less(yarn: Yarn) -> Yarn:
        kept = tuple(replace(skein, free=skein.free * share) for skein in yarn.skeins)
        return replace(yarn, skeins=kept)

    return replace(
        case, warp=tuple(less(yarn) for yarn in case.warp), weft=tuple(map(less, case.weft))
    )
