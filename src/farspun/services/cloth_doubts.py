"""Cloths that can hardly be: what was asked, what is usual, and the likely slip."""

from farspun.errors import ToConfirm
from farspun.services.cloth_asked import ClothAsked
from farspun.services.equipment_doubts import WIDEST_LOOM_CM
from farspun.units import say_cm, say_inches


def ask_about_size(asked: ClothAsked, sure: bool) -> None:
    """Raises ToConfirm for a cloth wider than any loom weaves, unless she is sure."""
    wide_cm = asked.width_cm
    if sure or wide_cm is None or wide_cm <= WIDEST_LOOM_CM * (1 + 1e-9):
        return
    raise ToConfirm(
        "wide",
        say_cm(wide_cm),
        f"{say_cm(wide_cm)} ({say_inches(wide_cm)}) is wider than any loom weaves"
        f" ({say_cm(WIDEST_LOOM_CM)}). Is the decimal point right: was it {say_cm(wide_cm / 10)}?",
    )
