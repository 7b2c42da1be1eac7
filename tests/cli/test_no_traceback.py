"""Whatever is typed, no command ends in a traceback, and every ending has its meaning.

Each command of the tree is called with options drawn at random: mostly values of the right kind,
some absurd, some of another kind, some no value at all. The draws are fixed by a seed.
"""

import json
import random
import tempfile
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from cli.running import Desk, command, furnished
from properties.tried import TIMES as MORE

LEFT_OUT = ("demo",)  # it takes no option and has tests of its own
ANSWERED, REFUSED = (0, 10, 11), (2, 3, 4, 5)
TIMES, TIMES_LONG = 3 * MORE, 12 * MORE  # calls of each command, and of those with the most options
LONG = ("cloth plan", "cloth change", "cloth cut", "reach")
CLOTHS = {
    "cloth plan": ("New",),
    "cloth wound": ("Shawl", "Wound"),
    "cloth on-loom": ("Wound", "Begun"),
    "cloth off-loom": ("Begun", "Woven"),
    "cloth finished": ("Woven", "Begun"),
    "cloth show": ("Shawl", "Woven"),
    "cloth check": ("Shawl", "Begun"),
    "cloth cut": ("New", "Shawl"),
}  # names to give; other commands on cloths take those there are
LENGTHS = ("0cm", "2cm", "1in", "65cm±5cm", "3m", "100000km", "2cm±100km")
LOSSES = ("0%", "10%", "+10%", "12%±3%", "99.9%", "99.9%±99%", "50%±60%")
SKEINS = ("Gorse 1", "Driftwood", "Fresh", "Cone", "Wraps", "Shawl")
GOOD = {  # by name of the parameter
    "size": ("40cmx160cm", "14in x 2yd 18in", "5cmx5cm", "90cmx3m", "1mmx1mm", "3mx1m"),
    "pieces": ("1", "3", "1000000000"),
    "weave": ("plain", "2/2 twill", "8-end satin 3", "basket 2x2", "##../.##./..##/#..#"),
    "purpose": ("drape", "firm", "weft-faced", "warp-faced"),
    "wash": ("gentle", "hot", "fulled", "machine", "none"),
    "warp": (*SKEINS, "Gorse 1:3"),
    "weft": (*SKEINS, "Cone:100%"),
    "warp_order": ("3 'gorse 1', 2 Fresh", "(1 Cone, 2 Fresh | mirror)x4", "9 Cone", "(1 Cone"),
    "weft_order": ("10cm Fresh, 2 Driftwood", "1 driftwood, 1 FRESH", "1 Cone", "1mm Cone"),
    "skeins": SKEINS,
    "loom": ("Table", "Floor", "Band"),
    "on": ("Table", "Band"),
    "reed": ("R8", "H30"),
    "sett": ("3/cm", "8epi", "30/10cm", "0.001/cm", "1000/cm"),
    "picks": ("3/cm", "8ppi", "0.001/cm", "1000/cm"),
    "promise": ("95%", "0.9", "9 in 10", "99.9%", "50.1%"),
    "size_promise": ("95%", "60%", "99.9%"),
    "give": ("0%", "5%", "+10%", "99%"),
    "beat": ("0%", "4%", "99%"),
    "ends": ("1", "150", "1000000000"),
    "warp_cut": ("1cm", "3m", "100000km"),
    "priority": ("1", "1000000000"),
    "floating_selvedges": ("0", "4", "1000000000"),
    "repeat": ("1", "7", "1000000000"),
    "file": ("case.json", "-", "nowhere", "."),
    "mass": ("112g", "3.95oz", "1mg", "50kg"),
    "on_scale": ("20g", "1mg", "50kg"),
    "amount": ("5g", "20m", "1mg", "50kg", "100000km"),
    "tare": ("10g", "1mg"),
    "rebuy": ("100g", "1mg"),
    "length": ("271m", "1mm", "100000km", "300yd"),
    "width": ("60cm", "40in", "1mm", "100000km"),
    "once_round": ("1.5m", "100000km"),
    "strands": ("150", "1000000000"),
    "test_length": ("10m=4.3g", "1mm=1g", "100000km=1mg"),
    "wpi": ("15wpi", "6 wraps/cm", "200wpi", "0.001wpi"),
    "label": ("230 m/100g", "Nm 8/2", "0.001 tex"),
    "count": ("40 tex", "16s cotton", "2/8"),
    "fibre": ("wool", "wool 80, silk 20", "linen"),
    "density": ("30/10cm", "8 dpi"),
    "state": ("relaxed", "unwashed", "under-tension"),
    "wrap": ("snug", "loose"),
    "draw": ("woollen", "semi", "worsted"),
    "kind": ("rigid-heddle", "table", "floor", "frame"),
    "tie": ("knots", "lashed"),
    "because": ("used", "lost"),
    "plies": ("2", "1000000000"),
    "shafts": ("4", "1000000000"),
    "spun": ("2024-05-31", "2024"),
    "cloth": ("Shawl", "Scarf"),
    "piece": ("front 34cmx38cm x2", "strap 5cmx1m free", "big 3mx1m", "many 1cmx1cm x100"),
    "grain": ("fixed", "free"),
    "out": ("nowhere/lay.svg", "lay.txt", "lay.svg", "lay.png", f"{'x' * 300}.svg"),
    "angle": ("25", "40deg", "90"),
    **dict.fromkeys(("hem", "side_hem", "fringe", "gap", "header", "sample", "waste"), LENGTHS),
    **dict.fromkeys(("seam", "raw_edge", "selvedge"), LENGTHS),
    **dict.fromkeys(("preparation_loss", "plying_take_up"), LOSSES),
    **dict.fromkeys(("draw_in", "take_up", "let_off", "shrink_width", "shrink_length"), LOSSES),
    "weft_take_up": ("0%", "10%±5%", "900%"),
    "confirm": ("Woven", "Shawl", "loom waste", "beat", "shrinkage in width"),
}
LIFE = ("cloth sample", "cloth wound", "cloth on-loom", "cloth off-loom", "cloth finished")
OF_LIFE = {
    "warp": ("2.6m", "90in", "1mm", "100000km"),
    "reed": ("12cm", "5in", "100000km"),
    "state": ("tight", "rested"),
    **dict.fromkeys(("tape", "thrums", "spare"), LENGTHS),
    **dict.fromkeys(("off", "washed"), GOOD["size"]),
    "left": ("Driftwood=20g", "Gorse 1=0g", "Fresh=50kg", "Cone=1oz", "Driftwood=1mg"),
}
NASTY = (
    *("", " ", "-", "--", "-1", "0", "nan", "inf", "1e9", "½", "٣", "99999999999999999999", "1,5"),
    *(
        "-5%",
        "100%",
        "10",
        "30",
        "30x150cm",
        "nancmx3cm",
        "1 in 0",
        "112g",
        "271m",
        "3/cm",
        "8 dpi",
    ),
    *("A=B", "A:B", ":", ":0", "=", 'O\'Neil "x"', "%s {0} \\n", "a\nb", "a\x1b[31mb", "\ud800"),
    *("\u202eabc", "🧶", "x" * 300, "../..", "/", "/dev/null", "farspun", "plain", "wool", "shawl"),
)


def leaves(tree: Any, path: tuple[str, ...] = ()) -> Iterator[tuple[str, Any]]:
    """Every command that does something, with its whole name."""
    for name, one in tree.commands.items():
        if hasattr(one, "commands"):
            yield from leaves(one, (*path, name))
        elif name not in LEFT_OUT:
            yield " ".join((*path, name)), one


COMMANDS = dict(leaves(command()))


def value(rng: random.Random, line: str, name: str, nasty: float) -> str:
    """A value for the parameter `name` of the command."""
    group = line.split()[0]
    if rng.random() < nasty:
        return rng.choice(NASTY)
    if name == "name" and group in ("cloth", "skein") and line != "skein add":
        return rng.choice(CLOTHS.get(line, ("Shawl", "scarf")) if group == "cloth" else SKEINS)
    if line in LIFE and name in OF_LIFE:
        return rng.choice(OF_LIFE[name])
    return rng.choice(GOOD.get(name, ("New", "Shawl", "grey")))


def words_at_random(rng: random.Random, line: str) -> list[str]:
    """The command with some of its options, all that must be there, and its arguments."""
    words, group = line.split(), line.split()[0]
    nasty, often = rng.choice((0.0, 0.0, 0.05, 0.3)), rng.choice((0.05, 0.15, 0.5))
    for one in COMMANDS[line].params:
        must = (
            one.required or one.name in ("size", "weft") or (one.name, group) == ("warp", "cloth")
        )
        if one.name == "help" or not (must or rng.random() < often):
            continue
        for _ in range(rng.choice((1, 1, 2)) if one.multiple or one.nargs != 1 else 1):
            if one.param_type_name == "option":
                words.append(rng.choice([*one.opts, *one.secondary_opts]))
            if not getattr(one, "is_flag", False):
                words += [value(rng, line, one.name, nasty) for _ in range(max(1, one.nargs))]
    return words


@cache
def busy() -> bytes:
    """A stash with cloths planned, one skein overclaimed and one closed."""
    with tempfile.TemporaryDirectory() as folder:
        desk = furnished(Path(folder))
        desk.does(
            "loom add Band --kind frame --width 3.5cm",
            "reed add R8 8dpi",
            "reed add H30 30/10cm --rigid-heddle",
            "skein add Shawl --mass 80g --wpi 15wpi",
            'cloth plan Shawl --size 30cmx150cm --sett 3/cm --warp "Gorse 1" --weft Driftwood',
            'cloth plan Scarf --size 20cmx99cm --sett 3/cm --warp "Gorse 2" --weft Fresh --cut',
            *(
                f'cloth plan {name} --size 9cmx30cm --sett 3/cm --warp "Gorse 1" --weft Driftwood'
                for name in ("Wound", "Begun", "Woven")
            ),
            *(f"cloth wound {name}" for name in ("Wound", "Begun", "Woven")),
            *("cloth on-loom Begun", "cloth on-loom Woven"),
            "cloth off-loom Woven --off 10cmx33cm --thrums 4cm",
            'skein take "Gorse 2" 1g',
            'skein weigh "Gorse 2" 9g',
            "skein add Lost --mass 80g",
            "skein close Lost --because lost --sure",
        )
        return desk.stash.read_bytes()


@pytest.fixture
def desk(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Desk:
    """The busy stash, in a folder where files may be written."""
    desk = Desk(tmp_path)
    desk.stash.write_bytes(busy())
    (tmp_path / "case.json").write_text('{"size": {"width_cm": 40, "length_cm": 160}}')
    monkeypatch.chdir(tmp_path)
    # `farspun web` goes as far as answering: it would do so until it is ended
    monkeypatch.setattr("uvicorn.Server.run", lambda self, sockets: sockets[0].close())
    return desk


@pytest.mark.parametrize("line", COMMANDS)
def test_random_options_end_in_an_answer_or_in_a_plain_refusal(desk: Desk, line: str) -> None:
    before = desk.stash.read_bytes()
    for number in range(TIMES_LONG if line in LONG else TIMES):
        rng = random.Random(f"{line} {number}")
        words = words_at_random(rng, line)
        ran = desk.run(words, given=rng.choice(("y\n", "n\n", "{}")))
        assert ran.exit_code in (*ANSWERED, *REFUSED), words
        if ran.exit_code in REFUSED:
            assert ran.stdout.strip() in ("", "[y/N]:"), words
            assert ran.stderr.strip(), words
        elif "--json" in words:
            json.loads(ran.stdout)
        if ran.exit_code in (3, 4, 5):
            said = ran.stderr.splitlines()
            assert len(said) == 2 and all(said), (words, ran.stderr)
            assert "\x1b" not in ran.stderr, words
        desk.stash.write_bytes(before)
        for left in desk.folder.glob("stash.db-*"):
            left.unlink()


def test_every_command_has_help_and_an_unknown_one_is_refused(tmp_path: Path) -> None:
    desk = Desk(tmp_path)
    for line in COMMANDS:
        help_text = desk.does(f"{line} --help")
        assert help_text.startswith(f"Usage: farspun {line}")
        ran = desk.run(f"{line} --no-such-option")
        assert (ran.exit_code, ran.stdout) == (2, "")
    assert desk.run("weave").exit_code == 2
    assert desk.run("cloth weave").exit_code == 2
    assert not desk.stash.exists()


@pytest.mark.parametrize("place", ["nowhere/deep/stash.db", "folder", "words.txt", "http://x/y"])
def test_a_stash_that_cannot_be_is_refused_by_every_command(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, place: str
) -> None:
    (tmp_path / "folder").mkdir()
    (tmp_path / "words.txt").write_text("This is no stash, only words.\n" * 50)
    monkeypatch.chdir(tmp_path)
    desk = Desk(tmp_path)
    lines = [
        "cloth list",
        "cloth check",
        "cloth check A --exit-code",
        "cloth claim A",
        "shortfalls",
    ]
    lines += ["cloth plan A --size 9cmx9cm --warp A --weft A", "reach A --size 9cmx9cm"]
    lines += ["cloth give-up A --yes", "cloth show A", "cloth change A --cut"]
    for line in lines:
        ran = desk.run(f"--stash {place} {line}")
        assert ran.exit_code in ((0, 4, 5) if place.startswith("nowhere") else (5,)), (line, ran)
        assert len(ran.stderr.splitlines()) <= 2
    assert not (tmp_path / "nowhere").exists()
