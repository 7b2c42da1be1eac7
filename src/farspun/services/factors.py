"""The doubtful factors of a woven cloth: on what each hangs, and its habit.

A habit is what is taken of *this* cloth where nobody knows better: practice by fibre, wash, weave
and loom. What she gave by hand, or what records taught, is not in it.
"""

from collections.abc import Mapping

from farspun.craft import habits
from farspun.craft.fibres import blend
from farspun.craft.habits import SHRINKS_AS
from farspun.craft.plan import Plan
from farspun.craft.spread import Spread
from farspun.craft.weave import practice_family, weave
from farspun.services.habits_for import FACTORS, Yarns, yarns_of
from farspun.store.supplies import Supply

__all__ = ["FACTORS", "Factors"]

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


class Factors:
    """The factors of one cloth; `wash`: how it really was washed, where that is known."""

    def __init__(self, plan: Plan, supplies: Mapping[int, Supply], wash: str | None = None) -> None:
        self.plan = plan
        self.warp = yarns_of(plan, "warp", dict(supplies))
        self.weft = yarns_of(plan, "weft", dict(supplies))
        self.wash = wash or plan.wash

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
        """What would have been taken of it; draw-in and weft take-up by its width in the reed.

        Raises ImpossibleValue where the cloth is narrower than any habit speaks of.
        """
        if factor.startswith("shrink_"):
            return self.shrinkage(factor)
        if factor in ("draw_in", "weft_take_up"):
            return self._across(factor, reed_cm or self.plan.width_cm)
        if factor == "take_up":
            family = practice_family(weave(self.plan.weave), self.plan.purpose)
            return habits.take_up_habit(family)
        return {"beat": lambda: habits.beat_habit(counted=False), "let_off": self.let_off,
                "waste_cm": self.waste}[factor]()  # fmt: skip

    def _across(self, factor: str, reed_cm: float) -> Spread:
        rested_cm = reed_cm * (1 - habits.DRAW_IN_OF_REED) - habits.DRAW_IN_EDGES_CM
        draw_in = habits.draw_in_habit(rested_cm)
        if factor == "draw_in":
            return draw_in
        turned = {"weft-faced": "warp-faced", "warp-faced": "weft-faced"}
        purpose = turned.get(self.plan.purpose, self.plan.purpose)
        family = practice_family(weave(self.plan.weave).swapped(), purpose)
        return habits.weft_take_up_habit(draw_in, family)

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

    def waste(self) -> Spread:
        """What she said of her loom, else of its kind; what is said to be exact teaches nothing."""
        loom = self.plan.loom
        if loom and loom.waste and loom.waste.log_sd > 0:
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
