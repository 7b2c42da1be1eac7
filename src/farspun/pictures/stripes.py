"""The stripe plan of a cloth: warp and weft as they are wound and woven, counted and keyed."""

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from farspun.craft.yarn_colour import YarnColour
from farspun.pictures.shades import laid_out, mean_hex, parts_of
from farspun.pictures.sheet import BODY, FAINT, INK, SMALL, Sheet, words_width

# name: value            unit     source
WIDE = 760.0  # units             judgement: a page
MARGIN = 24.0  # units            judgement, as are those that follow
BAR, BAND = 34.0, 46.0  # units   height of the whole side, and of one repeat
ROW = 16.0  # units               from line to line of the list
MOST_COLUMNS, LEAST_COLUMNS = 4, 2  # of the list: as many as names have room in
NAME, UPTO = 72.0, 52.0  # units  of a column: before a name, and for what stands behind it
LIST_MOST = 400  # stripes        more are not listed
BAR_MOST = 1200  # stripes        more are finer than what is drawn
SWATCH = 11.0  # units
LAID_OUT = 80.0  # units          a swatch that shows how shades lie

Stripe = tuple[str, int]  # its yarn and its threads


@dataclass(frozen=True, slots=True)
class SidePlan:
    """Warp or weft: `stripes` of one repeat, which comes `repeats` times whole and `over` threads
    more. `side` is "Warp" or "Weft", `thing` "end" or "pick"; `yarns`: all threads of each;
    `one_yarn`: its stripes are the skeins of one yarn, one after another."""

    side: str
    thing: str
    threads: int
    stripes: tuple[Stripe, ...]
    repeats: int
    over: int
    yarns: tuple[Stripe, ...]
    note: str = ""
    one_yarn: bool = False

    def laid(self) -> Iterator[Stripe]:
        """All stripes of the side, cut off where it ends."""
        left = self.threads
        while left > 0:
            for yarn, threads in self.stripes:
                if left <= 0:
                    return
                yield yarn, min(threads, left)
                left -= threads


def stripes_sheet(
    sides: Sequence[SidePlan], colours: Mapping[str, YarnColour], title: str, told: str
) -> Sheet:
    """Both sides below one another: all of it, one repeat with its counts, and the list."""
    keys = {yarn: _key(at) for at, yarn in enumerate(colours)}
    fills = {yarn: mean_hex(colour) for yarn, colour in colours.items()}
    tall = MARGIN + 3 * BODY + sum(_height(side) for side in sides) + ROW * (len(keys) + 2) + MARGIN
    sheet = Sheet(WIDE, math.ceil(tall), title, told)
    room = WIDE - 2 * MARGIN
    sheet.text(MARGIN, MARGIN + BODY, title, 1.2 * BODY, room=room, bold=True)
    top = MARGIN + 3 * BODY
    for side in sides:
        _side(sheet, side, top, keys, fills)
        top += _height(side)
    _yarns(sheet, sides, colours, keys, top)
    return sheet


def _key(at: int) -> str:
    """A, B … Z, then AA, AB …"""
    letters = ""
    at += 1
    while at:
        at, rest = divmod(at - 1, 26)
        letters = chr(ord("A") + rest) + letters
    return letters


def _listed(side: SidePlan) -> int:
    return min(len(side.stripes), LIST_MOST)


def _longest_name(side: SidePlan) -> float:
    return max(words_width(yarn, SMALL) for yarn in {one for one, _ in side.stripes[:LIST_MOST]})


def _columns(side: SidePlan) -> int:
    """As many as leave its longest name room to be written as large as the rest."""
    need = NAME + _longest_name(side) + UPTO
    return max(LEAST_COLUMNS, min(MOST_COLUMNS, int((WIDE - 2 * MARGIN) // need)))


def _rows(side: SidePlan) -> int:
    return math.ceil(_listed(side) / _columns(side))


def _height(side: SidePlan) -> float:
    alone = 2 * ROW + BAR + 2 * ROW
    if len(side.stripes) == 1:
        return alone + ROW
    more = ROW * (len(side.stripes) > LIST_MOST)
    return alone + BAND + 2.4 * ROW + ROW * _rows(side) + more + 2 * ROW


def _side(
    sheet: Sheet, side: SidePlan, top: float, keys: Mapping[str, str], fills: Mapping[str, str]
) -> None:
    room = WIDE - 2 * MARGIN
    sheet.text(MARGIN, top + BODY, _heading(side), BODY, room=room, bold=True)
    if side.note:
        sheet.text(MARGIN, top + BODY + ROW - 2, side.note, SMALL, room=room)
    y = top + 2 * ROW
    _whole(sheet, side, y, fills)
    from_to = "from the left edge to the right" if side.thing == "end" else "from the first pick"
    alone = f", {keys[side.stripes[0][0]]}" if len(side.stripes) == 1 else ""
    said = f"all {_count(side)}{alone}, {from_to}"
    sheet.text(MARGIN, y + BAR + SMALL + 2, said, SMALL, room=room)
    if len(side.stripes) == 1:
        return
    y += BAR + 2 * ROW
    _repeat(sheet, side, y, keys, fills)
    y += BAND + 2.4 * ROW
    _list(sheet, side, y, keys, fills)


def _heading(side: SidePlan) -> str:
    number = len(side.stripes)
    stripes = "1 stripe" if number == 1 else f"{number} stripes"
    once = sum(threads for _, threads in side.stripes)
    if number == 1:
        return f"{side.side}: {_count(side)} of one yarn"
    if side.one_yarn:
        return f"{side.side}: {_count(side)} of one yarn, {number} skeins one after another"
    times = f"{side.repeats} time{'' if side.repeats == 1 else 's'}"
    every = f"{stripes}, {once} {side.thing}{'' if once == 1 else 's'}"
    over = f" and {side.over} more" if side.over else ""
    return f"{side.side}: {_count(side)}; a repeat of {every}, {times}{over}"


def _count(side: SidePlan) -> str:
    return f"{side.threads} {side.thing}{'' if side.threads == 1 else 's'}"


def _whole(sheet: Sheet, side: SidePlan, top: float, fills: Mapping[str, str]) -> None:
    """All threads to one scale; a stripe that is finer than can be drawn joins its neighbour."""
    room = WIDE - 2 * MARGIN
    finest = side.threads / BAR_MOST
    upto, drawn = 0, 0.0
    for yarn, threads in side.laid():
        upto += threads
        if upto - drawn >= finest or upto == side.threads:
            left, right = (MARGIN + room * at / side.threads for at in (drawn, upto))
            sheet.rect(left, top, right - left, BAR, fills[yarn])
            drawn = upto
    sheet.rect(MARGIN, top, room, BAR, stroke=INK)


def _repeat(
    sheet: Sheet, side: SidePlan, top: float, keys: Mapping[str, str], fills: Mapping[str, str]
) -> None:
    """One repeat: each stripe with its key and its count where there is room for them."""
    room = WIDE - 2 * MARGIN
    once = sum(threads for _, threads in side.stripes)
    at, told = 0, 0
    for yarn, threads in side.stripes:
        left, wide = MARGIN + room * at / once, room * threads / once
        fine = wide < 3
        sheet.rect(left, top, wide, BAND, fills[yarn], None if fine else INK, 0.6)
        said = str(threads)
        if max(words_width(one, SMALL) for one in (said, keys[yarn])) + 2 <= wide:
            sheet.text(left + wide / 2, top + BAND + SMALL + 1, said, SMALL, "middle")
            sheet.text(left + wide / 2, top - 4, keys[yarn], SMALL, "middle")
            told += 1
        at += threads
    sheet.rect(MARGIN, top, room, BAND, stroke=INK)
    sheet.text(MARGIN, top + BAND + ROW + SMALL - 1, _repeat_said(side, told), SMALL, room=room)


def _repeat_said(side: SidePlan, told: int) -> str:
    """What the bar of one repeat is, and what stands at it: of `told` stripes."""
    once = sum(threads for _, threads in side.stripes)
    what = "the skeins" if side.one_yarn else "one repeat"
    said = f"{what}, {once} {side.thing}{'' if once == 1 else 's'}"
    if not told:
        return f"{said}; its stripes, each with the {side.thing}s counted up to its end:"
    where = "" if told == len(side.stripes) else ", where there is room"
    return f"{said}: letter of the yarn above, its {side.thing}s below{where}; then counted up:"


def _list(
    sheet: Sheet, side: SidePlan, top: float, keys: Mapping[str, str], fills: Mapping[str, str]
) -> None:
    """Every stripe in turn, column by column: key, threads, yarn, and threads up to its end."""
    rows, upto = _rows(side), 0
    wide = (WIDE - 2 * MARGIN) / _columns(side)
    room = min(_longest_name(side), wide - NAME - UPTO)
    for at, (yarn, threads) in enumerate(side.stripes[:LIST_MOST]):
        column, row = divmod(at, rows)
        left, y = MARGIN + column * wide, top + row * ROW + SMALL
        upto += threads
        sheet.rect(left, y - SWATCH + 2, SWATCH, SWATCH, fills[yarn], INK, 0.6)
        sheet.text(left + SWATCH + 4, y, keys[yarn], SMALL, room=22, bold=True)
        sheet.text(left + 68, y, str(threads), SMALL, "end", room=28)
        sheet.text(left + NAME, y, yarn, SMALL, room=room)
        sheet.text(left + NAME + room + UPTO - 10, y, f"to {upto}", SMALL, "end", room=UPTO - 14)
    over = len(side.stripes) - LIST_MOST
    if over > 0:
        y = top + rows * ROW + SMALL
        sheet.text(MARGIN, y, f"and {over} stripes more, not listed", SMALL)


def _yarns(
    sheet: Sheet,
    sides: Sequence[SidePlan],
    colours: Mapping[str, YarnColour],
    keys: Mapping[str, str],
    top: float,
) -> None:
    """The key: each yarn with its shades, and all its ends and picks."""
    sheet.line((MARGIN, top), (WIDE - MARGIN, top), stroke=FAINT)
    sheet.text(MARGIN, top + ROW, "Yarns", BODY, bold=True)
    for at, (yarn, colour) in enumerate(colours.items()):
        y = top + (at + 2) * ROW + 2
        sheet.text(MARGIN, y, keys[yarn], SMALL, room=24, bold=True)
        swatch(sheet, MARGIN + 28, y - SWATCH + 2, 44, SWATCH, colour)
        counts = [
            f"{threads} {side.thing}{'' if threads == 1 else 's'}"
            for side in sides
            for name, threads in side.yarns
            if name == yarn
        ]
        said = sheet.text(WIDE - MARGIN, y, ", ".join(counts), SMALL, "end", room=200)
        sheet.text(MARGIN + 80, y, yarn, SMALL, room=WIDE - 2 * MARGIN - 80 - said - 8)


def swatch(
    sheet: Sheet, left: float, top: float, wide: float, high: float, colour: YarnColour
) -> None:
    """A yarn's shades side by side, each as wide as its share; a stroke through it if not told.

    A wide one shows too how they lie."""
    at = left
    for fill, share in laid_out(colour) if wide >= LAID_OUT else parts_of(colour):
        sheet.rect(at, top, share * wide, high, fill)
        at += share * wide
    if not colour.stretches:
        sheet.line((left, top + high), (left + wide, top), stroke=FAINT)
    sheet.rect(left, top, wide, high, stroke=INK, thick=0.6)
