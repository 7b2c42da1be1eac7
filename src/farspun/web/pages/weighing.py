"""The ball on the scale at the loom: whether it lasts, what it should weigh further on, and how."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from farspun import units
from farspun.errors import ImpossibleValue
from farspun.services import halfway_words
from farspun.services.halfway import look_at_cloth, weigh_cloth
from farspun.services.halfway_answers import HalfwayAnswer, HalfwayYarn
from farspun.services.wording_page import plain
from farspun.units import Quantity, say_cm, say_inches, say_mass, say_mass_imperial
from farspun.web.drawing import Desk
from farspun.web.fields import Field, bad_boxes, without_commands

WEIGH = "/at-the-loom/weigh"
BALL = "ball_"  # begins the box of a ball
SHORT, MASSES = ("cm", "in", "m", "yd"), ("g", "oz")
BigMark = tuple[str, str, str, str]
WOVEN = Field(
    "woven", "Woven so far", "amount", lambda text: units.length(text, "woven"), SHORT,
    says="by the tape, tight, from the first pick",
)  # fmt: skip
TARE = Field(
    "tare", "Tare", "amount", lambda text: units.mass(text, "tare"), MASSES,
    says="of the bare shuttle, in each of these",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class YarnSaid:
    """What is said of one weft: its rows, marks to go by, weighings so far, what can be done."""

    name: str
    rows: Sequence[tuple[str, str]]
    marks: Sequence[BigMark]
    weighings: Sequence[str]
    ways: Sequence[str]


@dataclass(frozen=True, slots=True)
class BallsSaid:
    """What the balls say. `verdicts` come first; `weighed` where any was weighed."""

    verdicts: Sequence[str]
    weighed: bool
    heading: str
    yarns: Sequence[YarnSaid]
    remarks: Sequence[str]


def balls_said(desk: Desk, name: str) -> tuple[BallsSaid | None, Sequence[str]]:
    """What the balls of a cloth on the loom say so far, and its wefts; nothing for another cloth.

    Raises NotFound.
    """
    try:
        answer = look_at_cloth(desk.stash, name)
    except ImpossibleValue:  # it is not on the loom
        return None, ()
    skeins = dict.fromkeys(skein for yarn in answer.yarns for skein in yarn.skeins)
    return _said(answer), list(skeins)


def _said(answer: HalfwayAnswer) -> BallsSaid:
    return BallsSaid(
        verdicts=[halfway_words.verdict_sentence(yarn, answer) for yarn in answer.yarns],
        weighed=answer.woven_cm > 0,
        heading=halfway_words.heading(answer),
        yarns=[_yarn(yarn) for yarn in answer.yarns],
        remarks=[plain(text) for one in answer.remarks if (text := without_commands(one))],
    )


def _yarn(yarn: HalfwayYarn) -> YarnSaid:
    return YarnSaid(
        name=halfway_words.yarn_name(yarn),
        rows=list(halfway_words.rows(yarn)),
        marks=[] if yarn.held_back else list(_marks(yarn)),
        weighings=[
            f"{_both(one.woven_cm)}: {say_mass(one.mass_g)} ({say_mass_imperial(one.mass_g)})"
            for one in yarn.weighings
        ],
        ways=[halfway_words.way_sentence(way, yarn) for way in yarn.ways],
    )


def _marks(yarn: HalfwayYarn) -> list[BigMark]:
    """What the ball is to weigh further on: at what of the tape, grams, between what.

    Where it was weighed last is no mark to go by any more; below nothing the ball weighs nothing.
    """
    found = []
    for mark in yarn.marks[1:] if yarn.marks and yarn.weighings[-1].woven_cm else yarn.marks:
        low, middle, high = (max(0.0, one) for one in (mark.low_g, mark.middle_g, mark.high_g))
        figure, _, unit = say_mass(middle).partition(" ")
        between = f"{say_mass(low).removesuffix(' g')} to {say_mass(high)}"
        if mark.high_g <= 0:
            between = "it is used up before"
        elif mark.low_g < 0:
            between += "; it may not reach so far"
        found.append((f"at {_both(mark.woven_cm)}", figure, unit, between))
    return found


def _both(cm: float) -> str:
    return f"{say_cm(cm)} ({say_inches(cm)})" if cm else "before the first pick"


def weighed_verdicts(desk: Desk, name: str) -> Sequence[str]:
    """Whether the wefts last, where a ball was weighed; else nothing. Raises NotFound."""
    said, _ = balls_said(desk, name)
    return said.verdicts if said is not None and said.weighed else ()


def boxes(skeins: Sequence[str]) -> list[Field]:
    """Woven, a box for each skein of the weft, the tare."""
    return [WOVEN, *(_ball(at, skein) for at, skein in enumerate(skeins)), TARE]


def _ball(at: int, skein: str) -> Field:
    return Field(
        f"{BALL}{at}", f"Ball of {skein}", "amount",
        lambda text: units.mass(text, f"ball of {skein}", zero=True), MASSES,
        says="with its loaded shuttle; 0 if used up",
    )  # fmt: skip


def weigh(desk: Desk, name: str, values: dict[str, Any], skeins: Sequence[str]) -> list[str]:
    """Write the weighing down; what to say of it. Raises as `weigh_cloth`, WrongUse by box."""
    balls: list[tuple[str, Quantity]] = [
        (skein, values[f"{BALL}{at}"])
        for at, skein in enumerate(skeins)
        if values[f"{BALL}{at}"] is not None
    ]
    wrong = {} if values["woven"] is not None else {"woven": "How much is woven is needed."}
    if not balls:
        wrong[f"{BALL}0"] = "Weigh at least one ball, with its shuttle."
    if wrong:
        raise bad_boxes(wrong)
    answer = weigh_cloth(desk.stash, name, values["woven"], balls, values["tare"])
    weighed = ", ".join(
        halfway_words.ball_said(skein, on_scale, values["tare"]) for skein, on_scale in balls
    )
    return [f"{answer.cloth}: weighed at {say_cm(answer.woven_cm)} of the tape: {weighed}."]
