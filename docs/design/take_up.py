"""Take-up by weave and sett: the law that is used, beside the two it was chosen from.

Run: python docs/design/take_up.py
"""

import math
from collections.abc import Callable, Iterator

from farspun.craft.cover import COMPACT_PACKING
from farspun.craft.geometry import geometry
from farspun.craft.jam import closeness
from farspun.craft.shape import Side, cloth_of, crimping
from farspun.craft.threads import Cloth
from farspun.craft.weave import weave

WRAPS_PER_CM = 6.0
SNUG_FILL = 0.17  # of a wool yarn wrapped snug
DRAW_IN = 0.065
WEAVES = ("plain", "2/2 twill", "5-end satin")
PARTS = (0.35, 0.43, 0.50, 0.58, 0.67, 0.75, 0.85)  # threads to a wrap
YARN = Side(10 / WRAPS_PER_CM * math.sqrt(SNUG_FILL / COMPACT_PACKING["wool"]), WRAPS_PER_CM)
JAMMED = "–"


def woven(name: str, part: float) -> Cloth:
    """The cloth with so many threads to a wrap each way."""
    sett = part * WRAPS_PER_CM
    return cloth_of(weave(name), (sett, sett), YARN, YARN, DRAW_IN)


def used(name: str, part: float) -> float:
    """Take-up by the law of farspun.craft.shape."""
    sett = part * WRAPS_PER_CM
    return crimping(weave(name), "everyday", (sett, sett), (YARN, YARN), DRAW_IN)[0].mean


def plain_ratio(name: str, part: float) -> float:
    """Practice's crimp times geometry's ratio, all the way to the jam."""
    practice, now, usual = _crimps(name, part)
    return _take_up(practice * now / usual)


def difference(name: str, part: float) -> float:
    """Geometry's crimp and practice's surplus over it at the usual sett."""
    practice, now, usual = _crimps(name, part)
    return _take_up(now + practice - usual)


LAWS: dict[str, Callable[[str, float], float]] = {
    "used": used,
    "ratio": plain_ratio,
    "difference": difference,
}


def rows(law: Callable[[str, float], float]) -> Iterator[str]:
    """A row of the table for each weave: take-up in per cent at each sett."""
    for name in WEAVES:
        cells = (
            f"{100 * law(name, part):.0f}" if closeness(woven(name, part)) < 1 else JAMMED
            for part in PARTS
        )
        yield f"| {name} | " + " | ".join(cells) + " |"


def _crimps(name: str, part: float) -> tuple[float, float, float]:
    """Practice's; geometry's here; geometry's of the cloth that practice speaks of."""
    drawn = weave(name)
    usual_name = "plain" if drawn.warp_float == 1 else "2/2 twill"
    usual = woven(usual_name, 0.5 if usual_name == "plain" else 2 / 3)
    practice = 1 / crimping(drawn, "everyday", (1.0, 1.0), None, DRAW_IN)[0].factor - 1
    return practice, _crimp(woven(name, part)), _crimp(usual)


def _crimp(cloth: Cloth) -> float:
    return float(geometry(cloth).warp_crimp_fraction) if closeness(cloth) < 1 else math.nan


def _take_up(crimp: float) -> float:
    return crimp / (1 + crimp)


if __name__ == "__main__":
    for title, law in LAWS.items():
        print(f"{title}: take-up, %, by threads to a wrap {', '.join(map(str, PARTS))}")
        print("\n".join(rows(law)))
    print("closeness", *(f"{float(closeness(woven('plain', part))):.2f}" for part in PARTS))
