"""A warping card as a PDF: one sheet, two sides."""

from typing import Any

from farspun.cards import setup_words, weaving_words
from farspun.cards.draft_picture import cells, draft_svg, fits
from farspun.cards.facts import Card
from farspun.cards.guessing import guessed_pt
from farspun.cards.paper import Paper
from farspun.cards.setting import pdf
from farspun.cards.wording import Row, breakable

TOP_EM, HEADING_EM = 2.0, 2.36  # of a side: its name, and each heading with its line
RULER_EM, BLANKS_EM = 1.32, 1.75  # a line of the ruler, a line of blanks
BLANKS_A_LINE = 3
HIGHER = 1.25  # lines of the ruler, to write in
DRAFT_MM = 3.2  # a square of the draft


def warping_pdf(card: Card, paper: Paper) -> bytes:
    """The card on that paper. Raises ImpossibleValue where it does not go on two sides of it."""
    first = {
        "cloth": list(setup_words.cloth_rows(card)),
        "warping": list(setup_words.warp_rows(card)),
        "reed": list(setup_words.reed_rows(card)),
    }
    second = {
        "weaving": list(weaving_words.weaving_rows(card)),
        "scale": list(weaving_words.start_rows(card)),
        "finish": list(weaving_words.finish_rows(card)),
    }
    drawn = not card.draft.slots_and_holes and fits(card.draft)
    ruler, room = weaving_words.ruler(card), weaving_words.room(card)
    marks = sum(HIGHER if row[1] == "" else 1.0 for lines in ruler.values() for row in lines)
    start_room = weaving_words.start_room(card)
    blanks = sum(-(-len(one["blanks"]) // BLANKS_A_LINE) for one in (*start_room, *room))
    data: dict[str, Any] = {
        "name": breakable(card.cloth),
        "title": "Direct warping" if card.warping.direct else "Winding the warp",
        "draft": draft_svg(card.draft) if drawn else None,
        "draft_said": setup_words.draft_text(card.draft),
        "draft_cells": cells(card.draft),
        "made": f"printed {card.made.printed}, plan no. {card.made.plan_action}",
        "start_room": start_room,
        "ruler": ruler,
        "room": room,
        "guess": {
            "first": guessed_pt(
                _all(first),
                paper,
                TOP_EM + 2 * HEADING_EM + (2.5 if drawn else 0),
                cells(card.draft)[1] * DRAFT_MM if drawn else 0.0,
            ),
            "second": guessed_pt(
                _all(second),
                paper,
                TOP_EM + 4 * HEADING_EM + marks * RULER_EM + blanks * BLANKS_EM,
            ),
        },
    }
    told = {name: [row.data() for row in rows] for name, rows in (first | second).items()}
    return pdf(
        "warping.typ",
        data | told,
        paper,
        f"the card of “{card.cloth}”",
        "Give its yarns shorter names, or see it on the screen: --json.",
    )


def _all(side: dict[str, list[Row]]) -> list[Row]:
    return [row for rows in side.values() for row in rows]
