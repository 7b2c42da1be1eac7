"""A cloth on the loom with its weighings, and whether what is told of its balls can be."""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from shlex import quote

from sqlalchemy import Connection

from farspun.craft.halfway import (
    scale_error_g,
)
from farspun.craft.plan import Plan
from farspun.errors import FarspunError, ImpossibleValue, NotFound, WrongUse
from farspun.services.answers import Check
from farspun.services.stock import Stock, stock_to_weave
from farspun.services.used_yarn import FAR_OFF_G, MORE_THAN_THERE
from farspun.store.ledger import taken_by_hand_g
from farspun.store.supplies import Supply, supplies
from farspun.store.weighings import WeighedBall, weighed_balls
from farspun.units import GRAMS_PER_OUNCE, Quantity, name_key, say_cm, say_mass

MG_PER_G = 1000
HEAVY_SHUTTLE_G = 150.0  # judgement: no loaded shuttle's wood weighs more
NEAR = 0.15  # of what was expected; judgement: that near it may be the slip
SAME_PLACE_CM = 0.1  # on the tape; judgement: no tape is read closer
SURE_BEYOND = 3.0  # sds of two weighings; judgement: no scale errs so far


@dataclass(slots=True)
class AtTheLoom:
    """A cloth on the loom with its plan's answer and its weighings."""

    connection: Connection
    plan: Plan
    check: Check
    stock: Stock = field(init=False)
    balls: list[WeighedBall] = field(init=False)
    known: dict[int, Supply] = field(init=False)
    by_hand_g: dict[int, float] = field(init=False)

    def __post_init__(self) -> None:
        self.stock, _ = stock_to_weave(self.connection, self.plan.skein_ids, self.plan.as_spun)
        self.balls = weighed_balls(self.connection, self.plan.id or 0)
        self.known = supplies(self.connection, self.plan.skein_ids)
        on_warp = {part.skein_id for part in self.plan.warp}  # then it was for the warp
        taken = taken_by_hand_g(self.connection, self.plan.id or 0)
        self.by_hand_g = {one: g for one, g in taken.items() if one not in on_warp}

    @property
    def end_cm(self) -> float:
        """Of tape, to weave in all."""
        return self.check.setup.tape_length_cm

    def place(self, woven_cm: float) -> float:
        """A place that was told before, where it is that one again."""
        places = [one.woven_cm for one in self.balls]
        return next((cm for cm in places if abs(cm - woven_cm) < SAME_PLACE_CM), woven_cm)

    def check_woven(self, woven_cm: float) -> None:
        """Raises ImpossibleValue for more than the warp is long, or less than before."""
        warp_cm = self.check.setup.warp_cut_cm
        if woven_cm > warp_cm:
            raise ImpossibleValue(
                "woven",
                say_cm(woven_cm),
                f"the warp of “{self.plan.name}” is {say_cm(warp_cm)} long",
                "Give all that is woven so far, by the tape, and no more.",
            )
        last = max(self.balls, key=lambda one: one.woven_cm, default=None)
        if last is not None and woven_cm < last.woven_cm:
            raise ImpossibleValue(
                "woven",
                say_cm(woven_cm),
                f"it was {say_cm(last.woven_cm)} the last time",
                "Give all that is woven so far. A slip in the last weighing is taken back with"
                " Undo: farspun undo",
            )

    def of_the_weft(self, balls: Sequence[tuple[str, Quantity]]) -> dict[int, tuple[str, Quantity]]:
        """What was weighed, by skein. Raises NotFound, WrongUse, ImpossibleValue."""
        ids = dict.fromkeys(part.skein_id for part in self.plan.weft)
        names = {self.known[one].name: one for one in ids}
        found: dict[int, tuple[str, Quantity]] = {}
        for text, on_scale in balls:
            own = [one for name, one in names.items() if name_key(name) == name_key(text)]
            if not own:
                raise self._no_weft(text, names)
            supply = self.known[own[0]]
            if own[0] in found:
                raise WrongUse(
                    f"--ball names “{supply.name}” twice.",
                    "Weigh ball and shuttle of a skein together.",
                )
            if supply.balance_mg is None:
                raise ImpossibleValue(
                    "the ball",
                    f"of “{supply.name}”",
                    "nobody knows how much of it there was",
                    f"Tell how much is left: farspun skein weigh {quote(supply.name)} MASS",
                )
            found[own[0]] = (supply.name, on_scale)
        return found

    def _no_weft(self, text: str, names: Iterable[str]) -> FarspunError:
        wefts = f"Its weft is {', '.join(names)}."
        on_warp = [one.name for one in self.known.values() if name_key(one.name) == name_key(text)]
        if on_warp:
            return ImpossibleValue(f"“{on_warp[0]}”", "weighed here", "it is warp", wefts)
        return NotFound(f"weft in “{self.plan.name}”", text.strip(), names, wefts)

    def check_mass(self, skein_id: int, woven_cm: float, mass_g: float) -> None:
        """Raises ImpossibleValue for a ball heavier than it was."""
        supply = self.known[skein_id]
        began_g = self.start_g(supply)
        most_g = began_g * (1 + MORE_THAN_THERE) + FAR_OFF_G
        if mass_g > most_g:
            raise ImpossibleValue(
                "the ball",
                f"{say_mass(mass_g)} of “{supply.name}”",
                f"there were {say_mass(began_g)} before the cloth",
                "The shuttle or cone comes off with --tare. Is the decimal point right?",
            )
        own = [one for one in self.balls if one.skein_id == skein_id]
        before = [one for one in own if one.woven_cm < woven_cm]
        if not before:
            return
        last = before[-1]
        error_g = scale_error_g(last.step_g, began_g)
        if mass_g > last.mass_g + SURE_BEYOND * math.sqrt(2) * error_g:
            raise ImpossibleValue(
                "the ball",
                f"{say_mass(mass_g)} of “{supply.name}”",
                f"it was {say_mass(last.mass_g)} at {say_cm(last.woven_cm)} woven",
                "The shuttle comes off with --tare; if the earlier weighing was a slip:"
                " farspun undo",
            )

    def start_g(self, supply: Supply) -> float:
        """What there was of a skein when weaving began, with what she took in hand for it."""
        beside = self.by_hand_g.get(supply.skein_id, 0.0)
        return (supply.balance_mg or 0) / MG_PER_G + beside


def likely_slip(scale_g: float, expected_g: float) -> str:
    """What may stand behind a weight that was not expected, as a question.

    >>> likely_slip(82.0, 70.0)
    'Was the shuttle, about 12 g, weighed with it (--tare)?'
    >>> likely_slip(1.83, 54.0)
    'Were ounces meant: 1.83 oz is 52 g?'
    """
    ounces_g = scale_g * GRAMS_PER_OUNCE
    if abs(ounces_g - expected_g) < NEAR * expected_g:
        return f"Were ounces meant: {scale_g:.3g} oz is {say_mass(ounces_g)}?"
    for times in (10.0, 0.1):
        if abs(scale_g * times - expected_g) < NEAR * expected_g:
            return f"Is the decimal point right: was it {say_mass(scale_g * times)}?"
    if 0 < scale_g - expected_g < HEAVY_SHUTTLE_G:
        return f"Was the shuttle, about {say_mass(scale_g - expected_g)}, weighed with it (--tare)?"
    if scale_g < expected_g:
        return "Was a ball or shuttle left out, or is the tape a slip?"
    return "Is it another skein's ball, or is the tape a slip?"
