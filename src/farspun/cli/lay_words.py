"""A lay of pieces to be cut, in words and drawn with letters."""

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Any

from farspun.cli.printing import labelled, print_json, print_table, say, tell
from farspun.units import CM_PER_INCH, say_cm, say_inches, say_percent

if TYPE_CHECKING:
    from farspun.craft.lay import Laid, Lay
    from farspun.services.cutting import Cut

MOST_ACROSS = 60  # characters of a drawing
TALL = 2.0  # times as tall as wide is the place of a letter
MOST_DOWN = 45  # lines of it
CM_PER_LETTER = 1.0  # at least
CARE = (
    "Stitch or zigzag along each line before you cut: handwoven cloth runs. Straps that carry, and"
    " things for children, have rules of their own."
)


def print_cut(cut: "Cut", json: bool, imperial: bool) -> None:
    """The lay, then the answer for the cloth it needs."""
    from farspun.cli.verdict import check_lines
    from farspun.services.answers import check_document

    if json:
        print_json(check_document(cut.check) | {"lay": lay_document(cut)})
        return
    say(*check_lines(cut.check), "")
    say(*_lay_lines(cut), "", *drawing(cut.lay), "")
    _print_pieces(cut.lay.pieces, imperial)
    if cut.picture:
        tell(f"Drawn in {cut.picture}.")
    if cut.before is not None:
        tell(*labelled("Before", f"{cut.before.plan.size_said}: {cut.before.verdict}"))
    if not cut.stored:
        tell("Nothing was stored: leave --dry-run out to plan it so.")


def _lay_lines(cut: "Cut") -> Iterator[str]:
    """What the lay comes to."""
    lay, asked = cut.lay, cut.asked
    number = len(lay.pieces)
    pieces = "1 piece" if number == 1 else f"{number} pieces"
    wide, long = lay.width_cm, lay.length_cm
    yield from labelled(
        "Lay", f"{pieces} on {say_cm(wide)} x {say_cm(long)}, finished;"
        f" {say_percent(round(lay.waste_fraction, 2))} of it is left over"
    )  # fmt: skip
    yield from labelled("", f"in inches: {say_inches(wide)} x {say_inches(long)}")
    yield from labelled(
        "", f"each cut with {say_cm(asked.seam_cm)} seam and {say_cm(asked.raw_edge_cm)} raw edge"
        f" all round; {say_cm(asked.selvedge_cm)} of selvedge comes off each side"
    )  # fmt: skip
    if asked.nap:
        yield from labelled("", "with a nap: every piece has its top towards the start")
    for one in cut.split:
        yield from labelled("Panels", one)
    yield from labelled("Care", CARE)


def _print_pieces(pieces: "Sequence[Laid]", imperial: bool) -> None:
    """Where each lies: corner nearest the start, from the left edge of the cloth."""
    unit, size = ("in", CM_PER_INCH) if imperial else ("cm", 1.0)
    headings = (f"Piece, in {unit}", "from left", "from start", "wide", "long", "")
    rows = [
        (
            f"{one.name} {one.number}",
            *(f"{cm / size:.1f}" for cm in (one.left_cm, one.start_cm, one.width_cm,
                                            one.length_cm)),
            "turned" if one.turned else "",
        )
        for one in pieces
    ]  # fmt: skip
    print_table(headings, rows, right=(1, 2, 3, 4))


def drawing(lay: "Lay") -> list[str]:
    """The cloth from its start downwards, every piece a box with its name; ":" is selvedge."""
    across_cm = max(CM_PER_LETTER, lay.width_cm / MOST_ACROSS, lay.length_cm / (TALL * MOST_DOWN))
    along_cm = across_cm * TALL
    columns, rows = round(lay.width_cm / across_cm), max(1, round(lay.length_cm / along_cm))
    field = [[" "] * (columns + 1) for _ in range(rows + 1)]
    cut_off = round(lay.selvedge_cm / across_cm)
    for line in field:
        for at in [*range(cut_off), *range(columns + 1 - cut_off, columns + 1)]:
            line[at] = ":"
    for one in lay.pieces:
        corners = (
            round(one.left_cm / across_cm), round(one.start_cm / along_cm),
            round(one.right_cm / across_cm), round(one.end_cm / along_cm),
        )  # fmt: skip
        _box(field, corners, f"{one.name} {one.number}")
    return ["".join(line).rstrip() for line in field]


def _box(field: list[list[str]], corners: tuple[int, int, int, int], label: str) -> None:
    left, top, right, bottom = corners
    for at in range(left, right + 1):
        for row in (top, bottom):
            field[row][at] = "+" if field[row][at] in "|+" or at in (left, right) else "-"
    for row in range(top + 1, bottom):
        for at in (left, right):
            field[row][at] = "+" if field[row][at] in "-+" else "|"
    room = right - left - 1
    middle = (top + bottom) // 2
    if bottom - top < 2 or room < 1:
        return
    text = label[:room]
    start = left + 1 + (room - len(text)) // 2
    field[middle][start : start + len(text)] = text


def lay_document(cut: "Cut") -> dict[str, Any]:
    """As one JSON object."""
    lay, asked = cut.lay, cut.asked
    return {
        "width_cm": lay.width_cm,
        "usable_cm": lay.width_cm - 2 * lay.selvedge_cm,
        "length_cm": lay.length_cm,
        "waste_fraction": lay.waste_fraction,
        "seam_cm": asked.seam_cm,
        "raw_edge_cm": asked.raw_edge_cm,
        "selvedge_cm": asked.selvedge_cm,
        "nap": asked.nap,
        "panels": cut.split,
        "pieces": lay.pieces,
    }
