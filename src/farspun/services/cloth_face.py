"""The face of a planned cloth from what the stash knows: its yarns' colours, order and lengths."""

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import cycle

import numpy as np
from numpy.typing import NDArray
from sqlalchemy import Connection

from farspun.craft.case import Case, Spreads
from farspun.craft.colour_notes import yarn_colour
from farspun.craft.drawn import drawn_weave
from farspun.craft.order_text import order_from_text
from farspun.craft.orders import Group, in_picks, leaves, threads_in
from farspun.craft.plan import WARPED, Part, Plan
from farspun.craft.pooling import (
    NO_YARN,
    Joined,
    Shades,
    Stacking,
    passes_in_turn,
    pooled,
    stacking,
    strand,
    yarns_in_turn,
)
from farspun.craft.yarn_colour import Lie, YarnColour
from farspun.pictures.face import Face, Pixels, interlaced
from farspun.pictures.shades import is_mixed, strand_colours
from farspun.services.answers import SetupAnswer
from farspun.services.case_for import free_share, in_hand, yarn_groups
from farspun.services.factors import yarns_of
from farspun.services.orders import spans_of_picks
from farspun.store.skeins import colours_of
from farspun.store.supplies import Supply

# name: value              unit   source
MOST_CROSSINGS = 4_000_000  #     judgement: what is longer is drawn as far as that
UNKNOWN_M = 1000.0  # m           judgement: where no reading speaks of a length, it does not end
MOST_OF = 0.95  # of a gradient   judgement: less of it is told
M_PER_CM = 0.01
MM_PER_CM = 10.0


@dataclass(frozen=True, slots=True)
class Faced:
    """The face of one piece, and what was found on the way.

    `picks`, `ends`: of the whole piece, where `face` may be only its beginning; `not_told`: skeins
    of whose colour nothing could be read; `out_at_cm`: how far it is woven where the weft gives
    out, `ends_lacking`; `stacks`: how the stripes of a striping weft lie; `gradients`: skeins of
    which only so much of the gradient is used.
    """

    face: Face
    picks: int
    ends: int
    colours: Mapping[str, YarnColour]
    not_told: tuple[str, ...]
    out_at_cm: float | None
    ends_lacking: int
    stacks: "Striped | None"
    gradients: tuple[tuple[str, float], ...]

    @property
    def size_cm(self) -> tuple[float, float]:
        """Finished, hems and all: as many threads as the set-up has, at middle values."""
        face = self.face
        return self.ends * face.end_mm / MM_PER_CM, self.picks * face.pick_mm / MM_PER_CM

    @property
    def whole(self) -> bool:
        """Whether all of the piece is drawn."""
        return self.face.picks == self.picks and self.face.ends == self.ends


def faced(
    connection: Connection,
    plan: Plan,
    case: Case,
    setup: SetupAnswer,
    supplies: Mapping[int, Supply],
) -> Faced:
    """The first piece of a cloth as it will look, washed, at middle values."""
    notes = colours_of(connection, plan.skein_ids)
    colours = {skein_id: yarn_colour(notes.get(skein_id)) for skein_id in plan.skein_ids}
    before, picks = _picks(case)
    drawn_ends = min(case.ends, MOST_CROSSINGS)
    drawn_picks = max(1, min(picks, MOST_CROSSINGS // drawn_ends))
    lengths = _lengths_m(plan, case, supplies)
    warp_yarns = _joined(plan.warp, colours, supplies, lengths["warp"])
    weft_yarns = _joined(plan.weft, colours, supplies, lengths["weft"])
    warp, no_end = _warp(plan, case, setup, warp_yarns, supplies, drawn_ends, drawn_picks)
    warp_of = _warp_order(plan, case.ends, supplies)
    weft_of = _weft_order(plan, before, drawn_picks, supplies)
    pick_m = setup.pick_length_cm * M_PER_CM
    weft = pooled(weft_of, [one.joined for one in weft_yarns], pick_m, drawn_ends)[before:]
    palette = _Palette.of([*warp_yarns, *weft_yarns])
    weft = weft + np.int16(sum(one.joined.shades for one in warp_yarns))
    out = _first_lacking(palette.lacking[weft])
    for shades in (warp, weft):
        shades[out:] = NO_YARN
        shades[:, no_end] = NO_YARN
    end_mm, pick_mm = _spacings_mm(plan, case.spreads)
    face = Face(
        interlaced(drawn_weave(plan.weave), drawn_picks, drawn_ends),
        warp,
        weft,
        palette.pixels,
        palette.mixed,
        end_mm,
        pick_mm,
        _wrapped_mm(plan, "warp", supplies),
        _wrapped_mm(plan, "weft", supplies),
    )
    return Faced(
        face,
        picks,
        case.ends,
        {supplies[one].name: colour for one, colour in colours.items()},
        tuple(supplies[one].name for one, told in colours.items() if not told.stretches),
        out * face.pick_mm / MM_PER_CM if out < drawn_picks else None,
        int(np.count_nonzero(no_end)),
        _stacks(plan, colours, setup),
        (
            *_gradients(warp_of, case.warp_cut_cm * M_PER_CM, warp_yarns),
            *_gradients(weft_of, pick_m, weft_yarns),
        ),
    )


def _picks(case: Case) -> tuple[int, int]:
    """Picks of header and sample, then of one piece."""
    spans = spans_of_picks(case.size, case.spreads, case.picks_per_cm)
    return (spans[0] if len(spans) > case.size.pieces else 0), spans[-1]


def _lengths_m(plan: Plan, case: Case, supplies: Mapping[int, Supply]) -> dict[str, list[float]]:
    """Metres each skein has for each side, the warp served first; a warp that is wound is there."""
    done = plan.status != "planned"
    warp_m = [math.inf if done else _available_m(supplies[p.skein_id], plan) for p in plan.warp]
    woven = done and plan.status not in WARPED
    weft_m = [math.inf if woven else _available_m(supplies[p.skein_id], plan) for p in plan.weft]
    if not done:
        wound = _wound_m(plan, case, warp_m)
        for at, part in enumerate(plan.weft):
            weft_m[at] = max(0.0, weft_m[at] - wound.get(part.skein_id, 0.0))
    return {"warp": warp_m, "weft": weft_m}


def _wound_m(plan: Plan, case: Case, warp_m: Sequence[float]) -> dict[int, float]:
    """Metres of each skein that are wound, the skeins of a yarn one after another."""
    have = dict(zip((part.skein_id for part in plan.warp), warp_m, strict=True))
    found = {}
    for at, group in enumerate(yarn_groups(plan.warp)):
        need_m = case.warp_ends(at) * case.warp_cut_cm * M_PER_CM
        for part in group:
            found[part.skein_id] = min(need_m, have[part.skein_id])
            need_m -= found[part.skein_id]
    return found


def _available_m(supply: Supply, plan: Plan) -> float:
    """What is left and free of a skein, and what was taken of it for this cloth, at the median."""
    if not supply.known:
        return math.inf
    held = sum(one.median_m for one in in_hand(supply, plan))
    return math.exp(supply.ln_length) * free_share(supply, plan.id) + held


def threads_of_skeins(
    plan: Plan,
    case: Case,
    setup: SetupAnswer,
    supplies: Mapping[int, Supply],
    side: str,
    passes: int,
) -> list[tuple[int, int]]:
    """Of a side of one yarn: its skeins in their order, and how many of the `passes` each makes at
    middle lengths, the header's picks first; the last makes what is left."""
    parts = plan.warp if side == "warp" else plan.weft
    pass_m = M_PER_CM * (case.warp_cut_cm if side == "warp" else setup.pick_length_cm)
    lengths = _lengths_m(plan, case, supplies)[side]
    before = _picks(case)[0] if side == "weft" else 0
    upto_m, made, found = 0.0, 0, []
    for at, (part, length_m) in enumerate(zip(parts, lengths, strict=True)):
        if math.isinf(length_m):  # it is wound or woven: as long as it was spun
            length_m = _whole_m(supplies[part.skein_id])
        upto_m += length_m
        last = at == len(parts) - 1
        upto = passes if last else min(passes, max(0, round(upto_m / pass_m) - before))
        found.append((part.skein_id, upto - made))
        made = upto
    return [(skein_id, threads) for skein_id, threads in found if threads]


@dataclass(frozen=True, slots=True, eq=False)
class _Yarn:
    """A yarn of a side and its skeins' colours. Behind its last skein it goes on, as what would
    still be needed."""

    joined: Joined
    colours: tuple[YarnColour, ...]
    names: tuple[str, ...]

    @property
    def length_m(self) -> float:
        return sum(self.joined.lengths_m[:-1])


def _joined(
    parts: Sequence[Part],
    colours: Mapping[int, YarnColour],
    supplies: Mapping[int, Supply],
    lengths_m: Sequence[float],
) -> list[_Yarn]:
    """Each yarn of a side, its skeins one after another as planned."""
    have = dict(zip((part.skein_id for part in parts), lengths_m, strict=True))
    found = []
    for group in yarn_groups(parts):
        ids = [part.skein_id for part in group]
        strands = [strand(colours[one], _whole_m(supplies[one]), supplies[one].name) for one in ids]
        joined = Joined((*strands, strands[-1]), (*(have[one] for one in ids), math.inf))
        names = tuple(supplies[one].name for one in ids)
        found.append(_Yarn(joined, tuple(colours[one] for one in (*ids, ids[-1])), names))
    return found


def _whole_m(supply: Supply) -> float:
    """The skein as it was spun: a gradient goes over all of it."""
    return math.exp(float(supply.mean3[0])) if supply.known else UNKNOWN_M


def _warp(
    plan: Plan,
    case: Case,
    setup: SetupAnswer,
    yarns: Sequence[_Yarn],
    supplies: Mapping[int, Supply],
    ends: int,
    picks: int,
) -> tuple[Shades, NDArray[np.bool_]]:
    """The warp's shade at each crossing, and the ends its yarns are too short for."""
    cut_m = case.warp_cut_cm * M_PER_CM
    start_m = min(case.spreads.waste_cm.mean / 2 * M_PER_CM, cut_m / 2)
    taken_m = setup.off_loom_length_cm / case.spreads.take_up.factor * M_PER_CM
    seen_m = start_m, min(cut_m, start_m + taken_m * picks / _picks(case)[1])
    of = _warp_order(plan, ends, supplies)
    shades = pooled(of, [one.joined for one in yarns], cut_m, picks, seen_m)
    whole_m = np.array([one.length_m for one in yarns])
    lacking = (passes_in_turn(of) + 1) * cut_m > whole_m[of] * (1 + 1e-9)
    return np.ascontiguousarray(shades.T), lacking


def _warp_order(plan: Plan, ends: int, supplies: Mapping[int, Supply]) -> NDArray[np.intp]:
    """Which of the warp's yarns each end is."""
    if plan.warp_order is not None:
        order = order_from_text(plan.warp_order, "warp")
        return _laid(order, plan.warp, ends, supplies)
    counts = [part.ends for part in plan.warp]
    if not all(counts):
        return np.zeros(ends, dtype=np.intp)
    once = np.repeat(np.arange(len(counts)), [one or 0 for one in counts])
    return np.resize(once, ends).astype(np.intp)


def _weft_order(
    plan: Plan, before: int, picks: int, supplies: Mapping[int, Supply]
) -> NDArray[np.intp]:
    """Which of the weft's yarns each pick is, those before the first piece too."""
    if plan.weft_order is not None:
        order = in_picks(order_from_text(plan.weft_order, "weft"), plan.picks_per_cm)
        spans = [_laid(order, plan.weft, span, supplies) for span in (before, picks) if span]
        return np.concatenate(spans)
    groups = yarn_groups(plan.weft)
    return yarns_in_turn([group[0].share or 1.0 for group in groups], before + picks)


def _laid(
    order: Group, parts: Sequence[Part], threads: int, supplies: Mapping[int, Supply]
) -> NDArray[np.intp]:
    """An order repeated over so many threads, each by its yarn's place among the parts."""
    place = {supplies[part.skein_id].name: at for at, part in enumerate(parts)}
    found = np.empty(threads, dtype=np.intp)
    at = 0
    for yarn, long in _stripes(order, threads):
        found[at : at + long] = place[yarn]
        at += long
    return found


def _stripes(order: Group, threads: int) -> Iterator[tuple[str, int]]:
    """Stripes one after another, the order again and again, as far as there are threads."""
    whole = threads_in(order)
    for _ in cycle([None]):
        for one in leaves(order):
            if threads <= 0 or not whole:
                return
            long = min(threads, threads_in(one))
            yield one.yarn, long
            threads -= long


@dataclass(frozen=True, slots=True, eq=False)
class _Palette:
    """Red, green, blue of all shades in turn; which of them are heathers, and which only lacking
    yarn has."""

    pixels: Pixels
    mixed: NDArray[np.bool_]
    lacking: NDArray[np.bool_]

    @classmethod
    def of(cls, yarns: Sequence[_Yarn]) -> "_Palette":
        pixels, mixed, lacking = [], [], []
        for yarn in yarns:
            last = len(yarn.colours) - 1
            both = zip(yarn.joined.strands, yarn.colours, strict=True)
            for at, (one, colour) in enumerate(both):
                own = strand_colours(colour, one)
                pixels.append(own)
                mixed += [is_mixed(colour)] * len(own)
                lacking += [at == last] * len(own)
        return cls(np.concatenate(pixels), np.array(mixed), np.array(lacking))


def _spacings_mm(plan: Plan, spreads: Spreads) -> tuple[float, float]:
    """From end to end and from pick to pick, washed, at middle values."""
    across = spreads.draw_in.factor * spreads.shrink_width.factor * spreads.relax_width.factor
    along = spreads.shrink_length.factor * spreads.relax_length.factor
    return MM_PER_CM * across / plan.sett_per_cm, MM_PER_CM * along / plan.picks_per_cm


def _wrapped_mm(plan: Plan, side: str, supplies: Mapping[int, Supply]) -> float:
    """Diameter as wrapped, the mean of a side's threads."""
    yarns = yarns_of(plan, side, supplies)
    return MM_PER_CM * sum(share / one.wraps_per_cm for one, share in yarns)


def _first_lacking(lacking: NDArray[np.bool_]) -> int:
    """The pick at which the weft gives out; as many as there are where it does not."""
    rows = np.flatnonzero(lacking.any(axis=1))
    return int(rows[0]) if len(rows) else len(lacking)


def _gradients(
    of: NDArray[np.intp], pass_m: float, yarns: Sequence[_Yarn]
) -> Iterator[tuple[str, float]]:
    """Skeins with a gradient, and how much of it is used where that is not all."""
    for at, yarn in enumerate(yarns):
        left_m = float(np.count_nonzero(of == at)) * pass_m
        skeins = zip(  # the last strand and length stand for what is lacking
            yarn.names, yarn.colours, yarn.joined.strands, yarn.joined.lengths_m, strict=False
        )
        for name, colour, own, have_m in skeins:
            used_m = min(left_m, have_m)
            left_m -= used_m
            share = used_m / float(own.upto_m[-1])
            shaded = colour.lie == Lie.GRADIENT and len(colour.stretches) > 1
            if shaded and 0 < share < MOST_OF:
                yield name, share


@dataclass(frozen=True, slots=True)
class Striped:
    """How a weft of one striping yarn lies: in how many picks its stripes have moved by a whole
    repeat, and how many picks each shade lasts, in the order told."""

    stacking: Stacking
    picks: tuple[tuple[str, float], ...]


def _stacks(plan: Plan, colours: Mapping[int, YarnColour], setup: SetupAnswer) -> Striped | None:
    """How the stripes of a weft of one striping yarn lie."""
    ids = {part.skein_id for part in plan.weft}
    if len(ids) != 1:
        return None
    colour = colours[ids.pop()]
    if colour.lie != Lie.STRIPING or len(colour.stretches) < 2:
        return None
    upto_m = strand(colour, 1.0, "").upto_m
    pick_m = setup.pick_length_cm * M_PER_CM
    names = [one.shade.name for one in colour.stretches]
    lasts = tuple(zip(names, (np.diff(upto_m, prepend=0.0) / pick_m).tolist(), strict=True))
    return Striped(stacking(float(upto_m[-1]), pick_m), lasts)
