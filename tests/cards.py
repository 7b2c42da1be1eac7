"""Cloths whose cards are looked at: a usual one, and those that hold much."""

from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

from cli.running import Desk

LONG = "A shawl of many colours, for the long evenings of the winter"  # 60 characters
COLOURS = ("Slate", "Oat", "Rust", "Moss", "Ochre", "Plum", "Sky", "Fog", "Bark", "Rose", "Mint")
STRIPES = (*COLOURS, "Coal")
ODD = "“Ö” #1 $x$ *b* _i_ @y ☃ [z] \\n"
RIGHT_TO_LEFT = "שלום"
MANY = 20  # skeins of one warp
USUAL = "Shawl"
CLOTHS = (USUAL, "Band", "Twelve", "Straight", "Many", LONG, ODD, "Both")


def card_desk(folder: Path) -> Desk:
    """A desk with CLOTHS planned; built once and copied."""
    desk = Desk(folder)
    desk.stash.write_bytes(_planned())
    return desk


@cache
def _planned() -> bytes:
    with TemporaryDirectory() as folder:
        desk = Desk(Path(folder))
        desk.does(
            *(_skein(name, f"--colour {name.lower()} --length 900m") for name in STRIPES),
            *(_skein(f"{LONG[:-2]} {at}", "--length 900m") for at in (1, 2, 3)),
            *(_skein(f"Gorse {at}", "--length 60m --mass 24g") for at in range(1, MANY + 1)),
            _skein(ODD, "--length 900m"),
            _skein(RIGHT_TO_LEFT, "--length 900m"),
            _skein("Driftwood", "--length 1400m --mass 380g --fibre 'wool 80, silk 20'"),
            "loom add Barn --kind floor --width 120cm --tie lashed --shafts 8",
            "loom add Window --kind rigid-heddle --width 60cm",
            "reed add Eights 8dpi --loom Barn",
            "reed add Heddle 40/10cm --rigid-heddle",
            f"cloth plan {USUAL} --size 40cmx160cm --warp Slate --weft Driftwood --loom Barn"
            " --weave '2/2 twill' --fringe 8cm --header 3cm --floating-selvedges 2",
            "cloth plan Band --size 8cmx30cm --warp Oat --weft Rust --loom Window --sett 4/cm",
            f"cloth plan Twelve --size 60cmx170cm --warp-order '{_order()}' --weft Driftwood"
            " --loom Barn --pieces 2 --gap 6cm --hem 2cm --side-hem 1cm --sample 12cm",
            "cloth plan Straight --size 40cmx120cm --warp Slate:6 --warp Oat:4 --loom Window"
            " --weft-order '10 Rust, 5cm Moss' --direct",
            f"cloth plan Many --size 50cmx120cm {_many()} --weft Driftwood --loom Barn"
            " --weave 'herringbone 2/2 x8' --wash hot",
            f"cloth plan '{LONG}' --size 40cmx160cm --warp '{LONG[:-2]} 1:6' "
            f" --warp '{LONG[:-2]} 2:4' --weft '{LONG[:-2]} 3' --loom Barn",
            f"cloth plan '{ODD}' --size 30cmx60cm --warp '{ODD}' --weft {RIGHT_TO_LEFT}"
            " --loom Window",
            "cloth plan Both --size 30cmx60cm --warp Plum --weft Plum --loom Barn",
        )
        return desk.stash.read_bytes()


def _skein(name: str, said: str) -> str:
    mass = "" if "--mass" in said else " --mass 260g"
    return f"skein add '{name}' --state relaxed --wpi 15wpi {said}{mass}"


def _order() -> str:
    return ", ".join(f"{4 + 2 * (at % 4)} {name}" for at, name in enumerate(STRIPES))


def _many() -> str:
    return " ".join(f"--warp 'Gorse {at}'" for at in range(1, MANY + 1))


def printed(desk: Desk, cloth: str, more: str = "") -> bytes:
    """The card of a cloth as a PDF."""
    out = desk.folder / "card.pdf"
    desk.does(f"cloth card '{cloth}' --out {out} --force {more}")
    return out.read_bytes()
