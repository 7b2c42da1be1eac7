"""Cloths with their yarns, what was given by hand for them, and their claims."""

from sqlalchemy import UniqueConstraint
from sqlmodel import Field

from farspun.store.tables.columns import Row, big, check, json, one_of, row_id, to

CLOTH_STATUSES = ("planned", "wound", "on-loom", "off-loom", "finished", "given-up")
PURPOSES = ("drape", "everyday", "firm", "weft-faced", "warp-faced")
WASHES = ("gentle", "hot", "fulled", "machine", "none")


class Cloth(Row, table=True):
    """One planned or woven piece; µm keep inches exact, and millionths threads per inch."""

    __table_args__ = (
        check("cloth_name", "length(name) BETWEEN 1 AND 200"),
        one_of("cloth_status", "status", CLOTH_STATUSES),
        check("cloth_size", "width_um > 0 AND length_um > 0"),
        check("cloth_pieces", "pieces > 0"),
        one_of("cloth_purpose", "purpose", PURPOSES),
        check("cloth_sett_asked", "sett_asked_micro_per_m > 0"),
        check("cloth_picks_asked", "picks_asked_micro_per_m > 0"),
        check("cloth_sett", "sett_micro_per_m > 0"),
        check("cloth_picks", "picks_micro_per_m > 0"),
        one_of("cloth_wash", "wash", WASHES),
        check("cloth_promise", "promise_ppm > 500000 AND promise_ppm <= 999000"),
        check("cloth_size_promise", "size_promise_ppm > 500000 AND size_promise_ppm <= 999000"),
        check("cloth_give", "give_ppm >= 0 AND give_ppm < 1000000"),
        check("cloth_priority", "priority >= 1"),
        check("cloth_ends", "ends > 0"),
        check("cloth_warp_cut", "warp_cut_um > 0"),
        check(
            "cloth_lengths",
            "hem_um >= 0 AND side_hem_um >= 0 AND fringe_um >= 0 AND gap_um >= 0"
            " AND header_um >= 0 AND sample_um >= 0",
        ),
        check("cloth_floating_selvedges", "floating_selvedges >= 0"),
        check("cloth_repeat", "repeat >= 1"),
    )
    id: int | None = row_id()
    action_id: int = to("action")
    name: str
    name_key: str = Field(unique=True)
    status: str = "planned"
    width_um: int = big()
    length_um: int = big()
    size_said: str
    pieces: int = 1
    weave: str
    purpose: str
    loom_id: int | None = to("loom", default=None)
    reed_id: int | None = to("reed", default=None)
    loom_asked: bool = Field(default=False, sa_column_kwargs={"server_default": "FALSE"})
    reed_asked: bool = Field(default=False, sa_column_kwargs={"server_default": "FALSE"})
    sett_asked_micro_per_m: int | None = big(default=None)
    picks_asked_micro_per_m: int | None = big(default=None)
    sett_micro_per_m: int = big()
    picks_micro_per_m: int = big()
    per_dent: list[int] | None = json(default=None)
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
    warp_cut_um: int | None = big(default=None)
    hem_um: int = big(default=0)
    side_hem_um: int = big(default=0)
    fringe_um: int = big(default=0)
    gap_um: int = big(default=0)
    header_um: int = big(default=0)
    sample_um: int = big(default=0)
    floating_selvedges: int = 0
    repeat: int = 1
    fringe_from_waste: bool = False
    warp_order: str | None = None
    weft_order: str | None = None
    undone: bool = Field(default=False, sa_column_kwargs={"server_default": "FALSE"})


class ClothYarn(Row, table=True):
    """A skein's place in the warp's order or the weft's bands."""

    __tablename__ = "cloth_yarn"
    __table_args__ = (
        UniqueConstraint("cloth_id", "side", "position", name="cloth_yarn_place"),
        one_of("cloth_yarn_side", "side", ("warp", "weft")),
        check("cloth_yarn_position", "position >= 0"),
        check("cloth_yarn_ends", "ends > 0"),
        check("cloth_yarn_share", "share_ppm > 0 AND share_ppm <= 1000000"),
    )
    id: int | None = row_id()
    action_id: int = to("action")
    cloth_id: int = to("cloth", index=True)
    side: str
    position: int
    skein_id: int = to("skein", index=True)
    ends: int | None = None
    share_ppm: int | None = None


class ClothSpread(Row, table=True):
    """An assumption given by hand for one cloth, in billionths, and how it was said."""

    __tablename__ = "cloth_spread"
    __table_args__ = (
        UniqueConstraint("cloth_id", "name", name="cloth_spread_name"),
        check("cloth_spread_sd", "sd_nano >= 0"),
    )
    id: int | None = row_id()
    action_id: int = to("action")
    cloth_id: int = to("cloth", index=True)
    name: str
    mean_nano: int = big()
    sd_nano: int = big()
    said: str


class Claim(Row, table=True):
    """Yarn of one skein kept for one side of one cloth."""

    __table_args__ = (
        UniqueConstraint("cloth_id", "skein_id", "side", name="claim_once"),
        one_of("claim_side", "side", ("warp", "weft")),
        check("claim_mass", "mass_mg >= 0"),
    )
    id: int | None = row_id()
    action_id: int = to("action")
    cloth_id: int = to("cloth", index=True)
    skein_id: int = to("skein", index=True)
    side: str
    mass_mg: int = big()
