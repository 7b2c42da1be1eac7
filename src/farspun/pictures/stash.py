"""The stash as a sheet of swatches, by fibre, each with a bar of its free metres."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from farspun.craft.yarn_colour import YarnColour
from farspun.pictures.sheet import BODY, FAINT, INK, SMALL, Sheet, cut_in_the_middle
from farspun.pictures.stripes import swatch
from farspun.units import say_length

# name: value             unit    source
MARGIN = 24.0  # units            judgement, as are those that follow
WIDE, HIGH = 128.0, 26.0  # units  of a swatch
BAR = 6.0  # units                height of the bar of free metres
ACROSS, DOWN = 152.0, 101.0  # units  from swatch to swatch
COLUMNS = 5
HEADING = 30.0  # units
FEW = 3  # skeins                 fibres of fewer stand together
OTHERS = "other fibres"


@dataclass(frozen=True, slots=True)
class SkeinSeen:
    """A skein of the sheet. `fibre`: the main one; `spun_from`: all of them; `free_m`: what no
    cloth claims, None where its length is not known; `note`: of its colour."""

    name: str
    fibre: str
    spun_from: str
    colour: YarnColour
    free_m: float | None
    note: str = ""


def stash_sheet(skeins: Sequence[SkeinSeen], title: str, told: str) -> Sheet:
    """All skeins, in groups of one fibre; fibres of which there are few stand together."""
    groups = _groups(skeins)
    rows = sum(math.ceil(len(group) / COLUMNS) for group in groups.values())
    tall = MARGIN + 4.4 * BODY + len(groups) * HEADING + rows * DOWN + MARGIN
    wide = 2 * MARGIN + COLUMNS * ACROSS - (ACROSS - WIDE)
    sheet = Sheet(wide, math.ceil(tall), title, told)
    room = wide - 2 * MARGIN
    sheet.text(MARGIN, MARGIN + BODY, title, 1.2 * BODY, room=room, bold=True)
    most_m = max((one.free_m or 0.0 for one in skeins), default=0.0) or 1.0
    note = f"bar: what no cloth claims, a full one {say_length(most_m)}"
    sheet.text(MARGIN, MARGIN + 2.6 * BODY, note, SMALL, room=room)
    y = MARGIN + 4.4 * BODY
    for fibre, group in groups.items():
        number = "1 skein" if len(group) == 1 else f"{len(group)} skeins"
        sheet.text(MARGIN, y + BODY, f"{fibre}, {number}", BODY, room=room, bold=True)
        sheet.line((MARGIN, y + BODY + 5), (wide - MARGIN, y + BODY + 5), stroke=FAINT, thick=0.6)
        y += HEADING
        for at, one in enumerate(group):
            row, column = divmod(at, COLUMNS)
            _skein(sheet, one, MARGIN + column * ACROSS, y + row * DOWN, most_m)
        y += math.ceil(len(group) / COLUMNS) * DOWN
    return sheet


def _groups(skeins: Sequence[SkeinSeen]) -> dict[str, list[SkeinSeen]]:
    found: dict[str, list[SkeinSeen]] = {}
    for one in skeins:
        found.setdefault(one.fibre, []).append(one)
    few = [fibre for fibre, group in found.items() if len(group) < FEW]
    if len(few) < 2:
        return found
    others = [one for fibre in few for one in found.pop(fibre)]
    return {**found, OTHERS: others}


def _skein(sheet: Sheet, one: SkeinSeen, left: float, top: float, most_m: float) -> None:
    swatch(sheet, left, top, WIDE, HIGH, one.colour)
    y = top + HIGH + 3
    if one.free_m is None:
        sheet.line((left, y + BAR / 2), (left + WIDE, y + BAR / 2), stroke=FAINT, dash=(4, 4))
        said = "length not known"
    else:
        sheet.rect(left, y, WIDE, BAR, stroke=FAINT, thick=0.6)
        if one.free_m * WIDE >= most_m:  # a unit wide
            sheet.rect(left, y, WIDE * one.free_m / most_m, BAR, INK)
        said = f"{say_length(one.free_m)} free" if one.free_m >= 0.5 else "none free"
    y += BAR + 13
    sheet.text(left, y, one.name, SMALL, room=WIDE, bold=True)
    sheet.text(left, y + 13, said, SMALL, room=WIDE)
    sheet.text(left, y + 26, one.spun_from, SMALL, room=WIDE)
    if one.note:
        sheet.text(left, y + 39, cut_in_the_middle(one.note, SMALL, WIDE), SMALL)
