"""The second side of a warping card in words: picks, marks, edges, finish, and room to write."""

from collections.abc import Callable, Iterator
from dataclasses import replace
from shlex import quote
from typing import Any

from farspun.cards.facts import Card, Start, Stripes, Weighed
from farspun.cards.setup_words import order_text
from farspun.cards.wording import (
    Row,
    both,
    breakable,
    figure,
    grams,
    letters,
    metres,
    ounces,
    yards,
)
from farspun.craft.lengths import FRINGE_TWIST
from farspun.units import (
    say_cm,
    say_inches,
    say_length,
    say_length_imperial,
    say_per_cm,
    say_per_inch,
    say_percent,
)

MOST_WEFTS = 4  # with marks of their own; judgement: what a side has room for
MOST_LEFT = 6  # skeins to be weighed by name
COMMANDS = {  # of the record, what is written down when
    "wound": "Wound",
    "on-loom": "On loom",
    "off-loom": "Off loom",
    "finished": "Finished",
}
ASKED = {  # what the options ask for
    "ends": "ends",
    "warp": "warp",
    "picks": "picks",
    "state": "tight or rested",
    "tape": "tape",
    "thrums": "thrums",
    "spare": "spare",
    "off": "off, wide x long",
    "washed": "washed, wide x long",
    "wash": "wash",
    "mass": "mass",
}


def weaving_rows(card: Card) -> Iterator[Row]:
    """Picks in their three states, the order of the weft, hems and fringes, where to stop."""
    picks = card.picks
    states = (
        ("tight", picks.tight_per_cm),
        ("rested", picks.rested_per_cm),
        ("washed", picks.washed_per_cm),
    )

    def told(say_it: Callable[[float], str]) -> str:
        return ", ".join(f"{figure(say_it(found))} {state}" for state, found in states)

    yield Row("Picks", f"{told(say_per_cm)}, per cm", f"{told(say_per_inch)}, per inch")
    setup = card.setup
    yield Row(
        "",
        f"{setup.picks} picks of {say_cm(setup.pick_length_cm)}: {say_length(setup.weft_yarn_m)}"
        " of weft for the full size",
        f"of {say_inches(setup.pick_length_cm)}: {say_length_imperial(setup.weft_yarn_m)} of weft"
        " for the full size",
    )
    if card.weft_order:
        yield Row("Order", order_text(lettered(card, card.weft_order), "pick", card.cloth))
    yield from _edge_rows(card)
    yield Row(
        "Stop",
        *both(
            lambda cm: (
                f"{'; '.join(_stops(card, cm))} ({cm(setup.tape_length_cm)} by the tape is"
                f" {cm(setup.woven_length_cm)} rested)"
            )
        ),
    )
    yield from _expected_rows(card)


def _expected_rows(card: Card) -> Iterator[Row]:
    """What comes off the loom and out of the wash, beside the width asked."""
    setup, found = card.setup, card.expected
    off = "each piece off the loom" if card.purpose.pieces > 1 else "off the loom"
    dry = "finished" if card.purpose.wash == "none" else "washed"
    yield Row(
        "Expect",
        *both(
            lambda cm: (
                f"{off} {cm(found.off_loom_width_cm)} wide (asked:"
                f" {cm(setup.off_loom_width_cm)}), {cm(found.off_loom_length_cm)} long; {dry}"
                f" {cm(found.washed_width_cm)} wide, {cm(found.washed_length_cm)} long"
            )
        ),
    )


def lettered(card: Card, order: Stripes) -> Stripes:
    """The order with each yarn's letter before its name, as the marks have it."""
    own = {yarn.name: letter for letter, yarn in zip(_letters(card), card.weft, strict=False)}
    stripes = [
        replace(one, yarn=f"{own.get(one.yarn, '')} {one.yarn}".strip()) for one in order.stripes
    ]
    return replace(order, stripes=stripes)


def _stops(card: Card, cm: Callable[[float], str]) -> Iterator[str]:
    """As "header up to 3 cm; piece 1 up to 180 cm, then leave 20 cm unwoven"."""
    for stop in card.stops:
        then = f", then leave {cm(stop.then_unwoven_cm)} unwoven" if stop.then_unwoven_cm else ""
        yield f"{stop.what} up to {cm(stop.upto_cm)} on the tape{then}"


def _edge_rows(card: Card) -> Iterator[Row]:
    edges = card.edges

    def hems(cm: Callable[[float], str]) -> str:
        parts = []
        if edges.hem_cm:
            parts.append(f"{cm(edges.hem_tape_cm)} woven at each end for a hem")
        if edges.side_hem_cm:
            parts.append(f"{cm(edges.side_hem_cm)} at each side, finished")
        return ", ".join(parts)

    if edges.hem_cm or edges.side_hem_cm:
        yield Row("Hems", *both(hems))
    if edges.fringe_cm:
        yield Row(
            "Fringe",
            *both(
                lambda cm: (
                    f"cut {cm(edges.fringe_cut_cm)} at each end, for {cm(edges.fringe_cm)}:"
                    f" twist and knots take {say_percent(FRINGE_TWIST)}, the wash the rest"
                )
            ),
        )


def start_rows(card: Card) -> Iterator[Row]:
    """What lies on the scale before the first pick."""
    yield Row(
        "Scale",
        "Weigh ball and shuttle before the first pick, less the empty shuttle. If it is more or"
        " less than here, so is every weight below. The marks are for the full size. Under “think"
        " below” the odds are less than you asked for: stop and think.",
    )
    for letter, start in zip(_letters(card), card.starts, strict=False):
        label = f"Weft {letter}".strip()
        if start.start_g is None:
            yield Row(label, "its mass is not known, so there is no weight to look for")
            continue
        yield Row(label, f"{_start(start, grams)}, in g", f"{_start(start, ounces)}, in oz")
    more = len(card.starts) - MOST_WEFTS
    if more > 0:
        yield Row("", f"and {more} more wefts: farspun cloth card {quote(card.cloth)} --json")


def _start(start: Start, say_it: Callable[[float | None], str]) -> str:
    kept = f"; {say_it(start.keep_g)} kept for others" if start.keep_g else ""
    return (
        f"{say_it(start.start_g)} at the start; {say_it(start.full_g)} for the full size,"
        f" {say_it(start.need_g)} for the least that serves{kept}"
    )


def start_room(card: Card) -> list[dict[str, Any]]:
    """Blanks for what was weighed before the first pick."""
    blanks = [f"all of {letter}" if letter else "all" for letter in _letters(card)]
    return [{"label": "At the start", "blanks": [*blanks, "empty shuttle"]}]


def _letters(card: Card) -> list[str]:
    """A letter for each weft that has marks, none where there is one only."""
    return letters(len(card.starts))[:MOST_WEFTS]


def ruler(card: Card) -> dict[str, Any]:
    """The ten marks in columns: rows in metric, then the same rows in the other units."""
    own_letters = _letters(card)

    def rows(
        tape: Callable[[float], str],
        used: Callable[[float | None], str],
        weight: Callable[[float | None], str],
        units: tuple[str, str, str],
    ) -> Iterator[list[str]]:
        yield [f"tape, {units[0]}", *(figure(tape(mark.tape_cm)) for mark in card.marks)]
        for number, letter in enumerate(own_letters):
            wefts: list[Weighed] = [mark.wefts[number] for mark in card.marks]
            own = f" {letter}" if letter else ""
            yield [f"weft{own} used, {units[1]}", *(used(one.used_m) for one in wefts)]
            yield [f"should weigh{own}, {units[2]}", *(weight(one.should_g) for one in wefts)]
            if units[2] == "g":
                yield [f"scale showed{own}", *("" for _ in wefts)]
            yield [f"think below{own}, {units[2]}", *(weight(one.think_below_g) for one in wefts)]

    return {
        "metric": list(rows(say_cm, metres, grams, ("cm", "m", "g"))),
        "imperial": list(rows(say_inches, yards, ounces, ("in", "yd", "oz"))),
    }


def finish_rows(card: Card) -> Iterator[Row]:
    """The wet finish, and what to beware of."""
    yield Row("Finish", card.wet_finish)
    for number, one in enumerate(card.cautions):
        label = "" if number else "Beware"
        if one.temperatures_c:
            slow, fast = one.temperatures_c
            yield Row(
                label,
                f"{one.text.rstrip('.')}: {_scald(slow, fast, '°C')}",
                _scald(_fahrenheit(slow), _fahrenheit(fast), "°F"),
            )
        else:
            yield Row(label, one.text)


def _scald(slow: float, fast: float, unit: str) -> str:
    return f"at {slow:.0f} {unit} in about ten minutes, at {fast:.0f} {unit} in seconds"


def _fahrenheit(celsius: float) -> float:
    return celsius * 9 / 5 + 32


def room(card: Card) -> list[dict[str, Any]]:
    """Blanks to be filled in, command by command."""
    found = []
    for one in card.record:
        left = one.left_of if len(one.left_of) <= MOST_LEFT else ["each skein"]
        blanks = [ASKED[name] for name in one.asks]
        blanks += [f"left of {breakable(name)}" for name in left if one.left_of]
        found.append({"label": COMMANDS[one.stage], "blanks": blanks})
    return found
