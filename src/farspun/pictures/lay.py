"""The lay of pieces to be cut, as a drawing in SVG: black on white, to be printed and taken along.

The cloth lies with its start at the top and its length downwards. Dashed lines inside a piece are
where it is sewn; the arrow runs along its own length, with one head where the cloth has a nap.
"""

from collections.abc import Iterator
from xml.sax.saxutils import escape

from farspun.craft.lay import Laid, Lay
from farspun.units import say_cm, say_inches, say_percent

MARGIN_CM = 6.0  # around the cloth, for what is written there
LETTER = 0.62  # of the height of a letter: how wide it is taken to be
UPRIGHT = 3  # times as long as wide, a piece has its words along it
PAPER_MM = 180.0  # the drawing's own size on paper, across
OPENING = (
    '<svg xmlns="http://www.w3.org/2000/svg" width="{width:.0f}mm" height="{height:.0f}mm"'
    ' viewBox="0 0 {across:.2f} {along:.2f}" font-family="sans-serif">'
)
STYLE = """<style>
.cloth { fill: none; stroke: #000000; stroke-width: 0.15 }
.cut-off { fill: #d9d9d9; stroke: none }
.piece { fill: #f3f3f3; stroke: #000000; stroke-width: 0.25 }
.sewn { fill: none; stroke: #000000; stroke-width: 0.1; stroke-dasharray: 0.8 0.5 }
.grain { stroke: #000000; stroke-width: 0.15; fill: none }
.head { fill: #000000 }
text { text-anchor: middle }
</style>"""


def lay_svg(lay: Lay, name: str, seam_cm: float) -> str:
    """The drawing of a lay, in cm; `seam_cm` from each cut edge to where it is sewn."""
    across, along = lay.width_cm + 2 * MARGIN_CM, lay.length_cm + 2 * MARGIN_CM
    scale = PAPER_MM / across
    opening = OPENING.format(width=PAPER_MM, height=along * scale, across=across, along=along)
    return "\n".join(
        [
            opening,
            f"<title>{escape(name)}: how the pieces lie</title>",
            STYLE,
            f'<g transform="translate({MARGIN_CM:g} {MARGIN_CM:g})">',
            *_cloth(lay, name),
            *(line for piece in lay.pieces for line in _piece(piece, lay, seam_cm)),
            "</g>",
            "</svg>\n",
        ]
    )


def _cloth(lay: Lay, name: str) -> Iterator[str]:
    """The cloth, its selvedges, and what is written around it."""
    wide, long = lay.width_cm, lay.length_cm
    if lay.selvedge_cm:
        yield _rect("cut-off", 0, 0, lay.selvedge_cm, long)
        yield _rect("cut-off", wide - lay.selvedge_cm, 0, lay.selvedge_cm, long)
    yield _rect("cloth", 0, 0, wide, long)
    size = f"{say_cm(wide)} x {say_cm(long)} ({say_inches(wide)} x {say_inches(long)})"
    way = "nap: all tops towards the start" if lay.one_way else "arrows: along each piece"
    waste = f"{say_percent(round(lay.waste_fraction, 2))} is left over"
    room = wide + 2 * MARGIN_CM - 1
    yield _text(wide / 2, -3.4, f"{name}: {size}", _height(f"{name}: {size}", room, 1.8))
    yield _text(wide / 2, -1.2, "start", 1.2)
    lines = "dashed: sewn there" + ("; grey: selvedge, cut off" if lay.selvedge_cm else "")
    for number, below in enumerate((f"{way}; {waste}", lines)):
        yield _text(wide / 2, long + 2.4 + 1.8 * number, below, _height(below, room, 1.4))


def _piece(piece: Laid, lay: Lay, seam_cm: float) -> Iterator[str]:
    """A piece, where it is sewn, its grain, its name and its size, cut and finished."""
    x, y, wide, long = piece.left_cm, piece.start_cm, piece.width_cm, piece.length_cm
    yield _rect("piece", x, y, wide, long)
    if seam_cm and wide > 2 * seam_cm and long > 2 * seam_cm:
        yield _rect("sewn", x + seam_cm, y + seam_cm, wide - 2 * seam_cm, long - 2 * seam_cm)
    yield from _grain(piece, lay)
    turned = ", turned" if piece.turned else ""
    sewn = say_cm(wide - 2 * seam_cm), say_cm(long - 2 * seam_cm)
    words = (
        f"{piece.name} {piece.number}{turned}",
        f"cut {say_cm(wide)} x {say_cm(long)}",
        f"finished {sewn[0]} x {sewn[1]}",
    )
    upright = wide * UPRIGHT < long
    room = 0.9 * ((long if upright else wide) - 2 * seam_cm)
    middle = x + wide / 2, y + long / 2
    high = min(*(_height(text, room, 2.0) for text in words), (wide if upright else long) / 6)
    for text, shift in zip(words, (-0.9, 0.4, 1.7), strict=True):
        yield _text(middle[0], middle[1] + shift * high, text, high, middle if upright else None)


def _grain(piece: Laid, lay: Lay) -> Iterator[str]:
    """Along the piece's own length: as the warp goes, or across it where it was turned."""
    x, y, wide, long = piece.left_cm, piece.start_cm, piece.width_cm, piece.length_cm
    head = min(1.0, wide / 6, long / 6)
    if piece.turned:
        at = y + long - min(1.2, long / 5)
        low, high = x + wide * 0.2, x + wide * 0.8
        yield f'<path class="grain" d="M {low:.2f} {at:.2f} H {high:.2f}"/>'
        yield _head((low, at), (-head, 0))
        yield _head((high, at), (head, 0))
        return
    at = x + wide - min(1.2, wide / 5)
    low, high = y + long * 0.2, y + long * 0.8
    yield f'<path class="grain" d="M {at:.2f} {low:.2f} V {high:.2f}"/>'
    yield _head((at, low), (0, -head))
    if not lay.one_way:
        yield _head((at, high), (0, head))


def _head(tip: tuple[float, float], along: tuple[float, float]) -> str:
    """The head of an arrow that ends at `tip` plus half of `along`."""
    (x, y), (dx, dy) = tip, along
    points = [(x + dx / 2, y + dy / 2), (x - dx / 2 - dy / 3, y - dy / 2 - dx / 3),
              (x - dx / 2 + dy / 3, y - dy / 2 + dx / 3)]  # fmt: skip
    said = " ".join(f"{px:.2f},{py:.2f}" for px, py in points)
    return f'<polygon class="head" points="{said}"/>'


def _height(text: str, room_cm: float, most_cm: float) -> float:
    """The height of letters at which the text goes into the room."""
    return max(0.3, min(most_cm, room_cm / (LETTER * len(text))))


def _rect(kind: str, x: float, y: float, wide: float, long: float) -> str:
    return f'<rect class="{kind}" x="{x:.2f}" y="{y:.2f}" width="{wide:.2f}" height="{long:.2f}"/>'


def _text(
    x: float, y: float, text: str, high: float, around: tuple[float, float] | None = None
) -> str:
    """A line of text; upright where it is turned `around` a point."""
    turn = f' transform="rotate(-90 {around[0]:.2f} {around[1]:.2f})"' if around else ""
    return f'<text x="{x:.2f}" y="{y:.2f}" font-size="{high:.2f}"{turn}>{escape(text)}</text>'
