"""farspun cloth wound, on-loom, off-loom, finished, sample: what is done, and what was measured."""

import inspect
from collections.abc import Callable, Mapping
from functools import partial
from typing import TYPE_CHECKING, Annotated, Any, Literal

import typer

from farspun.cli.lessons import all_question_lines
from farspun.cli.opening import stash_to_write
from farspun.cli.options import length_option, option, reader, whole_option
from farspun.cli.printing import say, tell
from farspun.errors import UnreadableValue
from farspun.units import Quantity, Size, mass, size, threads

if TYPE_CHECKING:
    from farspun.services.life import Step

Wash = Literal["gentle", "hot", "fulled", "machine", "none"]
Name = Annotated[str, typer.Argument(metavar="NAME", help="The cloth's name.")]


def _size(name: str, help_text: str) -> Any:
    return option(name, "SIZE", reader(size, name), help_text)


OPTIONS: Mapping[str, Any] = {
    "reed": Annotated[
        Quantity | None, length_option("reed", "The sample's width in the reed.", zero=False)
    ],
    "ends": Annotated[
        int | None, whole_option("ends", "Ends wound, without floating selvedges.", 1)
    ],
    "warp": Annotated[Quantity | None, length_option("warp", "Length of the warp.", zero=False)],
    "picks": Annotated[
        Quantity | None,
        option("picks", "PICKS", reader(threads, "picks"), "Picks counted: 3/cm or 8ppi."),
    ],
    "state": Annotated[
        Literal["tight", "rested"] | None,
        typer.Option(
            "--state", help="How they were counted; else tight on the loom, rested afterwards."
        ),
    ],
    "tape": Annotated[
        Quantity | None,
        length_option("tape", "Length woven, by the tape, tight, without gaps.", zero=False),
    ],
    "thrums": Annotated[
        Quantity | None,
        length_option("thrums", "Warp left over, both ends together, without fringes."),
    ],
    "spare": Annotated[
        Quantity | None,
        length_option("spare", "Of the thrums, what could still have been woven."),
    ],
    "off": Annotated[Size | None, _size("off", "One piece off the loom, rested: 43cmx178cm.")],
    "washed": Annotated[
        Size | None, _size("washed", "The piece washed and dry, not hemmed yet: 40cmx160cm.")
    ],
    "wash": Annotated[
        Wash | None, typer.Option("--wash", help="How it was washed, if not as planned.")
    ],
    "mass": Annotated[
        Quantity | None, option("mass", "MASS", reader(mass, "mass"), "That piece, dry: 95g.")
    ],
    "left": Annotated[
        list[str] | None,
        typer.Option(
            "--left",
            metavar="SKEIN=MASS",
            help="Yarn left, weighed; 0g for none. Once for each skein.",
        ),
    ],
    "tare": Annotated[
        Quantity | None,
        option("tare", "MASS", reader(mass, "tare"), "Of the cone or shuttle, in each --left."),
    ],
    "sure": Annotated[
        bool, typer.Option("--sure", help="What is left is right, though it does not fit.")
    ],
}
USED = ("left", "tare", "sure")
STAGES: Mapping[str, tuple[str, tuple[str, ...]]] = {
    "wound": ("The warp is wound: its yarn leaves the skeins.", ("ends", "warp", *USED)),
    "on-loom": ("It is on the loom.", ("ends", "warp", "picks", "state", *USED)),
    "off-loom": (
        "It is off the loom: the weft's yarn leaves the skeins.",
        ("ends", "warp", "picks", "state", "tape", "thrums", "spare", "off", *USED),
    ),
    "finished": (
        "It is washed and dry.",
        (*("ends", "warp", "picks", "state", "tape", "thrums", "spare", "off"),
         *("washed", "wash", "mass"), *USED),
    ),
}  # fmt: skip


SAMPLE = (
    *("reed", "off", "washed", "picks", "state", "mass", "wash"),
    *("warp", "thrums", "spare"),  # where it was woven on a warp of its own
)


def add_to(cloth: typer.Typer) -> None:
    """Hang the commands on `farspun cloth`."""
    cloth.command("sample", help="A sample was woven and washed: what it measured.")(
        _command(SAMPLE, _sample)
    )
    for stage, (text, names) in STAGES.items():
        cloth.command(stage, help=text)(_command(names, partial(_advance, stage)))


def _command(names: tuple[str, ...], act: Callable[..., None]) -> Any:
    """A command NAME with these options, which `act` carries out."""

    def run(**values: Any) -> None:
        ctx, name = values.pop("ctx"), values.pop("name")
        left = [skein_and_mass(text, "left") for text in values.pop("left", None) or ()]
        tare, sure = values.pop("tare", None), values.pop("sure", False)
        from farspun.services.telling import told_from

        told, said = told_from(values)
        act(stash_to_write(ctx), name, told, said, left, tare, sure)

    signed: Any = run
    annotations = {"ctx": typer.Context, "name": Name, **{name: OPTIONS[name] for name in names}}
    signed.__annotations__ = annotations
    signed.__signature__ = inspect.Signature(
        [
            inspect.Parameter(
                name,
                inspect.Parameter.KEYWORD_ONLY,
                default=_default(name),
                annotation=annotation,
            )
            for name, annotation in annotations.items()
        ]
    )
    return run


def _default(name: str) -> Any:
    if name == "sure":
        return False
    return None if name in OPTIONS else inspect.Parameter.empty


def _advance(stage: str, *asked: Any) -> None:
    from farspun.services.life import advance
    from farspun.services.telling import with_left

    stash, name, told, said, left, tare, sure = asked
    said = with_left(said, left, tare)
    _print(advance(stash, name, stage, told, said, left, tare, sure or None))


def _sample(stash: Any, name: str, told: Any, said: str, *_: Any) -> None:
    from farspun.services.life import sample_cloth
    from farspun.services.telling import sample_said

    step = sample_cloth(stash, name, told, said)
    say(sample_said(step))
    tell(*step.remarks)
    tell(*all_question_lines(list(step.questions)))


def skein_and_mass(text: str, what: str) -> tuple[str, Quantity]:
    """SKEIN=MASS, split at the last sign; `what` was weighed."""
    name, sign, weight = text.rpartition("=")
    if not sign or not name.strip():
        raise UnreadableValue(what, text, "it is not SKEIN=MASS", "Write it like “Gorse=41g”.")
    return name.strip(), mass(weight, f"{what} of {name.strip()}", zero=True)


def _print(step: "Step") -> None:
    from farspun.services.telling import step_said

    first, *used = step_said(step)
    say(first, *(f"  {line}" for line in used))
    tell(*step.remarks)
    tell(*all_question_lines(list(step.questions)))
