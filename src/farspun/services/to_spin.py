"""Shortfalls turned into work: what to spin for each yarn, and how; or how many packs to buy."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from shlex import quote

from sqlalchemy import Connection

from farspun.craft.fibres import blend
from farspun.craft.plan import OPEN, Plan
from farspun.craft.readings import UNWASHED, relaxation
from farspun.craft.sett import snug_wraps
from farspun.craft.spinning import (
    PLYING_TAKE_UP,
    PREPARATION_LOSS,
    WARP_ANGLE_DEG,
    WEFT_ANGLE_DEG,
    Target,
    Twist,
    target,
)
from farspun.craft.spread import Spread
from farspun.craft.yarn import Wrap
from farspun.errors import ImpossibleValue
from farspun.services.answers import Check, NeedAnswer
from farspun.services.checking import checked
from farspun.services.names import cloth_named
from farspun.services.stages import SAID
from farspun.store import cloths
from farspun.store.engine import Stash, reading
from farspun.store.skeins import skein_named
from farspun.store.supplies import Supply, supplies

USUAL_PLIES = (1.0, 1.0)  # common practice, no source: a yarn of which nothing is said is 2-ply
MG_PER_G = 1000
RAW_FLEECE = "raw fleece can carry germs and parasites: cover cuts, wash your hands, keep dust down"
DYE = "dye and mordant powders are breathed in before they are seen: mask, gloves, no draught"
POSTURE = "change hands, seat and movement often, and stop when something tingles or hurts"


@dataclass(frozen=True, slots=True)
class SpinAsked:
    """How she wants to spin; None where it is left to farspun.

    `plies`: how thick the singles are beside each other; losses and additions as fractions.
    """

    angle_deg: float | None = None
    plies: tuple[float, ...] | None = None
    preparation_loss: float | None = None
    plying_take_up: float | None = None


@dataclass(frozen=True, slots=True)
class Use:
    """What one side of one cloth is short of a yarn."""

    cloth: str
    side: str
    short_m: float | None
    short_g: float | None
    odds: float | None
    promise: float


@dataclass(frozen=True, slots=True)
class Buy:
    """Whole packs of a yarn that can be bought again."""

    packs: int
    pack_g: float
    length_m: float


@dataclass(frozen=True, slots=True)
class Work:
    """One yarn that is short, and the work that makes it up.

    `spin` None where it is bought, or where `lacking` ("length" or "grist") says what must be
    known first; `taken`: what was taken for granted, in words; `cautions` in general words;
    `share_anew`: cloths that would reach by what later ones keep.
    """

    yarn: str
    skeins: list[str]
    fibre: str
    uses: list[Use]
    short_m: float | None
    short_g: float | None
    spin: Target | None
    buy: Buy | None
    lacking: str | None
    taken: list[str] = field(default_factory=list)
    cautions: list[str] = field(default_factory=list)
    share_anew: list[str] = field(default_factory=list)


def to_spin(stash: Stash, asked: SpinAsked, cloth: str | None = None) -> list[Work]:
    """Every yarn that is short, of one cloth or of all that are not woven yet, by priority.

    Raises NotFound; ImpossibleValue for a cloth that needs no yarn any more.
    """
    with reading(stash) as connection:
        plans = _plans(connection, cloth)
        short: dict[tuple[str, ...], list[tuple[Use, Plan]]] = {}
        anew: dict[tuple[str, ...], list[str]] = {}
        for plan in plans:
            check = checked(connection, plan)
            for side, need in _short(check):
                use = Use(check.cloth or "", side, need.short_m, need.short_g, need.odds,
                          check.promise)  # fmt: skip
                short.setdefault(tuple(need.skeins), []).append((use, plan))
                if check.later_keepers:
                    anew.setdefault(tuple(need.skeins), []).append(use.cloth)
        known = supplies(connection, [one for plan in plans for one in plan.skein_ids])
        by_name = {one.name: one for one in known.values()}
        return [
            replace(
                _work([by_name[name] for name in names], uses, asked, connection),
                share_anew=list(dict.fromkeys(anew.get(names, []))),
            )
            for names, uses in short.items()
        ]


def _plans(connection: Connection, name: str | None) -> list[Plan]:
    if name is None:
        return [plan for plan in cloths.plans(connection) if plan.status in OPEN]
    plan = cloth_named(connection, name)
    if plan.status not in OPEN:
        raise ImpossibleValue(
            "the cloth",
            f"“{plan.name}”",
            f"it is {SAID[plan.status]}, and needs no yarn",
            f"What was planned: farspun cloth show {quote(plan.name or '')}",
        )
    return [plan]


def _short(check: Check) -> Iterator[tuple[str, NeedAnswer]]:
    for side, needs in (("warp", check.warp), ("weft", check.weft)):
        for need in needs:
            if need.short_m is None or need.short_m > 0:
                yield side, need


def _work(
    yarn: Sequence[Supply], uses: list[tuple[Use, Plan]], asked: SpinAsked, connection: Connection
) -> Work:
    """The work for one yarn, of all the cloths that are short of it together."""
    metres, grams = (_sum([getattr(use, name) for use, _ in uses]) for name in ("short_m",
                     "short_g"))  # fmt: skip
    first = yarn[0]
    spin, buy, taken, cautions = None, None, [], []
    lacking = "length" if metres is None else "grist" if grams is None else None
    if metres is not None and grams is not None:
        if first.rebuy_mg:
            buy = _buy(grams, metres, first.rebuy_mg / MG_PER_G)
        else:
            row = skein_named(connection, first.name)
            spin = _target(metres, grams, first, uses, asked, row["twist"])
            taken = list(_taken(first, asked, spin, uses))
            cautions = list(_cautions(first, row["colour"]))
    return Work(
        yarn=" + ".join(one.name for one in yarn),
        skeins=[one.name for one in yarn],
        fibre=" + ".join(dict.fromkeys(one.blend for one in yarn)),
        uses=[use for use, _ in uses],
        short_m=metres,
        short_g=grams,
        spin=spin,
        buy=buy,
        lacking=lacking,
        taken=taken,
        cautions=cautions,
    )


def _sum(amounts: Sequence[float | None]) -> float | None:
    known = [one for one in amounts if one is not None]
    return sum(known) if len(known) == len(amounts) else None


def _buy(grams: float, metres: float, pack_g: float) -> Buy:
    packs = math.ceil(grams / pack_g - 1e-6)
    return Buy(packs, pack_g, packs * pack_g * metres / grams)


def _target(
    metres: float,
    grams: float,
    yarn: Supply,
    uses: Sequence[tuple[Use, Plan]],
    asked: SpinAsked,
    twist: Twist | None,
) -> Target:
    family = blend(yarn.blend).family
    wrap: Wrap | None = "loose" if yarn.wrap == "loose" else "snug" if yarn.wrap else None
    take_up = PLYING_TAKE_UP if asked.plying_take_up is None else asked.plying_take_up
    lost = PREPARATION_LOSS if asked.preparation_loss is None else asked.preparation_loss
    return target(
        length_m=metres,
        tex=1000 * grams / metres,
        wraps_per_cm=snug_wraps(yarn.wraps_per_cm, wrap, family),
        parts=_parts(yarn, asked),
        angle_deg=asked.angle_deg or _usual_angle(uses),
        relaxation=_relaxing(yarn, uses),
        promise=max(use.promise for use, _ in uses),
        direction=twist,
        plying_take_up=take_up,
        preparation_loss=lost,
    )


def _parts(yarn: Supply, asked: SpinAsked) -> tuple[float, ...]:
    return asked.plies or ((1.0,) * yarn.plies if yarn.plies else USUAL_PLIES)


def _usual_angle(uses: Sequence[tuple[Use, Plan]]) -> float:
    """A yarn that serves both sides is spun for the warp."""
    return WARP_ANGLE_DEG if any(use.side == "warp" for use, _ in uses) else WEFT_ANGLE_DEG


def _relaxing(yarn: Supply, uses: Sequence[tuple[Use, Plan]]) -> Spread:
    """What yarn of this kind loses when it is washed; nothing where it is woven unwashed."""
    if all(plan.as_spun for _, plan in uses):
        return Spread(0.0, 0.0, "loss", "woven before it is washed")
    elastic = blend(yarn.blend).elastic and not yarn.superwash
    lost, sd = (float(part) for part in relaxation(elastic, UNWASHED))
    return Spread(lost, sd, "loss", "common practice")


def _taken(
    yarn: Supply, asked: SpinAsked, spin: Target, uses: Sequence[tuple[Use, Plan]]
) -> Iterator[str]:
    """What she did not say, in the order it is used."""
    if asked.plies is None and not yarn.plies:
        yield "2-ply"
    if asked.angle_deg is None:
        warp = any(use.side == "warp" for use, _ in uses)
        yield f"twist at {spin.angle_deg:g}° for {'warp' if warp else 'weft'}"
    if spin.singles and asked.plying_take_up is None:
        yield f"plying takes up {100 * spin.plying_take_up:g} % more singles"
    if asked.preparation_loss is None:
        yield f"{100 * PREPARATION_LOSS:g} % of the prepared fibre is lost"


def _cautions(yarn: Supply, colour: str | None) -> Iterator[str]:
    if blend(yarn.blend).family == "wool":
        yield f"From a fleece: {RAW_FLEECE}."
    if colour:
        yield f"To dye it to match: {DYE}."
    yield f"At the wheel: {POSTURE}."
