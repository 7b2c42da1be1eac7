"""What the tests of cloths share: lines that plan one, and where to look in the answer."""

from typing import Any

from cli.running import Desk

SHAWL = 'cloth plan Shawl --size 40cmx160cm --sett 3/cm --warp "Gorse 1" --weft Driftwood'
SCARF = ["--size", "20cmx50cm", "--sett", "3/cm", "--warp", "Driftwood", "--weft", "Fresh"]
EXACT = "--draw-in 0% --take-up 0% --shrink-width 0% --shrink-length 0% --waste 50cm --give 0%"


def plan(desk: Desk, more: str, name: str = "Cloth", size: str = "40cmx160cm") -> dict[str, Any]:
    """Plan a cloth at 3 ends and picks per cm; its JSON."""
    line = f'cloth plan "{name}" --size {size} --sett 3/cm --picks 3/cm {more}'
    found: dict[str, Any] = desk.told(line)
    return found


def middle(need: dict[str, Any]) -> float:
    """Metres needed, the 50 in 100 point."""
    return float(need["need_m"]["p50"])


def claims(desk: Desk, name: str) -> dict[tuple[str, str], float]:
    """Grams that a cloth claims, by side and skein."""
    shown = desk.told(["cloth", "show", name])
    return {(yarn["side"], yarn["skein"]): yarn["claimed_g"] for yarn in shown["yarns"]}


def assumption(found: dict[str, Any], name: str) -> tuple[float, float, str]:
    """Middle, sd and origin of one assumption."""
    one = next(one for one in found["assumptions"] if one["name"] == name)
    return one["mean"], one["sd"], one["from"]
