"""What a warping card says, as plain data: numbers unrounded, in the unit their name ends with."""

from dataclasses import dataclass

from farspun.craft.bouts import Bout, Bundles
from farspun.craft.cautions import Caution
from farspun.craft.lashing import Lashing


@dataclass(frozen=True, slots=True)
class Points:
    """5, 50 and 95 in 100 points; None where a length is not known."""

    p05: float | None
    p50: float | None
    p95: float | None


@dataclass(frozen=True, slots=True)
class Purpose:
    """What the cloth is for: size washed, weave (as it is called), purpose and wash."""

    size_said: str
    width_cm: float
    length_cm: float
    pieces: int
    weave: str
    purpose: str
    wash: str
    loom: str | None


@dataclass(frozen=True, slots=True)
class Yarn:
    """One yarn of a side: what it needs, what there is, and its colour where one is known.

    `colour`: as it was noted; `hex`: `#rrggbb`, None where it is not understood.
    """

    skeins: list[str]
    need_m: Points
    have_m: Points
    odds: float | None
    short_m: float | None
    short_g: float | None
    fibre: str
    colour: str | None = None
    hex: str | None = None

    @property
    def name(self) -> str:
        """Its skeins by name."""
        return " + ".join(self.skeins)


@dataclass(frozen=True, slots=True)
class Setup:
    """The set-up at middle values, under the names that `farspun cloth check --json` has."""

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


@dataclass(frozen=True, slots=True)
class Made:
    """What the card was made from: the day it is printed, and the day and number of the action
    that last changed the plan. A card with another number is of another plan."""

    printed: str
    plan_of: str
    plan_action: int


@dataclass(frozen=True, slots=True)
class Expected:
    """What comes out at middle values, from the ends and the reed width of the card: one piece,
    stopped where the card says; washed before it is hemmed.

    `farthest_tape_cm`: how far the warp can be woven, and the last piece as long as that goes.
    """

    off_loom_width_cm: float
    off_loom_length_cm: float
    washed_width_cm: float
    washed_length_cm: float
    farthest_tape_cm: float
    farthest_off_loom_length_cm: float
    farthest_washed_length_cm: float


@dataclass(frozen=True, slots=True)
class LengthStep:
    """A step from the finished length to the warp: what it is, how much it adds, and the sum.

    `part`: the loss that the addition comes of, as a fraction of the larger thing.
    """

    what: str
    adds_cm: float
    cm: float
    part: float | None = None


@dataclass(frozen=True, slots=True)
class Stripe:
    """A stripe of one repeat: its yarn, its threads, and how many there are up to it."""

    yarn: str
    threads: int
    upto: int


@dataclass(frozen=True, slots=True)
class Stripes:
    """An order: the stripes of one repeat, how often it comes whole, and the threads over."""

    threads: int
    repeats: int
    over: int
    stripes: list[Stripe]


@dataclass(frozen=True, slots=True)
class SkeinEnds:
    """A skein of the warp: its ends, and how many of its yarn are wound when it is done."""

    yarn: str
    skein: str
    ends: int
    upto: int


@dataclass(frozen=True, slots=True)
class Warp:
    """How the warp is made: wound in `bouts`, or direct from a peg `peg_cm` away in `loops`.

    `ends` are those in the reed, without floating selvedges; `order` is None for a warp of one
    yarn; `skeins` is empty once the warp is wound, `missing_ends` are those no skein holds.
    """

    direct: bool
    ends: int
    floating_selvedges: int
    steps: list[LengthStep]
    order: Stripes | None
    skeins: list[SkeinEnds]
    missing_ends: int
    bouts: tuple[Bout, ...]
    peg_cm: float | None
    loops: int | None


@dataclass(frozen=True, slots=True)
class Sleying:
    """The reed (or heddle: holes and slots are its dents), and where the warp stands in it."""

    reed: str
    dents_per_10cm: float
    rigid_heddle: bool
    per_dent: list[int]
    dents: int
    left_of_middle: int
    middle_end: int


@dataclass(frozen=True, slots=True)
class Draft:
    """One repeat of the draft. `tie_up`, `treadling` are None where it is a lift plan.

    `levers`: the loom's shafts are lifted by levers; `straight`: over all its shafts, where a draft
    of two would crowd them.
    """

    shafts: int
    threading: list[int]
    tie_up: list[list[int]] | None
    treadling: list[list[int]] | None
    lift_plan: list[list[int]]
    sinking: bool
    slots_and_holes: bool
    levers: bool = False
    straight: "Straight | None" = None


@dataclass(frozen=True, slots=True)
class Straight:
    """The same draft straight over more shafts: its threading, and the shafts that take the place
    of each shaft of the draft."""

    threading: list[int]
    shafts: list[list[int]]


@dataclass(frozen=True, slots=True)
class Picks:
    """Picks per cm on the loom under tension, off it, and washed."""

    tight_per_cm: float
    rested_per_cm: float
    washed_per_cm: float


@dataclass(frozen=True, slots=True)
class Weighed:
    """One weft yarn at a mark; grams None where its mass is not known."""

    used_m: float | None
    should_g: float | None
    think_below_g: float | None


@dataclass(frozen=True, slots=True)
class Mark:
    """A tenth of the tape, and each weft yarn there, in the order of the card's weft."""

    tape_cm: float
    wefts: list[Weighed]


@dataclass(frozen=True, slots=True)
class Start:
    """What of a weft yarn lies on the scale before the first pick, and what others keep of it.

    `need_g`: what the least cloth that serves takes, `full_g`: what the full size takes.
    """

    start_g: float | None
    keep_g: float | None
    need_g: float | None
    full_g: float | None


@dataclass(frozen=True, slots=True)
class Stop:
    """A stretch to weave, tight: how long, where it ends on the tape, and what stays unwoven."""

    what: str
    tape_cm: float
    upto_cm: float
    then_unwoven_cm: float


@dataclass(frozen=True, slots=True)
class Edges:
    """Hems and fringes: `hem_tape_cm` on the loom, tight; `fringe_cut_cm` as cut on the loom."""

    hem_cm: float
    hem_tape_cm: float
    side_hem_cm: float
    fringe_cm: float
    fringe_cut_cm: float


@dataclass(frozen=True, slots=True)
class Room:
    """Room to write what really happened: a command, and what it asks for in that order."""

    stage: str
    asks: list[str]
    left_of: list[str]


@dataclass(frozen=True, slots=True)
class Card:
    """Everything a warping card says."""

    cloth: str
    made: Made
    status: str
    verdict: str
    promise: float
    odds: float | None
    purpose: Purpose
    warp: list[Yarn]
    weft: list[Yarn]
    setup: Setup
    warping: Warp
    sleying: Sleying | None
    draft: Draft
    separator_cm: float
    lashing: Lashing | None
    lashing_assumed: list[str]
    bundles: tuple[Bundles, ...]
    expected: Expected
    notes: list[str]
    picks: Picks
    starts: list[Start]
    marks: list[Mark]
    stops: list[Stop]
    edges: Edges
    weft_order: Stripes | None
    wet_finish: str
    cautions: tuple[Caution, ...]
    record: list[Room]
