"""The options of a cloth, shared by `cloth plan`, `cloth change` and `reach`.

A command that takes them is written with one parameter `asked`: `takes_cloth_options` puts all of
them on its command line and hands them over read and put together.
"""

import inspect
from collections.abc import Callable, Mapping
from functools import wraps
from typing import TYPE_CHECKING, Annotated, Any, cast

import typer

from farspun.cli import options
from farspun.cli.options import length_option, option, reader, whole_option
from farspun.units import Quantity, Size, loss, promise, size, threads

if TYPE_CHECKING:
    from farspun.services.cloth_asked import ClothAsked


def _flag(on: str, off: str, help_text: str) -> Any:
    return typer.Option(f"{on}/{off}", help=help_text, show_default=False)


def _text(name: str, metavar: str, help_text: str) -> Any:
    return typer.Option(f"--{name}", metavar=metavar, help=help_text, show_default=False)


CM = 100  # cm in a metre: quantities come in metres, cloths are planned in cm


OPTIONS: Mapping[str, Any] = {
    "size": Annotated[
        Size | None,
        option("size", "SIZE", reader(size, "size"), "Finished width x length: 40cmx160cm."),
    ],
    "pieces": Annotated[int | None, whole_option("pieces", "Pieces of that size, else 1.", 1)],
    "weave": Annotated[
        str | None,
        _text("weave", "WEAVE|FILE", "2/2 twill, …, or a file with your draft; else plain."),
    ],
    "purpose": Annotated[
        str | None,
        _text("purpose", "WORD", "drape, everyday, firm, weft-faced or warp-faced."),
    ],
    "warp": Annotated[
        list[str] | None,
        _text(
            "warp",
            "SKEIN[:ENDS]",
            "Warp yarn; several: one after another, with ENDS striped.",
        ),
    ],
    "weft": Annotated[
        list[str] | None,
        _text("weft", "SKEIN[:SHARE]", "Weft yarn; several: one after another, with SHARE mixed."),
    ],
    "warp_order": Annotated[
        str | None,
        _text("warp-order", "ORDER", "Stripes of the warp, repeated: “12 slate, 4 oat”."),
    ],
    "weft_order": Annotated[
        str | None,
        _text("weft-order", "ORDER", "Bands of the weft, repeated: “10cm slate, 2 oat”."),
    ],
    "loom": Annotated[str | None, _text("loom", "NAME", "Your loom, else the first wide enough.")],
    "reed": Annotated[str | None, _text("reed", "NAME", "Your reed, else the best for the sett.")],
    "sett": Annotated[
        Quantity | None, option("sett", "ENDS", reader(threads, "sett"), "Ends: 3/cm or 8epi.")
    ],
    "picks": Annotated[
        Quantity | None,
        option("picks", "PICKS", reader(threads, "picks"), "Picks, rested: 3/cm or 8ppi."),
    ],
    "direct": Annotated[bool | None, _flag("--direct", "--not-direct", "Warped direct, in pairs.")],
    "as_spun": Annotated[
        bool | None, _flag("--as-spun", "--not-as-spun", "Woven before the yarn is washed.")
    ],
    "cut": Annotated[
        bool | None, _flag("--cut", "--not-cut", "Pieces are cut from it: the size must be kept.")
    ],
    "wash": Annotated[
        str | None, _text("wash", "WORD", "gentle, hot, fulled, machine or none, else gentle.")
    ],
    "promise": Annotated[
        Quantity | None,
        option("promise", "ODDS", reader(promise, "promise"), "Odds wanted, else 95%."),
    ],
    "size_promise": Annotated[
        Quantity | None,
        option(
            "size-promise", "ODDS", reader(promise, "size promise"), "Odds of the size, else 80%."
        ),
    ],
    "give": Annotated[
        Quantity | None,
        option("give", "PERCENT", reader(loss, "give"), "How much smaller would do, else 5%."),
    ],
    "ends": Annotated[int | None, whole_option("ends", "Ends in the reed, settled by you.", 1)],
    "warp_cut": Annotated[
        Quantity | None, length_option("warp cut", "Warp length, settled by you.", zero=False)
    ],
    "priority": Annotated[
        int | None, whole_option("priority", "1 stands first in lists and shortfalls, else 100.", 1)
    ],
    "hem": options.Hem,
    "side_hem": options.SideHem,
    "fringe": Annotated[
        Quantity | None, length_option("fringe", "Finished fringe at each end of a piece.")
    ],
    "gap": options.Gap,
    "header": options.Header,
    "sample": options.Sample,
    "floating_selvedges": Annotated[
        int | None, whole_option("floating selvedges", "Edge ends outside the sett, in all.", 0)
    ],
    "repeat": Annotated[
        int | None, whole_option("repeat", "Round ends up to whole repeats of so many.", 1)
    ],
    "fringe_from_waste": Annotated[
        bool | None,
        _flag(
            "--fringe-from-waste",
            "--no-fringe-from-waste",
            "The outer fringes come out of the loom waste.",
        ),
    ],
    "draw_in": options.DrawIn,
    "take_up": options.TakeUp,
    "weft_take_up": options.WeftTakeUp,
    "let_off": options.LetOff,
    "shrink_width": options.ShrinkWidth,
    "shrink_length": options.ShrinkLength,
    "waste": options.Waste,
    "beat": Annotated[
        Quantity | None,
        option("beat", "PERCENT", reader(loss, "beat"), "How far off your picks may be: 4%."),
    ],
    "default": Annotated[
        list[str] | None,
        _text("default", "OPTION", "Take back what you gave: --default ends; again for more."),
    ],
}


def takes_cloth_options(*left_out: str) -> Callable[[Callable[..., None]], Callable[..., None]]:
    """Give a command the options of a cloth, but those `left_out`."""
    shared = [name for name in OPTIONS if name not in left_out]

    def decorate(command: Callable[..., None]) -> Callable[..., None]:
        @wraps(command)
        def run(**values: Any) -> None:
            asked = cloth_asked({name: values.pop(name) for name in shared})
            command(**values, asked=asked)

        own = inspect.signature(command).parameters
        annotations = {name: own[name].annotation for name in own if name != "asked"}
        defaults = {name: own[name].default for name in annotations}
        annotations |= {name: OPTIONS[name] for name in shared}
        signed = cast(Any, run)
        signed.__annotations__ = annotations
        signed.__signature__ = inspect.Signature(
            [
                inspect.Parameter(
                    name,
                    inspect.Parameter.KEYWORD_ONLY,
                    default=defaults.get(name),
                    annotation=annotation,
                )
                for name, annotation in annotations.items()
            ]
        )
        del signed.__wrapped__
        return run

    return decorate


def cloth_asked(values: Mapping[str, Any]) -> "ClothAsked":
    """The options as plain numbers."""
    from farspun.services.cloth_asked import asked_from

    return asked_from(values)
