"""Weaves by the trade's notation, and the kind of cloth they count as in practice.

::

    plain                   tabby is read too
    A/B twill, A/B S twill  each pick over B and under A ends, one end further to the right (left)
    N-end satin, … MOVE     warp-faced; MOVE is the step from stitch to stitch
    basket AxB              blocks of A ends and B picks
    warp rib A/B            plain across, each end over A picks and under B
    weft rib A/B            plain along, each pick under A ends and over B
    herringbone A/B xN      twill turned every N ends with a break of half the repeat
    point A/B xN            twill turned back at every Nth end
    ##../.##./..##/#..#     a row a pick, the first woven first, # where the warp is up
"""

import math
import re
from collections.abc import Callable, Iterable
from functools import lru_cache
from typing import Literal

from farspun.craft.interlacement import MOST_THREADS, Interlacement, Weave, rows_name
from farspun.errors import FarspunError, ImpossibleValue, NotFound

__all__ = [
    "EXAMPLES",
    "PURPOSES",
    "PracticeFamily",
    "Purpose",
    "Weave",
    "checked_purpose",
    "practice_family",
    "satin_moves",
    "weave",
]

Purpose = Literal["drape", "everyday", "firm", "weft-faced", "warp-faced"]
PracticeFamily = Literal["plain", "twill or basket", "weft-faced", "warp-faced"]
PURPOSES: tuple[Purpose, ...] = ("drape", "everyday", "firm", "weft-faced", "warp-faced")

# name: value      unit      source
TWILL_FLOAT = 1.5  # picks   mean warp float from which take-up is that of a twill: a judgement
LEAST_SATIN = 5  # ends      exact: with fewer no move spreads the stitches
EXAMPLES = (
    "plain",
    "2/1 twill",
    "1/2 twill",
    "2/2 twill",
    "2/2 S twill",
    "3/1 twill",
    "1/3 twill",
    "5-end satin",
    "8-end satin 3",
    "basket 2x2",
    "warp rib 2/2",
    "weft rib 2/2",
    "herringbone 2/2 x8",
    "point 2/2 x8",
    "##../.##./..##/#..#",
)


def practice_family(weave: Weave, purpose: str = "everyday") -> PracticeFamily:
    """The kind of cloth whose take-up is known from practice.

    A faced cloth by its purpose; any other by how long the warp floats: less than 1½ picks in the
    mean is as plain weave, more (every twill, basket, satin) is "twill or basket". For the weft's
    take-up give `weave.swapped()`.

    Raises: ImpossibleValue for a purpose not known. Source: judgement.

    >>> practice_family(weave("2/2 twill")), practice_family(weave("2/2 twill"), "weft-faced")
    ('twill or basket', 'weft-faced')
    """
    if checked_purpose(purpose) in ("weft-faced", "warp-faced"):
        return "weft-faced" if purpose == "weft-faced" else "warp-faced"
    return "plain" if weave.warp_float < TWILL_FLOAT else "twill or basket"


def checked_purpose(purpose: str) -> Purpose:
    """The purpose, if it is one of `PURPOSES`; else ImpossibleValue."""
    for known in PURPOSES:
        if purpose == known:
            return known
    raise ImpossibleValue("purpose", purpose, f"one of {', '.join(PURPOSES)}")


@lru_cache(maxsize=256)
def weave(text: str) -> Weave:
    """The weave of that name in the spellings above, any case.

    Raises: NotFound with the nearest names; ImpossibleValue for a satin without that move, a
    repeat too large, a thread that would lie loose.

    >>> weave("Twill 2/2").name, weave("2/2 z twill").name, weave("tabby").name
    ('2/2 twill', '2/2 twill', 'plain')
    >>> rows_name(weave("2/1 twill").interlacement)
    '##./.##/#.#'
    """
    plain = " ".join(text.casefold().split())
    for spelling, build in _SPELLINGS:
        found = spelling.fullmatch(plain)
        if found:
            return build(*found.groups())
    raise _no_such_weave(text)


def _no_such_weave(text: str) -> FarspunError:
    said = text.strip()[:60]
    if said.casefold() == "twill":
        return NotFound("weave", said, ("2/2 twill", "2/1 twill", "3/1 twill"))
    return NotFound("weave", said, EXAMPLES, f"Weaves are written like {', '.join(EXAMPLES)}.")


def _plain() -> Weave:
    return Weave("plain", ((True, False), (False, True)))


def _counts(what: str, *numbers: str) -> list[int]:
    """Numbers of threads, each from 1 up, whose repeat fits the largest draft."""
    threads = [int(number) for number in numbers]
    if not 0 < min(threads) <= sum(threads) <= MOST_THREADS:
        allowed = f"each number 1 or more, together at most {MOST_THREADS}"
        raise ImpossibleValue("weave", what, allowed)
    return threads


def _cells(picks: int, ends: Iterable[int], up: Callable[[int, int], bool]) -> Interlacement:
    """Rows of picks, asking `up` of each pick and each number in `ends`."""
    across = tuple(ends)
    return tuple(tuple(up(pick, end) for end in across) for pick in range(picks))


def _shafts(name: str, up: int, down: int, threading: Iterable[int]) -> Weave:
    """An A/B twill tie-up trod straight, with each end on a shaft of `threading`."""
    count = up + down
    return Weave(name, _cells(count, threading, lambda pick, shaft: (shaft - pick) % count < up))


def _twill(above: str, below: str, direction: str | None = None) -> Weave:
    name = f"{above}/{below} twill"
    up, down = _counts(name, above, below)
    if up == down == 1:
        return _plain()
    if direction == "s":
        return _shafts(f"{up}/{down} S twill", up, down, range(up - 1, -down - 1, -1))
    return _shafts(f"{up}/{down} twill", up, down, range(up + down))


def _turned_twill(direction: str, above: str, below: str) -> Weave:
    return _twill(above, below, direction)


def _satin(ends_said: str, move_said: str | None) -> Weave:
    name = f"{ends_said}-end satin"
    (ends,) = _counts(name, ends_said)
    moves = satin_moves(ends)
    if not moves:
        raise _no_satin(name, ends)
    move = int(move_said) if move_said else moves[0]
    if move not in moves:
        offer = ", ".join(str(one) for one in moves)
        allowed = f"the move of a {name} is one of {offer}"
        raise ImpossibleValue("weave", f"{name} {move}", allowed, f"Write {name} {moves[0]}.")
    name = f"{ends}-end satin" + (f" {move}" if move != moves[0] else "")
    return Weave(name, _cells(ends, range(ends), lambda pick, end: end != pick * move % ends))


def _no_satin(name: str, ends: int) -> FarspunError:
    nearest = "5-end satin and 7-end satin" if ends > LEAST_SATIN else "5-end satin"
    allowed = f"with {ends} ends no step spreads the stitches evenly"
    return ImpossibleValue("weave", name, allowed, f"Nearest: {nearest}.")


def satin_moves(ends: int) -> list[int]:
    """Steps from stitch to stitch that make a satin: no factor in common with `ends`, not a twill.

    >>> satin_moves(5), satin_moves(6), satin_moves(8)
    ([2, 3], [], [3, 5])
    """
    return [move for move in range(2, ends - 1) if math.gcd(move, ends) == 1]


def _basket(ends_said: str, picks_said: str) -> Weave:
    name = f"basket {ends_said}x{picks_said}"
    ends, picks = _counts(name, ends_said, picks_said)
    if ends == picks == 1:
        return _plain()
    rows = _cells(2 * picks, range(2 * ends), lambda pick, end: pick // picks == end // ends)
    return Weave(f"basket {ends}x{picks}", rows)


def _warp_rib(above: str, below: str) -> Weave:
    up, down = _counts(f"warp rib {above}/{below}", above, below)
    if up == down == 1:
        return _plain()
    rows = _cells(up + down, range(2), lambda pick, end: (pick < up) == (end == 0))
    return Weave(f"warp rib {up}/{down}", rows)


def _weft_rib(above: str, below: str) -> Weave:
    up, down = _counts(f"weft rib {above}/{below}", above, below)
    if up == down == 1:
        return _plain()
    rows = _cells(2, range(up + down), lambda pick, end: (end < up) == (pick == 0))
    return Weave(f"weft rib {up}/{down}", rows)


def _herringbone(above: str, below: str, ends_said: str) -> Weave:
    name = f"herringbone {above}/{below} x{ends_said}"
    up, down, ends, _ = _counts(name, above, below, ends_said, ends_said)
    if ends == 1:
        raise ImpossibleValue("weave", name, "at least 2 ends before it turns")
    far = ends - 1 + (up + down) // 2
    threading = [*range(ends), *range(far, far - ends, -1)]
    return _shafts(f"herringbone {up}/{down} x{ends}", up, down, threading)


def _point(above: str, below: str, ends_said: str) -> Weave:
    name = f"point {above}/{below} x{ends_said}"
    up, down, ends, _ = _counts(name, above, below, ends_said, ends_said)
    if ends <= 2:
        raise ImpossibleValue("weave", name, "at least 3 ends before it turns")
    threading = [*range(ends), *range(ends - 2, 0, -1)]
    return _shafts(f"point {up}/{down} x{ends}", up, down, threading)


def _rows(text: str) -> Weave:
    rows = tuple(tuple(cell == "#" for cell in row) for row in text.replace(" ", "").split("/"))
    return Weave(rows_name(rows), rows)


_N = "([0-9]{1,3})"
_AB = f"{_N} ?/ ?{_N}"
_SPELLINGS: tuple[tuple[re.Pattern[str], Callable[..., Weave]], ...] = tuple(
    (re.compile(spelling), build)
    for spelling, build in (
        ("(?:plain|tabby)(?: weave)?", _plain),
        (f"{_AB}(?: ([sz]))?(?: twill)?", _twill),
        (f"(?:twill )?{_AB}(?: ([sz]))?", _twill),
        (f"([sz]) twill {_AB}", _turned_twill),
        (f"{_N}[- ]end satin(?: {_N})?", _satin),
        (f"satin {_N}(?: {_N})?", _satin),
        (f"basket {_N} ?[x×] ?{_N}", _basket),
        (f"{_N} ?[x×] ?{_N} basket", _basket),
        (f"warp rib {_AB}", _warp_rib),
        (f"{_AB} warp rib", _warp_rib),
        (f"weft rib {_AB}", _weft_rib),
        (f"{_AB} weft rib", _weft_rib),
        (f"herringbone(?: twill)? {_AB} ?[x×] ?{_N}", _herringbone),
        (f"{_AB} herringbone(?: twill)? [x×] ?{_N}", _herringbone),
        (f"point(?: twill)? {_AB} ?[x×] ?{_N}", _point),
        (f"{_AB} point(?: twill)? [x×] ?{_N}", _point),
        ("([.# /]*[.#/])", _rows),
    )
)
