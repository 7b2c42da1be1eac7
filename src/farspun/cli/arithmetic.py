"""farspun grist, farspun sett: the arithmetic of a yarn that need not be in any stash."""

from collections.abc import Callable, Iterator
from textwrap import wrap as folded
from typing import TYPE_CHECKING, Annotated, Literal

import typer

from farspun.cli import options
from farspun.cli.printing import print_json, say, tell
from farspun.units import (
    HEAVY_MASS_G,
    Quantity,
    count,
    dents,
    length,
    mass,
    say_mass,
    say_per_cm,
    say_per_inch,
    wraps,
)

if TYPE_CHECKING:
    from farspun.services.arithmetic import Grist, Sett

LABEL = 12  # characters before what is said
LINE = 88  # characters

METRIC = ("cm", " m/", "tex", "Nm")  # in what she wrote: then cm are said first

Said = Callable[[float], str]

_COUNT_HELP = "Count: 230 m/100g, 1700 yd/lb, 40 tex, Nm 8/2, 2/8 cotton, 16s worsted."
Mass = Annotated[
    Quantity | None, typer.Option(metavar="MASS", parser=mass, help="As weighed: 112 g, 3.95 oz.")
]
LengthMeasured = Annotated[
    Quantity | None,
    typer.Option("--length", metavar="LENGTH", parser=length, help="Its length: 271 m, 296 yd."),
]
Count = Annotated[str | None, typer.Option(metavar="COUNT", help=_COUNT_HELP)]
FibreOfCount = Annotated[
    str | None,
    typer.Option("--fibre", metavar="FIBRE", help="Wool, or a blend: wool 80, silk 20."),
]
FibreOfYarn = Annotated[
    str | None, typer.Option("--fibre", metavar="FIBRE", help="Not said: wool.")
]
Wraps = Annotated[
    list[Quantity] | None,
    typer.Option(
        "--wpi",
        metavar="WRAPS",
        parser=wraps,
        help="15 wpi, 6 wraps/cm; again for each yarn of a mixed warp, in its order.",
    ),
]
WrapStyle = Annotated[
    Literal["snug", "loose"] | None,
    typer.Option("--wrap", help="Touching all along, or laid on without tension. Not said: snug."),
]
Mill = Annotated[bool, typer.Option("--mill", help="Mill-spun.")]
DrawnHow = Annotated[
    Literal["woollen", "semi", "worsted"] | None,
    typer.Option("--draw", help="Not said: semi; mill yarn worsted."),
]
WeaveNamed = Annotated[
    str | None,
    typer.Option(
        "--weave", metavar="WEAVE", help="Plain, 2/2 twill, 5-end satin … Not said: plain."
    ),
]
PurposeOfCloth = Annotated[
    Literal["drape", "everyday", "firm", "weft-faced", "warp-faced"] | None,
    typer.Option("--purpose", help="Not said: everyday."),
]
Fulled = Annotated[bool, typer.Option("--fulled", help="To be fulled: set more openly.")]
Reeds = Annotated[
    list[Quantity] | None,
    typer.Option(
        "--reed", metavar="DENTS", parser=dents, help="30/10cm, 8 dpi; again for each reed you own."
    ),
]
RigidHeddle = Annotated[
    bool,
    typer.Option("--rigid-heddle", help="The reeds are rigid heddles: one end a hole and slot."),
]


def add_to(app: typer.Typer) -> None:
    """Hang the commands on the tree."""
    app.command("grist", short_help="A yarn's count in every system.")(grist)
    app.command("sett", short_help="How close to set a warp, and what your reeds make of it.")(sett)


def grist(
    mass: Mass = None,
    length: LengthMeasured = None,
    count: Count = None,
    fibre: FibreOfCount = None,
    json: options.Json = False,
) -> None:
    """A yarn's count in every system, from mass and length or from a count."""
    from farspun.craft.fibres import blend
    from farspun.services import arithmetic as service

    spun_from = blend(fibre) if fibre is not None else None
    counted = _counted(count, spun_from.main if spun_from else None)
    answer = service.grist(
        mass_g=mass.value if mass else None,
        length_m=length.value if length else None,
        tex=counted.value if counted else None,
    )
    if mass and mass.value > HEAVY_MASS_G:
        tell(f"{mass.said} is much for a skein: more than {say_mass(HEAVY_MASS_G)}.")
    if json:
        print_json(answer)
        return
    say(*_grist_lines(answer, counted.said if counted else None))
    if spun_from:
        expected = service.wraps_to_expect(answer.tex, spun_from)
        span = (expected.middle_per_cm, expected.low_per_cm, expected.high_per_cm)
        say(_row("Snug wraps", _span(say_per_inch, *span)), _row("", _span(say_per_cm, *span)))


def _counted(text: str | None, fibre: str | None) -> Quantity | None:
    return count(text, fibre=fibre) if text is not None else None


def _grist_lines(answer: "Grist", said: str | None) -> Iterator[str]:
    """The two figures a spinner uses, then the same yarn in the trades' own counts."""
    yield f"This yarn runs {answer.m_per_100g:.0f} m to 100 g, which is {answer.tex:.4g} tex"
    yield f"({answer.yd_per_lb:.0f} yd to the pound)."
    if said:
        yield _row("Read as", said)
    yield _row(
        "By length", f"Nm {answer.nm:.3g}, {answer.dtex:.4g} dtex, {answer.denier:.4g} denier"
    )
    yield _row("By hanks", f"cotton Ne {answer.ne_cotton:.3g}, worsted {answer.worsted:.3g}")
    yield _row("", f"woollen run {answer.woollen_run:.3g}, linen lea {answer.linen_lea:.3g}")


def sett(
    wpi: Wraps = None,
    wrap: WrapStyle = None,
    count: Count = None,
    mill: Mill = False,
    fibre: FibreOfYarn = None,
    draw: DrawnHow = None,
    weave: WeaveNamed = None,
    purpose: PurposeOfCloth = None,
    fulled: Fulled = False,
    reed: Reeds = None,
    rigid_heddle: RigidHeddle = False,
    json: options.Json = False,
) -> None:
    """How close to set a warp, how many picks, and what each of your reeds makes of it."""
    from farspun.craft.drawn import drawn_weave
    from farspun.craft.fibres import blend
    from farspun.services import arithmetic as service
    from farspun.services.drafts import weave_kept

    spun_from = blend(fibre) if fibre is not None else None
    counted = _counted(count, spun_from.main if spun_from else None)
    answer = service.sett(
        wraps_per_cm=[one.value for one in wpi or []],
        wrap=wrap,
        tex=counted.value if counted else None,
        mill=mill,
        fibre=spun_from,
        draw=draw,
        weave=drawn_weave(weave_kept(weave)) if weave is not None else None,
        purpose=purpose,
        fulled=fulled,
        reeds=[service.ReedOwned(one.said, one.value) for one in reed or []],
        rigid_heddle=rigid_heddle,
    )
    if json:
        print_json(answer)
        return
    first_said = [*(wpi or []), *([counted] if counted else [])][0].said
    metric = any(unit in first_said for unit in METRIC)
    say(*_sett_lines(answer, metric, rigid_heddle))


def _sett_lines(answer: "Sett", metric: bool, rigid_heddle: bool) -> Iterator[str]:
    """The sett and its span, then each figure in both systems, reeds nearest first, notes."""
    first, second = (say_per_cm, say_per_inch) if metric else (say_per_inch, say_per_cm)
    span = (answer.low_ends_per_cm, answer.high_ends_per_cm)
    low, high = (_figure(first, one) for one in span)
    about = f"About {_figure(first, answer.suggested_ends_per_cm)} ends {_unit(first)}"
    yield f"{about}; anywhere from {low} to {high} is reasonable"
    yield f"({_span(second, answer.suggested_ends_per_cm, *span)})."
    woven = answer.weave
    yield _row("Weave", f"{woven.name}: repeat of {woven.ends} ends and {woven.picks} picks")
    for label, per_cm in _figures(answer):
        yield _row(label, first(per_cm))
        yield _row("", second(per_cm))
    nearest_first = sorted(answer.sleyings, key=lambda one: abs(one.off_fraction))
    for place, reed in enumerate(nearest_first):
        yield _row("or reed" if place else "Reed", f"{reed.reed}: {reed.said(rigid_heddle)}")
        yield _row("", first(reed.ends_per_cm))
        yield _row("", second(reed.ends_per_cm))
    for note in answer.notes:
        yield from folded(
            note, LINE, initial_indent=_row("Note", " ")[:-1], subsequent_indent=_row("", " ")[:-1]
        )


def _figures(answer: "Sett") -> Iterator[tuple[str, float]]:
    """What is known beside the sett itself, per cm."""
    for label, per_cm in (
        ("Picks", answer.picks_per_cm),
        ("From wraps", answer.from_wraps_ends_per_cm),
        ("From count", answer.from_grist_ends_per_cm),
        ("At most", answer.upper_bound_ends_per_cm),
    ):
        if per_cm is not None:
            yield label, per_cm


def _row(label: str, said: str) -> str:
    return f"  {label:<{LABEL}}{said}"


def _figure(say_it: Said, per_cm: float) -> str:
    return say_it(per_cm).split()[0]


def _unit(say_it: Said) -> str:
    return say_it(1.0).split(maxsplit=1)[1]


def _span(say_it: Said, middle: float, low: float, high: float) -> str:
    """Three figures per cm as "8.0 per inch, 7.1 to 9.0"."""
    return f"{say_it(middle)}, {_figure(say_it, low)} to {_figure(say_it, high)}"
