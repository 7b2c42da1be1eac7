"""The tables of a stash, as farspun knows them now.

Amounts are whole numbers of a small unit, named in the column (mm, mg, millionths); a scale's
step is in micrograms. `action` has one row for each command that wrote; every other row carries
its id. What was measured and what was made, taken and weighed is only ever added to. Estimates are
derived from it and may be rebuilt at will, so they alone hold floating numbers.

The file itself is made by farspun.store.migrations; a test compares the two.
"""

from typing import Any

from sqlalchemy import JSON, BigInteger, CheckConstraint, LargeBinary, Table, UniqueConstraint
from sqlmodel import Field, SQLModel

STATUSES = ("open", "closed")
ENTRY_KINDS = ("made", "evidence", "taken", "weighed", "closed", "undone")
EVIDENCE_KINDS = ("weighed", "counted", "test length", "wrapped", "labelled")
RELAX_STATES = ("relaxed", "unwashed", "under-tension", "not said")
REASONS = ("used", "given", "sold", "lost", "spoiled", "undone")
LOOM_KINDS = ("rigid-heddle", "table", "floor", "frame")
CLOTH_STATUSES = ("planned", "wound", "on-loom", "off-loom", "finished", "given-up")
PURPOSES = ("drape", "everyday", "firm", "weft-faced", "warp-faced")
WASHES = ("gentle", "hot", "fulled", "machine", "none")
WHOLE_PPM = 1_000_000  # parts of a million that make one


def _id() -> Any:
    return Field(default=None, primary_key=True)


def _to(table: str, **options: Any) -> Any:
    return Field(foreign_key=f"{table}.id", **options)


def _big(**options: Any) -> Any:
    return Field(sa_type=BigInteger, **options)


def _json(**options: Any) -> Any:
    return Field(sa_type=JSON(none_as_null=True), **options)


def _check(name: str, rule: str) -> CheckConstraint:
    return CheckConstraint(rule, name=name)


def _one_of(name: str, column: str, words: tuple[str, ...]) -> CheckConstraint:
    listed = ", ".join(f"'{word}'" for word in words)
    return CheckConstraint(f"{column} IN ({listed})", name=name)


class Action(SQLModel, table=True):
    """One command that wrote: when (UTC, ISO 8601), which, and how it was typed."""

    __table_args__ = (_check("action_at", "length(at) >= 20"),)
    id: int | None = _id()
    at: str
    command: str
    said: str
    undoes: int | None = _to("action", default=None, unique=True)


class Skein(SQLModel, table=True):
    """What she says of a skein, and its balance: what the ledger adds up to."""

    __table_args__ = (
        _check("skein_name", "length(name) BETWEEN 1 AND 200"),
        _one_of("skein_status", "status", STATUSES),
        _one_of("skein_closed_because", "closed_because", REASONS),
        _check("skein_closed", "(status = 'closed') = (closed_because IS NOT NULL)"),
        _check("skein_plies", "plies BETWEEN 1 AND 100"),
        _one_of("skein_draw", "draw", ("woollen", "semi", "worsted")),
        _one_of("skein_twist", "twist", ("S", "Z")),
        _one_of("skein_wrap", "wrap", ("snug", "loose")),
        _check("skein_rebuy", "rebuy_mg > 0"),
        _check("skein_rebuy_said", "(rebuy_mg IS NULL) = (rebuy_said IS NULL)"),
        _check("skein_balance", "balance_mg >= 0"),
    )
    id: int | None = _id()
    action_id: int = _to("action")
    name: str
    name_key: str = Field(unique=True)
    status: str = "open"
    closed_because: str | None = None
    fibre: str
    plies: int | None = None
    draw: str
    twist: str | None = None
    superwash: bool
    mill: bool
    rebuy_mg: int | None = _big(default=None)
    rebuy_said: str | None = None
    wrap: str | None = None
    colour: str | None = None
    spun: str | None = None
    place: str | None = None
    note: str | None = None
    balance_mg: int | None = _big(default=None)


class Evidence(SQLModel, table=True):
    """One measurement of a skein, kept for ever."""

    __table_args__ = (
        _one_of("evidence_kind", "kind", EVIDENCE_KINDS),
        _one_of("evidence_state", "state", RELAX_STATES),
        _check("evidence_mass", "mass_mg > 0"),
        _check("evidence_step", "step_ug > 0"),
        _check("evidence_length", "length_mm > 0"),
        _check("evidence_strands", "strands > 0"),
        _check("evidence_once_round", "once_round_mm > 0"),
        _check("evidence_wraps", "wraps_per_100m > 0"),
        _check("evidence_millitex", "millitex > 0"),
        _check(
            "evidence_whole",
            "CASE kind"
            " WHEN 'weighed' THEN mass_mg IS NOT NULL AND step_ug IS NOT NULL"
            " WHEN 'counted' THEN length_mm IS NOT NULL AND state IS NOT NULL"
            " WHEN 'test length' THEN"
            " mass_mg IS NOT NULL AND step_ug IS NOT NULL AND length_mm IS NOT NULL"
            " WHEN 'wrapped' THEN wraps_per_100m IS NOT NULL"
            " ELSE millitex IS NOT NULL END",
        ),
    )
    id: int | None = _id()
    action_id: int = _to("action")
    skein_id: int = _to("skein", index=True)
    kind: str
    said: str
    mass_mg: int | None = _big(default=None)
    step_ug: int | None = _big(default=None)
    length_mm: int | None = _big(default=None)
    strands: int | None = None
    once_round_mm: int | None = _big(default=None)
    wraps_per_100m: int | None = _big(default=None)
    millitex: int | None = _big(default=None)
    state: str | None = None
    tool: str | None = None


class Loom(SQLModel, table=True):
    """A loom she owns."""

    __table_args__ = (
        _check("loom_name", "length(name) BETWEEN 1 AND 200"),
        _one_of("loom_kind", "kind", LOOM_KINDS),
        _check("loom_width", "width_mm > 0"),
        _check("loom_waste", "waste_mm >= 0"),
        _check("loom_waste_sd", "waste_sd_mm >= 0"),
        _one_of("loom_tie", "tie", ("knots", "lashed")),
        _check("loom_shafts", "shafts > 0"),
    )
    id: int | None = _id()
    action_id: int = _to("action")
    name: str
    name_key: str = Field(unique=True)
    kind: str
    width_mm: int = _big()
    waste_mm: int | None = _big(default=None)
    waste_sd_mm: int | None = _big(default=None)
    tie: str
    shafts: int | None = None


class Reed(SQLModel, table=True):
    """A reed or a rigid heddle she owns; dents in millionths per metre."""

    __table_args__ = (
        _check("reed_name", "length(name) BETWEEN 1 AND 200"),
        _check("reed_dents", "microdents_per_m > 0"),
    )
    id: int | None = _id()
    action_id: int = _to("action")
    name: str
    name_key: str = Field(unique=True)
    microdents_per_m: int = _big()
    said: str
    rigid_heddle: bool
    loom_id: int | None = _to("loom", default=None)


class Cloth(SQLModel, table=True):
    """One planned or woven piece; µm keep inches exact, and millionths threads per inch."""

    __table_args__ = (
        _check("cloth_name", "length(name) BETWEEN 1 AND 200"),
        _one_of("cloth_status", "status", CLOTH_STATUSES),
        _check("cloth_size", "width_um > 0 AND length_um > 0"),
        _check("cloth_pieces", "pieces > 0"),
        _one_of("cloth_purpose", "purpose", PURPOSES),
        _check("cloth_sett_asked", "sett_asked_micro_per_m > 0"),
        _check("cloth_picks_asked", "picks_asked_micro_per_m > 0"),
        _check("cloth_sett", "sett_micro_per_m > 0"),
        _check("cloth_picks", "picks_micro_per_m > 0"),
        _one_of("cloth_wash", "wash", WASHES),
        _check("cloth_promise", "promise_ppm > 500000 AND promise_ppm <= 999000"),
        _check("cloth_size_promise", "size_promise_ppm > 500000 AND size_promise_ppm <= 999000"),
        _check("cloth_give", "give_ppm >= 0 AND give_ppm < 1000000"),
        _check("cloth_priority", "priority >= 1"),
        _check("cloth_ends", "ends > 0"),
        _check("cloth_warp_cut", "warp_cut_um > 0"),
        _check(
            "cloth_lengths",
            "hem_um >= 0 AND side_hem_um >= 0 AND fringe_um >= 0 AND gap_um >= 0"
            " AND header_um >= 0 AND sample_um >= 0",
        ),
        _check("cloth_floating_selvedges", "floating_selvedges >= 0"),
        _check("cloth_repeat", "repeat >= 1"),
    )
    id: int | None = _id()
    action_id: int = _to("action")
    name: str
    name_key: str = Field(unique=True)
    status: str = "planned"
    width_um: int = _big()
    length_um: int = _big()
    size_said: str
    pieces: int = 1
    weave: str
    purpose: str
    loom_id: int | None = _to("loom", default=None)
    reed_id: int | None = _to("reed", default=None)
    sett_asked_micro_per_m: int | None = _big(default=None)
    picks_asked_micro_per_m: int | None = _big(default=None)
    sett_micro_per_m: int = _big()
    picks_micro_per_m: int = _big()
    per_dent: list[int] | None = _json(default=None)
    direct: bool
    as_spun: bool
    cut: bool
    wash: str
    promise_ppm: int
    size_promise_ppm: int | None = None
    give_ppm: int | None = None
    priority: int
    planned_at: str
    ends: int | None = None
    warp_cut_um: int | None = _big(default=None)
    hem_um: int = _big(default=0)
    side_hem_um: int = _big(default=0)
    fringe_um: int = _big(default=0)
    gap_um: int = _big(default=0)
    header_um: int = _big(default=0)
    sample_um: int = _big(default=0)
    floating_selvedges: int = 0
    repeat: int = 1
    fringe_from_waste: bool = False


class ClothYarn(SQLModel, table=True):
    """A skein's place in the warp's order or the weft's bands."""

    __tablename__ = "cloth_yarn"
    __table_args__ = (
        UniqueConstraint("cloth_id", "side", "position", name="cloth_yarn_place"),
        _one_of("cloth_yarn_side", "side", ("warp", "weft")),
        _check("cloth_yarn_position", "position >= 0"),
        _check("cloth_yarn_ends", "ends > 0"),
        _check("cloth_yarn_share", "share_ppm > 0 AND share_ppm <= 1000000"),
    )
    id: int | None = _id()
    action_id: int = _to("action")
    cloth_id: int = _to("cloth", index=True)
    side: str
    position: int
    skein_id: int = _to("skein", index=True)
    ends: int | None = None
    share_ppm: int | None = None


class ClothSpread(SQLModel, table=True):
    """An assumption given by hand for one cloth, in billionths, and how it was said."""

    __tablename__ = "cloth_spread"
    __table_args__ = (
        UniqueConstraint("cloth_id", "name", name="cloth_spread_name"),
        _check("cloth_spread_sd", "sd_nano >= 0"),
    )
    id: int | None = _id()
    action_id: int = _to("action")
    cloth_id: int = _to("cloth", index=True)
    name: str
    mean_nano: int = _big()
    sd_nano: int = _big()
    said: str


class Claim(SQLModel, table=True):
    """Yarn of one skein kept for one side of one cloth."""

    __table_args__ = (
        UniqueConstraint("cloth_id", "skein_id", "side", name="claim_once"),
        _one_of("claim_side", "side", ("warp", "weft")),
        _check("claim_mass", "mass_mg >= 0"),
    )
    id: int | None = _id()
    action_id: int = _to("action")
    cloth_id: int = _to("cloth", index=True)
    skein_id: int = _to("skein", index=True)
    side: str
    mass_mg: int = _big()


class Entry(SQLModel, table=True):
    """A line of the ledger: what came to a skein or left it, and how that was said.

    `off_claim_mg` is the part of what was taken that came off the cloth's claim.
    """

    __table_args__ = (
        _one_of("entry_kind", "kind", ENTRY_KINDS),
        _check("entry_made", "kind <> 'made' OR delta_mg > 0"),
        _check("entry_taken", "kind <> 'taken' OR delta_mg < 0"),
        _check("entry_length", "length_mm > 0"),
        _check("entry_weighed", "weighed_mg > 0"),
        _check("entry_step", "step_ug > 0"),
        _check("entry_scale", "(weighed_mg IS NULL) = (step_ug IS NULL)"),
        _check("entry_off_claim", "off_claim_mg >= 0"),
    )
    id: int | None = _id()
    action_id: int = _to("action")
    skein_id: int = _to("skein", index=True)
    kind: str
    delta_mg: int = _big()
    said: str
    length_mm: int | None = _big(default=None)
    weighed_mg: int | None = _big(default=None)
    step_ug: int | None = _big(default=None)
    cloth_id: int | None = _to("cloth", default=None)
    off_claim_mg: int | None = _big(default=None)


class Estimate(SQLModel, table=True):
    """What the readings of a skein say together, and what is left of it now.

    `loads` lists [shared cause, on ln length, on ln tex, on ln fill]; `now_load` [cause, on ln
    length]; `pulls` maps an evidence id to its residual in spreads. `now_…` are null where the
    length is not known or nothing is left; `now_sd_ln` holds own and shared doubt together.
    """

    skein_id: int = _to("skein", primary_key=True)
    ln_length: float
    ln_tex: float
    ln_fill: float
    var_length: float
    cov_length_tex: float
    cov_length_fill: float
    var_tex: float
    cov_tex_fill: float
    var_fill: float
    ln_wraps_per_cm: float
    loads: list[Any] = _json()
    chi2: float
    dof: int
    p: float
    length_known: bool
    tex_known: bool
    conflict: dict[str, Any] | None = _json(default=None)
    pulls: dict[str, float] = _json()
    now_ln_length: float | None = None
    now_own_sd_ln: float | None = None
    now_sd_ln: float | None = None
    now_load: list[Any] | None = _json(default=None)
    forgotten_take: bool = False


class SharedCause(SQLModel, table=True):
    """A cause of doubt that skeins share: where it stands in the covariance, and what it is."""

    __tablename__ = "shared_cause"
    key: str = Field(primary_key=True)
    position: int = Field(unique=True)
    mean: float
    sd: float
    skeins: int


class SharedCovariance(SQLModel, table=True):
    """The one covariance of all shared causes: float64, little end first, row by row."""

    __tablename__ = "shared_covariance"
    __table_args__ = (_check("shared_covariance_one", "id = 1"),)
    id: int = Field(primary_key=True)
    size: int
    cov: bytes = Field(sa_type=LargeBinary)


def _table(name: str) -> Table:
    return SQLModel.metadata.tables[name]


action, skein, evidence, entry = (_table(n) for n in ("action", "skein", "evidence", "entry"))
loom, reed, cloth, claim = (_table(n) for n in ("loom", "reed", "cloth", "claim"))
cloth_yarn, cloth_spread = _table("cloth_yarn"), _table("cloth_spread")
estimate, shared_cause = _table("estimate"), _table("shared_cause")
shared_covariance = _table("shared_covariance")
