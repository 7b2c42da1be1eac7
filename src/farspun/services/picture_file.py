"""The file a picture is written to: its kind, whether it is there already, and what is told."""

from dataclasses import dataclass
from pathlib import Path
from shlex import quote
from typing import Any, Literal

from farspun.errors import WrongUse
from farspun.pictures.sheet import Sheet
from farspun.services.file_asked import ascii_safe, refuse_no_place, write_whole


@dataclass(frozen=True, slots=True)
class Drawn:
    """A picture that was written: to what file, its title, what it tells in words, its data."""

    file: str
    title: str
    told: str
    data: dict[str, Any]


def kind_of_picture(file: Path) -> Literal["svg", "png"]:
    """By the end of its name. Raises WrongUse for another, and for a folder."""
    if str(file) == ".":
        raise WrongUse("No file is named to draw into.", "Name one: --out cloth.svg (or .png).")
    if _is_folder(file):
        raise WrongUse(
            f"The picture cannot be drawn: {ascii_safe(file)} is a folder.",
            f"Name a file in it: --out {quote(ascii_safe(file / 'cloth.svg'))} (or .png).",
        )
    kind = file.suffix.lower()
    if kind == ".svg":
        return "svg"
    if kind == ".png":
        return "png"
    raise WrongUse(
        f"The picture {ascii_safe(file)} would be of no known kind.",
        "Let it end in .svg (lines, for print) or in .png (dots).",
    )


def _is_folder(file: Path) -> bool:
    try:
        return file.is_dir()
    except OSError:  # as a name that is too long
        return False


def is_there(file: Path) -> bool:
    """Whether a file would be drawn over. Raises WrongUse for a wrong ending or no folder."""
    kind_of_picture(file)
    refuse_no_place(file)
    return file.is_file()


def shown(file: Path) -> str:
    """The name as it can be printed."""
    return ascii_safe(file)


def write_sheet(file: Path, sheet: Sheet, data: dict[str, Any], scale: int = 1) -> Drawn:
    """Write a sheet whole, as its name says; PNG with `scale` dots a unit. Raises WrongUse."""
    kind = kind_of_picture(file)
    write_whole(file, sheet.svg() if kind == "svg" else sheet.png(scale))
    return Drawn(ascii_safe(file), sheet.title, sheet.told, data)
