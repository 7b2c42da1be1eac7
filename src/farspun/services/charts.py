"""Charts of what the stash knows: each gathered as plain data, drawn, and written as a file."""

from collections.abc import Callable
from dataclasses import asdict, dataclass, is_dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal

from farspun.errors import WrongUse
from farspun.pictures.chart import chart_bytes
from farspun.services.file_asked import ascii_safe, refuse_no_place, write_whole

if TYPE_CHECKING:
    from matplotlib.figure import Figure


@dataclass(frozen=True, slots=True)
class Drawn:
    """A chart that was written: to what file, its title, what it tells in words, and its data."""

    file: str
    title: str
    told: str
    data: dict[str, Any]


def kind_of_chart(file: Path) -> Literal["svg", "png"]:
    """By the end of its name. Raises WrongUse for another."""
    kind = file.suffix.lower()
    if kind == ".svg":
        return "svg"
    if kind == ".png":
        return "png"
    raise WrongUse(
        f"The picture {ascii_safe(file)} would be of no known kind.",
        "Let it end in .svg (lines, for print) or in .png (dots).",
    )


def is_there(file: Path) -> bool:
    """Whether a file would be drawn over. Raises WrongUse for a wrong ending or no such place."""
    kind_of_chart(file)
    refuse_no_place(file)
    return file.is_file()


def shown(file: Path) -> str:
    """The name as it can be printed."""
    return ascii_safe(file)


def draw(file: Path, chart: Any, figure: Callable[[Any], "Figure"], told: str) -> Drawn:
    """Draw a chart's plain data, and write it whole. Raises WrongUse."""
    kind = kind_of_chart(file)
    assert is_dataclass(chart) and not isinstance(chart, type)
    data = asdict(chart)
    write_whole(file, chart_bytes(figure(chart), data["title"], told, kind))
    return Drawn(ascii_safe(file), data["title"], told, data)
