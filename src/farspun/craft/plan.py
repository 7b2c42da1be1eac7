"""A cloth as it is planned: what she asks, and the set-up chosen for it. Plain data."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from farspun.craft.spread import Spread

STAGES = ("planned", "wound", "on-loom", "off-loom", "finished")
WARPED = ("wound", "on-loom")  # only the warp's yarn has left its skeins
WOVEN = ("off-loom", "finished")
OPEN = ("planned", *WARPED)  # what may still fall short


@dataclass(frozen=True, slots=True)
class Loom:
    """A loom she owns; width in cm; `waste` its loom waste in cm where she measured it."""

    name: str
    kind: str
    width_cm: float
    tie: str = "knots"
    waste: Spread | None = None
    shafts: int | None = None
    id: int | None = None


@dataclass(frozen=True, slots=True)
class Reed:
    """A reed or rigid heddle she owns; `loom_id` where it fits one loom only."""

    name: str
    dents_per_10cm: float
    rigid_heddle: bool = False
    loom_id: int | None = None
    id: int | None = None

    def fits(self, loom: Loom | None) -> bool:
        """Rigid heddles go on rigid-heddle looms, reeds on the others."""
        if loom is None:
            return True
        if self.loom_id is not None:
            return self.loom_id == loom.id
        return self.rigid_heddle == (loom.kind == "rigid-heddle")


@dataclass(frozen=True, slots=True)
class Part:
    """A skein's place on one side: `ends` of the warp's repeat, or `share` of the picks."""

    skein_id: int
    ends: int | None = None
    share: float | None = None


@dataclass(frozen=True, slots=True)
class Given:
    """An assumption given by hand, and how it was said."""

    spread: Spread
    said: str


@dataclass(frozen=True, slots=True)
class Plan:
    """One cloth. Lengths in cm, setts per cm, fractions of one; None where left to farspun.

    `sett_asked`, `picks_asked`: as given; `sett_per_cm`, `picks_per_cm`, `loom`, `reed` and
    `per_dent`: as settled; `loom_asked`, `reed_asked`: whether she named it. `fringe_cm` is the
    finished fringe. `given` maps an assumption to what she said. `warp_order`, `weft_order`: the
    order of that side's yarns as text; its parts then hold what one order comes to.
    """

    width_cm: float
    length_cm: float
    size_said: str
    warp: tuple[Part, ...]
    weft: tuple[Part, ...]
    sett_per_cm: float
    picks_per_cm: float
    weave: str = "plain"
    purpose: str = "everyday"
    wash: str = "gentle"
    pieces: int = 1
    loom: Loom | None = None
    reed: Reed | None = None
    per_dent: tuple[int, ...] | None = None
    loom_asked: bool = False
    reed_asked: bool = False
    sett_asked: float | None = None
    picks_asked: float | None = None
    direct: bool = False
    as_spun: bool = False
    cut: bool = False
    promise: float = 0.95
    size_promise: float | None = None
    give: float | None = None
    ends: int | None = None
    warp_cut_cm: float | None = None
    hem_cm: float = 0.0
    side_hem_cm: float = 0.0
    fringe_cm: float = 0.0
    gap_cm: float = 0.0
    header_cm: float = 0.0
    sample_cm: float = 0.0
    floating_selvedges: int = 0
    repeat: int = 1
    fringe_from_waste: bool = False
    warp_order: str | None = None
    weft_order: str | None = None
    given: Mapping[str, Given] = field(default_factory=dict)
    priority: int = 100
    name: str | None = None
    status: str = "planned"
    planned_at: str = ""
    id: int | None = None

    @property
    def skein_ids(self) -> tuple[int, ...]:
        """All its skeins, each once, warp first."""
        return tuple(dict.fromkeys(part.skein_id for part in (*self.warp, *self.weft)))

    @property
    def uses(self) -> frozenset[tuple[int, str]]:
        """Every (skein id, side) the plan names."""
        warp = {(part.skein_id, "warp") for part in self.warp}
        return frozenset(warp | {(part.skein_id, "weft") for part in self.weft})

    @property
    def end_step(self) -> int:
        """Ends come in whole repeats, and in pairs when warping direct."""
        return self.repeat * (2 if self.direct and self.repeat % 2 else 1)
