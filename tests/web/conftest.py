"""A browser on a stash of its own."""

import functools
import shlex
import tempfile
from pathlib import Path

import pytest

from stashes import farspun
from web.reader import Reader

GORSE = "skein add Gorse --plies 2 --mass 71g --strands 112 --once-round 1.5m --state relaxed"
README = f"""\
skein add Driftwood --fibre "wool 80, silk 20" --plies 2 --mass 118g --strands 196\
 --once-round 1.5m --state unwashed --wpi 15wpi --wrap snug
{GORSE}
skein add Cone --mill --label "Nm 8/2" --mass 268g --tare 38g --rebuy 200g
loom add "Window loom" --kind rigid-heddle --width 60cm --tie lashed
reed add "Fine heddle" 50/10cm --rigid-heddle --loom "Window loom"
"""


@pytest.fixture
def reader(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Reader:
    """An empty stash."""
    monkeypatch.setenv("HOME", str(tmp_path))
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path))
    return Reader(tmp_path / "stash.db")


@functools.cache
def made(lines: str) -> bytes:
    """A stash on which these commands were run, made once."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "stash.db"
        for line in lines.splitlines():
            assert farspun(path, *shlex.split(line)).exit_code == 0, line
        return path.read_bytes()


@pytest.fixture
def gorse(reader: Reader) -> Reader:
    """A stash with Gorse, 71 g and 168 m, washed."""
    reader.path.write_bytes(made(GORSE))
    return reader


@pytest.fixture
def shelf(reader: Reader) -> Reader:
    """The stash of the README."""
    reader.path.write_bytes(made(README))
    return reader
