"""Skeins, what was measured of them, and the ledger."""

from typing import Any

from sqlmodel import Field

from farspun.store.tables.columns import Row, big, check, json, one_of, row_id, to

STATUSES = ("open", "closed")
ENTRY_KINDS = ("made", "evidence", "taken", "weighed", "closed", "undone", "returned")
EVIDENCE_KINDS = ("weighed", "counted", "test length", "wrapped", "labelled")
RELAX_STATES = ("relaxed", "unwashed", "under-tension", "not said")
TUGS = ("holds", "drifts")
REASONS = ("used", "given", "sold", "lost", "spoiled", "undone")


class Skein(Row, table=True):
    """What she says of a skein, and its balance: what the ledger adds up to."""

    __table_args__ = (
        check("skein_name", "length(name) BETWEEN 1 AND 200"),
        one_of("skein_status", "status", STATUSES),
        one_of("skein_closed_because", "closed_because", REASONS),
        check("skein_closed", "(status = 'closed') = (closed_because IS NOT NULL)"),
        check("skein_plies", "plies BETWEEN 1 AND 100"),
        one_of("skein_draw", "draw", ("woollen", "semi", "worsted")),
        one_of("skein_twist", "twist", ("S", "Z")),
        one_of("skein_wrap", "wrap", ("snug", "loose")),
        one_of("skein_tug", "tug", TUGS),
        check("skein_rebuy", "rebuy_mg > 0"),
        check("skein_rebuy_said", "(rebuy_mg IS NULL) = (rebuy_said IS NULL)"),
        check("skein_balance", "balance_mg >= 0"),
    )
    id: int | None = row_id()
    action_id: int = to("action")
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
    rebuy_mg: int | None = big(default=None)
    rebuy_said: str | None = None
    wrap: str | None = None
    colour: str | None = None
    spun: str | None = None
    place: str | None = None
    note: str | None = None
    balance_mg: int | None = big(default=None)
    tug: str | None = None


class Evidence(Row, table=True):
    """One measurement of a skein, kept for ever."""

    __table_args__ = (
        one_of("evidence_kind", "kind", EVIDENCE_KINDS),
        one_of("evidence_state", "state", RELAX_STATES),
        check("evidence_mass", "mass_mg > 0"),
        check("evidence_step", "step_ug > 0"),
        check("evidence_length", "length_mm > 0"),
        check("evidence_strands", "strands > 0"),
        check("evidence_once_round", "once_round_mm > 0"),
        check("evidence_wraps", "wraps_per_100m > 0"),
        check("evidence_millitex", "millitex > 0"),
        check(
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
    id: int | None = row_id()
    action_id: int = to("action")
    skein_id: int = to("skein", index=True)
    kind: str
    said: str
    mass_mg: int | None = big(default=None)
    step_ug: int | None = big(default=None)
    length_mm: int | None = big(default=None)
    strands: int | None = None
    once_round_mm: int | None = big(default=None)
    wraps_per_100m: int | None = big(default=None)
    millitex: int | None = big(default=None)
    state: str | None = None
    tool: str | None = None
    written: dict[str, Any] | None = json(default=None)


class Struck(Row, table=True):
    """A reading that was a slip, and counts no more."""

    id: int | None = row_id()
    action_id: int = to("action")
    evidence_id: int = to("evidence", index=True)


class Entry(Row, table=True):
    """A line of the ledger: what came to a skein or left it, and how that was said.

    `off_claim_mg` is the part of what was taken that came off the cloth's claim.
    """

    __table_args__ = (
        one_of("entry_kind", "kind", ENTRY_KINDS),
        check("entry_made", "kind <> 'made' OR delta_mg > 0"),
        check("entry_taken", "kind <> 'taken' OR delta_mg < 0"),
        check("entry_returned", "kind <> 'returned' OR delta_mg > 0"),
        check("entry_length", "length_mm > 0"),
        check("entry_weighed", "weighed_mg > 0"),
        check("entry_step", "step_ug > 0"),
        check("entry_scale", "(weighed_mg IS NULL) = (step_ug IS NULL)"),
        check("entry_off_claim", "off_claim_mg >= 0"),
    )
    id: int | None = row_id()
    action_id: int = to("action")
    skein_id: int = to("skein", index=True)
    kind: str
    delta_mg: int = big()
    said: str
    length_mm: int | None = big(default=None)
    weighed_mg: int | None = big(default=None)
    step_ug: int | None = big(default=None)
    cloth_id: int | None = to("cloth", default=None)
    off_claim_mg: int | None = big(default=None)
