"""What her cloths and samples taught: each factor's habit, records, and what is believed now."""

from collections.abc import Sequence
from dataclasses import dataclass

from sqlalchemy import Connection

from farspun.craft.learning import Question as Asked
from farspun.craft.plan import Plan
from farspun.craft.records import GROUPED_BY, group_of
from farspun.craft.spread import Spread
from farspun.errors import ImpossibleValue, NotFound
from farspun.services.factors import FACTORS, Factors
from farspun.services.names import cloth_named
from farspun.services.questions import Question, observed_said, questions
from farspun.services.taught import CLOTH, UNITS, Seen, Taught, piece_of, taught
from farspun.services.writing import doing
from farspun.store.engine import Stash, reading
from farspun.store.records import SAMPLE, add_confirmed
from farspun.units import name_key

USUAL_CM = 40.0  # the cloth spoken of where none was woven: a scarf; judgement
USUAL_LENGTH_CM = 160.0
USUAL_PER_CM = 3.0


@dataclass(frozen=True, slots=True)
class RecordShown:
    """One record: `observed` in the factor's unit against the habit of that very cloth.

    `spreads_off` that habit; `counts`: it teaches; `confirmed`: she stands by it; `question`: what
    is asked about it, or None; `said`: as it is told.
    """

    cloth: str
    stage: str
    group: str
    observed: float
    said: str
    habit: Spread
    spreads_off: float
    counts: bool
    confirmed: bool
    question: Question | None


@dataclass(frozen=True, slots=True)
class Belief:
    """What is expected of the next cloth of a group, `like` that one (None: like any other).

    `now`: the habit moved and narrowed by what was seen; it rests on `cloths` cloths of the group
    (a sample and its cloth count once) and on `other_cloths` of others.
    """

    group: str
    like: str | None
    habit: Spread
    now: Spread
    cloths: int
    other_cloths: int


@dataclass(frozen=True, slots=True)
class FactorLesson:
    """One factor; `unit` of its figures: fraction, ratio or cm."""

    factor: str
    name: str
    unit: str
    records: Sequence[RecordShown]
    beliefs: Sequence[Belief]


@dataclass(frozen=True, slots=True)
class Lessons:
    """All factors that can be learned, in the order they are said."""

    cloths: int
    samples: int
    factors: Sequence[FactorLesson]

    @property
    def questions(self) -> list[Question]:
        """Everything asked about."""
        every = [one.question for factor in self.factors for one in factor.records]
        return [one for one in every if one is not None]


def lessons(stash: Stash) -> Lessons:
    """What is believed of every factor, and why. Source: docs/learning.md, docs/life.md."""
    with reading(stash) as connection:
        return _lessons(taught(connection))


def _lessons(found: Taught) -> Lessons:
    asked = {id(seen): question for seen, question in questions(found)}
    aside = {key for key, question in asked.items() if not question.counts}
    counting = [one for one in found.seen if id(one) not in aside]
    learning = _Learning(found, counting)

    def shown(one: Seen) -> RecordShown:
        return RecordShown(
            cloth=one.cloth,
            stage=one.stage,
            group=one.group_said,
            observed=one.observed,
            said=observed_said(one),
            habit=one.habit,
            spreads_off=one.y,
            counts=id(one) not in aside,
            confirmed=one.confirmed,
            question=asked.get(id(one)),
        )

    factors = [
        FactorLesson(
            factor=factor,
            name=name,
            unit=UNITS.get(factor, "fraction"),
            records=[shown(one) for one in found.seen if one.factor == factor],
            beliefs=learning.beliefs(factor),
        )
        for factor, name in FACTORS.items()
        if factor in GROUPED_BY
    ]
    return Lessons(_many(found, CLOTH), _many(found, SAMPLE), factors)


def _many(found: Taught, stage: str) -> int:
    """How many cloths, or samples, showed something."""
    return len({one.piece.plan.id for one in found.seen if one.stage == stage})


class _Learning:
    """What is expected of the next cloth, by factor and group."""

    def __init__(self, found: Taught, counting: Sequence[Seen]) -> None:
        self._counting = counting
        spoken_of = {
            factor: _latest([one for one in found.seen if one.factor == factor])
            for factor in GROUPED_BY
        }
        self._likes: dict[str, list[str | None]] = {}
        self._asked: dict[str, list[Asked]] = {}
        for factor, latest in spoken_of.items():
            self._likes[factor] = [one.cloth for one in latest] or [None]
            self._asked[factor] = [
                Asked(factor, one.group, "", one.habit, one.group_said) for one in latest
            ] or [_usual(factor)]
        every = [one for asked in self._asked.values() for one in asked]
        self._now = dict(zip(map(id, every), found.lessons.spreads(every), strict=True))

    def beliefs(self, factor: str) -> list[Belief]:
        """One for each group seen, else one for a usual cloth."""
        return [
            Belief(
                group=one.said,
                like=like,
                habit=one.default,
                now=self._now[id(one)],
                cloths=self._cloths(factor, one.group),
                other_cloths=self._cloths(factor) - self._cloths(factor, one.group),
            )
            for one, like in zip(self._asked[factor], self._likes[factor], strict=True)
        ]

    def _cloths(self, factor: str, group: str | None = None) -> int:
        return len(
            {
                (one.group, piece_of(one.piece.plan))
                for one in self._counting
                if one.factor == factor and group in (None, one.group)
            }
        )


def _latest(seen: Sequence[Seen]) -> list[Seen]:
    """The record of each group that was told last, the groups by name."""
    found: dict[str, Seen] = {}
    for one in seen:
        before = found.get(one.group)
        if before is None or _when(one) > _when(before):
            found[one.group] = one
    return [found[group] for group in sorted(found)]


def _when(one: Seen) -> tuple[int, int]:
    """A cloth rather than its sample, and the later the better."""
    return one.piece.said_at(one.factor), one.stage == CLOTH


def _usual(factor: str) -> Asked:
    """The habit of a cloth of which nothing was said."""
    plan = Plan(USUAL_CM, USUAL_LENGTH_CM, "", (), (), USUAL_PER_CM, USUAL_PER_CM)
    factors = Factors(plan, {})
    group = group_of(factor, factors.traits(factor))
    return Asked(factor, group, "", factors.habit(factor), factors.group_said(factor))


@dataclass(frozen=True, slots=True)
class Confirmed:
    """A record that counts from now on; `already`: it did before, and nothing was stored."""

    cloth: str
    name: str
    said: str
    already: bool


def confirm(stash: Stash, cloth_name: str, factor_name: str) -> Confirmed:
    """Let a record count that was asked about. Raises NotFound, ImpossibleValue."""
    factor = factor_named(factor_name)
    with reading(stash) as connection:
        found = _to_confirm(connection, cloth_name, factor)
    if found.already:
        return found
    with doing(stash, "lessons", f"--confirm {found.cloth}, {found.name}") as deed:
        found = _to_confirm(deed.connection, cloth_name, factor)
        cloth_id = cloth_named(deed.connection, cloth_name).id
        assert cloth_id is not None
        add_confirmed(deed.connection, deed.action_id, cloth_id, factor)
        return found


def _to_confirm(connection: Connection, cloth_name: str, factor: str) -> Confirmed:
    plan, found = cloth_named(connection, cloth_name), taught(connection)
    of_it = [one for one in found.seen if one.piece.plan.id == plan.id]
    shown = [one for one in of_it if one.factor == factor]
    if not shown:
        known = ", ".join(dict.fromkeys(FACTORS[one.factor] for one in of_it))
        raise ImpossibleValue(
            f"the {FACTORS[factor]} of “{plan.name}”",
            "confirmed",
            "nothing that was measured of it shows that",
            f"It shows {known}." if known else "See what there is: farspun lessons",
        )
    asked = {id(one) for one, _ in questions(found)}
    doubted = [one for one in shown if id(one) in asked]
    said = " and ".join(observed_said(one) for one in doubted or shown)
    return Confirmed(plan.name or "", FACTORS[factor], said, already=not doubted)


def factor_named(name: str) -> str:
    """The factor of that name, as it is said: “shrinkage in length”, “loom waste”.

    Raises NotFound.

    >>> factor_named("Shrinkage-in-length")
    'shrink_length'
    """
    key = name_key(name).replace("-", " ").replace("_", " ")
    for factor in GROUPED_BY:
        if key in (FACTORS[factor].replace("-", " "), factor.replace("_", " ")):
            return factor
    known = [FACTORS[factor] for factor in GROUPED_BY]
    raise NotFound("factor to learn", name.strip(), known, f"Those there are: {', '.join(known)}.")
