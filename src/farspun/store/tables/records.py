"""What she measured of cloths and samples while and after weaving them."""

from farspun.store.tables.cloths import WASHES
from farspun.store.tables.columns import Row, big, check, one_of, row_id, to

STAGES = ("sample", "wound", "on-loom", "off-loom", "finished")
PICKS_STATES = ("tight", "rested")


class Record(Row, table=True):
    """What one command told of a cloth; what a later one says again corrects it. µm, mg, µ/m."""

    __table_args__ = (
        one_of("record_stage", "stage", STAGES),
        one_of("record_picks_state", "picks_state", PICKS_STATES),
        one_of("record_wash", "wash", WASHES),
        check("record_ends", "ends > 0"),
        check(
            "record_lengths",
            "warp_um > 0 AND tape_um > 0 AND reed_um > 0"
            " AND off_width_um > 0 AND off_length_um > 0"
            " AND washed_width_um > 0 AND washed_length_um > 0",
        ),
        check("record_thrums", "thrums_um >= 0 AND spare_um >= 0"),
        check("record_picks", "picks_micro_per_m > 0"),
        check("record_mass", "mass_mg > 0"),
    )
    id: int | None = row_id()
    action_id: int = to("action")
    cloth_id: int = to("cloth", index=True)
    stage: str
    said: str
    ends: int | None = None
    warp_um: int | None = big(default=None)
    thrums_um: int | None = big(default=None)
    spare_um: int | None = big(default=None)
    tape_um: int | None = big(default=None)
    picks_micro_per_m: int | None = big(default=None)
    picks_state: str | None = None
    reed_um: int | None = big(default=None)
    off_width_um: int | None = big(default=None)
    off_length_um: int | None = big(default=None)
    washed_width_um: int | None = big(default=None)
    washed_length_um: int | None = big(default=None)
    wash: str | None = None
    mass_mg: int | None = big(default=None)


class Weighing(Row, table=True):
    """A ball on the scale while its cloth is on the loom: µm of tape woven by then, mg, µg."""

    __table_args__ = (
        check("weighing_woven", "woven_um >= 0"),
        check("weighing_mass", "mass_mg >= 0"),
        check("weighing_step", "step_ug > 0"),
    )
    id: int | None = row_id()
    action_id: int = to("action")
    cloth_id: int = to("cloth", index=True)
    skein_id: int = to("skein")
    woven_um: int = big()
    mass_mg: int = big()
    step_ug: int = big()
    said: str


class Confirmed(Row, table=True):
    """A factor of a cloth's record that counts again though it lies far out."""

    id: int | None = row_id()
    action_id: int = to("action")
    cloth_id: int = to("cloth", index=True)
    factor: str
