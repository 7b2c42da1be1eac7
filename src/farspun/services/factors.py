"""The doubtful factors of a cloth: what each is called, on what it hangs, and its habit.

A habit is what is taken of *this* cloth where nobody knows better: practice by fibre, wash and
loom, geometry by yarn, sett and weave. What she gave by hand, or records taught, is not in it.
"""

import functools
import math
from collections.abc import Mapping, Sequence

from farspun.craft import habits
from farspun.craft.drawn import drawn_weave
from farspun.craft.fibres import blend
from farspun.craft.habits import SHRINKS_AS
from farspun.craft.plan import Plan
from farspun.craft.shape import Woven, crimpings
from farspun.craft.spread import Spread
from farspun.services.shape_for import Yarns, sides_of
from farspun.store.supplies import Supply

# how each factor is called, in the order it is said
FACTORS = {
    "take_up": "take-up",
    "draw_in": "draw-in",
    "weft_crimp": "weft crimp",
    "weft_take_up": "weft take-up",
    "joins": "edges and joins",
    "shrink_length": "shrinkage in length",
    "shrink_width": "shrinkage in width",
    "relax_length": "relaxation in length",
    "relax_width": "relaxation in width",
    "beat": "beat",
    "waste_cm": "loom waste",
    "cutting": "cutting",
    "let_off": "let-off",
}
OF_THE_WARP = frozenset({"take_up", "shrink_length", "waste_cm", "let_off"})
SUPERWASH = "superwash wool"
NO_LOOM = "no loom named"
SAID = {  # of a group, as it follows "3 of your"
    "take_up": "{fibre family} cloths{on}",
    "draw_in": "{fibre family} cloths{on}",
    "beat": "{fibre family} cloths{on}",
    "weft_take_up": "{fibre family} cloths{on}",
    "shrink_length": "{fibre} cloths, {wash} wash",
    "shrink_width": "{fibre} cloths, {wash} wash",
    "waste_cm": "cloths{on}",
    "let_off": "{fibre family} warps",
}


def yarns_of(plan: Plan, side: str, supplies: Mapping[int, Supply]) -> Yarns:
    """The skeins of a side with their share of its ends or picks, adding to 1.

    One yarn of several skeins is made of each as far as its whole length goes, so that the cloth
    stays what it is while they are used up.
    """
    parts = plan.warp if side == "warp" else plan.weft
    shares = [float(part.ends or part.share or 0.0) for part in parts]
    if not any(shares):
        shares = [math.exp(float(supplies[part.skein_id].mean3[0])) for part in parts]
    total = sum(shares)
    return [(supplies[p.skein_id], s / total) for p, s in zip(parts, shares, strict=True)]


def crimp_together(asked: Sequence[tuple["Factors", float]]) -> None:
    """Find take-up and weft crimp of several cloths, each with its draw-in, in one go a weave."""
    for said in {factors.weave_said for factors, _ in asked}:
        own = [one for one in asked if one[0].weave_said == said]
        cloths = [
            Woven(
                (factors.plan.sett_per_cm, factors.plan.picks_per_cm),
                sides_of(factors.warp, factors.weft),
                draw_in,
            )
            for factors, draw_in in own
        ]
        found = (
            [_crimping(said, cloths[0])]
            if len(cloths) == 1
            else crimpings(drawn_weave(said[0]), said[1], cloths)
        )
        for (factors, draw_in), one in zip(own, found, strict=True):
            factors.crimped(draw_in, one)


@functools.lru_cache(maxsize=4096)  # a search for the largest cloth asks of few, a thousand times
def _crimping(said: tuple[str, str], cloth: Woven) -> tuple[Spread, Spread]:
    return crimpings(drawn_weave(said[0]), said[1], [cloth])[0]


class Factors:
    """The factors of one cloth; a side that is not asked is taken to be as the other."""

    def __init__(self, plan: Plan, supplies: Mapping[int, Supply], wash: str | None = None) -> None:
        self.plan = plan
        self.warp = yarns_of(plan, "warp", supplies)
        self.weft = yarns_of(plan, "weft", supplies)
        self.wash = wash or plan.wash
        self._crimping: dict[float, tuple[Spread, Spread]] = {}

    def traits(self, factor: str) -> Mapping[str, str]:
        """What a record of the factor has in common with others (farspun.craft.records)."""
        yarns = self._yarns(factor)
        main = max(yarns, key=lambda yarn: yarn[1])[0] if yarns else None
        fibres = blend(main.blend if main else habits.NOT_SAID_FIBRE)
        fibre = SHRINKS_AS.get(fibres.main, "man-made")
        return {
            "loom": self.plan.loom.name if self.plan.loom else NO_LOOM,
            "fibre family": fibres.family,
            "fibre": SUPERWASH if fibre == "wool" and main and main.superwash else fibre,
            "wash": self.wash,
        }

    def group_said(self, factor: str) -> str:
        """The cloths that share those traits, in words."""
        on = f" on {self.plan.loom.name}" if self.plan.loom else ""
        return SAID[factor].format(on=on, **self.traits(factor))

    def habit(self, factor: str, reed_cm: float | None = None) -> Spread:
        """What would have been taken of it, so wide in the reed.

        Raises ImpossibleValue where the cloth is narrower than any habit speaks of.
        """
        if factor.startswith("shrink_"):
            return self.shrinkage(factor)
        if factor in ("draw_in", "weft_take_up", "take_up"):
            return self._woven(factor, reed_cm or self.plan.width_cm)
        return {"beat": lambda: habits.beat_habit(counted=False), "let_off": self.let_off,
                "waste_cm": self.waste}[factor]()  # fmt: skip

    def _woven(self, factor: str, reed_cm: float) -> Spread:
        rested_cm = reed_cm * (1 - habits.DRAW_IN_OF_REED) - habits.DRAW_IN_EDGES_CM
        draw_in = habits.draw_in_habit(rested_cm)
        if factor == "draw_in":
            return draw_in
        take_up, weft_crimp = self.crimping(draw_in.mean)
        return take_up if factor == "take_up" else habits.weft_take_up_habit(draw_in, weft_crimp)

    def shrinkage(self, factor: str) -> Spread:
        """Of a side of several yarns: middle and sd by their shares."""
        of = habits.shrink_width_habit if factor == "shrink_width" else habits.shrink_length_habit
        each = [
            (of(blend(s.blend), s.superwash, self.wash), share) for s, share in self._yarns(factor)
        ]
        if not each:
            each = [(of(blend(habits.NOT_SAID_FIBRE), False, self.wash), 1.0)]
        return Spread(
            sum(spread.mean * share for spread, share in each),
            sum(spread.sd * share for spread, share in each),
            "loss",
            each[0][0].origin,
        )

    def crimping(self, draw_in: float) -> tuple[Spread, Spread]:
        """Take-up of the warp and crimp of the weft, where so much is drawn in."""
        if draw_in not in self._crimping:
            crimp_together([(self, draw_in)])
        return self._crimping[draw_in]

    @property
    def weave_said(self) -> tuple[str, str]:
        """What take-up by practice hangs on."""
        return self.plan.weave, self.plan.purpose

    def crimped(self, draw_in: float, found: tuple[Spread, Spread]) -> None:
        """Keep what was found for that draw-in."""
        self._crimping[draw_in] = found

    def waste(self) -> Spread:
        """What she said of her loom, else of its kind."""
        loom = self.plan.loom
        if loom and loom.waste:
            return loom.waste
        kind, tie = (loom.kind, loom.tie) if loom else (habits.NOT_SAID_LOOM, habits.NOT_SAID_TIE)
        return habits.waste_habit(kind, tie)

    def let_off(self) -> Spread:
        """What tight cloth gives back off the loom."""
        yarns = self._yarns("let_off")
        main = max(yarns, key=lambda yarn: yarn[1])[0].blend if yarns else habits.NOT_SAID_FIBRE
        return habits.let_off_habit(blend(main).family)

    def _yarns(self, factor: str) -> Yarns:
        warp_first = factor in OF_THE_WARP
        return (self.warp or self.weft) if warp_first else (self.weft or self.warp)
