"""What to spin, on the screen and as a document."""

from collections.abc import Iterator, Sequence
from textwrap import wrap
from typing import TYPE_CHECKING, Any

from farspun.cli.printing import LINE
from farspun.services.wording_spin import CARD_M, cautions, work_head, work_opening, work_rows
from farspun.units import CM_PER_INCH
from farspun.units.factors import m_per_100g_from_tex, yd_per_lb_from_tex

if TYPE_CHECKING:
    from farspun.craft.spinning import Single, Target
    from farspun.services.to_spin import Work

LABEL = 9  # characters before what is said


def work_lines(found: "Sequence[Work]") -> Iterator[str]:
    """Every yarn with its work, by priority of the cloths."""
    yield work_opening(found)
    for one in found:
        yield ""
        yield from wrap(work_head(one), LINE, break_on_hyphens=False)
        for label, text in work_rows(one):
            yield from _row(label, text)
    told = cautions(found)
    if told:
        yield ""
    for at, caution in enumerate(told):
        yield from _row("" if at else "Care", caution)


def _row(label: str, said: str) -> Iterator[str]:
    first, rest = f"  {label:<{LABEL}}", " " * (LABEL + 2)
    yield from wrap(
        said, LINE, initial_indent=first, subsequent_indent=rest, break_on_hyphens=False
    )


def work_document(work: "Work") -> dict[str, Any]:
    """As one JSON object."""
    return {
        "yarn": work.yarn,
        "skeins": work.skeins,
        "fibre": work.fibre,
        "for": work.uses,
        "short_m": work.short_m,
        "short_g": work.short_g,
        "spin": None if work.spin is None else _spin_document(work.spin),
        "buy": work.buy,
        "lacking": work.lacking,
        "taken": work.taken,
        "cautions": work.cautions,
    }


def _spin_document(spin: "Target") -> dict[str, Any]:
    return {
        "length_m": spin.length_m,
        "mass_g": spin.mass_g,
        "sure_g": spin.sure_g,
        "fibre_g": spin.fibre_g,
        "plies": max(1, len(spin.singles)),
        **_yarn_document(spin),
        "angle_deg": spin.angle_deg,
        "plying_take_up_fraction": spin.plying_take_up,
        "singles": [
            {"length_m": one.length_m, "mass_g": one.mass_g, **_yarn_document(one),
             "wheel_tex": one.wheel_tex, "card_off_the_wheel_g": one.card_g}
            for one in spin.singles
        ],
        "unwashed_m": {"p50": spin.unwashed_m, "at_promise": spin.unwashed_sure_m},
        "card": {
            "length_m": CARD_M,
            "washed_g": spin.card_g,
            "off_the_wheel_g": spin.card_unwashed_g,
            "wpi": spin.wraps_per_cm * CM_PER_INCH,
        },
    }  # fmt: skip


def _yarn_document(yarn: "Target | Single") -> dict[str, Any]:
    return {
        "tex": yarn.tex,
        "m_per_100g": m_per_100g_from_tex(yarn.tex),
        "yd_per_lb": yd_per_lb_from_tex(yarn.tex),
        "wraps_per_cm": yarn.wraps_per_cm,
        "wpi": yarn.wraps_per_cm * CM_PER_INCH,
        "twist_per_cm": yarn.twist_per_cm,
        "twist_per_inch": yarn.twist_per_cm * CM_PER_INCH,
        "direction": yarn.direction,
    }
