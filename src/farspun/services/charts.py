"""Charts of what the stash knows: each gathered as plain data, drawn, and written as a file."""

from collections.abc import Callable
from dataclasses import asdict, is_dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from farspun.pictures.chart import chart_bytes
from farspun.services.file_asked import ascii_safe, write_whole
from farspun.services.picture_file import Drawn, kind_of_picture

if TYPE_CHECKING:
    from matplotlib.figure import Figure


def draw(file: Path, chart: Any, figure: Callable[[Any], "Figure"], told: str) -> Drawn:
    """Draw a chart's plain data, and write it whole. Raises WrongUse."""
    kind = kind_of_picture(file)
    assert is_dataclass(chart) and not isinstance(chart, type)
    data = asdict(chart)
    write_whole(file, chart_bytes(figure(chart), data["title"], told, kind))
    return Drawn(ascii_safe(file), data["title"], told, data)
