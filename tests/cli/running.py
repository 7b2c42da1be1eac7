"""Running commands on a stash of its own, in this process, so that hundreds are quick.

`Desk` is a stash and what is asked of it. What farspun would log as a fault of its own is shown
in the test's failure instead. `furnished` lays out a desk with a few skeins and two looms, built
once and copied; so is what a first line of a story makes of a stash, for many tests begin alike.
"""

import hashlib
import io
import json
import os
import shlex
import sys
import tempfile
from collections.abc import Sequence
from contextlib import redirect_stderr, redirect_stdout
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any
from unittest.mock import patch

from typer.main import get_command

from farspun.cli.app import app

FAULT = 1
SKEINS = (
    'skein add "Gorse 1" --mass 100g --length 400m --state relaxed',
    'skein add "Gorse 2" --mass 110g --length 440m --state relaxed',
    "skein add Driftwood --mass 150g --length 450m --state relaxed",
    "skein add Fresh --mass 90g --length 270m --state unwashed",
    'skein add Cone --mill --rebuy 100g --label "400 m/100g" --mass 60g --fibre linen',
    "skein add Wraps --wpi 12wpi",
)
LOOMS = ("loom add Table --kind table --width 60cm", "loom add Floor --kind floor --width 120cm")
# what is done in one stash in one way is done once: these write to it and to nothing else
STORY = (
    "skein add ", "skein measure ", "loom add ", "reed add ", "cloth plan ", "cloth sample ",
    "cloth wound ", "cloth on-loom ", "cloth off-loom ", "cloth finished ",
)  # fmt: skip
MOST_KEPT = 300
LARGE = 1_000_000  # bytes
_DONE: dict[tuple[str, str], tuple[str, bytes]] = {}


@dataclass(frozen=True)
class Ran:
    """How a command ended, and what it wrote."""

    exit_code: int
    stdout: str
    stderr: str


class Desk:
    """One stash (made when first written to), and commands run on it."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.stash = folder / "stash.db"

    def run(self, line: str | Sequence[str], given: str | bytes = "") -> Ran:
        """How a command line ends; `given` is its standard input. A fault fails the test."""
        words = _words(line)
        homes = {"HOME": str(self.folder), "XDG_STATE_HOME": str(self.folder / "state")}
        ran = _run(words, given, homes | {"FARSPUN_STASH": str(self.stash)})
        assert ran.exit_code != FAULT, f"farspun {shlex.join(words)}\n{ran.stderr}{self.fault()}"
        assert "Traceback" not in ran.stdout + ran.stderr
        return ran

    def does(self, *lines: str) -> str:
        """Each line must be answered; what the last one says on stdout."""
        out = ""
        for line in lines:
            before = self._state() if isinstance(line, str) and line.startswith(STORY) else None
            if before is not None and (before, line) in _DONE:
                out, after = _DONE[before, line]
                self.stash.write_bytes(after)
                continue
            result = self.run(line)
            assert result.exit_code == 0, f"{line}\n{result.stderr}"
            out = result.stdout
            if before is not None and len(_DONE) < MOST_KEPT:
                _DONE[before, line] = out, self.stash.read_bytes()
        return out

    def _state(self) -> str | None:
        """What the stash is now; None where that is more than its one file."""
        files = [*self.folder.glob(f"{self.stash.name}*")]
        if files != [self.stash] or self.stash.stat().st_size > LARGE:
            return None
        return hashlib.sha1(self.stash.read_bytes()).hexdigest()

    def told(self, line: str | Sequence[str]) -> Any:
        """The one JSON document that a command prints with --json, and nothing else."""
        words = _words(line)
        result = self.run([*words, "--json"])
        assert result.exit_code == 0, f"{shlex.join(words)}\n{result.stderr}"
        return json.loads(result.stdout)

    def refuses(self, line: str | Sequence[str], code: int) -> str:
        """It must end with this code: what happened and what to do on stderr, stdout empty."""
        result = self.run(line)
        assert result.exit_code == code, f"{line}: {result.exit_code}\n{result.stderr}"
        assert result.stdout == ""
        assert len(result.stderr.splitlines()) == 2, result.stderr
        return result.stderr

    def fault(self) -> str:
        """What was logged of the last fault."""
        log = self.folder / "state" / "farspun" / "log" / "faults.log"
        return log.read_text(encoding="utf-8")[-3000:] if log.exists() else "no fault was logged"


def furnished(folder: Path) -> Desk:
    """A desk with SKEINS and LOOMS: no reed, so that a sett stands as asked."""
    desk = Desk(folder)
    desk.stash.write_bytes(_furnished())
    return desk


@cache
def _furnished() -> bytes:
    with tempfile.TemporaryDirectory() as folder:
        desk = Desk(Path(folder))
        desk.does(*SKEINS, *LOOMS)
        return desk.stash.read_bytes()


@cache
def command() -> Any:
    """The command tree, built once."""
    return get_command(app)


def _words(line: str | Sequence[str]) -> list[str]:
    return shlex.split(line) if isinstance(line, str) else list(line)


def _run(words: list[str], given: str | bytes, environment: dict[str, str]) -> Ran:
    data = given.encode() if isinstance(given, str) else given
    stdin = io.TextIOWrapper(io.BytesIO(data), encoding="utf-8")
    out, err = io.StringIO(), io.StringIO()
    code: Any = None
    with (
        patch.dict(os.environ, environment),
        patch.object(sys, "stdin", stdin),
        redirect_stdout(out),
        redirect_stderr(err),
    ):
        try:
            command().main(words, prog_name="farspun")
        except SystemExit as left:
            code = left.code
    return Ran(code or 0, out.getvalue(), err.getvalue())
