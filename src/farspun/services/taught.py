"""What became of her cloths and samples, as records to learn from.

A record is one factor of one piece: what was observed, and by how many spreads that is off the
habit of that very cloth. A sample is of the same piece as the cloth it was woven for. What is
absurd by habit, and by all that is not absurd of her own, is held back until she confirms it: it is
more likely a slip of the pen than her weaving.
"""

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

from sqlalchemy import Connection

from farspun.craft.amounts import fringe_cut
from farspun.craft.beliefs import beliefs
from farspun.craft.learned import spreads_off
from farspun.craft.learning import Lessons
from farspun.craft.outliers import DOUBTFUL_P
from farspun.craft.plan import Plan
from farspun.craft.records import GROUPED_BY, Record, RecordColumns, group_of, record_columns
from farspun.craft.spread import Spread
from farspun.craft.woven import LOSSES, SHOWN_BY, Meant, Told, shown_factors
from farspun.errors import ImpossibleValue
from farspun.services.factors import Factors
from farspun.store import cloths
from farspun.store.records import SAMPLE, Facts, confirmed_factors, facts
from farspun.store.supplies import Supply, supplies
from farspun.store.used import Used, yarn_used

CLOTH = "cloth"
# name: value      unit                source: all judgement
SURE_GRIST = 0.04  # sd of ln            else weft use would teach the skein's own doubt
ABSURD = 5.0  # spreads of the habit     not even a weaver of twice the spread does that
GREW = 0.03  # of the length or width    more is not how cloth is wont to behave
UNITS = {"waste_cm": "cm", "beat": "ratio"}  # of what is observed; the others are fractions


@dataclass(frozen=True, slots=True)
class Piece:
    """A cloth or its sample, as woven: what was told of it, with its set-up filled in.

    `weft_m`: metres of weft that went in, where a scale said so; `at`: the action that told each
    thing last.
    """

    plan: Plan
    stage: str
    told: Told
    meant: Meant
    factors: Factors
    at: Mapping[str, int]
    weft_m: float | None = None

    @property
    def name(self) -> str:
        """Of the cloth."""
        return self.plan.name or ""

    @property
    def shown(self) -> dict[str, float]:
        """Each factor that it shows."""
        return self.shown_by(self.told)

    def shown_by(self, told: Told) -> dict[str, float]:
        """The same, had `told` been so.

        A cloth of unwashed yarn shows no shrinkage: some of what it loses the yarn would have lost
        in the skein.
        """
        found = shown_factors(told, self.meant, self.weft_m)
        fresh = self.plan.as_spun
        return {one: x for one, x in found.items() if not (fresh and one.startswith("shrink_"))}

    def habit(self, factor: str, told: Told | None = None) -> Spread | None:
        """What would have been taken of it, had `told` been so; None where no habit speaks."""
        try:
            return self.factors.habit(factor, (told or self.told).reed_cm)
        except ImpossibleValue:
            return None

    def said_at(self, factor: str) -> int:
        """The action that said last what the factor is worked out from."""
        return max((self.at.get(name, 0) for name in (*SHOWN_BY[factor], factor)), default=0)


@dataclass(frozen=True, slots=True)
class Seen:
    """One factor of one piece: `observed` in its unit, the habit it had, `y` spreads off it.

    `confirmed`: she stands by it.
    """

    piece: Piece
    factor: str
    observed: float
    habit: Spread
    y: float
    group: str
    confirmed: bool = False

    @property
    def cloth(self) -> str:
        """The name of the cloth."""
        return self.piece.name

    @property
    def stage(self) -> str:
        """ "sample" or "cloth"."""
        return self.piece.stage

    @property
    def group_said(self) -> str:
        """The group in words, as they follow “3 of your”."""
        return self.piece.factors.group_said(self.factor)

    @property
    def unit(self) -> str:
        """Of `observed` and the habit: "fraction", "ratio" or "cm"."""
        return UNITS.get(self.factor, "fraction")

    @property
    def absurd(self) -> bool:
        """Not to be believed by itself: far off any habit, larger where it can but shrink, or a
        weft shorter than straight across the cloth."""
        grew = self.factor in LOSSES and self.observed < -GREW
        return abs(self.y) > ABSURD or grew or self.shorter_than_straight

    @property
    def shorter_than_straight(self) -> bool:
        """A weft of which less went in than lies straight across the cloth off the loom."""
        told = self.piece.told
        if self.factor != "weft_take_up" or not told.off_width_cm or not told.reed_cm:
            return False
        return (1 + self.observed) * told.reed_cm < told.off_width_cm

    def record(self) -> Record:
        """As the craft has it."""
        piece = self.piece.plan
        return Record(self.factor, self.group, piece_of(piece), self.y, self.confirmed)


@dataclass(frozen=True)
class Taught:
    """All that was seen, in the order of the cloths, and what of it is held back."""

    seen: tuple[Seen, ...] = ()

    @cached_property
    def held_back(self) -> tuple[Seen, ...]:
        """What is absurd, and not confirmed, nor made likely by her other records."""
        odd = [one for one in self.seen if one.absurd and not one.confirmed]
        if not odd:
            return ()
        rest = [one for one in self.seen if one.confirmed or not one.absurd]
        asked = _columns(odd)
        chance = beliefs(_columns(rest), asked).p(asked.y)
        return tuple(
            one
            for one, p in zip(odd, chance.tolist(), strict=True)
            if p < DOUBTFUL_P or abs(one.y) <= ABSURD
        )

    @cached_property
    def counting(self) -> tuple[Seen, ...]:
        """What is not held back."""
        held = {id(one) for one in self.held_back}
        return tuple(one for one in self.seen if id(one) not in held)

    @property
    def columns(self) -> RecordColumns:
        """The records of `counting`, in that order."""
        return _columns(self.counting)

    @cached_property
    def lessons(self) -> Lessons:
        """What they teach together."""
        return Lessons(self.columns)


NOTHING_TAUGHT = Taught()


def _columns(seen: Sequence[Seen]) -> RecordColumns:
    return record_columns(one.record() for one in seen)


def piece_of(plan: Plan) -> str:
    """How records name a cloth, its sample with it; a cloth not stored is no piece of hers."""
    return "" if plan.id is None else plan.name or ""


def records_of(connection: Connection) -> tuple[RecordColumns, tuple[Seen, ...]]:
    """Every record that may teach, and what each was seen on, in the same order.

    What is held back is left out. Source: docs/learning.md, docs/life.md.
    """
    found = taught(connection)
    return found.columns, found.counting


def taught(connection: Connection) -> Taught:
    """Every factor that a cloth or sample of the stash shows."""
    told = facts(connection)
    if not told:
        return NOTHING_TAUGHT
    found = [plan for plan in cloths.plans(connection) if plan.id in told]
    known = supplies(connection, sorted({one for plan in found for one in plan.skein_ids}))
    confirmed, used = confirmed_factors(connection), yarn_used(connection)
    return Taught(
        tuple(
            one
            for plan in found
            for piece in pieces(plan, told[plan.id or 0], known, used.get(plan.id or 0, Used()))
            for one in _seen(piece, confirmed.get(plan.id or 0, {}))
        )
    )


def pieces(plan: Plan, told: Facts, known: Mapping[int, Supply], used: Used) -> tuple[Piece, Piece]:
    """A cloth's sample, and the cloth itself, with what was told of them."""
    sample, cloth = Factors(plan, known, told.sample.wash), Factors(plan, known, told.cloth.wash)
    weft_m, weighed_at = _weft(plan, used, known)
    wound = replace(
        told.cloth,
        reed_cm=_reed_cm(plan, told.cloth),
        warp_cm=told.cloth.warp_cm or plan.warp_cut_cm,
    )
    at = {**told.cloth_at, "reed_cm": told.cloth_at.get("ends", 0), "weft_take_up": weighed_at}
    let_off = sample.let_off().mean
    single = Meant(plan.picks_per_cm, let_off=let_off)
    return (
        Piece(plan, SAMPLE, told.sample, single, sample, told.sample_at),
        Piece(plan, CLOTH, wound, meant_by(plan, cloth), cloth, at, weft_m),
    )


def meant_by(plan: Plan, factors: Factors) -> Meant:
    """What a cloth is woven to."""
    fringe_cm = 0.0
    if plan.fringe_cm:
        given = plan.given.get("shrink_length")
        lost = given.spread.mean if given else factors.shrinkage("shrink_length").mean
        fringe_cm = float(fringe_cut(plan.fringe_cm, lost))
    return Meant(
        picks_per_cm=plan.picks_per_cm,
        pieces=plan.pieces,
        extra_cm=plan.sample_cm + plan.header_cm,
        unwoven_cm=(plan.pieces - 1) * plan.gap_cm + 2 * plan.pieces * fringe_cm,
        fringe_in_waste_cm=2 * fringe_cm if plan.fringe_from_waste else 0.0,
        let_off=factors.let_off().mean,
    )


def _reed_cm(plan: Plan, told: Told) -> float | None:
    """As sleyed, once it is wound: what is not said is as it was settled then."""
    ends = told.ends or plan.ends
    return ends / plan.sett_per_cm if ends and plan.status != "planned" else None


def _weft(plan: Plan, used: Used, known: Mapping[int, Supply]) -> tuple[float | None, int]:
    """Metres of weft that a scale says went in, and the action that said so last.

    None where a skein was not weighed, serves the warp as well, or its grist is hardly known.
    """
    ids = {part.skein_id for part in plan.weft}
    on_warp = {part.skein_id for part in plan.warp}
    if ids & on_warp or not ids <= used.weighed.keys() or not _sure(ids, known):
        return None, 0
    metres = sum(1000 * used.grams[one] / known[one].tex for one in ids)
    return (metres if metres > 0 else None), max(used.weighed[one] for one in ids)


def _sure(skein_ids: Collection[int], known: Mapping[int, Supply]) -> bool:
    found = [known[one] for one in skein_ids]
    return all(one.tex_known and one.cov3[1, 1] <= SURE_GRIST**2 for one in found)


def _seen(piece: Piece, confirmed: Mapping[str, int]) -> Iterator[Seen]:
    for factor, observed in piece.shown.items():
        habit = piece.habit(factor)
        if factor not in GROUPED_BY or habit is None or not habit.log_sd > 0:
            continue
        stood_by = confirmed.get(factor, 0)
        yield Seen(
            piece=piece,
            factor=factor,
            observed=observed,
            habit=habit,
            y=float(spreads_off(observed, habit)),
            group=group_of(factor, piece.factors.traits(factor)),
            confirmed=stood_by > piece.said_at(factor),
        )
