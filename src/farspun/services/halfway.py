"""Half-way through a cloth: balls are weighed at the loom, and asked whether they last."""

import math
from collections.abc import Callable, Sequence
from dataclasses import replace
from shlex import quote

from sqlalchemy import Connection

from farspun.craft.halfway import (
    Halfway,
    Rate,
    Weighing,
    drift_of_yarn,
    scale_error_g,
    stray_of_yarn,
)
from farspun.craft.plan import Part, Plan
from farspun.craft.reach import verdict
from farspun.errors import ImpossibleValue, WrongUse
from farspun.services.answers import Check, NeedAnswer, Notice
from farspun.services.case_for import yarn_groups
from farspun.services.checking import checked
from farspun.services.halfway_answers import HalfwayAnswer, HalfwayYarn, Mark, Seen, Two
from farspun.services.halfway_told import AtTheLoom, likely_slip
from farspun.services.halfway_ways import Outlook, ways
from farspun.services.halfway_words import ball_said
from farspun.services.names import cloth_named
from farspun.services.readings import weighed
from farspun.services.stages import SAID
from farspun.services.woven_part import woven_part
from farspun.services.writing import doing
from farspun.store.engine import Stash, reading
from farspun.store.ledger import worked_out_g
from farspun.store.supplies import Supply
from farspun.store.weighings import WeighedBall, add_weighing, weighed_balls
from farspun.units import Quantity, say_cm, say_mass

CM_PER_M = 100
MG_PER_G = 1000
TENTHS = 10
NINETY = 2 * 1.6448536269514722  # sds between the 5 and the 95 in 100 points
HUMIDITY = 0.01  # of a mass       as for readings of skeins (docs/measuring.md)
WORKED_OUT = 0.05  # of what was taken by its length; judgement: grist and length together
FAR_OFF = 4.0  # sds of what was expected; judgement: then a slip is likelier than chance


def weigh_cloth(
    stash: Stash,
    name: str,
    woven: Quantity,
    balls: Sequence[tuple[str, Quantity]],
    tare: Quantity | None = None,
) -> HalfwayAnswer:
    """Write down what balls weigh now, `woven` of the tape done, and tell whether they last.

    Raises NotFound, WrongUse; ImpossibleValue for what cannot be: nothing is stored then.
    """
    if not balls:
        raise WrongUse(
            "Nothing was weighed.", "Give each ball or shuttle: --ball SKEIN=MASS, without --tare."
        )
    words = f"{name.strip()}: {woven.said} woven, "
    words += ", ".join(f"{skein} {on_scale.said}" for skein, on_scale in balls)
    words += f", tare {tare.said}" if tare is not None else ""
    with doing(stash, "cloth weigh", words) as deed:
        connection = deed.connection
        plan = _on_the_loom(cloth_named(connection, name))
        look = _Look(connection, plan, checked(connection, plan))
        woven_cm = look.place(woven.value * CM_PER_M)
        look.check_woven(woven_cm)
        for skein_id, (skein, on_scale) in look.of_the_weft(balls).items():
            net = None if on_scale.value == 0 else weighed(on_scale, tare)
            mass_g, step_g = (net.mass_g, net.step_g) if net else (0.0, 0.001)
            look.check_mass(skein_id, woven_cm, mass_g)
            add_weighing(
                connection, deed.action_id, plan.id or 0, skein_id, woven_cm, mass_g, step_g,
                ball_said(skein, on_scale, tare),
            )  # fmt: skip
        return _Look(connection, plan, checked(connection, plan)).answer()


def look_at_cloth(stash: Stash, name: str) -> HalfwayAnswer:
    """What the balls weighed so far say. Raises NotFound, ImpossibleValue."""
    with reading(stash) as connection:
        plan = _on_the_loom(cloth_named(connection, name))
        return _Look(connection, plan, checked(connection, plan)).answer()


def as_weighed(connection: Connection, check: Check) -> Check:
    """The answer for a cloth on the loom whose balls were weighed: they say whether it reaches.

    Other cloths' answers are as they were.
    """
    plan = check.plan
    if plan.status != "on-loom" or not weighed_balls(connection, plan.id or 0):
        return check
    answer = _Look(connection, plan, check).answer()
    odds = math.prod(one.odds for one in answer.yarns)
    said = Notice(
        "weighed",
        f"By the ball as it was at {say_cm(answer.woven_cm)} of the tape; the ways out, if it will"
        f" not last: farspun cloth weigh {quote(plan.name or '')}"
        + ("; that weighing is in doubt" if any(one.doubted for one in answer.yarns) else ""),
    )
    return replace(
        check,
        verdict=verdict(odds, check.promise),
        odds=replace(check.odds, yarn=odds, weft=odds, all=odds * check.odds.size),
        weft=[
            replace(need, odds=one.odds) for need, one in zip(check.weft, answer.yarns, strict=True)
        ],
        settle=None,
        warnings=[said, *check.warnings],
    )


def _on_the_loom(plan: Plan) -> Plan:
    if plan.status == "on-loom":
        return plan
    shell = quote(plan.name or "")
    hints = {
        "planned": f"First: farspun cloth {'on-loom' if plan.direct else 'wound'} {shell} …",
        "wound": f"First: farspun cloth on-loom {shell} …",
        "given-up": f"What was planned: farspun cloth show {shell}",
    }
    later = f"What is left of its yarn: farspun cloth {plan.status} {shell} --left SKEIN=MASS"
    raise ImpossibleValue(
        f"a ball of “{plan.name}”",
        "weighed at the loom",
        f"it is {SAID[plan.status]}",
        hints.get(plan.status, later),
    )


class _Look(AtTheLoom):
    """What its weighings say of it."""

    __slots__ = ()

    def answer(self) -> HalfwayAnswer:
        """Every weft yarn, and remarks."""
        groups = list(zip(yarn_groups(self.plan.weft), self.check.weft, strict=True))
        woven_cm = max((one.woven_cm for one in self.balls), default=0.0)
        yarns = [self._yarn(parts, need, woven_cm) for parts, need in groups]
        unlike = [text for parts, need in groups for text in self._unlike(parts, need)]
        return HalfwayAnswer(
            cloth=self.plan.name or "",
            woven_cm=woven_cm,
            end_cm=self.end_cm,
            promise=self.plan.promise,
            yarns=yarns,
            remarks=[*unlike, *(text for parts, _ in groups for text in self._remarks(parts))],
        )

    def _yarn(self, parts: Sequence[Part], need: NeedAnswer, woven_cm: float) -> HalfwayYarn:
        part = woven_part(self.plan, self.stock, self.check, self._order_name(parts))
        half = self._halfway(parts, need, part)
        promise, end_cm = self.plan.promise, self.end_cm
        at_cm = woven_cm if half.woven_cm == 0 else half.woven_cm
        odds, (left, left_sd) = half.odds(), half.left_g()
        reaches = half.reaches_cm(promise, part(self.check.setup.warp_cut_cm))
        reaches_cm = _tape_at(part, reaches, max(end_cm, woven_cm))
        first, last = self.known[parts[0].skein_id], self.known[parts[-1].skein_id]
        seen = self._seen(parts, half)
        yarn = HalfwayYarn(
            skeins=[self.known[one.skein_id].name for one in parts],
            odds=odds,
            verdict=verdict(odds, promise),
            rate_g_per_cm=Two(*half.rate_g_per_cm()),
            mass_g=math.fsum(half.weighings[-1].mass_g),
            left_g=Two(half.on_scale_g(left), left_sd * last.tex / first.tex),
            left_m=1000 * left / first.tex if first.tex_known else None,
            reaches_cm=max(reaches_cm, woven_cm),
            kept_g=self._kept_g(parts),
            weighings=seen,
            marks=self._marks(half, part, seen[-1].woven_cm),
            doubted=_doubted(half),
        )
        if odds >= promise or woven_cm >= end_cm:
            return yarn
        outlook = Outlook(
            self.connection, self.plan, self.stock, self.check, need, half,
            yarn.reaches_cm, max(at_cm, woven_cm), self._order_name(parts) is not None,
        )  # fmt: skip
        return replace(yarn, ways=list(ways(outlook)))

    def _seen(self, parts: Sequence[Part], half: Halfway) -> list[Seen]:
        """The weighings where they were on the tape, not where they count for an order."""
        ids = {one.skein_id for one in parts}
        places = sorted({one.woven_cm for one in self.balls if one.skein_id in ids} | {0.0})
        masses = [math.fsum(one.mass_g) for one in half.weighings]
        return [Seen(cm, g) for cm, g in zip(places, masses, strict=True)]

    def _marks(self, half: Halfway, part: Callable[[float], float], from_cm: float) -> list[Mark]:
        """Where it was weighed last, and at every tenth of the tape from there on."""
        tenths = [self.end_cm * tenth / TENTHS for tenth in range(TENTHS + 1)]
        found = []
        for cm in (from_cm, *(one for one in tenths if one > from_cm)):
            mean, sd = half.left_g(part(cm))
            points = (mean - NINETY / 2 * sd, mean, mean + NINETY / 2 * sd)
            found.append(Mark(cm, *(half.on_scale_g(one) for one in points)))
        return found

    def _unlike(self, parts: Sequence[Part], need: NeedAnswer) -> list[str]:
        """Where a ball weighs far from what was to be left of it, ask."""
        part = woven_part(self.plan, self.stock, self.check, self._order_name(parts))
        half = self._halfway(parts, need, part)
        if not _doubted(half):
            return []
        expected_g, _ = half.surprise()
        names = " + ".join(self.known[one.skein_id].name for one in parts)
        scale_g = half.on_scale_g(half.mass_g)
        return [
            f"Is that right? About {say_mass(max(0.0, expected_g))} of {names} were to be left by"
            f" now, and the scale says {say_mass(scale_g)}."
            f" {likely_slip(scale_g, expected_g)} Weigh the same place again to correct it."
            " Undo takes it back: farspun undo"
        ]

    def _order_name(self, parts: Sequence[Part]) -> str | None:
        """The yarn's name in the weft's order; None where the weft has no order."""
        return self.known[parts[0].skein_id].name if self.plan.weft_order else None

    def _halfway(
        self, parts: Sequence[Part], need: NeedAnswer, part: Callable[[float], float]
    ) -> Halfway:
        known = [self.known[one.skein_id] for one in parts]
        metres, first = need.need_m.p50 or 0.0, known[0]
        log_sd = math.log((need.need_m.p95 or 1.0) / (need.need_m.p05 or 1.0)) / NINETY
        grist_sd = [math.sqrt(float(one.cov3[1, 1])) for one in known]
        rate = Rate(
            g_per_cm=metres * first.tex / 1000 / self.end_cm,
            log_sd=math.hypot(log_sd, grist_sd[0]),
            stray=stray_of_yarn(metres * 25 / self.end_cm),
            drift=drift_of_yarn(),
        )
        return Halfway(
            rate=rate,
            weighings=self._weighings(known, part),
            end_cm=self.end_cm,
            grist=tuple(one.tex / first.tex for one in known),
            grist_sd=(0.0, *(math.hypot(grist_sd[0], sd) for sd in grist_sd[1:])),
        )

    def _weighings(
        self, known: Sequence[Supply], part: Callable[[float], float]
    ) -> tuple[Weighing, ...]:
        """From the start on, in the order of the tape; the last word on the same place counts."""
        own = {one.skein_id: at for at, one in enumerate(known)}
        worked_out = worked_out_g(self.connection, list(own))
        mass = [self.start_g(one) for one in known]
        error = [
            math.hypot(HUMIDITY * g, WORKED_OUT * worked_out.get(one.skein_id, 0.0))
            for g, one in zip(mass, known, strict=True)
        ]
        began = list(mass)
        told: dict[float, dict[int, WeighedBall]] = {}
        for ball in self.balls:
            if ball.skein_id in own:
                told.setdefault(ball.woven_cm, {})[own[ball.skein_id]] = ball
        found = [] if 0.0 in told else [_weighing(0.0, mass, (True,) * len(mass), error)]
        for woven_cm in sorted(told):
            fresh = tuple(at in told[woven_cm] or not found for at in range(len(mass)))
            for at, ball in told[woven_cm].items():
                mass[at], error[at] = ball.mass_g, scale_error_g(ball.step_g, began[at])
            found.append(_weighing(part(woven_cm), mass, fresh, error))
        return tuple(found)

    def _kept_g(self, parts: Sequence[Part]) -> float:
        """Grams of these skeins that other cloths claim."""
        ids = {one.skein_id for one in parts}
        return (
            sum(
                mg
                for one in ids
                for cloth_id, mg in self.known[one].claims
                if cloth_id != self.plan.id
            )
            / MG_PER_G
        )

    def _remarks(self, parts: Sequence[Part]) -> list[str]:
        """Skeins of a weighed yarn that were not on the scale are taken to be as before."""
        last = {one.skein_id for one in self.balls if one.woven_cm == self._last_cm}
        ids = [one.skein_id for one in parts]
        if not last & set(ids):
            return []
        return [
            f"“{self.known[one].name}” was not weighed and is taken as it was,"
            f" {say_mass(self._last_mass_g(one))}; if it is used up: --ball"
            f" {quote(self.known[one].name)}=0g"
            for one in ids
            if one not in last and self._last_mass_g(one) > 0
        ]

    @property
    def _last_cm(self) -> float:
        return max((one.woven_cm for one in self.balls), default=0.0)

    def _last_mass_g(self, skein_id: int) -> float:
        own = [one.mass_g for one in self.balls if one.skein_id == skein_id]
        return own[-1] if own else self.start_g(self.known[skein_id])


def _doubted(half: Halfway) -> bool:
    """Whether the last weighing is likelier a slip than chance."""
    _, off = half.surprise()
    return abs(off) >= FAR_OFF


def _weighing(
    woven_cm: float, mass: Sequence[float], fresh: tuple[bool, ...], error: Sequence[float]
) -> Weighing:
    return Weighing(woven_cm, tuple(mass), fresh, tuple(error))


def _tape_at(part: Callable[[float], float], wanted: float, most_cm: float) -> float:
    """Where on the tape so much of the yarn's own cm is woven; at most `most_cm`."""
    low, high = 0.0, most_cm
    if part(high) <= wanted:
        return high
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (middle, high) if part(middle) <= wanted else (low, middle)
    return low
