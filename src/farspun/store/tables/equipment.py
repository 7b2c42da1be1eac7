"""Looms and reeds."""

from sqlmodel import Field

from farspun.store.tables.columns import Row, big, check, one_of, row_id, to

LOOM_KINDS = ("rigid-heddle", "table", "floor", "frame")


class Loom(Row, table=True):
    """A loom she owns."""

    __table_args__ = (
        check("loom_name", "length(name) BETWEEN 1 AND 200"),
        one_of("loom_kind", "kind", LOOM_KINDS),
        check("loom_width", "width_mm > 0"),
        check("loom_waste", "waste_mm >= 0"),
        check("loom_waste_sd", "waste_sd_mm >= 0"),
        one_of("loom_tie", "tie", ("knots", "lashed")),
        check("loom_shafts", "shafts > 0"),
    )
    id: int | None = row_id()
    action_id: int = to("action")
    name: str
    name_key: str = Field(unique=True)
    kind: str
    width_mm: int = big()
    waste_mm: int | None = big(default=None)
    waste_sd_mm: int | None = big(default=None)
    tie: str
    shafts: int | None = None


class Reed(Row, table=True):
    """A reed or a rigid heddle she owns; dents in millionths per metre."""

    __table_args__ = (
        check("reed_name", "length(name) BETWEEN 1 AND 200"),
        check("reed_dents", "microdents_per_m > 0"),
    )
    id: int | None = row_id()
    action_id: int = to("action")
    name: str
    name_key: str = Field(unique=True)
    microdents_per_m: int = big()
    said: str
    rigid_heddle: bool
    loom_id: int | None = to("loom", default=None)
