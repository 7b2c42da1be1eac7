"""farspun geometry: what yarns, setts and weave make of a cloth, before it is woven."""

import re
from collections.abc import Iterator
from textwrap import wrap as folded
from typing import TYPE_CHECKING, Annotated, Any

import typer

from farspun.cli import options
from farspun.cli.printing import print_json, say
from farspun.units import (
    CM_PER_INCH,
    GRAMS_PER_OUNCE,
    METRES_PER_YARD,
    MM_PER_INCH,
    Quantity,
    addition,
    count,
    say_percent,
    share,
    take_up_from_crimp,
    threads,
)

if TYPE_CHECKING:
    from farspun.services.geometry import ClothGeometry
    from farspun.services.geometry_asked import Asked

LABEL = 14  # characters before what is said
LINE = 88  # characters

_ZERO = re.compile(r"\s*(?:0+\.?0*|\.0+)\s*%?\s*")


def _part(text: str, what: str) -> Quantity:
    """A part of a whole as `share` reads it, and nothing of it too."""
    if _ZERO.fullmatch(text):
        return Quantity(0.0, 0.01, None, "0")
    return share(text, what)


def _option(name: str, metavar: str, read: Any, help_text: str) -> Any:
    return options.option(name, metavar, options.reader(read, name.replace("-", " ")), help_text)


_COUNT = "as 230 m/100g, 40 tex, Nm 8/2, 2/8 cotton."
_NOT_WOOL = "a blend: wool 80, silk 20. Not said: wool."
_BY_COUNT = "Not said: by count, fibre and fibre fill."

WarpCount = Annotated[
    str, typer.Option("--warp-count", metavar="COUNT", help=f"Count of the warp, {_COUNT}")
]
WeftCount = Annotated[
    str, typer.Option("--weft-count", metavar="COUNT", help=f"Count of the weft, {_COUNT}")
]
Ends = Annotated[Quantity, _option("ends", "ENDS", threads, "Ends in the cloth: 3/cm or 8 epi.")]
Picks = Annotated[
    Quantity, _option("picks", "PICKS", threads, "Picks in the cloth: 3/cm or 8 ppi.")
]
WarpFibre = Annotated[
    str | None,
    typer.Option("--warp-fibre", metavar="FIBRE", help=f"Fibre of the warp, or {_NOT_WOOL}"),
]
WeftFibre = Annotated[
    str | None,
    typer.Option("--weft-fibre", metavar="FIBRE", help=f"Fibre of the weft, or {_NOT_WOOL}"),
]
FibreFill = Annotated[
    Quantity | None,
    _option(
        "fibre-fill",
        "PART",
        share,
        "Part of a yarn's round that is fibre, pressed in the cloth. Not said: 0.5 for wool,"
        " 0.6 for others.",
    ),
]
WarpDiameter = Annotated[
    Quantity | None,
    options.length_option("warp diameter", f"Diameter of the warp. {_BY_COUNT}", zero=False),
]
WeftDiameter = Annotated[
    Quantity | None,
    options.length_option("weft diameter", f"Diameter of the weft. {_BY_COUNT}", zero=False),
]
WeaveNamed = Annotated[
    str | None,
    typer.Option(
        "--weave", metavar="WEAVE", help="Plain, 2/2 twill, 5-end satin … Not said: plain."
    ),
]
CrimpShare = Annotated[
    Quantity | None,
    _option(
        "crimp-share",
        "PART",
        _part,
        "Part of the wave that the warp takes: 0 is a straight warp, 1 a straight weft. Not said:"
        " 0.5, or as near as there is room for.",
    ),
]
WarpCrimp = Annotated[
    Quantity | None,
    _option("warp-crimp", "PERCENT", addition, "Crimp of the warp, added to the cloth's length."),
]
WeftCrimp = Annotated[
    Quantity | None,
    _option("weft-crimp", "PERCENT", addition, "Crimp of the weft, added to the cloth's width."),
]


def add_to(app: typer.Typer) -> None:
    """Hang the command on the tree."""
    app.command("geometry")(geometry)


def geometry(
    warp_count: WarpCount,
    weft_count: WeftCount,
    ends: Ends,
    picks: Picks,
    warp_fibre: WarpFibre = None,
    weft_fibre: WeftFibre = None,
    fibre_fill: FibreFill = None,
    warp_diameter: WarpDiameter = None,
    weft_diameter: WeftDiameter = None,
    weave: WeaveNamed = None,
    crimp_share: CrimpShare = None,
    warp_crimp: WarpCrimp = None,
    weft_crimp: WeftCrimp = None,
    json: options.Json = False,
) -> None:
    """Crimp, cover, weight and thickness of a cloth, and how close it could be set."""
    from farspun.craft.drawn import drawn_weave
    from farspun.craft.fibres import blend
    from farspun.services import geometry as service
    from farspun.services.drafts import weave_kept
    from farspun.services.geometry_asked import Asked, YarnAsked

    fibres = [None if said is None else blend(said) for said in (warp_fibre, weft_fibre)]
    counted = [
        count(said, what, fibre.main if fibre else None)
        for said, what, fibre in zip(
            (warp_count, weft_count), ("warp count", "weft count"), fibres, strict=True
        )
    ]
    asked = Asked(
        warp=YarnAsked(counted[0], ends, fibres[0], warp_diameter),
        weft=YarnAsked(counted[1], picks, fibres[1], weft_diameter),
        weave=None if weave is None else drawn_weave(weave_kept(weave)),
        fibre_fill=fibre_fill,
        crimp_share=crimp_share,
        warp_crimp=warp_crimp,
        weft_crimp=weft_crimp,
    )
    answer = service.cloth_geometry(asked)
    if json:
        print_json(answer)
    else:
        say(*_lines(asked, answer))


def _lines(asked: "Asked", answer: "ClothGeometry") -> Iterator[str]:
    """Weight and thickness, then the cloth's shape, how near its limit it is, notes."""
    thick = answer.thickness_mm
    in_mm, in_inches = ("", "") if thick is None else (f" and is {_mm(thick)} thick", _thick(thick))
    yield f"This cloth weighs {_three(answer.mass_g_per_m2)} g to the square metre{in_mm}"
    per_yard = answer.mass_g_per_m2 * METRES_PER_YARD**2 / GRAMS_PER_OUNCE
    yield f"({_three(per_yard)} oz to the square yard{in_inches})."
    yield _row("Weave", asked.woven.name)
    for label, *lines in _rows(answer):
        for place, words in enumerate(lines):
            yield _row("" if place else label, words)
    for place, (side, counted) in enumerate((("warp", asked.warp), ("weft", asked.weft))):
        yield _row("" if place else "Read as", f"{side} {counted.count.said}")
    for name, crimp in (("warp crimp", asked.warp_crimp), ("weft crimp", asked.weft_crimp)):
        if crimp is not None:
            yield _row("", f"{name} {crimp.said}")
    for note in answer.notes:
        first, more = _row("Note", " ")[:-1], _row("", " ")[:-1]
        yield from folded(note, LINE, initial_indent=first, subsequent_indent=more)


def _rows(answer: "ClothGeometry") -> Iterator[tuple[str, ...]]:
    """(label, line, …): lengths in metric measure, below it in inches."""
    warp, weft = answer.warp_crimp_fraction, answer.weft_crimp_fraction
    take_up = say_percent(take_up_from_crimp(warp))
    yield (
        "Crimp",
        f"warp {say_percent(warp)} (a take-up of {take_up}), weft {say_percent(weft)}",
    )
    covers = (say_percent(one) for one in (answer.cover_warp, answer.cover_weft))
    cloth = say_percent(answer.cover_cloth)
    yield "Cover", "warp {}, weft {}, both together {}".format(*covers, cloth)
    yield (
        "Cover factor",
        f"warp {answer.cover_factor_warp:.1f}, weft {answer.cover_factor_weft:.1f}",
    )
    yarns = answer.warp_diameter_mm, answer.weft_diameter_mm
    yield (
        "Yarn",
        "warp {} thick, weft {}".format(*map(_mm, yarns)),
        "warp {} thick, weft {}".format(*map(_inches, yarns)),
    )
    closest = answer.closest_ends_per_cm, answer.closest_picks_per_cm
    yield (
        "Jam",
        "at {} ends and {} picks per cm; ".format(*map(_three, closest))
        + f"this is at {say_percent(answer.share_of_limit)} of it",
        "at {} ends and {} picks per inch".format(*(_three(one * CM_PER_INCH) for one in closest)),
    )


def _row(label: str, said: str) -> str:
    return f"  {label:<{LABEL}}{said}"


def _thick(thick_mm: float) -> str:
    return f", {_inches(thick_mm)} thick"


def _mm(length_mm: float) -> str:
    return f"{length_mm:.2f} mm" if length_mm >= 0.1 else f"{length_mm:.3f} mm"


def _inches(length_mm: float) -> str:
    return f"{length_mm / MM_PER_INCH:.3f} in"


def _three(amount: float) -> str:
    """Three figures, from a thousand up whole.

    >>> _three(8.4561), _three(212.4), _three(1234.4)
    ('8.46', '212', '1234')
    """
    return f"{amount:#.3g}".rstrip(".") if amount < 999.5 else f"{amount:.0f}"
