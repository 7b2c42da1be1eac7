"""The whole answer for one cloth, as scripts read it and the screen says it."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, fields
from typing import Any, Literal

from farspun.craft.plan import Plan

ToldBy = Literal["hand", "records", "habit"]


@dataclass(frozen=True, slots=True)
class Three:
    """5, 50 and 95 in 100 points; None where a length is not known."""

    p05: float | None
    p50: float | None
    p95: float | None


UNKNOWN_POINTS = Three(None, None, None)


@dataclass(frozen=True, slots=True)
class NeedAnswer:
    """One yarn: what it needs, what there is, the odds, what is short."""

    skeins: list[str]
    need_m: Three
    have_m: Three
    odds: float | None
    short_m: float | None
    short_g: float | None
    in_hand_m: float = 0.0


@dataclass(frozen=True, slots=True)
class OddsAnswer:
    """The chance of each promise; None where it is not asked or cannot be told."""

    yarn: float | None
    warp: float | None
    weft: float | None
    size: float
    all: float | None


@dataclass(frozen=True, slots=True)
class StripeAnswer:
    """A stripe of one repeat: its yarn, its ends or picks, and how many there are up to it."""

    yarn: str
    threads: int
    upto: int


@dataclass(frozen=True, slots=True)
class YarnThreads:
    """A yarn and all its ends or picks, floating selvedges not counted."""

    yarn: str
    threads: int


@dataclass(frozen=True, slots=True)
class OrderAnswer:
    """An order as it is wound or woven: `stripes` of one repeat, which is `threads` long.

    It comes `repeats` times whole and `over` threads more: over the ends, or, in a weft, over the
    picks of each piece.
    """

    order: str
    threads: int
    repeats: int
    over: int
    stripes: list[StripeAnswer]
    yarns: list[YarnThreads]


@dataclass(frozen=True, slots=True)
class SetupAnswer:
    """The set-up at middle values: as `reckon`, with sett, reed, sleying, picks and orders."""

    reed_width_cm: float
    ends: int
    off_loom_length_cm: float
    off_loom_width_cm: float
    woven_length_cm: float
    tape_length_cm: float
    warp_length_cm: float
    warp_cut_cm: float
    warp_yarn_m: float
    warp_yarn_cut_m: float
    picks: int
    pick_length_cm: float
    weft_yarn_m: float
    sett_ends_per_cm: float
    reed: str | None
    per_dent: list[int] | None
    picks_per_cm: float
    warp_order: OrderAnswer | None = None
    weft_order: OrderAnswer | None = None


@dataclass(frozen=True, slots=True)
class SizeAllowance:
    """What of the set-up is there only so that the size is kept."""

    length_cm: float
    ends: int
    yarn_m: float


@dataclass(frozen=True, slots=True)
class CauseShare:
    """A cause of doubt and its share."""

    cause: str
    share: float


@dataclass(frozen=True, slots=True)
class SizeAfter:
    """Metres of warp kept for one promise of size, after a washed sample and without one."""

    yarn_m: float
    without_m: float
    promise: float


@dataclass(frozen=True, slots=True)
class ToSettle:
    """What to do to settle it; the odds if that confirms what is thought now, and the chance that
    it ends in a clear yes; of a washed sample, what it would do to the yarn kept for size."""

    do: str
    odds_after: float | None
    clear_yes: float | None = None
    size_after: SizeAfter | None = None


@dataclass(frozen=True, slots=True)
class Notice:
    """Something to know: a stable code and a sentence."""

    code: str
    text: str


@dataclass(frozen=True, slots=True)
class Assumption:
    """A factor with its middle value, spread, where that came from in words, and who told it."""

    name: str
    mean: float
    sd: float
    origin: str
    told_by: ToldBy = "habit"


@dataclass(frozen=True, slots=True)
class Handle:
    """What cloth is like. Rested: g/m², crimps, cover of both systems, share of the closest sett,
    and that in words; washed: g/m².
    """

    mass_g_per_m2: float
    warp_crimp_fraction: float
    weft_crimp_fraction: float
    cover_cloth: float
    share_of_limit: float
    washed_mass_g_per_m2: float
    handle: str


@dataclass(frozen=True, slots=True)
class Beside:
    """The cloth one step "looser" or "closer", on a reed of hers."""

    step: str
    reed: str
    per_dent: list[int]
    sett_ends_per_cm: float
    picks_per_cm: float
    cloth: Handle


@dataclass(frozen=True, slots=True)
class ClothNow(Handle):
    """The cloth as it is planned, and the next setts on either side that her reeds give."""

    beside: list[Beside] = field(default_factory=list)


@dataclass(frozen=True, slots=True)
class InTheWay:
    """Skeins that are most often too short, and the cloths that need them.

    No skein where it is the set-up of the cloth that is too small for its pieces.
    """

    skeins: list[str]
    cloths: list[str]


@dataclass(frozen=True, slots=True)
class TogetherAnswer:
    """The chance that a cloth and all before it by priority reach; None where the length of the
    skein `unknown` is not known. `in_the_way` None where nothing ever is.
    """

    odds: float | None
    in_the_way: InTheWay | None
    unknown: str | None = None


@dataclass(frozen=True, slots=True)
class Check:
    """The answer. `plan` and `claims` are for the screen; the rest is the document.

    `later_keepers`: cloths of a later priority that keep yarn by which this one would reach.
    """

    cloth: str | None
    status: str
    verdict: str
    promise: float
    odds: OddsAnswer
    warp: list[NeedAnswer]
    weft: list[NeedAnswer]
    setup: SetupAnswer
    allowance_for_size: SizeAllowance
    drivers: list[CauseShare]
    settle: ToSettle | None
    warnings: list[Notice]
    cloth_now: ClothNow | None
    assumptions: list[Assumption]
    plan: Plan
    weakest: str | None = None
    claims_mg: Mapping[tuple[int, str], int] = field(default_factory=dict)
    split_m: tuple[float, float] | None = None
    together: TogetherAnswer | None = None
    later_keepers: Sequence[str] = ()

    @property
    def needs(self) -> Sequence[NeedAnswer]:
        """Warp yarns, then weft yarns."""
        return (*self.warp, *self.weft)

    @property
    def asked_odds(self) -> float | None:
        """What the verdict is on: the odds of the yarn; for pieces to be cut, of its size too."""
        return self.odds.all if self.plan.cut else self.odds.yarn

    @property
    def too_small(self) -> bool:
        """Whether it will hardly come out as large as asked, whatever the yarn does."""
        return not self.plan.cut and self.odds.size is not None and self.odds.size < HARDLY


HARDLY = 0.5  # judgement: not even as likely as not
ONLY_FOR_THE_SCREEN = ("plan", "weakest", "claims_mg", "split_m", "together", "later_keepers")


def check_document(check: Check) -> dict[str, Any]:
    """The answer as one JSON object; what the screen alone needs is left out."""
    document: dict[str, Any] = {
        entry.name: getattr(check, entry.name)
        for entry in fields(check)
        if entry.name not in ONLY_FOR_THE_SCREEN
    }
    document["assumptions"] = [
        {
            "name": one.name,
            "mean": one.mean,
            "sd": one.sd,
            "from": one.origin,
            "told_by": one.told_by,
        }
        for one in check.assumptions
    ]
    return document


def check_documents(checks: Sequence[Check]) -> list[dict[str, Any]]:
    """One such object for each; of several also `together` and `in_the_way` (TogetherAnswer)."""
    documents = [check_document(check) for check in checks]
    for document, check in zip(documents, checks, strict=True):
        if len(checks) > 1 and check.together is not None:
            document["together"] = check.together.odds
            document["in_the_way"] = check.together.in_the_way
    return documents
