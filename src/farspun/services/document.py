"""The layout of a whole stash as one JSON document, as docs/json.md tells it.

Things are nested and named, never numbered; a row tells which command wrote it by that command's
place in `actions`. Each model names its fields as the table does its columns, and what is not known
is left out. Nothing is turned into another kind, and nothing is passed over: a key that is not
known, or a value outside what the commands would take, is refused.
"""

from typing import Annotated, Any, Literal

from pydantic import BaseModel, ConfigDict, Field

LAYOUT = 3  # 1 had no records of what was woven, 2 no balls weighed at the loom
FIRST_LAYOUT = 1
MOST_MG = 50_000_000  # 50 kg, as for any mass
MOST_MM = 100_000_000_000  # 100 000 km, as for any length
MOST_STEP_UG = MOST_MG * 1000
MOST_IN_LEDGER_MG = 10**15  # a length at its grist may come to more than a scale takes; judgement
MOST_COUNTED = 1_000_000_000
MOST_WRAPS_PER_100M = 787_402  # 200 wpi
LEAST_MILLITEX, MOST_MILLITEX = 10, 1_000_000_000
MOST_MICRO_PER_M = 100_000_000_000  # 1000 threads per cm
MOST_UM = 10**12  # 1000 km, the longest warp
MOST_NANO = 10**13  # a loom waste of 100 m, in billionths of a cm

Place = Annotated[int, Field(ge=0)]  # in `actions`
Time = Annotated[
    str, Field(pattern=r"^\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d(\.\d{1,6})?\+00:00$", max_length=40)
]
Text = Annotated[str, Field(pattern=r"^[^\x00]*$")]
Mass = Annotated[int, Field(ge=1, le=MOST_MG)]
Step = Annotated[int, Field(ge=1, le=MOST_STEP_UG)]
Length = Annotated[int, Field(ge=1, le=MOST_MM)]
OrNoLength = Annotated[int, Field(ge=0, le=MOST_MM)]
ClothLength = Annotated[int, Field(ge=1, le=MOST_UM)]
OrNoClothLength = Annotated[int, Field(ge=0, le=MOST_UM)]
Counted = Annotated[int, Field(ge=1, le=MOST_COUNTED)]
Threads = Annotated[int, Field(ge=1, le=MOST_MICRO_PER_M)]
Promise = Annotated[int, Field(gt=500_000, le=999_000)]


class Strict(BaseModel):
    """Every key known, every value of its own kind."""

    model_config = ConfigDict(strict=True, extra="forbid")


class ActionDocument(Strict):
    """One command that wrote; `undoes`: the place of the one it took back."""

    at: Time
    command: Text
    said: Text
    undoes: Place | None = None


class ReadingDocument(Strict):
    """One measurement of a skein; `struck`: the place of the command that struck it out."""

    action: Place
    kind: Literal["weighed", "counted", "test length", "wrapped", "labelled"]
    said: Text
    struck: Place | None = None
    mass_mg: Mass | None = None
    step_ug: Step | None = None
    length_mm: Length | None = None
    strands: Counted | None = None
    once_round_mm: Length | None = None
    wraps_per_100m: Annotated[int, Field(ge=1, le=MOST_WRAPS_PER_100M)] | None = None
    millitex: Annotated[int, Field(ge=LEAST_MILLITEX, le=MOST_MILLITEX)] | None = None
    state: Literal["relaxed", "unwashed", "under-tension", "not said"] | None = None
    tool: str | None = None
    written: dict[str, str] | None = None


class LineDocument(Strict):
    """One line of a skein's ledger."""

    action: Place
    kind: Literal["made", "evidence", "taken", "weighed", "closed", "undone", "returned"]
    delta_mg: Annotated[int, Field(ge=-MOST_IN_LEDGER_MG, le=MOST_IN_LEDGER_MG)]
    said: Text
    length_mm: Length | None = None
    weighed_mg: Mass | None = None
    step_ug: Step | None = None
    cloth: str | None = None
    off_claim_mg: Annotated[int, Field(ge=0, le=MOST_IN_LEDGER_MG)] | None = None


class SkeinDocument(Strict):
    """What she says of a skein, every reading of it, and its ledger."""

    action: Place
    name: str
    status: Literal["open", "closed"]
    closed_because: Literal["used", "given", "sold", "lost", "spoiled"] | None = None
    fibre: str
    plies: Annotated[int, Field(ge=1, le=100)] | None = None
    draw: Literal["woollen", "semi", "worsted"]
    twist: Literal["S", "Z"] | None = None
    superwash: bool
    mill: bool
    rebuy_mg: Mass | None = None
    rebuy_said: Text | None = None
    wrap: Literal["snug", "loose"] | None = None
    colour: str | None = None
    spun: str | None = None
    place: str | None = None
    note: str | None = None
    tug: Literal["holds", "drifts"] | None = None
    readings: list[ReadingDocument]
    ledger: list[LineDocument]


class LoomDocument(Strict):
    """A loom."""

    action: Place
    name: str
    kind: Literal["rigid-heddle", "table", "floor", "frame"]
    width_mm: Length
    waste_mm: OrNoLength | None = None
    waste_sd_mm: OrNoLength | None = None
    tie: Literal["knots", "lashed"]
    shafts: Counted | None = None


class ReedDocument(Strict):
    """A reed or a rigid heddle; `loom` where it fits one only."""

    action: Place
    name: str
    microdents_per_m: Annotated[int, Field(ge=10_000_000, le=10_000_000_000)]
    said: Text
    rigid_heddle: bool
    loom: str | None = None


class PartDocument(Strict):
    """A skein's place in the warp's order or among the wefts."""

    action: Place
    skein: str
    ends: Counted | None = None
    share_ppm: Annotated[int, Field(ge=1, le=1_000_000)] | None = None


class AssumptionDocument(Strict):
    """A figure given by hand for one cloth, in billionths."""

    action: Place
    name: str
    mean_nano: Annotated[int, Field(ge=0, le=MOST_NANO)]
    sd_nano: Annotated[int, Field(ge=0, le=MOST_NANO)]
    said: Text


class ClaimDocument(Strict):
    """Yarn of one skein kept for one side of the cloth."""

    action: Place
    skein: str
    side: Literal["warp", "weft"]
    mass_mg: Annotated[int, Field(ge=0, le=MOST_IN_LEDGER_MG)]


class RecordDocument(Strict):
    """What one command told of the cloth, or of its sample."""

    action: Place
    stage: Literal["sample", "wound", "on-loom", "off-loom", "finished"]
    said: Text
    ends: Counted | None = None
    warp_um: ClothLength | None = None
    thrums_um: OrNoClothLength | None = None
    spare_um: OrNoClothLength | None = None
    tape_um: ClothLength | None = None
    picks_micro_per_m: Threads | None = None
    picks_state: Literal["tight", "rested"] | None = None
    reed_um: ClothLength | None = None
    off_width_um: ClothLength | None = None
    off_length_um: ClothLength | None = None
    washed_width_um: ClothLength | None = None
    washed_length_um: ClothLength | None = None
    wash: Literal["gentle", "hot", "fulled", "machine", "none"] | None = None
    mass_mg: Mass | None = None


class WeighingDocument(Strict):
    """A ball of one of the cloth's wefts, weighed at the loom."""

    action: Place
    skein: str
    woven_um: OrNoClothLength
    mass_mg: Annotated[int, Field(ge=0, le=MOST_MG)]
    step_ug: Step
    said: Text


class ConfirmedDocument(Strict):
    """A factor of the cloth that was asked about and counts."""

    action: Place
    factor: str


class ClothDocument(Strict):
    """A cloth with its yarns, what was given by hand for it, its claims, and what it measured."""

    action: Place
    name: str
    status: Literal["planned", "wound", "on-loom", "off-loom", "finished", "given-up"]
    width_um: ClothLength
    length_um: ClothLength
    size_said: Text
    pieces: Counted
    weave: str
    purpose: Literal["drape", "everyday", "firm", "weft-faced", "warp-faced"]
    loom: str | None = None
    reed: str | None = None
    loom_asked: bool
    reed_asked: bool
    sett_asked_micro_per_m: Threads | None = None
    picks_asked_micro_per_m: Threads | None = None
    sett_micro_per_m: Threads
    picks_micro_per_m: Threads
    per_dent: list[Annotated[int, Field(ge=0, le=1000)]] | None = None
    direct: bool
    as_spun: bool
    cut: bool
    wash: Literal["gentle", "hot", "fulled", "machine", "none"]
    promise_ppm: Promise
    size_promise_ppm: Promise | None = None
    give_ppm: Annotated[int, Field(ge=0, lt=1_000_000)] | None = None
    priority: Counted
    planned_at: Time
    ends: Counted | None = None
    warp_cut_um: ClothLength | None = None
    hem_um: OrNoClothLength
    side_hem_um: OrNoClothLength
    fringe_um: OrNoClothLength
    gap_um: OrNoClothLength
    header_um: OrNoClothLength
    sample_um: OrNoClothLength
    floating_selvedges: Annotated[int, Field(ge=0, le=MOST_COUNTED)]
    repeat: Counted
    fringe_from_waste: bool
    warp_order: Text | None = None
    weft_order: Text | None = None
    warp: Annotated[list[PartDocument], Field(min_length=1)]
    weft: Annotated[list[PartDocument], Field(min_length=1)]
    assumptions: list[AssumptionDocument]
    claims: list[ClaimDocument]
    records: list[RecordDocument] = Field(default_factory=list)
    confirmed: list[ConfirmedDocument] = Field(default_factory=list)
    weighings: list[WeighingDocument] = Field(default_factory=list)


class StashDocument(Strict):
    """A whole stash."""

    farspun: Literal["stash"]
    layout: Annotated[int, Field(ge=FIRST_LAYOUT, le=LAYOUT)]
    actions: list[ActionDocument]
    looms: list[LoomDocument]
    reeds: list[ReedDocument]
    skeins: list[SkeinDocument]
    cloths: list[ClothDocument]


def columns(model: type[Strict]) -> list[str]:
    """The fields that are columns of their own: not another row's, nor another thing's name."""
    named = {"action", "struck", "cloth", "skein", "loom", "reed"}
    nested = {"readings", "ledger", "warp", "weft", "assumptions", "claims"}
    nested |= {"records", "confirmed", "weighings"}
    return [name for name in model.model_fields if name not in named | nested]


def values(one: Strict) -> dict[str, Any]:
    """What goes into the columns of the thing's own table."""
    return {name: getattr(one, name) for name in columns(type(one))}
