"""The boxes that describe a skein and what was measured of it."""

from collections.abc import Callable, Mapping
from typing import Any

from farspun import units
from farspun.craft.fibres import blend
from farspun.errors import ImpossibleValue
from farspun.services.readings import Measured
from farspun.services.skeins import Description, refuse_too_many, tidy_date
from farspun.web.fields import Field

STATES = (
    ("", "not said"),
    ("relaxed", "washed, dry and slack"),
    ("unwashed", "as wound, unwashed"),
    ("under-tension", "washed but stretched"),
)
WRAPS = (("", "not said"), ("snug", "snug, touching all along"), ("loose", "laid on loosely"))
TUGS = (("", "not tried"), ("holds", "it holds"), ("drifts", "it drifts apart"))
DRAWS = (("", "not said"), ("woollen", "woollen"), ("semi", "semi"), ("worsted", "worsted"))
MASSES, LENGTHS = ("g", "oz", "lb", "kg"), ("m", "yd", "ft")
SHORT = ("m", "cm", "yd", "in")


def _whole(what: str) -> Callable[[str], int]:
    return lambda text: units.whole(text, what)


def _mass(what: str) -> Callable[[str], units.Quantity]:
    return lambda text: units.mass(text, what)


def _length(what: str) -> Callable[[str], units.Quantity]:
    return lambda text: units.length(text, what)


def _fibre(text: str) -> str:
    """As she said it, if it is a fibre or blend."""
    blend(text)
    return text


def _plies(text: str) -> int:
    plies = units.whole(text, "plies")
    refuse_too_many(plies)
    return plies


MASS = Field("mass", "On the scale", "amount", units.mass, MASSES)
TARE = Field(
    "tare", "Tare", "amount", _mass("tare"), MASSES,
    says="of the cone, tube or bobbin with it", goes_with="mass",
)  # fmt: skip
MEASURED = (
    MASS,
    TARE,
    Field("strands", "Strands", "number", _whole("strands"), goes_with="once_round"),
    Field(
        "once_round", "Once round", "amount",
        lambda text: units.length(text, "once round"), SHORT,
        goes_with="strands",
    ),
    Field("length", "Counted as a whole", "amount", units.length, LENGTHS),
    Field("state", "When it was counted", "choice", choices=STATES),
    Field("tool", "Counted on", says="which niddy-noddy or reel"),
    Field("test_length", "Test length", "amount", _length("test length"), SHORT,
          says="a piece cut off", goes_with="test_mass"),
    Field("test_mass", "it weighs", "amount", _mass("test mass"), ("g", "oz"),
          goes_with="test_length"),
    Field("wpi", "Wraps", "amount", units.wraps, ("wpi", "wraps/cm")),
    Field("wrap", "Wrapped", "choice", choices=WRAPS),
    Field("label", "As labelled", says="230 m/100g, 1700 yd/lb, Nm 8/2"),
    Field("tug", "Tugged sharply", "choice", choices=TUGS),
)  # fmt: skip
NAME = Field("name", "Name")
DESCRIBED = (
    NAME,
    Field("colour", "Colour", says="in your words"),
    Field("fibre", "Fibre", read=_fibre, usual="wool", says="wool, or a blend: wool 80, silk 20"),
    Field("plies", "Plies", "number", _plies),
    Field("mill", "Mill-spun", "check"),
    Field("superwash", "Superwash", "check", says="wool that does not full"),
    Field("draw", "Draw", "choice", choices=DRAWS),
    Field("twist", "Twist of the last plying", "choice",
          choices=(("", "not said"), ("S", "S"), ("Z", "Z"))),
    Field("rebuy", "Sold again in packs of", "amount", _mass("rebuy"), MASSES),
    Field("spun", "Spun", read=tidy_date, says="2024-05-31, 2024-05 or 2024"),
    Field("place", "Where it lies"),
    Field("note", "Note", "long"),
)  # fmt: skip


def measured(values: Mapping[str, Any]) -> Measured:
    """The readings. Raises ImpossibleValue."""
    piece, weighs = values["test_length"], values["test_mass"]
    tests: tuple[tuple[units.Quantity, units.Quantity], ...] = ()
    if piece is not None and weighs is not None:
        tests = ((piece, weighs),)
    return Measured(
        **{
            name: values[name]
            for name in (
                "mass",
                "tare",
                "strands",
                "once_round",
                "state",
                "tool",
                "length",
                "label",
            )
        },
        test_lengths=tests,
        wpi=() if values["wpi"] is None else (values["wpi"],),
    )


def described(values: Mapping[str, Any]) -> Description:
    """What she says of it. Raises ImpossibleValue without a name."""
    if values["name"] is None:
        raise ImpossibleValue("the name", "empty", "at least one character")
    own = {name: values[name] for name in (field.name for field in DESCRIBED)}
    return Description(
        **own | {"fibre": own["fibre"] or "wool", "wrap": values["wrap"], "tug": values["tug"]}
    )
