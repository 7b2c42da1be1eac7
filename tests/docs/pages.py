"""The pages that show what the program says, and writing them anew.

`.venv/bin/python tests/docs/pages.py` rewrites docs/cli.md, and in README.md, docs/errors.md and
the pages named in PREPARED and ON_THE_DEMO what stands below each command, and the pictures that
those in PICTURED draw. The tests compare; this changes.
"""

import json
import re
import shlex
import sqlite3
import tempfile
from collections.abc import Iterator
from contextlib import chdir, closing
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import typer
from typer.testing import CliRunner, Result

from farspun.cli.app import app
from farspun.services import demo
from farspun.store.engine import Stash

TOP = Path(__file__).resolve().parents[2]
README = TOP / "README.md"
ERRORS = TOP / "docs" / "errors.md"
ORDERS = TOP / "docs" / "orders.md"
CLI = TOP / "docs" / "cli.md"
LIFE = TOP / "docs" / "life.md"
HALFWAY = TOP / "docs" / "halfway.md"
CHARTS = TOP / "docs" / "charts.md"
SHARING = TOP / "docs" / "sharing.md"
GALLERY = TOP / "docs" / "gallery.md"
REACH = TOP / "docs" / "reach.md"
# their first block in sh is carried out before
PREPARED = (LIFE, HALFWAY, SHARING, CHARTS, GALLERY)
ON_THE_DEMO = (
    *(TOP / "docs" / "spinning.md", TOP / "docs" / "cutting.md"),
    *(CHARTS, GALLERY, REACH),
)
PICTURED = (CHARTS, GALLERY)  # what their commands draw is kept in PICTURES
PICTURES = TOP / "docs" / "pictures"
MATCHING = TOP / "docs" / "matching.md"
COLOUR = TOP / "docs" / "colour.md"
CARD = TOP / "docs" / "card.md"
BLOCK = re.compile(r"(?<=^```\n)\$ farspun .*?(?=^```$)", re.DOTALL | re.MULTILINE)
COMMAND = re.compile(r"^\$ (farspun (?:.*\\\n)*.*)\n", re.MULTILINE)

NUMBER = r"(?<![\w.#-])-?\d+(?:\.\d+)?(?![\w])"
A_THOUSANDTH = 0.001

CLI_OPENING = """\
# Commands

Every command and every option. This page is made from the commands themselves; after a change
`.venv/bin/python tests/docs/pages.py` writes it anew. What the words mean is in
[glossary.md](glossary.md), what can go wrong in [errors.md](errors.md).

`sh src/run …` from the checkout is the same as `farspun …`.

## How values are written

* **Quantities carry their unit**, with or without a space: `112g`, `3.95 oz`, `1/4 lb`,
  `3 3/4 oz`, `271m`, `12 yd 18 in`, `15 wpi`, `6 wraps/cm`, `3/cm`, `8 epi`, `8 ppi`. A bare number
  is refused with the units that would do; the decimal mark is a point.
* **Counts**: `230 m/100g`, `1700 yd/lb`, `40 tex`, `Nm 8/2`, `Ne 16`, `2/8 cotton`, `16s worsted`.
* **Reeds**: `30/10cm`, `8 dpi`.
* **Sizes**: width, then length, each with its unit: `40cmx160cm`, `"14in x 2yd 18in"`.
* **Percentages**: `10%` is a part of the larger thing (divide to go back), `+10%` is added to the
  smaller; weft take-up is always added. `10%±2%` says how sure it is (or `+-`), and so do lengths:
  `50cm±8cm`. Without ± it is taken as exact.
* **Odds**: `95%`, `0.95` or `"95 in 100"`.
* **Names** with a space go in quotes: `"Bracken 1"`. Upper and lower case are the same name.

Results go to stdout, messages to stderr. With `--json` a command prints one JSON document, its
numbers unrounded and each in the unit its key ends with; what is not known is null.
"""


@dataclass(frozen=True, slots=True)
class Example:
    """A command as a page shows it, and what the page says it answers."""

    line: str
    shown: str

    @property
    def words(self) -> list[str]:
        """The command's words after `farspun`."""
        return shlex.split(self.line.replace("\\\n", " "))[1:]


def examples(page: str) -> list[Example]:
    """Every command in the page's blocks, in order, with the lines below it."""
    found = []
    for block in BLOCK.findall(page):
        parts = COMMAND.split(block)[1:]
        pairs = zip(parts[::2], parts[1::2], strict=True)
        found += [Example(line, shown) for line, shown in pairs]
    return found


def answered(example: Example, folder: Path) -> Result:
    """Run it in that folder; `output` is what a terminal shows, messages among the answers."""
    with chdir(folder):
        return CliRunner().invoke(app, ["--stash", "stash.db", *example.words])


def prepare(page: str, folder: Path) -> None:
    """Carry out what the page's first block in sh says was done before."""
    found = re.search(r"^```sh\n(.*?)^```$", page, re.DOTALL | re.MULTILINE)
    for line in found[1].splitlines() if found else ():
        assert answered(Example(line, ""), folder).exit_code == 0, line


def odd_files(folder: Path) -> None:
    """Beside the stash: a text, a stash of a later schema, and one that is damaged."""
    (folder / "notes.txt").write_text("Bramble: 112 g\n", encoding="utf-8")
    (folder / "damaged.db").write_bytes(b"SQLite format 3\0" + bytes(range(256)) * 16)
    answered(Example("farspun --stash newer.db skein add Bramble", ""), folder)
    with closing(sqlite3.connect(folder / "newer.db")) as later, later:
        columns = [row[1] for row in later.execute("PRAGMA table_info(schema_step)")]
        values = ("99" if name == "number" else name for name in columns)
        row = f"SELECT {', '.join(values)} FROM schema_step LIMIT 1"
        later.execute(f"INSERT INTO schema_step {row}")


def demo_stash(folder: Path) -> None:
    """The stash of the demonstration."""
    demo.build(Stash(path=folder / "stash.db"), demo.scenario())


def pictures(folder: Path) -> list[Path]:
    """Every picture in a folder."""
    return sorted(one for one in folder.iterdir() if one.suffix in (".svg", ".png"))


def same(example: Example, output: str) -> bool:
    """Word for word; the numbers of a JSON document to a thousand-millionth."""
    if example.shown == output:
        return True
    if "--json" not in example.words:
        return False
    try:
        return _rounded(json.loads(example.shown)) == _rounded(json.loads(output))
    except json.JSONDecodeError:
        return False


def _rounded(value: Any) -> Any:
    if isinstance(value, dict):
        return [(key, _rounded(item)) for key, item in value.items()]
    if isinstance(value, list):
        return [_rounded(item) for item in value]
    return f"{value:.9g}" if isinstance(value, float) else value


def rewritten(page: str, folder: Path) -> str:
    """The page with what its commands answer now; numbers that are the same stay as they were."""

    def block(found: re.Match[str]) -> str:
        lines = ""
        for example in examples(f"```\n{found[0]}```\n"):
            output = answered(example, folder).output
            lines += f"$ {example.line}\n{example.shown if same(example, output) else output}"
        return lines

    return BLOCK.sub(block, page)


def cli_page() -> str:
    """docs/cli.md: the opening, then a heading for each group and command."""
    root = typer.main.get_command(app)
    return CLI_OPENING + "".join(_sections(root, typer.Context(root, info_name="farspun"), 2))


def _sections(command: Any, context: Any, level: int) -> Iterator[str]:
    """The section of a command and those of the commands below it."""
    yield f"\n{'#' * level} {context.command_path}\n\n{command.help}\n"
    subcommands = getattr(command, "commands", {})
    if not subcommands:
        yield f"\n`{command.get_usage(context).removeprefix('Usage: ')}`\n"
    rows = [parameter.get_help_record(context) for parameter in command.params]
    if rows:
        yield "\n| | |\n| --- | --- |\n"
        yield from (f"| `{_cell(name)}` | {_cell(told)} |\n" for name, told in rows)
    for name, subcommand in subcommands.items():
        below = typer.Context(subcommand, info_name=name, parent=context)
        yield from _sections(subcommand, below, min(level + 1, 3))


def _cell(text: str) -> str:
    return " ".join(text.split()).replace("|", "\\|")


def same_picture(kept: str, drawn: str) -> bool:
    """Two drawings in SVG alike: numbers to a thousandth, whatever names their parts have."""
    (words, numbers), (others, theirs) = (_parts_of(one) for one in (kept, drawn))
    return words == others and all(
        abs(a - b) <= A_THOUSANDTH for a, b in zip(numbers, theirs, strict=True)
    )


def _parts_of(svg: str) -> tuple[list[str], list[float]]:
    """A drawing without its numbers and the names made from them; and the numbers."""
    plain = re.sub(r"\b[a-z][0-9a-f]{10}\b", "name", svg)
    return re.split(NUMBER, plain), [float(one) for one in re.findall(NUMBER, plain)]


def _keep_pictures(folder: Path) -> None:
    """Those that differ are written anew."""
    PICTURES.mkdir(exist_ok=True)
    for drawn in pictures(folder):
        kept = PICTURES / drawn.name
        alike = kept.exists() and drawn.suffix == ".svg"
        if not alike or not same_picture(kept.read_text("utf-8"), drawn.read_text("utf-8")):
            kept.write_bytes(drawn.read_bytes())


def _write_anew(path: Path) -> None:
    page = path.read_text(encoding="utf-8")
    with tempfile.TemporaryDirectory() as folder:
        odd_files(Path(folder))
        if path in ON_THE_DEMO:
            demo_stash(Path(folder))
        if path in PREPARED:
            prepare(page, Path(folder))
        page = rewritten(page, Path(folder))
        if path in PICTURED:
            _keep_pictures(Path(folder))
    path.write_text(page, encoding="utf-8")


if __name__ == "__main__":
    _write_anew(README)
    _write_anew(ERRORS)
    for page in dict.fromkeys((*PREPARED, *ON_THE_DEMO, ORDERS, MATCHING, COLOUR, CARD)):
        _write_anew(page)
    CLI.write_text(cli_page(), encoding="utf-8")
