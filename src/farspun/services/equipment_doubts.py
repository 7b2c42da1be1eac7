"""Looms and reeds that can hardly be: what they come to, what is usual, and the likely slip."""

from farspun.craft.reed import PITCH_CM
from farspun.errors import ToConfirm
from farspun.units import CM_PER_INCH, Quantity, say_cm, say_inches

# name: value                        unit              source
USUAL_DENTS_PER_CM = (1.5, 10.0)  #  dents per cm      judgement: rug reeds to fine silk reeds
NARROWEST_LOOM_CM = 2.0  #            cm                judgement: a tape is a finger wide
WIDEST_LOOM_CM = 300.0  #            cm                judgement: two weavers at one loom
CM_PER_M = 100
POINT = "Is the decimal point right"


def ask_about_dents(dents: Quantity, sure: bool) -> None:
    """Raises ToConfirm for a reed far coarser or finer than reeds are, unless she is sure."""
    per_cm = dents.value / PITCH_CM
    if sure or _usual(per_cm):
        return
    coarsest, finest = (each * PITCH_CM for each in USUAL_DENTS_PER_CM)
    raise ToConfirm(
        "dents",
        dents.said,
        f"{dents.said} is {_dents_said(per_cm)}; a reed has {coarsest:.0f} to {finest:.0f} dents"
        f" in 10 cm.{_likely_dents(per_cm, dents.said)}",
    )


def _usual(per_cm: float) -> bool:
    least, most = USUAL_DENTS_PER_CM
    return least * (1 - 1e-9) <= per_cm <= most * (1 + 1e-9)


def _dents_said(per_cm: float) -> str:
    return f"{per_cm * PITCH_CM:.1f} dents in 10 cm, {per_cm * CM_PER_INCH:.2f} per inch"


def _likely_dents(per_cm: float, said: str) -> str:
    """The slip that makes it a usual reed, as a question; nothing where none does."""
    metric = said.endswith("cm")
    slips = (
        ("Were dents per inch meant", per_cm * PITCH_CM / CM_PER_INCH)
        if metric
        else ("Were dents in 10 cm meant, not per inch", per_cm * CM_PER_INCH / PITCH_CM),
        (POINT, per_cm * 10),
        (POINT, per_cm / 10),
        (f"{POINT}, and were dents per inch meant", per_cm * PITCH_CM / CM_PER_INCH / 10)
        if metric
        else (POINT, 0.0),
    )
    for asked, meant in slips:
        if _usual(meant):
            return f" {asked}: was it {_dents_said(meant)}?"
    return ""


def ask_about_width(width: Quantity, sure: bool) -> None:
    """Raises ToConfirm for a loom wider or narrower than looms are, unless she is sure."""
    wide_cm = width.value * CM_PER_M
    if sure or NARROWEST_LOOM_CM * (1 - 1e-9) <= wide_cm <= WIDEST_LOOM_CM * (1 + 1e-9):
        return
    if wide_cm < NARROWEST_LOOM_CM:
        raise ToConfirm("width", width.said, _too_narrow(wide_cm, width.said))
    meant = wide_cm / 10
    slip = f" Is the decimal point right: was it {say_cm(meant)}?" if (
        meant <= WIDEST_LOOM_CM
    ) else " Were cm or mm meant?"  # fmt: skip
    raise ToConfirm(
        "width",
        width.said,
        f"{width.said} is {say_cm(wide_cm)} ({say_inches(wide_cm)}) wide; a loom is at most"
        f" {say_cm(WIDEST_LOOM_CM)}.{slip}",
    )


def _too_narrow(wide_cm: float, said: str) -> str:
    """A loom narrower than a tape, and the likely slip."""
    meant = wide_cm * 10
    slip = (
        f" Is the decimal point right: was it {say_cm(meant)}?"
        if meant >= NARROWEST_LOOM_CM
        else " Were cm meant?"
    )
    return (
        f"{said} is {say_cm(wide_cm)} ({say_inches(wide_cm)}) wide; a loom is at least"
        f" {say_cm(NARROWEST_LOOM_CM)}.{slip}"
    )
