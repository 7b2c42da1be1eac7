"""A browser on a stash of its own."""

import shlex
from pathlib import Path

import pytest

from stashes import farspun
from web.reader import Reader

README = """\
skein add Driftwood --fibre "wool 80, silk 20" --plies 2 --mass 118g --strands 196\
 --once-round 1.5m --state unwashed --wpi 15wpi --wrap snug
skein add Gorse --plies 2 --mass 71g --strands 112 --once-round 1.5m --state relaxed
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


@pytest.fixture
def gorse(reader: Reader) -> Reader:
    """A stash with Gorse, 71 g and 168 m, washed."""
    words = "skein add Gorse --plies 2 --mass 71g --strands 112 --once-round 1.5m --state relaxed"
    assert farspun(reader.path, *words.split()).exit_code == 0
    return reader


@pytest.fixture
def shelf(reader: Reader) -> Reader:
    """The stash of the README."""
    for line in README.splitlines():
        assert farspun(reader.path, *shlex.split(line)).exit_code == 0, line
    return reader
