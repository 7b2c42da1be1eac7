"""The stages of a cloth's life, and what can be measured from each on."""

from farspun.craft.plan import STAGES
from farspun.store.records import SAMPLE

SAID = {
    "planned": "only planned",
    "wound": "wound",
    "on-loom": "on the loom",
    "off-loom": "off the loom",
    "finished": "finished",
    "given-up": "given up",
}
# the first stage at which each can be measured, by its name in farspun.craft.woven.Told
FIRST_AT = {
    "ends": "wound",
    "warp_cm": "wound",
    "picks_per_cm": "on-loom",
    "picks_state": "on-loom",
    "tape_cm": "off-loom",
    "thrums_cm": "off-loom",
    "spare_cm": "off-loom",
    "off_width_cm": "off-loom",
    "off_length_cm": "off-loom",
    "washed_width_cm": "finished",
    "washed_length_cm": "finished",
    "wash": "finished",
    "mass_g": "finished",
}
OF_A_SAMPLE = (
    *("reed_cm", "picks_per_cm", "picks_state", "off_width_cm", "off_length_cm"),
    *("washed_width_cm", "washed_length_cm", "wash", "mass_g"),
    *("warp_cm", "thrums_cm", "spare_cm"),  # on a warp of its own
)
OPTIONS = {  # what tells it, where it is not called the same
    "warp_cm": "warp",
    "thrums_cm": "thrums",
    "spare_cm": "spare",
    "tape_cm": "tape",
    "picks_per_cm": "picks",
    "picks_state": "state",
    "off_width_cm": "off",
    "off_length_cm": "off",
    "washed_width_cm": "washed",
    "washed_length_cm": "washed",
    "mass_g": "mass",
    "reed_cm": "reed",
}


def measurable(name: str, stage: str) -> bool:
    """Whether that can be told of a cloth at `stage`, or of a sample.

    >>> measurable("ends", "wound"), measurable("tape_cm", "wound"), measurable("ends", "sample")
    (True, False, False)
    """
    if stage == SAMPLE:
        return name in OF_A_SAMPLE
    return name in FIRST_AT and STAGES.index(FIRST_AT[name]) <= STAGES.index(stage)
