"""Setting a page: its data and a Typst source beside this module become the bytes of a PDF.

What a person wrote goes in as data and is never read as Typst. Only the fonts that Typst brings
along are used, and the one beside this module, and no date is written: the same data are the same
bytes everywhere.
"""

import json
from pathlib import Path
from typing import Any

from farspun.cards.paper import A4, PAPERS, Paper
from farspun.errors import ImpossibleValue

A4_WIDE_MM = PAPERS[A4.casefold()].width_mm
FONTS = ("Libertinus Serif", "New Computer Modern", "DejaVu Sans Mono")  # Typst brings them
PICTURES = "Noto Emoji"  # lies in FOLDER, with its licence; loaded where a name needs it
FOLDER = Path(__file__).with_name("fonts")
PICTORIAL = 0x1F000  # from here on Unicode has small pictures, and the others have none of them
TOO_LONG = "does-not-fit"  # what the pages call out where nothing legible fits


def pdf(source: str, data: dict[str, Any], paper: Paper, what: str, otherwise: str) -> bytes:
    """The PDF of `source` with these data.

    Raises ImpossibleValue for `what` where it does not fit; `otherwise` is what to do where no
    larger paper helps.
    """
    import typst

    page: dict[str, Any] = {
        "width": paper.width_mm,
        "height": paper.height_mm,
        "margin": paper.margin_mm,
    }
    pictorial = any(ord(sign) >= PICTORIAL for sign in json.dumps(data, ensure_ascii=False))
    page["fonts"] = [*FONTS, *((PICTURES,) if pictorial else ())]
    folders: Any = [FOLDER] if pictorial else []
    told = json.dumps(data | {"paper": page}, ensure_ascii=False)
    text = Path(__file__).with_name(source).read_bytes()
    try:
        done: bytes = typst.compile(
            text,
            sys_inputs={"data": told},
            ignore_system_fonts=True,
            font_paths=folders,
        )
    except typst.TypstError as trouble:
        if TOO_LONG not in str(trouble):
            raise
        raise ImpossibleValue(
            what,
            f"printed on {paper.name}",
            "there it would be too small to read at arm's length",
            f"Take a larger paper: --paper {A4}." if paper.width_mm < A4_WIDE_MM else otherwise,
        ) from None
    return done
