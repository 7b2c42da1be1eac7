"""Pictures of every page, on a phone and at a desk, light and dark, to be looked at.

`python tests/web/screenshots.py OUTDIR` from the top of the checkout.
"""

import sys
import tempfile
from pathlib import Path

sys.path[:0] = [str(Path(__file__).parents[1]), str(Path(__file__).parents[2] / "src")]

from web.browser.serving import DESK, PAGES, PHONE, browser, served  # noqa: E402
from web.conftest import README, made  # noqa: E402

MORE = """\
skein change Driftwood --colour "grey of a beach, flecked"
skein change Gorse --colour "dusty yellow" --place "blue chest"
cloth plan Scarf --size 22cmx140cm --warp Cone --weft Driftwood
cloth plan Cushion --size 45cmx45cm --pieces 2 --warp Cone --weft Gorse
cloth sample Scarf --reed 12cm --off 11.2cmx10.4cm --washed 10.1cmx9.2cm
skein measure Driftwood --wpi 26wpi
skein add Heather --plies 2 --mass 90g --length 320m --state relaxed --colour "plum, flecked"
cloth plan Shawl --size 30cmx100cm --warp Cone --weft Heather --sett 5/cm
cloth wound Shawl
cloth on-loom Shawl --picks 5/cm
cloth weigh Shawl --woven 30cm --ball Heather=78g
cloth weigh Shawl --woven 62cm --ball Heather=31g
skein add Oat --plies 2 --mass 100g --length 400m --state relaxed --colour "oat, undyed"
skein add Slate --plies 2 --mass 115g --length 460m --state relaxed --colour "slate, rust stripes"
skein add "Rushlight of the long winter evenings" --mass 60g --length 210m --fibre linen --plies 2
skein add Puddle --plies 2
"""


def furnished(path: Path) -> Path:
    """The stash of the README, with two cloths, a sample and a doubt."""
    path.write_bytes(made(README + MORE))
    return path


def main(out: Path) -> None:
    """Take them all."""
    out.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory() as folder:
        stash = furnished(Path(folder) / "stash.db")
        with served(stash) as address, browser() as running:
            for size, view in (("phone", PHONE), ("desk", DESK)):
                for scheme in ("light", "dark"):
                    context = running.new_context(viewport=view, color_scheme=scheme)
                    page = context.new_page()
                    for name, path in PAGES.items():
                        page.goto(address + path, wait_until="networkidle")
                        page.screenshot(
                            path=str(out / f"{name}-{size}-{scheme}.png"), full_page=True
                        )
                    context.close()


if __name__ == "__main__":
    main(Path(sys.argv[1]))
