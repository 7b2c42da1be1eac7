"""How large the words of a side may be: a guess, so that the page need hardly be measured."""

import math
from collections.abc import Sequence

from farspun.cards.paper import Paper
from farspun.cards.wording import Row

# in sizes of the words; measured on cards of the tests
LABEL_EM = 6.2  # of the width is taken by the labels
SIGN_EM = 0.43  # a sign of a line, with what the ends of lines leave empty
LINE_EM = 1.145  # from one line to the next: cap height and leading
ROW_EM = 0.15  # between two rows, beside the leading
PT_PER_MM = 72 / 25.4
LEAST_PT, MOST_PT, STEP_PT = 8.0, 13.5, 0.5


def guessed_pt(rows: Sequence[Row], paper: Paper, more_em: float, more_mm: float = 0.0) -> float:
    """The size, in pt, at which these rows should just fill a side.

    `more_em`: what else stands on the side, in sizes of the words; `more_mm`: the same of what does
    not grow with them.
    """
    wide = (paper.width_mm - 2 * paper.margin_mm) * PT_PER_MM
    high = (paper.height_mm - 2 * paper.margin_mm - more_mm) * PT_PER_MM
    size = MOST_PT
    while size > LEAST_PT:
        signs = (wide / size - LABEL_EM) / SIGN_EM
        lines = sum(_lines(row.metric, signs) + _lines(row.imperial, signs) for row in rows)
        if (lines * LINE_EM + len(rows) * ROW_EM + more_em) * size <= high:
            return size
        size -= STEP_PT
    return LEAST_PT


def _lines(text: str, signs: float) -> int:
    return math.ceil(len(text) / signs)
