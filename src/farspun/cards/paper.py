"""The papers a card is printed on."""

from dataclasses import dataclass

from farspun.errors import ImpossibleValue

A4, A5, LETTER = "A4", "A5", "letter"


@dataclass(frozen=True, slots=True)
class Paper:
    """A sheet upright, mm: `name` as it is asked for, `margin_mm` on all sides."""

    name: str
    width_mm: float
    height_mm: float
    margin_mm: float


# ISO 216; a US letter is 8.5 by 11 inches
PAPERS = {
    A4.casefold(): Paper(A4, 210.0, 297.0, 14.0),
    A5.casefold(): Paper(A5, 148.0, 210.0, 9.0),
    LETTER: Paper(LETTER, 215.9, 279.4, 14.0),
}


def checked_paper(said: str) -> Paper:
    """The paper of that name. Raises ImpossibleValue for another.

    >>> checked_paper("a5").width_mm
    148.0
    """
    found = PAPERS.get(said.strip().casefold())
    if found is None:
        known = ", ".join(one.name for one in PAPERS.values())
        raise ImpossibleValue("the paper", f"“{said}”", f"one of {known}")
    return found
